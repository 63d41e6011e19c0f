/* PNG files for tests, by libpng; and libpng's own reading of one (see make_image.h). */
#include <png.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "make_image.h"

static void fail(const char *words) {
    (void)fprintf(stderr, "make_image: %s\n", words);
    abort();
}

static void on_png_error(png_structp png, png_const_charp words) {
    (void)png;
    fail(words);
}

static int samples_of(int type) {
    static const int samples[] = {1, 0, 3, 1, 2, 0, 4};
    return samples[type];
}

static uint32_t hash(uint32_t value) {
    value ^= value >> 16;
    value *= 0x7FEB352Du;
    value ^= value >> 15;
    value *= 0x846CA68Bu;
    return value ^ value >> 16;
}

uint32_t made_sample(uint32_t x, uint32_t y, int channel, int depth) {
    uint32_t noise = hash(x + 4099 * y + 977 * (uint32_t)channel);
    uint32_t slope = (x * 300 + y * 170 * (uint32_t)(channel + 1)) & 0xFFFF;
    return (slope ^ (noise & 0x3FF)) >> (16 - depth);
}

/* A third clear, a third full, a third between: the cases alpha has. */
static uint32_t made_alpha(uint32_t x, uint32_t y, int depth) {
    uint32_t noise = hash(x * 31 + y * 17 + 5) & 0xFFFF;
    uint32_t most = (1u << depth) - 1;
    return noise % 3 == 0 ? 0 : noise % 3 == 1 ? most : noise >> (16 - depth);
}

static uint32_t pick(const made_png *what, uint32_t x, uint32_t y, int channel) {
    int samples = samples_of(what->type);
    bool alpha = (what->type & 4) != 0 && channel == samples - 1;
    if (what->noise != 0)
        return hash(x + 9973 * y + 77 * (uint32_t)channel) >> (32 - what->depth);
    return alpha ? made_alpha(x, y, what->depth) : made_sample(x, y, channel, what->depth);
}

static void fill_row(const made_png *what, uint32_t y, unsigned char *row) {
    int samples = samples_of(what->type);
    size_t bit = 0;
    memset(row, 0, ((size_t)what->width * (size_t)(samples * what->depth) + 7) / 8);
    for (uint32_t x = 0; x < what->width; x++)
        for (int c = 0; c < samples; c++, bit += (size_t)what->depth) {
            uint32_t value = pick(what, x, y, c);
            if (what->depth == 16) {
                row[bit / 8] = (unsigned char)(value >> 8);
                row[bit / 8 + 1] = (unsigned char)value;
            } else {
                unsigned shift = 8 - (unsigned)what->depth - (unsigned)(bit % 8);
                row[bit / 8] = (unsigned char)(row[bit / 8] | value << shift);
            }
        }
}

static void set_palette(png_structp png, png_infop info, const made_png *what) {
    png_color colours[256];
    png_byte alphas[256];
    int count = 1 << what->depth;
    for (int i = 0; i < count; i++) {
        colours[i] = (png_color){(png_byte)(i * 37), (png_byte)(255 - i), (png_byte)(i * i)};
        alphas[i] = (png_byte)(i % 3 == 0 ? 0 : i % 3 == 1 ? 255 : i * 5);
    }
    png_set_PLTE(png, info, colours, count);
    if (what->transparent)
        png_set_tRNS(png, info, alphas, count, NULL);
}

/* The colour of the first pixel is the transparent one. */
static void set_key(png_structp png, png_infop info, const made_png *what) {
    png_color_16 key = {0};
    key.gray = key.red = (png_uint_16)pick(what, 0, 0, 0);
    key.green = (png_uint_16)pick(what, 0, 0, 1);
    key.blue = (png_uint_16)pick(what, 0, 0, 2);
    png_set_tRNS(png, info, NULL, 0, &key);
}

static void set_chunks(png_structp png, png_infop info, const made_png *what) {
    if (what->type == PNG_COLOR_TYPE_PALETTE)
        set_palette(png, info, what);
    else if (what->transparent)
        set_key(png, info, what);
    if (what->density_x > 0)
        png_set_pHYs(png, info, what->density_x, what->density_y, PNG_RESOLUTION_METER);
    if (what->gamma > 0)
        png_set_gAMA_fixed(png, info, what->gamma);
    if (what->srgb)
        png_set_sRGB(png, info, PNG_sRGB_INTENT_PERCEPTUAL);
    if (what->profile != NULL)
        png_set_iCCP(png, info, "made", 0, what->profile, what->profile_length);
    if (what->exif != NULL)
        png_set_eXIf_1(png, info, what->exif_length, (png_bytep)(uintptr_t)what->exif);
}

static void write_rows(png_structp png, const made_png *what) {
    unsigned char *row = calloc(what->width, 8);
    int passes = png_set_interlace_handling(png);
    for (int pass = 0; pass < passes; pass++)
        for (uint32_t y = 0; y < what->height; y++) {
            fill_row(what, y, row);
            png_write_row(png, row);
        }
    free(row);
}

void make_png(const char *path, const made_png *what) {
    FILE *file = fopen(path, "wb");
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, on_png_error, NULL);
    png_infop info = png == NULL ? NULL : png_create_info_struct(png);
    if (file == NULL || info == NULL)
        fail("cannot start a PNG");
    png_init_io(png, file);
    png_set_user_limits(png, 0x7FFFFFFF, 0x7FFFFFFF);
    if (what->data_size > 0)
        png_set_compression_buffer_size(png, what->data_size);
    png_set_compression_level(png, what->level == 0 ? 6 : what->level);
    png_set_IHDR(png, info, what->width, what->height, what->depth, what->type,
                 what->interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    set_chunks(png, info, what);
    png_write_info(png, info);
    write_rows(png, what);
    png_write_end(png, info);
    png_destroy_write_struct(&png, &info);
    if (fclose(file) != 0)
        fail("cannot write a PNG");
}

/* What libpng leaves in the unused bits at a row's end is anything (clause 7.2). */
static void clear_unused(unsigned char *row, size_t row_bytes, size_t bits) {
    if (bits % 8 != 0)
        row[row_bytes - 1] &= (unsigned char)(0xFF00u >> bits % 8);
}

unsigned char *read_png_rows(const char *path, bool expand, size_t *row_bytes, uint32_t *height) {
    FILE *file = fopen(path, "rb");
    png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, NULL, on_png_error, NULL);
    png_infop info = png == NULL ? NULL : png_create_info_struct(png);
    if (file == NULL || info == NULL)
        fail("cannot read a PNG");
    png_init_io(png, file);
    png_read_png(png, info, expand ? PNG_TRANSFORM_EXPAND : PNG_TRANSFORM_IDENTITY, NULL);
    *row_bytes = png_get_rowbytes(png, info);
    *height = png_get_image_height(png, info);
    unsigned char *all = malloc(*row_bytes * *height);
    size_t bits = (size_t)png_get_image_width(png, info) * png_get_bit_depth(png, info) *
                  png_get_channels(png, info);
    for (uint32_t y = 0; y < *height; y++) {
        memcpy(all + y * *row_bytes, png_get_rows(png, info)[y], *row_bytes);
        clear_unused(all + y * *row_bytes, *row_bytes, bits);
    }
    png_destroy_read_struct(&png, &info, NULL);
    (void)fclose(file);
    return all;
}
