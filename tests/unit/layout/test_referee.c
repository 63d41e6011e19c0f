/*
 * The referee objects: one fault for each of its rules about pieces, places, pages and totals is
 * planted into a plan it has passed. (Faults in cuts: test_referee_cuts.c.)
 */
#include "laying.h"

/* Sheet 1: three 8x10. Sheet 2, 12 in long: two 10x10 and 4 in of waste. Left out: a third 10x10,
 * served last, and a print too big. */
static void start_plan(laying *l) {
    laying_start(l);
    laying_add(l, 3, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    laying_add(l, 3, 10 * TW_IN, 10 * TW_IN, HALF_IN);
    laying_add(l, 1, 30 * TW_IN, 40 * TW_IN, HALF_IN);
    l->pieces[5].priority = 1;
    const tw_placed placed[] = {{0, 0, 0, 0, false},
                                {1, 0, 8 * TW_IN, 0, false},
                                {2, 0, 16 * TW_IN, 0, false},
                                {3, 1, 0, 0, false},
                                {4, 1, 10 * TW_IN, 0, false}};
    const tw_nm lengths[] = {10 * TW_IN, 12 * TW_IN, 0};
    laying_by_hand(l, placed, 5, lengths);
    l->layout.left = tw_arena_array(l->arena, 2, sizeof *l->layout.left);
    l->layout.left[0] = (tw_left){5, TW_LEFT_PAPER_USED};
    l->layout.left[1] = (tw_left){6, TW_LEFT_TOO_BIG};
    l->layout.left_count = 2;
    l->problem.stock.length = 23 * TW_IN;
    assert_ok(tw_cuts_make(l->arena, &l->problem, &l->layout, &l->limits, &l->cuts, &l->error),
              l->error);
    assert_ok(tw_referee_check(&l->problem, &l->layout, &l->cuts, &l->error), l->error);
}

static void objects(laying *l, const char *words) {
    assert_int_equal(tw_referee_check(&l->problem, &l->layout, &l->cuts, &l->error), TW_BUG);
    assert_says(l->error, words);
    assert_string_equal(l->error.name, "plan-check");
    laying_end(l);
}

/* Plant a fault in a fresh plan `l`, then hear the objection. */
#define PLANT(fault, words)                                                                        \
    do {                                                                                           \
        laying l;                                                                                  \
        start_plan(&l);                                                                            \
        tw_placed *placed = l.layout.placed;                                                       \
        (void)placed;                                                                              \
        fault;                                                                                     \
        objects(&l, words);                                                                        \
    } while (0)

static void every_copy_once(void **state) {
    (void)state;
    PLANT(placed[4].piece = 99, "no piece 99");
    PLANT(placed[4].piece = 7, "no piece 7, only 7");
    PLANT(placed[4].piece = 3, "listed twice");
    PLANT(l.layout.left[0].piece = 4, "listed twice");
    PLANT(l.layout.left_count = 1, "neither placed nor left");
    PLANT((l.layout.left[0].piece = 6, l.layout.left[1].piece = 5), "left out are not in order");
}

static void sheets_in_order(void **state) {
    (void)state;
    PLANT((placed[0].piece = 1, placed[1].piece = 0, placed[0].x = 8 * TW_IN, placed[1].x = 0),
          "placed are not in order");
    PLANT((placed[3].sheet = 2, placed[4].sheet = 2), "sheet 3 follows sheet 1");
    PLANT((placed[3].sheet = 0, placed[4].sheet = 0, placed[3].y = placed[4].y = 10 * TW_IN),
          "sheet 2 of 2 holds no print");
    PLANT(placed[0].sheet = -1, "sheet 0 follows");
    PLANT(placed[4].sheet = 0, "sheet 1 follows sheet 2");
    PLANT(placed[4].sheet = 2, "sheet 3 follows sheet 2 of 2");
    PLANT(l.layout.sheet_count = -1, "-1 sheets");
}

static void turns_allowed(void **state) {
    (void)state;
    PLANT((placed[4].turned = true, l.pieces[4].may_turn = false), "turned and must not be");
    PLANT((placed[4].turned = true, l.problem.settings.turn = false), "turned and must not be");
    PLANT((l.pieces[3].alike = l.pieces[4].alike = 7, placed[4].turned = true),
          "do not lie the same way");
}

static void pins_kept(void **state) {
    (void)state;
    PLANT(l.pieces[4].pin_sheet = 0, "lies on sheet 2, pinned to sheet 1");
    PLANT((l.pieces[4].pinned_place = true, l.pieces[4].pin_x = TW_IN), "not where it is pinned");
    PLANT((l.pieces[3].pinned_place = true, l.pieces[3].pin_turned = true),
          "not where it is pinned");
}

static void inside_the_sheet(void **state) {
    (void)state;
    PLANT(placed[0].x = -1, "over the left edge");
    PLANT(placed[2].x += 1, "over the right edge");
    PLANT(placed[0].y = -1, "over the leading edge");
    PLANT(placed[4].y = 2 * TW_IN + 1, "over the trailing edge of sheet 2");
}

/* The edge named needs 1 nm more than there is. */
static void ink_inside_the_margins(void **state) {
    (void)state;
    PLANT((l.problem.stock.lead = 1, l.pieces[3].visible.side[TW_TOP] = 0),
          "from the leading edge");
    PLANT((l.problem.stock.tail = 2 * TW_IN + 1, l.pieces[3].visible.side[TW_BOTTOM] = 0,
           l.pieces[0].visible = l.pieces[1].visible = l.pieces[2].visible = all_sides(3 * TW_IN)),
          "from the trailing edge");
    PLANT(l.pieces[3].visible.side[TW_LEFT] = QUARTER_IN - 1, "from the left edge");
    PLANT((l.problem.stock.side = 9 * HALF_IN, l.pieces[3].visible.side[TW_LEFT] = 9 * HALF_IN,
           l.pieces[4].visible.side[TW_RIGHT] = HALF_IN - 1,
           l.pieces[0].visible = l.pieces[1].visible = l.pieces[2].visible = all_sides(5 * TW_IN)),
          "from the right edge");
    /* Turned, the upright bottom lies at the left. */
    PLANT((placed[3].turned = true, l.pieces[3].visible.side[TW_BOTTOM] = 0), "from the left edge");
    PLANT(l.problem.stock.edge_trim = 1, "from the left edge of sheet 1");
    PLANT(l.problem.settings.strip_lead = 1, "from the leading edge");
    PLANT(l.problem.settings.strip_tail = 1, "from the trailing edge");
}

/* A distance of 2 mm where 1 mm is needed: what must be cut off must be 1/8 in. */
static void distances_that_can_be_cut(void **state) {
    (void)state;
    PLANT((l.problem.stock.lead = HALF_IN + TW_MM, placed[0].y = 2 * TW_MM, placed[1].y = 2 * TW_MM,
           placed[2].y = 2 * TW_MM, l.layout.sheet_length[0] = 11 * TW_IN),
          "needs 3.175 mm");
}

static void apart_from_each_other(void **state) {
    (void)state;
    PLANT(placed[4].x -= 1, "too close on sheet 2");
    PLANT((placed[4].x = placed[3].x, placed[4].y = placed[3].y), "too close");
    PLANT(l.problem.settings.gutter = 1, "too close");
    PLANT(l.pieces[3].bleed.side[TW_RIGHT] = 1, "pieces 3 and 4");
    PLANT(l.pieces[4].bleed.side[TW_LEFT] = 1, "pieces 3 and 4");
    PLANT((l.pieces[4].bleed.side[TW_BOTTOM] = 1, placed[4].turned = true), "pieces 3 and 4");
    /* 1/2 in apart, 1/4 in bleed each; then 1 nm more. */
    PLANT((placed[4].x += HALF_IN, l.pieces[3].bleed.side[TW_RIGHT] = QUARTER_IN,
           l.pieces[4].bleed.side[TW_LEFT] = QUARTER_IN + 1),
          "pieces 3 and 4");
}

/* Above one another, and corner to corner, where a bleed would print on the neighbour. */
static void apart_down_the_sheet(void **state) {
    (void)state;
    laying l;
    const tw_nm lengths[] = {20 * TW_IN, 0};
    laying_start(&l);
    laying_add(&l, 2, 10 * TW_IN, 10 * TW_IN, HALF_IN);
    tw_placed placed[] = {{0, 0, 0, 0, false}, {1, 0, 0, 10 * TW_IN, false}};
    for (tw_nm x = 0; x <= 10; x += 10) {
        placed[1].x = x * TW_IN;
        laying_by_hand(&l, placed, 2, lengths);
        l.pieces[0].bleed.side[TW_BOTTOM] = l.pieces[0].bleed.side[TW_RIGHT] = 0;
        assert_ok(tw_referee_check(&l.problem, &l.layout, NULL, &l.error), l.error);
        l.pieces[0].bleed.side[TW_BOTTOM] = l.pieces[0].bleed.side[TW_RIGHT] = 1;
        assert_int_equal(tw_referee_check(&l.problem, &l.layout, NULL, &l.error), TW_BUG);
        assert_says(l.error, "too close");
    }
    laying_end(&l);
}

static void pages(void **state) {
    (void)state;
    PLANT(l.problem.stock.shortest_sheet = 10 * TW_IN + 1,
          "sheet 1 is 254 mm long, under the shortest");
    PLANT(l.problem.stock.longest_sheet = 12 * TW_IN - 1,
          "sheet 2 is 304.8 mm long, over the longest");
    PLANT(l.problem.stock.sheet_most = 12 * TW_IN - 1,
          "sheet 2 is 304.8 mm long, over the longest");
    PLANT((l.problem.stock.roll = false, l.problem.stock.length = 10 * TW_IN,
           l.problem.stock.count = 2),
          "sheet 2 is 304.8 mm long, not the whole sheet");
}

static void bytes(void **state) {
    (void)state;
    PLANT((l.problem.settings.sheet_bytes_most = 9, l.pieces[3].bytes = l.pieces[4].bytes = 5),
          "10 bytes and may hold 9");
    PLANT((l.problem.settings.sheet_bytes_most = 9, l.pieces[3].bytes = l.pieces[4].bytes = 5,
           l.pieces[3].image = 1, l.pieces[4].image = 2),
          "10 bytes and may hold 9");
}

static void totals(void **state) {
    (void)state;
    PLANT(l.layout.used += 1, "the sheets take");
    PLANT(l.problem.stock.lost_each_sheet = 1, "the sheets take");
    PLANT(l.problem.stock.lost_each_load = 1, "the sheets take");
    PLANT(l.problem.stock.lost_core_end = 1, "the sheets take");
    PLANT(l.problem.stock.length = 22 * TW_IN - 1, "of a roll of");
    PLANT(l.layout.bound = l.layout.used + 1, "less than the bound");
    PLANT(l.layout.bound = -1, "less than the bound");
    PLANT((l.problem.stock.roll = false,
           l.problem.stock.length = l.layout.sheet_length[0] = 12 * TW_IN,
           l.layout.used = 24 * TW_IN, l.problem.stock.count = 1),
          "2 sheets of 1");
}

static void reasons(void **state) {
    (void)state;
    PLANT(l.layout.left[0].why = TW_LEFT_TOO_BIG, "it fits its paper");
    PLANT(l.layout.left[1].why = TW_LEFT_PAPER_USED, "too big, not left out because");
    PLANT(l.layout.left[0].why = TW_LEFT_TOO_MANY_BYTES, "not why it is said");
    PLANT((l.pieces[5].bytes = 10, l.problem.settings.sheet_bytes_most = 9), "not why it is said");
    PLANT(l.problem.stock.length = 32 * TW_IN, "there is paper for it");
    PLANT(l.pieces[5].priority = -1, "served after it");
}

/* What is not a fault: the same numbers one nanometre the other way. */
static void and_not_without_reason(void **state) {
    (void)state;
    laying l;
    start_plan(&l);
    l.problem.stock.length = 32 * TW_IN - 1;
    l.problem.stock.shortest_sheet = 10 * TW_IN;
    l.problem.stock.longest_sheet = 12 * TW_IN;
    l.problem.stock.tail = 2 * TW_IN;
    l.pieces[0].visible.side[TW_BOTTOM] = 2 * TW_IN;
    l.pieces[1].visible.side[TW_BOTTOM] = 2 * TW_IN;
    l.pieces[2].visible.side[TW_BOTTOM] = 2 * TW_IN;
    l.pieces[3].visible.side[TW_BOTTOM] = 0;
    l.pieces[4].bleed.side[TW_RIGHT] = TW_IN;
    l.layout.bound = l.layout.used;
    assert_ok(tw_referee_check(&l.problem, &l.layout, &l.cuts, &l.error), l.error);
    laying_end(&l);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_copy_once),
        cmocka_unit_test(sheets_in_order),
        cmocka_unit_test(turns_allowed),
        cmocka_unit_test(pins_kept),
        cmocka_unit_test(inside_the_sheet),
        cmocka_unit_test(ink_inside_the_margins),
        cmocka_unit_test(distances_that_can_be_cut),
        cmocka_unit_test(apart_from_each_other),
        cmocka_unit_test(apart_down_the_sheet),
        cmocka_unit_test(pages),
        cmocka_unit_test(bytes),
        cmocka_unit_test(totals),
        cmocka_unit_test(reasons),
        cmocka_unit_test(and_not_without_reason),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
