/*
 * The stage that lays what is partly transparent on paper white (paper_white.c says how); rows
 * without alpha come out.
 */
#include <string.h>

#include "colour/paper_white.h"

typedef struct paper_rows {
    tw_stage stage; /* its block: a row with alpha */
    const tw_tone *tone;
} paper_rows;

static uint32_t get(const unsigned char *sample, size_t size) {
    return size == 2 ? tw_big16(sample) : *sample;
}

static void put(unsigned char *sample, size_t size, uint32_t value) {
    if (size == 2)
        *sample++ = (unsigned char)(value >> 8);
    *sample = (unsigned char)value;
}

/* Colours that were multiplied by alpha become what they were; half up. */
static void divide(const tw_rows_form *from, unsigned char *row) {
    size_t size = from->bits == 16 ? 2 : 1, colours = (size_t)from->channels;
    uint32_t most = from->bits == 16 ? 65535 : 255;
    for (uint32_t x = 0; x < from->width; x++, row += from->pixel_bytes) {
        uint32_t alpha = get(row + colours * size, size);
        for (size_t c = 0; c < colours && alpha > 0; c++) {
            uint64_t whole = ((uint64_t)get(row + c * size, size) * most + alpha / 2) / alpha;
            put(row + c * size, size, whole < most ? (uint32_t)whole : most);
        }
    }
}

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    paper_rows *own = (paper_rows *)rows;
    tw_rows *from = own->stage.from;
    unsigned char *with_alpha = own->stage.block;
    tw_code code = tw_rows_next(from, with_alpha, error);
    if (code != TW_OK)
        return code;
    if (from->form.alpha == TW_ALPHA_MULTIPLIED)
        divide(&from->form, with_alpha);
    tw_paper_row(own->tone, with_alpha, rows->form.width, rows->form.channels);
    memcpy(row, with_alpha, rows->form.row_bytes);
    return TW_OK;
}

tw_code tw_paper_rows(const tw_allocator *allocator, tw_rows *from, const tw_tone *tone,
                      tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, tw_stage_end, tw_stage_close};
    tw_stage *stage = NULL;
    tw_code code = tw_stage_new(allocator, from, &kind, sizeof(paper_rows), from->form.row_bytes,
                                &stage, error);
    if (code != TW_OK)
        return code;
    stage->rows.form.alpha = TW_ALPHA_NONE;
    tw_rows_form_finish(&stage->rows.form);
    ((paper_rows *)stage)->tone = tone;
    *out = &stage->rows;
    return TW_OK;
}
