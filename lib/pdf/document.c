/*
 * A PDF from display lists: start, pages, finish. Only lib/pdf knows libharu; the
 * streams, images, profiles, text and content have a file each (document.h).
 *
 * Deterministic: no date but the job's is written, the identifier in the trailer is a hash of what
 * the document holds, and objects are numbered in the order of their first use.
 */
#include "pdf/document.h"

#include <stdio.h>
#include <string.h>

/* ------------------------------------------------ failures */

tw_code tw_pdf_keep(tw_pdf *pdf, const tw_error *failure) {
    if (pdf->failure.code == TW_OK)
        pdf->failure = *failure;
    return pdf->failure.code;
}

tw_code tw_pdf_no_memory(tw_pdf *pdf) {
    tw_error failure;
    memset(&failure, 0, sizeof failure);
    (void)tw_no_memory(&failure);
    return tw_pdf_keep(pdf, &failure);
}

/* libharu's error handler: remember the first number and let the call return. */
static void note_status(HPDF_STATUS status, HPDF_STATUS detail, void *context) {
    tw_pdf *pdf = context;
    if (pdf->status != HPDF_OK)
        return;
    pdf->status = status;
    pdf->detail = detail;
}

/* A list that cannot grow says that it is full; none of ours comes near libharu's limits. */
static bool is_memory(HPDF_STATUS status) {
    return status == HPDF_FAILD_TO_ALLOC_MEM || status == HPDF_DICT_COUNT_ERR ||
           status == HPDF_ARRAY_COUNT_ERR || status == HPDF_XREF_COUNT_ERR;
}

tw_code tw_pdf_state(tw_pdf *pdf) {
    tw_error failure;
    HPDF_STATUS status = pdf->status != HPDF_OK ? pdf->status : HPDF_GetError(pdf->doc);
    if (pdf->failure.code != TW_OK || status == HPDF_OK)
        return pdf->failure.code;
    memset(&failure, 0, sizeof failure);
    if (is_memory(status))
        (void)tw_no_memory(&failure);
    else
        (void)tw_fail(&failure, TW_BUG, "pdf-writer",
                      "writing %s failed inside the PDF library: error %04lX, detail %lu",
                      tw_path_last(pdf->path), (unsigned long)status, (unsigned long)pdf->detail);
    return tw_pdf_keep(pdf, &failure);
}

static tw_code answer(tw_pdf *pdf, tw_error *error) {
    tw_code code = tw_pdf_state(pdf);
    if (code != TW_OK && error != NULL)
        *error = pdf->failure;
    return code;
}

/* ------------------------------------------------ the identifier */

/* FNV-1a with 128 bits (prime 2^88 + 0x13B): well known, the same everywhere, and not a secret
 * (ISO 32000-1, 14.4 only asks that files differ). */
void tw_pdf_mix(tw_pdf *pdf, const void *bytes, size_t length) {
    const unsigned char *at = bytes;
    __extension__ typedef unsigned __int128 wide;
    wide hash = (wide)pdf->hash[0] << 64 | pdf->hash[1];
    for (size_t i = 0; i < length; i++) {
        hash ^= at[i];
        hash = (hash << 88) + hash * 0x13B;
    }
    pdf->hash[0] = (uint64_t)(hash >> 64);
    pdf->hash[1] = (uint64_t)hash;
}

void tw_pdf_mix_number(tw_pdf *pdf, int64_t number) {
    char text[24];
    int length = snprintf(text, sizeof text, "%lld;", (long long)number);
    tw_pdf_mix(pdf, text, (size_t)length);
}

static void add_identifier(tw_pdf *pdf) {
    HPDF_Array array = HPDF_Array_New(pdf->doc->mmgr);
    HPDF_BYTE bytes[16];
    for (int i = 0; i < 16; i++)
        bytes[i] = (HPDF_BYTE)(pdf->hash[i / 8] >> (56 - 8 * (i % 8)));
    if (array == NULL || HPDF_Dict_Add(pdf->doc->trailer, "ID", array) != HPDF_OK)
        return;
    for (int i = 0; i < 2; i++)
        (void)HPDF_Array_Add(array, HPDF_Binary_New(pdf->doc->mmgr, bytes, 16));
}

/* ------------------------------------------------ start */

void tw_pdf_utf16(const char *text, tw_buffer *out) {
    tw_buffer_add(out, "\xFE\xFF", 2);
    while (*text != '\0') {
        uint32_t character = tw_utf8_next(&text);
        unsigned units[2] = {(unsigned)character, 0};
        size_t count = 1;
        if (character >= 0x10000) {
            units[0] = (unsigned)(0xD7C0 + (character >> 10));
            units[1] = (unsigned)(0xDC00 + (character & 0x3FF));
            count = 2;
        }
        for (size_t i = 0; i < count; i++) {
            char bytes[2] = {(char)(units[i] >> 8), (char)units[i]};
            tw_buffer_add(out, bytes, 2);
        }
    }
}

