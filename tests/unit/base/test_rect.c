/* Rectangles: overlap, inside, and the quarter turn, checked against corners turned by hand. */
#include "base/rect.h"

#include "testing.h"

static void edges_and_spread(void **state) {
    (void)state;
    tw_rect r = {10, 20, 30, 40};
    assert_int_equal(tw_rect_right(r), 40);
    assert_int_equal(tw_rect_bottom(r), 60);
    tw_rect wide = tw_rect_spread(r, 5), back = tw_rect_spread(wide, -5);
    assert_int_equal(wide.x, 5);
    assert_int_equal(wide.y, 15);
    assert_int_equal(wide.width, 40);
    assert_int_equal(wide.height, 50);
    assert_memory_equal(&back, &r, sizeof r);
}

static void sharing_an_edge_is_no_overlap(void **state) {
    (void)state;
    tw_rect r = {0, 0, 10, 10};
    assert_true(tw_rect_overlap(r, r));
    assert_true(tw_rect_overlap(r, (tw_rect){9, 9, 10, 10}));
    assert_true(tw_rect_overlap(r, (tw_rect){2, 2, 1, 1}));
    assert_false(tw_rect_overlap(r, (tw_rect){10, 0, 10, 10}));
    assert_false(tw_rect_overlap(r, (tw_rect){0, 10, 10, 10}));
    assert_false(tw_rect_overlap(r, (tw_rect){-10, 0, 10, 10}));
    assert_false(tw_rect_overlap(r, (tw_rect){0, -10, 10, 10}));
    assert_false(tw_rect_overlap(r, (tw_rect){9, 20, 10, 10}));
}

static void inside_allows_a_shared_edge(void **state) {
    (void)state;
    tw_rect out = {0, 0, 10, 10};
    assert_true(tw_rect_inside(out, out));
    assert_true(tw_rect_inside((tw_rect){3, 3, 7, 7}, out));
    assert_false(tw_rect_inside((tw_rect){-1, 0, 5, 5}, out));
    assert_false(tw_rect_inside((tw_rect){0, -1, 5, 5}, out));
    assert_false(tw_rect_inside((tw_rect){6, 0, 5, 5}, out));
    assert_false(tw_rect_inside((tw_rect){0, 6, 5, 5}, out));
}

/* An 8 x 10 in print turned clockwise is 10 x 8: its top left corner lies at the top right. */
static void a_quarter_turn_clockwise(void **state) {
    (void)state;
    tw_size upright = {8 * TW_IN, 10 * TW_IN};
    tw_rect corner = tw_rect_turned((tw_rect){0, 0, TW_IN, 2 * TW_IN}, upright);
    assert_int_equal(corner.x, 8 * TW_IN);
    assert_int_equal(corner.y, 0);
    assert_int_equal(corner.width, 2 * TW_IN);
    assert_int_equal(corner.height, TW_IN);
    /* bottom right goes to bottom left */
    corner = tw_rect_turned((tw_rect){7 * TW_IN, 9 * TW_IN, TW_IN, TW_IN}, upright);
    assert_int_equal(corner.x, 0);
    assert_int_equal(corner.y, 7 * TW_IN);
}

static void four_turns_are_none(void **state) {
    (void)state;
    tw_rect start = {3, 5, 7, 11}, r = start;
    tw_size size = {100, 200};
    for (int i = 0; i < 4; i++) {
        r = tw_rect_turned(r, size);
        size = (tw_size){size.height, size.width};
    }
    assert_memory_equal(&r, &start, sizeof r);
}

static void sides_go_round(void **state) {
    (void)state;
    tw_sides upright = {{1, 2, 3, 4}}, turned = tw_sides_turned(upright);
    assert_int_equal(turned.side[TW_RIGHT], 1);  /* the top */
    assert_int_equal(turned.side[TW_BOTTOM], 2); /* the right side */
    assert_int_equal(turned.side[TW_LEFT], 3);   /* the bottom */
    assert_int_equal(turned.side[TW_TOP], 4);    /* the left side */
}

/* The borders around a picture, as sides and as a rectangle, turn to the same thing. */
static void sides_and_rectangle_turn_alike(void **state) {
    (void)state;
    tw_sides border = {{10, 20, 40, 30}};
    tw_size print = {200, 300};
    tw_rect picture = {30, 10, 150, 250};
    tw_sides sides = tw_sides_turned(border);
    tw_rect r = tw_rect_turned(picture, print);
    assert_int_equal(r.y, sides.side[TW_TOP]);
    assert_int_equal(300 - tw_rect_right(r), sides.side[TW_RIGHT]);
    assert_int_equal(200 - tw_rect_bottom(r), sides.side[TW_BOTTOM]);
    assert_int_equal(r.x, sides.side[TW_LEFT]);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(edges_and_spread),
        cmocka_unit_test(sharing_an_edge_is_no_overlap),
        cmocka_unit_test(inside_allows_a_shared_edge),
        cmocka_unit_test(a_quarter_turn_clockwise),
        cmocka_unit_test(four_turns_are_none),
        cmocka_unit_test(sides_go_round),
        cmocka_unit_test(sides_and_rectangle_turn_alike),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
