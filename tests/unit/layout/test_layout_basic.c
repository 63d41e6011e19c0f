/*
 * Small print days worked out by hand: how many lie across, how long the paper gets, what is cut.
 * Common practice unless a source is named; every figure below is arithmetic on the sizes given.
 */
#include "laying.h"

/* Three bordered 8x10 lie across a 24 in roll exactly: the borders may lie on the margins. Two
 * cuts, the stop at 8 in for both: it is set once. */
static void three_across(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 3, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 1);
    assert_int_equal(l.layout.sheet_length[0], 10 * TW_IN);
    assert_int_equal(l.layout.used, 10 * TW_IN);
    assert_int_equal(l.layout.bound, 10 * TW_IN);
    assert_int_equal(l.cuts.hand_cuts, 2);
    assert_int_equal(l.cuts.stop_changes, 1);
    const tw_cut *cuts = l.cuts.sheets[0].cuts;
    for (int i = 0; i < 2; i++) {
        assert_int_equal(cuts[i].along, TW_ALONG);
        assert_int_equal(cuts[i].at, (i + 1) * 8 * TW_IN);
        assert_int_equal(cuts[i].stop, 8 * TW_IN);
        assert_int_equal(cuts[i].from, 0);
        assert_int_equal(cuts[i].to, 10 * TW_IN);
        assert_int_equal(l.layout.placed[i].x, i * 8 * TW_IN);
    }
    assert_true(cuts[0].machine_edge_low && cuts[0].machine_edge_high);
    assert_true(!cuts[1].machine_edge_low && cuts[1].machine_edge_high);
    laying_end(&l);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_across),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
