/*
 * The band engine, inside lib/layout only.
 *
 * A band is a length of roll between two cross cuts; its pattern is a set of columns side by side,
 * each a stack of prints no wider than the column. That is three cut stages (across, along,
 * across) and a trimming cut. Bands are priced by knapsacks and combined by a linear programme
 * (Gilmore & Gomory, Operations Research 13, 1965); the programme's duals, rounded to integers and
 * priced exactly, prove the bound (Farley, Operations Research 38, 1990).
 *
 * Everything here is in whole units of a grid the caller chose: sizes already carry their share
 * of the gaps, so prints just touch.
 */
#ifndef TW_LAYOUT_BAND_H
#define TW_LAYOUT_BAND_H

#include "base/arena.h"
#include "base/error.h"

#define TW_BAND_SCALE ((int64_t)1 << 20) /* value of one unit of roll in the integer duals */

/* One size to be made. Way 0 lies upright, way 1 turned; width 0 = it may not lie that way. */
typedef struct tw_band_type {
    int32_t width[2], height[2];
    int32_t demand;
    bool inner[2]; /* so lying, at the band's end it keeps `edge` from it */
} tw_band_type;

typedef struct tw_band_set {
    const tw_band_type *types;
    int count;
    int32_t width;                     /* of the band */
    int32_t highest;                   /* a band at most; no print is taller */
    int32_t strip_across, strip_along; /* waste in a column is 0 or at least this (in x; in y) */
    int32_t end_strip;                 /* so is waste beside the columns, at the band's end */
    int32_t edge;     /* lost at each end where no print that may lie there lies; 0 = no inner */
    int32_t overhead; /* roll a band takes beside its height; may be below 0 */
} tw_band_set;

/* `count` prints of one type lying one way, stacked. */
typedef struct tw_band_run {
    int16_t type, way;
    int32_t count;
} tw_band_run;

typedef struct tw_band_column {
    int32_t width;
    int32_t run_count;
    tw_band_run *runs;
} tw_band_column;

typedef struct tw_band {
    int32_t height;
    int32_t column_count;
    tw_band_column *columns;
    int32_t *makes; /* prints of each type */
} tw_band;

/* The roll a band of this height takes. */
int32_t tw_band_cost(const tw_band_set *set, int32_t height);

typedef struct tw_bands {
    tw_band **items;
    size_t count, room;
} tw_bands;

/* ------------------------------------------------- columns: stacks of one width, all heights */

/* Stacks of all prints so narrow that they may lie in the column in hand and in every wider one: a
 * column adds those of just its width. */
typedef struct tw_column_base {
    int64_t *exact;
    int32_t *last;
    int next; /* the first item not in it yet */
} tw_column_base;

/* Best stacks for each column width and each height, for given values and limits. */
typedef struct tw_columns {
    const tw_band_set *set;
    int class_count;
    int32_t *class_width; /* ascending */
    bool *class_inner;    /* it may hold inner prints, and keeps `edge` at the end */
    int32_t highest;
    int64_t *exact; /* [class][0..highest] best value of a stack of just this height, or -1 */
    int32_t *last;  /* [class][height] top run's item (type * 2 + way), -1 none */
    int64_t *best;  /* [class][height] best allowed under a band of this height */
    int32_t *under; /* [class][height] the stack height that gives it */
    bool *reached;  /* [height] some class has a stack of just this height */
    int32_t *spent; /* scratch: how many of an item the best stack holds */
    struct tw_column_item *items; /* every print lying every way, narrowest first */
    int item_count;
    tw_column_base bases[2]; /* without and with inner prints */
    int64_t work;            /* simple operations done */
} tw_columns;

TW_USE_RESULT tw_code tw_columns_start(tw_arena *arena, const tw_band_set *set, tw_columns *out,
                                       tw_error *error);
/* Fill for heights 0..highest with these values a print; `limit` NULL = as many as one likes,
 * else at most limit[type] in one stack. */
void tw_columns_fill(tw_columns *columns, const int64_t *value, const int32_t *limit,
                     int32_t highest);
/* Add the stack's prints to makes[type]. */
void tw_column_makes(const tw_columns *columns, int class_index, int32_t height, int32_t *makes);
TW_USE_RESULT tw_code tw_column_take(tw_arena *arena, const tw_columns *columns, int class_index,
                                     int32_t height, tw_band_column *out, tw_error *error);

/* ------------------------------------------------- pricing: columns side by side */

typedef struct tw_pricer {
    tw_columns columns;
    int states;      /* of the knapsack: see band_price.c */
    int64_t *across; /* [state][0..width] knapsack values */
    int32_t *choice; /* [state][0..width] class chosen * states + the state before, -1 none */
    int *useful;     /* classes not dominated at a height */
    int32_t *makes;  /* scratch, a type */
    int32_t *left;   /* scratch, a type */
    int64_t work;    /* simple operations done, not charged yet */
} tw_pricer;

