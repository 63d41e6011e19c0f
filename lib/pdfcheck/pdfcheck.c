/* The table of checks, and their run. */
#include "pdfcheck/rules.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define BOTH (TW_PDF_X | TW_PDF_A)

const tw_pdf_check_row tw_pdf_check_rows[TW_CHECK_COUNT] = {
    [TW_CHECK_HEADER] = {"header", TW_PDF_A, "ISO 19005-2, 6.1.2",
                         "begins with %PDF-1.n and a line of bytes above 127"},
    [TW_CHECK_VERSION] = {"version", TW_PDF_X, "ISO 15930-7", "PDF 1.6 at most"},
    [TW_CHECK_IDENTIFIER] = {"identifier", BOTH, "ISO 19005-2, 6.1.3; ISO 32000-1, 14.4",
                             "the trailer has an ID of two strings"},
    [TW_CHECK_ENCRYPTION] = {"encryption", BOTH, "ISO 19005-2, 6.1.3", "is not encrypted"},
    [TW_CHECK_END] = {"end", TW_PDF_A, "ISO 19005-2, 6.1.3", "nothing follows the last %%EOF"},
    [TW_CHECK_OBJECTS] = {"objects", TW_PDF_A, "ISO 19005-2, 6.1.4",
                          "every object is where the cross-references say"},
    [TW_CHECK_STREAMS] = {"streams", TW_PDF_A, "ISO 19005-2, 6.1.7.1",
                          "streams have their true length and lie in this file"},
    [TW_CHECK_FILTERS] = {"filters", BOTH, "ISO 19005-2, 6.1.7.2", "no LZWDecode, no Crypt"},
    [TW_CHECK_PAGE_SIZE] = {"page-size", TW_PDF_A, "ISO 19005-2, 6.1.13",
                            "boxes are 3 to 14400 units a side"},
    [TW_CHECK_BOXES] = {"boxes", TW_PDF_X, "ISO 32000-1, 14.11.2",
                        "one of TrimBox and ArtBox, in BleedBox, in MediaBox"},
    [TW_CHECK_PRINT_INTENT] = {"print-intent", TW_PDF_X, "ISO 32000-1, 14.11.5",
                               "one GTS_PDFX output intent with a printer's profile embedded"},
    [TW_CHECK_ARCHIVE_INTENT] = {"archive-intent", TW_PDF_A, "ISO 19005-2, 6.2.3",
                                 "output intents share one valid profile"},
    [TW_CHECK_PROFILES] = {"profiles", TW_PDF_A, "ISO 19005-2, 6.2.4.2",
                           "ICC profiles are valid, of version 2 or 4, with N channels"},
    [TW_CHECK_DEVICE_COLOUR] = {"device-colour", TW_PDF_A, "ISO 19005-2, 6.2.4.3",
                                "device colours are defined by a profile"},
    [TW_CHECK_TRANSFER] = {"transfer", BOTH, "ISO 19005-2, 6.2.5",
                           "no transfer curves, no halftone origin"},
    [TW_CHECK_IMAGES] = {"images", TW_PDF_A, "ISO 19005-2, 6.2.8",
                         "no alternates, no OPI, no interpolation"},
    [TW_CHECK_FORMS] = {"forms", BOTH, "ISO 19005-2, 6.2.9", "no PostScript, no outside pages"},
    [TW_CHECK_TRANSPARENCY] = {"transparency", TW_PDF_A, "ISO 19005-2, 6.2.10",
                               "known blend modes in a defined colour space"},
    [TW_CHECK_FONTS] = {"fonts", BOTH, "ISO 19005-2, 6.2.11.4", "every font is embedded"},
    [TW_CHECK_ANNOTATIONS] = {"annotations", TW_PDF_A, "ISO 19005-2, 6.3.1",
                              "no sound, film, screen or 3D annotations"},
    [TW_CHECK_ACTIONS] = {"actions", BOTH, "ISO 19005-2, 6.5",
                          "no scripts and no actions that start something"},
    [TW_CHECK_LAYERS] = {"layers", TW_PDF_A, "ISO 19005-2, 6.9",
                         "optional content does not switch itself"},
    [TW_CHECK_METADATA] = {"metadata", BOTH, "ISO 19005-2, 6.6.2", "XMP metadata that can be read"},
    [TW_CHECK_AGREEMENT] = {"agreement", BOTH, "ISO 19005-2, 6.6.3",
                            "Info and XMP say the same title and dates"},
    [TW_CHECK_PRINT_NAME] = {"print-name", TW_PDF_X, "ISO 15930-7",
                             "XMP names GTS_PDFXVersion PDF/X-4"},
    [TW_CHECK_ARCHIVE_NAME] = {"archive-name", TW_PDF_A, "ISO 19005-2, 6.6.4",
                               "XMP names part 2 and level A, B or U"},
    [TW_CHECK_TRAPPED] = {"trapped", TW_PDF_X, "ISO 32000-1, 14.11.6",
                          "Info says Trapped True or False"},
};

