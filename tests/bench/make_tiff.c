/*
 * Bench TIFFs: make_tiff IN.png OUT.tif SIDE COMPRESSION. A picture of SIDE x SIDE pixels with 16
 * bits a channel, little-endian, in strips of 32 rows (1 none, 5 LZW): IN.png made larger between
 * its pixels (linear), with noise of about a hundredth of white as a camera at a moderate
 * sensitivity has it, so that neither filters nor repetitions have an easy time.
 */
#include <png.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <tiffio.h>

typedef struct picture {
    png_image facts;
    png_bytep bytes;
} picture;

static int read_picture(const char *path, picture *out) {
    memset(out, 0, sizeof *out);
    out->facts.version = PNG_IMAGE_VERSION;
    if (!png_image_begin_read_from_file(&out->facts, path))
        return 1;
    out->facts.format = PNG_FORMAT_RGB;
    out->bytes = malloc(PNG_IMAGE_SIZE(out->facts));
    return out->bytes == NULL || !png_image_finish_read(&out->facts, NULL, out->bytes, 0, NULL);
}

static uint32_t next(uint32_t *state) {
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

/* Sample c at x, y in 256ths of a pixel. */
static uint32_t between(const picture *from, uint32_t x, uint32_t y, uint32_t c) {
    uint32_t w = from->facts.width, h = from->facts.height;
    uint32_t x0 = x >> 8, y0 = y >> 8, fx = x & 255, fy = y & 255;
    uint32_t x1 = x0 + 1 < w ? x0 + 1 : x0, y1 = y0 + 1 < h ? y0 + 1 : y0;
    uint32_t a = from->bytes[3 * (y0 * w + x0) + c], b = from->bytes[3 * (y0 * w + x1) + c];
    uint32_t d = from->bytes[3 * (y1 * w + x0) + c], e = from->bytes[3 * (y1 * w + x1) + c];
    uint32_t up = a * (256 - fx) + b * fx, down = d * (256 - fx) + e * fx;
    return (up * (256 - fy) + down * fy) >> 8; /* 0 .. 65280 */
}

static void fill_row(const picture *from, uint32_t side, uint32_t y, uint16_t *row,
                     uint32_t *state) {
    uint32_t sy = (uint32_t)((uint64_t)y * (from->facts.height - 1) * 256 / side);
    for (uint32_t x = 0; x < side; x++) {
        uint32_t sx = (uint32_t)((uint64_t)x * (from->facts.width - 1) * 256 / side);
        for (uint32_t c = 0; c < 3; c++) {
            /* three throws: nearly a bell */
            uint32_t noise = (next(state) & 511) + (next(state) & 511) + (next(state) & 511);
            uint32_t value = between(from, sx, sy, c) + noise;
            row[3 * x + c] = (uint16_t)(value > 65535 ? 65535 : value);
        }
    }
}

int main(int count, char **words) {
    picture from;
    uint32_t state = 1;
    if (count != 5 || read_picture(words[1], &from) != 0) {
        fprintf(stderr, "usage: make_tiff IN.png OUT.tif SIDE COMPRESSION\n");
        return 2;
    }
    uint32_t side = (uint32_t)atol(words[3]);
    uint16_t *row = malloc(6 * (size_t)side);
    TIFF *tiff = TIFFOpen(words[2], "wl");
    if (row == NULL || tiff == NULL)
        return 1;
    TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, side);
    TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, side);
    TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, 16);
    TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, 3);
    TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, PHOTOMETRIC_RGB);
    TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
    TIFFSetField(tiff, TIFFTAG_COMPRESSION, atoi(words[4]));
    TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, 32);
    for (uint32_t y = 0; y < side; y++) {
        fill_row(&from, side, y, row, &state);
        if (TIFFWriteScanline(tiff, row, y, 0) < 0)
            return 1;
    }
    TIFFClose(tiff);
    return 0;
}
