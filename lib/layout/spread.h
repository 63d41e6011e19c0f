/*
 * Orders over sheets, inside lib/layout only: how far each is spread, and equal prints changing
 * places so that orders are spread less. That costs nothing.
 */
#ifndef TW_LAYOUT_SPREAD_H
#define TW_LAYOUT_SPREAD_H

#include "layout/pieces.h"

/* The sheets that orders (tw_piece.group) take beyond one each. */
TW_USE_RESULT tw_code tw_spread_count(tw_arena *arena, const tw_layout_problem *problem,
                                      const tw_layout *layout, int64_t *out, tw_error *error);
/* Equal prints change places where that brings an order together; sheets and places stay. */
TW_USE_RESULT tw_code tw_spread_gather(tw_arena *arena, const tw_layout_problem *problem,
                                       tw_layout *layout, tw_error *error);

#endif
