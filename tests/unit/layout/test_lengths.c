/*
 * Sheets of given lengths: small days worked out by hand, and what the referee says of others.
 */
#include "laying.h"

static const tw_nm two[] = {12 * TW_IN, 20 * TW_IN};

static void start_listed(laying *l, const tw_nm *lengths, int count) {
    laying_start(l);
    l->problem.stock.sheet_lengths = lengths;
    l->problem.stock.sheet_length_count = count;
}

/* Six 8x10 are two full rows of 10 in: one sheet of 20 in. Three of them: the shortest that holds
 * 10 in, its last 2 in waste. */
static void the_least_of_the_list_is_taken(void **state) {
    laying l;
    (void)state;
    start_listed(&l, two, 2);
    laying_add(&l, 6, 8 * TW_IN, 10 * TW_IN, TW_IN);
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 1);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    l.problem.count = 3;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 1);
    assert_int_equal(l.layout.used, 12 * TW_IN);
    assert_int_equal(l.layout.bound, 12 * TW_IN);
    laying_end(&l);
}

/* Rows of 9, 8, 6, 5 and 2 in, each 24 in wide, on sheets of 15 in: 9 + 6 and 8 + 5 + 2. In order
 * of height, and cut where one is full, they would take three sheets: 9, 8 + 6, 5 + 2. */
static void lengths_are_filled(void **state) {
    static const tw_nm lengths[] = {15 * TW_IN};
    static const int rows[] = {9, 8, 6, 5, 2};
    laying l;
    (void)state;
    start_listed(&l, lengths, 1);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        laying_add(&l, 1, 24 * TW_IN, rows[i] * TW_IN, TW_IN)->may_turn = false;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 2);
    assert_int_equal(l.layout.used, 30 * TW_IN);
    assert_int_equal(l.layout.bound, 30 * TW_IN);
    laying_end(&l);
}

/* 10 in on a sheet of 10 1/16 in leaves a strip too thin to cut off: the next length. */
static void no_thin_strip_at_the_tail(void **state) {
    static const tw_nm lengths[] = {10 * TW_IN + TW_IN / 16, 11 * TW_IN};
    laying l;
    (void)state;
    start_listed(&l, lengths, 2);
    laying_add(&l, 3, 8 * TW_IN, 10 * TW_IN, TW_IN)->may_turn = false;
    l.pieces[1].may_turn = l.pieces[2].may_turn = false;
    laying_run(&l);
    assert_int_equal(l.layout.used, 11 * TW_IN);
    laying_end(&l);
}

/* Longer than every length, whichever way it lies. */
static void longer_than_all_is_left(void **state) {
    laying l;
    (void)state;
    start_listed(&l, two, 2);
    laying_add(&l, 1, 22 * TW_IN, 30 * TW_IN, TW_IN);
    laying_add(&l, 1, 8 * TW_IN, 10 * TW_IN, TW_IN);
    laying_run(&l);
    assert_int_equal(l.layout.left_count, 1);
    assert_int_equal(l.layout.left[0].piece, 0);
    assert_int_equal(l.layout.left[0].why, TW_LEFT_TOO_BIG);
    laying_end(&l);
}

static void the_referee_knows_the_list(void **state) {
    static const tw_placed placed[] = {{0, 0, 0, 0, false}};
    static const tw_nm lengths[] = {13 * TW_IN, 0};
    laying l;
    (void)state;
    start_listed(&l, two, 2);
    laying_add(&l, 1, 8 * TW_IN, 10 * TW_IN, TW_IN);
    laying_by_hand(&l, placed, 1, lengths);
    l.layout.bound = 0;
    assert_ok(tw_cuts_make(l.arena, &l.problem, &l.layout, &l.limits, &l.cuts, &l.error), l.error);
    assert_int_equal(tw_referee_check(&l.problem, &l.layout, &l.cuts, &l.error), TW_BUG);
    assert_says(l.error, "not one of the lengths asked for");
    laying_end(&l);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_least_of_the_list_is_taken), cmocka_unit_test(lengths_are_filled),
        cmocka_unit_test(no_thin_strip_at_the_tail),      cmocka_unit_test(longer_than_all_is_left),
        cmocka_unit_test(the_referee_knows_the_list),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
