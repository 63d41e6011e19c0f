/*
 * Conversion against its two halves, in one run: a 16-bit RGB image brought to the satin paper by
 * the transform alone (all cores), deflated alone, and both as the sheet's writer does it. Prints
 * megapixels a second and the ratio of the whole to the slower half; wanted is at most 1.15 where
 * the two overlap. Run by hand from a Release build:
 *
 *   bench-colour PROFILES [MEGAPIXELS]      PROFILES = build/profiles; usually 17
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/crew.h"
#include "output/colour_rows.h"
#include "output/pixels_rows.h"
#include "output/srgb_profile.h"

enum { WIDTH = 10176, BAND = 64 };

/* A soft picture with the noise of a sensor: a band of rows, given again and again. */
typedef struct soft_rows {
    tw_rows rows;
    unsigned char *band;
} soft_rows;

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
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

static soft_rows start(uint32_t height, unsigned char *band) {
    static const tw_rows_kind kind = {next, end, close_rows};
    tw_rows_form form = {WIDTH, height, TW_RGB, 3, TW_ALPHA_NONE, 16, 0, 0};
    soft_rows s = {.rows = {.kind = &kind, .form = form}, .band = band};
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

/* Rows through the transform (`way`) and deflate (`packs`); seconds. */
static double run(uint32_t height, unsigned char *band, const tw_colour_way *way, bool packs) {
    static unsigned char row[WIDTH * 8], out[1 << 16];
    soft_rows made = start(height, band);
    tw_rows *rows = &made.rows;
    tw_flate *flate = NULL;
    tw_error error = {0};
    size_t got = 0;
    if (way != NULL && tw_colour_rows(NULL, &made.rows, way, 0, &rows, &error) != TW_OK)
        stop(error.message);
    if (packs &&
        tw_flate_new(NULL, rows->form.row_bytes, rows->form.pixel_bytes, &flate, &error) != TW_OK)
        stop(error.message);
    double from = now();
    for (uint32_t y = 0; y < height; y++) {
        if (tw_rows_next(rows, row, &error) != TW_OK ||
            (packs && tw_flate_row(flate, row, &error) != TW_OK))
            stop(error.message);
        while (packs && tw_flate_pull(flate, out, sizeof out, &got, &error) == TW_OK && got > 0)
            ;
    }
    double taken = now() - from;
    tw_rows_close(rows);
    tw_flate_free(flate);
    return taken;
}

int main(int count, char **words) {
    if (count < 2)
        stop("bench-colour PROFILES [MEGAPIXELS]");
    double wanted = count > 2 ? atof(words[2]) : 17;
    uint32_t height = (uint32_t)(wanted * 1e6 / WIDTH);
    unsigned char *band = malloc((size_t)WIDTH * 6 * BAND);
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
    double pixels = (double)WIDTH * height / 1e6;
    double transform = run(height, band, &way, false), pack = run(height, band, NULL, true);
    double both = run(height, band, &way, true);
    double slower = transform > pack ? transform : pack;
    printf("%.1f megapixels of 16-bit RGB on %d cores, megapixels a second\n", pixels,
           tw_crew_cores());
    printf("  transform alone  %8.2f\n  deflate alone    %8.2f\n  both             %8.2f\n",
           pixels / transform, pixels / pack, pixels / both);
    printf("  both to the slower half: %.2f (wanted 1.15)\n", both / slower);
    tw_buffer_free(&srgb);
    free(band);
    return 0;
}
