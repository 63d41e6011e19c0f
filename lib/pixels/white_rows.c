/*
 * Lost rows of a damaged image made paper white again behind the conversion to the paper's profile,
 * which rounds white to one step of ink here and there. Where rows were made anew, those are white
 * that are made of lost rows alone.
 */
#include <string.h>

#include "pixels/resample_weights.h"
#include "pixels/stages.h"

typedef struct white_rows {
    tw_stage stage;
    const tw_image *image;
} white_rows;

/* How many stored rows beside its own a row is made of: the lobes of the filter
 * (resample_weights.h), and four standard deviations of the sharpening mask, each rounded up. */
static uint64_t reach(const tw_image *image, uint64_t made) {
    const tw_treat *treat = &image->treat;
    uint64_t rows = 0, a_row = (image->height + made - 1) / made;
    if (treat->width > 0)
        rows += tw_lanczos_lobes((uint32_t)image->height, (uint32_t)made) * a_row + 2;
    if (treat->amount > 0)
        rows += (uint64_t)(4 * treat->radius_y / 1000000 + 2) * a_row;
    return rows;
}

/* Row `y` of the result, which may be a part of the picture. */
static bool is_white(const tw_image *image, uint64_t y) {
    const tw_treat *treat = &image->treat;
    uint64_t height = image->height, made = treat->width > 0 ? treat->height : height;
    uint64_t far = reach(image, made);
    y += treat->crop_width > 0 ? treat->crop_y : 0;
    uint64_t first = y * height / made, end = ((y + 1) * height + made - 1) / made + far;
    first = first > far ? first - far : 0;
    end = end < height ? end : height;
    for (size_t i = 0; i < image->damage.white_count; i++)
        if (image->damage.white[i].from <= first && end <= image->damage.white[i].to)
            return true;
    return false;
}

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    white_rows *own = (white_rows *)rows;
    tw_code code = tw_rows_next(own->stage.from, row, error);
    if (code == TW_OK && is_white(own->image, rows->y))
        memset(row, rows->form.space == TW_CMYK ? 0 : 255, rows->form.row_bytes);
    return code;
}

tw_code tw_white_rows(const tw_allocator *allocator, tw_rows *from, const tw_image *image,
                      tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, tw_stage_end, tw_stage_close};
    tw_stage *stage = NULL;
    tw_code code = tw_stage_new(allocator, from, &kind, sizeof(white_rows), 0, &stage, error);
    if (code != TW_OK)
        return code;
    ((white_rows *)stage)->image = image;
    *out = &stage->rows;
    return TW_OK;
}
