/*
 * Image files made by libpng, libjpeg and libtiff for the tests, and the same libraries as the
 * second opinion on what is in a file. Any failure here ends the test program: it is the test's
 * own.
 */
#ifndef TW_MAKE_IMAGE_H
#define TW_MAKE_IMAGE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The value of one sample, 0 .. 2^depth - 1: smooth slopes with some noise, the same everywhere.
 * Channel 3 (or 1 in grey with alpha) of images with alpha holds 0, full and all between. */
uint32_t made_sample(uint32_t x, uint32_t y, int channel, int depth);

typedef struct made_png {
    uint32_t width, height;
    int type;  /* PNG colour type: 0 2 3 4 6 */
    int depth; /* 1 2 4 8 16 */
    bool interlaced;
    bool transparent;              /* with tRNS */
    uint32_t density_x, density_y; /* pHYs, per metre; 0 = none */
    bool srgb;
    int gamma;                    /* gAMA, 100 000ths; 0 = none */
    const unsigned char *profile; /* iCCP; must please libpng */
    uint32_t profile_length;
    const unsigned char *exif; /* eXIf */
    uint32_t exif_length;
    size_t data_size; /* of IDAT chunks; 0 = libpng's own */
    int level;        /* zlib's; 0 = 6 */
    int noise;        /* 1: every sample is noise */
} made_png;

void make_png(const char *path, const made_png *what);

typedef struct made_jpeg {
    uint32_t width, height;
    int components; /* 1 3 4 */
    bool progressive, arithmetic;
    bool stored_rgb; /* three components without YCbCr (Adobe transform 0) */
    bool ycck;       /* four components as YCCK (Adobe transform 2) */
    bool no_adobe;   /* leave the Adobe segment out */
    bool no_jfif;
    bool lossless_like; /* quality 100, no subsampling */
    unsigned restart;   /* restart interval in MCUs, 0 = none */
    int density_unit;   /* 0 1 2 */
    unsigned density_x, density_y;
    const unsigned char *exif; /* TIFF header on */
    size_t exif_length;
    const unsigned char *profile;
    size_t profile_length;
    unsigned profile_parts; /* into how many segments; 0 = 1 */
    bool parts_backwards;   /* the last part first */
    unsigned part_left_out; /* number of a part that is not written */
    unsigned part_doubled;  /* number of a part that is written twice */
    const char *after;      /* bytes after EOI */
} made_jpeg;

void make_jpeg(const char *path, const made_jpeg *what);

typedef struct made_tiff {
    uint32_t width, height;
    int photometric; /* 0 white is zero, 1 grey, 2 RGB, 3 palette, 5 CMYK, 6 YCbCr (given as RGB) */
    int depth;       /* 1 2 4 8 16; 32 = floating point values */
    int compression; /* 0 = none; 5 LZW, 7 JPEG, 8 Deflate, 32773 PackBits */
    int predictor;
    bool separate, big_endian, big;
    int tile;       /* its side; 0 = strips */
    uint32_t strip; /* rows of a strip; 0 = all in one */
    uint16_t extra; /* channels beyond the colours */
    uint16_t alpha; /* what the first of them is: 1 associated, 2 not, 0 unsaid */
    uint16_t sample_format, orientation, unit;
    double density_x, density_y;
    const unsigned char *profile;
    size_t profile_length;
    int pages; /* 0 = 1 */
} made_tiff;

void make_tiff(const char *path, const made_tiff *what);
/* The value that was stored (colours multiplied where alpha is associated). */
uint32_t made_tiff_sample(const made_tiff *what, uint32_t x, uint32_t y, int channel);
/* The first picture as libtiff shows it, three bytes a pixel. Free it. */
unsigned char *read_tiff_rgb(const char *path, uint32_t *width, uint32_t *height);

/* An Exif block with orientation (0 = none) and resolution in `unit` (0 = none), free it. */
unsigned char *make_exif(bool big_endian, int orientation, uint32_t over, uint32_t under, int unit,
                         size_t *length);
/* The least ICC profile that is valid: header and a description (version 2 or 4). Free it.
 * Device class such as "mntr", space such as "RGB ". */
unsigned char *make_icc(const char *device_class, const char *space, int version,
                        const char *description, size_t *length);

/* All rows as libpng has them, one after the other, packed as the depth says. Free it. */
unsigned char *read_png_rows(const char *path, bool expand, size_t *row_bytes, uint32_t *height);
/* All rows as libjpeg has them in the file's own space (grey, RGB, CMYK). Free it. */
unsigned char *read_jpeg_rows(const char *path, size_t *row_bytes, uint32_t *height);

/* Whole files. read_file: free it. */
unsigned char *read_file(const char *path, size_t *length);
void write_file(const char *path, const void *bytes, size_t length);
/* A path in a scratch folder of this program, removed when it ends. Static storage, 8 in turn. */
const char *scratch(const char *name);

#endif
