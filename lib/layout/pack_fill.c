/*
 * Fillers take free places: after the ordered prints are laid, prints that may sell are laid under
 * the columns of each row and beside them. No row gets higher and no sheet longer by it.
 */
#include "layout/pack.h"

#include <stdlib.h>
#include <string.h>

typedef struct filling {
    const tw_layout_problem *problem;
    tw_pack_try *best;
    tw_kinds kinds;     /* the layout's own, then the fillers' */
    size_t own;         /* kinds of the layout */
    tw_option *options; /* of the fillers, worth most for their area first */
    size_t option_count;
    tw_packer packer;
} filling;

/* The kinds of the layout and behind them the fillers', with one list of pieces. */
static tw_code join_kinds(filling *f, const tw_kinds *more, tw_error *error) {
    const tw_kinds *had = &f->best->kinds;
    tw_arena *arena = f->best->arena;
    size_t pieces = had->order_count + more->order_count;
    f->own = had->count;
    f->kinds = (tw_kinds){.count = had->count + more->count, .order_count = pieces};
    f->kinds.items = tw_arena_array(arena, f->kinds.count, sizeof *f->kinds.items);
    f->kinds.order = tw_arena_array(arena, pieces, sizeof *f->kinds.order);
    if (f->kinds.items == NULL || f->kinds.order == NULL)
        return tw_no_memory(error);
    memcpy(f->kinds.items, had->items, had->count * sizeof *had->items);
    memcpy(f->kinds.order, had->order, had->order_count * sizeof *had->order);
    memcpy(&f->kinds.items[had->count], more->items, more->count * sizeof *more->items);
    memcpy(&f->kinds.order[had->order_count], more->order, more->order_count * sizeof *more->order);
    for (size_t k = had->count; k < f->kinds.count; k++)
        f->kinds.items[k].first += had->order_count;
    return TW_OK;
}

typedef struct offer {
    tw_option option;
    int64_t worth; /* of its first piece */
} offer;

/* More worth for its area; worth x area stays within 128 bits. */
static int by_worth(const void *left, const void *right) {
    const offer *a = left, *b = right;
    tw_wide area_a = (tw_wide)a->option.width * (tw_wide)a->option.height;
    tw_wide area_b = (tw_wide)b->option.width * (tw_wide)b->option.height;
    tw_wide worth_a = a->worth * (area_b >> 20), worth_b = b->worth * (area_a >> 20);
    if (worth_a != worth_b)
        return worth_a > worth_b ? -1 : 1;
    if (a->option.kind != b->option.kind)
        return a->option.kind < b->option.kind ? -1 : 1;
    return a->option.way - b->option.way;
}

static tw_code list_options(filling *f, tw_error *error) {
    size_t most = 2 * (f->kinds.count - f->own);
    offer *offers = tw_arena_array(f->best->arena, most, sizeof *offers);
    f->options = tw_arena_array(f->best->arena, most, sizeof *f->options);
    if (offers == NULL || f->options == NULL)
        return tw_no_memory(error);
    for (size_t k = f->own; k < f->kinds.count; k++)
        for (int way = 0; way < 2; way++) {
            const tw_lie *lie = &f->kinds.items[k].lie[way];
            size_t piece = f->kinds.order[f->kinds.items[k].first];
            if (lie->may)
                offers[f->option_count++] =
                    (offer){{k, way, lie->width, lie->height}, f->problem->pieces[piece].worth};
        }
    if (f->option_count > 0)
        qsort(offers, f->option_count, sizeof *offers, by_worth);
    for (size_t i = 0; i < f->option_count; i++)
        f->options[i] = offers[i].option;
    return TW_OK;
}

/* Every row, filled or not, into `out`. Rows that were equal may differ now. */
static tw_code fill_rows(filling *f, tw_rows *out, tw_error *error) {
    tw_packer *packer = &f->packer;
    tw_code code = tw_pack_start(packer, error);
    for (size_t k = 0; code == TW_OK && k < f->own; k++)
        packer->left[k] = 0;
    for (size_t i = 0; code == TW_OK && i < f->best->rows.count; i++)
        for (size_t n = 0; code == TW_OK && n < f->best->rows.items[i].times; n++) {
            tw_row row;
            code = tw_pack_fill_row(packer, &f->best->rows.items[i], f->options, f->option_count,
                                    &row, error);
            for (size_t s = 0; code == TW_OK && s < row.count; s++)
                if (row.slots[s].kind < f->own)
                    packer->left[row.slots[s].kind]++; /* tw_pack_keep_row counts it placed */
            if (code == TW_OK)
                code = tw_pack_keep_row(packer, out, &row, error);
        }
    return code;
}

static tw_code fill(filling *f, unsigned char *take, const unsigned char *fillers,
                    tw_error *error) {
    tw_rows rows = {0};
    tw_layout layout;
    tw_layout *old = &f->best->layout;
    f->packer = (tw_packer){.arena = f->best->arena, .problem = f->problem, .kinds = &f->kinds};
    tw_code code = list_options(f, error);
    if (code == TW_OK)
        code = fill_rows(f, &rows, error);
    if (code == TW_OK)
        code = tw_pack_sheets(f->best->arena, f->problem, &f->kinds, &rows, f->best->part, &layout,
                              error);
    if (code != TW_OK || layout.used > old->used || layout.sheet_count > old->sheet_count)
        return code;
    layout.stopped_early = old->stopped_early;
    *old = layout;
    f->best->priced = false;
    for (size_t i = 0; i < layout.placed_count; i++)
        take[layout.placed[i].piece] |= fillers[layout.placed[i].piece];
    return TW_OK;
}

/* Where an image counts once a sheet, one filler more could pass the byte limit. */
static tw_code bytes_matter(const tw_layout_problem *problem, const unsigned char *fillers,
                            const unsigned char *take, tw_arena *arena, bool *out,
                            tw_error *error) {
    tw_kinds all;
    unsigned char *both = tw_arena_array(arena, problem->count, 1);
    if (both == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < problem->count; i++)
        both[i] = take[i] | fillers[i];
    tw_code code = tw_kinds_make(arena, problem, both, &all, error);
    *out = code == TW_OK && all.by_bytes;
    return code;
}

tw_code tw_pack_fillers(const tw_layout_problem *problem, const unsigned char *fillers,
                        unsigned char *take, tw_pack_try *best, tw_error *error) {
    filling f = {.problem = problem, .best = best};
    tw_kinds more;
    bool by_bytes = false;
    tw_code code = tw_kinds_make(best->arena, problem, fillers, &more, error);
    if (code != TW_OK || more.count == 0 || best->kinds.count == 0)
        return code;
    code = bytes_matter(problem, fillers, take, best->arena, &by_bytes, error);
    if (code != TW_OK || by_bytes)
        return code;
    code = join_kinds(&f, &more, error);
    return code == TW_OK ? fill(&f, take, fillers, error) : code;
}
