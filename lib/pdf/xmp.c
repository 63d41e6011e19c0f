#include "pdf/xmp.h"

#include <stdio.h>
#include <string.h>

enum { DEPTH_MOST = 64, NAME_MOST = 128 };

/* ------------------------------------------------ is it well formed? */

typedef struct open_tag {
    const char *name;
    size_t length;
} open_tag;

static size_t name_length(const char *at) {
    return strcspn(at, " \t\r\n/>");
}

/* Where a tag that begins at `at` ends, quotes respected; NULL when it does not. */
static const char *tag_end(const char *at) {
    char quote = '\0';
    for (; *at != '\0'; at++) {
        if (quote != '\0')
            quote = *at == quote ? '\0' : quote;
        else if (*at == '"' || *at == '\'')
            quote = *at;
        else if (*at == '>')
            return at;
    }
    return NULL;
}

/* Declarations, comments and processing instructions: to their end; NULL when there is none. */
static const char *skip_special(const char *at) {
    const char *end = strncmp(at, "<!--", 4) == 0 ? "-->" : strncmp(at, "<?", 2) == 0 ? "?>" : ">";
    const char *found = strstr(at, end);
    return found == NULL ? NULL : found + strlen(end);
}

/* One tag; the depth grows or shrinks. False when it does not fit. */
static bool take_tag(const char *at, const char *end, open_tag *tags, size_t *depth) {
    bool closing = at[1] == '/';
    const char *name = at + (closing ? 2 : 1);
    size_t length = name_length(name);
    if (length == 0)
        return false;
    if (closing) {
        if (*depth == 0 || tags[*depth - 1].length != length ||
            memcmp(tags[*depth - 1].name, name, length) != 0)
            return false;
        --*depth;
    } else if (end[-1] != '/') {
        if (*depth == DEPTH_MOST)
            return false;
        tags[(*depth)++] = (open_tag){name, length};
    }
    return true;
}

/* &amp; and its kin, and characters by number. *at is moved behind it. */
static uint32_t entity(const char **at) {
    static const struct {
        const char *name;
        char means;
    } known[] = {{"amp;", '&'}, {"lt;", '<'}, {"gt;", '>'}, {"quot;", '"'}, {"apos;", '\''}};
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++)
        if (strncmp(*at, known[i].name, strlen(known[i].name)) == 0) {
            *at += strlen(known[i].name);
            return (unsigned char)known[i].means;
        }
    const char *digit = *at + 1;
    uint32_t value = 0, base = 10;
    if (**at != '#')
        return '&';
    if (*digit == 'x') {
        base = 16;
        digit++;
    }
    for (; *digit != '\0' && *digit != ';' && value < 0x110000; digit++) {
        const char *digits = "0123456789abcdef0123456789ABCDEF", *found = strchr(digits, *digit);
        uint32_t one = found == NULL ? base : (uint32_t)(found - digits) % 16;
        if (one >= base)
            return '&';
        value = value * base + one;
    }
    *at = *digit == ';' ? digit + 1 : digit;
    return value == 0 || value > 0x10FFFF || (value >= 0xD800 && value < 0xE000) ? 0xFFFD : value;
}

/* Every & begins a reference, known or by number (XML 1.0, 4.1). */
static bool refers_well(const char *from, const char *end) {
    for (const char *at = memchr(from, '&', (size_t)(end - from)); at != NULL;
         at = memchr(at, '&', (size_t)(end - at))) {
        const char *after = ++at;
        uint32_t means = entity(&after);
        if (after == at || after > end || after[-1] != ';' || means == 0xFFFD)
            return false;
        at = after;
    }
    return true;
}

