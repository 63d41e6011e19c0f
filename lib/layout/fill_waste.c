/*
 * Fillers into the waste of the day's sheets, whatever made them: cut to any depth, near the byte
 * limit, or built round pins. No sheet gets longer by it.
 */
#include "layout/fill.h"

#include "layout/pack.h"

#include <stdlib.h>
#include <string.h>

enum { STEPS_A_TREE = 60, TREES_LEAST = 200 };

/* ---------------------------------------------------------------- worth most first */

typedef struct offer {
    int64_t worth;
    tw_wide area;
    size_t kind;
} offer;

/* worth x area stays within 128 bits. */
static int by_worth(const void *left, const void *right) {
    const offer *a = left, *b = right;
    tw_wide worth_a = a->worth * (b->area >> 20), worth_b = b->worth * (a->area >> 20);
    if (worth_a != worth_b)
        return worth_a > worth_b ? -1 : 1;
    return (a->kind > b->kind) - (a->kind < b->kind);
}

static tw_code list_kinds(tw_filling *f, tw_error *error) {
    tw_code code = tw_kinds_make(f->arena, f->problem, f->fillers, &f->kinds, error);
    offer *offers = code != TW_OK ? NULL : tw_arena_array(f->arena, f->kinds.count, sizeof *offers);
    f->order = code != TW_OK ? NULL : tw_arena_array(f->arena, f->kinds.count, sizeof *f->order);
    if (code != TW_OK || offers == NULL || f->order == NULL)
        return tw_no_memory(error);
    for (size_t k = 0; k < f->kinds.count; k++) {
        const tw_piece *piece = &f->problem->pieces[f->kinds.order[f->kinds.items[k].first]];
        offers[k] = (offer){piece->worth, (tw_wide)piece->width * (tw_wide)piece->height, k};
    }
    if (f->kinds.count > 0)
        qsort(offers, f->kinds.count, sizeof *offers, by_worth);
    for (size_t k = 0; k < f->kinds.count; k++)
        f->order[k] = offers[k].kind;
    return TW_OK;
}

/* ---------------------------------------------------------------- one sheet */

tw_code tw_fill_kind(tw_filling *f, tw_open_sheet *open, size_t kind, unsigned char ways,
                     size_t *put, tw_error *error) {
    const tw_kind *k = &f->kinds.items[kind];
    tw_code code = TW_OK;
    bool laid = true;
    for (size_t i = 0; code == TW_OK && laid && i < k->count; i++) {
        size_t piece = f->kinds.order[k->first + i];
        unsigned char may = f->fillers[piece] & ways;
        if (may == 0)
            continue;
        code = tw_open_put(open, piece, may, &laid, error);
        if (code == TW_OK && laid) {
            f->fillers[piece] = 0;
            ++*put;
        }
    }
    return code;
}

tw_code tw_fill_sheet(tw_filling *f, tw_open_sheet *open, tw_error *error) {
    tw_code code = TW_OK;
    size_t put = 0;
    for (size_t k = 0; code == TW_OK && k < f->kinds.count; k++)
        code = tw_fill_kind(f, open, f->order[k], 3, &put, error);
    return code;
}

/* A sheet longer than longest_sheet holds one print and no other. */
static bool may_fill(const tw_filling *f, tw_nm length) {
    const tw_stock *stock = &f->problem->stock;
    return !stock->roll || stock->longest_sheet == 0 || length <= stock->longest_sheet;
}

static size_t count_waiting(const tw_filling *f) {
    size_t count = 0;
    for (size_t i = 0; i < f->problem->count; i++)
        count += f->fillers[i] != 0;
    return count;
}

/* The prints layout->placed[first..first + count) are those of this sheet; what is laid beside
 * them goes to the end of the list. */
