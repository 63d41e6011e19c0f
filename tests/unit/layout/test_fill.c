/*
 * Fillers in the waste of sheets that rows cannot fill, and rows of fillers where they pay. The
 * referee sees each layout. The roll is 24 in wide and 600 in long for 600.00: an inch costs 1.00.
 */
#include "random_jobs.h"

static void start(laying *l) {
    laying_start(l);
    l->problem.stock.price = 60000;
}

static void add(laying *l, size_t copies, tw_nm wide, tw_nm high, int64_t worth) {
    tw_piece *first = laying_add(l, copies, wide * TW_IN, high * TW_IN, HALF_IN);
    for (size_t i = 0; i < copies; i++) {
        first[i].filler = worth > 0;
        first[i].worth = worth;
        first[i].may_turn = false;
    }
}

static size_t fillers_laid(const laying *l) {
    size_t count = 0;
    for (size_t i = 0; i < l->layout.placed_count; i++)
        count += l->problem.pieces[l->layout.placed[i].piece].filler;
    return count;
}

/* Beside one ordered 8x10 there are 16 in free, whatever depth of cuts. */
static void any_depth_is_filled(void **state) {
    (void)state;
    laying l;
    start(&l);
    l.problem.settings.stages = 0;
    add(&l, 1, 8, 10, 0);
    add(&l, 5, 8, 10, 500);
    laying_run(&l);
    assert_int_equal(l.layout.used, 10 * TW_IN);
    assert_int_equal(fillers_laid(&l), 2);
    laying_end(&l);
}

/* 100 bytes each, 250 a sheet: one filler goes on, a second would be too much. */
static void near_the_byte_limit(void **state) {
    (void)state;
    laying l;
    start(&l);
    add(&l, 1, 8, 10, 0);
    add(&l, 5, 8, 10, 500);
    for (size_t i = 0; i < l.problem.count; i++)
        l.pieces[i].bytes = 100;
    l.problem.settings.sheet_bytes_most = 250;
    laying_run(&l);
    assert_int_equal(fillers_laid(&l), 1);
    for (size_t i = 0; i < l.problem.count; i++)
        l.pieces[i].image = 4; /* one image is in the file once */
    laying_run(&l);
    assert_int_equal(fillers_laid(&l), 2);
    laying_end(&l);
}

static void round_pins(void **state) {
    (void)state;
    laying l;
    start(&l);
    add(&l, 1, 8, 10, 0);
    add(&l, 4, 6, 10, 500);
    l.pieces[0].pin_sheet = 0;
    l.pieces[0].pinned_place = true;
    l.pieces[0].pin_x = 6 * TW_IN;
    laying_run(&l);
    assert_int_equal(l.layout.used, 10 * TW_IN);
    assert_int_equal(fillers_laid(&l), 2); /* one at the left, one in the 10 in at the right */
    laying_end(&l);
}

/* A full row of three 8x10 takes 10 in, 10.00. Two of them use 2/3 of it. */
static void rows_that_pay(void **state) {
    (void)state;
    laying l;
    start(&l);
    add(&l, 3, 8, 10, 0);
    add(&l, 3, 8, 10, 400);
    laying_run(&l);
    assert_int_equal(fillers_laid(&l), 0);
    l.problem.settings.add_row_at = 1000000;
    laying_run(&l);
    assert_int_equal(fillers_laid(&l), 3); /* 12.00 for 10.00 of paper */
    assert_int_equal(l.layout.used, 20 * TW_IN);
    for (size_t i = 3; i < 6; i++)
        l.pieces[i].worth = 333;
    laying_run(&l);
    assert_int_equal(fillers_laid(&l), 0); /* 9.99 are not worth it */
    for (size_t i = 3; i < 6; i++)
        l.pieces[i].worth = 900;
    l.pieces[5].worth = 0;
    laying_run(&l);
    assert_int_equal(fillers_laid(&l), 0); /* two thirds are not all of it */
    l.problem.settings.add_row_at = 660000;
    laying_run(&l);
    assert_int_equal(fillers_laid(&l), 2);
    laying_end(&l);
}

