/*
 * A small PDF that passes every check, made from texts so that a test can change one of them.
 * Objects are numbered from 1 in the order of the list; streams get their true length.
 */
#ifndef PDF_SAMPLE_H
#define PDF_SAMPLE_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "make_image.h"

enum { SAMPLE_TEXT = 8192, SAMPLE_OBJECTS = 15 };

typedef struct sample_change {
    const char *find, *put; /* NULL: none */
} sample_change;

typedef struct sample {
    unsigned char *bytes;
    size_t length;
    const sample_change *changes;
    size_t change_count, made; /* changes that were made */
} sample;

#define SAMPLE_XMP                                                                                 \
    "<?xpacket begin='' id='W5M0MpCehiHzreSzNTczkc9d'?><x:xmpmeta xmlns:x='adobe:ns:meta/'>"       \
    "<rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>"                            \
    "<rdf:Description rdf:about='' xmlns:dc='http://purl.org/dc/elements/1.1/'"                    \
    " xmlns:xap='http://ns.adobe.com/xap/1.0/' xmlns:a='http://www.aiim.org/pdfa/ns/id/'"          \
    " xap:CreateDate='2027-03-06T10:30:00-05:00' a:part='2' a:conformance='B'>"                    \
    "<dc:title><rdf:Alt><rdf:li xml:lang='x-default'>Tarn &amp; ridge &#xE9;</rdf:li>"             \
    "</rdf:Alt></dc:title></rdf:Description>"                                                      \
    "<rdf:Description rdf:about='' xmlns:pdfxid='http://www.npes.org/pdfx/ns/id/'>"                \
    "<pdfxid:GTS_PDFXVersion>PDF/X-4</pdfxid:GTS_PDFXVersion></rdf:Description>"                   \
    "</rdf:RDF></x:xmpmeta><?xpacket end='r'?>"

static const char *const sample_objects[SAMPLE_OBJECTS] = {
    "<</Type /Catalog /Pages 2 0 R /Metadata 5 0 R /OutputIntents [<</Type /OutputIntent /S "
    "/GTS_PDFX /OutputConditionIdentifier (Custom) /DestOutputProfile 6 0 R>> <</Type "
    "/OutputIntent /S /GTS_PDFA1 /OutputConditionIdentifier (Custom) /DestOutputProfile 6 0 "
    "R>>]>>",
    "<</Type /Pages /Kids [3 0 R] /Count 1 /MediaBox [0 0 200 100]>>",
    "<</Type /Page /Parent 2 0 R /TrimBox [10 10 190 90] /BleedBox [5 5 195 95.5] /Resources "
    "<</Font <</F0 7 0 R>> /XObject <</I0 10 0 R /M0 12 0 R>> /ExtGState <</G0 11 0 R>> "
    "/ColorSpace <</C0 [/ICCBased 14 0 R]>>>> /Contents 4 0 R>>",
    "<<>>stream:0 g 0 0 1 rg /C0 cs 0.5 sc /G0 gs /I0 Do /M0 Do BT /F0 9 Tf (a \\) b) Tj ET\n"
    "BI /W 1 /H 1 /CS /G /BPC 8 ID \x80 EI Q",
    "<</Type /Metadata /Subtype /XML>>stream:" SAMPLE_XMP,
    "<</N 3>>profile:",
    "<</Type /Font /Subtype /TrueType /BaseFont /Face /FontDescriptor 8 0 R>>",
    "<</Type /FontDescriptor /FontName /Face /FontFile2 9 0 R>>",
    "<<>>stream:a font",
    "<</Type /XObject /Subtype /Image /Width 1 /Height 1 /BitsPerComponent 8 /ColorSpace "
    "[/ICCBased 6 0 R]>>stream:abc",
    "<</Type /ExtGState /ca 1 /BM /Normal /SMask /None>>",
    "<</Type /XObject /Subtype /Form /BBox [0 0 1 1] /Resources <<>>>>stream:1 g",
    "<</Title <FEFF005400610072006E00200026002000720069006400670065002000E9> /Trapped /False "
    "/CreationDate (D:20270306103000-05'00')>>",
    "<</N 1>>grey:",
    "<</Type /Nothing>>",
};

