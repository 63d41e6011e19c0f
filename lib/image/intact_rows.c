/*
 * The stage that leaves out the rows of a damaged image that are lost and gives paper white for
 * them: no ink, and opaque where there is alpha. The decoder under it is never asked for a lost
 * row, so what it says and where it stops does not come into the pixels.
 */
#include <string.h>

#include "base/error.h"
#include "image/image.h"
#include "image/rows.h"

typedef struct intact_rows {
    tw_stage stage;
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
        own->stage.from->y = damage->white[own->span].to;
        return TW_OK;
    }
    return tw_rows_next(own->stage.from, row, error);
}

tw_code tw_intact_rows(const tw_allocator *allocator, tw_rows *from, const tw_damage *damage,
                       tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, tw_stage_end, tw_stage_close};
    tw_stage *stage = NULL;
    tw_code code = tw_stage_new(allocator, from, &kind, sizeof(intact_rows), 0, &stage, error);
    if (code != TW_OK)
        return code;
    ((intact_rows *)stage)->damage = damage;
    *out = &stage->rows;
    return TW_OK;
}
