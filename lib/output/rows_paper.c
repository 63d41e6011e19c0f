/*
 * The stage that lays what is partly transparent on paper white (pixels_paper.c says how); rows
 * without alpha come out.
 */
#include <string.h>

#include "output/pixels_rows.h"
#include "output/rows.h"

typedef struct paper_rows {
    tw_rows rows;
    const tw_allocator *allocator;
    tw_rows *from;
    const tw_tone *tone;
    unsigned char *row; /* with alpha */
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
    tw_code code = tw_rows_next(own->from, own->row, error);
    if (code != TW_OK)
        return code;
    if (own->from->form.alpha == TW_ALPHA_MULTIPLIED)
        divide(&own->from->form, own->row);
    tw_paper_row(own->tone, own->row, rows->form.width, rows->form.channels);
    memcpy(row, own->row, rows->form.row_bytes);
    return TW_OK;
}

static tw_code end(tw_rows *rows, tw_error *error) {
    return tw_rows_end(((paper_rows *)rows)->from, error);
}

static void close_rows(tw_rows *rows) {
    paper_rows *own = (paper_rows *)rows;
    tw_rows_close(own->from);
    tw_block_free(own->allocator, own->row);
    tw_block_free(own->allocator, own);
}

tw_code tw_paper_rows(const tw_allocator *allocator, tw_rows *from, const tw_tone *tone,
                      tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, end, close_rows};
    paper_rows *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    own->allocator = allocator;
    own->rows.kind = &kind;
    own->rows.form = from->form;
    own->rows.form.alpha = TW_ALPHA_NONE;
    tw_rows_form_finish(&own->rows.form);
    own->tone = tone;
    own->row = tw_block_new(allocator, from->form.row_bytes);
    if (own->row == NULL) {
        close_rows(&own->rows);
        return tw_no_memory(error);
    }
    own->from = from;
    *out = &own->rows;
    return TW_OK;
}
