/* Point sampling of decoded rows (colour_sample.h). */
#include "output/colour_sample.h"

#include <string.h>

#include "output/rows.h"

enum { AT_ONCE = 256 };

/* The pixel in the middle of part `i` of `points`. */
static uint32_t middle(uint32_t i, uint32_t points, uint32_t pixels) {
    return (uint32_t)(((uint64_t)i * 2 + 1) * pixels / (2 * (uint64_t)points));
}

typedef struct sampling {
    const tw_rows_form *form;
    uint32_t across, down;
    tw_sample_taker *take;
    void *context;
} sampling;

static void copy_pixel(const tw_rows_form *form, const unsigned char *from, unsigned char *to) {
    if (form->bits == 8) {
        memcpy(to, from, form->pixel_bytes);
        return;
    }
    for (size_t i = 0; i < form->pixel_bytes; i += 2) {
        uint16_t sample = (uint16_t)(from[i] << 8 | from[i + 1]);
        memcpy(to + i, &sample, 2);
    }
}

static void take_row(const sampling *s, const unsigned char *row, uint32_t y) {
    const tw_rows_form *form = s->form;
    unsigned char pixels[AT_ONCE * 8];
    tw_sample_place places[AT_ONCE];
    for (uint32_t i = 0; i < s->across;) {
        size_t count = 0;
        for (; count < AT_ONCE && i < s->across; count++, i++) {
            copy_pixel(form, row + middle(i, s->across, form->width) * form->pixel_bytes,
                       pixels + count * form->pixel_bytes);
            places[count] = (tw_sample_place){i, y};
        }
        s->take(s->context, pixels, count, places);
    }
}

static tw_code walk(tw_rows *rows, const sampling *s, unsigned char *row, tw_error *error) {
    tw_code code = TW_OK;
    uint32_t next = 0;
    for (uint32_t y = 0; y < rows->form.height && code == TW_OK; y++) {
        code = tw_rows_next(rows, row, error);
        if (code == TW_OK && next < s->down && y == middle(next, s->down, rows->form.height))
            take_row(s, row, next++);
    }
    return code == TW_OK ? tw_rows_end(rows, error) : code;
}

static tw_code open_plain(const tw_allocator *allocator, const tw_image *image, tw_rows **rows,
                          tw_tone **tone, tw_error *error) {
    tw_rows *laid = NULL;
    tw_code code = tw_rows_open(allocator, image, rows, error);
    if (code != TW_OK || (*rows)->form.alpha == TW_ALPHA_NONE)
        return code;
    code = tw_tone_new(allocator, image, (*rows)->form.bits, tone, error);
    if (code == TW_OK)
        code = tw_paper_rows(allocator, *rows, *tone, &laid, error);
    if (code == TW_OK)
        *rows = laid;
    return code;
}

tw_code tw_sample_image(const tw_allocator *allocator, const tw_image *image, uint32_t across,
                        uint32_t down, tw_sample_taker *take, void *context, tw_error *error) {
    tw_rows *rows = NULL;
    tw_tone *tone = NULL;
    unsigned char *row = NULL;
    tw_code code = open_plain(allocator, image, &rows, &tone, error);
    if (code == TW_OK) {
        row = tw_block_new(allocator, rows->form.row_bytes);
        const sampling s = {&rows->form, across < rows->form.width ? across : rows->form.width,
                            down < rows->form.height ? down : rows->form.height, take, context};
        code = row == NULL ? tw_no_memory(error) : walk(rows, &s, row, error);
    }
    tw_block_free(allocator, row);
    tw_rows_close(rows);
    tw_tone_free(allocator, tone);
    return code;
}
