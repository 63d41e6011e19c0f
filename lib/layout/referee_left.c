/*
 * The referee on what was left out: too big only where it is, too many bytes only where they are,
 * paper used up only where none is left for it, and never one of two equals before the other is
 * due.
 */
#include "layout/referee.h"

#include <stdlib.h>

/* Along one direction a piece of `size` keeps `low` and `high` in `room`: can what is left over be
 * parted into strips that can be cut off? */
static bool fits_between(tw_nm room, tw_nm size, tw_nm low, tw_nm high, tw_nm narrowest) {
    tw_nm over = room - size - low - high;
    if (over < 0)
        return false;
    bool has_waste = low > 0 || high > 0; /* which can take any leftover in */
    return over == 0 || over >= narrowest || has_waste;
}

static tw_nm roll_page(const tw_stock *stock, tw_nm narrowest, const tw_seen *s) {
    tw_nm page = s->need[0] + (s->bottom - s->top) + s->need[2];
    if (page < stock->shortest_sheet) {
        tw_nm tail = stock->shortest_sheet - s->need[0] - (s->bottom - s->top);
        page = tail < narrowest ? stock->shortest_sheet + narrowest - tail : stock->shortest_sheet;
    }
    return stock->sheet_most > 0 && page > stock->sheet_most ? -1 : page;
}

/* With a list of lengths: the shortest of them that holds the piece with its waste cuttable. */
static tw_nm listed_page(const tw_stock *stock, tw_nm narrowest, const tw_seen *s) {
    for (int i = 0; i < stock->sheet_length_count; i++)
        if (fits_between(stock->sheet_lengths[i], s->bottom - s->top, s->need[0], s->need[2],
                         narrowest))
            return stock->sheet_lengths[i];
    return -1;
}

tw_nm tw_judge_alone(const tw_layout_problem *problem, const tw_piece *piece, bool turned) {
    const tw_stock *stock = &problem->stock;
    tw_nm narrowest = problem->settings.narrowest_strip;
    if (turned ? !piece->may_turn || !problem->settings.turn : piece->must_turn)
        return -1;
    tw_seen s = tw_judge_see(problem, piece, turned, 0, 0);
    if (!fits_between(stock->width, s.right, s.need[3], s.need[1], narrowest))
        return -1;
    if (stock->roll && stock->sheet_length_count > 0)
        return listed_page(stock, narrowest, &s);
    if (stock->roll)
        return roll_page(stock, narrowest, &s);
    return fits_between(stock->length, s.bottom, s.need[0], s.need[2], narrowest) ? stock->length
                                                                                  : -1;
}

static tw_nm least_page(const tw_layout_problem *problem, const tw_piece *piece) {
    tw_nm upright = tw_judge_alone(problem, piece, false);
    tw_nm turned = tw_judge_alone(problem, piece, true);
    if (upright < 0 || (turned >= 0 && turned < upright))
        return turned;
    return upright;
}

static bool paper_left_for(const tw_judge *j, tw_nm page) {
    const tw_stock *stock = &j->problem->stock;
    if (!stock->roll)
        return j->layout->sheet_count < stock->count;
    tw_nm used = j->layout->used + page + stock->lost_each_sheet;
    if (j->layout->sheet_count == 0)
        used += stock->lost_each_load + stock->lost_core_end;
    return used <= stock->length;
}

static tw_code judge_reason(const tw_judge *j, const tw_left *left, tw_error *error) {
    const tw_piece *piece = &j->problem->pieces[left->piece];
    int64_t bytes_most = j->problem->settings.sheet_bytes_most;
    if (piece->pin_sheet >= 0)
        return tw_fail(error, TW_BUG, TW_WRONG "piece %zu is pinned to sheet %d and left out",
                       left->piece, piece->pin_sheet + 1);
    bool too_many = bytes_most > 0 && piece->bytes > bytes_most;
    tw_nm page = least_page(j->problem, piece);
    if ((left->why == TW_LEFT_TOO_MANY_BYTES) != (too_many && page >= 0))
        return tw_fail(error, TW_BUG,
                       TW_WRONG "piece %zu has %lld bytes of %lld a sheet may hold, which is not "
                                "why it is said to be left out",
                       left->piece, (long long)piece->bytes, (long long)bytes_most);
    if (left->why == TW_LEFT_TOO_BIG && page >= 0 && piece->alike < 0)
        return tw_fail(error, TW_BUG,
                       TW_WRONG "piece %zu is left out as too big, but it fits its paper",
                       left->piece);
    if (left->why != TW_LEFT_PAPER_USED || piece->filler || piece->alike >= 0)
        return TW_OK;
    if (page < 0)
        return tw_fail(error, TW_BUG,
                       TW_WRONG "piece %zu is too big, not left out because paper is used up",
                       left->piece);
    if (paper_left_for(j, page))
        return tw_fail(error, TW_BUG, TW_WRONG "piece %zu is left out, but there is paper for it",
                       left->piece);
    return TW_OK;
}

/* ---------------------------------------------------------------- equals are served in turn */

typedef struct turn {
    const tw_piece *piece;
    size_t index;
    int state;
} turn;

static int compare(int64_t a, int64_t b) {
    return (a > b) - (a < b);
}

static int compare_pieces(const tw_piece *a, const tw_piece *b) {
    const int64_t left[] = {a->width, a->height, a->may_turn, a->must_turn, a->group,
                            a->alike, a->filler, a->image,    a->bytes};
    const int64_t right[] = {b->width, b->height, b->may_turn, b->must_turn, b->group,
                             b->alike, b->filler, b->image,    b->bytes};
    for (size_t i = 0; i < sizeof left / sizeof *left; i++)
        if (left[i] != right[i])
            return compare(left[i], right[i]);
    for (int side = 0; side < 4; side++) {
        if (a->visible.side[side] != b->visible.side[side])
            return compare(a->visible.side[side], b->visible.side[side]);
        if (a->bleed.side[side] != b->bleed.side[side])
            return compare(a->bleed.side[side], b->bleed.side[side]);
    }
    return 0;
}

static int by_turn(const void *left, const void *right) {
    const turn *a = left;
    const turn *b = right;
    int order = compare_pieces(a->piece, b->piece);
    if (order == 0)
        order = compare(a->piece->priority, b->piece->priority);
    return order == 0 ? (a->index > b->index) - (a->index < b->index) : order;
}

tw_code tw_judge_turns(const tw_judge *j, tw_error *error) {
    size_t count = 0;
    turn *turns = tw_arena_array(j->arena, j->problem->count, sizeof *turns);
    if (turns == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < j->problem->count; i++)
        if (j->problem->pieces[i].pin_sheet < 0)
            turns[count++] = (turn){&j->problem->pieces[i], i, j->state[i]};
    if (count > 0)
        qsort(turns, count, sizeof *turns, by_turn);
    for (size_t i = 1; i < count; i++)
        if (turns[i - 1].state == 2 && turns[i].state == 1 &&
            compare_pieces(turns[i - 1].piece, turns[i].piece) == 0)
            return tw_fail(error, TW_BUG,
                           TW_WRONG "piece %zu is left out, but piece %zu, its equal and served "
                                    "after it, is placed",
                           turns[i - 1].index, turns[i].index);
    return TW_OK;
}

tw_code tw_judge_left(const tw_judge *j, tw_error *error) {
    tw_code code = TW_OK;
    for (size_t i = 0; i < j->layout->left_count && code == TW_OK; i++)
        code = judge_reason(j, &j->layout->left[i], error);
    return code == TW_OK && j->layout->left_count > 0 ? tw_judge_turns(j, error) : code;
}
