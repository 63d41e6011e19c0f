/*
 * The referee on prints that lie on several rolls and offcuts: what no roll's own check can see.
 * Like the rest of the referee it shares nothing with what it judges.
 */
#include "layout/parts.h"
#include "layout/referee.h"

#include <stdlib.h>

typedef struct bench {
    tw_judge judge; /* of the whole problem; its layout and cuts are not looked at */
    const tw_supply *supply;
    const tw_parts *parts;
    bool *used; /* of each roll, then of each offcut */
} bench;

static tw_nm length_of(const bench *b, size_t roll) {
    return roll == 0 ? b->judge.problem->stock.length : b->supply->further[roll - 1];
}

static bool same_piece(const tw_piece *a, const tw_piece *b) {
    return a->width == b->width && a->height == b->height && a->may_turn == b->may_turn &&
           a->priority == b->priority && a->filler == b->filler && a->image == b->image;
}

/* Which piece of paper it is: rolls first, then offcuts; SIZE_MAX where there is none such. */
static size_t place_of(const bench *b, const tw_part *part) {
    size_t rolls = b->supply->further_count + 1;
    if (part->offcut == SIZE_MAX)
        return part->roll < rolls ? part->roll : SIZE_MAX;
    return part->offcut < b->supply->offcut_count ? rolls + part->offcut : SIZE_MAX;
}

/* An offcut is a cut sheet: margins as the paper's, nothing lost, no edge to trim. */
static tw_stock offcut_stock(const bench *b, size_t offcut) {
    const tw_stock *whole = &b->judge.problem->stock;
    return (tw_stock){.width = b->supply->offcuts[offcut].width,
                      .length = b->supply->offcuts[offcut].height,
                      .count = 1,
                      .side = whole->side,
                      .lead = whole->lead,
                      .tail = whole->tail,
                      .sheet_most = whole->sheet_most};
}

static bool same_stock(const tw_stock *a, const tw_stock *b) {
    return a->roll == b->roll && a->width == b->width && a->length == b->length &&
           a->count == b->count && a->side == b->side && a->lead == b->lead && a->tail == b->tail &&
           a->edge_trim == b->edge_trim && a->lost_each_load == b->lost_each_load &&
           a->lost_each_sheet == b->lost_each_sheet && a->lost_core_end == b->lost_core_end;
}

/* The part lies on a piece of paper of its own and is about pieces of the whole. */
static tw_code judge_part(bench *b, const tw_part *part, tw_error *error) {
    const tw_layout_problem *whole = b->judge.problem;
    size_t place = place_of(b, part);
    tw_stock stock = whole->stock;
    if (place == SIZE_MAX || b->used[place])
        return tw_fail(error, TW_BUG, TW_WRONG "roll or offcut %zu is used twice or unknown",
                       place + 1);
    b->used[place] = true;
    if (part->offcut != SIZE_MAX)
        stock = offcut_stock(b, part->offcut);
    else
        stock.length = length_of(b, part->roll);
    if (!same_stock(&stock, &part->problem.stock))
        return tw_fail(error, TW_BUG, TW_WRONG "roll or offcut %zu is not what the paper says",
                       place + 1);
    for (size_t i = 0; i < part->problem.count; i++)
        if (part->pieces[i] >= whole->count ||
            !same_piece(&part->problem.pieces[i], &whole->pieces[part->pieces[i]]))
            return tw_fail(error, TW_BUG,
                           TW_WRONG "piece %zu of roll or offcut %zu is not the job's", i,
                           place + 1);
    return TW_OK;
}

static tw_code mark(bench *b, size_t piece, int state, tw_error *error) {
    if (piece >= b->judge.problem->count || b->judge.state[piece] != 0)
        return tw_fail(error, TW_BUG, TW_WRONG "piece %zu is on two rolls or listed twice", piece);
    b->judge.state[piece] = state;
    return TW_OK;
}

static tw_code judge_pieces(bench *b, tw_error *error) {
    tw_code code = TW_OK;
    for (size_t i = 0; i < b->parts->count; i++) {
        const tw_part *part = &b->parts->items[i];
        for (size_t k = 0; k < part->layout.placed_count && code == TW_OK; k++)
            code = mark(b, part->pieces[part->layout.placed[k].piece], 1, error);
    }
    for (size_t i = 0; i < b->parts->left_count && code == TW_OK; i++)
        code = mark(b, b->parts->left[i].piece, 2, error);
    for (size_t i = 0; i < b->judge.problem->count && code == TW_OK; i++)
        if (b->judge.state[i] == 0)
            code = tw_fail(error, TW_BUG,
                           TW_WRONG "piece %zu is on no roll or offcut and not left out", i);
    return code;
}

