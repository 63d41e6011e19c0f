/*
 * Lengths as text. Points: ISO 32000-1 8.3.2.3 (1/72 in); letter is 612 x 792 in its examples,
 * A4 595.276 x 841.890 after rounding to 3 places (210 and 297 mm times 72 / 25.4).
 */
#include "base/length.h"

#include "testing.h"

static char out[TW_LENGTH_TEXT];

static void millimetres_are_exact(void **state) {
    (void)state;
    assert_string_equal(tw_mm_exact(609600000, out), "609.6");
    assert_string_equal(tw_mm_exact(254000000, out), "254");
    assert_string_equal(tw_mm_exact(0, out), "0");
    assert_string_equal(tw_mm_exact(1, out), "0.000001");
    assert_string_equal(tw_mm_exact(-1, out), "-0.000001");
    assert_string_equal(tw_mm_exact(-203200000, out), "-203.2");
    assert_string_equal(tw_mm_exact(100, out), "0.0001");
    assert_string_equal(tw_mm_exact(TW_LENGTH_MOST, out), "10000000");
    assert_string_equal(tw_mm_exact(INT64_MAX, out), "9223372036854.775807");
    assert_string_equal(tw_mm_exact(INT64_MIN, out), "-9223372036854.775808");
    assert_ptr_equal(tw_mm_exact(0, out), out);
}

static void millimetres_are_rounded_half_up(void **state) {
    (void)state;
    assert_string_equal(tw_mm_rounded(215900000, 1, out), "215.9");
    assert_string_equal(tw_mm_rounded(254000000, 1, out), "254.0");
    assert_string_equal(tw_mm_rounded(3175000, 1, out), "3.2");
    assert_string_equal(tw_mm_rounded(3150000, 1, out), "3.2");
    assert_string_equal(tw_mm_rounded(3149999, 1, out), "3.1");
    assert_string_equal(tw_mm_rounded(499999, 0, out), "0");
    assert_string_equal(tw_mm_rounded(500000, 0, out), "1");
    assert_string_equal(tw_mm_rounded(999960, 4, out), "1.0000");
    assert_string_equal(tw_mm_rounded(1, 6, out), "0.000001");
    assert_string_equal(tw_mm_rounded(1500000, -3, out), "2");
    assert_string_equal(tw_mm_rounded(1500000, 99, out), "1.500000");
    assert_string_equal(tw_mm_rounded(-49999, 1, out), "0.0");
    assert_string_equal(tw_mm_rounded(-3175000, 1, out), "-3.2");
}

static void inches_are_as_a_ruler_shows_them(void **state) {
    (void)state;
    assert_string_equal(tw_inch_ruler(215900000, out), "8 1/2 in");
    assert_string_equal(tw_inch_ruler(2381250, out), "3/32 in");
    assert_string_equal(tw_inch_ruler(0, out), "0 in");
    assert_string_equal(tw_inch_ruler(203200000, out), "8 in");
    assert_string_equal(tw_inch_ruler(203200000 - 396875, out), "8 in"); /* 7 63/64: half up */
    assert_string_equal(tw_inch_ruler(203200000 - 396876, out), "7 31/32 in");
    assert_string_equal(tw_inch_ruler(210000000, out), "8 9/32 in"); /* 8.26772 in = 264.57/32 */
    assert_string_equal(tw_inch_ruler(396874, out), "0 in");
    assert_string_equal(tw_inch_ruler(396875, out), "1/32 in");
    assert_string_equal(tw_inch_ruler(TW_IN * 3 / 4, out), "3/4 in");
}

static void messages_say_both(void **state) {
    (void)state;
    assert_string_equal(tw_length_both(215900000, out), "8 1/2 in (215.9 mm)");
    assert_string_equal(tw_length_both(254000000, out), "10 in (254 mm)");
    assert_string_equal(tw_length_both(TW_IN / 64, out), "1/64 in (0.4 mm)");
    assert_string_equal(tw_length_both(203200000 + TW_IN * 63 / 64, out), "8 63/64 in (228.2 mm)");
    assert_string_equal(tw_length_both(203885800, out), "8.027 in (203.9 mm)");
    assert_string_equal(tw_length_both(3000000, out), "0.118 in (3 mm)");
    assert_string_equal(tw_length_both(88194, out), "0.003 in (0.09 mm)");
    assert_string_equal(tw_length_both(0, out), "0 in (0 mm)");
    assert_string_equal(tw_length_both(-12700000, out), "-1/2 in (-12.7 mm)");
    assert_true(strlen(tw_length_both(INT64_MAX, out)) < TW_LENGTH_TEXT);
}

static void points_are_iso_32000s(void **state) {
    (void)state;
    assert_string_equal(tw_points(TW_IN * 17 / 2, out), "612");
    assert_string_equal(tw_points(TW_IN * 11, out), "792");
    assert_string_equal(tw_points(210 * TW_MM, out), "595.27559");
    assert_string_equal(tw_points(297 * TW_MM, out), "841.88976");
    assert_string_equal(tw_points(297 * TW_MM, out), "841.88976");
    assert_string_equal(tw_points(420 * TW_MM, out), "1190.55118"); /* A3: 1190.551 */
    assert_string_equal(tw_points(594 * TW_MM, out), "1683.77953"); /* A1: 1683.780 */
    assert_string_equal(tw_points(1189 * TW_MM, out), "3370.3937"); /* A0: 3370.394 */
    assert_string_equal(tw_points(200 * TW_IN, out), "14400");      /* ISO 32000-1 Annex C */
    assert_string_equal(tw_points(-TW_IN / 8, out), "-9");
    assert_string_equal(tw_points(0, out), "0");
    assert_string_equal(tw_points(1, out), "0");
    assert_string_equal(tw_points(2, out), "0.00001"); /* 0.0000057 */
    assert_string_equal(tw_points(88194, out), "0.25");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(millimetres_are_exact),
        cmocka_unit_test(millimetres_are_rounded_half_up),
        cmocka_unit_test(inches_are_as_a_ruler_shows_them),
        cmocka_unit_test(messages_say_both),
        cmocka_unit_test(points_are_iso_32000s),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
