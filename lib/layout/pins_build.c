/*
 * A day built round its pins: each sheet with pins first, as short as they allow, filled up with
 * prints of the day that find room in its waste; then the rest of the day, laid out as if the
 * paper were shorter by those sheets; then all sheets in the order the pins ask for.
 */
#include "layout/pins.h"

#include "layout/fill.h"
#include "layout/pack.h"
#include "layout/pay.h"

#include <stdlib.h>
#include <string.h>

enum { SHORTER_TRIES = 6 };

typedef struct builder {
    const tw_pins *pins;
    tw_arena *arena;  /* scratch */
    tw_piece *pieces; /* without pins */
    tw_layout_problem plain;
    unsigned char *free; /* of each piece: the ways it may lie, 0 = laid or not to be laid yet */
    tw_open_sheet *open; /* of each pinned sheet */
    size_t *rest;        /* pieces of the rest of the day */
    size_t rest_count;
    tw_layout others; /* the rest, by its own numbers */
    tw_pin_fault *fault;
} builder;

static tw_code refuse(builder *b, tw_pin_why why, size_t piece, tw_error *error) {
    *b->fault = (tw_pin_fault){.why = why, .piece = piece};
    return tw_fail(error, TW_INPUT, "pin", "the pin of piece %zu cannot be kept", piece);
}

static tw_code start(builder *b, tw_error *error) {
    const tw_layout_problem *problem = b->pins->problem;
    tw_code code = tw_pins_strip(b->pins, false, &b->pieces, error);
    if (code != TW_OK)
        return code;
    b->plain = *problem;
    b->plain.settings.choices = false;
    b->plain.pieces = b->pieces;
    b->free = tw_arena_array(b->arena, problem->count, sizeof *b->free);
    b->open = tw_arena_array(b->arena, (size_t)b->pins->sheets, sizeof *b->open);
    b->rest = tw_arena_array(b->arena, problem->count, sizeof *b->rest);
    if (b->free == NULL || b->open == NULL || b->rest == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < problem->count; i++)
        if (problem->pieces[i].pin_sheet < 0 && !problem->pieces[i].filler)
            b->free[i] = b->pins->ways[i];
    return TW_OK;
}

/* ---------------------------------------------------------------- the prints pinned to places */

static tw_code open_sheet(builder *b, int at, tw_error *error) {
    const tw_pins *pins = b->pins;
    size_t first = pins->first[at], count = 0;
    tw_pin_fault long_page = {.why = TW_PIN_GOOD};
    tw_placed *placed = tw_arena_array(b->arena, pins->problem->count, sizeof *placed);
    if (placed == NULL)
        return tw_no_memory(error);
    for (size_t i = first; i < pins->first[at + 1]; i++) {
        const tw_piece *piece = &pins->problem->pieces[pins->list[i]];
        if (piece->pinned_place)
            placed[count++] =
                (tw_placed){pins->list[i], 0, piece->pin_x, piece->pin_y, piece->pin_turned};
    }
    tw_nm page = count > 0 || !b->plain.stock.roll ? tw_pins_page(pins, at, &long_page) : 0;
    tw_code code = tw_open_start(b->arena, &b->plain, placed, count, pins->problem->count, page,
                                 &b->open[at], error);
    if (code == TW_OK && !b->open[at].cuttable)
        return refuse(b, TW_PIN_UNCUT, pins->list[first + count - 1], error);
    return code;
}

/* ---------------------------------------------------------------- those pinned to the sheet only
 */

/* The page with this print in a row of its own under the others; -1 when there is none. */
static tw_nm page_with(const builder *b, const tw_open_sheet *open, const tw_lie *lie) {
    tw_nm bleed = 0, start, rest;
    for (size_t i = 0; i < open->count; i++)
        for (int side = 0; side < 4; side++)
            if (b->pieces[open->placed[i].piece].bleed.side[side] > bleed)
                bleed = b->pieces[open->placed[i].piece].bleed.side[side];
    tw_nm gap = tw_gap(&b->plain.settings, bleed, lie->bleed.side[TW_TOP]);
    tw_page_need need = {.lead = open->count == 0 ? lie->keep.side[TW_TOP] : 0,
                         .inner = lie->height,
                         .tail = lie->keep.side[TW_BOTTOM],
                         .single = open->count == 0};
    if (open->count > 0)
        need.inner += tw_open_bottom(open) + gap;
    return tw_page_length(&b->plain, &need, &start, &rest);
}

