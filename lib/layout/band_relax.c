/*
 * Column generation: the linear programme proposes values for the sizes, pricing finds bands worth
 * more than the roll they take, until there are none. Farley's bound makes every round's values a
 * proof: if no band of height H is worth more than q * H, then the demand's worth / q is a length
 * no plan of such bands can go below.
 */
#include "layout/band.h"

#include <stdlib.h>

#define NEW_A_ROUND 24

__extension__ typedef __int128 wide;

typedef struct relaxing {
    tw_arena *arena;
    const tw_band_set *set;
    const int32_t *demand;
    bool limited;
    tw_band_tools *tools;
    tw_master *master;
    int64_t *value;
    tw_relaxed *out;
} relaxing;

bool tw_band_spent(const tw_band_budget *budget) {
    return budget->steps <= 0 || (budget->run != NULL && budget->run->cancelled != NULL &&
                                  budget->run->cancelled(budget->run->context));
}

tw_code tw_bands_add(tw_arena *arena, tw_bands *bands, tw_band *band, tw_error *error) {
    tw_band **items = tw_arena_grow(arena, bands->items, bands->count, &bands->room, sizeof *items);
    if (items == NULL)
        return tw_no_memory(error);
    bands->items = items;
    bands->items[bands->count++] = band;
    return TW_OK;
}

static tw_code keep_band(relaxing *work, tw_band *band, tw_error *error) {
    tw_code code = tw_bands_add(work->arena, &work->out->bands, band, error);
    return code != TW_OK ? code
                         : tw_master_add(work->arena, work->master, band,
                                         tw_band_cost(work->set, band->height), error);
}

int32_t tw_band_cost(const tw_band_set *set, int32_t height) {
    return height + set->overhead > 1 ? height + set->overhead : 1;
}

/* How many of a print lie side by side so that what is left is none or can be cut off. */
static int32_t side_by_side(const tw_band_set *set, const tw_band_type *type, int way,
                            int32_t most) {
    bool keeps = set->edge > 0 && type->inner[way];
    int32_t width = set->width - (keeps ? 2 * set->edge : 0);
    int32_t count = type->width[way] > 0 ? width / type->width[way] : 0;
    count = count < most ? count : most;
    while (count > 0 && !keeps && width != count * type->width[way] &&
           width - count * type->width[way] < set->end_strip)
        count--;
    return count;
}

/* A row of one size alone: the master's first basis. Prefers the way that takes least roll. */
static tw_code first_band(relaxing *work, int type_index, tw_error *error) {
    const tw_band_type *type = &work->set->types[type_index];
    int32_t counts[2];
    for (int way = 0; way < 2; way++)
        counts[way] = side_by_side(work->set, type, way, work->demand[type_index]);
    int way = counts[0] == 0 || (counts[1] > 0 && (int64_t)type->height[1] * counts[0] <
                                                      (int64_t)type->height[0] * counts[1]);
    tw_band *band = tw_arena_take(work->arena, sizeof *band);
    if (band == NULL)
        return tw_no_memory(error);
    band->columns = tw_arena_array(work->arena, (size_t)counts[way], sizeof *band->columns);
    band->makes = tw_arena_array(work->arena, (size_t)work->set->count, sizeof(int32_t));
    if (band->columns == NULL || band->makes == NULL)
        return tw_no_memory(error);
    for (int32_t i = 0; i < counts[way]; i++) {
        tw_band_run *run = tw_arena_take(work->arena, sizeof *run);
        if (run == NULL)
            return tw_no_memory(error);
        *run = (tw_band_run){(int16_t)type_index, (int16_t)way, 1};
        band->columns[band->column_count++] = (tw_band_column){type->width[way], 1, run};
    }
    band->height = type->height[way];
    band->makes[type_index] = counts[way];
    return keep_band(work, band, error);
}

static bool usable(const relaxing *work, const tw_band *band) {
    for (int t = 0; t < work->set->count; t++)
        if (band->makes[t] > work->demand[t])
            return false;
    return true;
}

static tw_code start(relaxing *work, const tw_bands *pool, tw_error *error) {
    const tw_band_set *set = work->set;
    tw_code code = tw_master_start(work->arena, set->count, work->demand, &work->master, error);
    work->value = tw_arena_array(work->arena, (size_t)set->count, sizeof(int64_t));
    if (code == TW_OK && work->value == NULL)
        code = tw_no_memory(error);
    for (int t = 0; code == TW_OK && t < set->count; t++)
        if (work->demand[t] > 0)
            code = first_band(work, t, error);
    for (size_t i = 0; code == TW_OK && pool != NULL && i < pool->count; i++)
        if (usable(work, pool->items[i]))
            code = keep_band(work, pool->items[i], error);
    return code;
}

