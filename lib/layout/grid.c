/*
 * Measures for the band engine: sizes that carry their share of the gaps, so that prints just
 * touch; what is kept at the edges; and the unit everything is a whole number of.
 *
 * Where all gaps are equal the share is exact: the whole gap lies right of and below each print,
 * and the band is wider by one gap. Else each side carries half the gutter or its own bleed,
 * whichever is more, which is never too little.
 */
#include "layout/grid.h"

#include <stdlib.h>
#include <string.h>

/* Above these the tables cost more than finer fits save; then sizes are rounded. */
enum { EXACT_ACROSS = 4096, EXACT_ALONG = 8192, COARSE_ACROSS = 1200, COARSE_ALONG = 2400 };
enum { TYPES_MOST = 400 };

typedef struct measure {
    size_t kind;
    tw_nm size[2][2]; /* [way][0 across, 1 along], inflated; 0 = not this way */
    bool inner[2];
    int32_t units[2][2];
} measure;

typedef struct grid_maker {
    tw_arena *arena;
    const tw_layout_problem *problem;
    const tw_kinds *kinds;
    tw_grid_use use;
    bool uniform;
    tw_nm gap;      /* uniform: of all; for the bound: the least there is */
    tw_nm least[4]; /* of each sheet side: least distance beyond the share */
    tw_nm most[4];
    tw_nm width, highest; /* room for inflated sizes */
    measure *measures;
    size_t count;
} grid_maker;

