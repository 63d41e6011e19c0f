/*
 * Several ways of making rows, quick ones by rule, then the band engine and the search; of the
 * layouts they give the one that costs least is kept (pay.h).
 */
#include "layout/pack.h"

#include <stdlib.h>
#include <string.h>

static const tw_pack_way ways_tried[] = {
    {TW_LEAD_EITHER, TW_FILL_TALL}, {TW_LEAD_EITHER, TW_FILL_FULL}, {TW_LEAD_LOW, TW_FILL_WIDE},
    {TW_LEAD_LOW, TW_FILL_TALL},    {TW_LEAD_LOW, TW_FILL_FULL},    {TW_LEAD_TALL, TW_FILL_TALL},
    {TW_LEAD_TALL, TW_FILL_FULL},   {TW_LEAD_EITHER, TW_FILL_WIDE}, {TW_LEAD_EITHER, TW_FILL_SAME},
};
enum { WAYS = sizeof ways_tried / sizeof *ways_tried, WAYS_QUICK = 3 };
enum { EFFORTS = 4, STEPS_LOOK = 400 }; /* STEPS_LOOK: while looking who can be served */

/* ---------------------------------------------------------------- one layout and its worth */

typedef tw_pack_try attempt;

void tw_pack_drop(tw_pack_try *a) {
    tw_arena_free(a->arena);
    memset(a, 0, sizeof *a);
}

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

static tw_code price(const tw_layout_problem *problem, attempt *a, tw_error *error) {
    tw_cuts cuts;
    if (a->priced)
        return TW_OK;
    tw_code code =
        tw_cuts_make(a->arena, problem, &a->layout, &problem->settings.trimmer, &cuts, error);
    if (code == TW_OK)
        code = tw_pay_make(a->arena, problem, &a->layout, &cuts, &a->pay, error);
    a->priced = code == TW_OK;
    return code;
}

/* Is the one with less paper better whatever its cuts? */
static bool paper_decides(const tw_layout_problem *problem, tw_nm less, tw_nm more) {
    const tw_layout_settings *settings = &problem->settings;
    bool free_work = settings->hand_cut == 0 && settings->stop_change == 0;
    return less < more && (free_work || problem->stock.price == 0);
}

/* Cuts are counted only where the paper does not decide. The loser is freed. */
static tw_code keep_better(const tw_layout_problem *problem, attempt *best, attempt *now,
                           tw_error *error) {
    tw_code code = TW_OK;
    bool wins = best->arena == NULL || now->layout.used < best->layout.used;
    if (best->arena != NULL && !paper_decides(problem, now->layout.used, best->layout.used) &&
        !paper_decides(problem, best->layout.used, now->layout.used)) {
        code = price(problem, best, error);
        if (code == TW_OK)
            code = price(problem, now, error);
        wins = code == TW_OK && tw_pay_compare(&now->pay, &best->pay) < 0;
    }
    if (wins) {
        tw_pack_drop(best);
        *best = *now;
    } else {
        tw_pack_drop(now);
    }
    return code;
}

/* ---------------------------------------------------------------- trying ways */

static tw_code rows_by_rule(tw_packer *packer, tw_pack_way way, tw_rows *rows, tw_error *error) {
    tw_code code = tw_pack_start(packer, error);
    return code == TW_OK ? tw_pack_rows(packer, way, rows, error) : code;
}

/* Where an image counts once a sheet, bands of many prints could pass the byte limit. */
static tw_code rows_by_bands(tw_packer *packer, int64_t steps, tw_rows *rows, tw_error *error) {
    static const tw_pack_way for_the_rest = {TW_LEAD_EITHER, TW_FILL_TALL};
    tw_code code = tw_pack_start(packer, error);
    if (code == TW_OK && !packer->kinds->by_bytes)
        code = tw_pack_bands(packer, steps, rows, error);
    return code == TW_OK ? tw_pack_rows(packer, for_the_rest, rows, error) : code;
}

/* Days of different sizes; no rows at all where they are none. */
static tw_code rows_by_search(tw_packer *packer, int64_t steps, tw_rows *rows, tw_error *error) {
    tw_code code = tw_pack_start(packer, error);
    if (code == TW_OK && !packer->kinds->by_bytes)
        code = tw_pack_search(packer, steps, rows, error);
    return code == TW_OK && rows->count > 0
               ? tw_pack_rows(packer, (tw_pack_way){TW_LEAD_EITHER, TW_FILL_TALL}, rows, error)
               : code;
}

/* One layout: by this rule, or with `steps` by the band engine or the search. */
static tw_code try_one(const tw_allocator *allocator, const tw_layout_problem *problem,
                       const unsigned char *take, tw_pack_way way, int64_t steps, bool different,
                       attempt *out, tw_error *error) {
    memset(out, 0, sizeof *out);
    out->arena = tw_arena_new(allocator, 0);
    if (out->arena == NULL)
        return tw_no_memory(error);
    tw_code code = tw_kinds_make(out->arena, problem, take, &out->kinds, error);
    tw_packer packer = {.arena = out->arena, .problem = problem, .kinds = &out->kinds};
    if (code == TW_OK)
        code = different   ? rows_by_search(&packer, steps, &out->rows, error)
               : steps > 0 ? rows_by_bands(&packer, steps, &out->rows, error)
                           : rows_by_rule(&packer, way, &out->rows, error);
    if (code == TW_OK && different && out->rows.count == 0) {
        tw_pack_drop(out); /* nothing for the search here */
        return TW_OK;
    }
    if (code == TW_OK)
        code = tw_pack_sheets(out->arena, problem, &out->kinds, &out->rows, &out->layout, error);
    if (code != TW_OK)
        tw_pack_drop(out);
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

static tw_code keep_try(const tw_allocator *allocator, const tw_layout_problem *problem,
                        const unsigned char *take, tw_pack_way way, int64_t steps, bool different,
                        tw_pack_try *best, tw_error *error) {
    attempt now;
    tw_code code = try_one(allocator, problem, take, way, steps, different, &now, error);
    return code == TW_OK && now.arena != NULL ? keep_better(problem, best, &now, error) : code;
}

tw_code tw_pack_best(const tw_allocator *allocator, const tw_layout_problem *problem,
                     const unsigned char *take, bool quick, tw_pack_try *best, tw_error *error) {
    const tw_run *run = problem->settings.run;
    int64_t steps[EFFORTS];
    int64_t most = tw_pack_steps(problem);
    int rules = quick ? WAYS_QUICK : WAYS;
    int efforts = list_efforts(quick && most > STEPS_LOOK ? STEPS_LOOK : most, steps);
    uint64_t total = (uint64_t)rules + (uint64_t)efforts;
    tw_code code = TW_OK;
    memset(best, 0, sizeof *best);
    for (int i = 0; i < rules + efforts && code == TW_OK; i++) {
        tw_run_progress(run, "laying out", (uint64_t)i, total);
        code = keep_try(allocator, problem, take, ways_tried[i < rules ? i : 0],
                        i < rules ? 0 : steps[i - rules], false, best, error);
    }
    for (int i = 0; i < efforts && !quick && code == TW_OK; i++)
        code = keep_try(allocator, problem, take, ways_tried[0], steps[i], true, best, error);
    tw_run_progress(run, "laying out", total, total);
    if (best->arena != NULL && (code == TW_CANCELLED || tw_run_cancelled(run))) {
        best->layout.stopped_early = true;
        return TW_OK;
    }
    if (code != TW_OK)
        tw_pack_drop(best);
    return code;
}
