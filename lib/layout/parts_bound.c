/*
 * The bound of prints that lie on several rolls. Their sheets put one behind another are a plan
 * on one endless roll, which loses what a load and a core take once; so what no plan on that roll
 * goes below, none on several does, and each further roll that is needed loses its own besides.
 * The bound of one roll itself is in bound.c and bound_bands.c, with its sources.
 */
#include "layout/parts_inside.h"

#include <stdlib.h>

static int by_length(const void *left, const void *right) {
    tw_nm a = *(const tw_nm *)left;
    tw_nm b = *(const tw_nm *)right;
    return (a < b) - (a > b); /* longest first */
}

/* What further rolls lose when the longest are taken until they hold the bound. */
static tw_code add_loads(tw_arena *arena, const tw_layout_problem *problem, const tw_supply *supply,
                         tw_nm *bound, tw_error *error) {
    tw_nm lost = problem->stock.lost_each_load + problem->stock.lost_core_end;
    size_t rolls = supply->further_count + 1;
    tw_nm *lengths = tw_arena_array(arena, rolls, sizeof *lengths);
    if (lengths == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < rolls; i++)
        lengths[i] = i == 0 ? problem->stock.length : supply->further[i - 1];
    qsort(lengths, rolls, sizeof *lengths, by_length);
    tw_nm holds = lengths[0];
    for (size_t i = 1; i < rolls && holds < *bound; i++) {
        holds += lengths[i];
        *bound += lost;
    }
    return TW_OK;
}

static tw_code bound_in(tw_arena *arena, const tw_layout_problem *problem, const tw_supply *supply,
                        tw_parts *parts, tw_error *error) {
    tw_layout_problem endless = *problem;
    tw_nm bands = 0;
    unsigned char *take = tw_arena_array(arena, problem->count, sizeof *take);
    if (take == NULL)
        return tw_no_memory(error);
    endless.stock.length = TW_LENGTH_MOST;
    for (size_t i = 0; i < parts->count && parts->items[i].offcut == SIZE_MAX; i++)
        for (size_t k = 0; k < parts->items[i].layout.placed_count; k++)
            take[parts->items[i].pieces[parts->items[i].layout.placed[k].piece]] = 3;
    parts->bound = tw_bound_area(&endless, take);
    tw_code code = TW_OK;
    if (endless.settings.stages == 3)
        code = tw_bound_bands(&endless, take, tw_arena_allocator(arena),
                              endless.settings.steps > 0 ? endless.settings.steps / 4
                                                         : TW_STEPS_NORMAL / 4,
                              &bands, error);
    if (bands > parts->bound) {
        parts->bound = bands;
        parts->bound_stages = 3;
    }
    return code == TW_OK ? add_loads(arena, problem, supply, &parts->bound, error) : code;
}

tw_code tw_parts_bound(const tw_allocator *allocator, const tw_layout_problem *problem,
                       const tw_supply *supply, tw_parts *parts, tw_error *error) {
    size_t rolls = 0;
    while (rolls < parts->count && parts->items[rolls].offcut == SIZE_MAX)
        rolls++; /* they come first */
    parts->bound = 0;
    if (rolls == 1) {
        parts->bound = parts->items[0].layout.bound;
        parts->bound_stages = parts->items[0].layout.bound_stages;
    }
    if (rolls < 2)
        return TW_OK;
    tw_arena *arena = tw_arena_new(allocator, 0);
    if (arena == NULL)
        return tw_no_memory(error);
    tw_code code = bound_in(arena, problem, supply, parts, error);
    tw_arena_free(arena);
    return code;
}
