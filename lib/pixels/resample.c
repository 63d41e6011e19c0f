/*
 * Resampling as a stage of rows (see resample.h). Down first: every row that comes in is added,
 * weighed, to the few new rows it belongs to, so that the memory does not follow the scale; a new
 * row that is complete is then resampled across and turned from light to codes.
 */
#include "pixels/resample.h"

#include "colour/tone.h"
#include "image/source.h"

typedef struct resampling {
    tw_rows rows;
    const tw_allocator *allocator;
    tw_rows *from;
    const tw_tone *tone;
    tw_taps *across, *down;
    unsigned char *row; /* as it comes in */
    float *light;       /* the same as light */
    float *sums;        /* down->open_most new rows of the old width, in turn */
    size_t samples;     /* of an old row */
} resampling;

static void to_light(const resampling *own) {
    size_t channels = (size_t)own->rows.form.channels;
    bool wide = own->rows.form.bits == 16;
    for (size_t c = 0; c < channels; c++) {
        const uint32_t *light = own->tone->light[c];
        for (size_t i = c; i < own->samples; i += channels)
            own->light[i] = (float)light[wide ? tw_big16(own->row + 2 * i) : own->row[i]];
    }
}

static float *sums_of(const resampling *own, uint32_t y) {
    return own->sums + (y % own->down->open_most) * own->samples;
}

static void add_light(float *restrict sums, const float *restrict light, size_t samples,
                      float weight, bool first) {
    if (first)
        for (size_t i = 0; i < samples; i++)
            sums[i] = weight * light[i];
    else
        for (size_t i = 0; i < samples; i++)
            sums[i] += weight * light[i];
}

/* One more row, added to every new row from `y` on that it belongs to. */
static tw_code take_row(resampling *own, uint32_t y, tw_error *error) {
    uint32_t at = own->from->y;
    tw_code code = tw_rows_next(own->from, own->row, error);
    if (code != TW_OK)
        return code;
    to_light(own);
    for (; y < own->down->to && own->down->items[y].first <= at; y++) {
        const tw_tap *tap = &own->down->items[y];
        add_light(sums_of(own, y), own->light, own->samples, tap->weights[at - tap->first],
                  at == tap->first);
    }
    return TW_OK;
}

static void put_code(const resampling *own, unsigned char *to, int channel, float light) {
    uint32_t code = tw_tone_code(own->tone, channel, (int64_t)(light + 0.5F));
    if (own->rows.form.bits == 16) {
        to[0] = (unsigned char)(code >> 8);
        to[1] = (unsigned char)code;
    } else {
        to[0] = (unsigned char)code;
    }
}

static void across(const resampling *own, const float *sums, unsigned char *row) {
    size_t channels = (size_t)own->rows.form.channels, sample = (size_t)own->rows.form.bits / 8;
    for (uint32_t x = 0; x < own->across->to; x++) {
        const tw_tap *tap = &own->across->items[x];
        for (size_t c = 0; c < channels; c++, row += sample) {
            const float *from = sums + tap->first * channels + c;
            float light = 0;
            for (uint32_t i = 0; i < tap->count; i++)
                light += tap->weights[i] * from[i * channels];
            put_code(own, row, (int)c, light);
        }
    }
}

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    resampling *own = (resampling *)rows;
    const tw_tap *tap = &own->down->items[rows->y];
    tw_code code = TW_OK;
    while (code == TW_OK && own->from->y < tap->first + tap->count)
        code = take_row(own, rows->y, error);
    if (code == TW_OK)
        across(own, sums_of(own, rows->y), row);
    return code;
}

/* The last new row wants the last old one, so nothing is left unread. */
static tw_code end(tw_rows *rows, tw_error *error) {
    return tw_rows_end(((resampling *)rows)->from, error);
}

static void close_rows(tw_rows *rows) {
    resampling *own = (resampling *)rows;
    tw_rows_close(own->from);
    tw_taps_free(own->allocator, own->across);
    tw_taps_free(own->allocator, own->down);
    tw_block_free(own->allocator, own->row);
    tw_block_free(own->allocator, own->light);
    tw_block_free(own->allocator, own->sums);
    tw_block_free(own->allocator, own);
}

static tw_code take_parts(resampling *own, const tw_rows_form *from, tw_error *error) {
    tw_rows_form *form = &own->rows.form;
    tw_code code = tw_taps_new(own->allocator, from->width, form->width, &own->across, error);
    if (code == TW_OK)
        code = tw_taps_new(own->allocator, from->height, form->height, &own->down, error);
    if (code != TW_OK)
        return code;
    own->samples = (size_t)from->width * (size_t)from->channels;
    own->row = tw_block_new(own->allocator, from->row_bytes);
    own->light = tw_block_new(own->allocator, own->samples * sizeof(float));
    own->sums = tw_block_new(own->allocator, own->down->open_most * own->samples * sizeof(float));
    return own->row == NULL || own->light == NULL || own->sums == NULL ? tw_no_memory(error)
                                                                       : TW_OK;
}

tw_code tw_resample_rows(const tw_allocator *allocator, tw_rows *from, const tw_tone *tone,
                         uint32_t width, uint32_t height, tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, end, close_rows};
    resampling *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    own->allocator = allocator;
    own->tone = tone;
    own->rows.kind = &kind;
    own->rows.form = from->form;
    own->rows.form.width = width;
    own->rows.form.height = height;
    tw_rows_form_finish(&own->rows.form);
    tw_code code = take_parts(own, &from->form, error);
    if (code != TW_OK) {
        close_rows(&own->rows);
        return code;
    }
    own->from = from;
    *out = &own->rows;
    return TW_OK;
}
