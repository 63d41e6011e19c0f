/*
 * The paths an image's pixels may take behind tw_pixels (pixels.h): what the paths share and what
 * each must do. pixels.c chooses; png_through.c, jpeg_through.c and tiff_through.c pass a file's
 * own bytes through; decoded.c decodes, lays on paper white and packs again.
 */
#ifndef TW_PIXELS_PATHS_H
#define TW_PIXELS_PATHS_H

#include "image/image_file.h"
#include "pixels/pixels.h"

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
    const tw_colour_way *way; /* NULL: colours stay as they are */
    tw_kept *kept;            /* NULL: rows are decoded for this once */
    tw_image_file file;       /* of the roads that let its bytes through; descriptor -1: not open */
    void *own;
    bool ended;
    tw_code failed; /* a road is not taken up again after a failure */
};

extern const tw_pixels_road tw_pixels_png_road;
extern const tw_pixels_road tw_pixels_jpeg_road;
extern const tw_pixels_road tw_pixels_tiff_road;
extern const tw_pixels_road tw_pixels_rows_road;

/* Why a TIFF is decoded, in words. */
const char *tw_tiff_road(const tw_image *image);
/* RFC 1950 2.2: deflate, a window of at most 32 KiB, the check bits, no preset dictionary. */
TW_USE_RESULT tw_code tw_pixels_check_zlib(const unsigned char *start, const char *what,
                                           tw_error *error);
/* Samples a pixel and bits a sample as they go into the sheet. */
int tw_pixels_channels(const tw_image *image);
int tw_pixels_bits(const tw_image *image);

#endif
