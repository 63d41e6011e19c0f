/*
 * Sharpening as a stage of rows (see resample.h). Rows are blurred across as they come in and
 * kept, as far as the mask reaches up and down; the mask of a row is the weighed sum of those.
 */
#include "pixels/resample.h"

#include <math.h>
#include <string.h>

#include "base/power.h"
#include "image/image.h"
#include "image/source.h"

/* Weights at distance 0, 1 ... reach; they add up to 1 on a line without ends. */
typedef struct bell {
    uint32_t reach;
    float *weights;
} bell;

typedef struct sharpening {
    tw_rows rows;
    const tw_allocator *allocator;
    tw_rows *from;
    tw_treat treat;
    bell across, down;
    uint32_t kept;       /* rows kept: twice down.reach and the one between */
    size_t planes, line; /* lightness, or each ink; samples of a kept row */
    unsigned char *raw;  /* the rows kept, as they came */
    float *blurred;      /* and across blurred */
    float *plain;        /* one row's planes, each by itself */
    float *mask;
} sharpening;

/* ------------------------------------------------ the Gaussian */

/* exp(-k^2 / (2 s^2)) as 2^-y; y to a 65536th. s in millionths of a pixel. */
static double bell_at(uint32_t k, int64_t radius) {
    double s = (double)radius / 1e6;
    double y = (double)k * k / (2 * s * s * 0.69314718055994530942);
    if (y > 60)
        return 0;
    uint64_t power = tw_power(TW_POWER_ONE / 2, (uint32_t)floor(y * 65536 + 0.5), 65536);
    return (double)power / (double)TW_POWER_ONE;
}

/* Three standard deviations: what lies beyond weighs under three thousandths. */
static tw_code make_bell(const tw_allocator *allocator, int64_t radius, bell *out,
                         tw_error *error) {
    out->reach = (uint32_t)((3 * radius + 999999) / 1000000);
    out->weights = tw_block_new(allocator, (out->reach + 1) * sizeof(float));
    if (out->weights == NULL)
        return tw_no_memory(error);
    double sum = 1;
    for (uint32_t k = 1; k <= out->reach; k++)
        sum += 2 * bell_at(k, radius);
    for (uint32_t k = 0; k <= out->reach; k++)
        out->weights[k] = (float)((k == 0 ? 1 : bell_at(k, radius)) / sum);
    return TW_OK;
}

/* ------------------------------------------------ rows in */

static float sample(const sharpening *own, const unsigned char *row, size_t at) {
    return own->rows.form.bits == 16 ? (float)tw_big16(row + 2 * at) / 257.0F : (float)row[at];
}

/* Lightness of RGB by the shares of ITU-R BT.709 in 256ths; grey and inks are their own. */
static void take_planes(const sharpening *own, const unsigned char *row) {
    size_t width = own->rows.form.width;
    if (own->rows.form.space == TW_RGB)
        for (size_t x = 0; x < width; x++)
            own->plain[x] = (54 * sample(own, row, 3 * x) + 183 * sample(own, row, 3 * x + 1) +
                             19 * sample(own, row, 3 * x + 2)) /
                            256;
    else
        for (size_t p = 0; p < own->planes; p++)
            for (size_t x = 0; x < width; x++)
                own->plain[p * width + x] = sample(own, row, x * own->planes + p);
}

/* At the ends what lies outside is left out and the rest weighs 1 together. */
static float blur_end(const bell *b, const float *line, uint32_t width, uint32_t x) {
    float sum = 0, whole = 0;
    uint32_t low = x < b->reach ? 0 : x - b->reach;
    uint32_t high = width - 1 - x < b->reach ? width - 1 : x + b->reach;
    for (uint32_t i = low; i <= high; i++) {
        float weight = b->weights[i < x ? x - i : i - x];
        sum += weight * line[i];
        whole += weight;
    }
    return sum / whole;
}

static void blur(const bell *b, const float *line, uint32_t width, float *out) {
    for (uint32_t x = 0; x < width; x++) {
        if (x < b->reach || width - 1 - x < b->reach) {
            out[x] = blur_end(b, line, width, x);
            continue;
        }
        const float *at = line + x;
        float sum = b->weights[0] * at[0];
        for (ptrdiff_t k = 1; k <= (ptrdiff_t)b->reach; k++)
            sum += b->weights[k] * (at[-k] + at[k]);
        out[x] = sum;
    }
}

static tw_code take_row(sharpening *own, tw_error *error) {
    uint32_t slot = own->from->y % own->kept, width = own->rows.form.width;
    unsigned char *row = own->raw + slot * own->rows.form.row_bytes;
    float *blurred = own->blurred + slot * own->line;
    tw_code code = tw_rows_next(own->from, row, error);
    if (code != TW_OK)
        return code;
    take_planes(own, row);
    for (size_t p = 0; p < own->planes; p++)
        blur(&own->across, own->plain + p * width, width, blurred + p * width);
    return TW_OK;
}

