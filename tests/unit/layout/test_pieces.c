/*
 * How far a trim keeps from its sheet's edges and from its neighbour: each side by itself, upright
 * and turned. Only ink keeps a margin; a white border may lie on it (common practice).
 */
#include "laying.h"

#include "layout/pieces.h"

/* Margins all different, so that a side taken for another shows. */
static const tw_stock roll = {.roll = true,
                              .width = 24 * TW_IN,
                              .length = 50 * TW_FT,
                              .lead = 10 * TW_MM,
                              .side = 20 * TW_MM,
                              .tail = 30 * TW_MM,
                              .machine_cuts = true};

/* Upright top 1, right 2, bottom 3, left 4 mm of border: what is missing to the margin is kept. */
static void upright(void **state) {
    (void)state;
    tw_layout_settings settings = {.turn = true};
    tw_piece piece = {.visible = {{1 * TW_MM, 2 * TW_MM, 3 * TW_MM, 4 * TW_MM}}};
    tw_sides keep = tw_piece_keep(&roll, &settings, &piece, false);
    assert_int_equal(keep.side[TW_TOP], 9 * TW_MM);
    assert_int_equal(keep.side[TW_RIGHT], 18 * TW_MM);
    assert_int_equal(keep.side[TW_BOTTOM], 27 * TW_MM);
    assert_int_equal(keep.side[TW_LEFT], 16 * TW_MM);
}

/* A quarter turn clockwise: the upright top lies at the right, left on top, bottom at the left,
 * right at the bottom. */
static void turned(void **state) {
    (void)state;
    tw_layout_settings settings = {.turn = true};
    tw_piece piece = {.visible = {{1 * TW_MM, 2 * TW_MM, 3 * TW_MM, 4 * TW_MM}}};
    tw_sides keep = tw_piece_keep(&roll, &settings, &piece, true);
    assert_int_equal(keep.side[TW_TOP], 6 * TW_MM);     /* 10 - left 4 */
    assert_int_equal(keep.side[TW_RIGHT], 19 * TW_MM);  /* 20 - top 1 */
    assert_int_equal(keep.side[TW_BOTTOM], 28 * TW_MM); /* 30 - right 2 */
    assert_int_equal(keep.side[TW_LEFT], 17 * TW_MM);   /* 20 - bottom 3 */
}

/* A border as wide as the margin keeps nothing, one wider keeps nothing either. */
static void border_on_the_margin(void **state) {
    (void)state;
    tw_layout_settings settings = {0};
    for (tw_nm border = 30; border <= 40; border += 10) {
        tw_piece piece = {.visible = all_sides(border * TW_MM)};
        tw_sides keep = tw_piece_keep(&roll, &settings, &piece, false);
        for (int side = 0; side < 4; side++)
            assert_int_equal(keep.side[side], 0);
    }
}

/* A picture that bleeds 3 mm has ink 3 mm outside its trim: the trim keeps 3 mm more. */
static void bleed_keeps_more(void **state) {
    (void)state;
    tw_layout_settings settings = {0};
    tw_piece piece = {.visible = all_sides(-3 * TW_MM), .bleed = all_sides(3 * TW_MM)};
    tw_sides keep = tw_piece_keep(&roll, &settings, &piece, false);
    assert_int_equal(keep.side[TW_TOP], 13 * TW_MM);
    assert_int_equal(keep.side[TW_RIGHT], 23 * TW_MM);
    assert_int_equal(keep.side[TW_BOTTOM], 33 * TW_MM);
    assert_int_equal(keep.side[TW_LEFT], 23 * TW_MM);
}

/* edge_trim is for a roll's sides, whatever the border; cut sheets have none. */
static void bruised_edges(void **state) {
    (void)state;
    tw_layout_settings settings = {0};
    tw_piece piece = {.visible = all_sides(50 * TW_MM)};
    tw_stock stock = roll;
    stock.edge_trim = 5 * TW_MM;
    tw_sides keep = tw_piece_keep(&stock, &settings, &piece, false);
    assert_int_equal(keep.side[TW_LEFT], 5 * TW_MM);
    assert_int_equal(keep.side[TW_RIGHT], 5 * TW_MM);
    assert_int_equal(keep.side[TW_TOP], 0);
    assert_int_equal(keep.side[TW_BOTTOM], 0);
    stock.roll = false;
    keep = tw_piece_keep(&stock, &settings, &piece, false);
    assert_int_equal(keep.side[TW_LEFT], 0);
    assert_int_equal(keep.side[TW_RIGHT], 0);
}

/* Blank strips for marks lie at the ends; they count towards the margin. */
static void strips(void **state) {
    (void)state;
    tw_layout_settings settings = {.strip_lead = 12 * TW_MM, .strip_tail = 8 * TW_MM};
    tw_piece piece = {.visible = all_sides(2 * TW_MM)};
    tw_sides keep = tw_piece_keep(&roll, &settings, &piece, false);
    assert_int_equal(keep.side[TW_TOP], 12 * TW_MM);    /* margin alone asks for 8 */
    assert_int_equal(keep.side[TW_BOTTOM], 28 * TW_MM); /* the margin asks for more */
    assert_int_equal(keep.side[TW_LEFT], 18 * TW_MM);
}

