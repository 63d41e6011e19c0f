/*
 * Refusals: prints their paper holds no way round, and prints with too few pixels. Said before
 * any paper is spent, and in every line where they stand.
 */
#include "prints/making.h"

static tw_nm larger(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

/* The paper a print takes when it lies so, the distances it keeps included. */
static tw_size needs(const tw_paper *paper, const tw_fitted *fit, bool turned) {
    tw_sides keep = tw_print_keep(paper, fit, turned);
    tw_nm across = turned ? fit->size.height : fit->size.width;
    tw_nm along = turned ? fit->size.width : fit->size.height;
    return (tw_size){across + keep.side[TW_LEFT] + keep.side[TW_RIGHT],
                     along + keep.side[TW_TOP] + keep.side[TW_BOTTOM]};
}

/* The largest single sheet. longest_sheet does not bind a print that is longer by itself; the
 * PDF's page does, and so does the longest roll where it is shorter than what the print and the
 * machine consume. */
static tw_size offers(const tw_paper *paper) {
    tw_nm length = paper->length;
    for (size_t i = 0; i < paper->further_count; i++)
        length = larger(length, paper->further_rolls[i]);
    if (paper->kind == TW_ROLL)
        length -= paper->lost_each_load + paper->lost_core_end + paper->lost_each_sheet;
    length = larger(length, 0);
    return (tw_size){paper->width, length < TW_PAGE_MOST ? length : TW_PAGE_MOST};
}

static bool fits(tw_size need, tw_size offer) {
    return need.width <= offer.width && need.height <= offer.height;
}

static tw_code too_big(const tw_job_data *job, const tw_order *line, const tw_fitted *fit,
                       tw_error *error) {
    const tw_paper *paper = &job->papers[line->paper_index];
    tw_size offer = offers(paper), upright = needs(paper, fit, false);
    tw_size turned = needs(paper, fit, true);
    bool may_turn = tw_line_may_turn(job, line);
    if (fits(upright, offer) || (may_turn && fits(turned, offer)))
        return TW_OK;
    char print[TW_SIZE_TEXT], up[TW_SIZE_TEXT], side[TW_SIZE_TEXT], most[TW_SIZE_TEXT];
    tw_fail(error, TW_INPUT, "too-big",
            "a print of %s is too big for paper \"%s\": with the margin it keeps it needs %s%s%s, "
            "and the paper offers %s",
            tw_size_both(fit->size, print), paper->name, tw_size_both(upright, up),
            may_turn ? ", turned " : " and may not be turned",
            may_turn ? tw_size_both(turned, side) : "", tw_size_both(offer, most));
    tw_fail_hint(error, "choose a wider paper or a smaller template");
    return TW_INPUT;
}

/* What is beside the print must be nothing, or a strip the trimmer can hold: waste thinner than
 * that is not asked for, and a distance kept is at least as wide. `open`: the paper goes on
 * there, as a roll does where the print ends. */
static bool trims(tw_nm paper, tw_nm print, tw_nm low, tw_nm high, tw_nm narrowest, bool open) {
    if (low > 0)
        low = larger(low, narrowest);
    if (high > 0)
        high = larger(high, narrowest);
    tw_nm free = paper - print - low - high;
    return free == 0 || (free > 0 && (open || low > 0 || high > 0 || free >= narrowest));
}

/* Returns what is beside the print on the side where too little is, 0 when all can be cut. */
static tw_nm thin_strip(const tw_paper *paper, const tw_fitted *fit, bool turned, tw_nm narrowest) {
    tw_sides keep = tw_print_keep(paper, fit, turned);
    tw_size offer = offers(paper);
    tw_nm across = turned ? fit->size.height : fit->size.width;
    tw_nm along = turned ? fit->size.width : fit->size.height;
    if (!trims(offer.width, across, keep.side[TW_LEFT], keep.side[TW_RIGHT], narrowest, false))
        return offer.width - across;
    if (!trims(offer.height, along, keep.side[TW_TOP], keep.side[TW_BOTTOM], narrowest,
               paper->kind == TW_ROLL))
        return offer.height - along;
    return 0;
}

/* A 24 in print on a 610 mm roll: 0.4 mm too narrow to be the paper, too wide to be cut off. */
static tw_code too_thin(const tw_job_data *job, const tw_order *line, const tw_fitted *fit,
                        tw_error *error) {
    const tw_paper *paper = &job->papers[line->paper_index];
    tw_size offer = offers(paper);
    char print[TW_SIZE_TEXT], seen[TW_LENGTH_TEXT], least[TW_LENGTH_TEXT];
    tw_nm narrowest = job->trimmer.narrowest_strip, strip = 0;
    for (int way = 0; way <= (tw_line_may_turn(job, line) ? 1 : 0); way++) {
        if (!fits(needs(paper, fit, way == 1), offer))
            continue;
        tw_nm thin = thin_strip(paper, fit, way == 1, narrowest);
        if (thin == 0)
            return TW_OK;
        strip = thin;
    }
    tw_fail(error, TW_INPUT, "strip-too-thin",
            "a print of %s leaves %s of paper \"%s\" beside it, too little to trim off: the "
            "trimmer takes strips of %s and more",
            tw_size_both(fit->size, print), tw_length_both(strip, seen), paper->name,
            tw_length_both(narrowest, least));
    tw_fail_hint(error, "choose another paper or size, or give trimmer.narrowest_strip what your "
                        "trimmer can hold");
    return TW_INPUT;
}

tw_code tw_refuse_pixels(const tw_job_data *job, const tw_order *line, const tw_fitted *fit,
                         tw_error *error) {
    int least = tw_line_resolution(job, line).refuse_below;
    int64_t ppi = tw_fit_ppi(fit);
    char size[TW_SIZE_TEXT];
    if (ppi >= (int64_t)least * 1000)
        return TW_OK;
    tw_fail(error, TW_INPUT, "too-few-pixels",
            "image \"%s\" has %lld.%lld ppi as a print of %s; at least %d ppi are asked for",
            line->image, (long long)(ppi / 1000), (long long)(ppi % 1000 / 100),
            tw_size_both(fit->size, size), least);
    tw_fail_hint(error, "use a larger file or a smaller print, or lower resolution.refuse_below");
    return TW_INPUT;
}

/* A kept piece longer than what is left on the roll. As paper it is a cut sheet of its own. */
static bool offcut_takes(const tw_job_data *job, const tw_order *line, const tw_fitted *fit) {
    const tw_paper *paper = &job->papers[line->paper_index];
    for (size_t i = 0; i < paper->offcut_count; i++) {
        tw_paper sheet = {.kind = TW_SHEETS,
                          .width = paper->offcuts[i].width,
                          .length = paper->offcuts[i].length,
                          .side = paper->side,
                          .lead = paper->lead,
                          .tail = paper->tail};
        for (int way = 0; way <= (tw_line_may_turn(job, line) ? 1 : 0); way++)
            if (fits(needs(&sheet, fit, way == 1), offers(&sheet)) &&
                thin_strip(&sheet, fit, way == 1, job->trimmer.narrowest_strip) == 0)
                return true;
    }
    return false;
}

tw_code tw_refuse_size(const tw_job_data *job, const tw_order *line, const tw_fitted *fit,
                       tw_error *error) {
    tw_error why = {.code = TW_OK};
    tw_code code = too_big(job, line, fit, &why);
    if (code == TW_OK)
        code = too_thin(job, line, fit, &why);
    if (code == TW_OK || offcut_takes(job, line, fit))
        return TW_OK;
    if (error != NULL)
        *error = why;
    return code;
}
