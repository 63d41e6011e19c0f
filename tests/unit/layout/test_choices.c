/*
 * Which layout is taken when work has a price: a small day worked out by hand, and random days on
 * which dearer work never brings more cuts.
 */
#include "random_jobs.h"

#include "layout/pay.h"

enum { DAYS = 400 };

/* A 24 in roll, 50 ft for 129.00 EUR: an inch is 21.5 cents. One 16x20 and two 7x9.
 *   least paper, 20 in: the 16x20 upright, the 7x9 stacked beside it; waste at the side and under
 *   the stack. Pieces less sheets: 3 prints + 2 - 1 = 4 cuts.
 *   fewest cuts, 23 in: the 16x20 lying, alone; the 7x9 lying side by side. No widths add up to
 *   24 in, so each sheet has a piece of waste: 3 prints + 2 - 2 = 3 cuts.
 * So a cut is worth 3 in: 64.5 cents. */
static void start_small(laying *l) {
    laying_start(l);
    l->problem.stock.price = 12900;
    laying_add(l, 1, 16 * TW_IN, 20 * TW_IN, TW_IN);
    laying_add(l, 2, 7 * TW_IN, 9 * TW_IN, TW_IN);
}

static void small_is(laying *l, tw_nm used, int64_t cuts) {
    laying_run(l);
    assert_int_equal(l->layout.used, used);
    assert_int_equal(l->cuts.hand_cuts, cuts);
}

static void a_cut_is_worth_so_much_paper(void **state) {
    laying l;
    (void)state;
    start_small(&l);
    small_is(&l, 20 * TW_IN, 4);
    l.problem.settings.hand_cut = 64000;
    small_is(&l, 20 * TW_IN, 4);
    l.problem.settings.hand_cut = 65000;
    small_is(&l, 23 * TW_IN, 3);
    l.problem.settings.want = TW_WANT_PAPER;
    small_is(&l, 20 * TW_IN, 4);
    l.problem.settings.hand_cut = 0;
    l.problem.settings.want = TW_WANT_CUTS;
    small_is(&l, 23 * TW_IN, 3);
    l.problem.settings.want = TW_WANT_ROWS;
    small_is(&l, 23 * TW_IN, 3);
    laying_end(&l);
}

/* Unpriced paper cannot be weighed against work. */
static void without_a_price_paper_comes_first(void **state) {
    laying l;
    (void)state;
    start_small(&l);
    l.problem.stock.price = 0;
    l.problem.settings.hand_cut = 1000000;
    small_is(&l, 20 * TW_IN, 4);
    laying_end(&l);
}

/* 20 x 21.5 + 4 x 10 cents, 23 x 21.5 + 3 x 10 cents. */
static void all_choices_are_priced(void **state) {
    laying l;
    (void)state;
    start_small(&l);
    l.problem.settings.choices = true;
    l.problem.settings.hand_cut = 10000;
    laying_run(&l);
    const tw_pay *pays = l.layout.pays;
    assert_int_equal(tw_pay_sum(&pays[TW_WANT_PAPER]), 470000);
    assert_int_equal(tw_pay_sum(&pays[TW_WANT_PRICE]), 470000);
    assert_int_equal(tw_pay_sum(&pays[TW_WANT_CUTS]), 524500);
    assert_int_equal(pays[TW_WANT_CUTS].sheets, 2);
    assert_int_equal(pays[TW_WANT_ROWS].used, 23 * TW_IN);
    laying_end(&l);
}

/* Too little paper for few cuts: what holds all the prints is taken. */
static void what_the_roll_does_not_hold_is_no_choice(void **state) {
    laying l;
    (void)state;
    start_small(&l);
    l.problem.stock.length = 22 * TW_IN;
    l.problem.settings.want = TW_WANT_CUTS;
    small_is(&l, 20 * TW_IN, 4);
    assert_int_equal(l.layout.left_count, 0);
    laying_end(&l);
}

/* ---------------------------------------------------------------- random days */

static void judge(laying *l, uint64_t seed) {
    if (laying_try(l) != TW_OK)
        fail_msg("seed %llu: %s", (unsigned long long)seed, l->error.message);
}

/* Cents a cut. */
static void dearer_work_brings_no_more_cuts(void **state) {
    static const int64_t prices[] = {0, 5, 40, 200, 1500, 20000};
    size_t traded = 0;
    (void)state;
    for (uint64_t seed = 0; seed < DAYS; seed++) {
        laying l;
        int64_t cuts = INT64_MAX;
        tw_nm used = 0;
        random_job(seed, &l, 8);
        l.problem.stock.price = l.problem.stock.roll ? 60000000 : 150000000;
        l.problem.settings.want = TW_WANT_PRICE;
        l.problem.settings.stop_change = 0;
        for (size_t i = 0; i < sizeof prices / sizeof *prices; i++) {
            l.problem.settings.hand_cut = prices[i] * 1000;
            judge(&l, seed);
            if (l.cuts.hand_cuts > cuts || l.layout.used < used)
                fail_msg("seed %llu: dearer cuts, more of them", (unsigned long long)seed);
            traded += i > 0 && l.cuts.hand_cuts < cuts;
            cuts = l.cuts.hand_cuts;
            used = l.layout.used;
        }
        laying_end(&l);
    }
    assert_true(traded > DAYS / 4);
}

static void this_one_costs_what_is_said(const laying *l, uint64_t seed) {
    const tw_pay *said = &l->layout.pays[l->problem.settings.want];
    if (said->used != l->layout.used || said->hand_cuts != l->cuts.hand_cuts ||
        said->stop_changes != l->cuts.stop_changes || said->sheets != l->layout.sheet_count)
        fail_msg("seed %llu: the plan is not what its choice says", (unsigned long long)seed);
}

static void each_choice_is_best_at_what_it_is_for(void **state) {
    (void)state;
    for (uint64_t seed = 0; seed < DAYS; seed++) {
        laying l;
        random_job(seed, &l, 8);
        l.problem.settings.choices = true;
        judge(&l, seed);
        this_one_costs_what_is_said(&l, seed);
        const tw_pay *pays = l.layout.pays;
        for (int want = 0; want < TW_WANTS; want++) {
            assert_true(tw_pay_compare(&pays[TW_WANT_PRICE], &pays[want]) <= 0);
            assert_true(pays[TW_WANT_PAPER].used <= pays[want].used);
            assert_true(pays[TW_WANT_CUTS].hand_cuts <= pays[want].hand_cuts);
        }
        laying_end(&l);
    }
}

/* No memory at any request: the same answer or TW_MEMORY, and nothing leaks. */
static void memory_runs_out(void **state) {
    (void)state;
    bool enough = false;
    for (long at = 1; !enough; at++) {
        laying l;
        start_small(&l);
        l.problem.settings.choices = true;
        l.problem.settings.hand_cut = 65000;
        l.memory.fail_at = at; /* of those from here on */
        tw_code code = laying_try(&l);
        enough = code == TW_OK;
        assert_true(enough || code == TW_MEMORY);
        laying_end(&l);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_cut_is_worth_so_much_paper),
        cmocka_unit_test(without_a_price_paper_comes_first),
        cmocka_unit_test(all_choices_are_priced),
        cmocka_unit_test(what_the_roll_does_not_hold_is_no_choice),
        cmocka_unit_test(dearer_work_brings_no_more_cuts),
        cmocka_unit_test(each_choice_is_best_at_what_it_is_for),
        cmocka_unit_test(memory_runs_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
