/*
 * The best next column for the search by columns (search_columns.c): of the items not used yet,
 * those that stack up to a given height, all as wide as the column or little less, and are worth
 * most for its width. A knapsack for every width there is, solved again only where its items went
 * and where it may still be the best. Inside the search only.
 */
#ifndef TW_LAYOUT_SEARCH_COLUMN_H
#define TW_LAYOUT_SEARCH_COLUMN_H

#include "layout/search_inside.h"

/* An item lying one way. */
typedef struct tw_column_entry {
    int32_t width, height;
    int32_t item;     /* in the sorted order of items */
    tw_insertion put; /* its kind and way */
} tw_column_entry;

/* Columns of one width. */
typedef struct tw_column_target {
    int32_t width;
    int low, high; /* the entries looked at */
    int64_t worth; /* of the best column; at most so much where not `known` */
    bool known;
} tw_column_target;

typedef struct tw_column_maker {
    const tw_kinds_set *kinds;
    tw_column_entry *entries; /* by rising width */
    tw_column_target *targets;
    int entry_count, target_count;
    const int32_t *worth; /* of an item: 1 or more, all together at most TW_COLUMN_WORTH */
    bool *used;           /* is an item */
    int *listed;          /* scratch: the entries that one column may take */
    int listed_count;
    int32_t *met, turn; /* scratch: the list an item was in last */
    int32_t *layers;    /* scratch: of the knapsack */
    int32_t height;
    int64_t steps, end; /* taken so far, in the search's measure; to stop at */
} tw_column_maker;

enum { TW_COLUMN_WORTH = 1 << 29 };

/* For columns of up to this height. *fits false when they would need too much memory. */
TW_USE_RESULT tw_code tw_column_maker_new(tw_arena *arena, const tw_kinds_set *kinds,
                                          int32_t height_most, tw_column_maker *out, bool *fits,
                                          tw_error *error);
/* Columns of this height from now on; `fresh`: no item is used. */
void tw_column_maker_start(tw_column_maker *columns, int32_t height, bool fresh);
/* Take the best column: its entries to `out` (room for all items), their number; 0 when no free
 * item can stand in any column, or `end` is reached. */
int tw_column_maker_take(tw_column_maker *columns, int *out);

#endif
