/*
 * From the relaxation to whole bands: take the whole part of what the programme proposes, then
 * dive (fix the best fractional band, solve what is left again), then take small groups of bands
 * apart and make them anew while that saves roll and the budget lasts.
 */
#include "layout/band.h"
#include "layout/pieces.h"

#include <string.h>

uint64_t tw_band_random(uint64_t *state) {
    uint64_t z = (*state += 0x9e3779b97f4a7c15u);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

typedef struct solving {
    const tw_band_set *set;
    tw_band_tools *tools;
    const tw_bands *pool;
    const int64_t *value; /* of a print in the relaxation of all */
    int rounds;
    uint64_t random; /* state; 0 = always the band nearest to whole */
} solving;

static int64_t total_left(const solving *work, const int32_t *left) {
    int64_t total = 0;
    for (int t = 0; t < work->set->count; t++)
        total += left[t];
    return total;
}

/* How often the band can still be used whole. */
static int32_t times_left(const solving *work, const tw_band *band, const int32_t *left) {
    int32_t times = INT32_MAX;
    for (int t = 0; t < work->set->count; t++)
        if (band->makes[t] > 0 && left[t] / band->makes[t] < times)
            times = left[t] / band->makes[t];
    return times;
}

static tw_code use_band(tw_arena *arena, const solving *work, tw_band *band, int32_t times,
                        int32_t *left, tw_bands *out, tw_error *error) {
    for (int32_t i = 0; i < times; i++) {
        tw_code code = tw_bands_add(arena, out, band, error);
        if (code != TW_OK)
            return code;
        for (int t = 0; t < work->set->count; t++)
            left[t] -= band->makes[t];
    }
    return TW_OK;
}

/* The band nearest to whole, or by chance another that is used at least a third as much. */
static size_t nearest_band(solving *work, const tw_relaxed *relaxed, const int32_t *left) {
    size_t nearest = relaxed->bands.count, chosen;
    uint64_t seen = 0;
    for (size_t i = 0; i < relaxed->bands.count; i++)
        if (times_left(work, relaxed->bands.items[i], left) > 0 &&
            (nearest == relaxed->bands.count || relaxed->uses[i] > relaxed->uses[nearest]))
            nearest = i;
    chosen = nearest;
    for (size_t i = 0; work->random != 0 && i < relaxed->bands.count; i++)
        if (relaxed->uses[i] * 3 >= relaxed->uses[nearest] && relaxed->uses[i] > 0 &&
            times_left(work, relaxed->bands.items[i], left) > 0 &&
            tw_band_random(&work->random) % ++seen == 0)
            chosen = i;
    return chosen;
}

/* Fix the whole parts; where there are none, one use of a band near to whole. */
static tw_code fix_some(tw_arena *arena, solving *work, const tw_relaxed *relaxed, int32_t *left,
                        tw_bands *out, tw_error *error) {
    size_t had = out->count;
    tw_code code = TW_OK;
    for (size_t i = 0; code == TW_OK && i < relaxed->bands.count; i++) {
        tw_band *band = relaxed->bands.items[i];
        int32_t most = times_left(work, band, left);
        int32_t whole = (int32_t)((relaxed->uses[i] + 64) / TW_BAND_SCALE);
        code = use_band(arena, work, band, whole < most ? whole : most, left, out, error);
    }
    if (code != TW_OK || out->count > had)
        return code;
    return use_band(arena, work, relaxed->bands.items[nearest_band(work, relaxed, left)], 1, left,
                    out, error);
}

enum { DIVE_SHARE = 8 };

/* Bands for exactly what is left. Each relaxation may take a share of the steps there are, so that
 * those after it have some too. */
static tw_code dive(tw_arena *arena, solving *work, int32_t *left, tw_bands *out, tw_error *error) {
    tw_band_budget *budget = work->tools->budget;
    while (total_left(work, left) > 0) {
        tw_relaxed relaxed;
        tw_band_budget share = {budget->steps / DIVE_SHARE, budget->run};
        budget->steps -= share.steps;
        work->tools->budget = &share;
        tw_code code = tw_band_relax(arena, work->tools, left, work->pool, true, work->rounds,
                                     &relaxed, error);
        work->tools->budget = budget;
        budget->steps += share.steps;
        if (code == TW_OK)
            code = fix_some(arena, work, &relaxed, left, out, error);
        if (code != TW_OK)
            return code;
    }
    return TW_OK;
}

static int64_t sum_costs(const tw_band_set *set, const tw_bands *bands) {
    int64_t sum = 0;
    for (size_t i = 0; i < bands->count; i++)
        sum += tw_band_cost(set, bands->items[i]->height);
    return sum;
}

static tw_code copy_band(tw_arena *arena, const tw_band_set *set, const tw_band *band,
                         tw_band **out, tw_error *error) {
    tw_band *copy = tw_arena_take(arena, sizeof *copy);
    *out = copy;
    if (copy == NULL)
        return tw_no_memory(error);
    *copy = *band;
    copy->makes = tw_arena_array(arena, (size_t)set->count, sizeof(int32_t));
    copy->columns = tw_arena_array(arena, (size_t)band->column_count, sizeof *copy->columns);
    if (copy->makes == NULL || copy->columns == NULL)
        return tw_no_memory(error);
    memcpy(copy->makes, band->makes, (size_t)set->count * sizeof(int32_t));
    for (int32_t c = 0; c < band->column_count; c++) {
        const tw_band_column *from = &band->columns[c];
        copy->columns[c] = *from;
        copy->columns[c].runs = tw_arena_array(arena, (size_t)from->run_count, sizeof *from->runs);
        if (copy->columns[c].runs == NULL)
            return tw_no_memory(error);
        memcpy(copy->columns[c].runs, from->runs, (size_t)from->run_count * sizeof *from->runs);
    }
    return TW_OK;
}

/* What a band takes beyond the worth of its prints: by it the plan is longer than the bound. */
static int64_t lost_in(const solving *work, const tw_band *band) {
    int64_t lost = (int64_t)tw_band_cost(work->set, band->height) * TW_BAND_SCALE;
    for (int t = 0; t < work->set->count; t++)
        lost -= work->value[t] * band->makes[t];
    return lost > 0 ? lost : 0;
}

/* A band, the likelier the more is lost in it. */
static size_t losing_band(const solving *work, const tw_bands *bands, uint64_t *random) {
    uint64_t all = 0;
    for (size_t i = 0; i < bands->count; i++)
        all += (uint64_t)lost_in(work, bands->items[i]);
    uint64_t at = all == 0 ? 0 : tw_band_random(random) % all;
    for (size_t i = 0; i < bands->count; i++) {
        uint64_t lost = (uint64_t)lost_in(work, bands->items[i]);
        if (at < lost)
            return i;
        at -= lost;
    }
    return 0;
}

/* Move `count` bands of the plan to its end: every third one in which much is lost, the others at
 * random. */
static void choose_group(const solving *work, tw_bands *bands, size_t count, uint64_t *random) {
    for (size_t i = 0; i < count && i < bands->count; i++) {
        size_t last = bands->count - 1 - i;
        size_t pick = i % 3 == 0 ? losing_band(work, bands, random)
                                 : (size_t)(tw_band_random(random) % (last + 1));
        tw_band *swap = bands->items[pick];
        bands->items[pick] = bands->items[last];
        bands->items[last] = swap;
    }
}

/* Put the bands made anew in the place of the last `count`. */
static tw_code replace_group(tw_arena *arena, const solving *work, tw_bands *bands, size_t count,
                             const tw_bands *made, tw_error *error) {
    bands->count -= count;
    for (size_t i = 0; i < made->count; i++) {
        tw_band *copy = NULL;
        tw_code code = copy_band(arena, work->set, made->items[i], &copy, error);
        if (code == TW_OK)
            code = tw_bands_add(arena, bands, copy, error);
        if (code != TW_OK)
            return code;
    }
    return TW_OK;
}

/* One try: take `count` bands apart and make them anew on a scratch arena. */
static tw_code remake(tw_arena *arena, solving *work, tw_band_plan *plan, size_t count,
                      tw_error *error) {
    tw_arena *scratch = tw_arena_new(tw_arena_allocator(arena), 0);
    if (scratch == NULL)
        return tw_no_memory(error);
    int32_t *left = tw_arena_array(scratch, (size_t)work->set->count, sizeof(int32_t));
    tw_bands made = {0};
    int64_t old = 0;
    tw_code code = left == NULL ? tw_no_memory(error) : TW_OK;
    for (size_t i = plan->bands.count - count; code == TW_OK && i < plan->bands.count; i++) {
        old += tw_band_cost(work->set, plan->bands.items[i]->height);
        for (int t = 0; t < work->set->count; t++)
            left[t] += plan->bands.items[i]->makes[t];
    }
    if (code == TW_OK && tw_band_random(&work->random) % 2 == 0)
        code = tw_band_sequence(scratch, work->tools, left, &work->random, &made, error);
    else if (code == TW_OK)
        code = dive(scratch, work, left, &made, error);
    if (code == TW_OK && sum_costs(work->set, &made) <= old)
        code = replace_group(arena, work, &plan->bands, count, &made, error);
    tw_arena_free(scratch);
    plan->height = sum_costs(work->set, &plan->bands);
    return code;
}

/* Small groups are quick to make anew; the relaxation has more to choose from in large ones, which
 * is what closes the last gap of long days. Few prints have few plans, which so many tries in
 * vain have been through. */
enum { RELAX_TIMES = 5, RELAX_QUICK = 2000, GROUP_SMALL = 9, TRIES_A_PAIR = 2 };

static int64_t tries_enough(const tw_band_set *set) {
    int64_t total = 0;
    for (int t = 0; t < set->count; t++)
        total += set->types[t].demand;
    return TRIES_A_PAIR * total * total;
}

static tw_code improve(tw_arena *arena, solving *work, tw_band_plan *plan, tw_error *error) {
    tw_band_budget *budget = work->tools->budget;
    int64_t all = budget->steps;
    uint64_t random = 3;
    int64_t vain = 0, enough = tries_enough(work->set);
    tw_code code = TW_OK;
    work->random = 2;
    while (code == TW_OK && plan->height > plan->bound && !tw_band_spent(budget) &&
           plan->bands.count > 1 && vain < enough) {
        int64_t height = plan->height;
        bool large = tw_band_random(&random) % 4 == 0;
        size_t count = 2 + (size_t)(tw_band_random(&random) %
                                    (large ? plan->bands.count / 2 + GROUP_SMALL : GROUP_SMALL));
        count = count < plan->bands.count ? count : plan->bands.count;
        choose_group(work, &plan->bands, count, &random);
        code = remake(arena, work, plan, count, error);
        vain = plan->height < height ? 0 : vain + 1;
        budget->steps -= 10;
        if (budget->steps > 0)
            tw_run_progress(budget->run, "laying out", (uint64_t)(all - budget->steps),
                            (uint64_t)all);
    }
    return code;
}

/* A first plan: the relaxation, its whole parts, then the dive. On a fine grid (millimetres,
 * gutters) the relaxation takes most of the work, and without it the rest finds little: unless
 * it is to be quick, it has steps of its own where sizes repeat. */
static tw_code start(tw_arena *arena, solving *work, tw_relaxed *relaxed, tw_band_plan *out,
                     tw_error *error) {
    const tw_band_set *set = work->set;
    int32_t *left = tw_arena_array(arena, (size_t)set->count, sizeof(int32_t));
    if (left == NULL)
        return tw_no_memory(error);
    for (int t = 0; t < set->count; t++)
        left[t] = set->types[t].demand;
    tw_band_budget *budget = work->tools->budget;
    bool repeats = 3 * (int64_t)set->count <= total_left(work, left);
    int64_t times = repeats && budget->steps > RELAX_QUICK ? RELAX_TIMES : 1;
    tw_band_budget ahead = {times * budget->steps, budget->run};
    work->tools->budget = &ahead;
    tw_code code = tw_band_relax(arena, work->tools, left, NULL, false, 200, relaxed, error);
    work->tools->budget = budget;
    work->pool = &relaxed->bands;
    work->value = relaxed->value;
    if (code == TW_OK)
        code = fix_some(arena, work, relaxed, left, &out->bands, error);
    if (code == TW_OK)
        code = dive(arena, work, left, &out->bands, error);
    out->bound = relaxed->bound;
    out->height = sum_costs(set, &out->bands);
    return code;
}

/* The lowest any band must be able to be. */
static int32_t tallest_print(const tw_band_set *set) {
    int32_t tallest = 0;
    for (int t = 0; t < set->count; t++) {
        const tw_band_type *type = &set->types[t];
        int32_t low = type->width[0] > 0 ? type->height[0] : type->height[1];
        if (type->width[1] > 0 && type->height[1] < low)
            low = type->height[1];
        tallest = low > tallest ? low : tallest;
    }
    return tallest;
}

/* The same with bands no higher than that: the relaxation then proposes other bands, which lead
 * some days straight to their best plan. Kept when it is shorter. */
static tw_code start_lower(tw_arena *arena, const tw_band_set *set, int32_t highest,
                           tw_band_budget *budget, tw_band_plan *plan, tw_error *error) {
    tw_band_set lower = *set;
    tw_band_budget share = {budget->steps / 8, budget->run};
    tw_band_tools tools;
    tw_relaxed relaxed;
    tw_band_plan made = {0};
    tw_arena *scratch = tw_arena_new(tw_arena_allocator(arena), 0);
    if (scratch == NULL)
        return tw_no_memory(error);
    lower.highest = highest;
    budget->steps -= share.steps;
    solving work = {&lower, &tools, NULL, NULL, 12, 0};
    tw_code code = tw_band_tools_start(scratch, &lower, &share, &tools, error);
    if (code == TW_OK)
        code = start(scratch, &work, &relaxed, &made, error);
    if (code == TW_OK && made.height < plan->height) {
        code = replace_group(arena, &work, &plan->bands, plan->bands.count, &made.bands, error);
        plan->height = made.height;
    }
    budget->steps += share.steps;
    tw_arena_free(scratch);
    return code;
}

tw_code tw_band_solve(tw_arena *arena, const tw_band_set *set, tw_band_budget *budget,
                      tw_band_plan *out, tw_error *error) {
    tw_relaxed relaxed;
    tw_band_tools tools;
    solving work = {set, &tools, NULL, NULL, 12, 0};
    int32_t tallest = tallest_print(set);
    *out = (tw_band_plan){0};
    tw_code code = tw_band_tools_start(arena, set, budget, &tools, error);
    if (code == TW_OK)
        code = start(arena, &work, &relaxed, out, error);
    for (int32_t part = 4; code == TW_OK && part >= 2; part--)
        if (set->highest / part >= tallest && out->height > out->bound)
            code = start_lower(arena, set, set->highest / part, budget, out, error);
    return code != TW_OK ? code : improve(arena, &work, out, error);
}