/* A row more on a roll's sheet, the way that makes it least long. */
static tw_code grow(builder *b, tw_open_sheet *open, size_t piece, bool *put, tw_error *error) {
    tw_nm page[2] = {-1, -1}, before = open->length;
    for (int way = 0; way < 2; way++) {
        tw_lie lie = tw_piece_lie(&b->plain, &b->pieces[piece], way == 1);
        if (lie.may && (b->pins->ways[piece] & (1 << way)) != 0)
            page[way] = page_with(b, open, &lie);
    }
    int first = page[0] < 0 || (page[1] >= 0 && page[1] < page[0]);
    for (int i = 0; i < 2; i++) {
        int way = i == 0 ? first : !first;
        if (page[way] < before)
            continue;
        tw_code code = tw_open_lengthen(open, page[way], error);
        if (code == TW_OK)
            code = tw_open_put(open, piece, (unsigned char)(1 << way), put, error);
        if (code != TW_OK || *put)
            return code;
    }
    return tw_open_lengthen(open, before, error);
}

/* Prints of a sheet without places are laid out by themselves, on as few sheets as may be. */
static tw_code lay_loose(builder *b, int at, bool *done, tw_error *error) {
    const tw_pins *pins = b->pins;
    size_t first = pins->first[at], count = pins->first[at + 1] - first;
    tw_piece *pieces = tw_arena_array(b->arena, count, sizeof *pieces);
    tw_layout layout;
    *done = false;
    if (pieces == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < count; i++)
        pieces[i] = b->pieces[pins->list[first + i]];
    tw_layout_problem few;
    tw_run quiet;
    tw_endless(&b->plain, 1000 * TW_M, &quiet, &few); /* dearer than any way with fewer sheets */
    few.pieces = pieces;
    few.count = count;
    few.settings.steps = TW_STEPS_QUICK;
    tw_code code = tw_layout_make(b->arena, &few, &layout, error);
    if (code != TW_OK || layout.sheet_count != 1 || layout.left_count > 0)
        return code;
    for (size_t i = 0; i < count; i++)
        layout.placed[i].piece = pins->list[first + layout.placed[i].piece];
    code = tw_open_start(b->arena, &b->plain, layout.placed, count, pins->problem->count,
                         layout.sheet_length[0], &b->open[at], error);
    *done = code == TW_OK && b->open[at].cuttable;
    if (code != TW_OK || *done)
        return code;
    return open_sheet(b, at, error);
}

static tw_code add_loose(builder *b, int at, tw_error *error) {
    const tw_pins *pins = b->pins;
    size_t first = pins->first[at];
    bool done = false;
    tw_code code = TW_OK;
    if (!pins->problem->pieces[pins->list[first]].pinned_place)
        code = lay_loose(b, at, &done, error);
    for (size_t i = first; code == TW_OK && !done && i < pins->first[at + 1]; i++) {
        size_t piece = pins->list[i];
        bool put = pins->problem->pieces[piece].pinned_place;
        if (!put)
            code = tw_open_put(&b->open[at], piece, pins->ways[piece], &put, error);
        if (code == TW_OK && !put && b->plain.stock.roll)
            code = grow(b, &b->open[at], piece, &put, error);
        if (code == TW_OK && !put)
            return refuse(b, TW_PIN_CROWDED, piece, error);
    }
    return code;
}

/* ---------------------------------------------------------------- what fits round them */

typedef struct ranked {
    tw_wide measure;
    size_t kind;
} ranked;

static int by_measure(const void *left, const void *right) {
    const ranked *a = left, *b = right;
    if (a->measure != b->measure)
        return a->measure > b->measure ? -1 : 1;
    return (a->kind > b->kind) - (a->kind < b->kind);
}

static tw_wide measure_of(const tw_piece *piece, tw_pin_fill fill) {
    if (fill == TW_PIN_BY_HEIGHT)
        return piece->height > piece->width ? piece->height : piece->width;
    if (fill == TW_PIN_BY_WIDTH)
        return piece->height < piece->width ? piece->height : piece->width;
    return (tw_wide)piece->width * (tw_wide)piece->height;
}

/* The prints of one kind into the waste of one sheet, served first first. */
static tw_code fill_kind(builder *b, tw_open_sheet *open, const tw_kinds *kinds, size_t k,
                         tw_error *error) {
    const tw_kind *kind = &kinds->items[k];
    tw_code code = TW_OK;
    bool put = true;
    for (size_t i = 0; code == TW_OK && put && i < kind->count; i++) {
        size_t piece = kinds->order[kind->first + i];
        if (b->free[piece] == 0)
            continue; /* on another sheet already */
        code = tw_open_put(open, piece, b->free[piece], &put, error);
        if (code == TW_OK && put)
            b->free[piece] = 0;
    }
    return code;
}

/* A sheet longer than longest_sheet holds one print and no other. */
static bool may_fill(const builder *b, const tw_open_sheet *open) {
    const tw_stock *stock = &b->plain.stock;
    return !stock->roll || stock->longest_sheet == 0 || open->length <= stock->longest_sheet;
}