bool tw_xmp_valid(const char *text, size_t length) {
    open_tag tags[DEPTH_MOST];
    size_t depth = 0;
    if (tw_utf8_valid(text, length) != length || strlen(text) != length ||
        strstr(text, "<rdf:RDF") == NULL)
        return false;
    const char *seen = text;
    for (const char *at = strchr(text, '<'); at != NULL; at = strchr(at, '<')) {
        if (!refers_well(seen, at))
            return false;
        if (at[1] == '!' || at[1] == '?') {
            at = skip_special(at);
        } else {
            const char *end = tag_end(at);
            if (end == NULL || !take_tag(at, end, tags, &depth) || !refers_well(at, end))
                return false;
            at = end;
        }
        if (at == NULL)
            return false;
        seen = at;
    }
    return depth == 0 && refers_well(seen, text + length);
}

/* ------------------------------------------------ properties */

/* The prefix that some element binds to this namespace: its place and length. */
static const char *prefix_of(const char *text, const char *space, size_t *length) {
    size_t wanted = strlen(space);
    for (const char *at = strstr(text, "xmlns:"); at != NULL; at = strstr(at, "xmlns:")) {
        at += 6;
        *length = strcspn(at, "= \t\r\n<>");
        const char *value = at + *length + strspn(at + *length, " \t\r\n=");
        if ((*value == '"' || *value == '\'') && strncmp(value + 1, space, wanted) == 0 &&
            value[1 + wanted] == *value)
            return at;
    }
    return NULL;
}

static void decode(const char *from, const char *end, char *out, size_t room) {
    size_t length = 0;
    while (from < end && length + 5 < room) {
        if (*from != '&') {
            out[length++] = *from++;
            continue;
        }
        from++;
        length += tw_utf8_put(entity(&from), out + length);
    }
    out[length] = '\0';
}

/* Text of an element; of a list in it, the first item's. `at` is behind the opening tag's name. */
static bool element_text(const char *at, char *out, size_t room) {
    const char *open = tag_end(at);
    if (open == NULL)
        return false;
    out[0] = '\0';
    if (open[-1] == '/')
        return true;
    const char *text = open + 1, *next = text + strspn(text, " \t\r\n");
    while (next[0] == '<' && next[1] != '/') { /* rdf:Alt, rdf:li */
        open = tag_end(next);
        if (open == NULL)
            return false;
        text = open + 1;
        next = text + strspn(text, " \t\r\n");
    }
    decode(text, text + strcspn(text, "<"), out, room);
    return true;
}

static bool attribute_text(const char *at, char *out, size_t room) {
    const char *value = at + strspn(at, " \t\r\n=");
    const char *end = *value == '"' || *value == '\'' ? strchr(value + 1, *value) : NULL;
    if (end != NULL)
        decode(value + 1, end, out, room);
    return end != NULL;
}

bool tw_xmp_get(const char *text, const char *space, const char *name, char *out, size_t room) {
    char whole[NAME_MOST];
    size_t length = 0;
    const char *prefix = prefix_of(text, space, &length);
    if (prefix == NULL || length + strlen(name) + 2 > sizeof whole)
        return false;
    snprintf(whole, sizeof whole, "%.*s:%s", (int)length, prefix, name);
    length = strlen(whole);
    for (const char *at = strstr(text, whole); at != NULL; at = strstr(at + 1, whole)) {
        const char *after = at + length;
        bool ends = strchr(" \t\r\n/>=", *after) != NULL;
        if (at > text && at[-1] == '<' && ends)
            return element_text(after, out, room);
        if (at > text && strchr(" \t\r\n", at[-1]) != NULL &&
            after[strspn(after, " \t\r\n")] == '=')
            return attribute_text(after, out, room);
    }
    return false;
}

/* ------------------------------------------------ writing */

static void put_text(tw_buffer *out, const char *text) {
    for (; *text != '\0'; text++) {
        const char *safe = *text == '&'   ? "&amp;"
                           : *text == '<' ? "&lt;"
                           : *text == '>' ? "&gt;"
                                          : NULL;
        if (safe != NULL)
            tw_buffer_string(out, safe);
        else if ((unsigned char)*text >= 0x20) /* XML has no other control characters */
            tw_buffer_add(out, text, 1);
    }
}

