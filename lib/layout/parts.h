/*
 * One paper in several pieces: what is left on one roll after another, and rectangles of it kept
 * from earlier days. Which prints go where, each piece of paper laid out as a problem of its own
 * (layout.h), the whole judged by the referee.
 *
 *   problem + supply -> tw_parts_make -> parts (problem, layout) -> tw_cuts_make of each
 *                                        \_______ tw_referee_parts sees them together
 */
#ifndef TW_LAYOUT_PARTS_H
#define TW_LAYOUT_PARTS_H

#include "layout/layout.h"

/* Beside the problem's own stock, which is the first roll. */
typedef struct tw_supply {
    const tw_nm *further; /* what is left on each further roll of the paper, nm; not 0 */
    size_t further_count;
    const tw_size *offcuts; /* each piece by itself; width across the feed, nm */
    size_t offcut_count;
} tw_supply;

/* What lies on one roll, or on one offcut: a cut sheet with the stock's margins that costs and
 * loses nothing. */
typedef struct tw_part {
    size_t roll;               /* 0 = the problem's stock, n = further[n - 1] */
    size_t offcut;             /* SIZE_MAX = a roll; else of the supply's offcuts */
    size_t *pieces;            /* of the whole problem: piece i here is pieces[i] there */
    tw_layout_problem problem; /* what was still to be laid when this roll's turn came */
    tw_layout layout;
} tw_part;

typedef struct tw_parts {
    tw_part *items; /* rolls in the order they are used, then offcuts; each holds a sheet */
    size_t count;
    tw_part *passed; /* rolls looked at that no print could be laid on */
    size_t passed_count;
    tw_left *left; /* sorted by piece, counted as in the whole problem */
    size_t left_count;
    tw_nm used;             /* of all rolls, each with what it loses */
    tw_nm saved;            /* so much more would be used without the offcuts; 0 = none was or more
                             * would be left out without */
    tw_nm bound;            /* no plan of the pieces placed on the rolls uses less */
    int bound_stages;       /* as tw_layout */
    bool stopped_early;     /* cancelled with more to try */
    tw_pin_fault pin_fault; /* as tw_layout's, pieces counted as in the whole problem */
} tw_parts;

/* Up to three rolls are tried in every order, more are used as given; the fewest early prints left
 * out decide, then the least paper, then the order given. Never fails for an unplaceable piece.
 * With no further roll: one part, as tw_layout_make makes it. Offcuts are used where that leaves
 * fewer out or shortens the rolls. Pins are to sheets of the roll used first; TW_INPUT with
 * out->pin_fault where they cannot be kept. Everything in the arena. */
TW_USE_RESULT tw_code tw_parts_make(tw_arena *arena, const tw_layout_problem *problem,
                                    const tw_supply *supply, tw_parts *out, tw_error *error);

/* Of two plans, by the priorities of what each leaves out, ascending: below 0 where `a` is better.
 * The earliest due that only one of them leaves out decides, then how many. */
int tw_missed_compare(const int64_t *a, size_t a_count, const int64_t *b, size_t b_count);

/* What tw_referee_check cannot see of one part by itself: every piece is placed once or left out,
 * every roll used once, no roll left that would take a piece left out, equal pieces served in
 * turn over all rolls, totals right. Shares no code with what made the parts. TW_BUG with what is
 * wrong. */
TW_USE_RESULT tw_code tw_referee_parts(const tw_layout_problem *problem, const tw_supply *supply,
                                       const tw_parts *parts, tw_error *error);

#endif