static tw_code fill_all(builder *b, tw_pin_fill fill, tw_error *error) {
    tw_kinds kinds;
    tw_code code = tw_kinds_make(b->arena, &b->plain, b->free, &kinds, error);
    if (code != TW_OK)
        return code;
    ranked *order = tw_arena_array(b->arena, kinds.count, sizeof *order);
    if (order == NULL)
        return tw_no_memory(error);
    for (size_t k = 0; k < kinds.count; k++)
        order[k] = (ranked){measure_of(&b->pieces[kinds.order[kinds.items[k].first]], fill), k};
    if (kinds.count > 0)
        qsort(order, kinds.count, sizeof *order, by_measure);
    for (int at = 0; at < b->pins->sheets; at++)
        for (size_t k = 0; code == TW_OK && may_fill(b, &b->open[at]) && k < kinds.count; k++)
            code = fill_kind(b, &b->open[at], &kinds, order[k].kind, error);
    return code;
}

/* ---------------------------------------------------------------- the rest of the day */

static tw_nm pinned_paper(const builder *b) {
    tw_nm sum = 0;
    for (int at = 0; at < b->pins->sheets; at++)
        sum += b->open[at].length + b->plain.stock.lost_each_sheet;
    return sum;
}

/* Every sheet of the roll costs what it costs, so the rest sees a roll shorter by the pinned. */
static tw_code less_paper(builder *b, tw_stock *stock, tw_error *error) {
    tw_nm pinned = pinned_paper(b);
    tw_nm whole = stock->lost_each_load + stock->lost_core_end + pinned;
    if (stock->roll && whole > stock->length) {
        *b->fault = (tw_pin_fault){
            .why = TW_PIN_PAPER, .piece = b->pins->list[0], .is = whole, .need = stock->length};
        return tw_fail(error, TW_INPUT, "pin", "the pinned sheets need more paper than is left");
    }
    if (!stock->roll && b->pins->sheets > stock->count) {
        tw_code code = refuse(b, TW_PIN_NO_SHEET, b->pins->list[b->pins->count - 1], error);
        b->fault->sheets = (int)stock->count;
        return code;
    }
    if (stock->roll)
        stock->length -= pinned;
    else
        stock->count -= b->pins->sheets;
    return TW_OK;
}

/* How many sheets the rest must give so that the numbers have no gap before the last pin. */
static int wanted(const builder *b) {
    return tw_pins_number(b->pins, b->pins->sheets - 1) + 1 - b->pins->sheets;
}

static tw_nm longest_of(const tw_layout *layout) {
    tw_nm longest = 0;
    for (int i = 0; i < layout->sheet_count; i++)
        longest = layout->sheet_length[i] > longest ? layout->sheet_length[i] : longest;
    return longest;
}

/* With shorter sheets the rest makes more of them. */
static tw_code split_rest(builder *b, tw_layout_problem *rest, tw_error *error) {
    tw_code code = TW_OK;
    for (int i = 0; i < SHORTER_TRIES && b->others.sheet_count < wanted(b); i++) {
        tw_layout now;
        tw_nm longest = longest_of(&b->others) / 2;
        if (!rest->stock.roll || longest <= 0 || longest < rest->stock.shortest_sheet)
            break;
        rest->stock.longest_sheet = longest;
        code = tw_layout_make(b->arena, rest, &now, error);
        if (code != TW_OK || now.left_count > b->others.left_count ||
            now.sheet_count <= b->others.sheet_count)
            break;
        b->others = now;
    }
    if (code == TW_OK && b->others.sheet_count < wanted(b)) {
        code = refuse(b, TW_PIN_NO_SHEET, b->pins->list[b->pins->count - 1], error);
        b->fault->sheets = b->others.sheet_count + b->pins->sheets;
    }
    return code;
}

static tw_code lay_rest(builder *b, int64_t steps, tw_error *error) {
    tw_layout_problem rest = b->plain;
    tw_piece *pieces = tw_arena_array(b->arena, rest.count, sizeof *pieces);
    if (pieces == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < b->plain.count; i++) {
        const tw_piece *piece = &b->pins->problem->pieces[i];
        bool laid =
            piece->pin_sheet >= 0 || (!piece->filler && b->pins->ways[i] != 0 && b->free[i] == 0);
        if (laid)
            continue;
        pieces[b->rest_count] = b->pieces[i];
        b->rest[b->rest_count++] = i;
    }
    rest.pieces = pieces;
    rest.count = b->rest_count;
    rest.settings.steps = steps;
    tw_code code = less_paper(b, &rest.stock, error);
    if (code == TW_OK)
        code = tw_layout_make(b->arena, &rest, &b->others, error);
    return code == TW_OK ? split_rest(b, &rest, error) : code;
}

