/*
 * Small print days worked out by hand: how many lie across, how long the paper gets, what is cut.
 * Common practice unless a source is named; every figure below is arithmetic on the sizes given.
 */
#include "laying.h"

static void expect(const laying *l, tw_nm used, int sheets, int64_t cuts) {
    assert_int_equal(l->layout.left_count, 0);
    assert_int_equal(l->layout.used, used);
    assert_int_equal(l->layout.sheet_count, sheets);
    assert_int_equal(l->cuts.hand_cuts, cuts);
}

static const tw_placed *placed(const laying *l, size_t piece) {
    for (size_t i = 0; i < l->layout.placed_count; i++)
        if (l->layout.placed[i].piece == piece)
            return &l->layout.placed[i];
    fail_msg("piece %zu is not placed", piece);
    return NULL;
}

/* Three bordered 8x10 lie across a 24 in roll exactly: the borders may lie on the margins. Two
 * cuts, the stop at 8 in for both: it is set once. */
static void three_across(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 3, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    laying_run(&l);
    expect(&l, 10 * TW_IN, 1, 2);
    assert_int_equal(l.layout.sheet_length[0], 10 * TW_IN);
    assert_int_equal(l.layout.bound, 10 * TW_IN);
    assert_int_equal(l.cuts.stop_changes, 1);
    const tw_cut *cuts = l.cuts.sheets[0].cuts;
    for (int i = 0; i < 2; i++) {
        assert_int_equal(cuts[i].along, TW_ALONG);
        assert_int_equal(cuts[i].at, 8 * TW_IN * (i + 1));
        assert_int_equal(cuts[i].stop, 8 * TW_IN);
        assert_int_equal(cuts[i].from, 0);
        assert_int_equal(cuts[i].to, 10 * TW_IN);
        assert_int_equal(l.layout.placed[i].x, 8 * TW_IN * i);
    }
    assert_true(cuts[0].machine_edge_low && cuts[0].machine_edge_high);
    assert_true(!cuts[1].machine_edge_low && cuts[1].machine_edge_high);
    laying_end(&l);
}

/* Without a border the ink keeps 1/4 in on both sides: 23 1/2 in are left, two lie across. Turned,
 * two rows of 8 in hold the three. */
static void no_border_keeps_the_margin(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 3, 8 * TW_IN, 10 * TW_IN, 0);
    laying_run(&l);
    assert_int_equal(l.layout.used, 16 * TW_IN);
    for (size_t i = 0; i < 3; i++)
        assert_true(placed(&l, i)->x >= QUARTER_IN);
    laying_end(&l);
}

/* A whole width: nothing to cut by hand at all. */
static void full_width(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 1, 24 * TW_IN, 36 * TW_IN, TW_IN);
    laying_run(&l);
    expect(&l, 36 * TW_IN, 1, 0);
    assert_int_equal(l.cuts.stop_changes, 0);
    assert_int_equal(l.cuts.sheets[0].node_count, 1);
    assert_int_equal(l.cuts.sheets[0].nodes[0].kind, TW_NODE_PRINT);
    laying_end(&l);
}

/* One print 8x10 whose picture reaches its trim on one side only, that side's margin 1 in and the
 * others' 0: alone on its sheet, so the page and the place show the inch on that side. */
static void one_side(int side, tw_nm x, tw_nm y, tw_nm page, int64_t cuts) {
    laying l;
    laying_start(&l);
    l.problem.stock.width = 10 * TW_IN;
    l.problem.stock.side = TW_IN;
    l.problem.stock.lead = TW_IN;
    l.problem.stock.tail = TW_IN;
    tw_piece *piece = laying_add(&l, 1, 8 * TW_IN, 10 * TW_IN, TW_IN);
    piece->may_turn = false;
    piece->visible.side[side] = 0;
    laying_run(&l);
    expect(&l, page, 1, cuts);
    assert_int_equal(l.layout.placed[0].x, x);
    assert_int_equal(l.layout.placed[0].y, y);
    laying_end(&l);
}

static void each_margin_by_itself(void **state) {
    (void)state;
    one_side(TW_TOP, 0, TW_IN, 11 * TW_IN, 2);  /* lead off, right side off */
    one_side(TW_BOTTOM, 0, 0, 11 * TW_IN, 2);   /* tail off, right side off */
    one_side(TW_LEFT, TW_IN, 0, 10 * TW_IN, 2); /* an inch off on both sides */
    one_side(TW_RIGHT, 0, 0, 10 * TW_IN, 1);    /* 2 in off at the right */
}

