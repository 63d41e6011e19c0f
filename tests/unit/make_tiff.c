/*
 * TIFFs made by libtiff for the tests, and libtiff's own reading of them, sample by sample
 * (see make_image.h). Values are made_sample's; those of palettes are numbers into made_map's.
 */
#include "make_image.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <tiffio.h>

static void must(int right, const char *what) {
    if (right)
        return;
    fprintf(stderr, "make_tiff: %s\n", what);
    exit(1);
}

static uint16_t samples_of(const made_tiff *what) {
    uint16_t colours =
        what->photometric == PHOTOMETRIC_SEPARATED                                       ? 4
        : what->photometric == PHOTOMETRIC_RGB || what->photometric == PHOTOMETRIC_YCBCR ? 3
                                                                                         : 1;
    return (uint16_t)(colours + what->extra);
}

static void set_palette(TIFF *tiff, int depth) {
    uint16_t map[3][256];
    for (int c = 0; c < 3; c++)
        for (int i = 0; i < 1 << depth; i++)
            map[c][i] = (uint16_t)(257 * ((37 * i + 80 * c) & 255));
    must(TIFFSetField(tiff, TIFFTAG_COLORMAP, map[0], map[1], map[2]), "palette");
}

static void set_tags(TIFF *tiff, const made_tiff *what) {
    uint16_t extras[8];
    for (int i = 0; i < 8; i++)
        extras[i] = i == 0 ? what->alpha : 0;
    TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, what->width);
    TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, what->height);
    TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, what->depth);
    TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, samples_of(what));
    TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, what->photometric);
    TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, what->separate ? 2 : 1);
    TIFFSetField(tiff, TIFFTAG_COMPRESSION, what->compression == 0 ? 1 : what->compression);
    if (what->extra > 0)
        TIFFSetField(tiff, TIFFTAG_EXTRASAMPLES, what->extra, extras);
    if (what->predictor > 0)
        TIFFSetField(tiff, TIFFTAG_PREDICTOR, what->predictor);
    if (what->sample_format > 0)
        TIFFSetField(tiff, TIFFTAG_SAMPLEFORMAT, what->sample_format);
    if (what->orientation > 0)
        TIFFSetField(tiff, TIFFTAG_ORIENTATION, what->orientation);
    if (what->unit > 0) {
        TIFFSetField(tiff, TIFFTAG_RESOLUTIONUNIT, what->unit);
        TIFFSetField(tiff, TIFFTAG_XRESOLUTION, what->density_x);
        TIFFSetField(tiff, TIFFTAG_YRESOLUTION, what->density_y);
    }
    if (what->profile != NULL)
        TIFFSetField(tiff, TIFFTAG_ICCPROFILE, (uint32_t)what->profile_length, what->profile);
    if (what->photometric == PHOTOMETRIC_PALETTE)
        set_palette(tiff, what->depth);
    if (what->photometric == PHOTOMETRIC_YCBCR) {
        TIFFSetField(tiff, TIFFTAG_YCBCRSUBSAMPLING, 2, 2);
        TIFFSetField(tiff, TIFFTAG_JPEGCOLORMODE, JPEGCOLORMODE_RGB);
    }
    if (what->tile > 0) {
        TIFFSetField(tiff, TIFFTAG_TILEWIDTH, (uint32_t)what->tile);
        TIFFSetField(tiff, TIFFTAG_TILELENGTH, (uint32_t)what->tile);
    } else {
        TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, what->strip > 0 ? what->strip : what->height);
    }
}

/* One sample into a packed row. */
static void put_sample(unsigned char *row, size_t index, int depth, uint32_t value) {
    if (depth == 8)
        row[index] = (unsigned char)value;
    else if (depth == 16)
        memcpy(row + 2 * index, &(uint16_t){(uint16_t)value}, 2);
    else if (depth == 32)
        memcpy(row + 4 * index, &(float){(float)value / 65535}, 4);
    else
        row[index * (size_t)depth / 8] |=
            (unsigned char)(value << (8 - (size_t)depth - index * (size_t)depth % 8));
}

static uint32_t value_of(const made_tiff *what, uint32_t x, uint32_t y, int channel) {
    int colours = samples_of(what) - what->extra;
    int depth = what->depth > 16 ? 16 : what->depth;
    uint32_t most = (1u << depth) - 1;
    if (channel == colours && what->alpha != 0) /* 0, full and all between */
        return (x / 3 + y) % 5 == 0 ? 0 : (x + y) % 4 == 0 ? most : made_sample(x, y, 1, depth);
    uint32_t value = made_sample(x, y, channel % 3, depth);
    if (what->alpha == EXTRASAMPLE_ASSOCALPHA && channel < colours) {
        uint64_t alpha = value_of(what, x, y, colours);
        value = (uint32_t)((value * alpha + most / 2) / most);
    }
    return value;
}

