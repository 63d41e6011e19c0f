/*
 * How a piece may lie on its paper: keep distances, gaps, the page a sheet gets. Pure arithmetic
 * on nanometres, used by everything that lays out (see pieces.h).
 */
#include "layout/pieces.h"

tw_nm tw_raised(tw_nm distance, tw_nm narrowest) {
    if (distance <= 0)
        return 0;
    return distance < narrowest ? narrowest : distance;
}

bool tw_strip_ok(tw_nm width, tw_nm narrowest) {
    return width == 0 || width >= narrowest;
}

static tw_nm larger(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

/* Only ink keeps the paper's margin: a white border may lie on it, a picture that bleeds
 * (visible < 0) stays away by its bleed as well. Strips added for marks are white paper, so they
 * count towards the margin instead of adding to it. */
tw_sides tw_piece_keep(const tw_stock *stock, const tw_layout_settings *settings,
                       const tw_piece *piece, bool turned) {
    tw_sides visible = turned ? tw_sides_turned(piece->visible) : piece->visible;
    tw_nm trim = stock->roll ? stock->edge_trim : 0;
    tw_sides keep;
    keep.side[TW_TOP] = larger(stock->lead - visible.side[TW_TOP], settings->strip_lead);
    keep.side[TW_BOTTOM] = larger(stock->tail - visible.side[TW_BOTTOM], settings->strip_tail);
    keep.side[TW_LEFT] = larger(stock->side - visible.side[TW_LEFT], trim);
    keep.side[TW_RIGHT] = larger(stock->side - visible.side[TW_RIGHT], trim);
    for (int side = 0; side < 4; side++)
        keep.side[side] = tw_raised(keep.side[side], settings->narrowest_strip);
    return keep;
}

tw_nm tw_gap(const tw_layout_settings *settings, tw_nm bleed_a, tw_nm bleed_b) {
    return tw_raised(larger(settings->gutter, bleed_a + bleed_b), settings->narrowest_strip);
}

/* The shortest page of the list that holds this; the waste is at the tail, or at both ends where it
 * would be too thin to cut off there. */
static tw_nm page_of_list(const tw_layout_problem *problem, const tw_page_need *need, tw_nm *start,
                          tw_nm *rest) {
    const tw_stock *stock = &problem->stock;
    for (int i = 0; i < stock->sheet_length_count; i++) {
        tw_nm tail = stock->sheet_lengths[i] - need->lead - need->inner;
        if (tail < need->tail)
            continue;
        bool clamps = tw_strip_ok(tail, problem->settings.narrowest_strip);
        if (!clamps && need->lead == 0)
            continue;
        *start += clamps ? 0 : tail - need->tail;
        *rest = clamps ? tail : need->tail;
        return stock->sheet_lengths[i];
    }
    return -1;
}

static tw_nm page_of_roll(const tw_layout_problem *problem, const tw_page_need *need, tw_nm *rest) {
    const tw_stock *stock = &problem->stock;
    tw_nm tail = larger(need->tail, stock->shortest_sheet - need->lead - need->inner);
    tail = tw_raised(tail, problem->settings.narrowest_strip);
    tw_nm page = need->lead + need->inner + tail;
    if (stock->sheet_most > 0 && page > stock->sheet_most)
        return -1;
    if (!need->single && stock->longest_sheet > 0 && page > stock->longest_sheet)
        return -1;
    *rest = tail;
    return page;
}

/* The page is the whole sheet. A leftover too thin to cut off joins the waste at one end, or
 * there is no page. */
static tw_nm page_of_sheet(const tw_layout_problem *problem, const tw_page_need *need, tw_nm *start,
                           tw_nm *rest) {
    tw_nm narrowest = problem->settings.narrowest_strip;
    tw_nm free = problem->stock.length - need->lead - need->inner - need->tail;
    if (free < 0)
        return -1;
    if (tw_strip_ok(need->tail + free, narrowest)) {
        *rest = need->tail + free;
    } else if (need->lead > 0) {
        *start += free;
        *rest = need->tail;
    } else {
        return -1;
    }
    return problem->stock.length;
}

tw_nm tw_page_length(const tw_layout_problem *problem, const tw_page_need *need, tw_nm *start,
                     tw_nm *rest) {
    *start = need->lead;
    if (!problem->stock.roll)
        return page_of_sheet(problem, need, start, rest);
    if (problem->stock.sheet_length_count > 0)
        return page_of_list(problem, need, start, rest);
    return page_of_roll(problem, need, rest);
}

/* Alone across the roll: both distances at least what is kept, and no strip too thin to cut. */
static bool fits_across(const tw_layout_problem *problem, const tw_lie *lie) {
    tw_nm low = lie->keep.side[TW_LEFT];
    tw_nm high = lie->keep.side[TW_RIGHT];
    tw_nm free = problem->stock.width - lie->width - low - high;
    return free >= 0 &&
           (low > 0 || high > 0 || tw_strip_ok(free, problem->settings.narrowest_strip));
}

tw_lie tw_piece_lie(const tw_layout_problem *problem, const tw_piece *piece, bool turned) {
    tw_lie lie = {.width = turned ? piece->height : piece->width,
                  .height = turned ? piece->width : piece->height,
                  .keep = tw_piece_keep(&problem->stock, &problem->settings, piece, turned),
                  .bleed = turned ? tw_sides_turned(piece->bleed) : piece->bleed};
    if (turned ? !(piece->may_turn && problem->settings.turn) : piece->must_turn)
        return lie;
    tw_page_need need = {lie.keep.side[TW_TOP], lie.height, lie.keep.side[TW_BOTTOM], true};
    tw_nm start;
    tw_nm rest;
    lie.may = fits_across(problem, &lie) && tw_page_length(problem, &need, &start, &rest) >= 0;
    return lie;
}

tw_nm tw_common_measure(tw_nm a, tw_nm b) {
    while (b != 0) {
        tw_nm rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

void tw_endless(const tw_layout_problem *problem, tw_nm dear, tw_run *quiet,
                tw_layout_problem *out) {
    *quiet = problem->settings.run == NULL ? (tw_run){0} : *problem->settings.run;
    quiet->progress = NULL;
    *out = *problem;
    out->settings.run = quiet;
    out->settings.keep_together = 0;
    out->settings.choices = false;
    out->stock.price = 0;
    if (out->stock.roll) {
        out->stock.lost_each_sheet += dear;
        out->stock.length = INT64_MAX / 4;
    } else {
        out->stock.count = (int64_t)problem->count;
    }
}

bool tw_run_cancelled(const tw_run *run) {
    return run != NULL && run->cancelled != NULL && run->cancelled(run->context);
}

void tw_run_progress(const tw_run *run, const char *doing, uint64_t done, uint64_t total) {
    if (run != NULL && run->progress != NULL)
        run->progress(run->context, doing, done, total);
}