/* 10 x 8 in on an 8 1/2 in roll lies turned: its upright top is at the sheet's right. With ink on
 * the upright bottom, at the left, it keeps 1/2 in there and just fits; with ink on top as well it
 * does not. */
static void margins_of_a_turned_print(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    l.problem.stock.width = 17 * HALF_IN;
    l.problem.stock.side = HALF_IN;
    tw_piece *piece = laying_add(&l, 1, 10 * TW_IN, 8 * TW_IN, HALF_IN);
    piece->visible.side[TW_BOTTOM] = 0;
    laying_run(&l);
    expect(&l, 10 * TW_IN, 1, 1);
    assert_true(l.layout.placed[0].turned);
    assert_int_equal(l.layout.placed[0].x, HALF_IN);
    piece->visible.side[TW_TOP] = 0;
    laying_run(&l);
    assert_int_equal(l.layout.left_count, 1);
    assert_int_equal(l.layout.left[0].why, TW_LEFT_TOO_BIG);
    laying_end(&l);
}

/* A white 10x10 beside another: one shared cut, and one for the 4 in at the right. A gutter is a
 * strip of its own: three cuts. */
static void shared_cut_and_gutter(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 2, 10 * TW_IN, 10 * TW_IN, HALF_IN);
    laying_run(&l);
    expect(&l, 10 * TW_IN, 1, 2);
    l.problem.settings.gutter = QUARTER_IN;
    laying_run(&l);
    expect(&l, 10 * TW_IN, 1, 3);
    assert_int_equal(l.layout.placed[1].x - l.layout.placed[0].x, 10 * TW_IN + QUARTER_IN);
    /* Cut where the second begins, trim the first, part the second: 10 1/4, then twice 10. */
    assert_int_equal(l.cuts.stop_changes, 2);
    laying_end(&l);
}

/* No gutter where a sheet begins or ends: two rows of three with a 1 in gutter do not fit across
 * (26 in), two across take three rows. */
static void gutter_is_between_prints_only(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 6, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    l.problem.settings.gutter = TW_IN;
    l.problem.settings.turn = false;
    laying_run(&l);
    assert_int_equal(l.layout.used, 30 * TW_IN);
    assert_int_equal(l.layout.sheet_count, 3);
    laying_end(&l);
}

/* Pictures that bleed 1/8 in to both sides lie 1/4 in apart, and 3/8 in from the edges where the
 * margin is 1/4 in: 3/8 + 8 + 1/4 + 8 + 3/8 = 17 in. */
static void bleed_pair(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    l.problem.stock.width = 17 * TW_IN;
    laying_bleed(&l, 2, 8 * TW_IN, 10 * TW_IN, EIGHTH_IN);
    l.problem.settings.turn = false;
    laying_run(&l);
    assert_int_equal(l.layout.placed[0].x, 3 * EIGHTH_IN);
    assert_int_equal(l.layout.placed[1].x, 8 * TW_IN + 5 * EIGHTH_IN);
    expect(&l, 10 * TW_IN + QUARTER_IN, 1, 6); /* no margin at the ends, but 1/8 in of bleed */
    l.problem.stock.width -= 1;
    laying_run(&l);
    assert_true(l.layout.used > 20 * TW_IN);
    laying_end(&l);
}

/* A bordered neighbour has no bleed: the gap is the one bleed, 1/8 in. And a print that bleeds
 * fits between two bordered ones where it would not fit at the edge:
 * 8 + 1/8 + 7.6 + 1/8 + 8 = 23.85 in. */
static void bleed_between_borders(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 2, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    laying_bleed(&l, 1, 76 * TW_IN / 10, 9 * TW_IN, EIGHTH_IN);
    l.problem.settings.turn = false;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 1);
    assert_int_equal(placed(&l, 2)->x, 8 * TW_IN + EIGHTH_IN);
    laying_end(&l);
}

/* A bruised roll loses edge_trim on both sides: two 8x10 lie across instead of three. */
static void bruised_roll(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 3, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    l.problem.settings.turn = false;
    l.problem.stock.edge_trim = QUARTER_IN;
    laying_run(&l);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    for (size_t i = 0; i < 3; i++)
        assert_true(l.layout.placed[i].x >= QUARTER_IN);
    laying_end(&l);
}

