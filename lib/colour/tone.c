/*
 * The curves of one image as tables (see tone.h): which curve, its light at every code and half
 * way between, and the search back.
 */
#include "colour/tone.h"

#include <string.h>

/* A profile's curves for the image's channels; false where one is missing. */
static bool own_curves(const tw_image *image, tw_curve curves[3]) {
    static const char *const rgb[] = {"rTRC", "gTRC", "bTRC"};
    if (image->profile == NULL || image->profile_problem != NULL || image->profile_length < 132)
        return false;
    if (image->space == TW_GREY)
        return tw_curve_find(image->profile, image->profile_length, "kTRC", &curves[0]);
    for (int i = 0; i < 3; i++)
        if (!tw_curve_find(image->profile, image->profile_length, rgb[i], &curves[i]))
            return false;
    return true;
}

static bool same_curve(const tw_curve *a, const tw_curve *b) {
    const tw_curve_parts *p = &a->parts, *q = &b->parts;
    return a->kind == b->kind && a->count == b->count && p->g == q->g && p->a == q->a &&
           p->b == q->b && p->c == q->c && p->d == q->d && p->e == q->e && p->f == q->f &&
           (a->kind != TW_CURVE_TABLE || memcmp(a->table, b->table, 2 * (size_t)a->count) == 0);
}

#define STARTS (((size_t)1 << (TW_TONE_BITS - TW_TONE_STEP)) + 2)

/* The last code from low to high whose border lies below the light; borders of `low` do. */
static uint32_t search(const uint32_t *borders, uint32_t low, uint32_t high, int64_t light) {
    while (low < high) {
        uint32_t middle = high - (high - low) / 2;
        if (borders[middle] < light)
            low = middle;
        else
            high = middle - 1;
    }
    return low;
}

static void fill_starts(uint32_t most, const uint32_t *borders, uint32_t *starts) {
    for (size_t k = 0; k < STARTS; k++)
        starts[k] = search(borders, k == 0 ? 0 : starts[k - 1], most, (int64_t)k << TW_TONE_STEP);
}

/* light[0..most], then borders[0..most], then starts; false where the curve falls or is flat from
 * end to end: no way leads back then. */
static bool fill(const tw_curve *curve, uint32_t most, uint32_t *light) {
    uint32_t *borders = light + most + 1, before = 0;
    for (uint32_t code = 0; code <= most; code++) {
        borders[code] = code == 0 ? 0 : tw_curve_light(curve, 2 * code - 1, 2 * most);
        light[code] = tw_curve_light(curve, 2 * code, 2 * most);
        if (borders[code] < before || light[code] < borders[code])
            return false;
        before = light[code];
    }
    fill_starts(most, borders, borders + most + 1);
    return light[most] > light[0];
}

/* A table a curve; channels of one curve share it. *good false: another choice is wanted. */
static tw_code make_tables(const tw_allocator *allocator, tw_tone *tone, const tw_curve *curves,
                           int channels, bool *good, tw_error *error) {
    size_t half = (size_t)tone->most + 1;
    *good = true;
    for (int c = 0; c < channels && *good; c++) {
        bool shared = c > 0 && same_curve(&curves[c], &curves[0]);
        if (!shared && tone->tables[c] == NULL)
            tone->tables[c] = tw_block_new(allocator, (2 * half + STARTS) * sizeof(uint32_t));
        uint32_t *table = shared ? tone->tables[0] : tone->tables[c];
        if (table == NULL)
            return tw_no_memory(error);
        *good = shared || fill(&curves[c], tone->most, table);
        tone->light[c] = table;
        tone->borders[c] = table + half;
        tone->starts[c] = table + 2 * half;
    }
    return TW_OK;
}

static tw_code make_same(const tw_allocator *allocator, tw_tone *tone, tw_curve_kind kind,
                         tw_error *error) {
    tw_curve curve = {.kind = kind};
    bool good;
    tw_code code = make_tables(allocator, tone, &curve, 1, &good, error);
    for (int c = 1; c < 4 && code == TW_OK; c++) {
        tone->light[c] = tone->light[0];
        tone->borders[c] = tone->borders[0];
        tone->starts[c] = tone->starts[0];
    }
    return code;
}

static tw_code choose(const tw_allocator *allocator, const tw_image *image, tw_tone *tone,
                      tw_error *error) {
    tw_curve curves[3];
    bool good = false;
    tw_code code = TW_OK;
    tone->paper = image->space == TW_CMYK ? 0 : tone->most;
    tone->source = image->space == TW_CMYK ? TW_TONE_INK : TW_TONE_OWN;
    if (tone->source == TW_TONE_INK)
        return make_same(allocator, tone, TW_CURVE_LINE, error);
    if (own_curves(image, curves))
        code = make_tables(allocator, tone, curves, image->space == TW_GREY ? 1 : 3, &good, error);
    if (code != TW_OK || good)
        return code;
    tone->source = image->profile == NULL && image->says_srgb ? TW_TONE_SRGB : TW_TONE_ASSUMED;
    return make_same(allocator, tone, TW_CURVE_SRGB, error);
}

tw_code tw_tone_new(const tw_allocator *allocator, const tw_image *image, int bits, tw_tone **out,
                    tw_error *error) {
    tw_tone *tone = *out = tw_block_new(allocator, sizeof *tone);
    if (tone == NULL)
        return tw_no_memory(error);
    tone->most = bits == 16 ? 65535 : 255;
    tw_code code = choose(allocator, image, tone, error);
    if (code != TW_OK) {
        tw_tone_free(allocator, tone);
        *out = NULL;
    }
    return code;
}

void tw_tone_free(const tw_allocator *allocator, tw_tone *tone) {
    if (tone == NULL)
        return;
    for (int i = 0; i < 3; i++)
        tw_block_free(allocator, tone->tables[i]);
    tw_block_free(allocator, tone);
}

/* On a stretch so dark that codes share one light, the first of them. */
uint32_t tw_tone_code(const tw_tone *tone, int channel, int64_t light) {
    const uint32_t *starts = tone->starts[channel];
    if (light <= 0)
        return 0;
    size_t step = light >> TW_TONE_BITS != 0 ? STARTS - 2 : (size_t)(light >> TW_TONE_STEP);
    return search(tone->borders[channel], starts[step],
                  step == STARTS - 2 ? tone->most : starts[step + 1], light);
}