void tw_checkup_fail(tw_checkup *c, tw_pdf_check check, const char *format, ...) {
    tw_pdf_finding *finding = &c->report->found[check];
    char draft[sizeof finding->why];
    tw_error safe;
    va_list list;
    if (finding->times++ > 0)
        return;
    va_start(list, format);
    (void)vsnprintf(draft, sizeof draft, format, list);
    va_end(list);
    (void)tw_fail(&safe, TW_OK, "why", "%s", draft); /* the file's words, safe for a terminal */
    snprintf(finding->why, sizeof finding->why, "%.199s", safe.message);
}

bool tw_checkup_seen(tw_checkup *c, const tw_pdfin_value *raw, unsigned bit) {
    if (raw->kind != TW_PDFIN_REF || (size_t)raw->number >= tw_pdfin_object_count(c->pdf))
        return false;
    unsigned char *mark = &c->seen[raw->number];
    bool was = (*mark & bit) != 0;
    *mark |= (unsigned char)bit;
    return was;
}

const char *tw_checkup_word(const tw_pdfin_value *value, char room[64]) {
    size_t length = 0;
    bool text = value->kind == TW_PDFIN_NAME || value->kind == TW_PDFIN_STRING ||
                value->kind == TW_PDFIN_WORD;
    for (size_t i = 0; text && i < value->length && length < 60; i++) {
        char c = value->text[i];
        room[length++] = (char)(c >= 0x20 && c < 0x7F ? c : '?');
    }
    room[length] = '\0';
    return room;
}

static tw_code run(tw_pdfin *pdf, const tw_allocator *allocator, tw_pdf_report *out,
                   tw_error *error) {
    const char *damage;
    tw_checkup c = {.pdf = pdf, .report = out, .arena = tw_arena_new(allocator, 0)};
    c.seen = c.arena == NULL ? NULL : tw_arena_array(c.arena, tw_pdfin_object_count(pdf), 1);
    if (c.seen == NULL) {
        tw_arena_free(c.arena);
        return tw_no_memory(error);
    }
    c.root = tw_pdfin_get(pdf, tw_pdfin_trailer(pdf), "Root");
    tw_checkup_file(&c);
    tw_checkup_intents(&c); /* the rest asks which there is */
    tw_checkup_walk(&c);
    tw_checkup_pages(&c);
    tw_checkup_meta(&c);
    if (tw_pdfin_damage(pdf, &damage) > 0)
        tw_checkup_fail(&c, TW_CHECK_OBJECTS, "%s", damage);
    tw_arena_free(c.arena);
    return c.no_memory ? tw_no_memory(error) : tw_pdfin_state(pdf, error);
}

tw_code tw_pdf_check_bytes(const tw_allocator *allocator, const void *bytes, size_t length,
                           tw_pdf_report *out, tw_error *error) {
    tw_pdfin *pdf;
    memset(out, 0, sizeof *out);
    tw_code code = tw_pdfin_open_bytes(allocator, bytes, length, &pdf, error);
    if (code == TW_OK)
        code = run(pdf, allocator, out, error);
    tw_pdfin_close(pdf);
    return code;
}

tw_code tw_pdf_check_file(const tw_allocator *allocator, const char *path, tw_pdf_report *out,
                          tw_error *error) {
    tw_pdfin *pdf;
    memset(out, 0, sizeof *out);
    tw_code code = tw_pdfin_open(allocator, path, &pdf, error);
    if (code == TW_OK) {
        code = run(pdf, allocator, out, error);
        if (code != TW_OK)
            tw_fail_at(error, path, 0, 0);
    }
    tw_pdfin_close(pdf);
    return code;
}

size_t tw_pdf_failed(const tw_pdf_report *report, unsigned standards) {
    size_t failed = 0;
    for (size_t i = 0; i < TW_CHECK_COUNT; i++)
        failed += report->found[i].times > 0 && (tw_pdf_check_rows[i].standards & standards) != 0;
    return failed;
}
