/*
 * Rows by the band engine: the kinds measured on a grid, bands found for them, each band laid as
 * a row with its true gaps and edges. What the grid cannot hold, or what finds no place when it
 * is laid exactly, is left to the rows by rule.
 */
#include "layout/grid.h"
#include "layout/pack.h"

typedef struct weaver {
    tw_packer *packer;
    const tw_grid *grid;
    size_t *next; /* a type: place in grid->kinds of the kind used next */
    tw_stack *stacks;
    tw_option *prints;
    size_t print_count;
} weaver;

/* A kind of the type that has prints left beside those in this row already. */
static size_t next_kind(const weaver *w, int type) {
    for (size_t at = w->next[type]; at < w->grid->first[type + 1]; at++) {
        size_t kind = w->grid->kinds[at];
        size_t used = 0;
        for (size_t i = 0; i < w->print_count; i++)
            used += w->prints[i].kind == kind;
        if (w->packer->left[kind] > used)
            return kind;
        if (w->packer->left[kind] == 0 && at == w->next[type])
            w->next[type]++;
    }
    return SIZE_MAX;
}

static void weave_run(weaver *w, const tw_band_run *run, tw_stack *stack) {
    for (int32_t i = 0; i < run->count; i++) {
        size_t kind = next_kind(w, run->type);
        if (kind == SIZE_MAX)
            return; /* cannot be: bands make no more than was asked for */
        const tw_lie *lie = &w->packer->kinds->items[kind].lie[run->way];
        w->prints[w->print_count++] = (tw_option){kind, run->way, lie->width, lie->height};
        stack->count++;
    }
}

static bool is_inner(const tw_band_set *set, const tw_band_column *column) {
    for (int32_t r = 0; r < column->run_count; r++)
        if (set->edge > 0 && set->types[column->runs[r].type].inner[column->runs[r].way])
            return true;
    return false;
}

/* Columns that may lie at the ends go first and last; widest first, so that equal ones are
 * neighbours. Insertion: a row has few columns. */
static void order_columns(const tw_band_set *set, tw_band *band) {
    for (int32_t i = 1; i < band->column_count; i++)
        for (int32_t k = i; k > 0; k--) {
            tw_band_column a = band->columns[k - 1], b = band->columns[k];
            bool inner_a = is_inner(set, &a), inner_b = is_inner(set, &b);
            if (inner_a != inner_b ? !inner_a : a.width >= b.width)
                break;
            band->columns[k - 1] = b;
            band->columns[k] = a;
        }
    if (band->column_count < 3 || set->edge == 0 || is_inner(set, &band->columns[1]))
        return;
    tw_band_column last = band->columns[1]; /* the second that may lie at an end: to the end */
    for (int32_t k = 1; k + 1 < band->column_count; k++)
        band->columns[k] = band->columns[k + 1];
    band->columns[band->column_count - 1] = last;
}

static tw_code weave_band(weaver *w, tw_band *band, tw_rows *out, tw_error *error) {
    tw_row row;
    w->print_count = 0;
    order_columns(&w->grid->set, band);
    for (int32_t c = 0; c < band->column_count; c++) {
        w->stacks[c] = (tw_stack){&w->prints[w->print_count], 0};
        for (int32_t r = 0; r < band->columns[c].run_count; r++)
            weave_run(w, &band->columns[c].runs[r], &w->stacks[c]);
    }
    tw_code code = tw_pack_row_of(w->packer, w->stacks, band->column_count, &row, error);
    if (code != TW_OK || row.times == 0)
        return code;
    return tw_pack_keep_row(w->packer, out, &row, error);
}

/* Room for the band with most columns and the band with most prints. */
static tw_code make_room(tw_arena *arena, const tw_bands *bands, weaver *w, tw_error *error) {
    size_t columns = 0, prints = 0;
    for (size_t i = 0; i < bands->count; i++) {
        size_t holds = 0;
        for (int t = 0; t < w->grid->set.count; t++)
            holds += (size_t)bands->items[i]->makes[t];
        prints = holds > prints ? holds : prints;
        size_t wide = (size_t)bands->items[i]->column_count;
        columns = wide > columns ? wide : columns;
    }
    w->stacks = tw_arena_array(arena, columns, sizeof *w->stacks);
    w->prints = tw_arena_array(arena, prints, sizeof *w->prints);
    w->next = tw_arena_array(arena, (size_t)w->grid->set.count, sizeof *w->next);
    if (w->stacks == NULL || w->prints == NULL || w->next == NULL)
        return tw_no_memory(error);
    for (int t = 0; t < w->grid->set.count; t++)
        w->next[t] = w->grid->first[t];
    return TW_OK;
}

static tw_code weave_all(tw_arena *arena, tw_packer *packer, const tw_grid *grid,
                         const tw_bands *bands, tw_rows *out, tw_error *error) {
    weaver w = {.packer = packer, .grid = grid};
    tw_code code = make_room(arena, bands, &w, error);
    for (size_t i = 0; code == TW_OK && i < bands->count; i++)
        code = weave_band(&w, bands->items[i], out, error);
    return code;
}

tw_code tw_pack_bands(tw_packer *packer, int64_t steps, tw_rows *out, tw_error *error) {
    tw_grid grid;
    tw_band_plan plan = {0};
    tw_band_budget budget = {steps, packer->problem->settings.run};
    tw_arena *scratch = tw_arena_new(tw_arena_allocator(packer->arena), 0);
    if (scratch == NULL)
        return tw_no_memory(error);
    tw_code code = tw_grid_make(scratch, packer->problem, packer->kinds, packer->left,
                                TW_GRID_PATTERNS, &grid, error);
    if (code == TW_OK && grid.set.count > 0)
        code = tw_band_solve(scratch, &grid.set, &budget, &plan, error);
    if (code == TW_OK && grid.set.count > 0)
        code = weave_all(scratch, packer, &grid, &plan.bands, out, error);
    tw_arena_free(scratch);
    return code;
}
