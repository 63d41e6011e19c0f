/*
 * What a plan has to say beside itself: prints the paper did not hold, what strips cost, marks
 * that no lip will hide.
 */
#include "layout/pieces.h"
#include "sheet/plan_steps.h"

static void place_at(const tw_place *place, tw_error *message) {
    tw_fail_at(message, place->file, place->line, place->column);
    tw_fail_pointer(message, place->pointer);
}

/* Would it lie on this roll were its sheets not held to a list of lengths? */
static bool only_too_long(const tw_paper_work *work, const tw_paper *paper, size_t piece) {
    tw_layout_problem any = work->problem;
    any.stock.shortest_sheet = paper->shortest_sheet;
    any.stock.longest_sheet = paper->longest_sheet;
    any.stock.sheet_length_count = 0;
    if (work->problem.stock.sheet_length_count == 0)
        return false;
    for (int way = 0; way < 2; way++)
        if (tw_piece_lie(&any, &any.pieces[piece], way == 1).may)
            return true;
    return false;
}

static tw_code refuse_length(const tw_paper_work *work, const tw_print *print,
                             const tw_paper *paper, tw_report *report, tw_error *error) {
    const tw_stock *stock = &work->problem.stock;
    char width[TW_LENGTH_TEXT], height[TW_LENGTH_TEXT], longest[TW_LENGTH_TEXT];
    tw_error message = {.code = TW_OK};
    tw_fail(&message, TW_INPUT, "too-long",
            "print %s, %s x %s, fits on no sheet of the lengths in layout.sheet_lengths: the "
            "longest that paper \"%s\" takes is %s",
            print->id, tw_length_both(print->fit.size.width, width),
            tw_length_both(print->fit.size.height, height), paper->name,
            tw_length_both(stock->sheet_lengths[stock->sheet_length_count - 1], longest));
    tw_fail_hint(&message, "add a longer length, or leave layout.sheet_lengths out");
    place_at(&print->line->place, &message);
    return tw_report_error(report, &message, error);
}

/* It fits by itself, but not as the others of its set lie. */
static bool set_is_why(const tw_paper_work *work, size_t piece, tw_left_why why) {
    tw_piece alone = work->problem.pieces[piece];
    bool fits = false;
    if (why != TW_LEFT_TOO_BIG || alone.alike < 0)
        return false;
    for (int way = 0; way < 2; way++)
        fits = fits || tw_piece_lie(&work->problem, &alone, way == 1).may;
    return fits;
}

static tw_code refuse_set(const tw_print *print, tw_report *report, tw_error *error) {
    tw_error message = {.code = TW_OK};
    tw_fail(&message, TW_INPUT, "set-impossible",
            "print %s cannot lie the same way as the others of set \"%s\": some of them fit only "
            "upright, some only turned",
            print->id, print->line->set);
    tw_fail_hint(&message, "take it out of the set, or give its template another \"lie\"");
    place_at(&print->line->place, &message);
    return tw_report_error(report, &message, error);
}

/* These cannot be printed whatever the rest of the day does: errors, not left-overs. */
static tw_code refuse(const tw_print *print, const tw_paper *paper, tw_left_why why,
                      tw_report *report, tw_error *error) {
    tw_error message = {.code = TW_OK};
    char width[TW_LENGTH_TEXT], height[TW_LENGTH_TEXT], roll[TW_LENGTH_TEXT];
    if (why == TW_LEFT_TOO_BIG)
        tw_fail(&message, TW_INPUT, "too-big",
                "print %s, %s x %s, cannot be laid on paper \"%s\", %s wide: with its margins, "
                "strips for marks and waste wide enough to trim off it fits no way round",
                print->id, tw_length_both(print->fit.size.width, width),
                tw_length_both(print->fit.size.height, height), paper->name,
                tw_length_both(paper->width, roll));
    else
        tw_fail(
            &message, TW_INPUT, "too-many-bytes",
            "image \"%s\" takes up to %lld bytes; one sheet's PDF must stay under 2147483647 bytes",
            print->line->image, (long long)tw_image_pdf_bytes(paper, print->image));
    tw_fail_hint(&message, why == TW_LEFT_TOO_BIG
                               ? "choose a wider paper, or marks.place \"waste\""
                               : "set resolution.limit_ppi, or save the image with fewer pixels, 8 "
                                 "bits a channel or as JPEG");
    place_at(&print->line->place, &message);
    return tw_report_error(report, &message, error);
}

/* These cannot be printed whatever the rest of the day does: which of the reasons it is. */
static tw_code refuse_left(const tw_paper_work *work, const tw_left *left, const tw_paper *paper,
                           tw_report *report, tw_error *error) {
    const tw_print *print = work->prints[left->piece];
    if (left->why == TW_LEFT_TOO_BIG && only_too_long(work, paper, left->piece))
        return refuse_length(work, print, paper, report, error);
    if (set_is_why(work, left->piece, left->why))
        return refuse_set(print, report, error);
    return refuse(print, paper, left->why, report, error);
}

static size_t count_ordered(const tw_paper_work *work) {
    size_t count = 0;
    for (size_t i = 0; i < work->count; i++)
        count += !work->prints[i]->filler;
    return count;
}

