/*
 * Several ways of making rows, quick ones by rule, then the band engine and the search; of the
 * layouts they give the one that costs least is kept (pay.h).
 */
#include "layout/pack.h"
#include "layout/watch.h"

#include <stdlib.h>
#include <string.h>

static const tw_pack_way ways_tried[] = {
    {TW_LEAD_EITHER, TW_FILL_TALL}, {TW_LEAD_EITHER, TW_FILL_FULL}, {TW_LEAD_LOW, TW_FILL_WIDE},
    {TW_LEAD_LOW, TW_FILL_TALL},    {TW_LEAD_LOW, TW_FILL_FULL},    {TW_LEAD_TALL, TW_FILL_TALL},
    {TW_LEAD_TALL, TW_FILL_FULL},   {TW_LEAD_EITHER, TW_FILL_WIDE}, {TW_LEAD_EITHER, TW_FILL_SAME},
    {TW_LEAD_LOW, TW_FILL_SAME},    {TW_LEAD_TALL, TW_FILL_SAME},   {TW_LEAD_FEW, TW_FILL_SAME},
    {TW_LEAD_LOW, TW_FILL_LEVEL},   {TW_LEAD_TALL, TW_FILL_LEVEL},  {TW_LEAD_FEW, TW_FILL_LEVEL},
};
enum { WAYS = sizeof ways_tried / sizeof *ways_tried, WAYS_QUICK = 3 };
enum { EFFORTS = 4, STEPS_LOOK = 400 }; /* STEPS_LOOK: while looking who can be served */

static int by_placed(const void *left, const void *right) {
    const tw_placed *a = left;
    const tw_placed *b = right;
    if (a->sheet != b->sheet)
        return a->sheet < b->sheet ? -1 : 1;
    if (a->y != b->y)
        return a->y < b->y ? -1 : 1;
    if (a->x != b->x)
        return a->x < b->x ? -1 : 1;
    return (a->piece > b->piece) - (a->piece < b->piece);
}

void tw_pack_total(const tw_layout_problem *problem, tw_layout *layout) {
    const tw_stock *stock = &problem->stock;
    if (layout->placed_count > 0)
        qsort(layout->placed, layout->placed_count, sizeof *layout->placed, by_placed);
    layout->used = 0;
    for (int i = 0; i < layout->sheet_count; i++)
        layout->used += layout->sheet_length[i] + (stock->roll ? stock->lost_each_sheet : 0);
    if (stock->roll && layout->sheet_count > 0)
        layout->used += stock->lost_each_load + stock->lost_core_end;
}

/* ---------------------------------------------------------------- trying ways */

static tw_code rows_by_rule(tw_packer *packer, tw_pack_way way, tw_rows *rows, tw_error *error) {
    tw_code code = tw_pack_start(packer, error);
    return code == TW_OK ? tw_pack_rows(packer, way, rows, error) : code;
}

/* What no row can take whole (a band of more bytes than a sheet may hold) is left to the rules. */
static tw_code rows_by_bands(tw_packer *packer, int64_t steps, tw_rows *rows, tw_error *error) {
    static const tw_pack_way for_the_rest = {TW_LEAD_EITHER, TW_FILL_TALL};
    tw_code code = tw_pack_start(packer, error);
    bool differs = false;
    if (code == TW_OK && steps > TW_STEPS_QUICK)
        code = tw_pack_differs(packer, &differs, error);
    if (differs)
        steps = steps > TW_STEPS_NORMAL ? TW_STEPS_NORMAL : TW_STEPS_QUICK;
    if (code == TW_OK)
        code = tw_pack_bands(packer, steps, rows, error);
    return code == TW_OK ? tw_pack_rows(packer, for_the_rest, rows, error) : code;
}

/* Days of different sizes; no rows at all where they are none. */
static tw_code rows_by_search(tw_packer *packer, int64_t steps, tw_rows *rows, tw_error *error) {
    tw_code code = tw_pack_start(packer, error);
    if (code == TW_OK)
        code = tw_pack_search(packer, steps, rows, error);
    return code == TW_OK && rows->count > 0
               ? tw_pack_rows(packer, (tw_pack_way){TW_LEAD_EITHER, TW_FILL_TALL}, rows, error)
               : code;
}

