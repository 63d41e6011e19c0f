/* What is partly transparent, laid on paper white in light (tone.h): a row, and a stage of rows. */
#ifndef TW_COLOUR_PAPER_WHITE_H
#define TW_COLOUR_PAPER_WHITE_H

#include "colour/tone.h"
#include "image/rows.h"

/* One sample of `colour` under `alpha`, both 0 .. tone->most. */
uint32_t tw_paper_mix(const tw_tone *tone, int channel, uint32_t colour, uint32_t alpha);
/* A row in place: `count` pixels of `channels` samples and alpha become pixels without it. */
void tw_paper_row(const tw_tone *tone, unsigned char *row, uint32_t count, int channels);

/* Alpha onto paper white. `from` has alpha; `tone` is the image's, of from's bits, and
 * outlives the rows. */
TW_USE_RESULT tw_code tw_paper_rows(const tw_allocator *allocator, tw_rows *from,
                                    const tw_tone *tone, tw_rows **out, tw_error *error);

#endif
