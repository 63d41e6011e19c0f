/*
 * Small pure helpers that every way of laying out shares: how a piece may lie and how far it
 * keeps from its sheet's edges, the page a stack of rows needs, and equal pieces found.
 * The referee does not use them: it works everything out again on its own.
 */
#ifndef TW_LAYOUT_PIECES_H
#define TW_LAYOUT_PIECES_H

#include "layout/layout.h"

__extension__ typedef __int128 tw_wide; /* areas: nm x nm */

/* A piece lying one way: sides are the sheet's, top towards the leading edge. */
typedef struct tw_lie {
    bool may; /* it may lie so, and alone fits the paper so */
    tw_nm width, height;
    tw_sides keep; /* as tw_piece_keep */
    tw_sides bleed;
} tw_lie;

/* Waste is nothing or wide enough to clamp: a distance above 0 and below it becomes it. */
tw_nm tw_raised(tw_nm distance, tw_nm narrowest);
/* False where a strip this wide is waste that cannot be cut off. */
bool tw_strip_ok(tw_nm width, tw_nm narrowest);
/* Greatest common divisor; of 0 and a length, the length. */
tw_nm tw_common_measure(tw_nm a, tw_nm b);

/* `may` says the piece may lie so and, alone on a sheet, fits the paper (however little of a
 * roll is left). Sets that lie alike are not looked at. */
tw_lie tw_piece_lie(const tw_layout_problem *problem, const tw_piece *piece, bool turned);

/* Several prints side by side need `inner` along the feed, `lead` before and `tail` after. */
typedef struct tw_page_need {
    tw_nm lead, inner, tail;
    bool single; /* one print alone: it may be longer than longest_sheet */
} tw_page_need;
/* The page they get, or -1 when there is none; *start is where the inner part begins (0 or at
 * least narrowest_strip) and *rest what is left behind it. */
tw_nm tw_page_length(const tw_layout_problem *problem, const tw_page_need *need, tw_nm *start,
                     tw_nm *rest);

/* Pieces that lie alike in every respect that matters here. */
typedef struct tw_kind {
    tw_lie lie[2];       /* upright, turned; both `may` only where they differ */
    size_t first, count; /* of tw_kinds.order */
    int image;           /* told apart by image only where sheet_bytes_most could matter */
    int64_t bytes;       /* 0 where it cannot */
} tw_kind;

typedef struct tw_kinds {
    tw_kind *items;
    size_t count;
    size_t *order; /* indexes of pieces, kind by kind, served first comes first */
    size_t order_count;
    bool by_bytes; /* sheet_bytes_most could matter */
} tw_kinds;

/* The kinds of the pieces with take[i] != 0, in an order that does not depend on the input's.
 * Bits of take[i]: 1 may lie upright, 2 may lie turned. */
TW_USE_RESULT tw_code tw_kinds_make(tw_arena *arena, const tw_layout_problem *problem,
                                    const unsigned char *take, tw_kinds *out, tw_error *error);
/* Which of two pieces of one kind comes first: what is served first, then what keeps an order and
 * an image together, then whatever else tells them apart but their pins. 0: true equals. */
int tw_piece_compare(const tw_piece *a, const tw_piece *b);
/* Which ways each piece may lie (bits as above; 0 = none fits), with sets that lie alike given
 * one way: upright where all of the set fit so, else the way more of them fit. */
TW_USE_RESULT tw_code tw_piece_ways(tw_arena *arena, const tw_layout_problem *problem,
                                    unsigned char **out, tw_error *error);

/* No plan of the pieces with take[i] != 0 uses less (the parts of it: bound.c). */
tw_nm tw_bound_area(const tw_layout_problem *problem, const unsigned char *take);
/* The same by the relaxation over bands, proved for three cut stages and a trim; 0 where there is
 * none. Within that many steps. */
TW_USE_RESULT tw_code tw_bound_bands(const tw_layout_problem *problem, const unsigned char *take,
                                     const tw_allocator *allocator, int64_t steps, tw_nm *out,
                                     tw_error *error);

/* The problem on a roll without end (as many cut sheets as there are pieces), for questions beside
 * the day: no price, which is of the paper's length; nothing to choose or keep together; each sheet
 * of a roll dearer by `dear`, so that few are made. What its layouts come to is not the day's and
 * is not told: *quiet, which must stay as long as *out, is its run. */
void tw_endless(const tw_layout_problem *problem, tw_nm dear, tw_run *quiet,
                tw_layout_problem *out);

bool tw_run_cancelled(const tw_run *run);
void tw_run_progress(const tw_run *run, const char *doing, uint64_t done, uint64_t total);

#endif