/* How the rows of a layout are made. */
typedef enum tw_maker { BY_RULE, BY_BANDS, BY_SEARCH } tw_maker;
typedef struct recipe {
    tw_maker by;
    tw_pack_way way; /* BY_RULE */
    int64_t steps;   /* else */
} recipe;

/* What all the tries of one day have in common. */
typedef struct trial {
    const tw_allocator *allocator;
    const tw_layout_problem *problem;
    const unsigned char *take;
    tw_pack_finds *finds;
} trial;

static tw_code make_rows(const trial *t, const recipe *r, tw_pack_try *out, tw_error *error) {
    tw_code code = tw_kinds_make(out->arena, t->problem, t->take, &out->kinds, error);
    tw_packer packer = {.arena = out->arena, .problem = t->problem, .kinds = &out->kinds};
    if (code != TW_OK)
        return code;
    out->equal_rows = r->by == BY_RULE && r->way.fill == TW_FILL_SAME;
    if (r->by == BY_SEARCH)
        return rows_by_search(&packer, r->steps, &out->rows, error);
    return r->by == BY_BANDS ? rows_by_bands(&packer, r->steps, &out->rows, error)
                             : rows_by_rule(&packer, r->way, &out->rows, error);
}

static bool same_pages(const tw_layout *a, const tw_layout *b) {
    return a->sheet_count == b->sheet_count &&
           memcmp(a->sheet_length, b->sheet_length,
                  (size_t)a->sheet_count * sizeof *a->sheet_length) == 0;
}

/* Where more than paper is looked at, also with fewer cuts between the rows. Which layouts are
 * tried never depends on prices, so that dearer work never brings more cuts. */
static tw_code part_otherwise(const trial *t, tw_pack_try *now, tw_error *error) {
    bool more = false;
    tw_layout layout;
    for (int want = 0; want < TW_WANTS; want++)
        more = more || (want != TW_WANT_PAPER && t->finds->wanted[want]);
    if (!t->problem->stock.roll || !more)
        return TW_OK;
    tw_code code = tw_pack_sheets(now->arena, t->problem, &now->kinds, &now->rows, TW_PART_CUTS,
                                  &layout, error);
    if (code != TW_OK || same_pages(&layout, &now->layout))
        return code;
    now->layout = layout;
    now->part = TW_PART_CUTS;
    now->priced = false;
    return tw_pack_offer(t->problem, t->finds, now, error);
}

static tw_code lay_rows(const trial *t, tw_pack_try *now, tw_error *error) {
    tw_code code = tw_pack_sheets(now->arena, t->problem, &now->kinds, &now->rows, TW_PART_PAPER,
                                  &now->layout, error);
    if (code == TW_OK)
        code = tw_pack_offer(t->problem, t->finds, now, error);
    return code == TW_OK ? part_otherwise(t, now, error) : code;
}

static tw_code try_one(const trial *t, const recipe *r, tw_error *error) {
    tw_pack_try now = {.arena = tw_arena_new(t->allocator, 0)};
    if (now.arena == NULL)
        return tw_no_memory(error);
    now.holders = tw_arena_take(now.arena, sizeof *now.holders);
    if (now.holders == NULL) {
        tw_arena_free(now.arena);
        return tw_no_memory(error);
    }
    *now.holders = 1;
    tw_code code = make_rows(t, r, &now, error);
    if (code == TW_OK && (r->by != BY_SEARCH || now.rows.count > 0)) /* 0: none for the search */
        code = lay_rows(t, &now, error);
    tw_pack_drop(&now);
    return code;
}

int64_t tw_pack_steps(const tw_layout_problem *problem) {
    return problem->settings.steps > 0 ? problem->settings.steps : TW_STEPS_NORMAL;
}

/* Every lesser effort is made before a greater one, so that more effort never finds less. The
 * work of the last step is `most`. */
