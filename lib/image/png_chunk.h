/*
 * PNG taken apart into chunks: length, type, data, CRC (PNG, W3C, clause 5.3), the data in pieces
 * so that memory does not follow the file. Under the facts reader and the pixel roads.
 */
#ifndef TW_IMAGE_PNG_CHUNK_H
#define TW_IMAGE_PNG_CHUNK_H

#include "image/source.h"

/* The chunk in hand. `source` is started by the caller. */
typedef struct tw_png_chunk {
    tw_source source;
    char type[5];
    uint32_t length, left; /* bytes of its data, and how many are still unread */
    int64_t at;            /* where its length field begins */
    uint32_t crc;
    bool hopped; /* its data was not looked at, so neither is its CRC */
} tw_png_chunk;

/* The eight bytes before the first chunk. */
TW_USE_RESULT tw_code tw_png_signature(tw_png_chunk *chunk, tw_error *error);
/* The next chunk's length and type; its data and CRC are known to lie inside the file. */
TW_USE_RESULT tw_code tw_png_open_chunk(tw_png_chunk *chunk, tw_error *error);
/* The next `count` bytes of the data, at most `left`. */
TW_USE_RESULT tw_code tw_png_bytes(tw_png_chunk *chunk, unsigned char *bytes, size_t count,
                                   tw_error *error);
/* Up to `most` bytes of the data in place; *got 0 = all was read. */
TW_USE_RESULT tw_code tw_png_some(tw_png_chunk *chunk, size_t most, const unsigned char **bytes,
                                  size_t *got, tw_error *error);
/* Go to the end of the data without reading it. */
void tw_png_hop(tw_png_chunk *chunk);
/* The rest of the data and the CRC. */
TW_USE_RESULT tw_code tw_png_close_chunk(tw_png_chunk *chunk, tw_error *error);

#endif
