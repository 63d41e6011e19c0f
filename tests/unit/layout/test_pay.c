/*
 * What a layout costs, against sums worked out by hand.
 */
#include "laying.h"

#include "layout/pay.h"

/* A roll of 50 ft for 129.00 EUR. */
static tw_stock roll_of(int64_t price) {
    return (tw_stock){.roll = true, .width = 24 * TW_IN, .length = 50 * TW_FT, .price = price};
}

/* 12 900 cents for 600 in: 1 in is 21.5 cents, 21 500 thousandths; 1/64 in is 335.9375 of them. */
static void paper_is_a_share_of_the_roll(void **state) {
    (void)state;
    tw_stock roll = roll_of(12900);
    assert_int_equal(tw_pay_paper(&roll, TW_IN), 21500);
    assert_int_equal(tw_pay_paper(&roll, TW_IN / 64), 336);
    assert_int_equal(tw_pay_paper(&roll, 50 * TW_FT), 12900000);
    assert_int_equal(tw_pay_paper(&roll, 0), 0);
    roll.price = 0;
    assert_int_equal(tw_pay_paper(&roll, TW_IN), 0);
}

/* A thousandth is 15 240 000 000 / 12 900 000 nm = 1181.4 nm: half of it is rounded up. */
static void halves_round_up(void **state) {
    (void)state;
    tw_stock roll = roll_of(12900);
    assert_int_equal(tw_pay_paper(&roll, 590), 0);
    assert_int_equal(tw_pay_paper(&roll, 591), 1);
    roll.length = 2000;
    roll.price = 1;
    assert_int_equal(tw_pay_paper(&roll, 1), 1); /* exactly a half */
}

/* 25 sheets for 60.00: three of them are 7.20. */
static void cut_sheets_are_a_share_of_the_box(void **state) {
    (void)state;
    tw_stock box = {.width = 13 * TW_IN, .length = 19 * TW_IN, .count = 25, .price = 6000};
    assert_int_equal(tw_pay_paper(&box, 3 * 19 * TW_IN), 720000);
}

/* The dearest roll, the longest length, a million of the dearest cuts: no overflow. */
static void nothing_overflows(void **state) {
    (void)state;
    tw_stock roll = roll_of(INT64_MAX / 1000);
    assert_true(tw_pay_paper(&roll, 10000 * TW_M) > 0);
    laying l;
    laying_start(&l);
    l.problem.settings.hand_cut = INT64_MAX / 1000;
    tw_cuts cuts = {.hand_cuts = 1000000};
    tw_pay pay;
    assert_ok(tw_pay_make(NULL, &l.problem, &l.layout, &cuts, &pay, &l.error), l.error);
    assert_true(pay.work > 0 && tw_pay_sum(&pay) > 0);
    laying_end(&l);
}

/* Three 8x10 across a 24 in roll and one 5x7 on a sheet of its own: 17 in of paper, two cuts for
 * the first sheet and, with the waste beside it, one for the second; stops 8 in, 8 in, then 7 in
 * or 5 in. At 50 cents a cut and 10 a change: 17 x 21.5 + 3 x 50 + 2 x 10 cents. */
static void a_small_day(void **state) {
    laying l;
    tw_pay pay;
    (void)state;
    laying_start(&l);
    l.problem.stock.price = 12900;
    l.problem.settings.hand_cut = 50000;
    l.problem.settings.stop_change = 10000;
    laying_add(&l, 3, 8 * TW_IN, 10 * TW_IN, TW_IN);
    laying_add(&l, 1, 5 * TW_IN, 7 * TW_IN, TW_IN);
    tw_placed placed[] = {{0, 0, 0, 0, false},
                          {1, 0, 8 * TW_IN, 0, false},
                          {2, 0, 16 * TW_IN, 0, false},
                          {3, 1, 0, 0, false}};
    static const tw_nm lengths[] = {10 * TW_IN, 7 * TW_IN, 0};
    laying_by_hand(&l, placed, 4, lengths);
    assert_ok(tw_cuts_make(l.arena, &l.problem, &l.layout, &l.limits, &l.cuts, &l.error), l.error);
    assert_ok(tw_pay_make(l.arena, &l.problem, &l.layout, &l.cuts, &pay, &l.error), l.error);
    assert_int_equal(pay.paper, 365500);
    assert_int_equal(pay.hand_cuts, 3);
    assert_int_equal(pay.stop_changes, 2);
    assert_int_equal(pay.work, 170000);
    assert_int_equal(pay.lengths, 2);
    assert_int_equal(pay.sheets, 2);
    assert_int_equal(tw_pay_sum(&pay), 535500);
    laying_end(&l);
}

