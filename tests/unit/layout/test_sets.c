/*
 * Sets of prints that lie the same way. The referee, which checks it by itself, sees each layout.
 */
#include "random_jobs.h"

static void add_set(laying *l, size_t copies, tw_nm wide, tw_nm high, int set) {
    tw_piece *first = laying_add(l, copies, wide * TW_IN, high * TW_IN, HALF_IN);
    for (size_t i = 0; i < copies; i++)
        first[i].alike = set;
}

/* 8x10 on a 24 in roll: three upright in 10 in or two turned in 8 in. Of five, 18 in of paper are
 * enough when some lie turned, 20 in when all lie one way; of two, 8 in against 10 in. */
static void all_one_way(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    add_set(&l, 5, 8, 10, -1);
    laying_run(&l);
    assert_int_equal(l.layout.used, 18 * TW_IN);
    for (size_t i = 0; i < 5; i++)
        l.pieces[i].alike = 3;
    laying_run(&l);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    laying_end(&l);
}

static void turned_where_that_is_less(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    add_set(&l, 2, 8, 10, 0);
    laying_run(&l);
    assert_int_equal(l.layout.used, 8 * TW_IN);
    assert_true(l.layout.placed[0].turned && l.layout.placed[1].turned);
    laying_end(&l);
}

/* Each set has its own way: the pair lies turned, the three upright. */
static void sets_are_apart(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    add_set(&l, 2, 8, 10, 0);
    add_set(&l, 3, 8, 12, 1);
    laying_run(&l);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    laying_end(&l);
}

/* One that may only lie upright holds its whole set; one that cannot do as the rest is left out. */
static void one_holds_the_rest(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    add_set(&l, 2, 8, 10, 0);
    l.pieces[1].may_turn = false;
    laying_run(&l);
    assert_int_equal(l.layout.used, 10 * TW_IN);
    assert_false(l.layout.placed[0].turned);
    add_set(&l, 1, 30, 20, 0); /* 30 in is wider than the roll: only turned */
    laying_run(&l);
    assert_int_equal(l.layout.left_count, 1);
    assert_int_equal(l.layout.left[0].why, TW_LEFT_TOO_BIG);
    laying_end(&l);
}

/* Free sets cost no more than the same day with every set upright. */
static void never_worse_than_upright(void **state) {
    (void)state;
    for (uint64_t seed = 1; seed <= 60; seed++) {
        laying l;
        random_job(seed, &l, 6);
        for (size_t i = 0; i < l.problem.count; i++)
            l.pieces[i].alike = (int)(i % 2);
        laying_run(&l);
        tw_nm used = l.layout.used;
        size_t left = l.layout.left_count;
        for (size_t i = 0; i < l.problem.count; i++)
            l.pieces[i].may_turn = false;
        laying_run(&l);
        if (l.layout.left_count == 0 && left == 0)
            assert_true(used <= l.layout.used);
        laying_end(&l);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_one_way),
        cmocka_unit_test(turned_where_that_is_less),
        cmocka_unit_test(sets_are_apart),
        cmocka_unit_test(one_holds_the_rest),
        cmocka_unit_test(never_worse_than_upright),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
