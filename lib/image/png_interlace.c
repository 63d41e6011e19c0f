/*
 * Interlacing undone (PNG, W3C, clause 8: seven passes, Table of starts and steps below). The
 * passes go into a temporary file without a name, one after the other, and whole rows are
 * gathered from it: a picture of a gigabyte then costs a gigabyte of disk, not of memory.
 */
#include <string.h>

#include "base/temporary.h"
#include "image/png_decode.h"

enum { PASSES = 7 };

static const struct {
    uint32_t x, y, across, down;
} adam7[PASSES] = {{0, 0, 8, 8}, {4, 0, 8, 8}, {0, 4, 4, 8}, {2, 0, 4, 4},
                   {0, 2, 2, 4}, {1, 0, 2, 2}, {0, 1, 1, 2}};

struct tw_passes {
    const tw_allocator *allocator;
    int descriptor;
    size_t unit;
    uint32_t columns[PASSES], rows[PASSES];
    int64_t at[PASSES]; /* where each pass begins in the file */
    int pass;           /* the row wanted next */
    uint32_t row;
    unsigned char *buffer; /* one row of a pass */
    uint32_t width;
    bool stopped; /* `pass` is the first that is not whole */
};

static uint32_t share(uint32_t whole, uint32_t start, uint32_t step) {
    return whole > start ? (whole - start + step - 1) / step : 0;
}

/* Passes without a pixel are not there at all. */
static void skip_empty(tw_passes *passes) {
    while (passes->pass < PASSES &&
           (passes->columns[passes->pass] == 0 || passes->row >= passes->rows[passes->pass])) {
        passes->pass++;
        passes->row = 0;
    }
}

static void lay_out(tw_passes *passes, uint32_t width, uint32_t height) {
    int64_t at = 0;
    for (int i = 0; i < PASSES; i++) {
        passes->columns[i] = share(width, adam7[i].x, adam7[i].across);
        passes->rows[i] = share(height, adam7[i].y, adam7[i].down);
        passes->at[i] = at;
        at += (int64_t)passes->columns[i] * passes->rows[i] * (int64_t)passes->unit;
    }
    skip_empty(passes);
}

tw_code tw_passes_new(const tw_allocator *allocator, uint32_t width, uint32_t height, size_t unit,
                      tw_passes **out, tw_error *error) {
    tw_passes *passes = tw_block_new(allocator, sizeof *passes);
    *out = passes;
    if (passes == NULL)
        return tw_no_memory(error);
    passes->allocator = allocator;
    passes->descriptor = -1;
    passes->unit = unit;
    passes->width = width;
    lay_out(passes, width, height);
    passes->buffer = tw_block_new(allocator, width * unit);
    tw_code code = passes->buffer == NULL ? tw_no_memory(error)
                                          : tw_temporary_open(&passes->descriptor, error);
    if (code != TW_OK) {
        tw_passes_free(passes);
        *out = NULL;
    }
    return code;
}

uint32_t tw_passes_want(const tw_passes *passes) {
    return passes->pass < PASSES ? passes->columns[passes->pass] : 0;
}

static int64_t row_at(const tw_passes *passes, int pass, uint32_t row) {
    return passes->at[pass] + (int64_t)row * passes->columns[pass] * (int64_t)passes->unit;
}

tw_code tw_passes_put(tw_passes *passes, const unsigned char *row, tw_error *error) {
    size_t length = passes->columns[passes->pass] * passes->unit;
    tw_code code = tw_temporary_put(passes->descriptor, row, length,
                                    row_at(passes, passes->pass, passes->row), error);
    if (code != TW_OK)
        return code;
    passes->row++;
    skip_empty(passes);
    return TW_OK;
}

static tw_code fetch(tw_passes *passes, int pass, uint32_t row, tw_error *error) {
    return tw_temporary_get(passes->descriptor, passes->buffer,
                            passes->columns[pass] * passes->unit, row_at(passes, pass, row), error);
}

int tw_passes_stop(tw_passes *passes) {
    passes->stopped = passes->pass < PASSES;
    return passes->pass;
}

/* Pixels of the passes before `count`, in row `y`. */
static tw_code gather(tw_passes *passes, int count, uint32_t y, unsigned char *row,
                      tw_error *error) {
    size_t unit = passes->unit;
    for (int i = 0; i < count; i++) {
        bool in_pass = y >= adam7[i].y && (y - adam7[i].y) % adam7[i].down == 0;
        if (!in_pass || passes->columns[i] == 0)
            continue;
        tw_code code = fetch(passes, i, (y - adam7[i].y) / adam7[i].down, error);
        if (code != TW_OK)
            return code;
        unsigned char *to = row + adam7[i].x * unit;
        for (uint32_t x = 0; x < passes->columns[i]; x++, to += adam7[i].across * unit)
            memcpy(to, passes->buffer + x * unit, unit);
    }
    return TW_OK;
}

/* After each number of whole passes: how far apart the pixels that are there lie. */
static const uint32_t apart_x[PASSES] = {0, 8, 4, 4, 2, 2, 1},
                      apart_y[PASSES] = {0, 8, 8, 4, 4, 2, 2};

static tw_code coarse_row(tw_passes *passes, uint32_t y, unsigned char *row, tw_error *error) {
    size_t unit = passes->unit;
    uint32_t across = apart_x[passes->pass], from = y - y % apart_y[passes->pass];
    tw_code code = gather(passes, passes->pass, from, row, error);
    for (uint32_t x = 0; code == TW_OK && x < passes->width; x++)
        if (x % across > 0)
            memcpy(row + x * unit, row + (x - x % across) * unit, unit);
    return code;
}

tw_code tw_passes_row(tw_passes *passes, uint32_t y, unsigned char *row, tw_error *error) {
    bool last = passes->pass == PASSES - 1; /* it fills every second row by itself */
    if (passes->stopped && !(last && y % 2 == 1 && y / 2 < passes->row))
        return coarse_row(passes, y, row, error);
    return gather(passes, PASSES, y, row, error);
}

void tw_passes_free(tw_passes *passes) {
    if (passes == NULL)
        return;
    tw_temporary_close(&passes->descriptor);
    tw_block_free(passes->allocator, passes->buffer);
    tw_block_free(passes->allocator, passes);
}
