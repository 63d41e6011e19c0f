/*
 * Decoded rows kept for the next time: an image that stands in a day in several sizes, or on
 * several sheets, is decoded once. Its rows wait in a temporary file (base/temporary.h), all
 * images' together at most 2 GiB; what finds no room there is decoded again. For one thread.
 */
#ifndef TW_PIXELS_KEPT_ROWS_H
#define TW_PIXELS_KEPT_ROWS_H

#include "image/rows.h"
#include "pixels/pixels.h"

/* An empty store. Free it after all rows it gave are closed. */
TW_USE_RESULT tw_code tw_kept_new(const tw_allocator *allocator, tw_kept **out, tw_error *error);
void tw_kept_free(tw_kept *kept); /* NULL allowed */
/* One more time this image will be opened with tw_kept_rows, converted by `way` or not. Images that
 * are not decoded, or as quickly read as kept, are passed over. `image` outlives the store. */
TW_USE_RESULT tw_code tw_kept_expect(tw_kept *kept, const tw_image *image, bool converted,
                                     tw_error *error);
/* As tw_rows_open or tw_rows_open_stored, from what is kept where that is whole. NULL `kept`:
 * always decoded. */
TW_USE_RESULT tw_code tw_kept_rows(tw_kept *kept, const tw_allocator *allocator,
                                   const tw_image *image, bool stored, tw_rows **out,
                                   tw_error *error);

#endif
