/*
 * Bench images: big PNGs and JPEGs whose bytes do not compress away, as a photograph's do not.
 * make_big FILE WIDTH HEIGHT BITS SEED; a FILE that ends in .jpg is a JPEG (8 bits). The noise is
 * made so that a 7200 x 9600 PNG of 8 bits is about 85 MB, the size a fine photograph of that many
 * pixels has.
 */
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jpeglib.h>
#include <png.h>

static uint32_t next(uint32_t *state) {
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

/* A slow gradient with a few levels of noise in each sample. */
static void fill_row(png_bytep row, long width, long y, int bits, uint32_t *state) {
    for (long i = 0; i < width * 3; i++) {
        uint32_t base = (uint32_t)((i / 48 + y / 16) & 127) + 32;
        uint32_t noise = next(state);
        if (bits == 8) {
            row[i] = (png_byte)(base + noise % 3);
        } else {
            row[2 * i] = (png_byte)base;
            row[2 * i + 1] = (png_byte)(noise & 255);
        }
    }
}

static int write_png(FILE *out, long width, long height, int bits, uint32_t *state) {
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png_create_info_struct(png);
    png_bytep row = malloc((size_t)width * 6);
    if (row == NULL || setjmp(png_jmpbuf(png)))
        return 1;
    png_init_io(png, out);
    png_set_compression_level(png, 1);
    png_set_filter(png, 0, PNG_FILTER_NONE);
    png_set_IHDR(png, info, (png_uint_32)width, (png_uint_32)height, bits, PNG_COLOR_TYPE_RGB,
                 PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_set_sRGB(png, info, PNG_sRGB_INTENT_PERCEPTUAL);
    png_write_info(png, info);
    for (long y = 0; y < height; y++) {
        fill_row(row, width, y, bits, state);
        png_write_row(png, row);
    }
    png_write_end(png, info);
    png_destroy_write_struct(&png, &info);
    free(row);
    return 0;
}

/* Failures end the program by libjpeg's own handler. */
static int write_jpeg(FILE *out, long width, long height, uint32_t *state) {
    struct jpeg_compress_struct jpeg;
    struct jpeg_error_mgr errors;
    JSAMPROW row = malloc((size_t)width * 3);
    if (row == NULL)
        return 1;
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    jpeg_stdio_dest(&jpeg, out);
    jpeg.image_width = (JDIMENSION)width;
    jpeg.image_height = (JDIMENSION)height;
    jpeg.input_components = 3;
    jpeg.in_color_space = JCS_RGB;
    jpeg_set_defaults(&jpeg);
    jpeg_set_quality(&jpeg, 97, TRUE);
    jpeg_start_compress(&jpeg, TRUE);
    for (long y = 0; y < height; y++) {
        fill_row(row, width, y, 8, state);
        (void)jpeg_write_scanlines(&jpeg, &row, 1);
    }
    jpeg_finish_compress(&jpeg);
    jpeg_destroy_compress(&jpeg);
    free(row);
    return 0;
}

int main(int count, char **words) {
    FILE *out = count == 6 ? fopen(words[1], "wb") : NULL;
    if (out == NULL) {
        fprintf(stderr, "usage: make_big FILE WIDTH HEIGHT BITS SEED\n");
        return 2;
    }
    uint32_t state = (uint32_t)atol(words[5]);
    long width = atol(words[2]), height = atol(words[3]);
    size_t length = strlen(words[1]);
    int bad = length > 4 && strcmp(words[1] + length - 4, ".jpg") == 0
                  ? write_jpeg(out, width, height, &state)
                  : write_png(out, width, height, atoi(words[4]), &state);
    return fclose(out) != 0 || bad;
}
