/*
 * Where a piece of paper may be cut along one axis. Prints that share a stretch of the axis are
 * one block; blocks can be parted. Every choice made here can be completed whenever any can: cut
 * a cuttable piece where both halves meet the rule for strips, and the cuts of the old tree,
 * restricted to each half, still free its prints. So no search is needed.
 */
#include "layout/cuts.h"

#include <stdlib.h>

typedef struct block {
    tw_nm low, high;
    size_t first, end; /* trims */
} block;

static int by_low(const tw_trim *a, const tw_trim *b, int axis) {
    if (a->low[axis] != b->low[axis])
        return a->low[axis] < b->low[axis] ? -1 : 1;
    if (a->low[1 - axis] != b->low[1 - axis])
        return a->low[1 - axis] < b->low[1 - axis] ? -1 : 1;
    return (a->placed > b->placed) - (a->placed < b->placed);
}

static int by_low_across(const void *a, const void *b) {
    return by_low(a, b, TW_ACROSS);
}

static int by_low_along(const void *a, const void *b) {
    return by_low(a, b, TW_ALONG);
}

static block next_block(const tw_hand *hand, int axis, size_t first) {
    block b = {hand->trims[first].low[axis], hand->trims[first].high[axis], first, first + 1};
    while (b.end < hand->count && hand->trims[b.end].low[axis] < b.high) {
        if (hand->trims[b.end].high[axis] > b.high)
            b.high = hand->trims[b.end].high[axis];
        b.end++;
    }
    return b;
}

/* Does print `q` lie wholly between print `p` and the cut, on the cut's low or high side? */
static bool between(const tw_trim *p, const tw_trim *q, int axis, tw_nm at, bool low_side) {
    return low_side ? q->low[axis] >= p->high[axis] && q->high[axis] <= at
                    : q->high[axis] <= p->low[axis] && q->low[axis] >= at;
}

/* Only prints thinner than the strip can lie between: then there is no thin waste there. */
static bool covered(const tw_hand *hand, const block *b, const tw_trim *p, int axis, tw_nm at,
                    bool low_side) {
    int other = 1 - axis;
    tw_nm reached = p->low[other];
    bool grew = true;
    while (grew && reached < p->high[other]) {
        grew = false;
        for (size_t i = b->first; i < b->end; i++) {
            const tw_trim *q = &hand->trims[i];
            if (between(p, q, axis, at, low_side) && q->low[other] <= reached &&
                q->high[other] > reached) {
                reached = q->high[other];
                grew = true;
            }
        }
    }
    return reached >= p->high[other];
}

/* A cut at `at` beside the block: is what each of its prints has towards the cut nothing, or wide
 * enough to be cut off later? */
static bool edge_ok(const tw_hand *hand, const block *b, int axis, tw_nm at, bool low_side,
                    tw_nm narrowest) {
    for (size_t i = b->first; i < b->end; i++) {
        const tw_trim *p = &hand->trims[i];
        tw_nm distance = low_side ? at - p->high[axis] : p->low[axis] - at;
        if (!tw_strip_ok(distance, narrowest) && !covered(hand, b, p, axis, at, low_side))
            return false;
    }
    return true;
}

/* Where to cut between two blocks, or -1. Waste between them stays with the first: then equal
 * blocks are parted by the same stop, and again when the waste is trimmed off each. */
static tw_nm cut_between(const tw_hand *hand, const block *a, const block *b, int axis,
                         tw_nm narrowest) {
    tw_nm gap = b->low - a->high;
    if (!tw_strip_ok(gap, narrowest))
        return -1;
    bool low_ok = edge_ok(hand, a, axis, a->high, true, narrowest);
    bool high_ok = edge_ok(hand, b, axis, b->low, false, narrowest);
    if (gap == 0)
        return low_ok && high_ok ? b->low : -1;
    if (high_ok)
        return b->low;
    if (low_ok)
        return a->high;
    return gap >= 2 * narrowest ? a->high + narrowest : -1;
}

static void add(tw_lines *out, tw_nm at, size_t first) {
    out->at[out->count++] = at;
    out->first[out->count] = first;
}

static void trim_low(const tw_hand *hand, const block *b, int axis, tw_nm narrowest,
                     tw_lines *out) {
    tw_nm waste = b->low - hand->low[axis];
    if (waste > 0 && waste >= narrowest && edge_ok(hand, b, axis, b->low, false, narrowest))
        add(out, b->low, 0);
}

static void trim_high(const tw_hand *hand, const block *b, int axis, tw_nm narrowest,
                      tw_lines *out) {
    tw_nm waste = hand->high[axis] - b->high;
    if (waste > 0 && waste >= narrowest && edge_ok(hand, b, axis, b->high, true, narrowest))
        add(out, b->high, hand->count);
}

void tw_cuts_lines(tw_hand *hand, tw_along axis, tw_nm narrowest, tw_lines *out) {
    out->count = 0;
    out->first[0] = 0;
    if (hand->count > 1)
        qsort(hand->trims, hand->count, sizeof *hand->trims,
              axis == TW_ACROSS ? by_low_across : by_low_along);
    block last = next_block(hand, (int)axis, 0);
    trim_low(hand, &last, (int)axis, narrowest, out);
    while (last.end < hand->count) {
        block next = next_block(hand, (int)axis, last.end);
        tw_nm at = cut_between(hand, &last, &next, (int)axis, narrowest);
        if (at >= 0)
            add(out, at, next.first);
        last = next;
    }
    trim_high(hand, &last, (int)axis, narrowest, out);
    out->first[out->count + 1] = hand->count;
}