/* The text with the first change that fits it. */
static void sample_text(sample *s, const char *text, char out[SAMPLE_TEXT]) {
    snprintf(out, SAMPLE_TEXT, "%s", text);
    for (size_t i = 0; i < s->change_count; i++) {
        const sample_change *c = &s->changes[i];
        char rest[SAMPLE_TEXT], *at = c->find == NULL ? NULL : strstr(out, c->find);
        if (at == NULL)
            continue;
        snprintf(rest, sizeof rest, "%s", at + strlen(c->find));
        snprintf(at, SAMPLE_TEXT - (size_t)(at - out), "%s%s", c->put, rest);
        s->made++;
    }
}

static void sample_add(sample *s, const void *bytes, size_t length) {
    s->bytes = realloc(s->bytes, s->length + length + 1);
    memcpy(s->bytes + s->length, bytes, length);
    s->length += length;
    s->bytes[s->length] = '\0';
}

static void sample_put(sample *s, const char *text) {
    sample_add(s, text, strlen(text));
}

/* "<<entries>>stream:bytes", "<<...>>profile:class", "<<...>>grey:"; behind the class a
 * figure for the version and what it connects through may stand: "profile:mntr4Lab ". */
static void sample_object(sample *s, const char *text) {
    char line[SAMPLE_TEXT];
    const char *stream = strstr(text, ">>stream:"), *profile = strstr(text, ">>profile:");
    const char *grey = strstr(text, ">>grey:");
    const char *end = stream != NULL ? stream : profile != NULL ? profile : grey;
    if (end == NULL) {
        sample_put(s, text);
        return;
    }
    size_t length = 0;
    unsigned char *made = NULL;
    const char *class_name = profile != NULL && profile[10] != '\0' ? profile + 10 : "prtr";
    if (stream == NULL) {
        made = make_icc(class_name, grey != NULL ? "GRAY" : "RGB ",
                        strlen(class_name) > 4 ? class_name[4] - '0' : 2, "A paper", &length);
        if (strlen(class_name) > 5)
            memcpy(made + 20, class_name + 5, 4);
    } else
        length = strlen(stream + 9);
    const char *known =
        strstr(text, "/Length") != NULL ? "%.*s>>stream\r\n" : "%.*s /Length %zu>>stream\r\n";
    snprintf(line, sizeof line, known, (int)(end - text), text, length);
    sample_put(s, line);
    sample_add(s, made != NULL ? made : (const unsigned char *)stream + 9, length);
    sample_put(s, "\nendstream");
    free(made);
}

static void sample_close(sample *s, const size_t *places) {
    char line[256], text[SAMPLE_TEXT];
    size_t table = s->length;
    snprintf(line, sizeof line, "xref\n0 %d\n0000000000 65535 f \n", SAMPLE_OBJECTS + 1);
    sample_put(s, line);
    for (size_t i = 0; i < SAMPLE_OBJECTS; i++) {
        snprintf(line, sizeof line, "%010zu 00000 n \n", places[i]);
        sample_put(s, line);
    }
    snprintf(line, sizeof line,
             "trailer\n<</Size %d /Root 1 0 R /Info 13 0 R /ID [<01> <01>]>>\nstartxref\n%zu\n"
             "%%%%EOF\n",
             SAMPLE_OBJECTS + 1, table);
    sample_text(s, line, text);
    sample_put(s, text);
}

/* Free s->bytes. */
static void sample_make(sample *s, const sample_change *changes, size_t count) {
    char text[SAMPLE_TEXT], line[SAMPLE_TEXT];
    size_t places[SAMPLE_OBJECTS];
    *s = (sample){.changes = changes, .change_count = count};
    sample_text(s, "%PDF-1.6\n%\xE2\xE3\xCF\xD3\n", text);
    sample_put(s, text);
    for (size_t i = 0; i < SAMPLE_OBJECTS; i++) {
        places[i] = s->length;
        snprintf(line, sizeof line, "%zu 0 obj\n%s\nendobj\n", i + 1, sample_objects[i]);
        sample_text(s, line, text);
        char *end = strstr(text, "\nendobj\n");
        *end = '\0';
        sample_object(s, text);
        sample_put(s, "\nendobj\n");
    }
    sample_close(s, places);
}

#endif
