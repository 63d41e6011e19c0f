/*
 * The bound by bands: the linear relaxation over band patterns (Gilmore & Gomory, Operations
 * Research 13, 1965), which every plan of three cut stages and a trim obeys. It says nothing of
 * deeper cuts: it is asked for only where settings.stages is 3, and tw_layout.bound_stages carries
 * that to what is printed. Each rule a plan keeps is kept here, weakened, or left out:
 *   every sheet is parted into bands by cuts across, and a band holds columns of stacked prints;
 *   each print carries the least gap any pair of prints needs, and the band is as much wider;
 *   edges keep the least distance any print keeps; thin strips are allowed; sizes are rounded down;
 *   a print may lie either way it fits, even where a set that lies alike was given one of them;
 *   every sheet takes its least lead and tail and what the machine loses, or there is one sheet;
 *   prints longer than the longest sheet have sheets of their own;
 *   left out: pins, orders kept together, bytes, shortest sheets, lengths from a list.
 * The programme's duals are rounded to integers and priced exactly over all heights and widths of
 * the grid; Farley's bound (Operations Research 38, 1990) makes any such prices a proof.
 */
#include "layout/grid.h"

static tw_nm larger(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

/* The shortest page with such a print alone. */
static tw_nm alone(const tw_layout_problem *problem, const tw_kind *kind) {
    tw_nm least = -1;
    for (int way = 0; way < 2; way++) {
        const tw_lie *lie = &kind->lie[way];
        tw_page_need need = {lie->keep.side[TW_TOP], lie->height, lie->keep.side[TW_BOTTOM], true};
        tw_nm start;
        tw_nm rest;
        tw_nm page = lie->may ? tw_page_length(problem, &need, &start, &rest) : -1;
        if (page >= 0 && (least < 0 || page < least))
            least = page;
    }
    return least < 0 ? 0 : least;
}

/* All the paper, from the length the bands take. */
static tw_nm whole(const tw_layout_problem *problem, const tw_kinds *kinds, const tw_grid *grid,
                   int64_t units) {
    const tw_stock *stock = &problem->stock;
    tw_nm lost = stock->roll ? stock->lost_each_sheet : 0;
    tw_nm sum = units * grid->unit_y;
    if (units > 0) /* at least one sheet, unless each band is counted as one already */
        sum += larger(grid->sheet_extra, 0);
    for (size_t i = 0; i < grid->tall_count; i++) {
        const tw_kind *kind = &kinds->items[grid->tall[i]];
        sum += (tw_nm)kind->count * (alone(problem, kind) + lost);
    }
    if (!stock->roll) /* whole sheets */
        return (sum + stock->length - 1) / stock->length * stock->length;
    return sum + stock->lost_each_load + stock->lost_core_end;
}

static tw_code relax(tw_arena *arena, const tw_grid *grid, tw_band_budget *budget, int64_t *units,
                     tw_error *error) {
    tw_band_tools tools;
    tw_relaxed relaxed = {0};
    int32_t *demand = tw_arena_array(arena, (size_t)grid->set.count, sizeof *demand);
    tw_code code = demand == NULL ? tw_no_memory(error)
                                  : tw_band_tools_start(arena, &grid->set, budget, &tools, error);
    for (int t = 0; code == TW_OK && t < grid->set.count; t++)
        demand[t] = grid->set.types[t].demand;
    if (code == TW_OK)
        code = tw_band_relax(arena, &tools, demand, NULL, false, 500, &relaxed, error);
    *units = relaxed.bound;
    return code;
}

static tw_code bound_in(tw_arena *arena, const tw_layout_problem *problem,
                        const unsigned char *take, tw_band_budget *budget, tw_nm *out,
                        tw_error *error) {
    tw_kinds kinds;
    tw_grid grid;
    int64_t units = 0;
    unsigned char *either = tw_arena_array(arena, problem->count, 1);
    if (either == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < problem->count; i++)
        either[i] = take[i] != 0 ? 3 : 0;
    tw_code code = tw_kinds_make(arena, problem, either, &kinds, error);
    if (code != TW_OK || kinds.count == 0)
        return code;
    size_t *left = tw_arena_array(arena, kinds.count, sizeof *left);
    if (left == NULL)
        return tw_no_memory(error);
    for (size_t k = 0; k < kinds.count; k++)
        left[k] = kinds.items[k].count;
    code = tw_grid_make(arena, problem, &kinds, left, TW_GRID_BOUND, &grid, error);
    if (code == TW_OK && grid.set.count > 0)
        code = relax(arena, &grid, budget, &units, error);
    if (code == TW_OK && (grid.set.count > 0 || grid.tall_count > 0))
        *out = whole(problem, &kinds, &grid, units);
    return code;
}

tw_code tw_bound_bands(const tw_layout_problem *problem, const unsigned char *take,
                       const tw_allocator *allocator, int64_t steps, tw_nm *out, tw_error *error) {
    tw_band_budget budget = {steps, problem->settings.run};
    tw_arena *arena = tw_arena_new(allocator, 0);
    *out = 0;
    if (arena == NULL)
        return tw_no_memory(error);
    tw_code code = bound_in(arena, problem, take, &budget, out, error);
    tw_arena_free(arena);
    return code;
}
