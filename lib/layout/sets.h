/*
 * Sets that lie alike, inside lib/layout only: prints of a set lie all upright or all turned, and
 * which of the two takes less paper is tried.
 */
#ifndef TW_LAYOUT_SETS_H
#define TW_LAYOUT_SETS_H

#include "layout/pieces.h"

/* Is there a set whose way is not fixed in its pieces? */
bool tw_has_open_sets(const tw_layout_problem *problem);
/* The best layout found with every set one way, the way of each fixed in the pieces it was made
 * of. Everything in `arena`. */
TW_USE_RESULT tw_code tw_sets_layout(tw_arena *arena, const tw_layout_problem *problem,
                                     tw_layout *out, tw_error *error);

#endif
