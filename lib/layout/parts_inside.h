/*
 * What parts.c, parts_offcuts.c and parts_bound.c share, inside lib/layout only.
 */
#ifndef TW_LAYOUT_PARTS_INSIDE_H
#define TW_LAYOUT_PARTS_INSIDE_H

#include "layout/parts.h"
#include "layout/pieces.h"

typedef struct tw_filling {
    const tw_layout_problem *problem;
    const tw_supply *supply;
    const unsigned char *away; /* of each piece: not for the rolls; NULL = all are */
    unsigned char *ways;       /* as tw_piece_ways says of the whole problem */
    size_t *waiting;           /* pieces of the problem not laid yet, ascending */
    size_t waiting_count;
    int64_t steps;
    bool looking; /* for an order or a set: what other wants would cost is not asked */
    bool stopped; /* what remains is laid quickly and to its end */
    tw_run calm;
} tw_filling;

/* Whom a plan leaves out, and the paper it takes. */
typedef struct tw_outcome {
    int64_t *missed; /* priorities, ascending */
    size_t missed_count;
    tw_nm used;
} tw_outcome;
TW_USE_RESULT tw_code tw_outcome_make(tw_arena *arena, const tw_layout_problem *problem,
                                      const tw_parts *parts, tw_outcome *out, tw_error *error);
bool tw_outcome_better(const tw_outcome *a, const tw_outcome *b);

/* While looking, and when asked to stop. */
int64_t tw_quick_steps(const tw_layout_problem *problem);
void tw_filling_stop(tw_filling *filling);
/* The first `rolls` in this order (NULL: as given), as many of them as are needed. */
TW_USE_RESULT tw_code tw_fill_rolls(tw_arena *arena, tw_filling *filling,
                                    const unsigned char *order, size_t rolls, tw_parts *out,
                                    tw_error *error);
/* The rolls in the best order, with the effort asked for. */
TW_USE_RESULT tw_code tw_fill_best(tw_arena *arena, tw_filling *filling, tw_parts *out,
                                   tw_error *error);

/* Offcuts are used where that leaves fewer out or shortens the rolls: *parts, made without them,
 * becomes what is made with them. Then what is left out goes on offcuts that are still free, and
 * fillers into the free places of those in use. */
TW_USE_RESULT tw_code tw_parts_offcuts(tw_arena *arena, tw_filling *filling, tw_parts *parts,
                                       tw_error *error);

/* One offcut with what is to be laid on it, at most OFFCUT_PIECES of `pieces` (of the problem),
 * the first first; fillers among them only in free places. */
TW_USE_RESULT tw_code tw_offcut_part(tw_arena *arena, const tw_filling *filling, size_t offcut,
                                     const size_t *pieces, size_t count, tw_part *out,
                                     tw_error *error);

/* What all parts cost together: the paper of the rolls, the work on all of it. */
TW_USE_RESULT tw_code tw_parts_pay(const tw_allocator *allocator, const tw_layout_problem *problem,
                                   const tw_parts *parts, tw_pay *out, tw_error *error);

/* Works out bound and bound_stages from what lies on the rolls. */
TW_USE_RESULT tw_code tw_parts_bound(const tw_allocator *allocator,
                                     const tw_layout_problem *problem, const tw_supply *supply,
                                     tw_parts *parts, tw_error *error);

#endif