TW_USE_RESULT tw_code tw_pricer_start(tw_arena *arena, const tw_band_set *set, tw_pricer *out,
                                      tw_error *error);
/* The greatest value a band of this height can hold; columns must be filled. */
int64_t tw_price_height(tw_pricer *pricer, int32_t height);
/* At most what tw_price_height gives, cheaply. */
int64_t tw_price_ceiling(const tw_pricer *pricer, int32_t height);
/* Make the band of that value. With `limit`, no type is made more often than that, and the value
 * is what was found, perhaps not the greatest; the columns are then filled anew for this height
 * alone. NULL in *out when the band would be empty. */
TW_USE_RESULT tw_code tw_price_band(tw_arena *arena, tw_pricer *pricer, const int64_t *value,
                                    const int32_t *limit, int32_t height, tw_band **out,
                                    tw_error *error);

/* ------------------------------------------------- master: the linear programme */

typedef struct tw_master tw_master;
/* Rows are types with demand > 0. A first band a row (made of that type alone) must follow. */
TW_USE_RESULT tw_code tw_master_start(tw_arena *arena, int type_count, const int32_t *demand,
                                      tw_master **out, tw_error *error);
TW_USE_RESULT tw_code tw_master_add(tw_arena *arena, tw_master *master, const tw_band *band,
                                    int32_t cost, tw_error *error);
/* Solve over the bands added so far. Duals rounded to integers of TW_BAND_SCALE. */
TW_USE_RESULT tw_code tw_master_solve(tw_master *master, int64_t *value, tw_error *error);
/* How often each added band is used, in 1/TW_BAND_SCALE, in the order added. */
void tw_master_uses(const tw_master *master, int64_t *uses);
size_t tw_master_count(const tw_master *master);

/* ------------------------------------------------- solving */

typedef struct tw_band_budget {
    int64_t steps; /* left: one step is about 1000 simple operations */
    const tw_run *run;
} tw_band_budget;

bool tw_band_spent(const tw_band_budget *budget);

/* What all of one solve share: big tables made once. `wide` prices all heights at once, `tight`
 * one height within limits. */
/* A height a band may have; value is a ceiling until it is priced. */
typedef struct tw_band_offer {
    int32_t height, cost;
    int64_t value;
} tw_band_offer;

typedef struct tw_band_tools {
    tw_pricer wide, tight;
    tw_band_budget *budget;
    tw_band_offer *offers;
    int offer_count;
} tw_band_tools;

TW_USE_RESULT tw_code tw_band_tools_start(tw_arena *arena, const tw_band_set *set,
                                          tw_band_budget *budget, tw_band_tools *out,
                                          tw_error *error);
/* Fill `wide` for all heights and list the heights a band can have, those of the highest ceiling
 * a unit of roll first. */
void tw_band_rank(tw_band_tools *tools, const int64_t *value, const int32_t *limit);
/* Price an offer exactly. */
void tw_band_price(tw_band_tools *tools, tw_band_offer *offer);
/* Take the work done from the budget. */
void tw_band_charge(tw_band_tools *tools);
/* Is `a` worth more a unit of roll than `b`? */
bool tw_band_more(const tw_band_offer *a, const tw_band_offer *b);

/* The relaxation solved by column generation: its bands, how often each is used, its bound. */
typedef struct tw_relaxed {
    tw_bands bands;
    int64_t *uses;  /* in 1/TW_BAND_SCALE, one a band */
    int64_t *value; /* what a print of each type is worth, in the programme solved last */
    int64_t bound;  /* units of roll; proved for any bands of this set when `limited` was false */
} tw_relaxed;

/* Solve for this demand, starting from those bands of `pool` (NULL allowed) that make no more
 * than is asked for. With `limited` every band keeps within the demand, so that it can be used. */
TW_USE_RESULT tw_code tw_band_relax(tw_arena *arena, tw_band_tools *tools, const int32_t *demand,
                                    const tw_bands *pool, bool limited, int rounds, tw_relaxed *out,
                                    tw_error *error);

/* Bands for exactly left[] (used up), chosen one after another with a little chance. */
TW_USE_RESULT tw_code tw_band_sequence(tw_arena *arena, tw_band_tools *tools, int32_t *left,
                                       uint64_t *random, tw_bands *out, tw_error *error);
/* splitmix64 (Steele, Lea & Flood, OOPSLA 2014): the same numbers on every machine. */
uint64_t tw_band_random(uint64_t *state);

/* Bands that make exactly the demand; `bound` (units) is proved for any bands of this set. */
typedef struct tw_band_plan {
    tw_bands bands;
    int64_t height; /* what the bands take in all, overheads too */
    int64_t bound;
} tw_band_plan;

TW_USE_RESULT tw_code tw_bands_add(tw_arena *arena, tw_bands *bands, tw_band *band,
                                   tw_error *error);
TW_USE_RESULT tw_code tw_band_solve(tw_arena *arena, const tw_band_set *set, tw_band_budget *budget,
                                    tw_band_plan *out, tw_error *error);

#endif
