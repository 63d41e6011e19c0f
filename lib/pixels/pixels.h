/*
 * An image's samples on their way into a sheet: a pull reader over the bytes that the PDF will
 * hold, the file's own where they can pass through, else decoded, converted and packed again.
 */
#ifndef TW_PIXELS_PIXELS_H
#define TW_PIXELS_PIXELS_H

#include "colour/colour.h"
#include "image/image.h"

typedef struct tw_kept tw_kept;

/* How an image's samples go into the PDF, and a pull reader over the encoded bytes. */
typedef struct tw_pixels tw_pixels;

typedef struct tw_pixels_form {
    uint32_t width, height;
    int bits, channels;
    bool dct;             /* else Flate */
    int predictor;        /* of Flate: 15 PNG's, 2 TIFF's, 1 none (ISO 32000-1 Table 10) */
    bool invert;          /* /Decode [1 0 ...] */
    bool untouched;       /* passes through */
    char road[220];       /* why: one phrase for inspect */
    int colour_transform; /* dct: /ColorTransform (ISO 32000-1 Table 13); -1 = leave it out */
    int palette_size;     /* > 0: /Indexed, `palette` holds 3 bytes an entry */
    unsigned char palette[768];
} tw_pixels_form;

TW_USE_RESULT tw_code tw_pixels_open(const tw_allocator *allocator, const tw_image *image,
                                     tw_pixels **out, tw_pixels_form *form, tw_error *error);
/* The same with every pixel converted: decoded, laid on paper white, brought from way->from (as
 * many channels as the image has, colours of its palette counted) to way->to. NULL `way`: as
 * tw_pixels_open. `way` must outlive the pixels. Decoded rows come from `kept`, and stay there for
 * the next time (kept_rows.h); NULL: they do not. */
TW_USE_RESULT tw_code tw_pixels_open_converted(const tw_allocator *allocator, const tw_image *image,
                                               const tw_colour_way *way, tw_kept *kept,
                                               tw_pixels **out, tw_pixels_form *form,
                                               tw_error *error);
/* Up to `room` bytes; *got 0 = end, reached only when every check (CRC, markers, row count)
 * held. */
TW_USE_RESULT tw_code tw_pixels_pull(tw_pixels *pixels, unsigned char *bytes, size_t room,
                                     size_t *got, tw_error *error);
void tw_pixels_close(tw_pixels *pixels);
/* An upper bound of the encoded bytes, for the sheet's byte limit. */
int64_t tw_pixels_bound(const tw_image *image);
int64_t tw_pixels_bound_converted(const tw_image *image, int channels); /* of the paper */

#endif
