/*
 * The plan: for every paper that carries prints, the layout, the cuts and the referee's check;
 * then names, totals and each sheet's page.
 *
 *   prints -> problem -> layout -> cuts -> referee -> sheets with named pieces -> pages
 */
#include "sheet/plan.h"

#include "sheet/draw.h"
#include "sheet/plan_steps.h"

tw_code tw_plan_look_up(const tw_run *run, tw_error *error) {
    if (run != NULL && run->cancelled != NULL && run->cancelled(run->context))
        return tw_fail(error, TW_CANCELLED, "cancelled", "stopped while laying out the prints");
    return TW_OK;
}

static tw_code plan_paper(tw_arena *arena, size_t paper_index, const tw_run *run, tw_report *report,
                          tw_plan_data *plan, tw_error *error) {
    tw_paper_work work;
    tw_code code = tw_plan_problem(arena, plan->job, plan->prints, paper_index, run, &work, error);
    if (code != TW_OK || work.count == 0)
        return code;
    tw_plan_pin_pieces(plan, &work);
    if (plan->stopped_early) /* the papers after it are laid out as they are */
        work.problem.settings.steps = TW_STEPS_QUICK;
    tw_plan_paper *paper = &plan->papers[plan->paper_count];
    *paper = (tw_plan_paper){.paper_index = paper_index};
    code = tw_plan_rolls(arena, run, &work, plan, paper, error);
    if (code == TW_INPUT && work.layout.pin_fault.why != TW_PIN_GOOD)
        return tw_plan_pin_fault(plan, &work, report, error);
    if (code != TW_OK)
        return code;
    plan->paper_count++;
    code = tw_plan_left(plan->job, &work, plan, report, error);
    if (code == TW_OK)
        code = tw_plan_work(plan->job, &work, report, error);
    return code == TW_OK ? tw_plan_strips(plan->job, &work, paper, report, error) : code;
}

/* Names sort as they print: two digits, or as many as the last sheet needs. */
static tw_code name_files(tw_arena *arena, tw_plan_data *plan, tw_error *error) {
    int digits = 2;
    for (size_t most = 99; most < plan->sheet_count; most = most * 10 + 9)
        digits++;
    for (size_t i = 0; i < plan->sheet_count; i++) {
        plan->sheets[i].file = tw_arena_print(arena, "sheet-%0*zu.pdf", digits, i + 1);
        if (plan->sheets[i].file == NULL)
            return tw_no_memory(error);
    }
    return TW_OK;
}

/* Last, since a page says "sheet n of m". */
static tw_code draw_pages(tw_arena *arena, const tw_run *run, tw_plan_data *plan, tw_error *error) {
    tw_code code = name_files(arena, plan, error);
    for (size_t i = 0; code == TW_OK && i < plan->sheet_count; i++) {
        code = tw_plan_look_up(run, error);
        if (code == TW_OK)
            code = tw_sheet_draw(arena, plan, &plan->sheets[i], error);
    }
    return code;
}

static tw_code warn_stopped(const tw_job_data *job, tw_report *report, tw_error *error) {
    tw_error message = {.code = TW_OK};
    tw_fail(&message, TW_OK, "stopped-early",
            "the search for less paper was stopped: this is the best plan found until then");
    tw_fail_hint(&message, "effort \"normal\" takes less than a second");
    tw_fail_at(&message, job->file, 0, 0);
    return tw_report_warning(report, &message, error);
}

static void count_fillers(tw_plan_data *plan) {
    for (size_t i = 0; i < plan->prints->count; i++)
        plan->fillers_left += plan->prints->items[i].filler;
    for (size_t i = 0; i < plan->sheet_count; i++)
        for (size_t k = 0; k < plan->sheets[i].print_count; k++)
            plan->fillers_laid += plan->sheets[i].prints[k].print->filler;
    plan->fillers_left -= plan->fillers_laid;
}

tw_code tw_plan_make(tw_arena *arena, const tw_job_data *job, const tw_prints *prints,
                     const tw_run *run, tw_report *report, tw_plan_data **out, tw_error *error) {
    tw_plan_data *plan = *out = tw_arena_take(arena, sizeof *plan);
    if (plan == NULL)
        return tw_no_memory(error);
    *plan = (tw_plan_data){.job = job, .prints = prints};
    plan->papers = tw_arena_array(arena, job->paper_count, sizeof *plan->papers);
    plan->unplaced = tw_arena_array(arena, prints->count, sizeof *plan->unplaced);
    if (plan->papers == NULL || plan->unplaced == NULL)
        return tw_no_memory(error);
    size_t wrong = report->errors.count;
    tw_code code = tw_plan_find_pins(arena, plan, report, error);
    if (code != TW_OK || report->errors.count > wrong)
        return code; /* a day with its pins amiss is not the one that was meant */
    tw_run calm = run == NULL ? (tw_run){0} : *run;
    calm.cancelled = NULL; /* asked to stop looking, not to stop: what was found is a plan */
    for (size_t i = 0; code == TW_OK && i < job->paper_count; i++)
        code = plan_paper(arena, i, plan->stopped_early ? &calm : run, report, plan, error);
    if (code == TW_OK && plan->stopped_early)
        code = warn_stopped(job, report, error);
    if (code != TW_OK)
        return code;
    tw_plan_day_totals(plan);
    tw_plan_choices(plan);
    count_fillers(plan);
    code = tw_plan_lines(arena, job, prints, report, error);
    if (code == TW_OK)
        code = tw_plan_find_splits(arena, plan, error);
    if (code == TW_OK)
        code = tw_plan_weigh_risk(plan, report, error);
    if (code == TW_OK)
        code = draw_pages(arena, plan->stopped_early ? &calm : run, plan, error);
    return code == TW_OK ? tw_plan_keepable(arena, plan, error) : code;
}
