/*
 * A day with pins: matched in a layout made without them, or built round them (see pins.h).
 */
#include "layout/pins.h"

#include "layout/pack.h"

#include <stdlib.h>
#include <string.h>

bool tw_has_pins(const tw_layout_problem *problem) {
    for (size_t i = 0; i < problem->count; i++)
        if (problem->pieces[i].pin_sheet >= 0)
            return true;
    return false;
}

int tw_pins_number(const tw_pins *pins, int at) {
    return pins->problem->pieces[pins->list[pins->first[at]]].pin_sheet;
}

/* ---------------------------------------------------------------- the list of them */

typedef struct pinned {
    const tw_piece *piece;
    size_t index;
} pinned;

static int compare_pins(const tw_piece *a, const tw_piece *b) {
    const int64_t left[] = {a->pin_sheet, a->pinned_place, a->pin_y, a->pin_x, a->pin_turned};
    const int64_t right[] = {b->pin_sheet, b->pinned_place, b->pin_y, b->pin_x, b->pin_turned};
    for (size_t i = 0; i < sizeof left / sizeof *left; i++)
        if (left[i] != right[i])
            return left[i] < right[i] ? -1 : 1;
    return 0;
}

static int by_sheet(const void *left, const void *right) {
    const pinned *a = left, *b = right;
    if (a->piece->pin_sheet != b->piece->pin_sheet)
        return a->piece->pin_sheet < b->piece->pin_sheet ? -1 : 1;
    if (a->piece->pinned_place != b->piece->pinned_place)
        return a->piece->pinned_place ? -1 : 1;
    tw_wide area_a = (tw_wide)a->piece->width * (tw_wide)a->piece->height;
    tw_wide area_b = (tw_wide)b->piece->width * (tw_wide)b->piece->height;
    if (area_a != area_b)
        return area_a > area_b ? -1 : 1;
    if (a->piece->height != b->piece->height)
        return a->piece->height > b->piece->height ? -1 : 1;
    int order = tw_piece_compare(a->piece, b->piece);
    if (order == 0)
        order = compare_pins(a->piece, b->piece);
    return order == 0 ? (a->index > b->index) - (a->index < b->index) : order;
}

static void part_by_sheet(tw_pins *pins, const pinned *all) {
    for (size_t i = 0; i < pins->count; i++) {
        pins->list[i] = all[i].index;
        if (i == 0 || all[i].piece->pin_sheet != all[i - 1].piece->pin_sheet)
            pins->first[pins->sheets++] = i;
    }
    pins->first[pins->sheets] = pins->count;
}

static tw_code list_pins(tw_pins *pins, tw_error *error) {
    const tw_layout_problem *problem = pins->problem;
    pinned *all = tw_arena_array(pins->arena, problem->count, sizeof *all);
    pins->list = tw_arena_array(pins->arena, problem->count, sizeof *pins->list);
    pins->first = tw_arena_array(pins->arena, problem->count + 1, sizeof *pins->first);
    if (all == NULL || pins->list == NULL || pins->first == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < problem->count; i++)
        if (problem->pieces[i].pin_sheet >= 0)
            all[pins->count++] = (pinned){&problem->pieces[i], i};
    qsort(all, pins->count, sizeof *all, by_sheet);
    part_by_sheet(pins, all);
    return TW_OK;
}

/* The way of a set is settled with its pins in view; without them it could come out otherwise. */
static void settle_way(tw_piece *piece, unsigned char ways) {
    if (piece->alike < 0 || ways == 0 || ways == 3)
        return;
    piece->may_turn = piece->may_turn && ways == 2;
    piece->must_turn = ways == 2;
}

static int by_pin(const void *left, const void *right) {
    const pinned *a = left, *b = right;
    int order = compare_pins(a->piece, b->piece);
    return order != 0 ? order : (a->piece->tie > b->piece->tie) - (a->piece->tie < b->piece->tie);
}

/* Equal prints of which some are pinned must not be told apart by the order of the input. */
static tw_code rank_by_pins(const tw_pins *pins, tw_piece *pieces, tw_error *error) {
    const tw_layout_problem *problem = pins->problem;
    pinned *all = tw_arena_array(pins->arena, problem->count, sizeof *all);
    if (all == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < problem->count; i++)
        all[i] = (pinned){&problem->pieces[i], i};
    qsort(all, problem->count, sizeof *all, by_pin);
    int64_t rank = 0;
    for (size_t i = 0; i < problem->count; i++) {
        rank += i > 0 && by_pin(&all[i - 1], &all[i]) != 0;
        pieces[all[i].index].tie = rank;
    }
    return TW_OK;
}

