/*
 * Cut trees, inside lib/layout only: where a piece of paper may be cut (cuts_lines.c), which of
 * those cuts are made first (cuts_choose.c), the tree of cuts (cuts.c) and the order to make them
 * in (cuts_order.c).
 */
#ifndef TW_LAYOUT_CUTS_H
#define TW_LAYOUT_CUTS_H

#include "layout/pieces.h"

/* A print to be freed; index 0 is y (cuts across the roll), 1 is x (cuts along it), as tw_along. */
typedef struct tw_trim {
    tw_nm low[2], high[2];
    size_t placed;
} tw_trim;

/* A piece of paper in hand and the prints on it. */
typedef struct tw_hand {
    tw_nm low[2], high[2];
    tw_trim *trims;
    size_t count;
    int stage; /* of the last cut before it that parted prints: odd across, even along; 0 none */
} tw_hand;

/* The cuts that part this piece along one axis, in order from the low side. Between two cuts lie
 * `parts` prints each: trims are sorted so that part k holds trims first[k] .. first[k+1]-1. */
typedef struct tw_lines {
    tw_nm *at;
    size_t *first;
    size_t count; /* cuts; parts = count + 1 */
} tw_lines;

/* Fill `out` (its arrays have room for 2 * trims + 2). Cuts through no print, and leaves no strip
 * too thin to cut off. Sorts the trims. count 0 = this axis parts nothing. */
void tw_cuts_lines(tw_hand *hand, tw_along axis, tw_nm narrowest, tw_lines *out);

/* How far ahead cuts are counted, and what that takes. */
#define TW_CUTS_DEPTH 6
typedef struct tw_cuts_scratch {
    tw_nm narrowest;
    bool staged;         /* prints are parted in three stages; cuts that only trim are free */
    tw_nm longest_along; /* no cut along the roll longer than this is preferred to one across */
    bool prefer_along;   /* where it takes no more cuts, along the roll first */
    tw_nm page_end;      /* > 0: blank strips at both ends of this page carry the ticks */
    tw_lines shared, next;
    tw_lines level[TW_CUTS_DEPTH];
} tw_cuts_scratch;

/* Room for pieces of so many trims; the caller sets the rules. */
TW_USE_RESULT tw_code tw_cuts_start(tw_arena *arena, size_t trims, tw_cuts_scratch *out,
                                    tw_error *error);
/* The axis to cut this piece along first, and at which lines; out->count 0 when it cannot be
 * parted. Sorts the trims. */
tw_along tw_cuts_choose(tw_cuts_scratch *scratch, tw_hand *hand, tw_lines *out);
/* The stage of what is freed by cutting this piece at these lines. */
int tw_cuts_stage(const tw_hand *hand, const tw_lines *lines, tw_along axis);

/* Number the cuts of a sheet in an order that changes the stop seldom. *stop is where the trimmer
 * was left (-1 nowhere) and is left; adds to *changes. `cuts` come in any order, one a cut node. */
TW_USE_RESULT tw_code tw_cuts_order(tw_arena *arena, tw_sheet_cuts *sheet, tw_nm *stop,
                                    int64_t *changes, tw_error *error);

#endif
