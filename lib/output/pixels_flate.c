/*
 * Decoded rows packed again for FlateDecode with Predictor 15 (ISO 32000-1 7.4.4.4): each row
 * gets the one of PNG's five filters whose bytes, taken as signed, have the least sum of
 * magnitudes (PNG, W3C, 12.8), then deflate. Level 4 is where lazy matching begins: on photographs
 * after filtering it packs as well as 6 in under a third of the time. zlib's calls end in this
 * file.
 */
#define ZLIB_CONST /* next_in is const */
#include "output/pixels_rows.h"

#include <stdlib.h>
#include <string.h>
#include <zlib.h>

enum { FILTERS = 5, LEVEL = 4 };

struct tw_flate {
    const tw_allocator *allocator;
    z_stream zlib;
    bool started, ending, ended;
    size_t row_bytes, step;
    unsigned char *before;         /* the row before, unfiltered; step zero bytes lie before it */
    unsigned char *now;            /* the row in hand, likewise */
    unsigned char *tried[FILTERS]; /* filter type byte, then the filtered row */
    unsigned char *memory;         /* all of them in one block */
};

static void *zlib_take(void *context, uInt count, uInt size) {
    return tw_block_new(context, (size_t)count * size);
}

static void zlib_give(void *context, void *block) {
    tw_block_free(context, block);
}

/* Two rows with room before them, and one candidate a filter that may be tried. */
static bool take_memory(tw_flate *flate) {
    size_t lead = 8, row = lead + flate->row_bytes, candidate = 1 + flate->row_bytes;
    size_t count = flate->step == 0 ? 1 : FILTERS;
    flate->memory = tw_block_new(flate->allocator, 2 * row + count * candidate);
    if (flate->memory == NULL)
        return false;
    flate->before = flate->memory + lead;
    flate->now = flate->before + row;
    for (size_t i = 0; i < count; i++) {
        flate->tried[i] = flate->memory + 2 * row + i * candidate;
        flate->tried[i][0] = (unsigned char)i;
    }
    return true;
}

tw_code tw_flate_new(const tw_allocator *allocator, size_t row_bytes, size_t step, tw_flate **out,
                     tw_error *error) {
    tw_flate *flate = tw_block_new(allocator, sizeof *flate);
    *out = flate;
    if (flate == NULL)
        return tw_no_memory(error);
    flate->allocator = allocator;
    flate->row_bytes = row_bytes;
    flate->step = step;
    flate->zlib.zalloc = zlib_take;
    flate->zlib.zfree = zlib_give;
    flate->zlib.opaque = (void *)allocator;
    bool ready = take_memory(flate);
    flate->started = ready && deflateInit2(&flate->zlib, LEVEL, Z_DEFLATED, 15, 8,
                                           step == 0 ? Z_DEFAULT_STRATEGY : Z_FILTERED) == Z_OK;
    if (flate->started)
        return TW_OK;
    tw_flate_free(flate);
    *out = NULL;
    return tw_no_memory(error);
}

static unsigned char paeth(int left, int up, int up_left) {
    int to_left = abs(up - up_left), to_up = abs(left - up_left);
    int to_both = abs(left + up - 2 * up_left);
    if (to_left <= to_up && to_left <= to_both)
        return (unsigned char)left;
    return (unsigned char)(to_up <= to_both ? up : up_left);
}

/* The five filters of clause 9.2; bytes before the row are zero. */
static void filter_row(tw_flate *flate) {
    const unsigned char *x = flate->now, *b = flate->before;
    const unsigned char *a = x - flate->step, *c = b - flate->step;
    size_t n = flate->row_bytes;
    unsigned char *sub = flate->tried[1] + 1, *up = flate->tried[2] + 1;
    unsigned char *average = flate->tried[3] + 1, *by_paeth = flate->tried[4] + 1;
    memcpy(flate->tried[0] + 1, x, n);
    for (size_t i = 0; i < n; i++)
        sub[i] = (unsigned char)(x[i] - a[i]);
    for (size_t i = 0; i < n; i++)
        up[i] = (unsigned char)(x[i] - b[i]);
    for (size_t i = 0; i < n; i++)
        average[i] = (unsigned char)(x[i] - (a[i] + b[i]) / 2);
    for (size_t i = 0; i < n; i++)
        by_paeth[i] = (unsigned char)(x[i] - paeth(a[i], b[i], c[i]));
}

static uint64_t magnitude(const unsigned char *bytes, size_t length) {
    uint64_t sum = 0;
    for (size_t i = 0; i < length; i++)
        sum += bytes[i] < 128 ? bytes[i] : 256u - bytes[i];
    return sum;
}

static const unsigned char *best_row(tw_flate *flate) {
    size_t best = 0;
    uint64_t least = UINT64_MAX;
    for (size_t i = 0; i < FILTERS; i++) {
        uint64_t sum = magnitude(flate->tried[i] + 1, flate->row_bytes);
        if (sum < least) {
            least = sum;
            best = i;
        }
    }
    return flate->tried[best];
}

tw_code tw_flate_row(tw_flate *flate, const unsigned char *row, tw_error *error) {
    if (flate->zlib.avail_in > 0 || flate->ending)
        return tw_fail(error, TW_BUG, "bug", "a row comes before the last one was packed");
    if (flate->step == 0) {
        memcpy(flate->tried[0] + 1, row, flate->row_bytes);
        flate->zlib.next_in = flate->tried[0];
    } else {
        memcpy(flate->now, row, flate->row_bytes);
        filter_row(flate);
        flate->zlib.next_in = best_row(flate);
        unsigned char *swap = flate->before;
        flate->before = flate->now;
        flate->now = swap;
    }
    flate->zlib.avail_in = (uInt)(flate->row_bytes + 1);
    return TW_OK;
}

void tw_flate_end(tw_flate *flate) {
    flate->ending = true;
}

tw_code tw_flate_pull(tw_flate *flate, unsigned char *bytes, size_t room, size_t *got,
                      tw_error *error) {
    *got = 0;
    if (flate->ended || (flate->zlib.avail_in == 0 && !flate->ending))
        return TW_OK;
    flate->zlib.next_out = bytes;
    flate->zlib.avail_out = (uInt)room;
    int result = deflate(&flate->zlib, flate->ending ? Z_FINISH : Z_NO_FLUSH);
    flate->ended = result == Z_STREAM_END;
    *got = room - flate->zlib.avail_out;
    if (result == Z_OK || result == Z_STREAM_END || result == Z_BUF_ERROR)
        return TW_OK;
    return tw_fail(error, TW_BUG, "bug", "deflate failed with %d", result);
}

void tw_flate_free(tw_flate *flate) {
    if (flate == NULL)
        return;
    if (flate->started)
        (void)deflateEnd(&flate->zlib);
    tw_block_free(flate->allocator, flate->memory);
    tw_block_free(flate->allocator, flate);
}