/* What keeps a little away leaves a strip to be cut off: it must be wide enough to clamp. */
static void thin_distances_are_raised(void **state) {
    (void)state;
    tw_layout_settings settings = {.narrowest_strip = 3 * TW_MM};
    tw_piece piece = {.visible = {{10 * TW_MM - 1, 20 * TW_MM, 27 * TW_MM, 27 * TW_MM}}};
    tw_sides keep = tw_piece_keep(&roll, &settings, &piece, false);
    assert_int_equal(keep.side[TW_TOP], 3 * TW_MM); /* 1 nm is missing */
    assert_int_equal(keep.side[TW_RIGHT], 0);
    assert_int_equal(keep.side[TW_BOTTOM], 3 * TW_MM); /* just 3 mm */
    assert_int_equal(keep.side[TW_LEFT], 0);
}

static void gaps(void **state) {
    (void)state;
    tw_layout_settings none = {.narrowest_strip = 3 * TW_MM};
    assert_int_equal(tw_gap(&none, 0, 0), 0);                         /* white to white: shared */
    assert_int_equal(tw_gap(&none, 1 * TW_MM, 0), 3 * TW_MM);         /* raised */
    assert_int_equal(tw_gap(&none, 2 * TW_MM, 3 * TW_MM), 5 * TW_MM); /* both bleed */
    tw_layout_settings gutter = {.gutter = 4 * TW_MM, .narrowest_strip = 3 * TW_MM};
    assert_int_equal(tw_gap(&gutter, 0, 0), 4 * TW_MM);
    assert_int_equal(tw_gap(&gutter, 1 * TW_MM, 2 * TW_MM), 4 * TW_MM);
    assert_int_equal(tw_gap(&gutter, 3 * TW_MM, 2 * TW_MM), 5 * TW_MM);
    tw_layout_settings thin = {.gutter = 2 * TW_MM, .narrowest_strip = 3 * TW_MM};
    assert_int_equal(tw_gap(&thin, 0, 0), 3 * TW_MM);
}

/* Equal prints are one kind whatever their images; a white border of another width is no other
 * kind where it keeps no other distance; a square print turned alike on all sides has one way. */
static void kinds(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 2, 8 * TW_IN, 10 * TW_IN, HALF_IN)[1].image = 7;
    laying_add(&l, 1, 8 * TW_IN, 10 * TW_IN, TW_IN);
    laying_add(&l, 1, 8 * TW_IN, 10 * TW_IN, 0);
    laying_add(&l, 1, 8 * TW_IN, 8 * TW_IN, TW_IN);
    const unsigned char take[5] = {3, 3, 3, 3, 3};
    tw_kinds kinds;
    l.arena = tw_arena_new(&l.allocator, 0);
    assert_ok(tw_kinds_make(l.arena, &l.problem, take, &kinds, &l.error), l.error);
    assert_int_equal(kinds.count, 3);
    size_t of_three = 0;
    for (size_t i = 0; i < 3; i++) {
        of_three += kinds.items[i].count == 3;
        if (kinds.items[i].lie[0].width == kinds.items[i].lie[0].height)
            assert_false(kinds.items[i].lie[1].may);
    }
    assert_int_equal(of_three, 1);
    laying_end(&l);
}

/* A set that lies alike lies the way all of it fits: 20 x 22 in fits a 24 in roll both ways,
 * 26 x 20 in only turned. */
static void sets_lie_one_way(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 1, 20 * TW_IN, 22 * TW_IN, HALF_IN)->alike = 1;
    laying_add(&l, 1, 26 * TW_IN, 20 * TW_IN, HALF_IN)->alike = 1;
    laying_add(&l, 1, 20 * TW_IN, 22 * TW_IN, HALF_IN)->alike = 2;
    laying_add(&l, 1, 26 * TW_IN, 26 * TW_IN, HALF_IN);
    unsigned char *ways;
    l.arena = tw_arena_new(&l.allocator, 0);
    assert_ok(tw_piece_ways(l.arena, &l.problem, &ways, &l.error), l.error);
    assert_int_equal(ways[0], 2);
    assert_int_equal(ways[1], 2);
    assert_int_equal(ways[2], 1);
    assert_int_equal(ways[3], 0);
    laying_end(&l);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(upright),
        cmocka_unit_test(turned),
        cmocka_unit_test(border_on_the_margin),
        cmocka_unit_test(bleed_keeps_more),
        cmocka_unit_test(bruised_edges),
        cmocka_unit_test(strips),
        cmocka_unit_test(thin_distances_are_raised),
        cmocka_unit_test(gaps),
        cmocka_unit_test(kinds),
        cmocka_unit_test(sets_lie_one_way),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
