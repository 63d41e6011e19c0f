/*
 * What a layout with its cuts costs the person, inside lib/layout and to its right: the paper,
 * then the work at the trimmer, then whatever else has a price. Layouts are chosen by it.
 */
#ifndef TW_LAYOUT_PAY_H
#define TW_LAYOUT_PAY_H

#include "layout/layout.h"

/* The price of so much paper, `used` as in tw_layout.used: of a roll its share of the length that
 * is left on it, of cut sheets their share of the box. Thousandths of a minor unit, rounded half
 * up; 0 where the stock has no price. */
int64_t tw_pay_paper(const tw_stock *stock, tw_nm used);

/* What this layout, cut so, costs. `arena` for scratch. TW_MEMORY. */
TW_USE_RESULT tw_code tw_pay_make(tw_arena *arena, const tw_layout_problem *problem,
                                  const tw_layout *layout, const tw_cuts *cuts, tw_pay *out,
                                  tw_error *error);

/* paper + work + other: what is paid, as far as it is known. */
int64_t tw_pay_sum(const tw_pay *pay);

/* < 0 where `a` is cheaper, 0 where nothing tells them apart. With a price: the sum. Without one a
 * length cannot be weighed against money, so it decides alone and the other sums come after it.
 * Then, whatever they cost: paper, hand cuts, stop changes, distinct sheet lengths. */
int tw_pay_compare(const tw_pay *a, const tw_pay *b);

/* The same when something else is wanted most: least paper whatever the rest costs, or fewest hand
 * cuts and then the cheapest of those; ties as above. */
int tw_pay_compare_for(tw_want want, const tw_pay *a, const tw_pay *b);

#endif
