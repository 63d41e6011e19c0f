/*
 * What each way to share lines among papers takes: prints made, laid out over the papers' rolls,
 * and what that paper costs. Nothing of it is kept but the sums.
 */
#include <stdlib.h>

#include "sheet/choose_ways.h"

/* More prints than this are compared by quick layouts. */
#define MANY_PRINTS 20000

/* One way's result, and whom it leaves out. */
typedef struct measured {
    tw_alternative sum;
    int64_t *missed; /* priorities, ascending; in the chooser's arena */
    size_t missed_count;
} measured;

static int64_t steps_of(const tw_job_data *job, size_t prints) {
    if (prints > MANY_PRINTS)
        return TW_STEPS_QUICK;
    return job->steps > 0 && job->steps < TW_STEPS_NORMAL ? job->steps : TW_STEPS_NORMAL;
}

/* Of this much of a paper, rounded half up; the price is that of the whole roll or box. */
static int64_t price_of(const tw_paper *paper, tw_nm used) {
    tw_nm whole = paper->length * (paper->kind == TW_SHEETS ? paper->count : 1);
    return paper->has_price ? tw_scale(used, paper->price.minor, whole) : 0;
}

static void add_used(const tw_paper *paper, tw_nm used, tw_alternative *sum) {
    sum->length += used;
    sum->area += tw_scale(used, paper->width, 1000000);
    sum->price += price_of(paper, used);
}

static tw_code add_paper(const tw_chooser *c, tw_arena *scratch, const tw_prints *prints,
                         size_t paper_index, measured *out, tw_error *error) {
    const tw_paper *paper = &c->job->papers[paper_index];
    tw_supply supply;
    tw_paper_work work;
    tw_parts parts;
    tw_code code = tw_plan_problem(scratch, c->job, prints, paper_index, c->run, &work, error);
    if (code != TW_OK || work.count == 0)
        return code;
    work.problem.settings.steps = steps_of(c->job, prints->count);
    work.problem.settings.choices = false;
    code = tw_plan_supply(scratch, paper, &supply, error);
    if (code == TW_OK)
        code = tw_parts_make(scratch, &work.problem, &supply, &parts, error);
    if (code != TW_OK)
        return code;
    add_used(paper, parts.used, &out->sum);
    for (size_t i = 0; i < parts.left_count; i++) {
        const tw_piece *piece = &work.problem.pieces[parts.left[i].piece];
        if (!piece->filler)
            out->missed[out->missed_count++] = piece->priority;
    }
    return TW_OK;
}

static int by_value(const void *left, const void *right) {
    int64_t a = *(const int64_t *)left;
    int64_t b = *(const int64_t *)right;
    return (a > b) - (a < b);
}

static tw_code measure(const tw_chooser *c, tw_sharing way, tw_arena *scratch, measured *out,
                       tw_error *error) {
    tw_prints prints;
    tw_report unheard;
    tw_report_start(&unheard, scratch);
    out->sum = (tw_alternative){
        .prints = tw_arena_array(c->arena, c->job->choose_count, sizeof *out->sum.prints)};
    if (out->sum.prints == NULL)
        return tw_no_memory(error);
    tw_choose_share(c, way, out->sum.prints);
    tw_code code = tw_prints_of(scratch, c->job, c->facts, true, &unheard, &prints, error);
    if (code != TW_OK)
        return code;
    out->missed = tw_arena_array(c->arena, prints.count, sizeof *out->missed);
    if (out->missed == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < c->job->choose_count && code == TW_OK; i++)
        code = add_paper(c, scratch, &prints, c->job->choose[i], out, error);
    if (out->missed_count > 1)
        qsort(out->missed, out->missed_count, sizeof *out->missed, by_value);
    out->sum.unplaced = out->missed_count;
    return code;
}

static bool better(const tw_chosen *choice, const measured *a, const measured *b) {
    int order = tw_missed_compare(a->missed, a->missed_count, b->missed, b->missed_count);
    if (order != 0)
        return order < 0;
    return choice->by_price ? a->sum.price < b->sum.price : a->sum.area < b->sum.area;
}

tw_code tw_choose_measure(tw_chooser *c, tw_chosen *out, tw_error *error) {
    measured best = {0};
    tw_code code = TW_OK;
    out->items = tw_arena_array(c->arena, c->way_count, sizeof *out->items);
    if (out->items == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < c->way_count && code == TW_OK; i++) {
        measured now = {0};
        tw_arena *scratch = tw_arena_new(tw_arena_allocator(c->arena), 0);
        if (scratch == NULL)
            return tw_no_memory(error);
        code = measure(c, c->ways[i], scratch, &now, error);
        tw_arena_free(scratch);
        if (code != TW_OK)
            break;
        out->items[out->count++] = now.sum;
        if (i > 0 && !better(out, &now, &best))
            continue;
        out->chosen = i;
        best = now;
    }
    return code;
}

void tw_chosen_settle(tw_chosen *choice, const tw_plan_data *plan) {
    tw_alternative *chosen = &choice->items[choice->chosen];
    tw_alternative sum = {.prints = chosen->prints, .unplaced = chosen->unplaced};
    for (size_t i = 0; i < plan->paper_count; i++)
        for (size_t k = 0; k < choice->job->choose_count; k++)
            if (plan->papers[i].paper_index == choice->job->choose[k])
                add_used(&choice->job->papers[choice->job->choose[k]],
                         plan->papers[i].totals.length, &sum);
    *chosen = sum;
}
