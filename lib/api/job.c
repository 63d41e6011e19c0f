/*
 * The public tw_job: joins the layers in their order (job, prints, plan, outputs), does each
 * step once, and decides what stops: any error in the report stops plan and compose, and no
 * warning does unless the caller is strict.
 */
#include "api/handle.h"

#include "base/limits.h"
#include "base/text.h"
#include "compose/compose.h"
#include "job/job.h"
#include "settle/colour_day.h"
#include "settle/damage.h"

static tw_job *new_job(const tw_run *run) {
    const tw_allocator *allocator = run == NULL ? NULL : run->allocator;
    tw_job *job = tw_block_new(allocator, sizeof *job);
    if (job == NULL)
        return NULL;
    if (run != NULL)
        job->run = *run;
    job->arena = tw_arena_new(allocator, 0);
    if (job->arena == NULL) {
        tw_block_free(allocator, job);
        return NULL;
    }
    tw_report_start(&job->report, job->arena);
    return job;
}

void tw_job_close(tw_job *job) {
    if (job == NULL)
        return;
    const tw_allocator *allocator = job->run.allocator;
    tw_arena_free(job->arena);
    tw_block_free(allocator, job);
}

/* Is it the person's to mend? Then it belongs in the list of the job's errors. */
static bool is_about_input(tw_code code) {
    return code == TW_USAGE || code == TW_INPUT || code == TW_DAMAGED || code == TW_NOT_YET;
}

/* Reading stopped: the reason becomes one of the job's errors, after those found before it. */
static tw_code reading_stopped(tw_job *job, tw_error *why, tw_error *error) {
    tw_code code = why->code;
    tw_error ignored;
    job->data = NULL;
    if (tw_report_error(&job->report, why, &ignored) != TW_OK)
        code = tw_no_memory(why);
    if (error != NULL)
        *error = *why;
    return code;
}

tw_code tw_job_open(const char *path, const tw_run *run, tw_job **out, tw_error *error) {
    tw_error why = {0};
    tw_job *job = *out = new_job(run);
    if (job == NULL)
        return tw_no_memory(error);
    if (tw_job_load(job->arena, path, &job->report, &job->data, &why) != TW_OK)
        return reading_stopped(job, &why, error);
    return TW_OK;
}

static tw_code check_quick(const tw_quick *quick, tw_error *error) {
    if (quick->image_count == 0)
        return tw_fail(error, TW_USAGE, "no-images", "no image was named");
    if (quick->copies < 1 || quick->copies > TW_COPIES_MOST)
        return tw_fail(error, TW_USAGE, "bad-copies", "%d copies: it must be 1 to %d",
                       quick->copies, TW_COPIES_MOST);
    return TW_OK;
}

tw_code tw_job_open_quick(const tw_quick *quick, const tw_run *run, tw_job **out, tw_error *error) {
    tw_error why = {0};
    tw_job *job = *out = new_job(run);
    if (job == NULL)
        return tw_no_memory(error);
    if (check_quick(quick, &why) != TW_OK ||
        tw_job_quick(job->arena, quick->paper, quick->template_name, quick->copies, quick->images,
                     quick->image_count, &job->report, &job->data, &why) != TW_OK)
        return reading_stopped(job, &why, error);
    return TW_OK;
}

static const int64_t effort_steps[] = {
    [TW_EFFORT_NORMAL] = TW_STEPS_NORMAL,
    [TW_EFFORT_QUICK] = TW_STEPS_QUICK,
    [TW_EFFORT_THOROUGH] = TW_STEPS_THOROUGH,
};
static const tw_plan_by plan_by[] = {
    [TW_PLAN_PRICE] = TW_BY_PRICE,
    [TW_PLAN_PAPER] = TW_BY_PAPER,
    [TW_PLAN_CUTS] = TW_BY_CUTS,
    [TW_PLAN_ROWS] = TW_BY_ROWS,
};

static bool is_effort(int effort) {
    return effort >= 0 && (size_t)effort < sizeof effort_steps / sizeof *effort_steps;
}

