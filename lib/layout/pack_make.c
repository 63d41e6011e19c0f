/*
 * From a problem to a layout: which pieces can lie at all, the best layout of them, who is left
 * out when the paper does not hold them all, the bound, and everything copied where it stays.
 */
#include "layout/pack.h"

#include <string.h>

typedef struct maker {
    tw_arena *arena; /* scratch */
    const tw_layout_problem *problem;
    unsigned char *ways, *take;
    unsigned char *fillers; /* bits: the ways a filler worth laying may lie */
    tw_left_why *why;
} maker;

static tw_code check_pieces(const tw_layout_problem *problem, tw_error *error) {
    for (size_t i = 0; i < problem->count; i++) {
        const tw_piece *piece = &problem->pieces[i];
        if (piece->width <= 0 || piece->height <= 0)
            return tw_fail(error, TW_BUG, "layout-bug", "piece %zu to be laid out has no size", i);
        if (piece->pin_sheet >= 0 || piece->pinned_place)
            return tw_fail(error, TW_NOT_YET, "pins-not-yet",
                           "prints cannot be pinned to a sheet or a place yet");
    }
    return TW_OK;
}

/* Fillers worth nothing stay out; the others wait for free places. */
static tw_code sort_out(maker *m, tw_error *error) {
    const tw_layout_problem *problem = m->problem;
    tw_code code = tw_piece_ways(m->arena, problem, &m->ways, error);
    m->take = tw_arena_array(m->arena, problem->count, 1);
    m->fillers = tw_arena_array(m->arena, problem->count, 1);
    m->why = tw_arena_array(m->arena, problem->count, sizeof *m->why);
    if (code != TW_OK)
        return code;
    if (m->take == NULL || m->why == NULL || m->fillers == NULL) {
        tw_no_memory(error);
        return TW_MEMORY;
    }
    for (size_t i = 0; i < problem->count; i++) {
        const tw_piece *piece = &problem->pieces[i];
        int64_t bytes_most = problem->settings.sheet_bytes_most;
        m->why[i] = m->ways[i] == 0 ? TW_LEFT_TOO_BIG : TW_LEFT_PAPER_USED;
        if (m->ways[i] != 0 && bytes_most > 0 && piece->bytes > bytes_most) {
            m->why[i] = TW_LEFT_TOO_MANY_BYTES;
            m->ways[i] = 0;
        }
        if (piece->filler && piece->worth > 0)
            m->fillers[i] = m->ways[i];
        if (piece->filler)
            m->ways[i] = 0;
        m->take[i] = m->ways[i];
    }
    return TW_OK;
}

static tw_code copy_out(const tw_layout_problem *problem, const tw_layout *from, tw_arena *arena,
                        tw_layout *out, tw_error *error) {
    *out = *from;
    out->placed = tw_arena_array(arena, problem->count, sizeof *out->placed);
    out->sheet_length = tw_arena_array(arena, problem->count, sizeof *out->sheet_length);
    out->left = tw_arena_array(arena, problem->count, sizeof *out->left);
    if (out->placed == NULL || out->sheet_length == NULL || out->left == NULL)
        return tw_no_memory(error);
    if (from->placed_count > 0)
        memcpy(out->placed, from->placed, from->placed_count * sizeof *out->placed);
    if (from->sheet_count > 0)
        memcpy(out->sheet_length, from->sheet_length,
               (size_t)from->sheet_count * sizeof *out->sheet_length);
    return TW_OK;
}

/* The better of two bounds; that of the bands says nothing of plans cut to any depth. */
static tw_code prove(const maker *m, tw_layout *out, tw_error *error) {
    tw_nm bands = 0;
    tw_code code = TW_OK;
    out->bound = tw_bound_area(m->problem, m->take);
    if (m->problem->settings.stages == 3 && out->used > out->bound)
        code = tw_bound_bands(m->problem, m->take, tw_arena_allocator(m->arena),
                              tw_pack_steps(m->problem) / 4, &bands, error);
    if (bands > out->bound) {
        out->bound = bands;
        out->bound_stages = 3;
    }
    return code;
}

static tw_code finish(maker *m, tw_layout *out, tw_error *error) {
    tw_code code = tw_pack_add_alone(m->arena, m->problem, m->ways, m->take, out, error);
    if (code != TW_OK)
        return code;
    for (size_t i = 0; i < m->problem->count; i++)
        if (m->take[i] == 0)
            out->left[out->left_count++] = (tw_left){i, m->why[i]};
    return prove(m, out, error);
}

/* All of the pieces where the paper holds them, else those served first. */
static tw_code choose(maker *m, tw_pack_try *best, tw_error *error) {
    const tw_allocator *allocator = tw_arena_allocator(m->arena);
    tw_code code = tw_pack_best(allocator, m->problem, m->take, false, best, error);
    if (code != TW_OK || tw_pack_holds(m->problem, &best->layout))
        return code;
    tw_pack_drop(best);
    code = tw_pack_serve(m->arena, m->problem, m->ways, m->take, error);
    if (code == TW_OK)
        code = tw_pack_best(allocator, m->problem, m->take, false, best, error);
    if (code != TW_OK || tw_pack_holds(m->problem, &best->layout))
        return code;
    tw_pack_drop(best); /* the quick look that chose them found one that holds */
    return tw_pack_best(allocator, m->problem, m->take, true, best, error);
}

tw_code tw_layout_make(tw_arena *arena, const tw_layout_problem *problem, tw_layout *out,
                       tw_error *error) {
    tw_pack_try best = {0};
    memset(out, 0, sizeof *out);
    tw_code code = check_pieces(problem, error);
    if (code != TW_OK)
        return code;
    maker m = {.arena = tw_arena_new(tw_arena_allocator(arena), 0), .problem = problem};
    if (m.arena == NULL)
        return tw_no_memory(error);
    code = sort_out(&m, error);
    if (code == TW_OK)
        code = choose(&m, &best, error);
    if (code == TW_OK)
        code = tw_pack_fillers(problem, m.fillers, m.take, &best, error);
    if (code == TW_OK)
        code = copy_out(problem, &best.layout, arena, out, error);
    if (code == TW_OK)
        code = finish(&m, out, error);
    tw_pack_drop(&best);
    tw_arena_free(m.arena);
    return code;
}
