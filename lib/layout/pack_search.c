/*
 * Rows by the search for days of different sizes. Its plan is parted into bands where a cut across
 * meets no print; in three stages a band is columns of stacked prints like any other, at any depth
 * the prints lie as the search laid them.
 */
#include "layout/grid.h"
#include "layout/pack.h"
#include "layout/search.h"

#include <stdlib.h>
#include <string.h>

/* About as long as the bands take for their steps, and twice that where bands find little (see
 * tw_pack_differs); thorough days get some seconds of it, and twice as many at any depth. */
enum { PRINTS_FEW = 12, PRINTS_MOST = 250, INSERTIONS_A_STEP = 130, INSERTIONS_MOST = 120000000 };

typedef struct laid {
    size_t kind;
    int way;
    int32_t x, y, width, height;
} laid;

typedef struct seeker {
    tw_packer *packer;
    tw_arena *arena; /* scratch */
    tw_grid grid;
    tw_nm unit; /* both axes */
    laid *all;  /* by band, column and place in it */
    int count;
} seeker;

static tw_nm larger(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

static size_t count_prints(const tw_packer *packer) {
    size_t count = 0;
    for (size_t k = 0; k < packer->kinds->count; k++)
        count += packer->left[k];
    return count;
}

/* Sizes that repeat are the bands' business, unless they may be cut to any depth or are so few that
 * the search goes through all there is. */
static bool is_varied(const seeker *s, size_t prints) {
    return prints <= PRINTS_FEW || 3 * (size_t)s->grid.set.count > prints;
}

/* Sizes that hardly repeat give bands nothing to combine. */
static bool differs(const seeker *s, size_t prints) {
    return 3 * (size_t)s->grid.set.count > 2 * prints;
}

static bool is_worth_it(const seeker *s, size_t prints) {
    return s->grid.exact && s->grid.set.edge == 0 && s->grid.set.count > 0 &&
           s->grid.tall_count == 0 &&
           (is_varied(s, prints) || s->packer->problem->settings.stages == 0);
}

/* A print of one way only is given to the search as it lies and does not turn. */
static tw_search_item item_of(const seeker *s, const tw_band_type *type, int *way) {
    *way = type->width[0] == 0;
    int32_t times_x = (int32_t)(s->grid.unit_x / s->unit);
    int32_t times_y = (int32_t)(s->grid.unit_y / s->unit);
    return (tw_search_item){type->width[*way] * times_x, type->height[*way] * times_y,
                            type->width[0] > 0 && type->width[1] > 0};
}

static tw_code list_items(seeker *s, tw_search_item *items, tw_error *error) {
    s->all = tw_arena_array(s->arena, PRINTS_MOST, sizeof *s->all);
    if (s->all == NULL)
        return tw_no_memory(error);
    for (int t = 0; t < s->grid.set.count; t++) {
        int way = 0;
        tw_search_item item = item_of(s, &s->grid.set.types[t], &way);
        for (size_t at = s->grid.first[t]; at < s->grid.first[t + 1]; at++)
            for (size_t n = 0; n < s->packer->left[s->grid.kinds[at]]; n++) {
                items[s->count] = item;
                s->all[s->count++] = (laid){.kind = s->grid.kinds[at], .way = way};
            }
    }
    return TW_OK;
}

static int by_y(const void *left, const void *right) {
    const laid *a = left, *b = right;
    if (a->y != b->y)
        return a->y < b->y ? -1 : 1;
    return (a->x > b->x) - (a->x < b->x);
}

static int by_x(const void *left, const void *right) {
    const laid *a = left, *b = right;
    if (a->x != b->x)
        return a->x < b->x ? -1 : 1;
    return (a->y > b->y) - (a->y < b->y);
}

/* The prints from `first` on that no cut parts from it; sorted along that axis. */
static int block(const laid *all, int first, int count, bool across) {
    int end = first + 1;
    int32_t reached = across ? all[first].y + all[first].height : all[first].x + all[first].width;
    for (; end < count; end++) {
        const laid *next = &all[end];
        if ((across ? next->y : next->x) >= reached)
            break;
        int32_t far = across ? next->y + next->height : next->x + next->width;
        reached = far > reached ? far : reached;
    }
    return end;
}

/* ---------------------------------------------------------------- three stages */

static tw_code row_of_columns(seeker *s, laid *band, int count, tw_row *row, tw_error *error) {
    tw_stack *stacks = tw_arena_array(s->arena, (size_t)count, sizeof *stacks);
    tw_option *prints = tw_arena_array(s->arena, (size_t)count, sizeof *prints);
    int columns = 0;
    if (stacks == NULL || prints == NULL)
        return tw_no_memory(error);
    qsort(band, (size_t)count, sizeof *band, by_x);
    for (int first = 0, end; first < count; first = end) {
        end = block(band, first, count, false);
        qsort(&band[first], (size_t)(end - first), sizeof *band, by_y);
        stacks[columns++] = (tw_stack){&prints[first], (size_t)(end - first)};
        for (int i = first; i < end; i++) {
            const tw_lie *lie = &s->packer->kinds->items[band[i].kind].lie[band[i].way];
            prints[i] = (tw_option){band[i].kind, band[i].way, lie->width, lie->height};
        }
    }
    return tw_pack_row_of(s->packer, stacks, columns, row, error);
}

/* ---------------------------------------------------------------- any depth */

static void measure_slot(const tw_lie *lie, tw_nm y, tw_nm narrowest, tw_row *row) {
    tw_nm under = row->height - y - lie->height;
    row->lead = larger(row->lead, tw_raised(lie->keep.side[TW_TOP] - y, narrowest));
    row->tail = larger(row->tail, tw_raised(lie->keep.side[TW_BOTTOM] - under, narrowest));
    row->over_top = larger(row->over_top, lie->bleed.side[TW_TOP] - y);
    row->over_bottom = larger(row->over_bottom, lie->bleed.side[TW_BOTTOM] - under);
    row->area += (tw_wide)lie->width * (tw_wide)lie->height;
}

/* An image counts once. */
static bool bytes_fit(const seeker *s, const tw_row *row) {
    const tw_kind *kinds = s->packer->kinds->items;
    int64_t left = s->packer->problem->settings.sheet_bytes_most;
    for (size_t i = 0; s->packer->kinds->by_bytes && i < row->count; i++) {
        const tw_kind *kind = &kinds[row->slots[i].kind];
        size_t k = 0;
        while (k < i && (kind->image < 0 || kinds[row->slots[k].kind].image != kind->image))
            k++;
        left -= k == i ? kind->bytes : 0;
    }
    return left >= 0 || !s->packer->kinds->by_bytes;
}

/* times 0 when no sheet is long enough or may hold so many bytes. */
static tw_code row_as_laid(seeker *s, const laid *band, int count, tw_row *row, tw_error *error) {
    const tw_layout_problem *problem = s->packer->problem;
    int32_t top = band[0].y, end = 0;
    for (int i = 0; i < count; i++)
        end = band[i].y + band[i].height > end ? band[i].y + band[i].height : end;
    *row = (tw_row){.count = (size_t)count, .height = (end - top) * s->unit - s->grid.gap};
    row->slots = tw_arena_array(s->packer->arena, row->count, sizeof *row->slots);
    if (row->slots == NULL)
        return tw_no_memory(error);
    for (int i = 0; i < count; i++) {
        const tw_lie *lie = &s->packer->kinds->items[band[i].kind].lie[band[i].way];
        tw_nm y = (band[i].y - top) * s->unit;
        row->slots[i] = (tw_slot){.kind = band[i].kind,
                                  .way = band[i].way,
                                  .x = s->grid.left + band[i].x * s->unit,
                                  .y = y,
                                  .column = -1};
        measure_slot(lie, y, problem->settings.narrowest_strip, row);
    }
    tw_page_need need = {row->lead, row->height, row->tail, count == 1};
    tw_nm start;
    tw_nm rest;
    row->times = tw_page_length(problem, &need, &start, &rest) >= 0 && bytes_fit(s, row);
    return TW_OK;
}

/* ---------------------------------------------------------------- the plan */

static tw_code take_bands(seeker *s, tw_rows *out, tw_error *error) {
    bool staged = s->packer->problem->settings.stages == 3;
    tw_code code = TW_OK;
    qsort(s->all, (size_t)s->count, sizeof *s->all, by_y);
    for (int first = 0, end; code == TW_OK && first < s->count; first = end) {
        tw_row row;
        end = block(s->all, first, s->count, true);
        code = staged ? row_of_columns(s, &s->all[first], end - first, &row, error)
                      : row_as_laid(s, &s->all[first], end - first, &row, error);
        if (code == TW_OK && row.times > 0)
            code = tw_pack_keep_row(s->packer, out, &row, error);
    }
    return code;
}

/* The strip to fill, in units. What the units leave over lies right of it: where that is too thin
 * to cut off it joins the waste at the left, or else the strip is so much narrower. */
static tw_nm fit_width(seeker *s) {
    const tw_layout_problem *problem = s->packer->problem;
    tw_nm narrowest = problem->settings.narrowest_strip;
    tw_nm width = s->grid.set.width * s->grid.unit_x;
    tw_nm rest = problem->stock.width - s->grid.left - (width - s->grid.gap);
    if (!tw_strip_ok(rest, narrowest) && s->grid.left > 0)
        s->grid.left += rest;
    else if (!tw_strip_ok(rest, narrowest))
        width -= narrowest - rest;
    return width / s->unit;
}

static tw_code search(seeker *s, int64_t steps, tw_rows *out, tw_error *error) {
    const tw_layout_settings *settings = &s->packer->problem->settings;
    tw_search_plan plan;
    tw_search_item *items = tw_arena_array(s->arena, PRINTS_MOST, sizeof *items);
    if (items == NULL)
        return tw_no_memory(error);
    s->unit = tw_common_measure(s->grid.unit_x, s->grid.unit_y);
    tw_nm width = fit_width(s);
    tw_nm strip = (settings->narrowest_strip + s->unit - 1) / s->unit;
    tw_nm times_y = s->grid.unit_y / s->unit;
    if (width < 1 || width > 100000 || s->grid.set.highest * times_y > 10000000)
        return TW_OK;
    int64_t insertions = steps * INSERTIONS_A_STEP;
    insertions *= differs(s, count_prints(s->packer)) ? 2 : 1;
    int64_t most = settings->stages == 0 ? 2 * (int64_t)INSERTIONS_MOST : INSERTIONS_MOST;
    tw_code code = list_items(s, items, error);
    tw_search_job job = {.items = items,
                         .count = s->count,
                         .width = (int32_t)width,
                         .free = settings->stages == 0,
                         .band_most = (int32_t)(s->grid.set.highest * times_y),
                         .strip = strip > 1 ? (int32_t)strip : 0,
                         .steps = insertions < most ? insertions : most,
                         .run = settings->run};
    if (code == TW_OK)
        code = tw_search(s->arena, &job, &plan, error);
    if (code == TW_INPUT) /* not for the search; the rules are more exact */
        return TW_OK;
    for (int i = 0; code == TW_OK && i < s->count; i++) {
        laid *one = &s->all[i];
        bool turned = plan.places[i].turned;
        one->way = turned ? 1 - one->way : one->way;
        one->x = plan.places[i].x;
        one->y = plan.places[i].y;
        one->width = turned ? items[i].height : items[i].width;
        one->height = turned ? items[i].width : items[i].height;
    }
    return code == TW_OK ? take_bands(s, out, error) : code;
}

/* What may be searched; *prints 0 where nothing may. Give back s->arena. */
static tw_code start_seeking(seeker *s, tw_packer *packer, size_t *prints, tw_error *error) {
    *s = (seeker){.packer = packer};
    *prints = count_prints(packer);
    if (*prints > PRINTS_MOST)
        *prints = 0;
    if (*prints == 0)
        return TW_OK;
    s->arena = tw_arena_new(tw_arena_allocator(packer->arena), 0);
    if (s->arena == NULL)
        return tw_no_memory(error);
    tw_code code = tw_grid_make(s->arena, packer->problem, packer->kinds, packer->left,
                                TW_GRID_PATTERNS, &s->grid, error);
    if (code == TW_OK && !is_worth_it(s, *prints))
        *prints = 0;
    return code;
}

tw_code tw_pack_differs(tw_packer *packer, bool *out, tw_error *error) {
    seeker s;
    size_t prints = 0;
    *out = false;
    tw_code code = start_seeking(&s, packer, &prints, error);
    *out = code == TW_OK && prints > 0 && differs(&s, prints);
    tw_arena_free(s.arena);
    return code;
}

tw_code tw_pack_search(tw_packer *packer, int64_t steps, tw_rows *out, tw_error *error) {
    seeker s;
    size_t prints = 0;
    tw_code code = start_seeking(&s, packer, &prints, error);
    if (code == TW_OK && prints > 0)
        code = search(&s, steps, out, error);
    tw_arena_free(s.arena);
    return code;
}
