/*
 * Orders kept together, inside lib/layout only: each sheet more that an order is spread over has a
 * price (settings.keep_together), and layouts that keep orders together are weighed with it.
 */
#ifndef TW_LAYOUT_ORDERS_H
#define TW_LAYOUT_ORDERS_H

#include "layout/pieces.h"

/* Does it matter here how orders are spread? */
bool tw_keeps_orders(const tw_layout_problem *problem);
/* The cheapest of: the day as ever with equal prints swapped, on fewer and longer sheets, and
 * orders laid out by themselves in groups. Everything in `arena`. */
TW_USE_RESULT tw_code tw_orders_layout(tw_arena *arena, const tw_layout_problem *problem,
                                       tw_layout *out, tw_error *error);

/* Inside: orders laid out group by group; *made false where that does not place them all. */
TW_USE_RESULT tw_code tw_orders_apart(tw_arena *arena, const tw_layout_problem *problem,
                                      const tw_layout *day, tw_layout *out, bool *made,
                                      tw_error *error);

#endif