tw_code tw_pins_strip(const tw_pins *pins, bool fillers, tw_piece **out, tw_error *error) {
    size_t count = pins->problem->count;
    tw_piece *pieces = *out = tw_arena_array(pins->arena, count, sizeof *pieces);
    if (pieces == NULL)
        return tw_no_memory(error);
    memcpy(pieces, pins->problem->pieces, count * sizeof *pieces);
    for (size_t i = 0; i < count; i++) {
        settle_way(&pieces[i], pins->ways[i]);
        pieces[i].filler = pieces[i].filler && (fillers || pieces[i].pin_sheet < 0);
        pieces[i].pin_sheet = -1;
        pieces[i].pinned_place = false;
    }
    return rank_by_pins(pins, pieces, error);
}

/* ---------------------------------------------------------------- two ways to keep them */

static size_t ordered_left(const tw_pins *pins, const tw_layout *layout) {
    size_t count = 0;
    for (size_t i = 0; i < layout->left_count; i++)
        count += !pins->problem->pieces[layout->left[i].piece].filler;
    return count;
}

static bool all_placed(const tw_pins *pins, const tw_layout *layout) {
    for (size_t i = 0; i < layout->left_count; i++)
        if (pins->problem->pieces[layout->left[i].piece].pin_sheet >= 0)
            return false;
    return true;
}

/* `fillers`: with what is pinned of them as fillers still, so that what is pinned where a plan laid
 * it comes to lie there again. */
static tw_code try_match(const tw_pins *pins, bool fillers, tw_arena *arena, tw_layout *out,
                         bool *matched, tw_error *error) {
    tw_piece *pieces = NULL;
    memset(out, 0, sizeof *out);
    tw_code code = tw_pins_strip(pins, fillers, &pieces, error);
    if (code != TW_OK)
        return code;
    tw_layout_problem plain = *pins->problem;
    plain.pieces = pieces;
    code = tw_layout_make(arena, &plain, out, error);
    if (code != TW_OK || !all_placed(pins, out))
        return code;
    return tw_pins_match(pins, &plain, out, matched, error);
}

static bool has_fillers(const tw_pins *pins) {
    for (size_t i = 0; i < pins->count; i++)
        if (pins->problem->pieces[pins->list[i]].filler)
            return true;
    return false;
}

static bool is_better(const tw_pins *pins, const tw_layout *a, const tw_layout *b) {
    size_t left_a = ordered_left(pins, a), left_b = ordered_left(pins, b);
    return left_a != left_b ? left_a < left_b : a->used < b->used;
}

/* Which prints go round the pinned ones is tried quickly; the best way is then made with care. */
static tw_code build(const tw_pins *pins, tw_arena *arena, tw_layout *out, tw_error *error) {
    tw_layout best = {0};
    tw_pin_fill chosen = TW_PIN_ALONE;
    bool found = false;
    for (int fill = TW_PIN_BY_AREA; fill <= TW_PIN_ALONE; fill++) {
        tw_layout now;
        tw_code code =
            tw_pins_build(pins, (tw_pin_fill)fill, TW_STEPS_QUICK, pins->arena, &now, error);
        if (code != TW_OK && code != TW_INPUT)
            return code;
        if (code == TW_INPUT && !found)
            out->pin_fault = now.pin_fault;
        if (code == TW_OK && (!found || is_better(pins, &now, &best))) {
            best = now;
            chosen = (tw_pin_fill)fill;
            found = true;
        }
    }
    if (!found)
        return tw_fail(error, TW_INPUT, "pin", "the pins cannot be kept");
    return tw_pins_build(pins, chosen, tw_pack_steps(pins->problem), arena, out, error);
}

static tw_code lay_out(tw_pins *pins, tw_arena *arena, tw_layout *out, tw_error *error) {
    bool matched = false;
    tw_code code = tw_piece_ways(pins->arena, pins->problem, &pins->ways, error);
    if (code == TW_OK)
        code = list_pins(pins, error);
    if (code != TW_OK)
        return code;
    tw_pins_check(pins, &out->pin_fault);
    if (out->pin_fault.why != TW_PIN_GOOD)
        return tw_fail(error, TW_INPUT, "pin", "piece %zu cannot be pinned so",
                       out->pin_fault.piece);
    code = try_match(pins, false, arena, out, &matched, error);
    if (code == TW_OK && !matched && has_fillers(pins))
        code = try_match(pins, true, arena, out, &matched, error);
    if (code != TW_OK || matched)
        return code;
    memset(out, 0, sizeof *out);
    return build(pins, arena, out, error);
}

tw_code tw_pins_layout(tw_arena *arena, const tw_layout_problem *problem, tw_layout *out,
                       tw_error *error) {
    tw_pins pins = {.arena = tw_arena_new(tw_arena_allocator(arena), 0), .problem = problem};
    if (pins.arena == NULL)
        return tw_no_memory(error);
    tw_code code = lay_out(&pins, arena, out, error);
    tw_arena_free(pins.arena);
    return code;
}