static tw_code fill_one(tw_filling *f, int sheet, size_t first, size_t count, size_t waiting,
                        tw_error *error) {
    tw_open_sheet open;
    tw_layout *layout = f->layout;
    tw_arena *scratch = tw_arena_new(tw_arena_allocator(f->arena), 0);
    if (scratch == NULL)
        return tw_no_memory(error);
    tw_code code = tw_open_start(scratch, f->problem, &layout->placed[first], count,
                                 count + waiting, layout->sheet_length[sheet], &open, error);
    open.tries = f->tries < open.tries ? f->tries : open.tries;
    int64_t before = open.tries;
    if (code == TW_OK)
        code = tw_fill_sheet(f, &open, error);
    f->tries -= before - open.tries + 1;
    for (size_t i = count; code == TW_OK && i < open.count; i++) {
        layout->placed[layout->placed_count] = open.placed[i];
        layout->placed[layout->placed_count++].sheet = sheet;
    }
    tw_arena_free(scratch);
    return code;
}

static tw_code fill_all(tw_filling *f, tw_error *error) {
    size_t first = 0, end = f->layout->placed_count;
    tw_code code = TW_OK;
    for (int sheet = 0; code == TW_OK && sheet < f->layout->sheet_count && f->tries > 0; sheet++) {
        size_t count = 0;
        while (first + count < end && f->layout->placed[first + count].sheet == sheet)
            count++;
        size_t waiting = count_waiting(f);
        if (waiting > 0 && may_fill(f, f->layout->sheet_length[sheet]))
            code = fill_one(f, sheet, first, count, waiting, error);
        first += count;
    }
    return code;
}

/* ---------------------------------------------------------------- from outside */

static tw_code start(tw_filling *f, const unsigned char *fillers, tw_error *error) {
    size_t count = f->problem->count;
    f->tries = tw_pack_steps(f->problem) / STEPS_A_TREE;
    f->tries = f->tries < TREES_LEAST ? TREES_LEAST : f->tries;
    f->fillers = tw_arena_array(f->arena, count, 1);
    if (f->fillers == NULL)
        return tw_no_memory(error);
    memcpy(f->fillers, fillers, count);
    return TW_OK;
}

tw_code tw_fill_free(tw_arena *arena, const tw_layout_problem *problem,
                     const unsigned char *fillers, unsigned char *take, tw_layout *layout,
                     tw_error *error) {
    tw_filling f = {
        .arena = tw_arena_new(tw_arena_allocator(arena), 0), .problem = problem, .layout = layout};
    if (f.arena == NULL)
        return tw_no_memory(error);
    tw_code code = problem->count == 0 ? TW_OK : start(&f, fillers, error);
    if (code == TW_OK && problem->count > 0 && count_waiting(&f) > 0) {
        tw_pack_total(problem, layout); /* in the order of its sheets */
        code = list_kinds(&f, error);
        if (code == TW_OK)
            code = fill_all(&f, error);
        if (code == TW_OK && problem->settings.add_row_at > 0)
            code = tw_fill_rows(&f, error);
        tw_pack_total(problem, layout);
        for (size_t i = 0; code == TW_OK && i < problem->count; i++)
            if (fillers[i] != 0 && f.fillers[i] == 0)
                take[i] = fillers[i];
    }
    tw_arena_free(f.arena);
    return code;
}

tw_code tw_fill_after(tw_arena *arena, const tw_layout_problem *problem, tw_layout *layout,
                      tw_error *error) {
    unsigned char *ways = NULL;
    unsigned char *fillers = tw_arena_array(arena, problem->count, 1);
    unsigned char *take = tw_arena_array(arena, problem->count, 1);
    tw_code code = tw_piece_ways(arena, problem, &ways, error);
    if (code != TW_OK || fillers == NULL || take == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < layout->left_count; i++) {
        size_t piece = layout->left[i].piece;
        const tw_piece *p = &problem->pieces[piece];
        if (p->filler && p->worth > 0 && layout->left[i].why == TW_LEFT_PAPER_USED)
            fillers[piece] = ways[piece];
    }
    code = tw_fill_free(arena, problem, fillers, take, layout, error);
    size_t kept = 0;
    for (size_t i = 0; code == TW_OK && i < layout->left_count; i++)
        if (take[layout->left[i].piece] == 0)
            layout->left[kept++] = layout->left[i];
    if (code == TW_OK)
        layout->left_count = kept;
    return code;
}
