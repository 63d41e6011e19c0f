/*
 * Laying out, inside lib/layout only: kinds -> rows across the roll -> sheets (pack_sheet.c) -> a
 * layout, the best of several (pack.c). Rows come from the band engine (pack_bands.c) or, quickly,
 * by rule (pack_row.c, one row; pack_rows.c, all of them).
 * A row holds columns of stacked prints: three cut stages and a trimming cut.
 */
#ifndef TW_LAYOUT_PACK_H
#define TW_LAYOUT_PACK_H

#include "layout/pay.h"
#include "layout/pieces.h"

typedef struct tw_slot {
    size_t kind;
    tw_nm x, y; /* on the sheet; from the row's top */
    int way;
    int column; /* counted from 0; -1 in a row that is not made of columns */
} tw_slot;

typedef struct tw_row {
    tw_slot *slots;
    size_t count;
    tw_nm height;
    tw_nm lead, tail;            /* least distance to the sheet's ends */
    tw_nm over_top, over_bottom; /* how far bleed reaches out of the row */
    size_t times;                /* equal rows */
    tw_wide area;
} tw_row;

typedef struct tw_rows {
    tw_row *items;
    size_t count, room;
    size_t total; /* sum of times */
} tw_rows;

/* Which way the row's leader lies: lowest, tallest, whichever fills its row better, or whichever
 * row takes fewer cuts for its prints. */
typedef enum tw_pack_lead { TW_LEAD_LOW, TW_LEAD_TALL, TW_LEAD_EITHER, TW_LEAD_FEW } tw_pack_lead;
/* What is tried next beside it: SAME, only the leader's kind; LEVEL, only what is as high. */
typedef enum tw_pack_fill {
    TW_FILL_TALL,
    TW_FILL_WIDE,
    TW_FILL_FULL,
    TW_FILL_LEVEL,
    TW_FILL_SAME
} tw_pack_fill;

typedef struct tw_pack_way {
    tw_pack_lead lead;
    tw_pack_fill fill;
} tw_pack_way;

/* A kind lying one way. */
typedef struct tw_option {
    size_t kind;
    int way;
    tw_nm width, height;
} tw_option;

typedef struct tw_packer {
    tw_arena *arena;
    const tw_layout_problem *problem;
    const tw_kinds *kinds;
    size_t *left;           /* of each kind, not placed yet */
    tw_option *tall, *wide; /* all options, by height and by width, greatest first */
    size_t option_count;
    size_t spent; /* about so many options have none left */
} tw_packer;

/* One row of height `leader->height` begun with `leader`: the first column at the left. Spends
 * nothing: `left` is as before, out->times is how often it can be made. */
TW_USE_RESULT tw_code tw_pack_row(tw_packer *packer, const tw_option *leader, tw_pack_fill fill,
                                  tw_row *out, tw_error *error);
/* Prints stacked in one column, from the top. */
typedef struct tw_stack {
    const tw_option *prints;
    size_t count;
} tw_stack;
/* One row of these columns, laid side by side where they find a place; a column that fits not is
 * left out, and a row without any has times 0. Spends nothing. */
TW_USE_RESULT tw_code tw_pack_row_of(tw_packer *packer, const tw_stack *stacks, int count,
                                     tw_row *out, tw_error *error);
/* The row with prints of `options` (as given: the first first) laid into its free places: under
 * its columns and beside them, so that it gets no higher and keeps no more from its sheet's ends.
 * Takes only kinds of these options that packer->left has. Spends nothing. */
TW_USE_RESULT tw_code tw_pack_fill_row(tw_packer *packer, const tw_row *row,
                                       const tw_option *options, size_t count, tw_row *out,
                                       tw_error *error);
/* Sets up the packer's lists and left[]: nothing is placed. */
TW_USE_RESULT tw_code tw_pack_start(tw_packer *packer, tw_error *error);
/* Adds rows for all the pieces still left. TW_CANCELLED when asked to stop. */
TW_USE_RESULT tw_code tw_pack_rows(tw_packer *packer, tw_pack_way way, tw_rows *out,
                                   tw_error *error);
TW_USE_RESULT tw_code tw_pack_keep_row(tw_packer *packer, tw_rows *rows, const tw_row *row,
                                       tw_error *error);
/* Rows by the search for days of different sizes, where the grid is exact and there are few enough
 * prints; else none. */
TW_USE_RESULT tw_code tw_pack_search(tw_packer *packer, int64_t steps, tw_rows *out,
                                     tw_error *error);
/* Do the sizes of this day hardly repeat? Most steps are better spent on the search then than on
 * bands. */
TW_USE_RESULT tw_code tw_pack_differs(tw_packer *packer, bool *out, tw_error *error);
/* Adds rows by the band engine for what is left, within that many steps; what it does not place
 * is still left. */
TW_USE_RESULT tw_code tw_pack_bands(tw_packer *packer, int64_t steps, tw_rows *out,
                                    tw_error *error);
