/*
 * Orders x templates x image facts -> prints. Every line is fitted once and made as many prints
 * as it asks copies; a line that cannot be printed is reported and makes none.
 */
#include "prints/making.h"

#include <string.h>

/* Orders first, then fillers. */
static const tw_order *line_at(const tw_job_data *job, size_t index) {
    return index < job->order_count ? &job->orders[index] : &job->fillers[index - job->order_count];
}

static tw_code report_line(const tw_order *line, tw_error *message, tw_report *report,
                           tw_error *error) {
    tw_line_place(line, message);
    return tw_report_error(report, message, error);
}

/* Pieces of paper are called by print id, and offcuts waste-1, fillers filler-1: an order of
 * such a name would make two pieces of one name. */
static tw_code refuse_name(const tw_order *line, tw_error *error) {
    if (line->order == NULL ||
        (strcmp(line->order, "waste") != 0 && strcmp(line->order, "filler") != 0))
        return TW_OK;
    tw_fail(error, TW_INPUT, "reserved-order", "order \"%s\": this word names %s on the cut guide",
            line->order, line->order[0] == 'w' ? "offcuts" : "prints that fill free places");
    tw_fail_hint(error, "call the order by another name");
    return TW_INPUT;
}

/* A line's print without copy and id, or why there is none. */
static tw_code fit_line(const tw_job_data *job, const tw_order *line, const tw_image *image,
                        tw_print *out, tw_error *why) {
    const tw_template *format = &job->templates[line->template_index];
    *out = (tw_print){.order = line->order, .line = line, .format = format, .image = image};
    out->paper_index = line->paper_index;
    tw_grid grid = tw_image_grid(image);
    tw_code code = refuse_name(line, why);
    if (code == TW_OK)
        code = tw_fit_grid(format, &grid, &out->fit, why);
    return code == TW_OK ? tw_signature_place(format, out->fit.size, &out->signature, why) : code;
}

static tw_intent intent_of(const tw_job_data *job, const tw_print *print) {
    if (print->line->intent != TW_INTENT_UNSET)
        return print->line->intent;
    return print->format->intent != TW_INTENT_UNSET ? print->format->intent : job->intent;
}

static void add_copies(const tw_print *first, tw_prints *out) {
    for (int copy = 1; copy <= first->line->copies; copy++) {
        tw_print *print = &out->items[out->count++];
        *print = *first;
        print->copy = copy;
    }
}

/* Room for every copy asked for, whether it turns out printable or not: reading the orders held
 * their sum to TW_PRINTS_MOST and said so where it passed. */
static tw_code make_room(tw_arena *arena, const tw_job_data *job, bool with_fillers, tw_prints *out,
                         tw_error *error) {
    size_t lines = job->order_count + (with_fillers ? job->filler_count : 0);
    size_t copies = 0;
    for (size_t i = 0; i < lines; i++)
        copies += (size_t)line_at(job, i)->copies;
    out->items = tw_arena_array(arena, copies, sizeof *out->items);
    return out->items == NULL ? tw_no_memory(error) : TW_OK;
}

/* Both are looked for: a line is mended once, not twice. A size its paper does not take is one
 * finding, however many lines ask for it. */
static tw_code refuse_line(const tw_job_data *job, tw_refused *refusals, size_t index,
                           const tw_print *print, bool *refused, tw_report *report,
                           tw_error *error) {
    tw_error size = {.code = TW_OK}, pixels = {.code = TW_OK};
    tw_code code = TW_OK;
    *refused = false;
    if (tw_refuse_size(job, print->line, &print->fit, &size) != TW_OK) {
        *refused = true;
        if (tw_refused_first(refusals, index, print, &size))
            code = report_line(print->line, &size, report, error);
    }
    if (code == TW_OK && tw_refuse_pixels(job, print->line, &print->fit, &pixels) != TW_OK) {
        *refused = true;
        code = report_line(print->line, &pixels, report, error);
    }
    return code;
}

static tw_code make_line(const tw_job_data *job, tw_refused *refusals, size_t index, bool keep,
                         tw_report *report, tw_prints *out, tw_error *error) {
    size_t image = refusals->facts->of_line[index];
    const tw_order *line = line_at(job, index);
    tw_error why = {.code = TW_OK};
    tw_print print;
    /* What is unknown or unreadable was reported where it was found. */
    if (image == SIZE_MAX || line->template_index >= job->template_count ||
        line->paper_index >= job->paper_count)
        return TW_OK;
    if (fit_line(job, line, &out->images[image], &print, &why) != TW_OK)
        return report_line(line, &why, report, error);
    bool refused;
    tw_code code = refuse_line(job, refusals, index, &print, &refused, report, error);
    if (code != TW_OK || refused)
        return code;
    if (tw_print_treat(job, &print, &why) != TW_OK)
        return report_line(line, &why, report, error);
    print.image_index = image;
    print.intent = intent_of(job, &print);
    print.out_of_gamut = -1;
    print.filler = index >= job->order_count;
    if (keep)
        add_copies(&print, out);
    return TW_OK;
}

tw_code tw_prints_of(tw_arena *arena, const tw_job_data *job, const tw_facts *facts,
                     bool with_fillers, tw_report *report, tw_prints *out, tw_error *error) {
    size_t lines = job->order_count + job->filler_count;
    *out = (tw_prints){.images = facts->images, .image_count = facts->image_count};
    tw_refused refusals = {.job = job, .facts = facts};
    tw_code code = make_room(arena, job, with_fillers, out, error);
    for (size_t i = 0; code == TW_OK && i < lines; i++) {
        bool keep = i < job->order_count || with_fillers;
        code = make_line(job, &refusals, i, keep, report, out, error);
    }
    if (code == TW_OK)
        code = tw_prints_number(arena, out, error);
    return code == TW_OK ? tw_prints_treated(arena, out, error) : code;
}

tw_code tw_prints_make(tw_arena *arena, const tw_job_data *job, bool with_fillers,
                       const tw_run *run, tw_report *report, tw_prints *out, tw_error *error) {
    tw_facts facts;
    tw_code code = tw_prints_facts(arena, job, run, report, &facts, error);
    return code == TW_OK ? tw_prints_of(arena, job, &facts, with_fillers, report, out, error)
                         : code;
}
