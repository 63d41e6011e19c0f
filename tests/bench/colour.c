/*
 * Conversion against its two halves, in one run: a 16-bit RGB image brought to the satin paper and
 * deflated as the sheet's writer does it, against
 *
 *   lcms2's own transform of the same pixels, on all cores: cmsDoTransform without optimising, the
 *   pipeline whose colours ours are; and, to compare, as it optimises by itself, which is coarser
 *   the deflate alone of the same converted rows, on all cores: our packer; and, to compare, zlib
 *   at level 6 on blocks of 128 KiB, each with the 32 KiB before it as its dictionary
 *
 * The whole may take at most 1.15 times the slower of lcms2's transform and our packer. Seconds of
 * wall clock, and of all processors together, which other work on the machine changes less. Run by
 * hand from a Release build:
 *
 *   bench-colour PROFILES [MEGAPIXELS]      PROFILES = build/profiles; usually 69
 */
#include <lcms2.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <zlib.h>

#include "base/crew.h"
#include "colour/converted_rows.h"
#include "colour/srgb_profile.h"
#include "image/image.h"
#include "pixels/flate.h"

enum { WIDTH = 10176, BAND = 64, ROW = WIDTH * 6, PIECE = 128 << 10, BEFORE = 32 << 10 };

typedef struct times {
    double wall, processors;
} times;

/* A soft picture with the noise of a sensor: a band of rows, given again and again. */
typedef struct soft_rows {
    tw_rows rows;
    const unsigned char *band;
} soft_rows;

static times now(void) {
    struct timespec wall, processors;
    clock_gettime(CLOCK_MONOTONIC, &wall);
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &processors);
    return (times){(double)wall.tv_sec + (double)wall.tv_nsec / 1e9,
                   (double)processors.tv_sec + (double)processors.tv_nsec / 1e9};
}

static times since(times from) {
    times to = now();
    return (times){to.wall - from.wall, to.processors - from.processors};
}

static void stop(const char *why) {
    fprintf(stderr, "bench-colour: %s\n", why);
    exit(1);
}

static void draw_band(unsigned char *band) {
    uint32_t chance = 7;
    for (uint32_t y = 0; y < BAND; y++)
        for (uint32_t x = 0; x < WIDTH; x++)
            for (uint32_t c = 0; c < 3; c++) {
                chance = chance * 1664525 + 1013904223;
                uint32_t value = (x * (3 + c) + y * 97) % 60000 + (chance >> 23);
                *band++ = (unsigned char)(value >> 8);
                *band++ = (unsigned char)value;
            }
}

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    (void)error;
    memcpy(row, ((soft_rows *)rows)->band + rows->y % BAND * rows->form.row_bytes,
           rows->form.row_bytes);
    return TW_OK;
}

static tw_code end(tw_rows *rows, tw_error *error) {
    (void)rows;
    (void)error;
    return TW_OK;
}

static void close_rows(tw_rows *rows) {
    (void)rows;
}

static soft_rows start(uint32_t height, const unsigned char *band) {
    static const tw_rows_kind kind = {next, end, close_rows};
    soft_rows s = {
        .rows = {.kind = &kind,
                 .form = {.width = WIDTH,
                          .height = height,
                          .space = TW_RGB,
                          .channels = 3,
                          .bits = 16}},
        .band = band,
    };
    tw_rows_form_finish(&s.rows.form);
    return s;
}

static tw_icc load(const char *folder, const char *name) {
    static unsigned char bytes[4 << 20];
    char path[1000];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "rb");
    if (file == NULL)
        stop("no satin.icc there");
    tw_icc icc = {bytes, fread(bytes, 1, sizeof bytes, file)};
    fclose(file);
    return icc;
}

/* ------------------------------------------------ ours */

/* Rows through the transform (`way`) and deflate (`packs`). */
static times run(uint32_t height, const unsigned char *band, const tw_colour_way *way, bool packs) {
    static unsigned char row[ROW], out[1 << 16];
    soft_rows made = start(height, band);
    tw_rows *rows = &made.rows;
    tw_flate *flate = NULL;
    tw_error error = {0};
    size_t got = 0;
    times from = now();
    if (way != NULL && tw_colour_rows(NULL, &made.rows, way, 0, &rows, &error) != TW_OK)
        stop(error.message);
    if (packs &&
        tw_flate_new(NULL, rows->form.row_bytes, rows->form.pixel_bytes, &flate, &error) != TW_OK)
        stop(error.message);
    for (uint32_t y = 0; y < height; y++) {
        if (tw_rows_next(rows, row, &error) != TW_OK ||
            (packs && tw_flate_row(flate, row, &error) != TW_OK))
            stop(error.message);
        while (packs && tw_flate_pull(flate, out, sizeof out, &got, &error) == TW_OK && got > 0)
            ;
    }
    if (packs)
        tw_flate_end(flate);
    while (packs && tw_flate_pull(flate, out, sizeof out, &got, &error) == TW_OK && got > 0)
        ;
    tw_rows_close(rows);
    tw_flate_free(flate);
    return since(from);
}

static void convert_band(const tw_colour_way *way, const unsigned char *band,
                         unsigned char *converted) {
    soft_rows made = start(BAND, band);
    tw_rows *rows = NULL;
    tw_error error = {0};
    if (tw_colour_rows(NULL, &made.rows, way, 0, &rows, &error) != TW_OK)
        stop(error.message);
    for (size_t y = 0; y < BAND; y++)
        if (tw_rows_next(rows, converted + y * ROW, &error) != TW_OK)
            stop(error.message);
    tw_rows_close(rows);
}