static int list_efforts(int64_t most, int64_t steps[EFFORTS]) {
    static const int64_t levels[] = {STEPS_LOOK, TW_STEPS_QUICK, TW_STEPS_NORMAL};
    int count = 0;
    for (size_t i = 0; i < sizeof levels / sizeof *levels; i++)
        if (levels[i] < most)
            steps[count++] = levels[i];
    steps[count++] = most;
    return count;
}

static recipe recipe_at(int i, int rules, int efforts, const int64_t *steps) {
    if (i < rules)
        return (recipe){BY_RULE, ways_tried[i], 0};
    i -= rules;
    return (recipe){i < efforts ? BY_BANDS : BY_SEARCH, ways_tried[0], steps[i % efforts]};
}

/* What was found is a plan, also where the search was stopped. */
static bool ends_with_a_plan(const trial *t, tw_code code) {
    bool stopped = code == TW_CANCELLED || tw_run_cancelled(t->problem->settings.run);
    if (!stopped || t->finds->best[TW_WANT_PAPER].arena == NULL)
        return code == TW_OK;
    for (int want = 0; want < TW_WANTS; want++)
        t->finds->best[want].layout.stopped_early = true;
    return code == TW_OK || code == TW_CANCELLED;
}

/* What recipes cost against each other: the rules together about as much as the first bands. */
static int64_t share_of(const recipe *r) {
    return r->by == BY_RULE ? STEPS_LOOK / WAYS + 1 : r->steps;
}

static int64_t steps_of_all(int count, int rules, int efforts, const int64_t *steps) {
    int64_t sum = 0;
    for (int i = 0; i < count; i++) {
        recipe r = recipe_at(i, rules, efforts, steps);
        sum += share_of(&r);
    }
    return sum;
}

/* While somebody watches, the bound is proved as soon as there is something to hold against it. */
static tw_code tell_best(const trial *t, tw_watch *watch, bool prove, tw_error *error) {
    const tw_pack_try *best = &t->finds->best[TW_WANT_PAPER];
    tw_code code = TW_OK;
    if (best->arena == NULL || !tw_watch_told(watch))
        return TW_OK;
    tw_watch_found(watch, best->layout.used, t->finds->proof.bound);
    if (prove && !t->finds->proof.known)
        code = tw_pack_prove(t->allocator, t->problem, t->take, best->layout.used, &t->finds->proof,
                             error);
    tw_watch_found(watch, best->layout.used, t->finds->proof.bound);
    return code;
}

tw_code tw_pack_best(const tw_allocator *allocator, const tw_layout_problem *problem,
                     const unsigned char *take, bool quick, tw_pack_finds *finds, tw_error *error) {
    int64_t steps[EFFORTS];
    int64_t most = tw_pack_steps(problem);
    int rules = quick ? WAYS_QUICK : WAYS;
    int efforts = list_efforts(quick && most > STEPS_LOOK ? STEPS_LOOK : most, steps);
    int count = rules + (quick ? 1 : 2) * efforts;
    tw_watch watch;
    tw_layout_problem watched = *problem;
    trial t = {allocator, &watched, take, finds};
    tw_code code = TW_OK;
    tw_watch_start(&watch, problem->settings.run, &watched.stock,
                   steps_of_all(count, rules, efforts, steps));
    watched.settings.run = &watch.inner;
    memset(finds->best, 0, sizeof finds->best);
    finds->proof = (tw_pack_proof){0};
    for (int want = 0; quick && want < TW_WANTS; want++)
        finds->wanted[want] = false;
    finds->wanted[TW_WANT_PAPER] = true;
    for (int i = 0; i < count && code == TW_OK; i++) {
        recipe r = recipe_at(i, rules, efforts, steps);
        tw_watch_begin(&watch, share_of(&r));
        code = try_one(&t, &r, error);
        if (code == TW_OK)
            code = tell_best(&t, &watch, !quick && i >= rules, error);
    }
    if (ends_with_a_plan(&t, code))
        return TW_OK;
    tw_pack_drop_finds(finds);
    return code;
}
