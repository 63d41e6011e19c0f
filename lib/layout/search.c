/*
 * The search from outside: items sorted into kinds, the first plan in rows, then plans by columns,
 * then passes of ever wider beams, each to beat the best so far, until the steps are used up or
 * nothing shorter is possible.
 */
#include "layout/search.h"
#include "base/number.h"

#include <stdlib.h>

#include "layout/search_inside.h"

#define FIRST_WIDTH 16
#define LANES 3
#define COLUMNS_LEAST 30 /* fewer items do not fill columns */
#define COLUMNS_HALF 150 /* of so many items the columns get half of the steps */

/* ------------------------------------------------- kinds */

typedef struct sorted_item {
    int64_t area;
    int32_t width, height, index;
    bool turns;
} sorted_item;

static int compare(int64_t a, int64_t b) {
    return (a > b) - (a < b);
}

static int same_kind(const sorted_item *a, const sorted_item *b) {
    int order = compare(b->area, a->area);
    if (order == 0)
        order = compare(b->width, a->width);
    return order == 0 ? compare(b->turns, a->turns) : order;
}

static int by_kind(const void *left, const void *right) {
    int order = same_kind(left, right);
    return order != 0
               ? order
               : compare(((const sorted_item *)left)->index, ((const sorted_item *)right)->index);
}

/* Upright means wide for what may turn, so that 2 x 3 and 3 x 2 are one kind. */
static sorted_item sort_item(const tw_search_item *item, int32_t index) {
    bool swap = item->turns && item->width < item->height;
    return (sorted_item){(int64_t)item->width * item->height, swap ? item->height : item->width,
                         swap ? item->width : item->height, index,
                         item->turns && item->width != item->height};
}

static tw_search_kind kind_of(const sorted_item *item, int first) {
    return (tw_search_kind){.width = {item->width, item->height},
                            .height = {item->height, item->width},
                            .ways = item->turns ? 2 : 1,
                            .first = first,
                            .least = item->width < item->height ? item->width : item->height,
                            .area = item->area};
}

static void group(const sorted_item *sorted, tw_kinds_set *out) {
    for (int i = 0; i < out->item_count; i++) {
        if (i == 0 || same_kind(&sorted[i - 1], &sorted[i]) != 0)
            out->items[out->count++] = kind_of(&sorted[i], i);
        out->items[out->count - 1].count++;
        out->order[i] = sorted[i].index;
        out->area += sorted[i].area;
    }
    while (out->area >> out->area_shift >= (int64_t)1 << 24)
        out->area_shift++;
}

tw_code tw_search_kinds(tw_arena *arena, const tw_search_job *job, tw_kinds_set *out,
                        tw_error *error) {
    size_t count = (size_t)job->count;
    *out = (tw_kinds_set){.item_count = job->count, .width = job->width, .strip = job->strip};
    sorted_item *sorted = tw_arena_array(arena, count, sizeof *sorted);
    out->items = tw_arena_array(arena, count, sizeof *out->items);
    out->order = tw_arena_array(arena, count, sizeof *out->order);
    if (sorted == NULL || out->items == NULL || out->order == NULL)
        return tw_no_memory(error);
    for (int i = 0; i < job->count; i++)
        sorted[i] = sort_item(&job->items[i], i);
    qsort(sorted, count, sizeof *sorted, by_kind);
    group(sorted, out);
    return TW_OK;
}

/* ------------------------------------------------- the search */

typedef struct search {
    const tw_allocator *allocator;
    const tw_search_job *job;
    const tw_kinds_set *kinds;
    tw_beam *beam;
    int64_t steps;
    int32_t bound, best;
    int levels;                /* of the best plan */
    tw_insertion *plan, *made; /* the best; scratch */
    bool cancelled, full;
} search;

/* Passes of different depth and weight fail at different days, so they take turns. */
static const tw_beam_lane free_lanes[] = {{5, 100, 3}, {4, 100, 2}, {6, 50, 2}};
static const tw_beam_lane stage_lanes[] = {{3, 20, 2}, {3, 100, 2}, {3, 50, 1}};

/* Passes with one lane and width, as long as each beats the best. */
static tw_code descend(search *find, tw_beam_lane lane, int width, tw_error *error) {
    bool found = true;
    while (found && find->best > find->bound && find->steps > 0 && !find->cancelled) {
        tw_beam_pass pass = {.lane = lane,
                             .width = width,
                             .height = find->best - 1,
                             .steps = &find->steps,
                             .steps_all = find->job->steps,
                             .run = find->job->run,
                             .cancelled = &find->cancelled,
                             .full = &find->full};
        int32_t height = 0;
        tw_code code =
            tw_beam_run(find->allocator, find->beam, &pass, find->made, &height, &found, error);
        if (code != TW_OK)
            return code;
        if (found) {
            tw_insertion *swap = find->plan;
            find->plan = find->made;
            find->made = swap;
            find->best = height;
            find->levels = lane.levels;
        }
    }
    return TW_OK;
}

static tw_code make_room(search *find, int width, tw_error *error) {
    if (tw_beam_room(find->beam) >= width)
        return TW_OK;
    tw_beam_free(find->allocator, find->beam);
    return tw_beam_new(find->allocator, find->kinds, width, &find->beam, error);
}

