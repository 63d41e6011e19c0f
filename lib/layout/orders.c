/*
 * Which layout keeps orders together for the least money (see orders.h).
 */
#include "layout/orders.h"

#include "layout/fill.h"
#include "layout/pack.h"
#include "layout/pay.h"
#include "layout/spread.h"

#include <string.h>

bool tw_keeps_orders(const tw_layout_problem *problem) {
    if (problem->settings.keep_together <= 0)
        return false;
    for (size_t i = 0; i < problem->count; i++)
        if (problem->pieces[i].group >= 0)
            return true;
    return false;
}

typedef struct chooser {
    tw_arena *arena; /* the caller's: layouts stay in it */
    const tw_layout_problem *problem;
    tw_layout *best;
    tw_pay pay;
    tw_pay pays[TW_WANTS]; /* of the day laid out without a thought for orders */
    bool found;
} chooser;

static size_t ordered_left(const tw_layout_problem *problem, const tw_layout *layout) {
    size_t count = 0;
    for (size_t i = 0; i < layout->left_count; i++)
        count += !problem->pieces[layout->left[i].piece].filler;
    return count;
}

static tw_code price(const chooser *c, const tw_layout *layout, tw_pay *out, tw_error *error) {
    tw_cuts cuts;
    tw_arena *scratch = tw_arena_new(tw_arena_allocator(c->arena), 0);
    if (scratch == NULL)
        return tw_no_memory(error);
    tw_code code =
        tw_cuts_make(scratch, c->problem, layout, &c->problem->settings.trimmer, &cuts, error);
    if (code == TW_OK)
        code = tw_pay_make(scratch, c->problem, layout, &cuts, out, error);
    tw_arena_free(scratch);
    return code;
}

/* Keeps the layout where it is the cheapest so far. What does not place the day's prints, or takes
 * more paper than there is, is no choice. */
static tw_code offer(chooser *c, tw_layout *now, tw_error *error) {
    tw_pay pay;
    tw_pack_total(c->problem, now);
    if (!tw_pack_holds(c->problem, now) ||
        (c->found && ordered_left(c->problem, now) > ordered_left(c->problem, c->best)))
        return TW_OK;
    tw_code code = tw_spread_gather(c->arena, c->problem, now, error);
    if (code == TW_OK)
        code = price(c, now, &pay, error);
    if (code != TW_OK ||
        (c->found && tw_pay_compare_for(c->problem->settings.want, &pay, &c->pay) >= 0))
        return code;
    bool stopped = c->found && c->best->stopped_early;
    *c->best = *now;
    c->best->stopped_early = c->best->stopped_early || stopped;
    c->pay = pay;
    c->found = true;
    return TW_OK;
}

static tw_code offer_few(chooser *c, tw_nm dear, tw_error *error) {
    tw_layout now;
    tw_layout_problem few;
    tw_run quiet;
    tw_endless(c->problem, dear, &quiet, &few);
    tw_code code = tw_layout_make(c->arena, &few, &now, error);
    return code == TW_OK ? offer(c, &now, error) : code;
}

/* As much paper as one sheet more of an order costs; then any length, for as few sheets as can be.
 * Long sheets hold more orders whole. */
static tw_code offer_long_sheets(chooser *c, tw_error *error) {
    const tw_stock *stock = &c->problem->stock;
    tw_wide worth = 0;
    if (!stock->roll)
        return TW_OK;
    if (stock->price > 0)
        worth = (tw_wide)c->problem->settings.keep_together * stock->length /
                ((tw_wide)stock->price * (tw_wide)1000);
    tw_code code = TW_OK;
    if (worth > 0 && worth < (tw_wide)1000 * TW_M)
        code = offer_few(c, (tw_nm)worth, error);
    return code == TW_OK ? offer_few(c, 1000 * TW_M, error) : code;
}

static tw_code choose(chooser *c, tw_error *error) {
    tw_layout day, apart;
    bool made = false;
    tw_layout_problem plain = *c->problem;
    plain.settings.keep_together = 0;
    tw_code code = tw_layout_make(c->arena, &plain, &day, error);
    if (code != TW_OK)
        return code;
    *c->best = day;
    memcpy(c->pays, day.pays, sizeof c->pays);
    code = offer(c, &day, error);
    if (code != TW_OK || ordered_left(c->problem, &day) > 0 || c->pay.other == 0)
        return code;
    code = offer_long_sheets(c, error);
    if (code == TW_OK && c->pay.other > 0)
        code = tw_orders_apart(c->arena, c->problem, &day, &apart, &made, error);
    return code == TW_OK && made ? offer(c, &apart, error) : code;
}

/* The bound is of the prints laid, wherever they lie. */
static tw_code prove(const chooser *c, tw_error *error) {
    const tw_layout_problem *problem = c->problem;
    unsigned char *ways = NULL;
    unsigned char *take = tw_arena_array(c->arena, problem->count, 1);
    tw_code code = tw_piece_ways(c->arena, problem, &ways, error);
    if (code != TW_OK || take == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < c->best->placed_count; i++) {
        size_t piece = c->best->placed[i].piece;
        take[piece] = ways[piece];
    }
    c->best->bound_stages = 0;
    return tw_pack_prove_layout(problem, take, tw_arena_allocator(c->arena), c->best, error);
}

/* Fillers come when the sheets are chosen: they must not decide about them. */
static tw_code without_fillers(chooser *c, tw_layout_problem *bare, tw_error *error) {
    size_t count = c->problem->count;
    tw_piece *pieces = tw_arena_array(c->arena, count, sizeof *pieces);
    if (pieces == NULL)
        return tw_no_memory(error);
    memcpy(pieces, c->problem->pieces, count * sizeof *pieces);
    for (size_t i = 0; i < count; i++)
        pieces[i].worth = pieces[i].filler ? 0 : pieces[i].worth;
    *bare = *c->problem;
    bare->pieces = pieces;
    c->problem = bare;
    return TW_OK;
}

tw_code tw_orders_layout(tw_arena *arena, const tw_layout_problem *problem, tw_layout *out,
                         tw_error *error) {
    chooser c = {.arena = arena, .problem = problem, .best = out};
    tw_layout_problem bare;
    tw_code code = without_fillers(&c, &bare, error);
    if (code == TW_OK)
        code = choose(&c, error);
    c.problem = problem;
    if (code == TW_OK)
        code = tw_fill_after(arena, problem, out, error);
    if (code == TW_OK && problem->settings.choices)
        code = price(&c, out, &c.pay, error);
    c.pay.other = 0; /* what split orders cost the other plans is not known */
    memcpy(out->pays, c.pays, sizeof out->pays);
    out->pays[problem->settings.want] = c.pay;
    return code == TW_OK ? prove(&c, error) : code;
}
