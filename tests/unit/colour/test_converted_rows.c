/* The transform as a stage: each row as the transform alone makes it, and the same bytes for any
 * number of threads. */
#include "testing.h"

#include "colour/converted_rows.h"
#include "colour/srgb_profile.h"
#include "image/image.h"

enum { WIDTH = 37, HEIGHT = 700 };

/* Rows that are computed: sample i of row y. */
typedef struct made_rows {
    tw_rows rows;
    int closed;
} made_rows;

static unsigned char made(uint32_t y, size_t i) {
    return (unsigned char)(y * 31 + i * 7 + y * i / 13);
}

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    if (rows->y == 650 && rows->form.height == HEIGHT + 1)
        return tw_fail(error, TW_DAMAGED, "image-damaged", "row 650");
    for (size_t i = 0; i < rows->form.row_bytes; i++)
        row[i] = made(rows->y, i);
    return TW_OK;
}

static tw_code end(tw_rows *rows, tw_error *error) {
    (void)rows;
    (void)error;
    return TW_OK;
}

static void close_made(tw_rows *rows) {
    ((made_rows *)rows)->closed++;
}

static const tw_rows_kind kind = {next, end, close_made};

static made_rows start(int bits, uint32_t height) {
    tw_rows_form form = {WIDTH, height, TW_RGB, 3, TW_ALPHA_NONE, bits, 0, 0};
    made_rows m = {.rows = {.kind = &kind, .form = form}};
    tw_rows_form_finish(&m.rows.form);
    return m;
}

static tw_buffer srgb, grey;

static tw_colour_way way(bool to_grey) {
    const tw_buffer *to = to_grey ? &grey : &srgb;
    return (tw_colour_way){{(unsigned char *)srgb.bytes, srgb.length},
                           {(unsigned char *)to->bytes, to->length},
                           TW_RELATIVE,
                           true,
                           0};
}

static unsigned char *convert(int bits, bool to_grey, int threads, size_t *length) {
    tw_error error = {0};
    tw_rows *rows = NULL;
    made_rows from = start(bits, HEIGHT);
    const tw_colour_way w = way(to_grey);
    assert_ok(tw_colour_rows(NULL, &from.rows, &w, threads, &rows, &error), error);
    assert_int_equal(rows->form.channels, to_grey ? 1 : 3);
    assert_int_equal(rows->form.space, to_grey ? TW_GREY : TW_RGB);
    *length = rows->form.row_bytes * HEIGHT;
    unsigned char *all = malloc(*length);
    assert_non_null(all);
    for (size_t y = 0; y < HEIGHT; y++)
        assert_ok(tw_rows_next(rows, all + y * rows->form.row_bytes, &error), error);
    assert_ok(tw_rows_end(rows, &error), error);
    tw_rows_close(rows);
    assert_int_equal(from.closed, 1);
    return all;
}

static void threads_change_nothing(void **state) {
    (void)state;
    for (int bits = 8; bits <= 16; bits += 8) {
        size_t length = 0, again = 0;
        unsigned char *one = convert(bits, true, 1, &length);
        for (int threads = 2; threads <= 7; threads += 5) {
            unsigned char *many = convert(bits, true, threads, &again);
            assert_int_equal(length, again);
            assert_memory_equal(one, many, length);
            free(many);
        }
        free(one);
    }
}

/* sRGB to itself: 8 bits come back within a step; 16 within 16 of 65 535, as the
 * profile keeps light in 16 bits and sRGB is 12.92 times as steep near black. */
static void each_row_is_its_own(void **state) {
    (void)state;
    for (int bits = 8; bits <= 16; bits += 8) {
        size_t length = 0;
        unsigned char *all = convert(bits, false, 3, &length);
        size_t row = length / HEIGHT;
        for (uint32_t y = 0; y < HEIGHT; y++)
            for (size_t i = 0; i < row; i += (size_t)bits / 8) {
                int in = made(y, i), out = all[y * row + i];
                if (bits == 16) {
                    in = in << 8 | made(y, i + 1);
                    out = out << 8 | all[y * row + i + 1];
                }
                assert_true(abs(in - out) <= (bits == 8 ? 1 : 16));
            }
        free(all);
    }
}

static void damage_below_comes_through(void **state) {
    (void)state;
    unsigned char row[WIDTH * 3];
    tw_error error = {0};
    tw_rows *rows = NULL;
    made_rows from = start(8, HEIGHT + 1);
    const tw_colour_way w = way(false);
    tw_code code = TW_OK;
    assert_ok(tw_colour_rows(NULL, &from.rows, &w, 2, &rows, &error), error);
    while (code == TW_OK)
        code = tw_rows_next(rows, row, &error);
    assert_int_equal(code, TW_DAMAGED);
    assert_says(error, "row 650");
    tw_rows_close(rows);
    assert_int_equal(from.closed, 1);
}

static void memory_may_end_anywhere(void **state) {
    (void)state;
    test_memory memory = {0, 0, 0};
    tw_allocator allocator = test_allocator(&memory);
    const tw_colour_way w = way(true);
    tw_code code = TW_MEMORY;
    for (long at = 1; code != TW_OK && at < 3000; at++) {
        tw_error error = {0};
        tw_rows *rows = NULL;
        made_rows from = start(8, HEIGHT);
        memory = (test_memory){0, 0, at};
        code = tw_colour_rows(&allocator, &from.rows, &w, 2, &rows, &error);
        assert_true(code == TW_OK || code == TW_MEMORY);
        tw_rows_close(rows);
        assert_int_equal(from.closed, code == TW_OK); /* owned on success alone */
        assert_no_leak(memory);
    }
    assert_int_equal(code, TW_OK);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(threads_change_nothing), cmocka_unit_test(each_row_is_its_own),
        cmocka_unit_test(damage_below_comes_through), cmocka_unit_test(memory_may_end_anywhere)};
    tw_buffer_start(&srgb, NULL);
    tw_buffer_start(&grey, NULL);
    tw_srgb_profile(&srgb);
    tw_srgb_grey_profile(&grey);
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    tw_buffer_free(&srgb);
    tw_buffer_free(&grey);
    return failed;
}
