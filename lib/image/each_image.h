/*
 * The same work on each of several images, on all cores: one image a thread at a time.
 */
#ifndef TW_IMAGE_EACH_IMAGE_H
#define TW_IMAGE_EACH_IMAGE_H

#include "base/error.h"

/* What is done to image `index`; `shared` may be used from any thread. Whatever it writes must be
 * the image's own. */
typedef void tw_image_work(void *context, const tw_allocator *shared, size_t index);

/* Work on each of `count` images; the caller's own thread works, too, tells `run` how far it is and
 * asks before each image whether to stop. TW_CANCELLED, else what could not be begun. */
TW_USE_RESULT tw_code tw_each_image(const tw_allocator *allocator, size_t count, const tw_run *run,
                                    tw_image_work *work, void *context, tw_error *error);

#endif