/* ------------------------------------------------ theirs */

typedef struct by_lcms2 {
    cmsHTRANSFORM transform;
    const unsigned char *band;
    uint16_t *out; /* a row for each thread would do; a band is simpler */
} by_lcms2;

static void transform_row(void *context, size_t y) {
    const by_lcms2 *own = context;
    cmsDoTransform(own->transform, own->band + y % BAND * ROW,
                   own->out + y % BAND * (size_t)WIDTH * 3, WIDTH);
}

static times run_lcms2(uint32_t height, const unsigned char *band, const tw_colour_way *way,
                       cmsUInt32Number flags) {
    cmsHPROFILE from = cmsOpenProfileFromMem(way->from.bytes, (cmsUInt32Number)way->from.length);
    cmsHPROFILE to = cmsOpenProfileFromMem(way->to.bytes, (cmsUInt32Number)way->to.length);
    by_lcms2 own = {cmsCreateTransform(from, TYPE_RGB_16_SE, to, TYPE_RGB_16_SE,
                                       INTENT_RELATIVE_COLORIMETRIC,
                                       cmsFLAGS_BLACKPOINTCOMPENSATION | cmsFLAGS_NOCACHE | flags),
                    band, malloc((size_t)ROW * BAND)};
    if (own.transform == NULL || own.out == NULL)
        stop("lcms2 makes no transform");
    times begun = now();
    tw_crew_each(tw_crew_cores(), height, transform_row, &own);
    times taken = since(begun);
    cmsDeleteTransform(own.transform);
    cmsCloseProfile(from);
    cmsCloseProfile(to);
    free(own.out);
    return taken;
}

static void deflate_piece(void *context, size_t index) {
    const unsigned char *band = context;
    static _Thread_local unsigned char out[2 * PIECE];
    size_t pieces = (size_t)ROW * BAND / PIECE, at = index % pieces * PIECE;
    z_stream zlib = {0};
    if (deflateInit2(&zlib, 6, Z_DEFLATED, -15, 8, Z_DEFAULT_STRATEGY) != Z_OK)
        stop("no memory");
    if (at >= BEFORE)
        (void)deflateSetDictionary(&zlib, band + at - BEFORE, BEFORE);
    zlib.next_in = (unsigned char *)(uintptr_t)(band + at);
    zlib.avail_in = PIECE;
    zlib.next_out = out;
    zlib.avail_out = sizeof out;
    (void)deflate(&zlib, Z_SYNC_FLUSH);
    (void)deflateEnd(&zlib);
}

static times run_zlib(uint32_t height, unsigned char *converted) {
    times begun = now();
    tw_crew_each(tw_crew_cores(), (size_t)height * ROW / PIECE, deflate_piece, converted);
    return since(begun);
}

/* ------------------------------------------------ both */

static void line(const char *what, times taken, double pixels) {
    printf("  %-44s %7.2f s, %7.2f s of processors, %6.2f megapixels/s\n", what, taken.wall,
           taken.processors, pixels / taken.wall);
}

static void compare(uint32_t height, const unsigned char *band, const tw_colour_way *way) {
    unsigned char *converted = malloc((size_t)ROW * BAND);
    double pixels = (double)WIDTH * height / 1e6;
    if (converted == NULL)
        stop("no memory");
    convert_band(way, band, converted);
    times lcms2 = run_lcms2(height, band, way, cmsFLAGS_NOOPTIMIZE);
    times pack = run(height, converted, NULL, true), both = run(height, band, way, true);
    times slower = lcms2.wall > pack.wall ? lcms2 : pack;
    printf("%.1f megapixels of 16-bit RGB on %d cores\n", pixels, tw_crew_cores());
    line("converted and deflated", both, pixels);
    line("lcms2's transform (reference)", lcms2, pixels);
    line("deflate alone, our packer (reference)", pack, pixels);
    line("our transform", run(height, band, way, false), pixels);
    line("lcms2's transform as it optimises", run_lcms2(height, band, way, 0), pixels);
    line("deflate alone, zlib level 6 in blocks", run_zlib(height, converted), pixels);
    printf("  the whole to the slower reference: %.2f by the clock, %.2f by processors (wanted at "
           "most 1.15)\n",
           both.wall / slower.wall, both.processors / slower.processors);
    free(converted);
}

int main(int count, char **words) {
    if (count < 2)
        stop("bench-colour PROFILES [MEGAPIXELS]");
    double wanted = count > 2 ? atof(words[2]) : 69;
    uint32_t height = (uint32_t)(wanted * 1e6 / WIDTH);
    unsigned char *band = malloc((size_t)ROW * BAND);
    tw_buffer srgb;
    tw_buffer_start(&srgb, NULL);
    tw_srgb_profile(&srgb);
    if (band == NULL || srgb.failed || height == 0)
        stop("no memory");
    draw_band(band);
    const tw_colour_way way = {{(unsigned char *)srgb.bytes, srgb.length},
                               load(words[1], "satin.icc"),
                               TW_RELATIVE,
                               true,
                               16};
    compare(height, band, &way);
    tw_buffer_free(&srgb);
    free(band);
    return 0;
}
