/*
 * Point sampling of decoded rows (sample.h): as a stage, under the one that lays on paper
 * white, so that only pixels that are looked at are worked on.
 */
#include "colour/sample.h"

#include <string.h>

#include "colour/paper_white.h"
#include "colour/tone.h"
#include "image/rows.h"

enum { AT_ONCE = 256 };

/* ------------------------------------------------ the stage */

/* The pixel in the middle of part `i` of `points`. */
static uint32_t middle(uint32_t i, uint32_t points, uint32_t pixels) {
    return (uint32_t)(((uint64_t)i * 2 + 1) * pixels / (2 * (uint64_t)points));
}

/* The row in the middle of part `i`; or, where packed strips begin in it, the first of the strip
 * that begins nearest, so that no more of it need be unpacked. Half a row of the grid at most lies
 * between the two. */
static uint32_t row_of(const tw_rows *from, uint32_t i, uint32_t points) {
    uint64_t pixels = from->form.height, strip = from->strip;
    uint64_t first = i * pixels / points, last = (i + 1) * pixels / points - 1;
    uint64_t at = middle(i, points, from->form.height);
    if (strip < 2)
        return (uint32_t)at;
    uint64_t before = at / strip * strip, after = before + strip;
    bool near = before >= first, far = after <= last;
    if (near && (!far || at - before <= after - at))
        return (uint32_t)before;
    return (uint32_t)(far ? after : at);
}

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    const tw_stage *own = (tw_stage *)rows;
    const tw_rows_form *form = &own->from->form;
    unsigned char *whole = own->block;
    uint32_t y = row_of(own->from, rows->y, rows->form.height);
    tw_code code = tw_rows_skip(own->from, y - own->from->y, whole, error);
    if (code == TW_OK)
        code = tw_rows_next(own->from, whole, error);
    for (uint32_t x = 0; x < rows->form.width && code == TW_OK; x++, row += form->pixel_bytes)
        memcpy(row, whole + middle(x, rows->form.width, form->width) * form->pixel_bytes,
               form->pixel_bytes);
    return code;
}

static tw_code end(tw_rows *rows, tw_error *error) {
    const tw_stage *own = (tw_stage *)rows;
    uint32_t left = own->from->form.height - own->from->y;
    tw_code code = tw_rows_skip(own->from, left, own->block, error);
    return code == TW_OK ? tw_rows_end(own->from, error) : code;
}

tw_code tw_sample_rows(const tw_allocator *allocator, tw_rows *from, uint32_t across, uint32_t down,
                       tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, end, tw_stage_close};
    tw_stage *own = NULL;
    tw_code code =
        tw_stage_new(allocator, from, &kind, sizeof *own, from->form.row_bytes, &own, error);
    if (code != TW_OK)
        return code;
    own->rows.form.width = across < from->form.width ? across : from->form.width;
    own->rows.form.height = down < from->form.height ? down : from->form.height;
    tw_rows_form_finish(&own->rows.form);
    *out = &own->rows;
    return TW_OK;
}

/* ------------------------------------------------ an image */

typedef struct sampling {
    const tw_image *image;
    tw_rows *rows;
    tw_tone *tone; /* NULL: nothing is transparent */
    unsigned char *row;
    tw_sample_taker *take;
    void *context;
} sampling;

static void copy_pixels(const tw_rows_form *form, const unsigned char *from, size_t count,
                        unsigned char *to) {
    if (form->bits == 8) {
        memcpy(to, from, count * form->pixel_bytes);
        return;
    }
    for (size_t i = 0; i < count * form->pixel_bytes; i += 2) {
        uint16_t sample = (uint16_t)(from[i] << 8 | from[i + 1]);
        memcpy(to + i, &sample, 2);
    }
}

/* Damaged images are decoded in full, so that a row of the grid is the middle one of its part. */
static bool is_lost(const sampling *s, uint32_t y) {
    const tw_damage *damage = &s->image->damage;
    uint32_t row = middle(y, s->rows->form.height, s->image->height);
    for (size_t i = 0; i < damage->white_count; i++)
        if (damage->white[i].from <= row && row < damage->white[i].to)
            return true;
    return false;
}

static void take_row(const sampling *s, uint32_t y) {
    bool lost = is_lost(s, y);
    const tw_rows_form *form = &s->rows->form;
    unsigned char pixels[AT_ONCE * 8];
    tw_sample_place places[AT_ONCE];
    for (uint32_t x = 0; x < form->width; x += AT_ONCE) {
        uint32_t left = form->width - x, count = left < AT_ONCE ? left : AT_ONCE;
        copy_pixels(form, s->row + x * form->pixel_bytes, count, pixels);
        for (uint32_t i = 0; i < count; i++)
            places[i] = (tw_sample_place){x + i, y, lost};
        s->take(s->context, pixels, count, places);
    }
}

static tw_code walk(sampling *s, tw_error *error) {
    tw_code code = TW_OK;
    for (uint32_t y = 0; y < s->rows->form.height && code == TW_OK; y++) {
        code = tw_rows_next(s->rows, s->row, error);
        if (code == TW_OK)
            take_row(s, y);
    }
    return code == TW_OK ? tw_rows_end(s->rows, error) : code;
}

static tw_code open_stages(const tw_allocator *allocator, const tw_image *image, uint32_t across,
                           uint32_t down, sampling *s, tw_error *error) {
    tw_rows *stage = NULL;
    tw_code code = tw_rows_open_small(allocator, image, across, down, &s->rows, error);
    if (code == TW_OK)
        code = tw_sample_rows(allocator, s->rows, across, down, &stage, error);
    if (code == TW_OK)
        s->rows = stage;
    if (code != TW_OK || s->rows->form.alpha == TW_ALPHA_NONE)
        return code;
    code = tw_tone_new(allocator, image, s->rows->form.bits, &s->tone, error);
    if (code == TW_OK)
        code = tw_paper_rows(allocator, s->rows, s->tone, &stage, error);
    if (code == TW_OK)
        s->rows = stage;
    return code;
}

tw_code tw_sample_image(const tw_allocator *allocator, const tw_image *image, uint32_t across,
                        uint32_t down, tw_sample_taker *take, void *context, tw_error *error) {
    sampling s = {.image = image, .take = take, .context = context};
    tw_code code = open_stages(allocator, image, across, down, &s, error);
    if (code == TW_OK) {
        s.row = tw_block_new(allocator, s.rows->form.row_bytes);
        code = s.row == NULL ? tw_no_memory(error) : walk(&s, error);
    }
    tw_block_free(allocator, s.row);
    tw_rows_close(s.rows);
    tw_tone_free(allocator, s.tone);
    return code;
}
