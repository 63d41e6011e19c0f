/*
 * Stages of rows (image/rows.h) that only the way into a sheet needs: a test strip's cut and
 * exposure, and lost rows made paper white again behind the conversion.
 */
#ifndef TW_PIXELS_STAGES_H
#define TW_PIXELS_STAGES_H

#include "colour/tone.h"
#include "image/rows.h"

/* The part of `from` that treat->crop_* say; what lies below it is never read. */
TW_USE_RESULT tw_code tw_crop_rows(const tw_allocator *allocator, tw_rows *from,
                                   const tw_treat *treat, tw_rows **out, tw_error *error);
/* So many twelfths of a stop lighter (twice the light a stop) or darker, -12 to 12; what is lighter
 * than paper white becomes that. `from` has no alpha; `tone` is the image's, of from's bits. */
TW_USE_RESULT tw_code tw_exposed_rows(const tw_allocator *allocator, tw_rows *from,
                                      const tw_tone *tone, int twelfths, tw_rows **out,
                                      tw_error *error);

/* Converted rows of a damaged image, white again where it is. `image` outlives the rows. */
TW_USE_RESULT tw_code tw_white_rows(const tw_allocator *allocator, tw_rows *from,
                                    const tw_image *image, tw_rows **out, tw_error *error);

#endif
