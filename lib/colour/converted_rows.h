/* The transform as a stage of decoded rows (rows.h), on all cores. */
#ifndef TW_COLOUR_CONVERTED_ROWS_H
#define TW_COLOUR_CONVERTED_ROWS_H

#include "colour/colour.h"
#include "image/rows.h"

/* `from` has no alpha and as many channels as way->from; way->bits_in is taken from it. As many
 * bits come out as go in. `threads` 0: as many as there are cores. Owns `from` on success. */
TW_USE_RESULT tw_code tw_colour_rows(const tw_allocator *allocator, tw_rows *from,
                                     const tw_colour_way *way, int threads, tw_rows **out,
                                     tw_error *error);

#endif