/* A text string (ISO 32000-1, 7.9.2.2): ASCII as it is, anything else UTF-16BE with its mark. */
void tw_pdf_info(tw_pdf *pdf, const char *key, const char *text) {
    tw_buffer bytes;
    bool ascii = true;
    for (const char *at = text; *at != '\0'; at++)
        ascii = ascii && (unsigned char)*at < 0x80;
    tw_buffer_start(&bytes, pdf->allocator);
    if (ascii)
        tw_buffer_string(&bytes, text);
    else
        tw_pdf_utf16(text, &bytes);
    HPDF_Binary value =
        bytes.failed || bytes.length == 0
            ? NULL
            : HPDF_Binary_New(pdf->doc->mmgr, (HPDF_BYTE *)bytes.bytes, (HPDF_UINT)bytes.length);
    if (value != NULL)
        (void)HPDF_Dict_Add(pdf->doc->info, key, value);
    if (bytes.failed)
        (void)tw_pdf_no_memory(pdf);
    tw_buffer_free(&bytes);
}

/* Ask viewers and drivers not to scale (ISO 32000-1, Table 150); a wish, hence the scale bars. */
static void add_preferences(tw_pdf *pdf) {
    HPDF_Dict wishes = HPDF_Dict_New(pdf->doc->mmgr);
    if (wishes == NULL || HPDF_Dict_Add(pdf->doc->catalog, "ViewerPreferences", wishes) != HPDF_OK)
        return;
    (void)HPDF_Dict_AddName(wishes, "PrintScaling", "None");
}

static tw_code make_document(tw_pdf *pdf) {
    char creator[64];
    pdf->doc = HPDF_New(note_status, pdf);
    if (pdf->doc == NULL)
        return tw_pdf_no_memory(pdf);
    if (tw_pdf_valid(pdf, pdf->facts.title) != TW_OK)
        return pdf->failure.code;
    snprintf(creator, sizeof creator, "Trimwell %s", tw_version());
    tw_pdf_info(pdf, "Title", pdf->facts.title);
    tw_pdf_info(pdf, "Creator", creator);
    add_preferences(pdf);
    return tw_pdf_state(pdf);
}

/* Text comes from validated files; what is not UTF-8 here is our mistake, and must not be walked
 * over its end. */
tw_code tw_pdf_valid(tw_pdf *pdf, const char *text) {
    tw_error failure;
    size_t length = strlen(text);
    if (tw_utf8_valid(text, length) == length)
        return TW_OK;
    memset(&failure, 0, sizeof failure);
    (void)tw_fail(&failure, TW_BUG, "pdf-writer", "a text for the PDF is not UTF-8: %s", text);
    return tw_pdf_keep(pdf, &failure);
}

static bool copy_facts(tw_pdf *pdf, const tw_pdf_facts *facts, const char *path) {
    pdf->facts = *facts;
    pdf->facts.title = tw_arena_string(pdf->arena, facts->title == NULL ? "" : facts->title);
    pdf->facts.identity =
        tw_arena_string(pdf->arena, facts->identity == NULL ? "" : facts->identity);
    pdf->path = tw_arena_string(pdf->arena, path);
    pdf->images =
        tw_arena_array(pdf->arena, facts->image_count * TW_PDF_INTENTS, sizeof(tw_pdf_stream *));
    pdf->facts.date = tw_arena_string(pdf->arena, facts->date);
    return pdf->facts.title != NULL && pdf->facts.identity != NULL && pdf->path != NULL &&
           pdf->images != NULL && (facts->date == NULL) == (pdf->facts.date == NULL);
}

tw_code tw_pdf_start(const tw_allocator *allocator, const tw_pdf_facts *facts, const char *path,
                     tw_pdf **out, tw_error *error) {
    tw_arena *arena = tw_arena_new(allocator, 0);
    tw_pdf *pdf = arena == NULL ? NULL : tw_arena_take(arena, sizeof *pdf);
    *out = NULL;
    if (pdf == NULL) {
        tw_arena_free(arena);
        return tw_no_memory(error);
    }
    *pdf = (tw_pdf){.allocator = tw_arena_allocator(arena), .arena = arena, .descriptor = -1};
    pdf->hash[0] = 0x6C62272E07BB0142; /* FNV-1a's 128-bit offset basis */
    pdf->hash[1] = 0x62B821756295C58D;
    tw_code code = copy_facts(pdf, facts, path) ? tw_pdf_open(pdf, error) : tw_no_memory(error);
    if (code == TW_OK && make_document(pdf) != TW_OK)
        code = answer(pdf, error);
    if (code != TW_OK) {
        tw_pdf_free(pdf);
        return code;
    }
    tw_pdf_mix(pdf, pdf->facts.identity, strlen(pdf->facts.identity) + 1);
    tw_pdf_mix(pdf, pdf->facts.title, strlen(pdf->facts.title) + 1);
    *out = pdf;
    return TW_OK;
}

/* ------------------------------------------------ pages */

