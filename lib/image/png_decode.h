/*
 * Rows out of a PNG by way of libpng (png_decode.c), and interlacing undone (png_interlace.c).
 */
#ifndef TW_IMAGE_PNG_DECODE_H
#define TW_IMAGE_PNG_DECODE_H

#include "image/image.h"

/* ---- rows out of a PNG: samples of one byte (or two, big-endian), alpha last */

typedef struct tw_png_rows tw_png_rows;

/* Of a damaged PNG, how many bytes from its start may be believed: up to the first chunk from the
 * image data on whose check sum does not hold, or whose head is none; all of them where the file
 * was cut. TW_IO, or TW_DAMAGED when nothing of the image data is left. */
TW_USE_RESULT tw_code tw_png_believed(tw_source source, int64_t *bytes, tw_error *error);

/* Interlaced images give the rows of their seven passes one after the other. Errors here and
 * below: TW_DAMAGED in the words of libpng; TW_MEMORY; TW_IO. */
TW_USE_RESULT tw_code tw_png_rows_open(const tw_allocator *allocator, const tw_source *source,
                                       const tw_image *image, tw_png_rows **out, tw_error *error);
/* The next row; `row` has room for a whole row of the image (tw_png_row_bytes), also in passes. */
TW_USE_RESULT tw_code tw_png_rows_next(tw_png_rows *rows, unsigned char *row, tw_error *error);
/* After the last row: the end of the image data and all chunks to IEND. */
TW_USE_RESULT tw_code tw_png_rows_end(tw_png_rows *rows, tw_error *error);
void tw_png_rows_close(tw_png_rows *rows); /* NULL allowed */
/* Samples of a pixel as decoded (alpha counted), bytes of a whole decoded row. */
int tw_png_row_samples(const tw_image *image);
size_t tw_png_row_bytes(const tw_image *image);

/* ---- interlacing undone, by way of an unlinked temporary file */

typedef struct tw_passes tw_passes;

/* `unit` = bytes of a pixel as stored, 1 to 6. The file lies in TMPDIR, else /tmp. */
TW_USE_RESULT tw_code tw_passes_new(const tw_allocator *allocator, uint32_t width, uint32_t height,
                                    size_t unit, tw_passes **out, tw_error *error);
/* Columns of the next row to put; 0 when all seven passes are there. */
uint32_t tw_passes_want(const tw_passes *passes);
TW_USE_RESULT tw_code tw_passes_put(tw_passes *passes, const unsigned char *row, tw_error *error);
/* Row `y` of the whole image. */
TW_USE_RESULT tw_code tw_passes_row(tw_passes *passes, uint32_t y, unsigned char *row,
                                    tw_error *error);
/* No more will come: rows are made of the passes that are whole, each pixel standing for those
 * beside and under it that are not there, as PNG (W3C) 8.2 lets viewers show an image that is still
 * coming; rows whose pixels are all there are exact. How many are whole, 0 to 7. */
int tw_passes_stop(tw_passes *passes);
void tw_passes_free(tw_passes *passes); /* NULL allowed */

#endif