/* How rows are parted into sheets of a roll: least paper first, or fewest cuts. */
typedef enum tw_pack_part { TW_PART_PAPER, TW_PART_CUTS } tw_pack_part;
/* Rows onto sheets, and the pieces into the rows' slots. Everything in `arena`. */
TW_USE_RESULT tw_code tw_pack_sheets(tw_arena *arena, const tw_layout_problem *problem,
                                     const tw_kinds *kinds, const tw_rows *rows, tw_pack_part part,
                                     tw_layout *out, tw_error *error);
/* Sorts placed and works out `used` from the sheets. */
void tw_pack_total(const tw_layout_problem *problem, tw_layout *layout);

/* One layout. Several made of the same rows may share an arena, which goes with the last. */
typedef struct tw_pack_try {
    tw_arena *arena; /* NULL: none */
    int *holders;    /* how many tries share the arena */
    tw_layout layout;
    tw_kinds kinds;
    tw_rows rows; /* what the layout was made of */
    tw_pack_part part;
    bool equal_rows; /* one kind of print in each row */
    bool priced;     /* else `pay` is worked out when needed */
    tw_pay pay;
} tw_pack_try;

/* No plan of so many pieces uses less than `bound`. */
typedef struct tw_pack_proof {
    bool known;
    size_t count;
    tw_nm bound;
    int stages; /* as tw_layout.bound_stages */
} tw_pack_proof;

/* The best so far for each thing that may be wanted, and how good it can get. */
typedef struct tw_pack_finds {
    bool wanted[TW_WANTS]; /* TW_WANT_PAPER always is */
    tw_pack_try best[TW_WANTS];
    tw_pack_proof proof;
} tw_pack_finds;

/* Another holder of the same try, and one less. */
tw_pack_try tw_pack_share(const tw_pack_try *a);
void tw_pack_drop(tw_pack_try *a);
void tw_pack_drop_finds(tw_pack_finds *finds);
/* Works out a->pay where it is not known. */
TW_USE_RESULT tw_code tw_pack_price(const tw_layout_problem *problem, tw_pack_try *a,
                                    tw_error *error);
/* Keeps `now` (shared, not taken) where it is better than what was found. What the paper left
 * does not hold is only ever kept as the one of least paper. */
TW_USE_RESULT tw_code tw_pack_offer(const tw_layout_problem *problem, tw_pack_finds *finds,
                                    tw_pack_try *now, tw_error *error);
/* What was found for this, or else what takes least paper. */
const tw_pack_try *tw_pack_found(const tw_pack_finds *finds, tw_want want);

/* The best of several layouts of the pieces with take[i] != 0 (bits: the ways it may lie), for all
 * that is wanted; the one of least paper however much that is. `quick`: that one only, soon. Asked
 * to stop, it keeps what it has, or is TW_CANCELLED. Drops the finds when it fails. */
TW_USE_RESULT tw_code tw_pack_best(const tw_allocator *allocator, const tw_layout_problem *problem,
                                   const unsigned char *take, bool quick, tw_pack_finds *finds,
                                   tw_error *error);
/* Lays fillers (bits: the ways they may lie) into the free places of its rows, those worth most
 * for their area first, where the layout gets no longer by it. Sets take[] of those placed. */
TW_USE_RESULT tw_code tw_pack_fillers(const tw_layout_problem *problem,
                                      const unsigned char *fillers, unsigned char *take,
                                      tw_pack_try *best, tw_error *error);
/* The bound for the pieces with take[i] != 0: that of the bands only where a plan that uses `used`
 * is above that of the area. */
TW_USE_RESULT tw_code tw_pack_prove(const tw_allocator *allocator, const tw_layout_problem *problem,
                                    const unsigned char *take, tw_nm used, tw_pack_proof *out,
                                    tw_error *error);
/* The same into out->bound and bound_stages, for the plan `out`. */
TW_USE_RESULT tw_code tw_pack_prove_layout(const tw_layout_problem *problem,
                                           const unsigned char *take, const tw_allocator *allocator,
                                           tw_layout *out, tw_error *error);
/* The work the settings allow. */
int64_t tw_pack_steps(const tw_layout_problem *problem);

/* Which pieces the paper left holds, those served first before others: sets take[]. */
TW_USE_RESULT tw_code tw_pack_serve(tw_arena *arena, const tw_layout_problem *problem,
                                    const unsigned char *ways, unsigned char *take,
                                    tw_error *error);
bool tw_pack_holds(const tw_layout_problem *problem, const tw_layout *layout);
/* Pieces still left out that fit as sheets of their own are added at the end. layout->placed and
 * sheet_length must have room for all pieces of the problem. */
TW_USE_RESULT tw_code tw_pack_add_alone(tw_arena *arena, const tw_layout_problem *problem,
                                        const unsigned char *ways, unsigned char *take,
                                        tw_layout *layout, tw_error *error);

#endif
