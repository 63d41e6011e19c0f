/* Which intents "auto" took on a paper, for which images and why: words for people. plan.json has
 * the same print by print. */
#ifndef TW_SETTLE_AUTO_INTENT_WORDS_H
#define TW_SETTLE_AUTO_INTENT_WORDS_H

#include "base/text.h"
#include "prints/prints.h"

#define TW_AUTO_NAMED_MOST 6 /* images named for one intent; plan.json has all */

typedef struct tw_auto_image {
    const char *name;
    tw_intent intent; /* perceptual or relative */
    int64_t share;    /* of the pixels out of gamut, millionths */
} tw_auto_image;

/* Each image once: perceptual first, then by share, the largest first. In the arena. TW_MEMORY. */
TW_USE_RESULT tw_code tw_auto_images(tw_arena *arena, const tw_prints *prints, size_t paper_index,
                                     tw_auto_image **out, size_t *count, tw_error *error);
/* "perceptual where over 5 % of an image's pixels are out of gamut". */
void tw_auto_rule(tw_buffer *out);
/* "blue.png (42.1 %), red.png (8 %) and 7 more, in plan.json" for those of one intent, after
 * `before`; nothing where there are none. */
void tw_auto_list(tw_buffer *out, const char *before, const tw_auto_image *items, size_t count,
                  tw_intent intent);

/* Lines for each paper on which "auto" chose; nothing where it did not. TW_MEMORY. */
TW_USE_RESULT tw_code tw_auto_text(const tw_job_data *job, const tw_prints *prints, tw_buffer *out,
                                   tw_error *error);

#endif