/* Wider and wider; at the widest, or where all fronts found room, there is nothing new to find. */
static tw_code widen(search *find, tw_error *error) {
    int width = FIRST_WIDTH, most = tw_beam_most(find->kinds, find->steps);
    const tw_beam_lane *lanes = find->job->free ? free_lanes : stage_lanes;
    while (find->best > find->bound && find->steps > 0 && !find->cancelled) {
        width = width < most ? width : most;
        tw_code code = make_room(find, width, error);
        find->full = false;
        for (int l = 0; code == TW_OK && l < LANES; l++)
            code = descend(find, lanes[l], width, error);
        if (code != TW_OK)
            return code;
        if (width == most || !find->full)
            break;
        width *= 2;
    }
    return TW_OK;
}

/* The more items, the closer columns can be filled, and the less of the plans a beam sees. */
static tw_code try_columns(search *find, tw_error *error) {
    if (find->job->count < COLUMNS_LEAST)
        return TW_OK;
    int64_t square = (int64_t)find->job->count * find->job->count;
    int64_t half = (int64_t)COLUMNS_HALF * COLUMNS_HALF;
    tw_by_columns pass = {.best = find->best,
                          .bound = find->bound,
                          .band_most = find->job->band_most,
                          .steps = (int64_t)((tw_wide)find->steps * square / (square + half)),
                          .steps_all = find->job->steps,
                          .run = find->job->run,
                          .cancelled = &find->cancelled,
                          .plan = find->plan};
    tw_code code = tw_search_columns(find->allocator, find->kinds, &pass, error);
    find->best = pass.best;
    find->steps -= pass.steps;
    return code;
}

static tw_code improve(search *find, tw_error *error) {
    if (find->steps <= 0 || find->best <= find->bound)
        return TW_OK;
    tw_code code = try_columns(find, error);
    if (code == TW_OK)
        code = widen(find, error);
    tw_beam_free(find->allocator, find->beam);
    return code;
}

/* Heights add up in 32 bits, and areas in 64. */
static tw_code check(const tw_search_job *job, tw_error *error) {
    int64_t sum = 0;
    for (int i = 0; i < job->count; i++) {
        const tw_search_item *item = &job->items[i];
        if (item->width < 1 || item->height < 1)
            return tw_fail(error, TW_INPUT, "search-no-place", "a print of %d x %d units is none",
                           (int)item->width, (int)item->height);
        sum += (int64_t)(item->width > item->height ? item->width : item->height) + job->strip;
    }
    if (job->count > TW_SEARCH_MOST || sum > INT32_MAX / 2 || job->width > INT32_MAX / 2)
        return tw_fail(error, TW_INPUT, "search-too-big",
                       "%d prints of %lld units in all are more than the search can hold "
                       "(%d prints, %d units)",
                       job->count, (long long)sum, TW_SEARCH_MOST, INT32_MAX / 2);
    return TW_OK;
}

static tw_code first_plan(tw_arena *arena, search *find, tw_search_scratch *scratch,
                          tw_error *error) {
    size_t count = (size_t)find->job->count;
    find->plan = tw_arena_array(arena, count, sizeof *find->plan);
    find->made = tw_arena_array(arena, count, sizeof *find->made);
    if (find->plan == NULL || find->made == NULL)
        return tw_no_memory(error);
    tw_code code = tw_search_rows(arena, find->kinds, find->plan, error);
    if (code != TW_OK)
        return code;
    find->levels = TW_COLUMNS_LEVELS;
    find->best = tw_search_lay(find->kinds, find->plan, find->levels, scratch, NULL);
    int64_t area_bound = (find->kinds->area + find->job->width - 1) / find->job->width;
    find->bound = area_bound > find->job->bound ? (int32_t)area_bound : find->job->bound;
    return TW_OK;
}

tw_code tw_search(tw_arena *arena, const tw_search_job *job, tw_search_plan *out, tw_error *error) {
    *out =
        (tw_search_plan){.places = tw_arena_array(arena, (size_t)job->count, sizeof *out->places)};
    if (out->places == NULL)
        return tw_no_memory(error);
    tw_kinds_set kinds;
    tw_search_scratch scratch;
    search find = {
        .allocator = tw_arena_allocator(arena), .job = job, .kinds = &kinds, .steps = job->steps};
    tw_code code = check(job, error);
    if (code != TW_OK || job->count == 0)
        return code;
    if ((code = tw_search_kinds(arena, job, &kinds, error)) != TW_OK ||
        (code = tw_search_scratch_new(arena, &kinds, &scratch, error)) != TW_OK ||
        (code = first_plan(arena, &find, &scratch, error)) != TW_OK ||
        (code = improve(&find, error)) != TW_OK)
        return code;
    out->height = tw_search_lay(&kinds, find.plan, find.levels, &scratch, out->places);
    out->steps = job->steps - find.steps;
    out->cancelled = find.cancelled;
    for (int i = 0; i < job->count; i++) /* what lies wide by its kind may stand as it came */
        if (job->items[i].turns && job->items[i].width < job->items[i].height)
            out->places[i].turned = !out->places[i].turned;
    return TW_OK;
}
