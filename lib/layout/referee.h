/*
 * The referee, inside lib/layout only. It shares nothing with what lays out or cuts, not even
 * small helpers: every distance, gap, page and total is worked out here a second time.
 * referee.c: who is placed and who is left; referee_place.c: where they lie; referee_cuts.c: the
 * cuts, replayed.
 */
#ifndef TW_LAYOUT_REFEREE_H
#define TW_LAYOUT_REFEREE_H

#include "layout/layout.h"

#define TW_WRONG "plan-check", "the plan is wrong: "

/* A placed piece as it lies: 0 top, 1 right, 2 bottom, 3 left of the sheet. */
typedef struct tw_seen {
    tw_nm left, top, right, bottom;
    tw_nm need[4]; /* least distance to each edge of the sheet */
    tw_nm bleed[4];
} tw_seen;

typedef struct tw_judge {
    tw_arena *arena; /* scratch */
    const tw_layout_problem *problem;
    const tw_layout *layout;
    const tw_cuts *cuts;
    tw_seen *seen; /* of each placed */
    size_t *first; /* of each sheet's placed; sheet_count + 1 */
    int *state;    /* of each piece: 0 unknown, 1 placed, 2 left */
} tw_judge;

tw_seen tw_judge_see(const tw_layout_problem *problem, const tw_piece *piece, bool turned, tw_nm x,
                     tw_nm y);
/* The page of a sheet with this piece alone, so lying; -1 when it cannot. */
tw_nm tw_judge_alone(const tw_layout_problem *problem, const tw_piece *piece, bool turned);

/* How a piece of a set lies; a set must lie one way. Sorts `all`; `where` ends the sentence. */
typedef struct tw_judge_way {
    int set;
    bool turned;
} tw_judge_way;
TW_USE_RESULT tw_code tw_judge_ways(tw_judge_way *all, size_t count, const char *where,
                                    tw_error *error);

TW_USE_RESULT tw_code tw_judge_left(const tw_judge *judge, tw_error *error);
/* Of equal pieces, the one served first is never the one left out; looks at `state` alone. */
TW_USE_RESULT tw_code tw_judge_turns(const tw_judge *judge, tw_error *error);
TW_USE_RESULT tw_code tw_judge_fillers(const tw_judge *judge, tw_error *error);
TW_USE_RESULT tw_code tw_judge_places(const tw_judge *judge, tw_error *error);
TW_USE_RESULT tw_code tw_judge_cuts(const tw_judge *judge, tw_error *error);

#endif
