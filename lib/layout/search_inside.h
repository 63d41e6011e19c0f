/*
 * What the files of the search share: kinds of items, an unfinished plan (front), a whole plan
 * as a list of insertions, one pass of the beam.
 */
#ifndef TW_LAYOUT_SEARCH_INSIDE_H
#define TW_LAYOUT_SEARCH_INSIDE_H

#include "layout/search.h"

#define TW_FRAME_LEVELS 6 /* deepest nesting of frames tried */

/* Equal items. Way 0 is upright (wider than high where it may turn), way 1 turned. */
typedef struct tw_search_kind {
    int32_t width[2], height[2];
    int32_t count, ways;
    int32_t first; /* in the sorted order of items */
    int32_t least; /* its short side */
    int64_t area;
} tw_search_kind;

typedef struct tw_kinds_set {
    tw_search_kind *items;
    int32_t *order; /* items sorted: the item's index in the caller's list */
    int count;      /* of kinds */
    int item_count;
    int32_t width, strip;
    int64_t area;   /* of all items */
    int area_shift; /* areas >> this stay under 2^24 */
} tw_kinds_set;

/* Sort items into kinds: largest first, then by sides, so that the caller's order is forgotten. */
TW_USE_RESULT tw_code tw_search_kinds(tw_arena *arena, const tw_search_job *job, tw_kinds_set *out,
                                      tw_error *error);

/* One insertion: an item of this kind, lying this way, as a new child of the frame at `depth`. */
typedef struct tw_insertion {
    int32_t kind;
    int16_t way, depth;
} tw_insertion;

/* An unfinished plan, seen from where the next item may go: search_front.c. */
typedef struct tw_front {
    int32_t start[TW_FRAME_LEVELS + 1]; /* in frame l: where its youngest child starts */
    int32_t size[TW_FRAME_LEVELS + 1];  /* the youngest child's length so far */
    int64_t waste;                      /* surely lost so far */
    int64_t placed;                     /* area of the items in it */
    uint64_t held;                      /* a hash of which items are in it */
    int32_t log;                        /* the insertion that made it; -1: none yet */
} tw_front;

typedef struct tw_front_limits {
    int levels;            /* of frames */
    int32_t width, height; /* of the strip; to stay within */
    int32_t least;         /* shortest side among the items still to come */
} tw_front_limits;

/* `from` with a rectangle of these sides in a new child of the frame at `depth`, its waste
 * reckoned with `placed` as the area of all items in it. False when it leaves the limits; `to`
 * is then half written. `held` and `log` are left alone. */
bool tw_front_insert(const tw_front *from, const tw_front_limits *limits, int32_t width,
                     int32_t height, int depth, tw_front *to);

/* Measures of a frame: along its own axis, and across it. */
typedef struct tw_extent {
    int32_t along, across;
} tw_extent;

typedef struct tw_search_scratch {
    tw_extent *extents; /* (TW_FRAME_LEVELS + 1) * item_count */
    int32_t *used;      /* a kind */
} tw_search_scratch;

TW_USE_RESULT tw_code tw_search_scratch_new(tw_arena *arena, const tw_kinds_set *kinds,
                                            tw_search_scratch *out, tw_error *error);

/* Lay a whole plan out: places in the items' order (NULL: only its height). Gives the height, or
 * -1 when a strip of waste at the side of the strip is too thin. Thin strips elsewhere are
 * widened. */
int32_t tw_search_lay(const tw_kinds_set *kinds, const tw_insertion *plan, int levels,
                      tw_search_scratch *scratch, tw_search_place *places);
/* The first plan: rows of items of falling height, a new one when the last is full. */
TW_USE_RESULT tw_code tw_search_rows(tw_arena *arena, const tw_kinds_set *kinds, tw_insertion *plan,
                                     tw_error *error);

/* How a pass weighs plans: the same waste is dearer the more small items it used up. */
typedef struct tw_beam_lane {
    int levels;
    int32_t weight; /* in 1/1024 of the area: see guide_of in search_beam.c */
    int alike;      /* fronts that agree in so many outer frames are alike */
} tw_beam_lane;

typedef struct tw_beam tw_beam; /* scratch memory of passes */

/* Room for passes of up to this width, at most tw_beam_most. Free with tw_beam_free. */
TW_USE_RESULT tw_code tw_beam_new(const tw_allocator *allocator, const tw_kinds_set *kinds,
                                  int width, tw_beam **out, tw_error *error);
void tw_beam_free(const tw_allocator *allocator, tw_beam *beam);
/* The widest that memory holds and so many steps can fill. */
int tw_beam_most(const tw_kinds_set *kinds, int64_t steps);
int tw_beam_room(const tw_beam *beam); /* NULL: 0 */

typedef struct tw_beam_pass {
    tw_beam_lane lane;
    int width;         /* fronts kept a round */
    int32_t height;    /* the plan must be at most so high */
    int64_t *steps;    /* left; counted down, below 0 ends the pass */
    int64_t steps_all; /* there were at first */
    const tw_run *run;
    bool *cancelled;
    bool *full; /* set when there was no room for all fronts: a wider pass may find more */
} tw_beam_pass;

/* One pass: true when a plan was found; it is written to `plan` (item_count insertions) and its
 * height to *height. */
TW_USE_RESULT tw_code tw_beam_run(const tw_allocator *allocator, tw_beam *beam,
                                  const tw_beam_pass *pass, tw_insertion *plan, int32_t *height,
                                  bool *found, tw_error *error);

/* The search by columns (search_columns.c): plans in a few bands of about one height. */
#define TW_COLUMNS_LEVELS 3 /* its plans are laid with so many */
typedef struct tw_by_columns {
    int32_t best;      /* height of the best plan so far; bettered */
    int32_t bound;     /* no use to look under this height */
    int32_t band_most; /* highest band there may be; 0 = any */
    int64_t steps;     /* to take; then those taken */
    int64_t steps_all; /* of the whole search, for the progress */
    const tw_run *run;
    bool *cancelled;
    tw_insertion *plan; /* of `best`; written where a better one is found */
} tw_by_columns;

TW_USE_RESULT tw_code tw_search_columns(const tw_allocator *allocator, const tw_kinds_set *kinds,
                                        tw_by_columns *pass, tw_error *error);

#endif
