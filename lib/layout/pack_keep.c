/*
 * Which of the layouts tried are kept: one for each thing a person may want most (price, paper,
 * few cuts, equal rows). A layout may be the best for several; it is freed when it is so for none.
 */
#include "layout/pack.h"

#include <string.h>

tw_pack_try tw_pack_share(const tw_pack_try *a) {
    if (a->arena != NULL)
        ++*a->holders;
    return *a;
}

void tw_pack_drop(tw_pack_try *a) {
    if (a->arena != NULL && --*a->holders == 0)
        tw_arena_free(a->arena);
    memset(a, 0, sizeof *a);
}

void tw_pack_drop_finds(tw_pack_finds *finds) {
    for (int want = 0; want < TW_WANTS; want++)
        tw_pack_drop(&finds->best[want]);
}

const tw_pack_try *tw_pack_found(const tw_pack_finds *finds, tw_want want) {
    return &finds->best[finds->best[want].arena != NULL ? want : TW_WANT_PAPER];
}

tw_code tw_pack_price(const tw_layout_problem *problem, tw_pack_try *a, tw_error *error) {
    tw_cuts cuts;
    if (a->priced)
        return TW_OK;
    tw_arena *scratch = tw_arena_new(tw_arena_allocator(a->arena), 0);
    if (scratch == NULL)
        return tw_no_memory(error);
    tw_code code =
        tw_cuts_make(scratch, problem, &a->layout, &problem->settings.trimmer, &cuts, error);
    if (code == TW_OK)
        code = tw_pay_make(scratch, problem, &a->layout, &cuts, &a->pay, error);
    a->priced = code == TW_OK;
    tw_arena_free(scratch);
    return code;
}

/* Does the one with less paper win whatever its cuts? */
static bool paper_decides(const tw_layout_problem *problem, tw_want want) {
    const tw_layout_settings *settings = &problem->settings;
    if (want == TW_WANT_CUTS)
        return false;
    return want == TW_WANT_PAPER || problem->stock.price == 0 ||
           (settings->hand_cut == 0 && settings->stop_change == 0);
}

/* Cuts are counted only where the paper does not decide. */
static tw_code beats(const tw_layout_problem *problem, tw_want want, tw_pack_try *now,
                     tw_pack_try *best, bool *out, tw_error *error) {
    tw_nm used = now->layout.used;
    if (best->arena == NULL || (paper_decides(problem, want) && used != best->layout.used)) {
        *out = best->arena == NULL || used < best->layout.used;
        return TW_OK;
    }
    tw_code code = tw_pack_price(problem, best, error);
    if (code == TW_OK)
        code = tw_pack_price(problem, now, error);
    *out = code == TW_OK && tw_pay_compare_for(want, &now->pay, &best->pay) < 0;
    return code;
}

static bool may_serve(const tw_layout_problem *problem, tw_want want, const tw_pack_try *now) {
    if (want == TW_WANT_PAPER)
        return true;
    return (want != TW_WANT_ROWS || now->equal_rows) && tw_pack_holds(problem, &now->layout);
}

tw_code tw_pack_offer(const tw_layout_problem *problem, tw_pack_finds *finds, tw_pack_try *now,
                      tw_error *error) {
    tw_code code = TW_OK;
    for (int want = 0; code == TW_OK && want < TW_WANTS; want++) {
        tw_pack_try *best = &finds->best[want];
        bool wins = false;
        if (!finds->wanted[want] || !may_serve(problem, (tw_want)want, now))
            continue;
        code = beats(problem, (tw_want)want, now, best, &wins, error);
        if (wins) {
            tw_pack_drop(best);
            *best = tw_pack_share(now);
        }
    }
    return code;
}