static tw_nm larger(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

static tw_nm smaller(tw_nm a, tw_nm b) {
    return a < b ? a : b;
}

/* ---------------------------------------------------------------- gaps */

static void find_gaps(grid_maker *m, const size_t *left) {
    tw_nm least = INT64_MAX;
    tw_nm most = 0;
    for (size_t k = 0; k < m->kinds->count; k++)
        for (int way = 0; way < 2; way++)
            for (int side = 0; side < 4 && left[k] > 0 && m->kinds->items[k].lie[way].may; side++) {
                tw_nm bleed = m->kinds->items[k].lie[way].bleed.side[side];
                least = smaller(least, bleed);
                most = larger(most, bleed);
            }
    least = smaller(least, most);
    m->gap = tw_gap(&m->problem->settings, least, least);
    m->uniform = m->gap == tw_gap(&m->problem->settings, most, most);
}

/* What a side carries of the gaps beside it. */
static tw_nm share(const grid_maker *m, const tw_lie *lie, int side) {
    tw_nm narrowest = m->problem->settings.narrowest_strip;
    if (m->uniform || m->use == TW_GRID_BOUND)
        return side == TW_RIGHT || side == TW_BOTTOM ? m->gap : 0;
    tw_nm half = (tw_gap(&m->problem->settings, 0, 0) + 1) / 2;
    return larger(half, tw_raised(lie->bleed.side[side], narrowest));
}

/* ---------------------------------------------------------------- edges and room */

static void find_edges(grid_maker *m, const size_t *left) {
    for (int side = 0; side < 4; side++) {
        m->least[side] = INT64_MAX;
        m->most[side] = INT64_MIN;
    }
    for (size_t k = 0; k < m->kinds->count; k++)
        for (int way = 0; way < 2; way++) {
            const tw_lie *lie = &m->kinds->items[k].lie[way];
            for (int side = 0; side < 4 && left[k] > 0 && lie->may; side++) {
                tw_nm beyond = lie->keep.side[side] - share(m, lie, side);
                m->least[side] = smaller(m->least[side], beyond);
                m->most[side] = larger(m->most[side], beyond);
            }
        }
}

/* Several prints on a sheet: no longer than longest_sheet, if there is such a limit. */
static void find_room(grid_maker *m) {
    const tw_stock *stock = &m->problem->stock;
    const tw_nm *ends = m->use == TW_GRID_BOUND ? m->least : m->most;
    tw_nm limit = stock->roll ? stock->sheet_most : stock->length;
    if (stock->roll && stock->longest_sheet > 0)
        limit = limit > 0 ? smaller(limit, stock->longest_sheet) : stock->longest_sheet;
    m->width = stock->width - m->least[TW_LEFT] - m->least[TW_RIGHT];
    m->highest = limit > 0 ? limit - ends[TW_TOP] - ends[TW_BOTTOM] : INT64_MAX;
}

static void measure_kind(const grid_maker *m, size_t kind, measure *out) {
    memset(out, 0, sizeof *out);
    out->kind = kind;
    for (int way = 0; way < 2; way++) {
        const tw_lie *lie = &m->kinds->items[kind].lie[way];
        tw_nm width = lie->width + share(m, lie, TW_LEFT) + share(m, lie, TW_RIGHT);
        tw_nm height = lie->height + share(m, lie, TW_TOP) + share(m, lie, TW_BOTTOM);
        if (!lie->may || width > m->width || height > m->highest)
            continue;
        out->size[way][0] = width;
        out->size[way][1] = height;
        out->inner[way] = m->use == TW_GRID_PATTERNS &&
                          (lie->keep.side[TW_LEFT] - share(m, lie, TW_LEFT) > m->least[TW_LEFT] ||
                           lie->keep.side[TW_RIGHT] - share(m, lie, TW_RIGHT) > m->least[TW_RIGHT]);
    }
}

static tw_code measure_kinds(grid_maker *m, const size_t *left, tw_grid *out, tw_error *error) {
    m->measures = tw_arena_array(m->arena, m->kinds->count, sizeof *m->measures);
    out->tall = tw_arena_array(m->arena, m->kinds->count, sizeof *out->tall);
    if (m->measures == NULL || out->tall == NULL)
        return tw_no_memory(error);
    for (size_t k = 0; k < m->kinds->count; k++) {
        measure *made = &m->measures[m->count];
        if (left[k] == 0)
            continue;
        measure_kind(m, k, made);
        if (made->size[0][0] == 0 && made->size[1][0] == 0)
            out->tall[out->tall_count++] = k;
        else
            m->count++;
    }
    return TW_OK;
}

/* ---------------------------------------------------------------- units */

/* What a sheet takes beside its bands' inflated heights. */
static tw_nm sheet_extra(const grid_maker *m) {
    const tw_stock *stock = &m->problem->stock;
    return m->least[TW_TOP] + m->least[TW_BOTTOM] + (stock->roll ? stock->lost_each_sheet : 0);
}

/* The largest unit all sizes are multiples of, where that is coarse enough; else one that makes
 * `coarse` of the room. *exact is cleared then. */
static tw_nm find_unit(const grid_maker *m, int axis, tw_nm room, tw_nm most, tw_nm coarse,
                       bool *exact) {
    tw_nm extra = axis == 1 ? sheet_extra(m) : 0;
    tw_nm unit = extra < 0 ? -extra : 0; /* it is taken from every band's height */
    for (size_t i = 0; i < m->count; i++)
        for (int way = 0; way < 2; way++)
            unit = tw_common_measure(unit, m->measures[i].size[way][axis]);
    if (unit > 0 && room / unit <= most)
        return unit;
    *exact = false;
    return room / coarse > 0 ? room / coarse : 1;
}

static int32_t in_units(const grid_maker *m, tw_nm value, tw_nm unit) {
    return (int32_t)(m->use == TW_GRID_BOUND ? value / unit : (value + unit - 1) / unit);
}

/* A band need not be higher than everything stacked. */
static tw_nm highest_useful(const grid_maker *m, const size_t *left) {
    tw_nm sum = 0;
    for (size_t i = 0; i < m->count && sum < m->highest; i++) {
        const measure *one = &m->measures[i];
        tw_nm tall = larger(one->size[0][1], one->size[1][1]);
        if ((m->highest - sum) / tall < (tw_nm)left[one->kind])
            return m->highest;
        sum += tall * (tw_nm)left[one->kind];
    }
    return smaller(sum, m->highest);
}

/* What is left over at a band's end can be cut off, or joins waste that is there anyway. */
static void set_width(const grid_maker *m, tw_grid *out) {
    tw_nm narrowest = m->problem->settings.narrowest_strip;
    tw_nm rest = m->width % out->unit_x;
    tw_nm edge =
        larger(m->most[TW_LEFT] - m->least[TW_LEFT], m->most[TW_RIGHT] - m->least[TW_RIGHT]);
    bool joins =
        m->use == TW_GRID_BOUND || m->gap > 0 || m->least[TW_LEFT] > 0 || m->least[TW_RIGHT] > 0;
    out->set.width = (int32_t)(m->width / out->unit_x);
    if (m->use == TW_GRID_BOUND)
        return;
    out->set.edge = (int32_t)((edge + out->unit_x - 1) / out->unit_x);
    out->set.strip_across = in_units(m, narrowest, out->unit_x);
    out->set.strip_along = in_units(m, narrowest, out->unit_y);
    if (joins)
        return;
    if (rest == 0)
        out->set.end_strip = out->set.strip_across;
    else if (rest < narrowest)
        out->set.width = (int32_t)((m->width - narrowest) / out->unit_x);
}

/* Below 0 each band is best as a sheet of its own; rounded down for the bound. */
static void set_overhead(const grid_maker *m, tw_grid *out) {
    out->sheet_extra = sheet_extra(m);
    if (out->sheet_extra < 0)
        out->set.overhead = (int32_t)(out->sheet_extra / out->unit_y) -
                            (m->use == TW_GRID_BOUND && out->sheet_extra % out->unit_y != 0);
}

/* ---------------------------------------------------------------- types */

static int compare_types(const measure *a, const measure *b) {
    for (int way = 0; way < 2; way++) {
        const int32_t left[] = {a->units[way][1], a->units[way][0], a->inner[way]};
        const int32_t right[] = {b->units[way][1], b->units[way][0], b->inner[way]};
        for (int i = 0; i < 3; i++)
            if (left[i] != right[i])
                return left[i] > right[i] ? -1 : 1;
    }
    return 0;
}

static int by_units(const void *left, const void *right) {
    const measure *a = left, *b = right;
    int order = compare_types(a, b);
    return order == 0 ? (a->kind > b->kind) - (a->kind < b->kind) : order;
}

/* A way that does not fit, or alone leaves a strip too thin beside it, is no way. One that rounds
 * down to nothing, or to a band that takes none, is left out of the relaxation altogether, which
 * only weakens it. */
static void round_size(const grid_maker *m, const tw_grid *out, measure *one) {
    bool nothing = false;
    for (int way = 0; way < 2; way++) {
        if (one->size[way][0] == 0)
            continue;
        one->units[way][0] = in_units(m, one->size[way][0], out->unit_x);
        one->units[way][1] = in_units(m, one->size[way][1], out->unit_y);
        bool keeps = one->inner[way] && out->set.edge > 0;
        int32_t beside = out->set.width - (keeps ? 2 * out->set.edge : 0) - one->units[way][0];
        bool thin = !keeps && beside > 0 && beside < out->set.end_strip;
        nothing = nothing || one->units[way][0] == 0 || one->units[way][1] + out->set.overhead <= 0;
        if (beside < 0 || thin || one->units[way][1] > out->set.highest)
            one->units[way][0] = one->units[way][1] = 0;
    }
    if (nothing)
        memset(one->units, 0, sizeof one->units);
}

static void round_sizes(const grid_maker *m, tw_grid *out) {
    for (size_t i = 0; i < m->count; i++)
        round_size(m, out, &m->measures[i]);
    qsort(m->measures, m->count, sizeof *m->measures, by_units);
}

static tw_code make_types(const grid_maker *m, const size_t *left, tw_grid *out, tw_error *error) {
    tw_band_type *types = tw_arena_array(m->arena, m->count, sizeof *types);
    out->kinds = tw_arena_array(m->arena, m->count, sizeof *out->kinds);
    out->first = tw_arena_array(m->arena, m->count + 1, sizeof *out->first);
    if (types == NULL || out->kinds == NULL || out->first == NULL)
        return tw_no_memory(error);
    out->set.types = types;
    for (size_t i = 0, kept = 0; i < m->count; i++) {
        const measure *one = &m->measures[i];
        if (one->units[0][0] == 0 && one->units[1][0] == 0)
            continue; /* rounded up it fits no more: left to the rows */
        if (kept == 0 || compare_types(&m->measures[i - 1], one) != 0) {
            out->first[out->set.count] = kept;
            tw_band_type *type = &types[out->set.count++];
            for (int way = 0; way < 2; way++) {
                type->width[way] = one->units[way][0];
                type->height[way] = one->units[way][1];
                type->inner[way] = one->inner[way];
            }
        }
        types[out->set.count - 1].demand += (int32_t)left[one->kind];
        out->kinds[kept++] = one->kind;
        out->first[out->set.count] = kept;
    }
    return TW_OK;
}

tw_code tw_grid_make(tw_arena *arena, const tw_layout_problem *problem, const tw_kinds *kinds,
                     const size_t *left, tw_grid_use use, tw_grid *out, tw_error *error) {
    grid_maker m = {.arena = arena, .problem = problem, .kinds = kinds, .use = use};
    size_t wanted = 0;
    for (size_t k = 0; k < kinds->count; k++)
        wanted += left[k];
    memset(out, 0, sizeof *out);
    if (wanted == 0 || wanted > INT32_MAX / 2)
        return TW_OK;
    find_gaps(&m, left);
    find_edges(&m, left);
    find_room(&m);
    if (m.width <= 0 || m.highest <= 0)
        return TW_OK;
    tw_code code = measure_kinds(&m, left, out, error);
    if (code != TW_OK || m.count == 0)
        return code;
    tw_nm highest = highest_useful(&m, left);
    out->exact = m.uniform;
    out->unit_x = find_unit(&m, 0, m.width, EXACT_ACROSS, COARSE_ACROSS, &out->exact);
    out->unit_y = find_unit(&m, 1, highest, EXACT_ALONG, COARSE_ALONG, &out->exact);
    out->set.highest = (int32_t)(highest / out->unit_y) + (use == TW_GRID_PATTERNS && !out->exact);
    set_width(&m, out);
    set_overhead(&m, out);
    out->gap = m.gap;
    out->left = m.least[TW_LEFT];
    round_sizes(&m, out);
    code = make_types(&m, left, out, error);
    if (out->set.count > TYPES_MOST)
        out->set.count = 0;
    return code;
}
