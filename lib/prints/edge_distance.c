/*
 * How a print may lie on its paper: the distances its trim keeps from the paper's edges, whether
 * it may turn, and the resolution asked of it.
 *
 * A white border may lie on the margin and use the paper's own edge; only ink keeps the margin.
 * So a side keeps what its visible border lacks of the margin, and nothing more.
 */
#include "prints/making.h"

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
    if (its.warn_below == 0)
        its.warn_below = job->resolution.warn_below;
    if (its.refuse_below == 0)
        its.refuse_below = job->resolution.refuse_below;
    return its;
}

int64_t tw_fit_ppi(const tw_fitted *fit) {
    return fit->ppi_x < fit->ppi_y ? fit->ppi_x : fit->ppi_y;
}