static bool is_plan_kind(int kind) {
    return kind >= 0 && (size_t)kind < sizeof plan_by / sizeof *plan_by;
}

void tw_job_set_effort(tw_job *job, tw_effort effort) {
    job->effort = (int)effort;
    if (job->data != NULL && is_effort(job->effort))
        job->data->steps = effort_steps[job->effort];
}

void tw_job_set_plan(tw_job *job, tw_plan_kind plan) {
    job->plan_kind = (int)plan;
    if (job->data != NULL && is_plan_kind(job->plan_kind))
        job->data->plan = plan_by[job->plan_kind];
}

void tw_job_set_accept_damaged(tw_job *job, bool accept) {
    if (job->data != NULL)
        job->data->accept_damaged = accept;
}

size_t tw_job_error_count(const tw_job *job) {
    return job->report.errors.count;
}

const tw_error *tw_job_error(const tw_job *job, size_t index) {
    return index < job->report.errors.count ? &job->report.errors.items[index] : NULL;
}

size_t tw_job_warning_count(const tw_job *job) {
    return job->report.warnings.count;
}

const tw_error *tw_job_warning(const tw_job *job, size_t index) {
    return index < job->report.warnings.count ? &job->report.warnings.items[index] : NULL;
}

size_t tw_job_dropped_count(const tw_job *job) {
    return job->report.dropped;
}

static tw_code check_steps(tw_job *job, tw_error *error) {
    tw_code code = tw_colour_papers(job->arena, job->data, &job->report, error);
    if (code == TW_OK)
        code = tw_colour_assumed(job->arena, job->data, &job->report, error);
    if (code != TW_OK)
        return code;
    tw_facts facts;
    tw_chosen *choice = NULL;
    code = tw_prints_facts(job->arena, job->data, &job->run, &job->report, &facts, error);
    if (code == TW_OK)
        code = tw_colour_images(job->arena, job->data, &facts, error);
    if (code == TW_OK && job->data->accept_damaged)
        code = tw_find_damage(job->arena, facts.images, facts.image_count, &job->run, &job->report,
                              error);
    if (code == TW_OK)
        code = tw_choose_papers(job->arena, job->data, &facts, &job->run, &job->report, &choice,
                                error);
    if (code == TW_OK)
        code = tw_prints_of(job->arena, job->data, &facts, true, &job->report, &job->prints, error);
    if (code == TW_OK)
        code = tw_prints_check(job->arena, job->data, &job->prints, &job->report, error);
    if (code == TW_OK)
        code =
            tw_colour_prints(job->arena, job->data, &job->prints, &job->run, &job->report, error);
    /* With a print missing the layout would be another one: its warnings would mislead. */
    if (code == TW_OK && job->report.errors.count == 0)
        code = tw_plan_make(job->arena, job->data, &job->prints, &job->run, &job->report,
                            &job->plan, error);
    if (code == TW_OK && job->plan != NULL && choice != NULL) {
        tw_chosen_settle(choice, job->plan);
        job->plan->choice = choice;
    }
    return code;
}

static tw_code refuse_settings(const tw_job *job, tw_error *error) {
    if (!is_effort(job->effort))
        return tw_fail(error, TW_USAGE, "bad-effort",
                       "%d is no effort: it must be from 0 (normal) to %d (thorough)", job->effort,
                       TW_EFFORT_THOROUGH);
    if (!is_plan_kind(job->plan_kind))
        return tw_fail(error, TW_USAGE, "bad-plan",
                       "%d is no kind of plan: it must be from 0 (price) to %d (rows)",
                       job->plan_kind, TW_PLAN_ROWS);
    return TW_OK;
}

tw_code tw_job_check(tw_job *job, tw_error *error) {
    if (refuse_settings(job, error) != TW_OK)
        return TW_USAGE;
    if (!job->checked && job->data != NULL) {
        job->failed = check_steps(job, &job->failure);
        if (is_about_input(job->failed))
            job->failed = tw_report_error(&job->report, &job->failure, &job->failure);
    }
    job->checked = true;
    if (job->failed != TW_OK && error != NULL)
        *error = job->failure;
    return job->failed;
}