static tw_code warn_used_up(const tw_job_data *job, const tw_paper_work *work, size_t prints,
                            const tw_print *first, tw_report *report, tw_error *error) {
    const tw_paper *paper = &job->papers[work->paper_index];
    tw_error message = {.code = TW_OK};
    char length[TW_LENGTH_TEXT];
    tw_nm all = paper->length;
    for (size_t i = 0; i < paper->further_count; i++)
        all += paper->further_rolls[i];
    tw_length_both(all, length);
    if (paper->further_count > 0)
        tw_fail(&message, TW_OK, "paper-used-up",
                "the %s left on %zu rolls of paper \"%s\" are used up: %zu of %zu prints have no "
                "place, the first is %s",
                length, paper->further_count + 1, paper->name, prints, count_ordered(work),
                first->id);
    else if (paper->kind == TW_ROLL)
        tw_fail(&message, TW_OK, "paper-used-up",
                "the %s left of paper \"%s\" are used up: %zu of %zu prints have no place, the "
                "first is %s",
                length, paper->name, prints, count_ordered(work), first->id);
    else
        tw_fail(&message, TW_OK, "paper-used-up",
                "the %lld sheets of paper \"%s\" are used up: %zu of %zu prints have no place, "
                "the first is %s",
                (long long)paper->count, paper->name, prints, count_ordered(work), first->id);
    tw_fail_hint(&message, "load a new %s, or print the rest another day",
                 paper->kind == TW_ROLL ? "roll" : "box");
    place_at(&paper->place, &message);
    return tw_report_warning(report, &message, error);
}

tw_code tw_plan_left(const tw_job_data *job, const tw_paper_work *work, tw_plan_data *plan,
                     tw_report *report, tw_error *error) {
    const tw_paper *paper = &job->papers[work->paper_index];
    const tw_print *first = NULL;
    size_t before = plan->unplaced_count;
    for (size_t i = 0; i < work->layout.left_count; i++) {
        const tw_left *left = &work->layout.left[i];
        const tw_print *print = work->prints[left->piece];
        if (left->why != TW_LEFT_PAPER_USED) {
            tw_code code = refuse_left(work, left, paper, report, error);
            if (code != TW_OK)
                return code;
            continue;
        }
        if (print->filler)
            continue; /* missed by nobody */
        if (first == NULL)
            first = print;
        plan->unplaced[plan->unplaced_count++] =
            (tw_unplaced){.print = print, .why = "the paper is used up"};
    }
    size_t prints = plan->unplaced_count - before;
    return prints == 0 ? TW_OK : warn_used_up(job, work, prints, first, report, error);
}

tw_code tw_plan_work(const tw_job_data *job, const tw_paper_work *work, tw_report *report,
                     tw_error *error) {
    const tw_layout_settings *settings = &work->problem.settings;
    const tw_paper *paper = &job->papers[work->paper_index];
    bool hand_cut = settings->hand_cut > 0;
    tw_error message = {.code = TW_OK};
    if (work->problem.stock.price > 0 || (!hand_cut && settings->stop_change == 0))
        return TW_OK;
    tw_fail(&message, TW_OK, "work-not-weighed",
            "paper \"%s\" has no price to weigh layout.%s against: the plan that uses least of it "
            "is taken, and work only decides between plans that use the same",
            paper->name, hand_cut ? "hand_cut" : "stop_change");
    tw_fail_hint(&message, "give the paper its \"price\", such as \"129.00 EUR\"");
    tw_fail_at(&message, job->file, 0, 0);
    tw_fail_pointer(&message, hand_cut ? "/layout/hand_cut" : "/layout/stop_change");
    return tw_report_warning(report, &message, error);
}

tw_code tw_plan_strips(const tw_job_data *job, const tw_paper_work *work, tw_plan_paper *paper,
                       tw_report *report, tw_error *error) {
    const tw_layout_settings *settings = &work->problem.settings;
    tw_nm each = settings->strip_lead + settings->strip_tail;
    char lead[TW_LENGTH_TEXT], tail[TW_LENGTH_TEXT], all[TW_LENGTH_TEXT];
    tw_error message = {.code = TW_OK};
    if (each == 0 || work->layout.sheet_count == 0)
        return TW_OK;
    paper->strip_cost = each * work->layout.sheet_count;
    tw_fail(&message, TW_OK, "strip-cost",
            "strips for marks take %s at the lead and %s at the tail of every sheet of paper "
            "\"%s\": %s of paper on %d sheet%s",
            tw_length_both(settings->strip_lead, lead), tw_length_both(settings->strip_tail, tail),
            job->papers[work->paper_index].name, tw_length_both(paper->strip_cost, all),
            work->layout.sheet_count, work->layout.sheet_count == 1 ? "" : "s");
    tw_fail_hint(&message, "marks.place \"waste\" costs no paper and lists the cuts without marks");
    tw_fail_at(&message, job->file, 0, 0);
    tw_fail_pointer(&message, "/marks/place");
    return tw_report_warning(report, &message, error);
}

/* Each template once, at the first print that uses it. */
tw_code tw_plan_lines(tw_arena *arena, const tw_job_data *job, const tw_prints *prints,
                      tw_report *report, tw_error *error) {
    bool *said = tw_arena_array(arena, job->template_count, sizeof *said);
    if (said == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; job->marks.place == TW_MARKS_LINE && i < prints->count; i++) {
        const tw_template *format = prints->items[i].format;
        tw_error message = {.code = TW_OK};
        if (format->lip > 0 || said[format - job->templates])
            continue;
        said[format - job->templates] = true;
        tw_fail(&message, TW_OK, "line-without-lip",
                "template \"%s\" has no lip to hide marks on the cut line: its prints get none",
                format->name);
        tw_fail_hint(&message, "give the template the lip of its frame, such as \"1/4in\"");
        place_at(&format->place, &message);
        tw_code code = tw_report_warning(report, &message, error);
        if (code != TW_OK)
            return code;
    }
    return TW_OK;
}