static int sign(int order) {
    return (order > 0) - (order < 0);
}

static void compared(tw_pay a, tw_pay b, int wanted) {
    assert_int_equal(sign(tw_pay_compare(&a, &b)), wanted);
    assert_int_equal(sign(tw_pay_compare(&b, &a)), -wanted);
}

static void the_sum_decides_then_the_rest(void **state) {
    (void)state;
    compared((tw_pay){.priced = true, .paper = 100, .work = 50, .used = 10},
             (tw_pay){.priced = true, .paper = 120, .work = 20, .used = 12}, 1);
    compared((tw_pay){.priced = true, .paper = 100, .work = 50, .other = 1, .used = 10},
             (tw_pay){.priced = true, .paper = 120, .work = 30, .used = 12}, 1);
    compared((tw_pay){.priced = true, .paper = 100, .used = 10, .hand_cuts = 9},
             (tw_pay){.priced = true, .paper = 100, .used = 11, .hand_cuts = 1}, -1);
    compared((tw_pay){.hand_cuts = 3, .stop_changes = 9, .lengths = 9},
             (tw_pay){.hand_cuts = 4, .stop_changes = 1, .lengths = 1}, -1);
    compared((tw_pay){.stop_changes = 3, .lengths = 9}, (tw_pay){.stop_changes = 4, .lengths = 1},
             -1);
    compared((tw_pay){.lengths = 2}, (tw_pay){.lengths = 1}, 1);
    compared((tw_pay){.used = 5}, (tw_pay){.used = 5}, 0);
}

/* No money can be set against a length. */
static void without_a_price_length_comes_first(void **state) {
    (void)state;
    compared((tw_pay){.work = 900000, .used = 10}, (tw_pay){.work = 1, .used = 11}, -1);
    compared((tw_pay){.work = 7, .used = 10, .hand_cuts = 1},
             (tw_pay){.work = 8, .used = 10, .hand_cuts = 0}, -1);
}

/* Fewest cuts, but no paper for fewer stop settings that are worth nothing. */
static void wants_have_an_order_of_their_own(void **state) {
    (void)state;
    const tw_pay few = {.priced = true, .paper = 90, .used = 9, .hand_cuts = 3, .stop_changes = 1};
    const tw_pay less = {.priced = true, .paper = 70, .used = 7, .hand_cuts = 4, .stop_changes = 5};
    const tw_pay both = {.priced = true, .paper = 80, .used = 8, .hand_cuts = 3, .stop_changes = 4};
    assert_true(tw_pay_compare_for(TW_WANT_CUTS, &few, &less) < 0);
    assert_true(tw_pay_compare_for(TW_WANT_CUTS, &both, &few) < 0);
    assert_true(tw_pay_compare_for(TW_WANT_PRICE, &less, &both) < 0);
    tw_pay dear = less;
    dear.work = 100;
    assert_true(tw_pay_compare_for(TW_WANT_PRICE, &both, &dear) < 0);
    assert_true(tw_pay_compare_for(TW_WANT_PAPER, &dear, &both) < 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(paper_is_a_share_of_the_roll),
        cmocka_unit_test(halves_round_up),
        cmocka_unit_test(cut_sheets_are_a_share_of_the_box),
        cmocka_unit_test(nothing_overflows),
        cmocka_unit_test(a_small_day),
        cmocka_unit_test(the_sum_decides_then_the_rest),
        cmocka_unit_test(without_a_price_length_comes_first),
        cmocka_unit_test(wants_have_an_order_of_their_own),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
