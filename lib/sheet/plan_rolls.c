/*
 * One paper's prints over its rolls (most papers have one): which lie where, each roll cut and
 * checked, its sheets added to the plan, and what is left of every roll.
 */
#include "sheet/plan_steps.h"

tw_code tw_plan_supply(tw_arena *arena, const tw_paper *paper, tw_supply *out, tw_error *error) {
    tw_size *pieces = tw_arena_array(arena, TW_OFFCUTS_MOST, sizeof *pieces);
    *out = (tw_supply){
        .further = paper->further_rolls, .further_count = paper->further_count, .offcuts = pieces};
    if (pieces == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < paper->offcut_count; i++)
        for (int64_t n = 0; n < paper->offcuts[i].count; n++)
            pieces[out->offcut_count++] =
                (tw_size){paper->offcuts[i].width, paper->offcuts[i].length};
    return TW_OK;
}

/* The place in the paper's list, from 1, of the nth piece. */
static int offcut_number(const tw_paper *paper, size_t piece) {
    size_t entry = 0;
    for (size_t before = 0; entry < paper->offcut_count; entry++) {
        before += (size_t)paper->offcuts[entry].count;
        if (piece < before)
            break;
    }
    return (int)entry + 1;
}

/* The referee shares no code with the packers and the cutter and sees every plan, also here in
 * the hands of the person: a wrong cut costs paper. */
static tw_code cut(tw_arena *arena, tw_paper_work *work, tw_error *error) {
    const tw_trimmer_limits *limits = &work->problem.settings.trimmer;
    tw_code code = tw_cuts_make(arena, &work->problem, &work->layout, limits, &work->cuts, error);
    return code == TW_OK ? tw_referee_check(&work->problem, &work->layout, &work->cuts, error)
                         : code;
}

static tw_code grow_sheets(tw_arena *arena, tw_plan_data *plan, int more, tw_error *error) {
    size_t count = plan->sheet_count + (size_t)more;
    tw_plan_sheet *sheets = tw_arena_array(arena, count, sizeof *sheets);
    if (sheets == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < plan->sheet_count; i++)
        sheets[i] = plan->sheets[i];
    plan->sheets = sheets;
    return TW_OK;
}

/* One roll's or offcut's share as a work of its own. */
static tw_code start_roll(tw_arena *arena, const tw_paper_work *whole, const tw_part *part,
                          const tw_paper *paper, tw_paper_work *out, tw_error *error) {
    bool roll = part->offcut == SIZE_MAX;
    *out = (tw_paper_work){.paper_index = whole->paper_index,
                           .count = part->problem.count,
                           .problem = part->problem,
                           .roll = roll && paper->further_count > 0 ? (int)part->roll + 1 : 0,
                           .offcut = roll ? 0 : offcut_number(paper, part->offcut),
                           .layout = part->layout};
    out->prints = tw_arena_array(arena, out->count, sizeof *out->prints);
    if (out->prints == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < out->count; i++)
        out->prints[i] = whole->prints[part->pieces[i]];
    return TW_OK;
}

static void add_pay(tw_pay *sum, const tw_pay *one) {
    sum->priced = sum->priced || one->priced;
    sum->paper += one->paper;
    sum->work += one->work;
    sum->other += one->other;
    sum->used += one->used;
    sum->hand_cuts += one->hand_cuts;
    sum->stop_changes += one->stop_changes;
    sum->lengths += one->lengths;
    sum->sheets += one->sheets;
}

/* An offcut is laid one way only: whatever is wanted it costs its cuts, and no paper of the roll.
 */
static tw_code add_pays(tw_arena *arena, const tw_paper_work *work, tw_pay sums[TW_WANTS],
                        tw_error *error) {
    tw_pay alone = {0};
    bool offcut = !work->problem.settings.choices;
    tw_code code = TW_OK;
    if (offcut)
        code = tw_pay_make(arena, &work->problem, &work->layout, &work->cuts, &alone, error);
    alone.paper = alone.used = 0;
    for (int want = 0; code == TW_OK && want < TW_WANTS; want++)
        add_pay(&sums[want], offcut ? &alone : &work->layout.pays[want]);
    return code;
}

