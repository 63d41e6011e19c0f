/*
 * Damage of any kind, accepted: every sample cut at many places and with changed bytes. Each is an
 * error that is said, or rows, all of them, and the same ones when they are asked for again, which
 * is what the sheet is made by: finding damage and printing are two readings of one file.
 */
#include "testing.h"

#include "image/rows.h"
#include "image/rows_testing.h"
#include "make_image.h"
#include "settle/damage.h"

enum { WIDTH = 37, HEIGHT = 40, CUTS = 40, CHANGES = 120, SAMPLES = 12 };

static void make_sample(const char *path, int n) {
    made_png png = {.width = WIDTH, .height = HEIGHT, .type = 2, .depth = 8, .data_size = 120};
    made_jpeg jpeg = {.width = WIDTH, .height = HEIGHT, .components = 3};
    made_tiff tiff = {.width = WIDTH, .height = HEIGHT, .photometric = 2, .depth = 8, .strip = 6};
    static const int methods[] = {0, 5, 7, 8, 8, 32773};
    png.interlaced = n == 1;
    png.type = n == 2 ? 3 : n == 1 ? 6 : 2;
    jpeg.progressive = n == 4;
    jpeg.restart = n == 5 ? 3 : 0;
    tiff.compression = n < 6 ? 0 : methods[n - 6];
    tiff.tile = n == 10 ? 16 : 0;
    tiff.strip = n == 8 ? 16 : 6;
    if (n < 3)
        make_png(path, &png);
    else if (n < 6)
        make_jpeg(path, &jpeg);
    else
        make_tiff(path, &tiff);
}

static tw_code read_again(tw_arena *arena, const tw_image *image, read_rows *out) {
    tw_rows *rows = NULL;
    *out = (read_rows){0};
    tw_code code = tw_rows_open(tw_arena_allocator(arena), image, &rows, &out->error);
    if (code == TW_OK)
        code = read_them(rows, out);
    tw_rows_close(rows);
    return code;
}

/* Whether it was printed. */
static bool look(const char *path) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    tw_report report;
    tw_image image;
    tw_error error = {0};
    read_rows first = {0}, second = {0};
    tw_report_start(&report, arena);
    tw_code code = tw_image_read_damaged(arena, path, &image, &error);
    assert_true(code == TW_OK || code == TW_DAMAGED || code == TW_INPUT);
    if (code == TW_OK)
        assert_ok(tw_find_damage(arena, &image, 1, NULL, &report, &error), error);
    bool prints = code == TW_OK && report.errors.count == 0;
    if (prints) {
        assert_ok(read_again(arena, &image, &first), first.error);
        assert_ok(read_again(arena, &image, &second), second.error);
        assert_int_equal(first.count, first.form.height);
        assert_memory_equal(first.bytes, second.bytes, first.length);
        assert_true(image.damage.white_rows < image.height);
    }
    free_rows(&first);
    free_rows(&second);
    tw_arena_free(arena);
    assert_no_leak(memory);
    return prints;
}

static void test_cut_anywhere(void **state) {
    (void)state;
    const char *path = scratch("whole"), *broken = scratch("broken");
    int printed = 0;
    for (int n = 0; n < SAMPLES; n++) {
        size_t length;
        make_sample(path, n);
        unsigned char *bytes = read_file(path, &length);
        for (size_t k = 1; k < CUTS; k++) {
            write_file(broken, bytes, length * k / CUTS);
            printed += look(broken);
        }
        free(bytes);
    }
    assert_true(printed > 60); /* of TIFFs whose directory comes last nothing is left */
}

static void test_changed_anywhere(void **state) {
    (void)state;
    const char *path = scratch("whole"), *broken = scratch("broken");
    uint32_t seed = 5;
    int printed = 0;
    for (int n = 0; n < SAMPLES; n++) {
        size_t length;
        make_sample(path, n);
        unsigned char *bytes = read_file(path, &length);
        for (int k = 0; k < CHANGES; k++) {
            seed = seed * 1664525u + 1013904223u;
            size_t at = (seed >> 8) % length;
            unsigned char was = bytes[at];
            bytes[at] ^= (unsigned char)(1u << (seed & 7));
            write_file(broken, bytes, length);
            printed += look(broken);
            bytes[at] = was;
        }
        free(bytes);
    }
    assert_true(printed > SAMPLES * CHANGES / 2);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_cut_anywhere),
        cmocka_unit_test(test_changed_anywhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
