/* The door to decoded rows: which decoder, and what holds for all of them (see rows.h). */
#include "image/rows.h"
#include "base/arena.h"
#include "base/error.h"
#include "image/image.h"

static tw_code make_white(const tw_allocator *allocator, const tw_image *image, tw_rows **out,
                          tw_error *error) {
    tw_rows *decoded = *out;
    tw_code code = tw_intact_rows(allocator, decoded, &image->damage, out, error);
    if (code != TW_OK) {
        tw_rows_close(decoded);
        *out = NULL;
    }
    return code;
}

static tw_code open_rows(const tw_allocator *allocator, const tw_image *image, bool stored,
                         unsigned eighths, tw_rows **out, tw_error *error) {
    tw_code code = TW_OK;
    *out = NULL;
    if (image->damage.words != NULL)
        eighths = 8; /* its rows are known by their numbers */
    if (image->format == TW_JPEG)
        code = tw_rows_jpeg_open(allocator, image, eighths, out, error);
    else if (image->format == TW_TIFF)
        code = tw_rows_tiff_open(allocator, image, stored, out, error);
    else
        code = tw_rows_png_open(allocator, image, stored, out, error);
    if (code == TW_OK && image->damage.white_count > 0)
        code = make_white(allocator, image, out, error);
    if (code != TW_OK)
        tw_fail_at(error, image->path, 0, 0);
    return code;
}

tw_code tw_rows_open(const tw_allocator *allocator, const tw_image *image, tw_rows **out,
                     tw_error *error) {
    return open_rows(allocator, image, false, 8, out, error);
}

tw_code tw_rows_open_stored(const tw_allocator *allocator, const tw_image *image, tw_rows **out,
                            tw_error *error) {
    return open_rows(allocator, image, true, 8, out, error);
}

/* The sides are rounded up, as libjpeg does. */
static bool is_enough(uint32_t pixels, unsigned eighths, uint32_t wanted) {
    return ((uint64_t)pixels * eighths + 7) / 8 >= wanted;
}

tw_code tw_rows_open_small(const tw_allocator *allocator, const tw_image *image, uint32_t across,
                           uint32_t down, tw_rows **out, tw_error *error) {
    unsigned eighths = 1;
    while (eighths < 8 &&
           !(is_enough(image->width, eighths, across) && is_enough(image->height, eighths, down)))
        eighths *= 2;
    return open_rows(allocator, image, false, eighths, out, error);
}

tw_code tw_rows_next(tw_rows *rows, unsigned char *row, tw_error *error) {
    if (rows->y >= rows->form.height)
        return tw_fail(error, TW_BUG, "bug", "a row is asked for after the last one");
    tw_code code = rows->kind->next(rows, row, error);
    rows->y += code == TW_OK;
    return code;
}

tw_code tw_rows_skip(tw_rows *rows, uint32_t count, unsigned char *scratch, tw_error *error) {
    tw_code code = TW_OK;
    if (count > rows->form.height - rows->y)
        return tw_fail(error, TW_BUG, "bug", "more rows are passed over than there are");
    if (rows->jumps)
        rows->y += count;
    else
        for (; count > 0 && code == TW_OK; count--)
            code = tw_rows_next(rows, scratch, error);
    return code;
}

tw_code tw_rows_end(tw_rows *rows, tw_error *error) {
    if (rows->y != rows->form.height)
        return tw_fail(error, TW_BUG, "bug", "the end is asked for before the last row");
    return rows->kind->end(rows, error);
}

tw_row_span tw_rows_lost(tw_rows *rows) {
    tw_row_span lost = {rows->y, rows->form.height};
    if (rows->lost != NULL)
        lost = rows->lost(rows);
    rows->y = lost.to;
    return lost;
}

void tw_rows_close(tw_rows *rows) {
    if (rows != NULL)
        rows->kind->close(rows);
}

void tw_rows_form_finish(tw_rows_form *form) {
    size_t samples = (size_t)form->channels + (form->alpha != TW_ALPHA_NONE);
    form->pixel_bytes = samples * (form->bits == 16 ? 2 : 1);
    form->row_bytes = form->width * form->pixel_bytes;
}

/* ------------------------------------------------ stages */

tw_code tw_stage_new(const tw_allocator *allocator, tw_rows *from, const tw_rows_kind *kind,
                     size_t size, size_t block, tw_stage **out, tw_error *error) {
    tw_stage *own = tw_block_new(allocator, size);
    if (own == NULL)
        return tw_no_memory(error);
    own->rows.kind = kind;
    own->rows.form = from->form;
    own->allocator = allocator;
    if (block > 0)
        own->block = tw_block_new(allocator, block);
    if (block > 0 && own->block == NULL) {
        tw_block_free(allocator, own);
        return tw_no_memory(error);
    }
    own->from = from;
    *out = own;
    return TW_OK;
}

tw_code tw_stage_end(tw_rows *rows, tw_error *error) {
    return tw_rows_end(((tw_stage *)rows)->from, error);
}

void tw_stage_close(tw_rows *rows) {
    tw_stage *own = (tw_stage *)rows;
    tw_rows_close(own->from);
    tw_block_free(own->allocator, own->block);
    tw_block_free(own->allocator, own);
}
