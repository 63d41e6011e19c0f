/*
 * Between tiff_rows.c, which makes pixels of a TIFF's rows, and the two that get them: strips
 * stored or deflated (tiff_strips.c), all others through libtiff (tiff_packed.c). A plane is what
 * lies together in the file: all channels, or one of them.
 */
#ifndef TW_IMAGE_TIFF_ROWS_H
#define TW_IMAGE_TIFF_ROWS_H

#include "image/image_file.h"

/* Of one plane's row, in bytes; samples of 1, 2 and 4 bits are packed. */
size_t tw_tiff_row_bytes(const tw_image *image);
/* How many planes are read: 1, or one for each colour and the alpha. */
size_t tw_tiff_planes(const tw_image *image);

/* ---- strips, stored or deflated: 16-bit samples come in the file's byte order */

bool tw_tiff_is_strips(const tw_image *image);

typedef struct tw_tiff_strips tw_tiff_strips;

TW_USE_RESULT tw_code tw_tiff_strips_open(const tw_allocator *allocator, tw_image_file *file,
                                          tw_tiff_strips **out, tw_error *error);
/* Rows of each plane downwards; some may be left out. */
TW_USE_RESULT tw_code tw_tiff_strips_row(tw_tiff_strips *strips, size_t plane, uint32_t y,
                                         unsigned char *row, tw_error *error);
/* After TW_DAMAGED: because the file ends there, and for no other reason. */
bool tw_tiff_strips_cut(const tw_tiff_strips *strips);
void tw_tiff_strips_close(tw_tiff_strips *strips); /* NULL allowed */

/* Differences along the row made values again (TIFF 6.0 section 14), in the file's byte order. */
void tw_tiff_undo_predictor(const tw_image *image, unsigned char *row, size_t length);

/* ---- a deflated tile at a time */

typedef struct tw_tiff_tile tw_tiff_tile;

tw_tiff_tile *tw_tiff_tile_new(const tw_allocator *allocator); /* NULL: no memory */
/* Where its packed bytes go; NULL: no memory. */
unsigned char *tw_tiff_tile_room(tw_tiff_tile *tile, size_t bytes);
/* Those `bytes` into `length` bytes, up to the check sum. TW_MEMORY; TW_DAMAGED with what is wrong
 * as the whole message. */
TW_USE_RESULT tw_code tw_tiff_tile_unpack(tw_tiff_tile *tile, size_t bytes, unsigned char *out,
                                          size_t length, tw_error *error);
void tw_tiff_tile_free(tw_tiff_tile *tile); /* NULL allowed */

/* ---- everything else: 16-bit samples come in this machine's byte order, those of deflated tiles
 * in the file's */

typedef struct tw_tiff_packed tw_tiff_packed;

TW_USE_RESULT tw_code tw_tiff_packed_open(const tw_allocator *allocator, const tw_image_file *file,
                                          tw_tiff_packed **out, tw_error *error);
/* Rows of each plane downwards; some may be left out. */
TW_USE_RESULT tw_code tw_tiff_packed_row(tw_tiff_packed *packed, size_t plane, uint32_t y,
                                         unsigned char *row, tw_error *error);
void tw_tiff_packed_close(tw_tiff_packed *packed); /* NULL allowed */

#endif