/* The boxes as exact text; libharu's own box holds floats. A sheet is its own trim. */
static HPDF_STATUS write_boxes(HPDF_Dict page, HPDF_Stream out) {
    static const char *const names[] = {"MediaBox", "CropBox", "BleedBox", "TrimBox"};
    tw_pdf *pdf = out->attr;
    char line[2 * TW_LENGTH_TEXT + 32];
    HPDF_STATUS status = HPDF_OK;
    size_t i = 0;
    while (i < pdf->box_count && pdf->boxes[i].page != page)
        i++;
    for (size_t n = 0; n < 4 && i < pdf->box_count && status == HPDF_OK; n++) {
        snprintf(line, sizeof line, "/%s [0 0 %s %s]\n", names[n], pdf->boxes[i].width,
                 pdf->boxes[i].height);
        status = HPDF_Stream_WriteStr(out, line);
    }
    return status;
}

/* libharu's page maker uses what it failed to get when memory runs out inside it: see first that
 * there is more than it needs. */
static HPDF_Page add_page(tw_pdf *pdf) {
    void *probe = HPDF_GetMem(pdf->doc->mmgr, 64 << 10);
    if (probe == NULL)
        return NULL;
    HPDF_FreeMem(pdf->doc->mmgr, probe);
    return HPDF_AddPage(pdf->doc);
}

static HPDF_Page new_page(tw_pdf *pdf, tw_size size) {
    tw_pdf_box *boxes =
        tw_arena_grow(pdf->arena, pdf->boxes, pdf->box_count, &pdf->box_room, sizeof *boxes);
    HPDF_Page page = boxes == NULL ? NULL : add_page(pdf);
    if (boxes == NULL)
        (void)tw_pdf_no_memory(pdf);
    if (page == NULL)
        return NULL;
    pdf->boxes = boxes;
    tw_pdf_box *box = &boxes[pdf->box_count++];
    box->page = page;
    (void)tw_points(size.width, box->width);
    (void)tw_points(size.height, box->height);
    (void)HPDF_Dict_RemoveElement(page, "MediaBox");
    page->write_fn = write_boxes;
    return tw_pdf_default_grey(pdf, page) == TW_OK ? page : NULL;
}

static void put_content(tw_pdf *pdf, HPDF_Page page, const tw_buffer *content) {
    HPDF_PageAttr attr = page->attr;
    if (content->length > 0)
        (void)HPDF_Stream_Write(attr->stream, (const HPDF_BYTE *)content->bytes,
                                (HPDF_UINT)content->length);
    tw_pdf_mix(pdf, content->bytes, content->length);
}

tw_code tw_pdf_page(tw_pdf *pdf, const tw_page *page, tw_error *error) {
    tw_buffer content;
    if (answer(pdf, error) != TW_OK)
        return pdf->failure.code;
    HPDF_Page made = new_page(pdf, page->size);
    tw_buffer_start(&content, pdf->allocator);
    if (made != NULL && tw_pdf_content(pdf, made, page, &content) == TW_OK) {
        tw_pdf_mix_number(pdf, page->size.width);
        tw_pdf_mix_number(pdf, page->size.height);
        put_content(pdf, made, &content);
    }
    tw_buffer_free(&content);
    return answer(pdf, error);
}

/* ------------------------------------------------ finish */

static tw_code warn(tw_pdf *pdf, tw_report *report, tw_error *error) {
    char letter[5] = "";
    tw_error warning;
    memset(&warning, 0, sizeof warning);
    if (pdf->font.missing == 0 || report == NULL)
        return TW_OK;
    (void)tw_utf8_put(pdf->font.missing, letter);
    (void)tw_fail(&warning, TW_INPUT, "missing-glyph",
                  "the built-in face has no character \"%s\" (U+%04X); a box stands for it", letter,
                  (unsigned)pdf->font.missing);
    for (size_t i = 0; i < report->warnings.count; i++) /* a day has many documents */
        if (strcmp(report->warnings.items[i].message, warning.message) == 0)
            return TW_OK;
    tw_fail_hint(&warning, "spell the name with Latin, Greek or Cyrillic letters if the box "
                           "would confuse somebody");
    return tw_report_warning(report, &warning, error);
}

tw_code tw_pdf_finish(tw_pdf *pdf, tw_report *report, tw_error *error) {
    if (answer(pdf, error) != TW_OK)
        return pdf->failure.code;
    if (tw_pdf_font_finish(pdf) == TW_OK && tw_pdf_meta_finish(pdf) == TW_OK) {
        add_identifier(pdf);
        if (tw_pdf_state(pdf) == TW_OK && tw_pdf_write(pdf) != TW_OK)
            return answer(pdf, error);
    }
    if (answer(pdf, error) != TW_OK)
        return pdf->failure.code;
    return warn(pdf, report, error);
}

void tw_pdf_free(tw_pdf *pdf) {
    if (pdf == NULL)
        return;
    for (size_t i = 0; pdf->images != NULL && i < pdf->facts.image_count * TW_PDF_INTENTS; i++)
        if (pdf->images[i] != NULL)
            tw_pixels_close(pdf->images[i]->pixels);
    if (pdf->doc != NULL)
        HPDF_Free(pdf->doc);
    tw_pdf_close(pdf);
    tw_block_free(pdf->allocator, pdf->buffer);
    tw_arena_free(pdf->arena);
}
