/*
 * How a print may lie on its paper: the distances its trim keeps from the paper's edges, whether
 * it may turn, and the refusals that follow - too big either way, too few pixels.
 *
 * A white border may lie on the margin and use the paper's own edge; only ink keeps the margin.
 * So a side keeps what its visible border lacks of the margin, and nothing more.
 */
#include "prints/parts.h"

static tw_nm larger(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

tw_sides tw_print_keep(const tw_paper *paper, const tw_fitted *fit, bool turned) {
    tw_sides visible = turned ? tw_sides_turned(fit->visible) : fit->visible;
    tw_sides keep = {{[TW_TOP] = paper->lead,
                      [TW_RIGHT] = paper->side,
                      [TW_BOTTOM] = paper->tail,
                      [TW_LEFT] = paper->side}};
    for (int side = 0; side < 4; side++)
        keep.side[side] = larger(0, keep.side[side] - visible.side[side]);
    if (paper->kind == TW_ROLL) {
        keep.side[TW_LEFT] = larger(keep.side[TW_LEFT], paper->edge_trim);
        keep.side[TW_RIGHT] = larger(keep.side[TW_RIGHT], paper->edge_trim);
    }
    return keep;
}

bool tw_line_may_turn(const tw_job_data *job, const tw_order *line) {
    const tw_paper *paper = &job->papers[line->paper_index];
    if (job->templates[line->template_index].lie_upright)
        return false;
    return paper->turn == TW_UNSET ? job->turn : paper->turn == TW_YES;
}

tw_resolution tw_line_resolution(const tw_job_data *job, const tw_order *line) {
    tw_resolution its = job->papers[line->paper_index].resolution;
    return (tw_resolution){
        its.warn_below != 0 ? its.warn_below : job->resolution.warn_below,
        its.refuse_below != 0 ? its.refuse_below : job->resolution.refuse_below,
    };
}

int64_t tw_fit_ppi(const tw_fitted *fit) {
    return fit->ppi_x < fit->ppi_y ? fit->ppi_x : fit->ppi_y;
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
 * PDF's page does, and so does a roll shorter than what the print and the machine consume. */
static tw_size offers(const tw_paper *paper) {
    tw_nm length = paper->length;
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

static tw_code too_few_pixels(const tw_job_data *job, const tw_order *line, const tw_fitted *fit,
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

tw_code tw_line_refuse(const tw_job_data *job, const tw_order *line, const tw_fitted *fit,
                       tw_error *error) {
    tw_code code = too_big(job, line, fit, error);
    return code != TW_OK ? code : too_few_pixels(job, line, fit, error);
}
