/*
 * Which prints an offcut might take: lists to try, the first of each list wanted most. Inside
 * lib/layout only.
 */
#ifndef TW_LAYOUT_PARTS_SETS_H
#define TW_LAYOUT_PARTS_SETS_H

#include "layout/parts_inside.h"

typedef struct tw_set {
    size_t *pieces; /* of the problem, the first wanted most */
    size_t count;
} tw_set;

typedef struct tw_sets {
    tw_set *items;
    size_t count;
} tw_sets;

/* Lists for this offcut of pieces with away[i] == 0: the prints of each band of the rolls' layout,
 * the tallest first, then each size; what follows in a list fills up. Fewer lists the more pieces
 * there are. Of equal pieces those served first are named first. */
TW_USE_RESULT tw_code tw_sets_list(tw_arena *arena, const tw_filling *filling, size_t offcut,
                                   const unsigned char *away, const tw_parts *rolls, tw_sets *out,
                                   tw_error *error);
/* A print may lie on an offcut: it is pinned nowhere and no set binds its way. */
bool tw_set_may_leave(const tw_filling *filling, size_t piece);
/* Served first comes first; ties by index. */
void tw_set_by_priority(const tw_layout_problem *problem, size_t *pieces, size_t count);

/* An offcut as stock: a cut sheet with the stock's margins. */
tw_stock tw_offcut_stock(const tw_filling *filling, size_t offcut);

#endif