/* ------------------------------------------------ rows out */

static void add_line(float *restrict mask, const float *restrict line, size_t count, float weight) {
    for (size_t i = 0; i < count; i++)
        mask[i] += weight * line[i];
}

static void make_mask(const sharpening *own, uint32_t y) {
    const bell *b = &own->down;
    uint32_t height = own->rows.form.height;
    uint32_t low = y < b->reach ? 0 : y - b->reach;
    uint32_t high = height - 1 - y < b->reach ? height - 1 : y + b->reach;
    float whole = 0;
    memset(own->mask, 0, own->line * sizeof(float));
    for (uint32_t i = low; i <= high; i++) {
        float weight = b->weights[i < y ? y - i : i - y];
        add_line(own->mask, own->blurred + (i % own->kept) * own->line, own->line, weight);
        whole += weight;
    }
    for (size_t i = 0; i < own->line; i++)
        own->mask[i] /= whole;
}

/* What is added to a sample of 0..255. */
static float edge(const sharpening *own, float plain, float mask) {
    float difference = plain - mask, threshold = (float)own->treat.threshold;
    float over = difference > threshold    ? difference - threshold
                 : difference < -threshold ? difference + threshold
                                           : 0;
    return over * (float)own->treat.amount / 1000;
}

static void put(const sharpening *own, unsigned char *to, float value) {
    bool wide = own->rows.form.bits == 16;
    float code = floorf((wide ? value * 257 : value) + 0.5F);
    float most = wide ? 65535 : 255;
    uint32_t whole = code < 0 ? 0 : code > most ? (uint32_t)most : (uint32_t)code;
    if (wide)
        *to++ = (unsigned char)(whole >> 8);
    *to = (unsigned char)whole;
}

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    sharpening *own = (sharpening *)rows;
    size_t channels = (size_t)rows->form.channels, width = rows->form.width;
    size_t bytes = (size_t)rows->form.bits / 8;
    uint32_t last = rows->form.height - 1 - rows->y < own->down.reach ? rows->form.height - 1
                                                                      : rows->y + own->down.reach;
    tw_code code = TW_OK;
    while (code == TW_OK && own->from->y <= last)
        code = take_row(own, error);
    if (code != TW_OK)
        return code;
    const unsigned char *raw = own->raw + (rows->y % own->kept) * rows->form.row_bytes;
    take_planes(own, raw);
    make_mask(own, rows->y);
    for (size_t i = 0; i < width * channels; i++) {
        size_t at = own->planes == 1 ? i / channels : i % channels * width + i / channels;
        float added = edge(own, own->plain[at], own->mask[at]);
        if (added != 0)
            put(own, row + i * bytes, sample(own, raw, i) + added);
        else
            memcpy(row + i * bytes, raw + i * bytes, bytes);
    }
    return TW_OK;
}

static tw_code end(tw_rows *rows, tw_error *error) {
    return tw_rows_end(((sharpening *)rows)->from, error);
}

static void close_rows(tw_rows *rows) {
    sharpening *own = (sharpening *)rows;
    void *const blocks[] = {own->across.weights, own->down.weights, own->raw,
                            own->blurred,        own->plain,        own->mask};
    tw_rows_close(own->from);
    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++)
        tw_block_free(own->allocator, blocks[i]);
    tw_block_free(own->allocator, own);
}

static tw_code take_parts(sharpening *own, tw_error *error) {
    const tw_rows_form *form = &own->rows.form;
    tw_code code = make_bell(own->allocator, own->treat.radius_x, &own->across, error);
    if (code == TW_OK)
        code = make_bell(own->allocator, own->treat.radius_y, &own->down, error);
    if (code != TW_OK)
        return code;
    own->planes = form->space == TW_CMYK ? 4 : 1;
    own->line = own->planes * form->width;
    own->kept = 2 * own->down.reach + 1;
    own->raw = tw_block_new(own->allocator, own->kept * form->row_bytes);
    own->blurred = tw_block_new(own->allocator, own->kept * own->line * sizeof(float));
    own->plain = tw_block_new(own->allocator, own->line * sizeof(float));
    own->mask = tw_block_new(own->allocator, own->line * sizeof(float));
    bool all = own->raw != NULL && own->blurred != NULL && own->plain != NULL && own->mask != NULL;
    return all ? TW_OK : tw_no_memory(error);
}

tw_code tw_sharpen_rows(const tw_allocator *allocator, tw_rows *from, const tw_treat *treat,
                        tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, end, close_rows};
    sharpening *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    own->allocator = allocator;
    own->treat = *treat;
    own->rows.kind = &kind;
    own->rows.form = from->form;
    tw_code code = take_parts(own, error);
    if (code != TW_OK) {
        close_rows(&own->rows);
        return code;
    }
    own->from = from;
    *out = &own->rows;
    return TW_OK;
}
