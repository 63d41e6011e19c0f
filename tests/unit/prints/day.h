/*
 * A small print day for the tests of this layer and those to its right: image files that have
 * sizes but hardly any bytes, one roll, a few templates, and the orders a test writes.
 */
#ifndef TW_TEST_DAY_H
#define TW_TEST_DAY_H

#include "job/folder.h"

#include <zlib.h>

#include "prints/prints.h"

static inline void day_chunk(FILE *file, const char *kind, const unsigned char *bytes,
                             uint32_t length) {
    uint32_t crc = (uint32_t)crc32(0, (const unsigned char *)kind, 4);
    if (length > 0)
        crc = (uint32_t)crc32(crc, bytes, length);
    for (int shift = 24; shift >= 0; shift -= 8)
        fputc((int)(length >> shift & 0xFF), file);
    fwrite(kind, 1, 4, file);
    if (length > 0)
        fwrite(bytes, 1, length, file);
    for (int shift = 24; shift >= 0; shift -= 8)
        fputc((int)(crc >> shift & 0xFF), file);
}

/* A black PNG (PNG, W3C, 5.2): 8-bit RGB or 1-bit grey, all samples 0; an sRGB chunk when
 * `tagged`. */
static inline void day_image(const folder *f, const char *name, uint32_t wide, uint32_t high,
                             bool rgb, bool tagged) {
    unsigned char header[13] = {0}, intent = 0;
    size_t row = rgb ? (size_t)wide * 3 + 1 : (size_t)(wide + 7) / 8 + 1;
    uLongf length = compressBound(row * high);
    unsigned char *raw = calloc(high, row), *packed = malloc(length);
    FILE *file = fopen(folder_at(f, name), "wb");
    assert_true(raw != NULL && packed != NULL && file != NULL);
    fwrite("\x89PNG\r\n\x1a\n", 1, 8, file);
    for (int i = 0; i < 4; i++) {
        header[i] = (unsigned char)(wide >> (24 - 8 * i));
        header[4 + i] = (unsigned char)(high >> (24 - 8 * i));
    }
    header[8] = rgb ? 8 : 1;
    header[9] = rgb ? 2 : 0;
    day_chunk(file, "IHDR", header, sizeof header);
    if (tagged)
        day_chunk(file, "sRGB", &intent, 1);
    assert_int_equal(compress2(packed, &length, raw, row * high, 1), Z_OK);
    day_chunk(file, "IDAT", packed, (uint32_t)length);
    day_chunk(file, "IEND", NULL, 0);
    assert_int_equal(fclose(file), 0);
    free(raw);
    free(packed);
}

#define DAY_PAPER                                                                                  \
    "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '24in', 'length': '50ft',"          \
    " 'margins': {'side': '1/4in', 'lead': '0in', 'tail': '0in'}}"
#define DAY_TEMPLATES                                                                              \
    "{'trimwell': 1, 'templates': ["                                                               \
    "{'name': '8x10', 'size': '8x10in', 'border': '1/2in'},"                                       \
    "{'name': '12x18', 'size': '12x18in', 'border': '1in'},"                                       \
    "{'name': '24x36', 'size': '24x36in', 'border': '1 1/2in'},"                                   \
    "{'name': 'full 24x36', 'size': '24x36in'},"                                                   \
    "{'name': 'upright', 'size': '30x20in', 'border': '1in', 'turn': 'never', 'lie': 'upright'},"  \
    "{'name': 'long', 'size': '20x100in', 'border': '1in'}]}"
#define DAY_JOB                                                                                    \
    "{'trimwell': 1, 'name': 'Day', 'papers': ['./satin.json'], 'templates': ['./frames.json'],"   \
    " 'orders': './orders.csv'}"

/* The day with these orders, loaded; a test may rewrite any file and load again. */
static inline void day_open(folder *f, const char *orders) {
    folder_open(f);
    folder_json(f, "satin.json", DAY_PAPER);
    folder_json(f, "frames.json", DAY_TEMPLATES);
    folder_json(f, "job.json", DAY_JOB);
    folder_write(f, "orders.csv", orders);
    day_image(f, "a.png", 2400, 3000, false, true);
    day_image(f, "b.png", 3000, 2400, false, true);
    day_image(f, "long.png", 1800, 9800, false, true);
    day_image(f, "tiny.png", 240, 300, false, true);
    day_image(f, "plain.png", 2400, 3000, true, false);
    assert_ok(folder_load(f), f->error);
}

static inline tw_prints day_prints(folder *f) {
    tw_prints prints;
    assert_ok(tw_prints_make(f->arena, f->job, false, NULL, &f->report, &prints, &f->error),
              f->error);
    return prints;
}

#endif