/* A set lies one way on all rolls. */
static tw_code judge_sets(const bench *b, tw_error *error) {
    size_t count = 0;
    tw_judge_way *all = tw_arena_array(b->judge.arena, b->judge.problem->count, sizeof *all);
    if (all == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < b->parts->count; i++) {
        const tw_part *part = &b->parts->items[i];
        for (size_t k = 0; k < part->layout.placed_count; k++) {
            const tw_placed *at = &part->layout.placed[k];
            if (part->problem.pieces[at->piece].alike >= 0)
                all[count++] = (tw_judge_way){part->problem.pieces[at->piece].alike, at->turned};
        }
    }
    return tw_judge_ways(all, count, " on all rolls", error);
}

/* An offcut not used that would take this piece alone. */
static tw_code judge_offcuts(const bench *b, size_t piece, tw_error *error) {
    tw_layout_problem sheet = *b->judge.problem;
    for (size_t i = 0; i < b->supply->offcut_count; i++) {
        sheet.stock = offcut_stock(b, i);
        bool fits = tw_judge_alone(&sheet, &sheet.pieces[piece], false) >= 0 ||
                    tw_judge_alone(&sheet, &sheet.pieces[piece], true) >= 0;
        if (fits && !b->used[b->supply->further_count + 1 + i])
            return tw_fail(error, TW_BUG,
                           TW_WRONG "piece %zu is left out, but offcut %zu has room for it", piece,
                           i + 1);
    }
    return TW_OK;
}

/* A roll not used that would take this piece alone; what used rolls could take is for their own
 * check. A piece of a set may not lie as it likes. */
static tw_code judge_left(const bench *b, size_t piece, tw_error *error) {
    const tw_piece *left = &b->judge.problem->pieces[piece];
    const tw_layout_problem *whole = b->judge.problem;
    const tw_stock *stock = &whole->stock;
    if (left->alike >= 0 || left->pin_sheet >= 0 || (!stock->roll && stock->count == 0))
        return TW_OK;
    tw_nm lost = stock->lost_each_load + stock->lost_each_sheet + stock->lost_core_end;
    for (int turned = 0; turned < 2; turned++) {
        tw_nm page = tw_judge_alone(whole, &whole->pieces[piece], turned == 1);
        for (size_t roll = 0; page >= 0 && roll <= b->supply->further_count; roll++)
            if (!b->used[roll] && page + lost <= length_of(b, roll))
                return tw_fail(error, TW_BUG,
                               TW_WRONG "piece %zu is left out, but roll %zu has paper for it",
                               piece, roll + 1);
    }
    return judge_offcuts(b, piece, error);
}

static tw_code judge_totals(const bench *b, tw_error *error) {
    tw_nm used = 0;
    for (size_t i = 0; i < b->parts->count; i++)
        used += b->parts->items[i].offcut == SIZE_MAX ? b->parts->items[i].layout.used : 0;
    if (used != b->parts->used || b->parts->bound < 0 || b->parts->bound > used)
        return tw_fail(error, TW_BUG,
                       TW_WRONG "the rolls' totals are not what the rolls add up to");
    return TW_OK;
}

static tw_code judge_all(bench *b, tw_error *error) {
    const tw_layout_problem *whole = b->judge.problem;
    const tw_parts *parts = b->parts;
    tw_code code = TW_OK;
    b->used = tw_arena_array(b->judge.arena, b->supply->further_count + 1 + b->supply->offcut_count,
                             sizeof *b->used);
    b->judge.state = tw_arena_array(b->judge.arena, whole->count, sizeof *b->judge.state);
    if (b->used == NULL || b->judge.state == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < parts->count && code == TW_OK; i++)
        code = judge_part(b, &parts->items[i], error);
    if (code == TW_OK)
        code = judge_pieces(b, error);
    for (size_t i = 0; i < parts->left_count && code == TW_OK; i++)
        if (parts->left[i].why == TW_LEFT_PAPER_USED && !whole->pieces[parts->left[i].piece].filler)
            code = judge_left(b, parts->left[i].piece, error);
    if (code == TW_OK)
        code = tw_judge_turns(&b->judge, error);
    if (code == TW_OK)
        code = judge_sets(b, error);
    return code == TW_OK ? judge_totals(b, error) : code;
}

tw_code tw_referee_parts(const tw_layout_problem *problem, const tw_supply *supply,
                         const tw_parts *parts, tw_error *error) {
    const tw_run *run = problem->settings.run;
    bench b = {.judge = {.problem = problem}, .supply = supply, .parts = parts};
    b.judge.arena = tw_arena_new(run == NULL ? NULL : run->allocator, 0);
    if (b.judge.arena == NULL)
        return tw_no_memory(error);
    tw_code code = judge_all(&b, error);
    tw_arena_free(b.judge.arena);
    return code;
}
