/*
 * What libpng is given to read of a whole PNG: the file's own chunks, but the image data unpacked
 * already (base/inflate.h) and in stored blocks (RFC 1951, 3.2.4), so that libpng only undoes
 * filters and interlacing. Check sums are looked at here, of chunks and of the packed data, and
 * need not be looked at again.
 */
#ifndef TW_IMAGE_PNG_FEED_H
#define TW_IMAGE_PNG_FEED_H

#include "image/png_chunk.h"

typedef struct tw_png_feed tw_png_feed;

/* `source` is at the file's start; the file must outlive the feed. TW_MEMORY. */
TW_USE_RESULT tw_code tw_png_feed_new(const tw_allocator *allocator, const tw_source *source,
                                      tw_png_feed **out, tw_error *error);
/* The next `length` bytes. TW_DAMAGED, the message in words that say what of the PNG is wrong and
 * not of which file; TW_MEMORY; TW_IO. After a failure only tw_png_feed_free. */
TW_USE_RESULT tw_code tw_png_feed_read(tw_png_feed *feed, unsigned char *bytes, size_t length,
                                       tw_error *error);
void tw_png_feed_free(tw_png_feed *feed); /* NULL allowed */

#endif