/* Price the offers, the most promising first, until no other can be worth more a unit of roll
 * than the best and there are enough that are worth their roll. True when the best is proved. */
static bool price_offers(tw_band_tools *tools, int *priced) {
    int best = 0, worthy = 0, at = 0;
    for (; at < tools->offer_count && !tw_band_spent(tools->budget); at++) {
        tw_band_offer *next = &tools->offers[at];
        bool hopeless = at > 0 && !tw_band_more(next, &tools->offers[best]);
        bool worthless = next->value <= (int64_t)next->cost * TW_BAND_SCALE;
        if (worthy >= 2 * NEW_A_ROUND || (hopeless && worthless))
            break;
        tw_band_price(tools, next);
        if (tw_band_more(next, &tools->offers[best]))
            best = at;
        worthy += next->value > (int64_t)next->cost * (TW_BAND_SCALE + 8);
    }
    *priced = at;
    return at > 0 && !tw_band_spent(tools->budget) &&
           (at == tools->offer_count || !tw_band_more(&tools->offers[at], &tools->offers[best]));
}

static int by_worth(const void *a, const void *b) {
    const tw_band_offer *x = a, *y = b;
    if (tw_band_more(x, y) || tw_band_more(y, x))
        return tw_band_more(x, y) ? -1 : 1;
    return x->height < y->height ? -1 : x->height > y->height;
}

/* `best` is worth most a unit of roll of all bands. Rounded up: plans are whole. */
static void prove(relaxing *work, const tw_band_offer *best) {
    wide worth = 0;
    for (int t = 0; t < work->set->count; t++)
        worth += (wide)work->demand[t] * work->value[t];
    if (best->value <= 0)
        return;
    wide bound = (worth * best->cost + best->value - 1) / best->value;
    if ((int64_t)bound > work->out->bound)
        work->out->bound = (int64_t)bound;
}

static int64_t worth_of(const relaxing *work, const tw_band *band) {
    int64_t worth = 0;
    for (int t = 0; t < work->set->count; t++)
        worth += work->value[t] * band->makes[t];
    return worth;
}

/* Make the most worthwhile offers into bands; how many were new goes to *added. */
static tw_code add_bands(relaxing *work, int priced, int *added, tw_error *error) {
    tw_code code = TW_OK;
    *added = 0;
    for (int i = 0; code == TW_OK && i < priced && *added < NEW_A_ROUND; i++) {
        const tw_band_offer *offer = &work->tools->offers[i];
        tw_band *band = NULL;
        /* the margin keeps the rounding of the duals from bringing a band back for ever */
        if (offer->value <= (int64_t)offer->cost * (TW_BAND_SCALE + 8))
            break;
        code = tw_price_band(work->arena, work->limited ? &work->tools->tight : &work->tools->wide,
                             work->value, work->limited ? work->demand : NULL, offer->height, &band,
                             error);
        if (code != TW_OK || band == NULL ||
            worth_of(work, band) <=
                (int64_t)tw_band_cost(work->set, band->height) * (TW_BAND_SCALE + 8))
            continue;
        code = keep_band(work, band, error);
        (*added)++;
    }
    tw_band_charge(work->tools);
    return code;
}

/* One round of pricing with the master's values. */
static tw_code round_of(relaxing *work, int *added, tw_error *error) {
    tw_band_tools *tools = work->tools;
    int priced = 0;
    tw_band_rank(tools, work->value, work->limited ? work->demand : NULL);
    bool proved = price_offers(tools, &priced);
    if (priced > 0)
        qsort(tools->offers, (size_t)priced, sizeof *tools->offers, by_worth);
    if (proved && !work->limited)
        prove(work, &tools->offers[0]);
    return add_bands(work, priced, added, error);
}

tw_code tw_band_relax(tw_arena *arena, tw_band_tools *tools, const int32_t *demand,
                      const tw_bands *pool, bool limited, int rounds, tw_relaxed *out,
                      tw_error *error) {
    relaxing work = {.arena = arena,
                     .set = tools->wide.columns.set,
                     .demand = demand,
                     .limited = limited,
                     .tools = tools,
                     .out = out};
    *out = (tw_relaxed){0};
    tw_code code = start(&work, pool, error);
    int added = 1;
    for (int round = 0; code == TW_OK && added > 0 && round < rounds; round++) {
        code = tw_master_solve(work.master, work.value, error);
        if (code != TW_OK || tw_band_spent(tools->budget))
            break;
        code = round_of(&work, &added, error);
    }
    if (code == TW_OK)
        code = tw_master_solve(work.master, work.value, error);
    out->uses = tw_arena_array(arena, out->bands.count, sizeof(int64_t));
    if (code == TW_OK && out->uses == NULL)
        return tw_no_memory(error);
    out->value = work.value;
    if (code == TW_OK)
        tw_master_uses(work.master, out->uses);
    return code;
}
