/*
 * For the tests of the pixel roads: pull a whole image with leaks counted, and undo by hand what
 * a PDF reader undoes (inflate, then PNG's filters).
 */
#ifndef TW_PIXELS_TESTING_H
#define TW_PIXELS_TESTING_H

#include "base/arena.h"
#include "image/image.h"
#include "pixels/pixels.h"

#include <zlib.h>

typedef struct pulled_image {
    tw_pixels_form form;
    unsigned char *bytes; /* owned */
    size_t length;
    size_t row_bytes; /* of an unfiltered row */
    int64_t bound;
    tw_code code;
    tw_error error;
} pulled_image;

static inline void add_bytes(pulled_image *to, const unsigned char *bytes, size_t count) {
    if (count == 0)
        return;
    to->bytes = realloc(to->bytes, to->length + count);
    memcpy(to->bytes + to->length, bytes, count);
    to->length += count;
}

/* Facts, then all pixels by `room` bytes at a time. The outcome is in code and error. */
static inline pulled_image try_image(const tw_allocator *allocator, const char *path, size_t room) {
    pulled_image out = {0};
    tw_image image;
    tw_pixels *pixels = NULL;
    tw_arena *arena = tw_arena_new(allocator, 0);
    unsigned char *buffer = malloc(room);
    size_t got = 1;
    out.code = arena == NULL ? TW_MEMORY : tw_image_read(arena, path, &image, &out.error);
    if (out.code == TW_OK)
        out.code =
            tw_pixels_open(tw_arena_allocator(arena), &image, &pixels, &out.form, &out.error);
    while (out.code == TW_OK && got > 0) {
        out.code = tw_pixels_pull(pixels, buffer, room, &got, &out.error);
        if (out.code == TW_OK)
            add_bytes(&out, buffer, got);
    }
    if (out.code == TW_OK)
        out.bound = tw_pixels_bound(&image);
    size_t bits = (size_t)out.form.channels * (size_t)out.form.bits;
    out.row_bytes = (out.form.width * bits + 7) / 8;
    tw_pixels_close(pixels);
    tw_arena_free(arena);
    free(buffer);
    return out;
}

static inline pulled_image pull_image(const char *path, size_t room) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    pulled_image out = try_image(&allocator, path, room);
    assert_ok(out.code, out.error);
    assert_no_leak(memory);
    return out;
}

static inline void free_pulled(pulled_image *pulled) {
    free(pulled->bytes);
    pulled->bytes = NULL;
}

static inline unsigned char near_paeth(int a, int b, int c) {
    int p = a + b - c, pa = abs(p - a), pb = abs(p - b), pc = abs(p - c);
    return (unsigned char)(pa <= pb && pa <= pc ? a : pb <= pc ? b : c);
}

/* One row in place: PNG (W3C) 9.2. `before` is NULL for the first. */
static inline void undo_filter(int type, unsigned char *row, const unsigned char *before,
                               size_t length, size_t step) {
    assert_in_range(type, 0, 4);
    for (size_t i = 0; i < length; i++) {
        int a = i < step ? 0 : row[i - step], b = before == NULL ? 0 : before[i];
        int c = i < step || before == NULL ? 0 : before[i - step];
        int predicted[] = {0, a, b, (a + b) / 2, near_paeth(a, b, c)};
        row[i] = (unsigned char)(row[i] + predicted[type]);
    }
}

/* Inflate to exactly the rows the form promises and undo the filters. Free the result. */
static inline unsigned char *undo_flate(const pulled_image *pulled) {
    size_t line = pulled->row_bytes + 1, height = pulled->form.height;
    uLongf length = line * height + 1; /* one more, to see it if there were more */
    unsigned char *raw = malloc(length), *rows = malloc(pulled->row_bytes * height);
    size_t bits = (size_t)pulled->form.channels * (size_t)pulled->form.bits;
    assert_int_equal(uncompress(raw, &length, pulled->bytes, pulled->length), Z_OK);
    assert_int_equal(length, line * height);
    for (size_t y = 0; y < height; y++) {
        unsigned char *row = rows + y * pulled->row_bytes;
        memcpy(row, raw + y * line + 1, pulled->row_bytes);
        undo_filter(raw[y * line], row, y == 0 ? NULL : row - pulled->row_bytes, pulled->row_bytes,
                    (bits + 7) / 8);
    }
    free(raw);
    return rows;
}

/* The IDAT payloads of a PNG file, found here without the library's help. Free the result. */
static inline unsigned char *join_payload(const unsigned char *file, size_t length, size_t *out) {
    unsigned char *joined = malloc(length);
    *out = 0;
    for (size_t at = 8; at + 12 <= length;) {
        size_t size = (size_t)file[at] << 24 | (size_t)file[at + 1] << 16 |
                      (size_t)file[at + 2] << 8 | file[at + 3];
        if (memcmp(file + at + 4, "IDAT", 4) == 0) {
            memcpy(joined + *out, file + at + 8, size);
            *out += size;
        }
        at += 12 + size;
    }
    return joined;
}

#endif
