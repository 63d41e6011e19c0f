/*
 * The pixel roads behind tw_pixels (output.h): what they share and what each must do. pixels.c
 * chooses the road; pixels_png.c and pixels_jpeg.c pass a file's own bytes through;
 * pixels_rows.c decodes, lays on paper white and packs again.
 */
#ifndef TW_OUTPUT_PIXELS_H
#define TW_OUTPUT_PIXELS_H

#include "output/image_file.h"

typedef struct tw_pixels_road {
    /* Fill the form and start; what it takes hangs on pixels->own and pixels->file. */
    tw_code (*open)(tw_pixels *pixels, tw_pixels_form *form, tw_error *error);
    tw_code (*pull)(tw_pixels *pixels, unsigned char *bytes, size_t room, size_t *got,
                    tw_error *error);
    /* Also after a failed open; pixels->own may be NULL. */
    void (*close)(tw_pixels *pixels);
} tw_pixels_road;

struct tw_pixels {
    const tw_pixels_road *road;
    const tw_allocator *allocator;
    const tw_image *image;
    tw_image_file file; /* of the roads that let its bytes through; descriptor -1: not open */
    void *own;
    bool ended;
    tw_code failed; /* a road is not taken up again after a failure */
};

extern const tw_pixels_road tw_pixels_png_road;
extern const tw_pixels_road tw_pixels_jpeg_road;
extern const tw_pixels_road tw_pixels_rows_road;

/* Must the pixels be decoded (interlaced, or anything transparent)? ISO 32000-1 7.4.4.4: a PDF
 * knows PNG's predictors, but neither its interlacing nor its interleaved alpha. */
bool tw_pixels_are_decoded(const tw_image *image);
/* Samples a pixel and bits a sample as they go into the sheet. */
int tw_pixels_channels(const tw_image *image);
int tw_pixels_bits(const tw_image *image);

#endif
