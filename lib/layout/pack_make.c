/*
 * From a problem to a layout: which pieces can lie at all, the best layouts of them, who is left
 * out when the paper does not hold them all, what each layout costs with its fillers, the bound,
 * and everything copied where it stays.
 */
#include "layout/fill.h"
#include "layout/orders.h"
#include "layout/pack.h"
#include "layout/pins.h"
#include "layout/sets.h"

#include <string.h>

typedef struct maker {
    tw_arena *arena; /* scratch */
    const tw_layout_problem *problem;
    unsigned char *ways, *take;
    unsigned char *fillers; /* bits: the ways a filler worth laying may lie */
    tw_left_why *why;
    tw_pack_finds finds;
} maker;

static int64_t larger(int64_t a, int64_t b) {
    return a > b ? a : b;
}

static tw_code check_pieces(const tw_layout_problem *problem, tw_error *error) {
    for (size_t i = 0; i < problem->count; i++) {
        const tw_piece *piece = &problem->pieces[i];
        if (piece->width <= 0 || piece->height <= 0)
            return tw_fail(error, TW_BUG, "layout-bug", "piece %zu to be laid out has no size", i);
        if (piece->pinned_place && piece->pin_sheet < 0)
            return tw_fail(error, TW_BUG, "layout-bug", "piece %zu is pinned to no sheet", i);
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

/* Enough to prove days in millimetres at the usual effort; what only thorough days could need more
 * of is rare. */
static int64_t bound_steps(const tw_layout_problem *problem) {
    int64_t steps = tw_pack_steps(problem);
    return steps <= TW_STEPS_QUICK ? steps / 4 : larger(TW_STEPS_NORMAL, steps / 3);
}

static size_t count_taken(const tw_layout_problem *problem, const unsigned char *take) {
    size_t count = 0;
    for (size_t i = 0; i < problem->count; i++)
        count += take[i] != 0;
    return count;
}

/* The better of two bounds; that of the bands says nothing of plans cut to any depth. */
tw_code tw_pack_prove(const tw_allocator *allocator, const tw_layout_problem *problem,
                      const unsigned char *take, tw_nm used, tw_pack_proof *out, tw_error *error) {
    tw_nm bands = 0;
    tw_code code = TW_OK;
    *out = (tw_pack_proof){
        .known = true, .count = count_taken(problem, take), .bound = tw_bound_area(problem, take)};
    if (problem->settings.stages == 3 && used > out->bound)
        code = tw_bound_bands(problem, take, allocator, bound_steps(problem), &bands, error);
    if (bands > out->bound) {
        out->bound = bands;
        out->stages = 3;
    }
    return code;
}

tw_code tw_pack_prove_layout(const tw_layout_problem *problem, const unsigned char *take,
                             const tw_allocator *allocator, tw_layout *out, tw_error *error) {
    tw_pack_proof proof;
    tw_code code = tw_pack_prove(allocator, problem, take, out->used, &proof, error);
    out->bound = proof.bound;
    out->bound_stages = proof.stages;
    return code;
}

/* ---------------------------------------------------------------- the best layouts */

/* Plans by price differ from those of least paper only where work has a price. */
static void list_wants(maker *m) {
    const tw_layout_settings *settings = &m->problem->settings;
    for (int want = 0; want < TW_WANTS; want++)
        m->finds.wanted[want] = settings->choices || settings->want == (tw_want)want;
    if (settings->hand_cut == 0 && settings->stop_change == 0)
        m->finds.wanted[TW_WANT_PRICE] = false;
}

static bool held(const maker *m) {
    return tw_pack_holds(m->problem, &m->finds.best[TW_WANT_PAPER].layout);
}

/* All of the pieces where the paper holds them, else those served first: then paper is dearer
 * than anything else, and only plans of least paper count. */
static tw_code choose(maker *m, tw_error *error) {
    const tw_allocator *allocator = tw_arena_allocator(m->arena);
    tw_code code = tw_pack_best(allocator, m->problem, m->take, false, &m->finds, error);
    if (code != TW_OK || held(m))
        return code;
    tw_pack_drop_finds(&m->finds);
    memset(m->finds.wanted, 0, sizeof m->finds.wanted);
    code = tw_pack_serve(m->arena, m->problem, m->ways, m->take, error);
    if (code == TW_OK)
        code = tw_pack_best(allocator, m->problem, m->take, false, &m->finds, error);
    if (code != TW_OK || held(m))
        return code;
    tw_pack_drop_finds(&m->finds); /* the quick look that chose them found one that holds */
    return tw_pack_best(allocator, m->problem, m->take, true, &m->finds, error);
}

/* ---------------------------------------------------------------- made whole */

/* Fillers that rows could not take. */
static tw_code fill_up(const maker *m, unsigned char *take, tw_layout *out, tw_error *error) {
    unsigned char *waiting = tw_arena_array(m->arena, m->problem->count, 1);
    if (waiting == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < m->problem->count; i++)
        waiting[i] = take[i] == 0 ? m->fillers[i] : 0;
    return tw_fill_free(m->arena, m->problem, waiting, take, out, error);
}

/* The layout found for this want with its fillers, and what else the paper holds. Sets take[]. */
static tw_code complete(const maker *m, tw_want want, unsigned char *take, tw_arena *arena,
                        tw_layout *out, tw_error *error) {
    tw_pack_try best = tw_pack_share(tw_pack_found(&m->finds, want));
    tw_code code = tw_pack_fillers(m->problem, m->fillers, take, &best, error);
    if (code == TW_OK)
        code = copy_out(m->problem, &best.layout, arena, out, error);
    tw_pack_drop(&best);
    if (code == TW_OK)
        code = tw_pack_add_alone(m->arena, m->problem, m->ways, take, out, error);
    if (code == TW_OK)
        code = fill_up(m, take, out, error);
    for (size_t i = 0; code == TW_OK && i < m->problem->count; i++)
        if (take[i] == 0)
            out->left[out->left_count++] = (tw_left){i, m->why[i]};
    return code;
}

static tw_code price_whole(const maker *m, const tw_layout *layout, tw_pay *out, tw_error *error) {
    tw_cuts cuts;
    tw_code code =
        tw_cuts_make(m->arena, m->problem, layout, &m->problem->settings.trimmer, &cuts, error);
    return code == TW_OK ? tw_pay_make(m->arena, m->problem, layout, &cuts, out, error) : code;
}

/* What the layout found for another want would cost, made whole as well. */
static tw_code price_choice(const maker *m, tw_want want, tw_pay *out, tw_error *error) {
    tw_layout layout;
    unsigned char *take = tw_arena_array(m->arena, m->problem->count, 1);
    if (take == NULL)
        return tw_no_memory(error);
    if (m->problem->count > 0)
        memcpy(take, m->take, m->problem->count);
    tw_code code = complete(m, want, take, m->arena, &layout, error);
    return code == TW_OK ? price_whole(m, &layout, out, error) : code;
}

static tw_code price_choices(const maker *m, tw_pay pays[TW_WANTS], tw_error *error) {
    tw_code code = TW_OK;
    for (int want = 0; code == TW_OK && want < TW_WANTS; want++)
        code = price_choice(m, (tw_want)want, &pays[want], error);
    return code;
}

/* What was proved on the way holds as long as no filler came to the pieces. */
static tw_code prove(const maker *m, tw_layout *out, tw_error *error) {
    const tw_pack_proof *proof = &m->finds.proof;
    if (!proof->known || proof->count != count_taken(m->problem, m->take))
        return tw_pack_prove_layout(m->problem, m->take, tw_arena_allocator(m->arena), out, error);
    out->bound = proof->bound;
    out->bound_stages = proof->stages;
    return TW_OK;
}

static tw_code make(maker *m, tw_arena *arena, tw_layout *out, tw_error *error) {
    tw_pay pays[TW_WANTS] = {{0}};
    tw_code code = sort_out(m, error);
    if (code == TW_OK)
        code = choose(m, error);
    if (code == TW_OK && m->problem->settings.choices)
        code = price_choices(m, pays, error);
    if (code == TW_OK)
        code = complete(m, m->problem->settings.want, m->take, arena, out, error);
    if (code == TW_OK)
        memcpy(out->pays, pays, sizeof pays);
    return code == TW_OK ? prove(m, out, error) : code;
}

/* What the person steers comes first: which way sets lie, then pins, then what keeps orders
 * together. Each comes back here for days without it. */
static tw_code make_steered(tw_arena *arena, const tw_layout_problem *problem, tw_layout *out,
                            bool *steered, tw_error *error) {
    *steered = tw_has_open_sets(problem);
    if (*steered)
        return tw_sets_layout(arena, problem, out, error);
    *steered = tw_has_pins(problem);
    if (*steered)
        return tw_pins_layout(arena, problem, out, error);
    *steered = tw_keeps_orders(problem);
    return *steered ? tw_orders_layout(arena, problem, out, error) : TW_OK;
}

tw_code tw_layout_make(tw_arena *arena, const tw_layout_problem *problem, tw_layout *out,
                       tw_error *error) {
    memset(out, 0, sizeof *out);
    tw_code code = check_pieces(problem, error);
    if (code != TW_OK)
        return code;
    bool steered = false;
    code = make_steered(arena, problem, out, &steered, error);
    if (code != TW_OK || steered)
        return code;
    maker m = {.arena = tw_arena_new(tw_arena_allocator(arena), 0), .problem = problem};
    if (m.arena == NULL)
        return tw_no_memory(error);
    list_wants(&m);
    code = make(&m, arena, out, error);
    tw_pack_drop_finds(&m.finds);
    tw_arena_free(m.arena);
    return code;
}
