/*
 * Decoded rows against libpng's and libjpeg's own decoding (make_image.h), bit for bit; forms and
 * polarity as rows.h promises them; damage, change and want of memory.
 */
#include "testing.h"

#include "base/arena.h"
#include "image/image.h"
#include "image/rows_testing.h"
#include "make_image.h"

static void assert_bytes(const char *what, const read_rows *seen, const unsigned char *wanted) {
    for (size_t i = 0; i < seen->length; i++)
        if (seen->bytes[i] != wanted[i])
            fail_msg("%s: row %zu, byte %zu is %d, and %d is right", what, i / seen->form.row_bytes,
                     i % seen->form.row_bytes, seen->bytes[i], wanted[i]);
}

static const struct {
    made_png made;
    int channels, bits;
    tw_rows_alpha alpha;
} pngs[] = {
    {{.width = 67, .height = 41, .type = 0, .depth = 1}, 1, 8, TW_ALPHA_NONE},
    {{.width = 67, .height = 41, .type = 0, .depth = 2}, 1, 8, TW_ALPHA_NONE},
    {{.width = 67, .height = 41, .type = 0, .depth = 4, .interlaced = true}, 1, 8, TW_ALPHA_NONE},
    {{.width = 67, .height = 41, .type = 0, .depth = 16}, 1, 16, TW_ALPHA_NONE},
    {{.width = 67, .height = 41, .type = 2, .depth = 8}, 3, 8, TW_ALPHA_NONE},
    {{.width = 67, .height = 41, .type = 2, .depth = 16, .interlaced = true}, 3, 16, TW_ALPHA_NONE},
    {{.width = 67, .height = 41, .type = 3, .depth = 1}, 3, 8, TW_ALPHA_NONE},
    {{.width = 67, .height = 41, .type = 3, .depth = 4, .interlaced = true}, 3, 8, TW_ALPHA_NONE},
    {{.width = 67, .height = 41, .type = 3, .depth = 8}, 3, 8, TW_ALPHA_NONE},
    {{.width = 67, .height = 41, .type = 3, .depth = 8, .transparent = true},
     3,
     8,
     TW_ALPHA_STRAIGHT},
    {{.width = 67, .height = 41, .type = 4, .depth = 16}, 1, 16, TW_ALPHA_STRAIGHT},
    {{.width = 67, .height = 41, .type = 6, .depth = 8, .interlaced = true},
     3,
     8,
     TW_ALPHA_STRAIGHT},
    {{.width = 67, .height = 41, .type = 6, .depth = 16}, 3, 16, TW_ALPHA_STRAIGHT},
};

static void test_png(void **state) {
    (void)state;
    const char *path = scratch("rows.png");
    for (size_t i = 0; i < sizeof pngs / sizeof *pngs; i++) {
        char what[40];
        size_t row_bytes;
        uint32_t height;
        (void)snprintf(what, sizeof what, "PNG %zu", i);
        make_png(path, &pngs[i].made);
        unsigned char *wanted = read_png_rows(path, true, &row_bytes, &height);
        read_rows seen = all_rows(path);
        assert_int_equal(seen.form.channels, pngs[i].channels);
        assert_int_equal(seen.form.bits, pngs[i].bits);
        assert_int_equal(seen.form.alpha, pngs[i].alpha);
        assert_int_equal(seen.form.row_bytes, row_bytes);
        assert_int_equal(seen.form.height, height);
        assert_bytes(what, &seen, wanted);
        free(wanted);
        free_rows(&seen);
    }
}

static const made_jpeg jpegs[] = {
    {.width = 131, .height = 77, .components = 1},
    {.width = 131, .height = 77, .components = 3},
    {.width = 131, .height = 77, .components = 3, .lossless_like = true},
    {.width = 131, .height = 77, .components = 3, .stored_rgb = true},
    {.width = 131, .height = 77, .components = 4},
    {.width = 131, .height = 77, .components = 4, .ycck = true},
    {.width = 131, .height = 77, .components = 4, .no_adobe = true},
    {.width = 131, .height = 77, .components = 3, .progressive = true},
    {.width = 131, .height = 77, .components = 3, .restart = 3},
    {.width = 131, .height = 77, .components = 3, .after = "more"},
    {.width = 131, .height = 77, .components = 3, .arithmetic = true},
    {.width = 131, .height = 77, .components = 4, .arithmetic = true, .progressive = true},
    {.width = 131, .height = 77, .components = 1, .arithmetic = true, .after = "more"},
};

