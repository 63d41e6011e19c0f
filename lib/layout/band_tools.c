/*
 * What all of one solve share: the pricers' big tables, the ranking of heights, and the account of
 * the work done. Work is counted in simple operations, never by a clock.
 */
#include "layout/band.h"

#include <stdlib.h>

__extension__ typedef __int128 wide;

tw_code tw_band_tools_start(tw_arena *arena, const tw_band_set *set, tw_band_budget *budget,
                            tw_band_tools *out, tw_error *error) {
    *out = (tw_band_tools){.budget = budget};
    tw_code code = tw_pricer_start(arena, set, &out->wide, error);
    if (code == TW_OK)
        code = tw_pricer_start(arena, set, &out->tight, error);
    out->offers = tw_arena_array(arena, (size_t)set->highest + 1, sizeof *out->offers);
    return code == TW_OK && out->offers == NULL ? tw_no_memory(error) : code;
}

bool tw_band_more(const tw_band_offer *a, const tw_band_offer *b) {
    return (wide)a->value * b->cost > (wide)b->value * a->cost;
}

static int by_ceiling(const void *a, const void *b) {
    const tw_band_offer *x = a, *y = b;
    if (tw_band_more(x, y) || tw_band_more(y, x))
        return tw_band_more(x, y) ? -1 : 1;
    return x->height < y->height ? -1 : x->height > y->height;
}

/* Is this a height a band can have: its tallest stack's, or one cuttable strip more? */
static bool is_height(const tw_columns *columns, int32_t height) {
    int32_t strip = columns->set->strip_along;
    return columns->reached[height] ||
           (strip > 1 && height > strip && columns->reached[height - strip]);
}

void tw_band_rank(tw_band_tools *tools, const int64_t *value, const int32_t *limit) {
    const tw_columns *columns = &tools->wide.columns;
    tw_columns_fill(&tools->wide.columns, value, limit, columns->set->highest);
    tools->offer_count = 0;
    for (int32_t h = 1; h <= columns->highest; h++) {
        int64_t ceiling = is_height(columns, h) ? tw_price_ceiling(&tools->wide, h) : 0;
        if (ceiling > 0)
            tools->offers[tools->offer_count++] =
                (tw_band_offer){h, tw_band_cost(columns->set, h), ceiling};
    }
    if (tools->offer_count > 0)
        qsort(tools->offers, (size_t)tools->offer_count, sizeof *tools->offers, by_ceiling);
    tools->wide.work += (int64_t)columns->highest * columns->class_count;
    tw_band_charge(tools);
}

void tw_band_price(tw_band_tools *tools, tw_band_offer *offer) {
    offer->value = tw_price_height(&tools->wide, offer->height);
    tw_band_charge(tools);
}

void tw_band_charge(tw_band_tools *tools) {
    tw_pricer *pricers[] = {&tools->wide, &tools->tight};
    for (int i = 0; i < 2; i++) {
        int64_t work = pricers[i]->work + pricers[i]->columns.work;
        tools->budget->steps -= work / 1000;
        pricers[i]->work = work % 1000;
        pricers[i]->columns.work = 0;
    }
}