static tw_code add_roll(tw_arena *arena, const tw_paper_work *whole, const tw_part *part,
                        tw_plan_data *plan, tw_plan_paper *paper, tw_error *error) {
    const tw_paper *from = &plan->job->papers[whole->paper_index];
    tw_paper_work work;
    tw_code code = start_roll(arena, whole, part, from, &work, error);
    if (code == TW_OK)
        code = cut(arena, &work, error);
    if (code == TW_OK)
        code = grow_sheets(arena, plan, work.layout.sheet_count, error);
    if (code == TW_OK)
        code = tw_plan_sheets(arena, &work, plan, error);
    if (code == TW_OK)
        code = add_pays(arena, &work, paper->pays, error);
    if (code == TW_OK)
        code = tw_plan_find_free(arena, plan, &work, paper, error);
    if (code != TW_OK)
        return code;
    tw_plan_add_totals(plan->job, &work, &paper->totals);
    paper->offcuts += work.offcut > 0;
    if (work.roll > 0) {
        tw_plan_roll *roll = &paper->rolls[part->roll];
        roll->used = work.layout.used;
        roll->rest = roll->length - (roll->used - work.problem.stock.lost_core_end);
        roll->sheets = work.layout.sheet_count;
    }
    return TW_OK;
}

static tw_code list_rolls(tw_arena *arena, const tw_paper *paper, tw_plan_paper *out,
                          tw_error *error) {
    if (paper->further_count == 0)
        return TW_OK;
    out->roll_count = paper->further_count + 1;
    out->rolls = tw_arena_array(arena, out->roll_count, sizeof *out->rolls);
    if (out->rolls == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < out->roll_count; i++) {
        tw_nm length = i == 0 ? paper->length : paper->further_rolls[i - 1];
        out->rolls[i] = (tw_plan_roll){.number = (int)i + 1, .length = length, .rest = length};
    }
    return TW_OK;
}

static void sum_up(const tw_parts *parts, tw_paper_work *work, tw_plan_paper *paper) {
    work->layout = (tw_layout){.left = parts->left,
                               .left_count = parts->left_count,
                               .used = parts->used,
                               .bound = parts->bound,
                               .bound_stages = parts->bound_stages};
    for (size_t i = 0; i < parts->count; i++)
        work->layout.sheet_count += parts->items[i].layout.sheet_count;
    paper->offcuts_saved = parts->saved;
    paper->totals.bound_length = parts->bound;
    paper->totals.bound_stages = parts->bound_stages;
}

static tw_code judge(const tw_paper_work *work, const tw_supply *supply, const tw_parts *parts,
                     tw_error *error) {
    tw_code code = tw_referee_parts(&work->problem, supply, parts, error);
    for (size_t i = 0; i < parts->passed_count && code == TW_OK; i++)
        code = tw_referee_check(&parts->passed[i].problem, &parts->passed[i].layout, NULL, error);
    return code;
}

tw_code tw_plan_rolls(tw_arena *arena, const tw_run *run, tw_paper_work *work, tw_plan_data *plan,
                      tw_plan_paper *paper, tw_error *error) {
    const tw_paper *from = &plan->job->papers[work->paper_index];
    tw_supply supply;
    tw_parts parts = {0};
    tw_code code = tw_plan_supply(arena, from, &supply, error);
    if (code == TW_OK)
        code = tw_parts_make(arena, &work->problem, &supply, &parts, error);
    if (code == TW_INPUT)
        work->layout.pin_fault = parts.pin_fault;
    if (code == TW_OK && plan->job->steps >= TW_STEPS_THOROUGH && parts.stopped_early)
        plan->stopped_early = true;
    if (code == TW_OK && !plan->stopped_early)
        code = tw_plan_look_up(run, error);
    if (code == TW_OK)
        code = judge(work, &supply, &parts, error);
    if (code == TW_OK)
        code = list_rolls(arena, from, paper, error);
    for (size_t i = 0; code == TW_OK && i < parts.count; i++)
        code = add_roll(arena, work, &parts.items[i], plan, paper, error);
    if (code == TW_OK)
        sum_up(&parts, work, paper);
    return code;
}
