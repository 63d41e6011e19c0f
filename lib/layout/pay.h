/*
 * What a layout with its cuts costs the person, inside lib/layout and to its right: the paper,
 * then the work at the trimmer, then whatever else has a price. Layouts are chosen by it.
 */
#ifndef TW_LAYOUT_PAY_H
#define TW_LAYOUT_PAY_H

#include "layout/layout.h"

/* Sums in thousandths of a minor money unit (a tenth of a cent has 100 of them). */
typedef struct tw_pay {
    bool priced;   /* the paper has a price; else `paper` is 0 and `used` stands for it */
    int64_t paper; /* used / stock length x price, rounded half up once */
    int64_t work;  /* hand cuts x hand_cut + stop changes x stop_change */
    int64_t other; /* 0 as made: what else this layout costs, added by who asks for it */
    tw_nm used;    /* as tw_layout.used */
    int64_t hand_cuts, stop_changes;
    int lengths; /* distinct sheet lengths: each is a page size to create by hand */
    int sheets;
} tw_pay;

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

#endif