/* `count` pixels from x on, all channels (channel < 0) or one; past the right end: zeros. */
static void fill_row(const made_tiff *what, unsigned char *row, uint32_t x, uint32_t y,
                     uint32_t count, int channel) {
    int samples = channel < 0 ? samples_of(what) : 1;
    for (uint32_t i = 0; i < count && x + i < what->width && y < what->height; i++)
        for (int c = 0; c < samples; c++)
            put_sample(row, (size_t)i * (size_t)samples + (size_t)c, what->depth,
                       value_of(what, x + i, y, channel < 0 ? c : channel));
}

static void write_tiles(TIFF *tiff, const made_tiff *what, uint16_t plane, int channel) {
    size_t bytes = (size_t)TIFFTileSize(tiff), row = (size_t)TIFFTileRowSize(tiff);
    uint32_t side = (uint32_t)what->tile;
    unsigned char *tile = malloc(bytes);
    for (uint32_t y = 0; y < what->height; y += side)
        for (uint32_t x = 0; x < what->width; x += side) {
            memset(tile, 0, bytes);
            for (uint32_t k = 0; k < side; k++)
                fill_row(what, tile + k * row, x, y + k, side, channel);
            must(TIFFWriteTile(tiff, tile, x, y, 0, plane) > 0, "tile");
        }
    free(tile);
}

static void write_rows(TIFF *tiff, const made_tiff *what, uint16_t plane, int channel) {
    size_t bytes = (size_t)TIFFScanlineSize(tiff);
    unsigned char *row = malloc(bytes);
    for (uint32_t y = 0; y < what->height; y++) {
        memset(row, 0, bytes);
        fill_row(what, row, 0, y, what->width, channel);
        must(TIFFWriteScanline(tiff, row, y, plane) > 0, "row");
    }
    free(row);
}

void make_tiff(const char *path, const made_tiff *what) {
    char mode[8];
    (void)snprintf(mode, sizeof mode, "w%s%s", what->big_endian ? "b" : "l", what->big ? "8" : "");
    TIFF *tiff = TIFFOpen(path, mode);
    must(tiff != NULL, "open");
    for (int page = 0; page < (what->pages > 0 ? what->pages : 1); page++) {
        uint16_t planes = what->separate ? samples_of(what) : 1;
        set_tags(tiff, what);
        for (uint16_t plane = 0; plane < planes; plane++)
            (what->tile > 0 ? write_tiles : write_rows)(tiff, what, plane,
                                                        what->separate ? plane : -1);
        must(TIFFWriteDirectory(tiff), "directory");
    }
    TIFFClose(tiff);
}

/* The whole of the first page as RGBA of 8 bits, as libtiff's own viewer interface makes it. */
unsigned char *read_tiff_rgb(const char *path, uint32_t *width, uint32_t *height) {
    TIFF *tiff = TIFFOpen(path, "r");
    must(tiff != NULL, "open");
    TIFFGetField(tiff, TIFFTAG_IMAGEWIDTH, width);
    TIFFGetField(tiff, TIFFTAG_IMAGELENGTH, height);
    size_t count = (size_t)*width * *height;
    uint32_t *raster = malloc(count * sizeof *raster);
    unsigned char *bytes = malloc(3 * count);
    /* the orientation asked for is the file's own: no turning */
    uint16_t orientation = 1;
    TIFFGetFieldDefaulted(tiff, TIFFTAG_ORIENTATION, &orientation);
    must(TIFFReadRGBAImageOriented(tiff, *width, *height, raster, orientation, 1), "decode");
    for (size_t i = 0; i < count; i++) {
        bytes[3 * i] = (unsigned char)TIFFGetR(raster[i]);
        bytes[3 * i + 1] = (unsigned char)TIFFGetG(raster[i]);
        bytes[3 * i + 2] = (unsigned char)TIFFGetB(raster[i]);
    }
    free(raster);
    TIFFClose(tiff);
    return bytes;
}

uint32_t made_tiff_sample(const made_tiff *what, uint32_t x, uint32_t y, int channel) {
    return value_of(what, x, y, channel);
}