static void test_jpeg(void **state) {
    (void)state;
    const char *path = scratch("rows.jpg");
    for (size_t i = 0; i < sizeof jpegs / sizeof *jpegs; i++) {
        char what[40];
        size_t row_bytes;
        uint32_t height;
        bool inverted = jpegs[i].components == 4 && !jpegs[i].no_adobe;
        (void)snprintf(what, sizeof what, "JPEG %zu", i);
        make_jpeg(path, &jpegs[i]);
        unsigned char *wanted = read_jpeg_rows(path, &row_bytes, &height);
        for (size_t k = 0; inverted && k < row_bytes * height; k++)
            wanted[k] = (unsigned char)~wanted[k]; /* libjpeg gives them as stored */
        read_rows seen = all_rows(path);
        assert_int_equal(seen.form.channels, jpegs[i].components);
        assert_int_equal(seen.form.row_bytes, row_bytes);
        assert_bytes(what, &seen, wanted);
        free(wanted);
        free_rows(&seen);
    }
}

/* Ones in the middle of a scan, a code that none has (ITU-T T.81 C.2): the markers are right. */
static void test_jpeg_damage_names_the_row(void **state) {
    (void)state;
    const char *path = scratch("damage.jpg");
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    size_t length;
    made_jpeg made = {.width = 400, .height = 300, .components = 3, .lossless_like = true};
    make_jpeg(path, &made);
    unsigned char *bytes = read_file(path, &length);
    for (size_t i = 0; i < 100; i++)
        memcpy(bytes + length / 2 + 2 * i, "\xFF", 2);
    write_file(path, bytes, length);
    read_rows seen = try_rows(&allocator, path);
    assert_int_equal(seen.code, TW_DAMAGED);
    assert_says(seen.error, "the JPEG is damaged in row ");
    assert_string_equal(seen.error.file, path);
    assert_in_range(seen.count, 50, 250);
    assert_no_leak(memory);
    free_rows(&seen);
    free(bytes);
}

static void test_no_memory_at_any_point(void **state) {
    (void)state;
    const char *path = scratch("sample");
    for (int i = 0; i < 3; i++) {
        tw_code code = TW_MEMORY;
        if (i < 2)
            make_png(path, &pngs[i == 0 ? 7 : 9].made);
        else
            make_jpeg(path, &jpegs[1]);
        for (long at = 1; code != TW_OK; at++) {
            test_memory memory = {.fail_at = at};
            tw_allocator allocator = test_allocator(&memory);
            read_rows seen = try_rows(&allocator, path);
            code = seen.code;
            assert_true(code == TW_OK || code == TW_MEMORY);
            assert_no_leak(memory);
            free_rows(&seen);
            assert_true(at < 400);
        }
    }
}

/* Touched between the first row and the last. */
static void test_change_while_reading_is_noticed(void **state) {
    (void)state;
    const char *path = scratch("sample");
    for (int i = 0; i < 2; i++) {
        tw_arena *arena = tw_arena_new(NULL, 0);
        tw_image image;
        tw_rows *rows;
        tw_error error = {0};
        size_t length;
        unsigned char row[1000];
        if (i == 0)
            make_png(path, &pngs[4].made);
        else
            make_jpeg(path, &jpegs[1]);
        unsigned char *bytes = read_file(path, &length);
        assert_ok(tw_image_read(arena, path, &image, &error), error);
        assert_ok(tw_rows_open(NULL, &image, &rows, &error), error);
        for (uint32_t y = 0; y < image.height; y++)
            assert_ok(tw_rows_next(rows, row, &error), error);
        write_file(path, bytes, length);
        assert_int_equal(tw_rows_end(rows, &error), TW_INPUT);
        assert_string_equal(error.name, "image-changed");
        assert_says(error, "changed while it was read");
        tw_rows_close(rows);
        tw_arena_free(arena);
        free(bytes);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_png),
        cmocka_unit_test(test_jpeg),
        cmocka_unit_test(test_jpeg_damage_names_the_row),
        cmocka_unit_test(test_no_memory_at_any_point),
        cmocka_unit_test(test_change_while_reading_is_noticed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