/* ---------------------------------------------------------------- all of it */

static void put_pinned(const builder *b, int at, int number, tw_layout *out) {
    const tw_open_sheet *open = &b->open[at];
    out->sheet_length[number] = open->length;
    for (size_t i = 0; i < open->count; i++) {
        out->placed[out->placed_count] = open->placed[i];
        out->placed[out->placed_count++].sheet = number;
    }
}

static void put_other(const builder *b, int sheet, int number, size_t *next, tw_layout *out) {
    const tw_layout *others = &b->others;
    out->sheet_length[number] = others->sheet_length[sheet];
    while (*next < others->placed_count && others->placed[*next].sheet == sheet) {
        tw_placed p = others->placed[(*next)++];
        p.piece = b->rest[p.piece];
        p.sheet = number;
        out->placed[out->placed_count++] = p;
    }
}

static tw_code join(const builder *b, tw_arena *arena, tw_layout *out, tw_error *error) {
    size_t count = b->plain.count, next = 0;
    int at = 0, sheet = 0;
    out->placed = tw_arena_array(arena, count, sizeof *out->placed);
    out->sheet_length = tw_arena_array(arena, count, sizeof *out->sheet_length);
    out->left = tw_arena_array(arena, count, sizeof *out->left);
    if (out->placed == NULL || out->sheet_length == NULL || out->left == NULL)
        return tw_no_memory(error);
    out->sheet_count = b->pins->sheets + b->others.sheet_count;
    for (int number = 0; number < out->sheet_count; number++) {
        if (at < b->pins->sheets && tw_pins_number(b->pins, at) == number)
            put_pinned(b, at++, number, out);
        else
            put_other(b, sheet++, number, &next, out);
    }
    for (size_t i = 0; i < b->others.left_count; i++) /* in order: b->rest is */
        out->left[out->left_count++] =
            (tw_left){b->rest[b->others.left[i].piece], b->others.left[i].why};
    out->stopped_early = b->others.stopped_early;
    tw_pack_total(b->pins->problem, out);
    return TW_OK;
}

static tw_code build(builder *b, tw_pin_fill fill, int64_t steps, tw_error *error) {
    tw_code code = start(b, error);
    for (int at = 0; code == TW_OK && at < b->pins->sheets; at++) {
        code = open_sheet(b, at, error);
        if (code == TW_OK)
            code = add_loose(b, at, error);
    }
    if (code == TW_OK && fill != TW_PIN_ALONE)
        code = fill_all(b, fill, error);
    return code == TW_OK ? lay_rest(b, steps, error) : code;
}

/* The bound is of all the prints laid, wherever they are pinned. */
static tw_code prove(const builder *b, tw_layout *out, tw_error *error) {
    unsigned char *take = tw_arena_array(b->arena, b->plain.count, 1);
    if (take == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < out->placed_count; i++)
        take[out->placed[i].piece] = b->pins->ways[out->placed[i].piece];
    return tw_pack_prove_layout(&b->plain, take, tw_arena_allocator(b->arena), out, error);
}

/* Round its pins a day is built one way: whatever is wanted most, it costs this. */
static tw_code price(const builder *b, tw_layout *out, tw_error *error) {
    tw_cuts cuts;
    tw_pay pay;
    if (!b->pins->problem->settings.choices)
        return TW_OK;
    tw_code code = tw_cuts_make(b->arena, &b->plain, out, &b->plain.settings.trimmer, &cuts, error);
    if (code == TW_OK)
        code = tw_pay_make(b->arena, &b->plain, out, &cuts, &pay, error);
    for (int want = 0; code == TW_OK && want < TW_WANTS; want++)
        out->pays[want] = pay;
    return code;
}

tw_code tw_pins_build(const tw_pins *pins, tw_pin_fill fill, int64_t steps, tw_arena *arena,
                      tw_layout *out, tw_error *error) {
    memset(out, 0, sizeof *out);
    builder b = {.pins = pins, .fault = &out->pin_fault};
    b.arena = tw_arena_new(tw_arena_allocator(arena), 0);
    if (b.arena == NULL)
        return tw_no_memory(error);
    tw_code code = build(&b, fill, steps, error);
    if (code == TW_OK)
        code = join(&b, arena, out, error);
    if (code == TW_OK)
        code = tw_fill_after(b.arena, &b.plain, out, error);
    if (code == TW_OK)
        code = prove(&b, out, error);
    if (code == TW_OK)
        code = price(&b, out, error);
    tw_arena_free(b.arena);
    return code;
}