tw_code tw_job_check_pixels(tw_job *job, tw_error *error) {
    tw_code code = tw_job_check(job, error);
    if (code != TW_OK || job->pixels_checked)
        return code;
    code = tw_check_pixels(job->arena, job->prints.images, job->prints.image_count, &job->run,
                           &job->report, error);
    job->pixels_checked = code == TW_OK;
    return code;
}

tw_code tw_job_plan(tw_job *job, tw_error *error) {
    tw_code code = tw_job_check(job, error);
    if (code != TW_OK)
        return code;
    const tw_error *first = tw_job_error(job, 0);
    if (first != NULL && error != NULL)
        *error = *first;
    if (first != NULL)
        return first->code;
    if (job->plan == NULL)
        return tw_fail(error, TW_BUG, "no-plan", "no plan was made and no error says why");
    return TW_OK;
}

tw_code tw_job_totals(tw_job *job, tw_day_totals *out, tw_error *error) {
    tw_code code = tw_job_plan(job, error);
    if (code != TW_OK)
        return code;
    const tw_totals *totals = &job->plan->totals;
    *out = (tw_day_totals){.sheets = job->plan->sheet_count,
                           .prints = job->prints.count - job->plan->unplaced_count -
                                     job->plan->fillers_left,
                           .unplaced = job->plan->unplaced_count,
                           .length = totals->length,
                           .bound_length = totals->bound_length,
                           .bound_stages = totals->bound_stages,
                           .hand_cuts = totals->hand_cuts,
                           .stop_changes = totals->stop_changes};
    return TW_OK;
}

/* A sheet is a file of its own, or with one_file several share one: each name once. */
static void list_written(tw_job *job, const char **names) {
    const tw_plan_data *plan = job->plan;
    size_t count = 0;
    for (size_t i = 0; i < plan->sheet_count; i++)
        if (count == 0 || !tw_same_name(names[count - 1], plan->sheets[i].file))
            names[count++] = plan->sheets[i].file;
    names[count++] = "cut-guide.pdf";
    names[count++] = "plan.json";
    job->written = names;
    job->written_count = count;
}

static tw_code refuse_warnings(const tw_job *job, tw_error *error) {
    size_t count = job->report.warnings.count;
    return tw_fail(error, TW_STRICT, "strict",
                   "%zu warning%s, and this run allows none: nothing was written", count,
                   count == 1 ? "" : "s");
}

tw_code tw_job_compose(tw_job *job, const char *folder, const tw_compose_options *options,
                       tw_error *error) {
    tw_compose_options usual = {0};
    if (options == NULL)
        options = &usual;
    tw_code code = tw_job_plan(job, error);
    if (code != TW_OK)
        return code;
    if (options->strict && job->report.warnings.count > 0)
        return refuse_warnings(job, error);
    /* Asked for before anything is written: once the files are in place nothing may fail. */
    const char **names = tw_arena_array(job->arena, job->plan->sheet_count + 2, sizeof *names);
    if (names == NULL)
        return tw_no_memory(error);
    code = tw_compose_write(job->arena, job->plan, folder, options, &job->run, &job->report, error);
    if (code == TW_STRICT)
        return refuse_warnings(job, error);
    if (code == TW_OK)
        list_written(job, names);
    return code;
}

size_t tw_job_written_count(const tw_job *job) {
    return job->written_count;
}

const char *tw_job_written(const tw_job *job, size_t index) {
    return index < job->written_count ? job->written[index] : NULL;
}

const char *tw_job_colour(const tw_job *job) {
    bool converts = false, tags = false;
    if (job->data == NULL)
        return NULL;
    for (size_t i = 0; job->plan != NULL && i < job->plan->paper_count; i++) {
        bool this_one = job->data->papers[job->plan->papers[i].paper_index].converts;
        converts |= this_one;
        tags |= !this_one;
    }
    return converts && tags ? "both" : converts ? "convert" : "tag";
}

const char *tw_job_name(const tw_job *job) {
    return job->data == NULL ? NULL : job->data->name;
}
