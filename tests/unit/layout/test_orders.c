/*
 * Orders kept together: what a split order costs against paper. Expectations by hand: the roll is
 * 24 in wide and 600 in long for 600.00, so an inch of it costs 1.00.
 */
#include "layout/pay.h"
#include "layout/spread.h"
#include "random_jobs.h"

#define EURO ((int64_t)100 * 1000) /* thousandths of a cent */

static void start(laying *l) {
    laying_start(l);
    l->problem.stock.price = 60000;
    l->problem.stock.longest_sheet = 20 * TW_IN;
}

static void add(laying *l, size_t copies, tw_nm wide, tw_nm high, int order) {
    tw_piece *first = laying_add(l, copies, wide * TW_IN, high * TW_IN, HALF_IN);
    for (size_t i = 0; i < copies; i++) {
        first[i].group = order;
        first[i].may_turn = false;
    }
}

static int64_t spread_of(laying *l) {
    int64_t spread = 0;
    assert_ok(tw_spread_count(l->arena, &l->problem, &l->layout, &spread, &l->error), l->error);
    return spread;
}

/* Six 8x20 of three orders of two: three lie across, so two sheets of 20 in and one order split,
 * or three sheets and none. The third sheet costs 20.00. */
static void paper_against_split_orders(void **state) {
    (void)state;
    laying l;
    start(&l);
    for (int order = 0; order < 3; order++)
        add(&l, 2, 8, 20, order);
    laying_run(&l);
    assert_int_equal(l.layout.used, 40 * TW_IN);
    l.problem.settings.keep_together = 19 * EURO;
    laying_run(&l);
    assert_int_equal(l.layout.used, 40 * TW_IN);
    assert_int_equal(spread_of(&l), 1);
    l.problem.settings.keep_together = 21 * EURO;
    laying_run(&l);
    assert_int_equal(l.layout.used, 60 * TW_IN);
    assert_int_equal(spread_of(&l), 0);
    laying_end(&l);
}

/* Due in turns, two orders of three would alternate; changing places costs nothing. */
static void equal_prints_change_places(void **state) {
    (void)state;
    laying l;
    start(&l);
    add(&l, 3, 8, 20, 0);
    add(&l, 3, 8, 20, 1);
    for (size_t i = 0; i < 6; i++)
        l.pieces[i].priority = (int64_t)(2 * (i % 3) + i / 3);
    laying_run(&l);
    assert_int_equal(spread_of(&l), 2);
    l.problem.settings.keep_together = 1;
    laying_run(&l);
    assert_int_equal(spread_of(&l), 0);
    assert_int_equal(l.layout.used, 40 * TW_IN);
    l.problem.stock.price = 0; /* without a price what is free is done all the same */
    laying_run(&l);
    assert_int_equal(spread_of(&l), 0);
    laying_end(&l);
}

/* One long sheet holds an order that two short ones would split, for no paper at all. */
static void long_sheets_keep_orders(void **state) {
    (void)state;
    laying l;
    start(&l);
    l.problem.stock.longest_sheet = 60 * TW_IN;
    add(&l, 2, 16, 20, 0);
    add(&l, 2, 8, 20, 1);
    l.problem.settings.keep_together = EURO;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 1);
    assert_int_equal(l.layout.used, 40 * TW_IN);
    laying_end(&l);
}

/* Too much for one sheet: split all the same, and laid. */
static void an_order_too_big_is_split(void **state) {
    (void)state;
    laying l;
    start(&l);
    add(&l, 4, 24, 18, 0);
    l.problem.settings.keep_together = 1000 * EURO;
    laying_run(&l);
    assert_int_equal(l.layout.placed_count, 4);
    assert_int_equal(spread_of(&l), 3);
    laying_end(&l);
}

/* Neither the sheet's bytes nor the roll's end give way to it. */
static void limits_hold(void **state) {
    (void)state;
    laying l;
    start(&l);
    for (int order = 0; order < 3; order++)
        add(&l, 2, 8, 20, order);
    l.problem.settings.keep_together = 100 * EURO;
    l.problem.stock.length = 50 * TW_IN;
    laying_run(&l);
    assert_int_equal(l.layout.used, 40 * TW_IN);
    assert_int_equal(l.layout.left_count, 0);
    l.problem.stock.length = 600 * TW_IN;
    for (size_t i = 0; i < 6; i++)
        l.pieces[i].bytes = 100;
    l.problem.settings.sheet_bytes_most = 150;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 6);
    laying_end(&l);
}

static int64_t cost_of(laying *l) {
    tw_pay pay;
    assert_ok(tw_pay_make(l->arena, &l->problem, &l->layout, &l->cuts, &pay, &l->error), l->error);
    return tw_pay_sum(&pay);
}

/* Seeded days: valid, and never dearer with the price of split orders than the day laid out
 * without a thought for them. */
static void random_days(void **state) {
    (void)state;
    int64_t gained = 0;
    for (uint64_t seed = 1; seed <= 80; seed++) {
        laying l;
        random_job(seed, &l, 9);
        l.problem.stock.price = 1000000;
        uint64_t s = seed;
        for (size_t i = 0; i < l.problem.count; i++) {
            l.pieces[i].group = (int)random_below(&s, 4);
            l.pieces[i].alike = -1; /* ways tried in another order cost otherwise */
        }
        laying_run(&l);
        l.problem.settings.keep_together = 200 * EURO;
        int64_t before = cost_of(&l);
        laying_run(&l);
        int64_t after = cost_of(&l);
        assert_true(after <= before);
        gained += before - after;
        laying_end(&l);
    }
    assert_true(gained > 0);
}

static void memory_runs_out(void **state) {
    (void)state;
    laying l;
    start(&l);
    for (int order = 0; order < 3; order++)
        add(&l, 2, 8, 20, order);
    l.problem.settings.keep_together = 21 * EURO;
    l.problem.settings.steps = 50;
    laying_run(&l);
    long asked = l.memory.asked;
    for (long n = 1; n < asked; n += 1 + asked / 100) {
        laying_clear(&l);
        l.memory.asked = 0;
        l.memory.fail_at = n;
        tw_code code = laying_try(&l);
        assert_true(code == TW_MEMORY || code == TW_OK);
        l.memory.fail_at = 0;
    }
    laying_end(&l);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(paper_against_split_orders),
        cmocka_unit_test(equal_prints_change_places),
        cmocka_unit_test(long_sheets_keep_orders),
        cmocka_unit_test(an_order_too_big_is_split),
        cmocka_unit_test(limits_hold),
        cmocka_unit_test(random_days),
        cmocka_unit_test(memory_runs_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
