/*
 * The hand check: three 8x10 prints with 1/2 in borders on a 24 in roll with 1/4 in side margins.
 * 3 x 8 in = 24 in, so they fill the roll's width and their borders lie on its margins: one sheet
 * of 24 x 10 in, cut twice, with the stop at 8 in both times. Source: arithmetic; that a white
 * border may lie on the paper's margin is common practice.
 */
#include "make_image.h"
#include "pdf_page.h"

#define INCH ((int64_t)25400000) /* nm; ISO 31-1 */

static const char paper[] =
    "\"kind\": \"roll\", \"width\": \"24in\", \"length\": \"50ft\", "
    "\"margins\": {\"side\": \"1/4in\", \"lead\": \"0in\", \"tail\": \"0in\"}";
static const char format[] = "{\"name\": \"8x10\", \"size\": \"8x10in\", \"border\": \"1/2in\"}";

static cJSON *three_prints(void) {
    make_png("seven-to-nine.png",
             &(made_png){.width = 700, .height = 900, .type = 0, .depth = 8, .srgb = true});
    write_day("day", paper, format, "7,seven-to-nine.png,8x10,3\n", "");
    return compose("day", "out.d");
}

static void assert_print(const cJSON *print, int64_t x) {
    const cJSON *picture = member(print, "picture");
    assert_int_equal(nm_of(print, "x"), x);
    assert_int_equal(nm_of(print, "y"), 0);
    assert_int_equal(nm_of(print, "width"), 8 * INCH);
    assert_int_equal(nm_of(print, "height"), 10 * INCH);
    assert_int_equal(nm_of(picture, "x"), x + INCH / 2);
    assert_int_equal(nm_of(picture, "y"), INCH / 2);
    assert_int_equal(nm_of(picture, "width"), 7 * INCH);
    assert_int_equal(nm_of(picture, "height"), 9 * INCH);
}

static void one_sheet_of_24_by_10(void **state) {
    (void)state;
    cJSON *plan = three_prints();
    const cJSON *sheets = member(plan, "sheets"), *sheet = item(sheets, 0);
    assert_int_equal(cJSON_GetArraySize(sheets), 1);
    assert_int_equal(nm_of(sheet, "width"), 24 * INCH);
    assert_int_equal(nm_of(sheet, "length"), 10 * INCH);
    assert_int_equal(cJSON_GetArraySize(member(sheet, "prints")), 3);
    for (int i = 0; i < 3; i++)
        assert_print(item(member(sheet, "prints"), i), 8 * INCH * i);
    assert_int_equal(nm_of(member(plan, "totals"), "length"), 10 * INCH);
    cJSON_Delete(plan);
}

static void two_cuts_with_the_stop_at_8(void **state) {
    (void)state;
    cJSON *plan = three_prints();
    const cJSON *cuts = member(item(member(plan, "sheets"), 0), "cuts");
    bool at_8 = false, at_16 = false;
    assert_int_equal(cJSON_GetArraySize(cuts), 2);
    for (int i = 0; i < 2; i++) {
        const cJSON *cut = item(cuts, i);
        assert_string_equal(text_of(cut, "along"), "roll");
        assert_int_equal(nm_of(cut, "stop"), 8 * INCH);
        assert_int_equal(nm_of(cut, "from"), 0);
        assert_int_equal(nm_of(cut, "to"), 10 * INCH);
        at_8 = at_8 || nm_of(cut, "at") == 8 * INCH;
        at_16 = at_16 || nm_of(cut, "at") == 16 * INCH;
    }
    assert_true(at_8 && at_16);
    assert_int_equal(number_of(member(plan, "totals"), "hand_cuts"), 2);
    cJSON_Delete(plan);
}

/* 24 in = 1728 pt, 10 in = 720 pt; the pictures begin at 1/2, 8 1/2 and 16 1/2 in. */
static void its_page(void **state) {
    static pdf_page page;
    (void)state;
    cJSON_Delete(three_prints());
    read_pdf_page("out.d/sheet-01.pdf", &page);
    assert_box("MediaBox", page.media, 0, 0, 1728, 720);
    assert_int_equal(page.picture_count, 3);
    for (size_t i = 0; i < 3; i++) {
        const double *m = page.pictures[i].matrix;
        assert_near("width", m[0], 504, POINT_ERROR);
        assert_near("height", m[3], 648, POINT_ERROR);
        assert_near("from the left", m[4], 36 + 576.0 * (double)i, POINT_ERROR);
        assert_near("from below", m[5], 36, POINT_ERROR);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_sheet_of_24_by_10),
        cmocka_unit_test(two_cuts_with_the_stop_at_8),
        cmocka_unit_test(its_page),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
