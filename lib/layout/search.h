/*
 * The search for days of all different sizes: rectangles on a strip, cut edge to edge, as short
 * as can be found within a number of steps. (Where sizes repeat, the bands of band.h lose less.)
 *
 * It knows nothing of paper: sizes already carry their share of the gaps, so rectangles just
 * touch. x runs across the strip, y along it; both start at 0.
 *
 * Method: a beam search over insertions into an unfinished cut tree, a tree search of the kind
 * Fontan & Libralesso describe (International Transactions in Operational Research 29, 2022, for
 * two and three stages; from memory); here frames may nest deeper, and the height to stay under
 * is tightened after every find. search_front.c says what one insertion is. First, and the
 * longer the more items there are, columns filled by knapsacks are tried: search_columns.c.
 */
#ifndef TW_LAYOUT_SEARCH_H
#define TW_LAYOUT_SEARCH_H

#include "base/arena.h"
#include "base/error.h"

#define TW_SEARCH_MOST 10000 /* items of one search */

typedef struct tw_search_item {
    int32_t width, height; /* 1 or more, as it lies upright */
    bool turns;            /* it may lie turned */
} tw_search_item;

typedef struct tw_search_job {
    const tw_search_item *items;
    int count;
    int32_t width;     /* of the strip */
    bool free;         /* any cut depth; false: across, along, across, and a trimming cut */
    int32_t bound;     /* no use to look under this height; 0 = the area's bound is taken */
    int32_t band_most; /* highest band of three stages that is of use; 0 = any */
    int32_t strip;     /* a strip of waste is 0 or at least this thick; 0 = any */
    int64_t steps;     /* insertions that may be tried; 0 = the first plan, in rows, is enough.
                          About 30 million a second */
    const tw_run *run; /* NULL allowed */
} tw_search_job;

typedef struct tw_search_place {
    int32_t x, y; /* of the corner nearest the origin */
    bool turned;
} tw_search_place;

typedef struct tw_search_plan {
    int32_t height;
    tw_search_place *places; /* one an item, in the items' order; in the arena */
    int64_t steps;           /* spent */
    bool cancelled;          /* the caller said stop: the best so far */
} tw_search_plan;

/* The same plan, but for equal items changing places, for any order of the items, on any
 * machine. Scratch memory is taken from the arena's allocator and given back. TW_INPUT when an
 * item cannot lie on the strip either way ("search-no-place") or the sizes are beyond what is
 * reckoned with ("search-too-big"); TW_MEMORY. */
TW_USE_RESULT tw_code tw_search(tw_arena *arena, const tw_search_job *job, tw_search_plan *out,
                                tw_error *error);

#endif
