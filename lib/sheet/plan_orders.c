/*
 * Orders that keep_together could not keep on one sheet: which, and on which sheets they lie.
 */
#include <stdlib.h>
#include <string.h>

#include "sheet/plan_steps.h"

typedef struct lies_on {
    const char *order;
    size_t paper;
    int sheet;
} lies_on;

static int by_order(const void *left, const void *right) {
    const lies_on *a = left, *b = right;
    if (a->paper != b->paper)
        return a->paper < b->paper ? -1 : 1;
    int order = strcmp(a->order, b->order);
    return order != 0 ? order : (a->sheet > b->sheet) - (a->sheet < b->sheet);
}

static bool same_order(const lies_on *a, const lies_on *b) {
    return a->paper == b->paper && strcmp(a->order, b->order) == 0;
}

static size_t list_places(const tw_plan_data *plan, lies_on *out) {
    size_t count = 0;
    for (size_t i = 0; i < plan->sheet_count; i++) {
        const tw_plan_sheet *sheet = &plan->sheets[i];
        for (size_t k = 0; k < sheet->print_count; k++)
            if (sheet->prints[k].print->order != NULL)
                out[count++] =
                    (lies_on){sheet->prints[k].print->order, sheet->paper_index, sheet->number};
    }
    if (count > 0)
        qsort(out, count, sizeof *out, by_order);
    return count;
}

/* all[first..end) are one order's: on more than one sheet? */
static void add_split(tw_plan_data *plan, const lies_on *all, size_t first, size_t end,
                      int *sheets) {
    tw_split split = {all[first].order, all[first].paper, sheets, 0};
    for (size_t i = first; i < end; i++)
        if (i == first || all[i].sheet != all[i - 1].sheet)
            sheets[split.sheet_count++] = all[i].sheet;
    if (split.sheet_count > 1)
        plan->splits[plan->split_count++] = split;
}

tw_code tw_plan_find_splits(tw_arena *arena, tw_plan_data *plan, tw_error *error) {
    size_t most = plan->prints->count;
    if (plan->job->keep_together.minor == 0)
        return TW_OK;
    lies_on *all = tw_arena_array(arena, most, sizeof *all);
    int *sheets = tw_arena_array(arena, most, sizeof *sheets);
    plan->splits = tw_arena_array(arena, most, sizeof *plan->splits);
    if (all == NULL || sheets == NULL || plan->splits == NULL)
        return tw_no_memory(error);
    size_t count = list_places(plan, all);
    for (size_t first = 0, i = 1; i <= count; i++)
        if (i == count || !same_order(&all[i], &all[first])) {
            add_split(plan, all, first, i, &sheets[first]);
            plan->orders_kept++;
            first = i;
        }
    plan->orders_kept -= plan->split_count;
    return TW_OK;
}
