/*
 * Which paper for the lines that name none: what fits where is found by making the prints on each
 * paper, each way to share them is laid out as the plan would be, and the best is kept.
 *
 *   lines x papers -> fits -> alternatives -> measured (choose_measure.c) -> one chosen
 */
#include "base/text.h"
#include "sheet/choose_ways.h"

static tw_order *line_at(const tw_chooser *c, size_t index) {
    tw_job_data *job = c->job;
    return index < job->order_count ? &job->orders[index] : &job->fillers[index - job->order_count];
}

static tw_code list_lines(tw_chooser *c, tw_error *error) {
    size_t lines = c->job->order_count + c->job->filler_count;
    c->lines = tw_arena_array(c->arena, lines, sizeof *c->lines);
    c->of_line = tw_arena_array(c->arena, lines, sizeof *c->of_line);
    if (c->lines == NULL || c->of_line == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < lines; i++) {
        tw_order *line = line_at(c, i);
        if (line->paper_index != TW_PAPER_ANY)
            continue;
        c->lines[c->line_count++] = (tw_any_line){line, i >= c->job->order_count, 0};
        c->of_line[i] = c->line_count;
    }
    return TW_OK;
}

/* ---------------------------------------------------------------- what fits where */

static tw_any_line *any_line(const tw_chooser *c, const tw_print *print) {
    size_t index = print->filler ? c->job->order_count + (size_t)(print->line - c->job->fillers)
                                 : (size_t)(print->line - c->job->orders);
    return c->of_line[index] == 0 ? NULL : &c->lines[c->of_line[index] - 1];
}

static tw_code try_paper(tw_chooser *c, size_t choice, tw_arena *scratch, tw_error *error) {
    tw_prints prints;
    tw_report unheard;
    tw_report_start(&unheard, scratch);
    for (size_t i = 0; i < c->line_count; i++)
        c->lines[i].line->paper_index = c->job->choose[choice];
    tw_code code = tw_prints_of(scratch, c->job, c->facts, true, &unheard, &prints, error);
    for (size_t i = 0; code == TW_OK && i < prints.count; i++) {
        tw_any_line *line = any_line(c, &prints.items[i]);
        if (line != NULL)
            line->fits |= 1u << choice;
    }
    return code;
}

static tw_code find_fits(tw_chooser *c, tw_error *error) {
    tw_code code = TW_OK;
    for (size_t i = 0; i < c->job->choose_count && code == TW_OK; i++) {
        tw_arena *scratch = tw_arena_new(tw_arena_allocator(c->arena), 0);
        if (scratch == NULL)
            return tw_no_memory(error);
        code = try_paper(c, i, scratch, error);
        tw_arena_free(scratch);
    }
    return code;
}

/* ---------------------------------------------------------------- the ways to share */

static size_t widest(const tw_chooser *c) {
    size_t best = 0;
    for (size_t i = 1; i < c->job->choose_count; i++)
        if (c->job->papers[c->job->choose[i]].width > c->job->papers[c->job->choose[best]].width)
            best = i;
    return best;
}

/* On `paper` what it takes, the rest on `other`, else on the first that takes it. */
static size_t place_of(const tw_chooser *c, const tw_any_line *line, tw_sharing way) {
    if ((line->fits & (1u << way.paper)) != 0)
        return way.paper;
    if ((line->fits & (1u << way.other)) != 0)
        return way.other;
    for (size_t i = 0; i < c->job->choose_count; i++)
        if ((line->fits & (1u << i)) != 0)
            return i;
    return widest(c);
}

void tw_choose_share(const tw_chooser *c, tw_sharing way, size_t *prints) {
    for (size_t i = 0; i < c->line_count; i++) {
        size_t choice = place_of(c, &c->lines[i], way);
        c->lines[i].line->paper_index = c->job->choose[choice];
        if (prints != NULL && !c->lines[i].filler)
            prints[choice] += (size_t)c->lines[i].line->copies;
    }
}

/* Order lines that fit somewhere: how many `paper` takes, and whether `other` takes the rest. */
static bool shares(const tw_chooser *c, tw_sharing way) {
    size_t taken = 0, given = 0;
    for (size_t i = 0; i < c->line_count; i++) {
        const tw_any_line *line = &c->lines[i];
        bool takes = (line->fits & (1u << way.paper)) != 0;
        if (line->filler || line->fits == 0)
            continue;
        if (!takes && (line->fits & (1u << way.other)) == 0)
            return false;
        taken += takes;
        given += !takes;
    }
    return way.paper == way.other || (taken > 0 && given > 0);
}

/* All on one paper, then shared between two. */
static void list_ways(tw_chooser *c) {
    size_t papers = c->job->choose_count;
    for (size_t i = 0; i < papers; i++)
        if (shares(c, (tw_sharing){i, i}))
            c->ways[c->way_count++] = (tw_sharing){i, i};
    for (size_t i = 0; i < papers; i++)
        for (size_t k = 0; k < papers; k++)
            if (i != k && shares(c, (tw_sharing){i, k}))
                c->ways[c->way_count++] = (tw_sharing){i, k};
    if (c->way_count == 0) /* the big ones need several papers */
        for (size_t i = 0; i < papers; i++)
            c->ways[c->way_count++] = (tw_sharing){i, i};
}

static bool all_priced(const tw_job_data *job) {
    const tw_paper *first = &job->papers[job->choose[0]];
    for (size_t i = 0; i < job->choose_count; i++) {
        const tw_paper *paper = &job->papers[job->choose[i]];
        if (!paper->has_price || !tw_same_name(paper->price.currency, first->price.currency))
            return false;
    }
    return true;
}

static tw_code choose(tw_chooser *c, tw_chosen *out, tw_error *error) {
    size_t papers = c->job->choose_count;
    c->ways = tw_arena_array(c->arena, papers * papers + papers, sizeof *c->ways);
    if (c->ways == NULL)
        return tw_no_memory(error);
    list_ways(c);
    out->by_price = all_priced(c->job);
    tw_code code = tw_choose_measure(c, out, error);
    if (code == TW_OK)
        tw_choose_share(c, c->ways[out->chosen], NULL);
    return code;
}

tw_code tw_choose_papers(tw_arena *arena, tw_job_data *job, const tw_facts *facts,
                         const tw_run *run, const tw_report *report, tw_chosen **out,
                         tw_error *error) {
    tw_chooser c = {.arena = arena, .job = job, .facts = facts, .run = run};
    *out = NULL;
    if (job->choose_count == 0)
        return TW_OK;
    tw_code code = list_lines(&c, error);
    if (code != TW_OK || c.line_count == 0)
        return code;
    code = find_fits(&c, error);
    if (code != TW_OK)
        return code;
    tw_choose_share(&c, (tw_sharing){0, 0}, NULL);
    if (report->errors.count > 0)
        return TW_OK;
    *out = tw_arena_take(arena, sizeof **out);
    if (*out == NULL)
        return tw_no_memory(error);
    (*out)->job = job;
    return choose(&c, *out, error);
}
