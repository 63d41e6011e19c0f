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

typedef struct candidate {
    int32_t height;
    int64_t value;
} candidate;

typedef struct relaxing {
    tw_arena *arena;
    const tw_band_set *set;
    const int32_t *demand;
    bool limited;
    tw_band_budget *budget;
    tw_pricer wide;  /* all heights at once */
    tw_pricer tight; /* one height within limits; used only when `limited` */
    tw_master *master;
    int64_t *value;
    candidate *candidates; /* by height */
    int candidate_count;
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
    return code != TW_OK ? code : tw_master_add(work->arena, work->master, band, error);
}

/* How many of a print lie side by side so that what is left is none or can be cut off. */
static int32_t side_by_side(const tw_band_set *set, int32_t width, int32_t most) {
    int32_t count = width > 0 ? set->width / width : 0;
    count = count < most ? count : most;
    while (count > 0 && set->width != count * width &&
           set->width - count * width < set->strip_across)
        count--;
    return count;
}

/* A row of one size alone: the master's first basis. Prefers the way that takes least roll. */
static tw_code first_band(relaxing *work, int type_index, tw_error *error) {
    const tw_band_type *type = &work->set->types[type_index];
    int32_t counts[2];
    for (int way = 0; way < 2; way++)
        counts[way] = side_by_side(work->set, type->width[way], work->demand[type_index]);
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
    tw_code code = tw_pricer_start(work->arena, set, &work->wide, error);
    if (code == TW_OK && work->limited)
        code = tw_pricer_start(work->arena, set, &work->tight, error);
    if (code == TW_OK)
        code = tw_master_start(work->arena, set->count, work->demand, &work->master, error);
    work->value = tw_arena_array(work->arena, (size_t)set->count, sizeof(int64_t));
    work->candidates =
        tw_arena_array(work->arena, (size_t)set->highest + 1, sizeof *work->candidates);
    if (code == TW_OK && (work->value == NULL || work->candidates == NULL))
        code = tw_no_memory(error);
    for (int t = 0; code == TW_OK && t < set->count; t++)
        if (work->demand[t] > 0)
            code = first_band(work, t, error);
    for (size_t i = 0; code == TW_OK && pool != NULL && i < pool->count; i++)
        if (usable(work, pool->items[i]))
            code = keep_band(work, pool->items[i], error);
    return code;
}

bool tw_band_height(const tw_columns *columns, int32_t height) {
    int32_t strip = columns->set->strip_along;
    return columns->reached[height] ||
           (strip > 1 && height > strip && columns->reached[height - strip]);
}

/* Is a/b more than c/d? b and d > 0. */
static bool more(int64_t a, int64_t b, int64_t c, int64_t d) {
    return (wide)a * d > (wide)c * b;
}

/* Price every height that could beat the best found; returns the height of greatest value a unit
 * of roll (the candidate's index), or -1 when nothing is worth anything. */
static int price_all(relaxing *work) {
    const tw_columns *columns = &work->wide.columns;
    int best = -1;
    work->candidate_count = 0;
    for (int32_t h = 1; h <= columns->highest; h++) {
        if (!tw_band_height(columns, h))
            continue;
        int64_t ceiling = tw_price_ceiling(&work->wide, h);
        bool hopeless = best >= 0 && !more(ceiling, h, work->candidates[best].value,
                                           work->candidates[best].height);
        if (ceiling <= h * TW_BAND_SCALE && hopeless)
            continue;
        candidate *next = &work->candidates[work->candidate_count];
        *next = (candidate){h, tw_price_height(&work->wide, h)};
        work->budget->steps -= 1 + (int64_t)columns->set->width * columns->class_count / 4000;
        if (best < 0 ||
            more(next->value, h, work->candidates[best].value, work->candidates[best].height))
            best = work->candidate_count;
        work->candidate_count++;
    }
    return best;
}

static int by_worth(const void *a, const void *b) {
    const candidate *x = a, *y = b;
    if (more(x->value, x->height, y->value, y->height))
        return -1;
    if (more(y->value, y->height, x->value, x->height))
        return 1;
    return x->height < y->height ? -1 : 1;
}

static void prove(relaxing *work, const candidate *best) {
    wide worth = 0;
    for (int t = 0; t < work->set->count; t++)
        worth += (wide)work->demand[t] * work->value[t];
    if (best->value <= 0)
        return;
    wide bound =
        (worth * best->height + best->value - 1) / best->value; /* rounded up: plans are whole */
    if ((int64_t)bound > work->out->bound)
        work->out->bound = (int64_t)bound;
}

static int64_t worth_of(const relaxing *work, const tw_band *band) {
    int64_t worth = 0;
    for (int t = 0; t < work->set->count; t++)
        worth += work->value[t] * band->makes[t];
    return worth;
}

/* Make the most worthwhile candidates into bands; how many were new goes to *added. */
static tw_code add_candidates(relaxing *work, int *added, tw_error *error) {
    tw_code code = TW_OK;
    *added = 0;
    qsort(work->candidates, (size_t)work->candidate_count, sizeof *work->candidates, by_worth);
    for (int i = 0; code == TW_OK && i < work->candidate_count && *added < NEW_A_ROUND; i++) {
        const candidate *c = &work->candidates[i];
        tw_band *band = NULL;
        /* the margin keeps the rounding of the duals from bringing a band back for ever */
        if (c->value <= c->height * (TW_BAND_SCALE + 8))
            break;
        code = tw_price_band(work->arena, work->limited ? &work->tight : &work->wide, work->value,
                             work->limited ? work->demand : NULL, c->height, &band, error);
        if (code != TW_OK || band == NULL ||
            worth_of(work, band) <= band->height * (TW_BAND_SCALE + 8))
            continue;
        code = keep_band(work, band, error);
        (*added)++;
    }
    return code;
}

tw_code tw_band_relax(tw_arena *arena, const tw_band_set *set, const int32_t *demand,
                      const tw_bands *pool, bool limited, int rounds, tw_band_budget *budget,
                      tw_relaxed *out, tw_error *error) {
    relaxing work = {.arena = arena,
                     .set = set,
                     .demand = demand,
                     .limited = limited,
                     .budget = budget,
                     .out = out};
    *out = (tw_relaxed){0};
    tw_code code = start(&work, pool, error);
    int added = 1;
    for (int round = 0; code == TW_OK && added > 0 && round < rounds; round++) {
        code = tw_master_solve(work.master, work.value, error);
        if (code != TW_OK || tw_band_spent(budget))
            break;
        tw_columns_fill(&work.wide.columns, work.value, limited ? demand : NULL, set->highest);
        int best = price_all(&work);
        if (best >= 0 && !limited)
            prove(&work, &work.candidates[best]);
        code = add_candidates(&work, &added, error);
    }
    if (code == TW_OK)
        code = tw_master_solve(work.master, work.value, error);
    out->uses = tw_arena_array(arena, out->bands.count, sizeof(int64_t));
    if (code == TW_OK && out->uses == NULL)
        return tw_no_memory(error);
    if (code == TW_OK)
        tw_master_uses(work.master, out->uses);
    return code;
}
