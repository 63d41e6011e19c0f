/*
 * Every image decoded whole, for `check --pixels`: damage that the structure of a file does not
 * show (packed data that is wrong under right check sums, codes that no table holds, a strip of too
 * few rows). What was found is reported in the images' order, so that the answer does not depend
 * on how many threads there were.
 */
#include "image/each_image.h"
#include "image/rows.h"
#include "prints/prints.h"
#include "settle/damage.h"

typedef struct checking {
    const tw_image *images;
    tw_error *found; /* one an image; code TW_OK: whole */
} checking;

tw_code tw_decode_whole(const tw_allocator *allocator, const tw_image *image, tw_error *error) {
    tw_rows *rows = NULL;
    tw_code code = tw_rows_open(allocator, image, &rows, error);
    if (code != TW_OK)
        return code;
    unsigned char *row = tw_block_new(allocator, rows->form.row_bytes);
    code = row == NULL ? tw_no_memory(error) : TW_OK;
    for (uint32_t y = 0; code == TW_OK && y < rows->form.height; y++)
        code = tw_rows_next(rows, row, error);
    if (code == TW_OK)
        code = tw_rows_end(rows, error);
    tw_block_free(allocator, row);
    tw_rows_close(rows);
    return code;
}

static void check_image(void *context, const tw_allocator *shared, size_t index) {
    checking *c = context;
    if (tw_image_again(c->images, index)) /* each file is decoded once */
        return;
    c->found[index].code = tw_decode_whole(shared, &c->images[index], &c->found[index]);
}

/* Damage is a finding; want of memory or a failing disk ends the check, before anything is
 * reported: a check that is made again must not say a thing twice. */
static tw_code report_found(const checking *c, size_t count, tw_report *report, tw_error *error) {
    for (size_t i = 0; i < count; i++) {
        const tw_error *found = &c->found[i];
        if (found->code == TW_OK || found->code == TW_DAMAGED || found->code == TW_INPUT)
            continue;
        if (error != NULL)
            *error = *found;
        return found->code;
    }
    tw_code code = TW_OK;
    for (size_t i = 0; i < count && code == TW_OK; i++)
        if (c->found[i].code != TW_OK)
            code = tw_report_error(report, &c->found[i], error);
    return code;
}

tw_code tw_check_pixels(tw_arena *arena, const tw_image *images, size_t count, const tw_run *run,
                        tw_report *report, tw_error *error) {
    checking c = {images, tw_arena_array(arena, count, sizeof *c.found)};
    if (c.found == NULL)
        return tw_no_memory(error);
    tw_code code = tw_each_image(tw_arena_allocator(arena), count, run, check_image, &c, error);
    return code == TW_OK ? report_found(&c, count, report, error) : code;
}
