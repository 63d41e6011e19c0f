/*
 * What a document says of itself: Info's dates and Trapped, the XMP metadata with the same
 * (xmp.c), and for a sheet whose paper has a printer's profile the output intents: GTS_PDFX for
 * print (ISO 15930-7) and GTS_PDFA1 (ISO 19005-2, 6.2.3), both with that profile.
 *
 * The only date is the job's own. Grey marks and text are DeviceGray, for which every page names
 * a profile (DefaultGray, ISO 32000-1, 8.6.5.6), so that no print path has to guess.
 */
#include "pdf/document.h"

#include "pdf/xmp.h"

#include <stdio.h>
#include <string.h>

/* ------------------------------------------------ pages */

/* /ColorSpace <</DefaultGray [/ICCBased n 0 R]>> in a page's resources. */
tw_code tw_pdf_default_grey(tw_pdf *pdf, HPDF_Page page) {
    static const tw_image grey = {.space = TW_GREY};
    if (pdf->grey == NULL && tw_pdf_profile_for(pdf, &grey, &pdf->grey) != TW_OK)
        return pdf->failure.code;
    HPDF_Dict resources = HPDF_Page_GetInheritableItem(page, "Resources", HPDF_OCLASS_DICT);
    HPDF_Dict spaces = HPDF_Dict_New(pdf->doc->mmgr);
    if (spaces == NULL || resources == NULL)
        return tw_pdf_no_memory(pdf);
    if (HPDF_Dict_Add(resources, "ColorSpace", spaces) != HPDF_OK)
        return tw_pdf_state(pdf);
    HPDF_Array space = HPDF_Array_New(pdf->doc->mmgr);
    if (space == NULL)
        return tw_pdf_no_memory(pdf);
    if (HPDF_Dict_Add(spaces, "DefaultGray", space) == HPDF_OK &&
        HPDF_Array_AddName(space, "ICCBased") == HPDF_OK)
        (void)HPDF_Array_Add(space, pdf->grey);
    return tw_pdf_state(pdf);
}

/* ------------------------------------------------ output intents */

/* A text string in hexadecimal, which needs no escapes. */
static void put_text(tw_buffer *out, const char *text) {
    tw_buffer wide;
    tw_buffer_start(&wide, out->allocator);
    tw_pdf_utf16(text, &wide);
    tw_buffer_string(out, "<");
    for (size_t i = 0; i < wide.length; i++)
        tw_buffer_print(out, "%02X", (unsigned)(unsigned char)wide.bytes[i]);
    tw_buffer_string(out, ">");
    out->failed = out->failed || wide.failed;
    tw_buffer_free(&wide);
}

/* The condition is the user's own, not one of a registry: Info says it in words. */
static HPDF_Dict make_intent(tw_pdf *pdf, const char *kind, HPDF_Dict profile) {
    const char *name = pdf->facts.intent_name;
    tw_buffer text;
    tw_buffer_start(&text, pdf->allocator);
    tw_buffer_print(&text,
                    "/Type /OutputIntent\n/S /%s\n/OutputConditionIdentifier (Custom)\n"
                    "/DestOutputProfile %u 0 R\n/Info ",
                    kind, tw_pdf_number(profile));
    put_text(&text, name == NULL ? "the paper's profile" : name);
    tw_buffer_string(&text, "\n");
    return tw_pdf_dict(pdf, tw_pdf_keep_text(pdf, &text));
}

static void add_intents(tw_pdf *pdf) {
    static const char *const kinds[] = {"GTS_PDFX", "GTS_PDFA1"};
    HPDF_Dict profile = NULL;
    HPDF_Array list;
    if (tw_pdf_intent_profile(pdf, &profile) != TW_OK)
        return;
    list = HPDF_Array_New(pdf->doc->mmgr);
    if (list == NULL || HPDF_Dict_Add(pdf->doc->catalog, "OutputIntents", list) != HPDF_OK)
        return;
    for (size_t i = 0; i < 2; i++) {
        HPDF_Dict intent = make_intent(pdf, kinds[i], profile);
        if (intent == NULL || HPDF_Array_Add(list, intent) != HPDF_OK)
            return;
    }
}

/* ------------------------------------------------ metadata */

/* What has no profile is right only where the output intent has those inks. */
static bool is_defined(const tw_pdf *pdf) {
    return !pdf->device_cmyk ||
           (pdf->facts.intent != NULL && memcmp(pdf->facts.intent + 16, "CMYK", 4) == 0);
}

static void add_metadata(tw_pdf *pdf) {
    char identifier[33], creator[64];
    tw_buffer text;
    snprintf(identifier, sizeof identifier, "%016llx%016llx", (unsigned long long)pdf->hash[0],
             (unsigned long long)pdf->hash[1]);
    snprintf(creator, sizeof creator, "Trimwell %s", tw_version());
    tw_xmp_facts facts = {.title = pdf->facts.title,
                          .creator = creator,
                          .producer = HPDF_GetInfoAttr(pdf->doc, HPDF_INFO_PRODUCER),
                          .date = pdf->facts.date,
                          .identifier = identifier,
                          .print = pdf->facts.intent != NULL && is_defined(pdf),
                          .archive = is_defined(pdf)};
    tw_buffer_start(&text, pdf->allocator);
    tw_xmp_write(&facts, &text);
    size_t length = text.length;
    const char *bytes = tw_pdf_keep_text(pdf, &text);
    tw_pdf_stream *stream =
        bytes == NULL ? NULL : tw_pdf_stream_new(pdf, "/Type /Metadata\n/Subtype /XML\n");
    if (stream == NULL)
        return;
    stream->bytes = (const unsigned char *)bytes;
    stream->length = length;
    (void)HPDF_Dict_Add(pdf->doc->catalog, "Metadata", stream->dict);
}

/* "2027-03-06" as "D:20270306" (ISO 32000-1, 7.9.4). */
static void add_dates(tw_pdf *pdf) {
    char date[16] = "D:";
    size_t length = 2;
    for (const char *at = pdf->facts.date; *at != '\0' && length < sizeof date - 1; at++)
        if (*at >= '0' && *at <= '9')
            date[length++] = *at;
    date[length] = '\0';
    tw_pdf_info(pdf, "CreationDate", date);
    tw_pdf_info(pdf, "ModDate", date);
}

tw_code tw_pdf_meta_finish(tw_pdf *pdf) {
    if (pdf->facts.date != NULL) {
        tw_pdf_mix(pdf, pdf->facts.date, strlen(pdf->facts.date) + 1);
        add_dates(pdf);
    }
    (void)HPDF_Dict_AddName(pdf->doc->info, "Trapped", "False");
    if (pdf->facts.intent != NULL) {
        tw_pdf_mix(pdf, pdf->facts.intent, pdf->facts.intent_length);
        add_intents(pdf);
    }
    if (tw_pdf_state(pdf) == TW_OK)
        add_metadata(pdf);
    return tw_pdf_state(pdf);
}
