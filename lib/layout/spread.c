/*
 * How far orders are spread over sheets, and swaps that bring them together (see spread.h). A swap
 * must free an order from a sheet, or gather more of its prints where most of them are, so that
 * the swapping comes to an end.
 */
#include "layout/spread.h"

#include "layout/pack.h"

#include <stdlib.h>
#include <string.h>

enum { PASSES = 20, LOOKS_MOST = 8000000, CELLS_MOST = 4000000 };

typedef struct on_sheet {
    int group, sheet;
} on_sheet;

static int by_group(const void *left, const void *right) {
    const on_sheet *a = left, *b = right;
    if (a->group != b->group)
        return a->group < b->group ? -1 : 1;
    return (a->sheet > b->sheet) - (a->sheet < b->sheet);
}

static tw_code list_groups(tw_arena *arena, const tw_layout_problem *problem,
                           const tw_layout *layout, on_sheet **out, size_t *count,
                           tw_error *error) {
    *count = 0;
    *out = tw_arena_array(arena, layout->placed_count, sizeof **out);
    if (*out == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < layout->placed_count; i++) {
        int group = problem->pieces[layout->placed[i].piece].group;
        if (group >= 0)
            (*out)[(*count)++] = (on_sheet){group, layout->placed[i].sheet};
    }
    if (*count > 0)
        qsort(*out, *count, sizeof **out, by_group);
    return TW_OK;
}

tw_code tw_spread_count(tw_arena *arena, const tw_layout_problem *problem, const tw_layout *layout,
                        int64_t *out, tw_error *error) {
    on_sheet *all;
    size_t count;
    tw_code code = list_groups(arena, problem, layout, &all, &count, error);
    *out = 0;
    for (size_t i = 1; code == TW_OK && i < count; i++)
        *out += all[i].group == all[i - 1].group && all[i].sheet != all[i - 1].sheet;
    return code;
}

/* ---------------------------------------------------------------- swapping */

typedef struct gatherer {
    const tw_layout_problem *problem;
    tw_layout *layout;
    int *group;    /* of each placed: from 0, -1 none */
    int *prints;   /* [group * sheets + sheet] */
    size_t *entry; /* placed, kind by kind */
    size_t *first; /* of each kind's in `entry`; kinds + 1 */
    size_t kinds;
    int groups;
    int64_t looks; /* left */
} gatherer;

static int *cell(const gatherer *g, int group, int sheet) {
    return &g->prints[(size_t)group * (size_t)g->layout->sheet_count + (size_t)sheet];
}

/* What one print of a group changes by going from one sheet to another. */
static void weigh(const gatherer *g, int group, int from, int to, int *sheets, int *together) {
    if (group < 0)
        return;
    int here = *cell(g, group, from), there = *cell(g, group, to);
    *sheets += (there == 0) - (here == 1);
    *together += there - here + 1;
}

static void count_move(const gatherer *g, int group, int from, int to) {
    if (group < 0)
        return;
    --*cell(g, group, from);
    ++*cell(g, group, to);
}

static bool swap_if_better(gatherer *g, size_t one, size_t two) {
    tw_placed *a = &g->layout->placed[one], *b = &g->layout->placed[two];
    int sheets = 0, together = 0;
    if (a->sheet == b->sheet || g->group[one] == g->group[two])
        return false;
    weigh(g, g->group[one], a->sheet, b->sheet, &sheets, &together);
    weigh(g, g->group[two], b->sheet, a->sheet, &sheets, &together);
    if (sheets > 0 || (sheets == 0 && together <= 0))
        return false;
    count_move(g, g->group[one], a->sheet, b->sheet);
    count_move(g, g->group[two], b->sheet, a->sheet);
    size_t piece = a->piece;
    a->piece = b->piece;
    b->piece = piece;
    int group = g->group[one];
    g->group[one] = g->group[two];
    g->group[two] = group;
    return true;
}

