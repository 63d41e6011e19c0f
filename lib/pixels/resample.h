/*
 * The stages that make a picture's pixels anew for a print: resampled to the pixels that its size
 * on paper can use, and sharpened for the paper. Both are rows (rows.h) and hold a few rows alone.
 */
#ifndef TW_PIXELS_RESAMPLE_H
#define TW_PIXELS_RESAMPLE_H

#include "colour/tone.h"
#include "image/image.h"
#include "image/rows.h"
#include "pixels/resample_weights.h"

/* `from`, which has no alpha, to width x height by windowed sinc (resample_weights.h), in linear
 * light by `tone`, which is of from's bits and outlives the rows. Floats, each operation IEEE 754's
 * in a fixed order: the same bytes on every machine. */
TW_USE_RESULT tw_code tw_resample_rows(const tw_allocator *allocator, tw_rows *from,
                                       const tw_tone *tone, uint32_t width, uint32_t height,
                                       tw_rows **out, tw_error *error);

/* An unsharp mask on `from`, which has no alpha: with L the lightness in code values of 0..255 and
 * B its mean under a Gaussian of treat's radius, what |L - B| exceeds the threshold by, times the
 * amount, is added to every channel alike, so that no colour shifts. CMYK: to each ink by itself.
 * (ISO 12233 calls the like "edge enhancement"; the mask itself is common practice.) */
TW_USE_RESULT tw_code tw_sharpen_rows(const tw_allocator *allocator, tw_rows *from,
                                      const tw_treat *treat, tw_rows **out, tw_error *error);

#endif
