/* A look at an image: pixels on an even grid, in the order they are stored, in a time that follows
 * the grid where the format allows that. */
#ifndef TW_COLOUR_SAMPLE_H
#define TW_COLOUR_SAMPLE_H

#include "base/error.h"
#include "image/image.h"
#include "image/rows.h"

typedef struct tw_sample_place {
    uint32_t x, y; /* of the grid, as stored */
    bool white;    /* on a row of a damaged image that is lost: it prints as bare paper */
} tw_sample_place;

/* Called with up to 256 pixels at a time: 8-bit samples, or 16-bit in this machine's order for
 * images of 16 bits; alpha is on paper white by then. */
typedef void tw_sample_taker(void *context, const unsigned char *pixels, size_t count,
                             const tw_sample_place *places);

/*
 * The grid has `across` times `down` points, no more than the image has pixels a side. A point is
 * the pixel in the middle of its part of the image (of a TIFF in strips, of the row in that part
 * with which a strip begins, if one does); of a JPEG, which is decoded small, the mean of
 * up to 8 x 8 of them. Strips and tiles of a TIFF in which no point lies are not read, so that
 * damage there is not found; PNGs and JPEGs are read through, a JPEG with fewer checks.
 * Errors as tw_rows_open and tw_rows_next.
 */
TW_USE_RESULT tw_code tw_sample_image(const tw_allocator *allocator, const tw_image *image,
                                      uint32_t across, uint32_t down, tw_sample_taker *take,
                                      void *context, tw_error *error);

/* The grid as a stage of rows (rows.h): `across` times `down` of the pixels of `from`, which has
 * as many a side. Owns `from` on success. */
TW_USE_RESULT tw_code tw_sample_rows(const tw_allocator *allocator, tw_rows *from, uint32_t across,
                                     uint32_t down, tw_rows **out, tw_error *error);

#endif
