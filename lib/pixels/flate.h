/*
 * Decoded rows packed again for FlateDecode: PNG filters and deflate, on all cores, in bytes that
 * do not depend on how many there are.
 */
#ifndef TW_PIXELS_FLATE_H
#define TW_PIXELS_FLATE_H

#include "base/error.h"

typedef struct tw_flate tw_flate;

/* Rows of `row_bytes`; `step` = bytes of a pixel, for the filters; 0 = no filter pays (numbered
 * colours and samples under 8 bits: PNG, W3C, 12.8). */
TW_USE_RESULT tw_code tw_flate_new(const tw_allocator *allocator, size_t row_bytes, size_t step,
                                   tw_flate **out, tw_error *error);
/* The same on 1 to 16 threads, for tests: the bytes must not depend on it. */
TW_USE_RESULT tw_code tw_flate_new_on(const tw_allocator *allocator, size_t row_bytes, size_t step,
                                      size_t threads, tw_flate **out, tw_error *error);
/* Take a row in; only when tw_flate_pull has nothing more to give. */
TW_USE_RESULT tw_code tw_flate_row(tw_flate *flate, const unsigned char *row, tw_error *error);
void tw_flate_end(tw_flate *flate);
/* Packed bytes; *got 0 = it wants a row, or all was given after tw_flate_end. */
TW_USE_RESULT tw_code tw_flate_pull(tw_flate *flate, unsigned char *bytes, size_t room, size_t *got,
                                    tw_error *error);
void tw_flate_free(tw_flate *flate); /* NULL allowed */
/* No image of so many rows packs to more bytes. */
int64_t tw_flate_bound(size_t row_bytes, uint32_t height);

#endif