/* PDF/A wants other standards' properties described (ISO 19005-2, 6.6.2.3). */
static void put_extension(tw_buffer *out) {
    tw_buffer_string(out, "<rdf:Description rdf:about=\"\""
                          " xmlns:pdfaExtension=\"http://www.aiim.org/pdfa/ns/extension/\""
                          " xmlns:pdfaSchema=\"http://www.aiim.org/pdfa/ns/schema#\""
                          " xmlns:pdfaProperty=\"http://www.aiim.org/pdfa/ns/property#\">\n"
                          "<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType=\"Resource\">\n"
                          "<pdfaSchema:schema>PDF/X identification</pdfaSchema:schema>\n"
                          "<pdfaSchema:namespaceURI>" TW_XMP_PRINT "</pdfaSchema:namespaceURI>\n"
                          "<pdfaSchema:prefix>pdfxid</pdfaSchema:prefix>\n"
                          "<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType=\"Resource\">\n"
                          "<pdfaProperty:name>GTS_PDFXVersion</pdfaProperty:name>\n"
                          "<pdfaProperty:valueType>Text</pdfaProperty:valueType>\n"
                          "<pdfaProperty:category>internal</pdfaProperty:category>\n"
                          "<pdfaProperty:description>the PDF/X version</pdfaProperty:description>\n"
                          "</rdf:li></rdf:Seq></pdfaSchema:property>\n"
                          "</rdf:li></rdf:Bag></pdfaExtension:schemas>\n</rdf:Description>\n");
}

static void put_names(const tw_xmp_facts *facts, tw_buffer *out) {
    if (facts->archive)
        tw_buffer_string(out, "<rdf:Description rdf:about=\"\" xmlns:pdfaid=\"" TW_XMP_ARCHIVE
                              "\">\n<pdfaid:part>2</pdfaid:part>\n"
                              "<pdfaid:conformance>B</pdfaid:conformance>\n"
                              "</rdf:Description>\n");
    if (!facts->print)
        return;
    tw_buffer_string(out, "<rdf:Description rdf:about=\"\" xmlns:pdfxid=\"" TW_XMP_PRINT
                          "\">\n<pdfxid:GTS_PDFXVersion>PDF/X-4</pdfxid:GTS_PDFXVersion>\n"
                          "</rdf:Description>\n");
    put_extension(out);
}

static void put_element(tw_buffer *out, const char *name, const char *text) {
    tw_buffer_print(out, "<%s>", name);
    put_text(out, text);
    tw_buffer_print(out, "</%s>\n", name);
}

static void put_dates(tw_buffer *out, const char *date) {
    put_element(out, "xmp:CreateDate", date);
    put_element(out, "xmp:ModifyDate", date);
    put_element(out, "xmp:MetadataDate", date);
}

void tw_xmp_write(const tw_xmp_facts *facts, tw_buffer *out) {
    tw_buffer_string(out, "<?xpacket begin=\"\xEF\xBB\xBF\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n"
                          "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n"
                          "<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n"
                          "<rdf:Description rdf:about=\"\" xmlns:dc=\"" TW_XMP_DC
                          "\" xmlns:xmp=\"" TW_XMP_BASIC "\" xmlns:xmpMM=\"" TW_XMP_MEDIA
                          "\" xmlns:pdf=\"" TW_XMP_PDF
                          "\">\n<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">");
    put_text(out, facts->title);
    tw_buffer_string(out, "</rdf:li></rdf:Alt></dc:title>\n");
    put_element(out, "xmp:CreatorTool", facts->creator);
    if (facts->producer != NULL)
        put_element(out, "pdf:Producer", facts->producer);
    if (facts->date != NULL)
        put_dates(out, facts->date);
    tw_buffer_print(out, "<xmpMM:DocumentID>uuid:%s</xmpMM:DocumentID>\n", facts->identifier);
    tw_buffer_string(out, "<xmpMM:VersionID>1</xmpMM:VersionID>\n"
                          "<xmpMM:RenditionClass>default</xmpMM:RenditionClass>\n"
                          "</rdf:Description>\n");
    put_names(facts, out);
    tw_buffer_string(out, "</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"r\"?>\n");
}
