/*
 * How far a print keeps from its paper's edges, upright and turned, and where its signature
 * lies: worked out by hand from the design's rules (only ink keeps the margin).
 */
#include "testing.h"

#include "prints/making.h"

static const tw_paper paper = {
    .kind = TW_ROLL, .side = 6 * TW_MM, .lead = 3 * TW_MM, .tail = 20 * TW_MM};

static void assert_sides(tw_sides seen, int top, int right, int bottom, int left) {
    assert_int_equal(seen.side[TW_TOP], top * TW_MM);
    assert_int_equal(seen.side[TW_RIGHT], right * TW_MM);
    assert_int_equal(seen.side[TW_BOTTOM], bottom * TW_MM);
    assert_int_equal(seen.side[TW_LEFT], left * TW_MM);
}

/* A visible border of 1, 2, 30 mm and a bleed of 3 mm on the left. Upright: lead 3 - 1, side
 * 6 - 2, tail 20 - 30, side 6 + 3. Turned clockwise the top faces right, the right the tail, the
 * bottom left, and the left, bleeding, the lead. */
static void what_a_border_lacks(void **state) {
    (void)state;
    tw_fitted fit = {.visible = {{1 * TW_MM, 2 * TW_MM, 30 * TW_MM, -3 * TW_MM}}};
    assert_sides(tw_print_keep(&paper, &fit, false), 2, 4, 0, 9);
    assert_sides(tw_print_keep(&paper, &fit, true), 6, 5, 18, 0);
}

/* A border as wide as the margin lies on it; edge_trim is cut off a roll's sides whatever lies
 * there, and means nothing to a box of sheets. */
static void borders_lie_on_the_margin(void **state) {
    (void)state;
    tw_fitted wide = {.visible = {{20 * TW_MM, 20 * TW_MM, 20 * TW_MM, 20 * TW_MM}}};
    tw_fitted thin = {.visible = {{1 * TW_MM, 2 * TW_MM, 30 * TW_MM, -3 * TW_MM}}};
    tw_paper bruised = paper, box = paper;
    bruised.edge_trim = 5 * TW_MM;
    box.edge_trim = 5 * TW_MM;
    box.kind = TW_SHEETS;
    assert_sides(tw_print_keep(&paper, &wide, false), 0, 0, 0, 0);
    assert_sides(tw_print_keep(&bruised, &wide, false), 0, 5, 0, 5);
    assert_sides(tw_print_keep(&bruised, &thin, false), 2, 5, 0, 9);
    assert_sides(tw_print_keep(&bruised, &thin, true), 6, 5, 18, 5);
    assert_sides(tw_print_keep(&box, &thin, false), 2, 4, 0, 9);
}

/* 8x10 in, 1 1/2 x 1/4 in area, 3/8 in from both edges of its corner; in eighths of an inch the
 * print is 64 x 80, the area 12 x 2, the inset 3. */
static void signature_corners(void **state) {
    (void)state;
    static const struct {
        tw_corner corner;
        int x, y;
    } cases[] = {{TW_TOP_LEFT, 3, 3},
                 {TW_TOP_RIGHT, 64 - 3 - 12, 3},
                 {TW_BOTTOM_RIGHT, 64 - 3 - 12, 80 - 3 - 2},
                 {TW_BOTTOM_LEFT, 3, 80 - 3 - 2}};
    const tw_nm eighth = TW_IN / 8;
    tw_template format = {.name = "8x10",
                          .signature_width = 12 * eighth,
                          .signature_height = 2 * eighth,
                          .signature_inset = 3 * eighth};
    tw_size size = {64 * eighth, 80 * eighth};
    tw_error error = {0};
    tw_rect place;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        format.signature = cases[i].corner;
        assert_ok(tw_signature_place(&format, size, &place, &error), error);
        assert_int_equal(place.x, cases[i].x * eighth);
        assert_int_equal(place.y, cases[i].y * eighth);
        assert_int_equal(place.width, 12 * eighth);
        assert_int_equal(place.height, 2 * eighth);
    }
    format.signature = TW_NO_CORNER;
    assert_ok(tw_signature_place(&format, size, &place, &error), error);
    assert_int_equal(place.width, 0);
}

static void signature_too_large(void **state) {
    (void)state;
    tw_template format = {.name = "small",
                          .signature = TW_BOTTOM_RIGHT,
                          .signature_width = 3 * TW_IN,
                          .signature_height = TW_IN / 4,
                          .signature_inset = TW_IN};
    tw_error error = {0};
    tw_rect place;
    assert_ok(tw_signature_place(&format, (tw_size){4 * TW_IN, 6 * TW_IN}, &place, &error), error);
    assert_int_equal(place.x, 0); /* just inside */
    assert_int_equal(
        tw_signature_place(&format, (tw_size){4 * TW_IN - 1, 6 * TW_IN}, &place, &error), TW_INPUT);
    assert_string_equal(error.name, "signature-outside");
    assert_says(error, "3 in (76.2 mm) x 1/4 in (6.4 mm), 1 in (25.4 mm) from the corner");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_a_border_lacks),
        cmocka_unit_test(borders_lie_on_the_margin),
        cmocka_unit_test(signature_corners),
        cmocka_unit_test(signature_too_large),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
