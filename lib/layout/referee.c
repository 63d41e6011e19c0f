/*
 * The referee's first part: every piece is placed once or left out, the lists are in order, and
 * the totals are what the sheets add up to.
 */
#include "layout/referee.h"

#include <string.h>

static tw_code mark(const tw_judge *j, size_t piece, int state, tw_error *error) {
    if (piece >= j->problem->count)
        return tw_fail(error, TW_BUG, TW_WRONG "there is no piece %zu, only %zu", piece,
                       j->problem->count);
    if (j->state[piece] != 0)
        return tw_fail(error, TW_BUG, TW_WRONG "piece %zu is listed twice", piece);
    j->state[piece] = state;
    return TW_OK;
}

static tw_code judge_lists(const tw_judge *j, tw_error *error) {
    const tw_layout *layout = j->layout;
    tw_code code = TW_OK;
    for (size_t i = 0; i < layout->placed_count && code == TW_OK; i++)
        code = mark(j, layout->placed[i].piece, 1, error);
    for (size_t i = 0; i < layout->left_count && code == TW_OK; i++) {
        code = mark(j, layout->left[i].piece, 2, error);
        if (code == TW_OK && i > 0 && layout->left[i - 1].piece >= layout->left[i].piece)
            code = tw_fail(error, TW_BUG, TW_WRONG "the pieces left out are not in order");
    }
    for (size_t i = 0; i < j->problem->count && code == TW_OK; i++)
        if (j->state[i] == 0)
            code = tw_fail(error, TW_BUG, TW_WRONG "piece %zu is neither placed nor left out", i);
    return code;
}

static bool in_order(const tw_placed *a, const tw_placed *b) {
    if (a->sheet != b->sheet)
        return a->sheet < b->sheet;
    if (a->y != b->y)
        return a->y < b->y;
    return a->x != b->x ? a->x < b->x : a->piece < b->piece;
}

/* Sheets are numbered without a hole, and none is empty. */
static tw_code judge_sheets(const tw_judge *j, tw_error *error) {
    const tw_layout *layout = j->layout;
    int sheet = -1;
    for (size_t i = 0; i < layout->placed_count; i++) {
        int now = layout->placed[i].sheet;
        if (i > 0 && now >= layout->placed[i - 1].sheet &&
            !in_order(&layout->placed[i - 1], &layout->placed[i]))
            return tw_fail(error, TW_BUG, TW_WRONG "the prints placed are not in order");
        if (now < 0 || now >= layout->sheet_count || now < sheet || now > sheet + 1)
            return tw_fail(error, TW_BUG, TW_WRONG "sheet %d follows sheet %d of %d", now + 1,
                           sheet + 1, layout->sheet_count);
        if (now > sheet)
            j->first[now] = i;
        sheet = now;
    }
    if (sheet + 1 != layout->sheet_count)
        return tw_fail(error, TW_BUG, TW_WRONG "sheet %d of %d holds no print", sheet + 2,
                       layout->sheet_count);
    j->first[layout->sheet_count] = layout->placed_count;
    return TW_OK;
}

static tw_nm sum_used(const tw_judge *j) {
    const tw_stock *stock = &j->problem->stock;
    tw_nm sum = 0;
    for (int i = 0; i < j->layout->sheet_count; i++)
        sum += j->layout->sheet_length[i];
    if (stock->roll && j->layout->sheet_count > 0)
        sum += j->layout->sheet_count * stock->lost_each_sheet + stock->lost_each_load +
               stock->lost_core_end;
    return sum;
}

static tw_code judge_totals(const tw_judge *j, tw_error *error) {
    const tw_layout *layout = j->layout;
    const tw_stock *stock = &j->problem->stock;
    char is[TW_LENGTH_TEXT];
    char says[TW_LENGTH_TEXT];
    tw_nm used = sum_used(j);
    if (layout->used != used)
        return tw_fail(error, TW_BUG,
                       TW_WRONG "it says %s mm of paper are used, the sheets take %s",
                       tw_mm_exact(layout->used, says), tw_mm_exact(used, is));
    if (stock->roll && used > stock->length)
        return tw_fail(error, TW_BUG, TW_WRONG "it uses %s mm of a roll of %s mm",
                       tw_mm_exact(used, says), tw_mm_exact(stock->length, is));
    if (!stock->roll && layout->sheet_count > stock->count)
        return tw_fail(error, TW_BUG, TW_WRONG "it uses %d sheets of %lld", layout->sheet_count,
                       (long long)stock->count);
    if (layout->bound < 0 || layout->bound > used)
        return tw_fail(error, TW_BUG, TW_WRONG "it uses %s mm, less than the bound of %s mm",
                       tw_mm_exact(used, says), tw_mm_exact(layout->bound, is));
    return TW_OK;
}

static tw_code start(tw_judge *j, tw_error *error) {
    if (j->layout->sheet_count < 0) {
        tw_fail(error, TW_BUG, TW_WRONG "it has %d sheets", j->layout->sheet_count);
        return TW_BUG;
    }
    j->state = tw_arena_array(j->arena, j->problem->count, sizeof *j->state);
    j->seen = tw_arena_array(j->arena, j->layout->placed_count, sizeof *j->seen);
    j->first = tw_arena_array(j->arena, (size_t)j->layout->sheet_count + 1, sizeof *j->first);
    if (j->state == NULL || j->seen == NULL || j->first == NULL) {
        tw_no_memory(error);
        return TW_MEMORY;
    }
    return TW_OK;
}

static tw_code judge_all(tw_judge *j, tw_error *error) {
    tw_code code = start(j, error);
    if (code == TW_OK)
        code = judge_lists(j, error);
    if (code == TW_OK)
        code = judge_sheets(j, error);
    if (code == TW_OK)
        code = tw_judge_places(j, error);
    if (code == TW_OK)
        code = judge_totals(j, error);
    if (code == TW_OK)
        code = tw_judge_fillers(j, error);
    if (code == TW_OK)
        code = tw_judge_left(j, error);
    if (code == TW_OK && j->cuts != NULL)
        code = tw_judge_cuts(j, error);
    return code;
}

tw_code tw_referee_check(const tw_layout_problem *problem, const tw_layout *layout,
                         const tw_cuts *cuts, tw_error *error) {
    const tw_run *run = problem->settings.run;
    tw_judge judge = {.problem = problem, .layout = layout, .cuts = cuts};
    judge.arena = tw_arena_new(run == NULL ? NULL : run->allocator, 0);
    if (judge.arena == NULL)
        return tw_no_memory(error);
    tw_code code = judge_all(&judge, error);
    tw_arena_free(judge.arena);
    return code;
}