/* Never past the roll's end, nor longer than a sheet may be, nor without a price. */
static void rows_within_limits(void **state) {
    (void)state;
    laying l;
    start(&l);
    l.problem.settings.add_row_at = 500000;
    add(&l, 3, 8, 10, 0);
    add(&l, 12, 8, 10, 9000);
    laying_run(&l);
    assert_int_equal(fillers_laid(&l), 12);
    l.problem.stock.length = 35 * TW_IN;
    laying_run(&l);
    assert_int_equal(fillers_laid(&l), 6);
    l.problem.stock.length = 600 * TW_IN;
    l.problem.stock.longest_sheet = 9 * TW_IN; /* 8x10 has a sheet alone, no row */
    for (size_t i = 1; i < 3; i++) {
        l.pieces[i].filler = true;
        l.pieces[i].worth = 9000;
    }
    laying_run(&l);
    assert_int_equal(fillers_laid(&l), 0);
    l.problem.stock.longest_sheet = 60 * TW_IN;
    l.problem.stock.price = 0;
    laying_run(&l);
    assert_int_equal(l.layout.used, 10 * TW_IN);
    laying_end(&l);
}

/* A sheet of one filler beside nothing, made by hand: the referee asks for leave, use and worth. */
static void the_referee_sees_rows(void **state) {
    (void)state;
    static const tw_placed placed[] = {{.piece = 0, .sheet = 0}, {.piece = 1, .sheet = 1}};
    static const tw_nm lengths[] = {10 * TW_IN, 10 * TW_IN, 0};
    laying l;
    start(&l);
    add(&l, 1, 8, 10, 0);
    add(&l, 1, 8, 10, 400);
    laying_by_hand(&l, placed, 2, lengths);
    assert_int_equal(tw_referee_check(&l.problem, &l.layout, NULL, &l.error), TW_BUG);
    assert_says(l.error, "sheet 2 holds fillers only");
    l.problem.settings.add_row_at = 340000;
    assert_int_equal(tw_referee_check(&l.problem, &l.layout, NULL, &l.error), TW_BUG);
    assert_says(l.error, "used too little");
    l.problem.settings.add_row_at = 330000;
    assert_int_equal(tw_referee_check(&l.problem, &l.layout, NULL, &l.error), TW_BUG);
    assert_says(l.error, "not worth its paper");
    l.pieces[1].worth = 1001;
    assert_ok(tw_referee_check(&l.problem, &l.layout, NULL, &l.error), l.error);
    laying_end(&l);
}

/* Seeded days: what fillers there are never makes the ordered prints take more, nor fewer of them
 * be laid; rows of them keep within the roll. */
static void random_days(void **state) {
    (void)state;
    size_t laid = 0;
    for (uint64_t seed = 1; seed <= 100; seed++) {
        laying l;
        random_job(seed, &l, 8);
        for (size_t i = 0; i < l.problem.count; i++)
            l.pieces[i].alike = -1;
        l.problem.settings.add_row_at = 0;
        laying_run(&l);
        tw_nm used = l.layout.used;
        size_t placed = l.layout.placed_count;
        uint64_t s = seed;
        add(&l, 6, 4 + random_below(&s, 6), 5 + random_below(&s, 9), 100);
        add(&l, 6, 3 + random_below(&s, 3), 4 + random_below(&s, 3), 60);
        laying_run(&l);
        assert_int_equal(l.layout.used, used);
        assert_int_equal(l.layout.placed_count - fillers_laid(&l), placed);
        laid += fillers_laid(&l);
        l.problem.stock.price = 20000;
        l.problem.settings.add_row_at = 700000;
        laying_run(&l);
        laying_end(&l);
    }
    assert_true(laid > 100);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_depth_is_filled),
        cmocka_unit_test(near_the_byte_limit),
        cmocka_unit_test(round_pins),
        cmocka_unit_test(rows_that_pay),
        cmocka_unit_test(the_referee_sees_rows),
        cmocka_unit_test(rows_within_limits),
        cmocka_unit_test(random_days),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
