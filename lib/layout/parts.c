/*
 * Prints over several rolls: each roll takes, of what is still to be laid, what tw_layout_make lays
 * on it, served first comes first; the rest goes on to the next. Where one roll does not hold all,
 * the order of the rolls is tried out quickly and then laid with the effort asked for.
 */
#include "layout/parts.h"

#include <stdlib.h>
#include <string.h>

#include "layout/parts_inside.h"

enum { ORDERS_OF_THREE = 6, ORDERS_OF_TWO = 2, TRIED_MOST = 3 };

/* As given first: of equals the first is kept. */
static const unsigned char of_three[ORDERS_OF_THREE][TRIED_MOST] = {
    {0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};
static const unsigned char of_two[ORDERS_OF_TWO][TRIED_MOST] = {{0, 1}, {1, 0}};

/* ---------------------------------------------------------------- one roll after another */

static tw_code start_part(tw_arena *arena, const tw_filling *f, size_t roll, tw_part *part,
                          tw_piece **out, tw_error *error) {
    tw_piece *pieces = *out = tw_arena_array(arena, f->waiting_count, sizeof *pieces);
    size_t *list = tw_arena_array(arena, f->waiting_count, sizeof *list);
    if (pieces == NULL || list == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < f->waiting_count; i++) {
        list[i] = f->waiting[i];
        pieces[i] = f->problem->pieces[list[i]];
    }
    *part = (tw_part){.roll = roll, .offcut = SIZE_MAX, .pieces = list, .problem = *f->problem};
    part->problem.pieces = pieces;
    part->problem.count = f->waiting_count;
    if (roll > 0) { /* a foot of it costs what a foot of the first costs */
        tw_stock *stock = &part->problem.stock;
        stock->length = f->supply->further[roll - 1];
        stock->price = tw_scale(stock->price, stock->length, f->problem->stock.length);
    }
    return TW_OK;
}

/* A set lies one way on every roll, not only on one. */
static void bind_sets(const tw_filling *f, tw_part *part, tw_piece *pieces) {
    for (size_t i = 0; i < part->problem.count; i++) {
        unsigned char ways = f->ways[part->pieces[i]];
        if (pieces[i].alike < 0 || ways == 3)
            continue;
        pieces[i].may_turn = pieces[i].may_turn && ways == 2;
        pieces[i].must_turn = ways == 2;
    }
}

static void settle_set(const tw_filling *f, int set, unsigned char way) {
    for (size_t i = 0; i < f->problem->count; i++)
        if (f->problem->pieces[i].alike == set && f->ways[i] != 0)
            f->ways[i] = way;
}

/* The first roll that holds some of a set says how the rest of it lies, whatever was found when
 * the rolls were looked at in another order. */
static void learn_sets(const tw_filling *f, const tw_part *part) {
    for (size_t i = 0; i < part->layout.placed_count; i++) {
        size_t piece = part->pieces[part->layout.placed[i].piece];
        unsigned char way = part->layout.placed[i].turned ? 2 : 1;
        if (f->problem->pieces[piece].alike >= 0 && f->ways[piece] != way)
            settle_set(f, f->problem->pieces[piece].alike, way);
    }
}

static void free_sets(const tw_filling *f, tw_part *part, tw_piece *pieces) {
    for (size_t i = 0; i < part->problem.count; i++)
        pieces[i] = f->problem->pieces[part->pieces[i]];
}

/* Those the roll does not hold wait for the next; others would find no place on any. */
static void go_on(tw_filling *f, const tw_part *part, tw_parts *out) {
    f->waiting_count = 0;
    for (size_t i = 0; i < part->layout.left_count; i++) {
        const tw_left *left = &part->layout.left[i];
        size_t piece = part->pieces[left->piece];
        if (left->why == TW_LEFT_PAPER_USED)
            f->waiting[f->waiting_count++] = piece;
        else
            out->left[out->left_count++] = (tw_left){piece, left->why};
    }
}

/* Fillers alone are no reason to load a roll. */
static bool orders_wait(const tw_filling *f) {
    for (size_t i = 0; i < f->waiting_count; i++)
        if (!f->problem->pieces[f->waiting[i]].filler)
            return true;
    return false;
}

int64_t tw_quick_steps(const tw_layout_problem *problem) {
    int64_t asked = problem->settings.steps;
    return asked > 0 && asked < TW_STEPS_QUICK ? asked : TW_STEPS_QUICK;
}

void tw_filling_stop(tw_filling *f) {
    if (f->problem->settings.run != NULL)
        f->calm = *f->problem->settings.run;
    f->calm.cancelled = NULL;
    f->steps = tw_quick_steps(f->problem);
    f->stopped = true;
}

static tw_code fill_roll(tw_arena *arena, tw_filling *f, size_t roll, tw_parts *out,
                         tw_error *error) {
    tw_part part;
    tw_piece *pieces;
    tw_code code = start_part(arena, f, roll, &part, &pieces, error);
    if (code != TW_OK)
        return code;
    if (out->count + out->passed_count > 0) /* the first sees all of them, and binds them itself */
        bind_sets(f, &part, pieces);
    part.problem.settings.steps = f->steps;
    part.problem.settings.choices = f->problem->settings.choices && !f->looking;
    if (f->stopped)
        part.problem.settings.run = &f->calm;
    code = tw_layout_make(arena, &part.problem, &part.layout, error);
    if (code == TW_INPUT) {
        out->pin_fault = part.layout.pin_fault;
        out->pin_fault.piece = part.pieces[out->pin_fault.piece];
        out->pin_fault.other = part.pieces[out->pin_fault.other];
    }
    if (code != TW_OK)
        return code;
    learn_sets(f, &part);
    part.problem.settings.run = f->problem->settings.run;
    if (out->count + out->passed_count > 0)
        free_sets(f, &part, pieces);
    go_on(f, &part, out);
    if (part.layout.stopped_early && !f->stopped)
        tw_filling_stop(f);
    if (part.layout.sheet_count == 0)
        out->passed[out->passed_count++] = part;
    else
        out->items[out->count++] = part;
    out->used += part.layout.used;
    return TW_OK;
}

static tw_code start_filling(tw_arena *arena, tw_filling *f, tw_parts *out, tw_error *error) {
    size_t rolls = f->supply->further_count + 1;
    size_t pieces = f->problem->count;
    size_t most = rolls + f->supply->offcut_count;
    *out = (tw_parts){.items = tw_arena_array(arena, most, sizeof *out->items),
                      .passed = tw_arena_array(arena, rolls, sizeof *out->passed),
                      .left = tw_arena_array(arena, pieces, sizeof *out->left)};
    f->waiting = tw_arena_array(arena, pieces, sizeof *f->waiting);
    if (out->items == NULL || out->passed == NULL || out->left == NULL || f->waiting == NULL)
        return tw_no_memory(error);
    f->waiting_count = 0;
    for (size_t i = 0; i < pieces; i++)
        if (f->away == NULL || f->away[i] == 0)
            f->waiting[f->waiting_count++] = i;
    return TW_OK;
}

static int by_piece(const void *left, const void *right) {
    const tw_left *a = left;
    const tw_left *b = right;
    return (a->piece > b->piece) - (a->piece < b->piece);
}

static size_t roll_at(const unsigned char *order, size_t nth) {
    return order == NULL || nth >= TRIED_MOST ? nth : order[nth];
}

tw_code tw_fill_rolls(tw_arena *arena, tw_filling *f, const unsigned char *order, size_t rolls,
                      tw_parts *out, tw_error *error) {
    tw_code code = start_filling(arena, f, out, error);
    for (size_t i = 0; i < rolls && code == TW_OK; i++)
        if ((i == 0 && f->away == NULL) || orders_wait(f))
            code = fill_roll(arena, f, roll_at(order, i), out, error);
    if (code != TW_OK)
        return code;
    for (size_t i = 0; i < f->waiting_count; i++)
        out->left[out->left_count++] = (tw_left){f->waiting[i], TW_LEFT_PAPER_USED};
    if (out->left_count > 0)
        qsort(out->left, out->left_count, sizeof *out->left, by_piece);
    out->stopped_early = f->stopped;
    return TW_OK;
}

/* ---------------------------------------------------------------- which order is best */

/* The result of one order, in an arena of its own. */
typedef struct attempt {
    tw_arena *arena;
    tw_outcome outcome;
} attempt;

static int by_value(const void *left, const void *right) {
    int64_t a = *(const int64_t *)left;
    int64_t b = *(const int64_t *)right;
    return (a > b) - (a < b);
}

tw_code tw_outcome_make(tw_arena *arena, const tw_layout_problem *problem, const tw_parts *parts,
                        tw_outcome *out, tw_error *error) {
    *out = (tw_outcome){.used = parts->used,
                        .missed = tw_arena_array(arena, parts->left_count, sizeof *out->missed)};
    if (out->missed == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < parts->left_count; i++) {
        const tw_piece *piece = &problem->pieces[parts->left[i].piece];
        if (!piece->filler)
            out->missed[out->missed_count++] = piece->priority;
    }
    if (out->missed_count > 1)
        qsort(out->missed, out->missed_count, sizeof *out->missed, by_value);
    return TW_OK;
}

int tw_missed_compare(const int64_t *a, size_t a_count, const int64_t *b, size_t b_count) {
    for (size_t i = 0; i < a_count && i < b_count; i++)
        if (a[i] != b[i])
            return a[i] > b[i] ? -1 : 1;
    return (a_count > b_count) - (a_count < b_count);
}

bool tw_outcome_better(const tw_outcome *a, const tw_outcome *b) {
    int order = tw_missed_compare(a->missed, a->missed_count, b->missed, b->missed_count);
    return order < 0 || (order == 0 && a->used < b->used);
}

static tw_code try_order(const tw_allocator *allocator, tw_filling *f, const unsigned char *order,
                         attempt *out, tw_error *error) {
    tw_parts parts;
    *out = (attempt){.arena = tw_arena_new(allocator, 0)};
    if (out->arena == NULL)
        return tw_no_memory(error);
    tw_code code = tw_fill_rolls(out->arena, f, order, f->supply->further_count + 1, &parts, error);
    return code == TW_OK ? tw_outcome_make(out->arena, f->problem, &parts, &out->outcome, error)
                         : code;
}

/* Quick looks at every order. Asked to stop, the best so far. */
static tw_code choose_order(const tw_allocator *allocator, tw_filling *f,
                            const unsigned char **best, tw_error *error) {
    bool three = f->supply->further_count == 2;
    attempt kept = {0};
    tw_code code = TW_OK;
    f->steps = tw_quick_steps(f->problem);
    f->looking = true;
    for (int i = 0; i < (three ? ORDERS_OF_THREE : ORDERS_OF_TWO) && !f->stopped; i++) {
        const unsigned char *order = three ? of_three[i] : of_two[i];
        attempt now;
        code = try_order(allocator, f, order, &now, error);
        bool wins =
            code == TW_OK && (kept.arena == NULL || tw_outcome_better(&now.outcome, &kept.outcome));
        tw_arena_free(wins ? kept.arena : now.arena);
        if (wins) {
            kept = now;
            *best = order;
        }
        if (code == TW_INPUT) /* this roll does not hold the pins */
            code = TW_OK;
        if (code == TW_CANCELLED)
            tw_filling_stop(f);
        else if (code != TW_OK)
            break;
    }
    f->looking = false;
    tw_arena_free(kept.arena);
    return code == TW_CANCELLED ? TW_OK : code;
}

/* ---------------------------------------------------------------- all of it */

static int64_t asked_steps(const tw_layout_problem *problem) {
    return problem->settings.steps > 0 ? problem->settings.steps : TW_STEPS_NORMAL;
}

static bool misses_orders(const tw_layout_problem *problem, const tw_parts *parts) {
    for (size_t i = 0; i < parts->left_count; i++)
        if (parts->left[i].why == TW_LEFT_PAPER_USED &&
            !problem->pieces[parts->left[i].piece].filler)
            return true;
    return false;
}

/* What one roll holds takes the same paper on any other, so only the first is looked at. */
tw_code tw_fill_best(tw_arena *arena, tw_filling *f, tw_parts *out, tw_error *error) {
    const unsigned char *order = NULL;
    size_t rolls = f->supply->further_count + 1;
    f->steps = f->stopped ? tw_quick_steps(f->problem) : asked_steps(f->problem);
    tw_code code = tw_fill_rolls(arena, f, NULL, 1, out, error);
    if (code != TW_OK || rolls == 1 || !misses_orders(f->problem, out))
        return code;
    if (rolls <= TRIED_MOST && !f->stopped)
        code = choose_order(tw_arena_allocator(arena), f, &order, error);
    f->steps = f->stopped ? tw_quick_steps(f->problem) : asked_steps(f->problem);
    return code == TW_OK ? tw_fill_rolls(arena, f, order, rolls, out, error) : code;
}

tw_code tw_parts_make(tw_arena *arena, const tw_layout_problem *problem, const tw_supply *supply,
                      tw_parts *out, tw_error *error) {
    tw_filling f = {.problem = problem, .supply = supply};
    tw_code code = tw_piece_ways(arena, problem, &f.ways, error);
    if (code == TW_OK)
        code = tw_fill_best(arena, &f, out, error);
    if (code == TW_OK && supply->offcut_count > 0)
        code = tw_parts_offcuts(arena, &f, out, error);
    return code == TW_OK ? tw_parts_bound(tw_arena_allocator(arena), problem, supply, out, error)
                         : code;
}
