/*
 * Lost rows are paper white behind a conversion: exactly those where rows are the stored ones, and
 * where rows are made anew those that no intact row comes into.
 */
#include "testing.h"

#include "pixels/stages.h"

enum { WIDTH = 5 };

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    (void)error;
    memset(row, 254, rows->form.row_bytes);
    return TW_OK;
}

static tw_code end(tw_rows *rows, tw_error *error) {
    (void)rows;
    (void)error;
    return TW_OK;
}

static void close_none(tw_rows *rows) {
    (void)rows;
}

/* Which rows came out white; the others must be untouched. */
static void see(const tw_image *image, uint32_t height, tw_image_space space, bool *white) {
    static const tw_rows_kind kind = {next, end, close_none};
    tw_rows from = {.kind = &kind, .form = {.width = WIDTH, .height = height, .bits = 8}};
    unsigned char row[4 * WIDTH];
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_rows *rows = NULL;
    tw_error error = {0};
    from.form.space = space;
    from.form.channels = space == TW_CMYK ? 4 : 3;
    tw_rows_form_finish(&from.form);
    assert_ok(tw_white_rows(&allocator, &from, image, &rows, &error), error);
    for (uint32_t y = 0; y < height; y++) {
        assert_ok(tw_rows_next(rows, row, &error), error);
        white[y] = row[0] != 254;
        for (size_t i = 0; i < from.form.row_bytes; i++)
            assert_int_equal(row[i], !white[y] ? 254 : space == TW_CMYK ? 0 : 255);
    }
    assert_ok(tw_rows_end(rows, &error), error);
    tw_rows_close(rows);
    assert_no_leak(memory);
}

static void test_rows_as_stored(void **state) {
    static const tw_row_span spans[] = {{3, 5}, {40, 60}};
    bool white[60];
    (void)state;
    tw_image image = {.width = WIDTH, .height = 60};
    image.damage = (tw_damage){.words = "x", .white = spans, .white_count = 2};
    for (int inks = 0; inks < 2; inks++) {
        see(&image, 60, inks ? TW_CMYK : TW_RGB, white);
        for (uint32_t y = 0; y < 60; y++)
            assert_int_equal(white[y], (y >= 3 && y < 5) || y >= 40);
    }
}

/* 600 rows become 60, ten and the eight lobes of the filter on each side (80) are in each. */
static void test_rows_made_anew(void **state) {
    static const tw_row_span span = {200, 600};
    bool white[60];
    (void)state;
    tw_image image = {.width = WIDTH, .height = 600, .treat = {.width = WIDTH, .height = 60}};
    image.damage = (tw_damage){.words = "x", .white = &span, .white_count = 1};
    see(&image, 60, TW_RGB, white);
    for (uint32_t y = 0; y < 60; y++) {
        assert_false(white[y] && y < 28);
        assert_true(white[y] || y < 30);
    }
    image.treat.crop_width = WIDTH;
    image.treat.crop_y = 20;
    image.treat.crop_height = 10;
    see(&image, 10, TW_RGB, white);
    for (uint32_t y = 0; y < 10; y++)
        assert_true(y < 8 ? !white[y] : white[y] || y < 10);
    image.treat.crop_width = 0;
    image.treat.amount = 1000;
    image.treat.radius_y = 2000000;
    see(&image, 60, TW_RGB, white);
    for (uint32_t y = 0; y < 60; y++) {
        assert_false(white[y] && y < 36);
        assert_true(white[y] || y < 40);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rows_as_stored),
        cmocka_unit_test(test_rows_made_anew),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