/* A 610 mm roll is 0.4 mm wider than 24 in. That cannot be cut off, so two 8x10 lie across, not
 * three; a strip of 1/8 in could. */
static void thin_leftover(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    l.problem.stock.width = 610 * TW_MM;
    laying_add(&l, 3, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    l.problem.settings.turn = false;
    laying_run(&l);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    l.problem.stock.width = 24 * TW_IN + EIGHTH_IN;
    laying_run(&l);
    expect(&l, 10 * TW_IN, 1, 3);
    l.problem.stock.width -= 1;
    laying_run(&l);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    laying_end(&l);
}

/* The same leftover joins a strip that is cut off anyway: the prints move over by it. */
static void thin_leftover_moves_over(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    l.problem.stock.width = 610 * TW_MM;
    l.problem.stock.side = 4 * TW_MM;
    tw_piece *pieces = laying_add(&l, 3, 202 * TW_MM - 100000, 10 * TW_IN, HALF_IN);
    for (size_t i = 0; i < 3; i++)
        pieces[i].visible.side[TW_LEFT] = 0;
    l.problem.settings.turn = false;
    laying_run(&l); /* 4 + 3 * 201.9 = 609.7 mm */
    assert_int_equal(l.layout.sheet_count, 1);
    assert_int_equal(l.layout.placed[0].x, 43 * TW_MM / 10);
    laying_end(&l);
}

/* In a row too: beside 10 in + 1 mm, 10 in would lose a strip of 1 mm. The row is made so high that
 * both lose a strip that can be cut off. */
static void thin_leftover_in_a_row(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 1, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    laying_add(&l, 1, 8 * TW_IN, 10 * TW_IN + TW_MM, HALF_IN);
    l.problem.settings.turn = false;
    laying_run(&l);
    assert_int_equal(l.layout.used, 10 * TW_IN + TW_MM + EIGHTH_IN);
    l.problem.settings.narrowest_strip = TW_MM;
    laying_run(&l);
    assert_int_equal(l.layout.used, 10 * TW_IN + TW_MM);
    laying_end(&l);
}

/* 30 x 20 in fits a 24 in roll only turned: not where the print or the job forbids it. */
static void turning(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    tw_piece *piece = laying_add(&l, 1, 30 * TW_IN, 20 * TW_IN, HALF_IN);
    laying_run(&l);
    assert_int_equal(l.layout.placed_count, 1);
    assert_true(l.layout.placed[0].turned);
    assert_int_equal(l.layout.used, 30 * TW_IN);
    piece->may_turn = false;
    laying_run(&l);
    assert_int_equal(l.layout.left[0].why, TW_LEFT_TOO_BIG);
    piece->may_turn = true;
    l.problem.settings.turn = false;
    laying_run(&l);
    assert_int_equal(l.layout.left[0].why, TW_LEFT_TOO_BIG);
    assert_int_equal(l.layout.used, 0);
    assert_int_equal(l.layout.sheet_count, 0);
    assert_int_equal(l.layout.bound, 0);
    laying_end(&l);
}

/* Two 5x7 are stacked beside a 16x20 in its row rather than below it: 16 + 5 = 21 in across,
 * 7 + 7 of 20 in. */
static void stacked_beside(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 1, 16 * TW_IN, 20 * TW_IN, HALF_IN);
    laying_add(&l, 2, 5 * TW_IN, 7 * TW_IN, HALF_IN);
    l.problem.settings.turn = false;
    laying_run(&l);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    laying_end(&l);
}

/* Nothing to do is a plan of nothing. */
static void nothing(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_run(&l);
    expect(&l, 0, 0, 0);
    laying_end(&l);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_across),
        cmocka_unit_test(no_border_keeps_the_margin),
        cmocka_unit_test(full_width),
        cmocka_unit_test(each_margin_by_itself),
        cmocka_unit_test(margins_of_a_turned_print),
        cmocka_unit_test(shared_cut_and_gutter),
        cmocka_unit_test(gutter_is_between_prints_only),
        cmocka_unit_test(bleed_pair),
        cmocka_unit_test(bleed_between_borders),
        cmocka_unit_test(bruised_roll),
        cmocka_unit_test(thin_leftover),
        cmocka_unit_test(thin_leftover_moves_over),
        cmocka_unit_test(thin_leftover_in_a_row),
        cmocka_unit_test(turning),
        cmocka_unit_test(stacked_beside),
        cmocka_unit_test(nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