static bool pass_over(gatherer *g, size_t kind) {
    bool any = false;
    for (size_t i = g->first[kind]; i < g->first[kind + 1]; i++)
        for (size_t k = i + 1; k < g->first[kind + 1] && g->looks-- > 0; k++)
            any = swap_if_better(g, g->entry[i], g->entry[k]) || any;
    return any;
}

/* The groups by number from 0. */
static tw_code number_groups(tw_arena *arena, gatherer *g, tw_error *error) {
    on_sheet *all;
    size_t count;
    tw_code code = list_groups(arena, g->problem, g->layout, &all, &count, error);
    g->group = tw_arena_array(arena, g->layout->placed_count, sizeof *g->group);
    if (code != TW_OK || g->group == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < count; i++)
        if (i == 0 || all[i].group != all[g->groups - 1].group)
            all[g->groups++].group = all[i].group;
    for (size_t i = 0; i < g->layout->placed_count; i++) {
        on_sheet own = {g->problem->pieces[g->layout->placed[i].piece].group, 0};
        int low = 0, high = g->groups - 1;
        while (low < high) {
            int middle = low + (high - low) / 2;
            if (all[middle].group < own.group)
                low = middle + 1;
            else
                high = middle;
        }
        g->group[i] = own.group < 0 ? -1 : low;
    }
    return TW_OK;
}

static tw_code list_kinds(tw_arena *arena, gatherer *g, tw_error *error) {
    tw_kinds kinds;
    unsigned char *ways = NULL;
    size_t pieces = g->problem->count, at = 0;
    size_t *where = tw_arena_array(arena, pieces, sizeof *where);
    tw_code code = tw_piece_ways(arena, g->problem, &ways, error);
    if (code == TW_OK)
        code = tw_kinds_make(arena, g->problem, ways, &kinds, error);
    g->entry = tw_arena_array(arena, g->layout->placed_count, sizeof *g->entry);
    g->first = code != TW_OK ? NULL : tw_arena_array(arena, kinds.count + 1, sizeof *g->first);
    if (code != TW_OK || where == NULL || g->entry == NULL || g->first == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < pieces; i++)
        where[i] = SIZE_MAX;
    for (size_t i = 0; i < g->layout->placed_count; i++)
        where[g->layout->placed[i].piece] = i;
    g->kinds = kinds.count;
    for (size_t k = 0; k < kinds.count; k++) {
        g->first[k] = at;
        for (size_t i = 0; i < kinds.items[k].count; i++) {
            size_t entry = where[kinds.order[kinds.items[k].first + i]];
            if (entry != SIZE_MAX)
                g->entry[at++] = entry;
        }
    }
    g->first[kinds.count] = at;
    return TW_OK;
}

static tw_code swap_all(tw_arena *arena, gatherer *g, tw_error *error) {
    tw_code code = number_groups(arena, g, error);
    if (code == TW_OK)
        code = list_kinds(arena, g, error);
    size_t cells = (size_t)g->groups * (size_t)g->layout->sheet_count;
    if (code != TW_OK || g->groups == 0 || cells > CELLS_MOST)
        return code;
    g->prints = tw_arena_array(arena, cells, sizeof *g->prints);
    if (g->prints == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < g->layout->placed_count; i++)
        if (g->group[i] >= 0)
            ++*cell(g, g->group[i], g->layout->placed[i].sheet);
    bool any = true;
    for (int pass = 0; any && pass < PASSES && g->looks > 0; pass++) {
        any = false;
        for (size_t k = 0; k < g->kinds; k++)
            any = pass_over(g, k) || any;
    }
    tw_pack_total(g->problem, g->layout); /* in order again */
    return TW_OK;
}

tw_code tw_spread_gather(tw_arena *arena, const tw_layout_problem *problem, tw_layout *layout,
                         tw_error *error) {
    gatherer g = {.problem = problem, .layout = layout, .looks = LOOKS_MOST};
    if (layout->sheet_count < 2)
        return TW_OK;
    tw_arena *scratch = tw_arena_new(tw_arena_allocator(arena), 0);
    if (scratch == NULL)
        return tw_no_memory(error);
    tw_code code = swap_all(scratch, &g, error);
    tw_arena_free(scratch);
    return code;
}
