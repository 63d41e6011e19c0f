/*
 * A file seen through a small window: buffered positional reading for the readers of image
 * facts and the pixel roads, so that memory stays the window's size however big the file is.
 */
#ifndef TW_IMAGE_SOURCE_H
#define TW_IMAGE_SOURCE_H

#include "base/error.h"

typedef struct tw_source {
    int descriptor;
    int64_t size; /* of the file, as it was when opened */
    int64_t at;   /* the next byte */
    unsigned char *window;
    size_t room;
    int64_t window_at; /* what the window holds */
    size_t window_length;
    size_t next_fill;   /* doubles while reading goes straight on */
    int64_t advised_to; /* how far the kernel was told to read ahead */
} tw_source;

/* `descriptor` and `window` (at least 64 bytes) stay the caller's. */
void tw_source_start(tw_source *source, int descriptor, int64_t size, unsigned char *window,
                     size_t room);
/* 1 to `most` bytes at the place, without copying; they are good until the next call. The place
 * moves past them. At the file's end, or where it has become shorter: TW_DAMAGED; TW_IO when the
 * machine fails. */
TW_USE_RESULT tw_code tw_source_take(tw_source *source, size_t most, const unsigned char **bytes,
                                     size_t *got, tw_error *error);
/* Exactly `length` bytes, copied. Errors as above. */
TW_USE_RESULT tw_code tw_source_read(tw_source *source, void *bytes, size_t length,
                                     tw_error *error);
/* Bytes from the place to the file's end. */
int64_t tw_source_left(const tw_source *source);

uint32_t tw_big32(const unsigned char *bytes); /* big-endian, as PNG, ICC and JPEG have it */
uint32_t tw_big16(const unsigned char *bytes);
void tw_put_big32(unsigned char *bytes, uint32_t value);
void tw_put_big16(unsigned char *bytes, unsigned value);

#endif
