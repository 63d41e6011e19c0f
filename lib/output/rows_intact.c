/*
 * The stage that leaves out the rows of a damaged image that are lost and gives paper white for
 * them: no ink, and opaque where there is alpha. The decoder under it is never asked for a lost
 * row, so what it says and where it stops does not come into the pixels.
 */
#include <string.h>

#include "output/rows.h"

typedef struct intact_rows {
    tw_rows rows;
    const tw_allocator *allocator;
    tw_rows *from;
    const tw_damage *damage;
    size_t span; /* the first of the damage that is not passed yet */
} intact_rows;

static void paint_white(const tw_rows_form *form, unsigned char *row) {
    bool inks = form->space == TW_CMYK;
    memset(row, inks ? 0 : 255, form->row_bytes);
    if (!inks || form->alpha == TW_ALPHA_NONE)
        return;
    size_t size = form->bits == 16 ? 2 : 1;
    for (uint32_t x = 0; x < form->width; x++, row += form->pixel_bytes)
        memset(row + form->pixel_bytes - size, 255, size);
}

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    intact_rows *own = (intact_rows *)rows;
    const tw_damage *damage = own->damage;
    while (own->span < damage->white_count && damage->white[own->span].to <= rows->y)
        own->span++;
    if (own->span < damage->white_count && damage->white[own->span].from <= rows->y) {
        paint_white(&rows->form, row);
        own->from->y = damage->white[own->span].to;
        return TW_OK;
    }
    return tw_rows_next(own->from, row, error);
}

static tw_code end(tw_rows *rows, tw_error *error) {
    return tw_rows_end(((intact_rows *)rows)->from, error);
}

static void close_rows(tw_rows *rows) {
    intact_rows *own = (intact_rows *)rows;
    tw_rows_close(own->from);
    tw_block_free(own->allocator, own);
}

tw_code tw_intact_rows(const tw_allocator *allocator, tw_rows *from, const tw_damage *damage,
                       tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, end, close_rows};
    intact_rows *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    own->rows.kind = &kind;
    own->rows.form = from->form;
    own->allocator = allocator;
    own->from = from;
    own->damage = damage;
    *out = &own->rows;
    return TW_OK;
}
