/*
 * Steps the readers of image facts share (image.c): size limits, an embedded profile, Exif.
 */
#ifndef TW_IMAGE_FACTS_H
#define TW_IMAGE_FACTS_H

#include "image/image.h"

/* Set width and height; TW_DAMAGED when one is 0, TW_INPUT "image-size" past TW_IMAGE_SIDE_MOST. */
TW_USE_RESULT tw_code tw_image_set_size(tw_image *image, uint32_t width, uint32_t height,
                                        tw_error *error);
/* After TW_DAMAGED among the pixels or behind them: TW_OK, with what `error` says kept as the
 * image's damage, where that is accepted; else TW_DAMAGED again. */
TW_USE_RESULT tw_code tw_image_keep_damage(tw_arena *arena, tw_image *image, tw_error *error);
/* Keep a copy of an embedded profile when it is valid and fits the image's space (which is known
 * by now); else say in profile_problem why not. Only TW_MEMORY is an error. */
TW_USE_RESULT tw_code tw_image_set_profile(tw_arena *arena, tw_image *image,
                                           const unsigned char *bytes, size_t length,
                                           tw_error *error);
/* Orientation from an Exif block, and the resolution when nothing else has said it. */
void tw_image_set_exif(tw_image *image, const unsigned char *bytes, size_t length);

#endif
