/*
 * What all parts of a paper cost together: the rolls' paper, and the work at the trimmer on rolls
 * and offcuts alike.
 */
#include "layout/parts_inside.h"
#include "layout/pay.h"

static tw_code add_part(tw_arena *arena, const tw_part *part, tw_pay *sum, tw_error *error) {
    tw_cuts cuts;
    tw_pay one;
    tw_code code = tw_cuts_make(arena, &part->problem, &part->layout,
                                &part->problem.settings.trimmer, &cuts, error);
    if (code == TW_OK)
        code = tw_pay_make(arena, &part->problem, &part->layout, &cuts, &one, error);
    if (code != TW_OK)
        return code;
    bool roll = part->offcut == SIZE_MAX; /* a kept piece was paid for */
    sum->paper += roll ? one.paper : 0;
    sum->used += roll ? one.used : 0;
    sum->work += one.work;
    sum->hand_cuts += one.hand_cuts;
    sum->stop_changes += one.stop_changes;
    sum->lengths += one.lengths;
    sum->sheets += one.sheets;
    return TW_OK;
}

tw_code tw_parts_pay(const tw_allocator *allocator, const tw_layout_problem *problem,
                     const tw_parts *parts, tw_pay *out, tw_error *error) {
    tw_code code = TW_OK;
    *out = (tw_pay){.priced = problem->stock.price > 0};
    tw_arena *arena = tw_arena_new(allocator, 0);
    if (arena == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < parts->count && code == TW_OK; i++)
        code = add_part(arena, &parts->items[i], out, error);
    tw_arena_free(arena);
    return code;
}
