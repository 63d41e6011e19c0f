/*
 * The road of treated pixels for images of every kind: what comes out has the size asked for, the
 * channels and bits the form promises (ISO 32000-1, 7.4.4.4), within the bound, and is right where
 * every pixel is alike. The work itself is under test in test_resample.c.
 */
#include "testing.h"

#include "make_image.h"
#include "pixels/pixels.h"
#include "pixels/pixels_testing.h"

/* As try_image, with the treatment set. */
static pulled_image pull_treated(const tw_allocator *allocator, const char *path,
                                 const tw_treat *treat) {
    pulled_image out = {0};
    tw_image image;
    tw_pixels *pixels = NULL;
    tw_arena *arena = tw_arena_new(allocator, 0);
    unsigned char buffer[1000];
    size_t got = 1;
    out.code = arena == NULL ? TW_MEMORY : tw_image_read(arena, path, &image, &out.error);
    image.treat = *treat;
    if (out.code == TW_OK)
        out.code =
            tw_pixels_open(tw_arena_allocator(arena), &image, &pixels, &out.form, &out.error);
    while (out.code == TW_OK && got > 0) {
        out.code = tw_pixels_pull(pixels, buffer, sizeof buffer, &got, &out.error);
        if (out.code == TW_OK)
            add_bytes(&out, buffer, got);
    }
    out.bound = out.code == TW_OK ? tw_pixels_bound(&image) : 0;
    out.row_bytes = ((size_t)out.form.width * (size_t)(out.form.channels * out.form.bits) + 7) / 8;
    tw_pixels_close(pixels);
    tw_arena_free(arena);
    return out;
}

static void check(const char *path, const tw_treat *treat, int channels, int bits,
                  const char *road) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    pulled_image pulled = pull_treated(&allocator, path, treat);
    assert_ok(pulled.code, pulled.error);
    assert_no_leak(memory);
    assert_int_equal(pulled.form.width, treat->width == 0 ? 61 : treat->width);
    assert_int_equal(pulled.form.height, treat->width == 0 ? 43 : treat->height);
    assert_int_equal(pulled.form.channels, channels);
    assert_int_equal(pulled.form.bits, bits);
    assert_int_equal(pulled.form.palette_size, 0);
    assert_false(pulled.form.dct || pulled.form.untouched || pulled.form.invert);
    assert_true((int64_t)pulled.length <= pulled.bound);
    if (strstr(pulled.form.road, road) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", pulled.form.road, road);
    free(undo_flate(&pulled)); /* asserts that the rows are whole and no more */
    free_pulled(&pulled);
}

static const tw_treat small = {.width = 20, .height = 30};
static const tw_treat large = {.width = 100, .height = 80};
static const tw_treat sharp = {.radius_x = 1500000, .radius_y = 1500000, .amount = 500};

static void test_every_png(void **state) {
    static const int kinds[][2] = {{0, 1}, {0, 2}, {0, 4}, {0, 8}, {0, 16}, {2, 8}, {2, 16}, {3, 1},
                                   {3, 2}, {3, 4}, {3, 8}, {4, 8}, {4, 16}, {6, 8}, {6, 16}};
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        for (int way = 0; way < 4; way++) {
            int type = kinds[i][0], depth = kinds[i][1];
            made_png what = {.width = 61, .height = 43, .type = type, .depth = depth};
            what.interlaced = way % 2 == 1;
            what.transparent = way >= 2 && type < 4;
            const char *path = scratch("treated.png");
            make_png(path, &what);
            int channels = type == 0 || type == 4 ? 1 : 3, bits = depth == 16 ? 16 : 8;
            check(path, &small, channels, bits, "reduced to 20 x 30 pixels in linear light");
            check(path, &large, channels, bits, "enlarged to 100 x 80 pixels in linear light");
            check(path, &sharp, channels, bits, ", sharpened, packed again");
        }
}

static void test_every_jpeg(void **state) {
    static const int components[] = {1, 3, 4};
    (void)state;
    for (int i = 0; i < 3; i++) {
        made_jpeg what = {.width = 61, .height = 43, .components = components[i]};
        const char *path = scratch("treated.jpg");
        make_jpeg(path, &what);
        check(path, &small, components[i], 8, "decoded, reduced to 20 x 30 pixels");
        check(path, &sharp, components[i], 8, "decoded, sharpened, packed again");
    }
}

/* The same bytes however small the pieces are pulled in, and again. */
static void test_same_bytes_again(void **state) {
    (void)state;
    made_png what = {.width = 61, .height = 43, .type = 6, .depth = 16};
    tw_treat treat = {
        .width = 33, .height = 21, .radius_x = 900000, .radius_y = 700000, .amount = 9};
    make_png(scratch("again.png"), &what);
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    pulled_image one = pull_treated(&allocator, scratch("again.png"), &treat);
    pulled_image two = pull_treated(&allocator, scratch("again.png"), &treat);
    assert_int_equal(one.length, two.length);
    assert_memory_equal(one.bytes, two.bytes, one.length);
    free_pulled(&one);
    free_pulled(&two);
}

static void test_no_memory_at_any_point(void **state) {
    (void)state;
    made_png what = {.width = 61, .height = 43, .type = 6, .depth = 8};
    tw_treat treat = {
        .width = 33, .height = 21, .radius_x = 900000, .radius_y = 700000, .amount = 9};
    make_png(scratch("memory.png"), &what);
    tw_code code = TW_MEMORY;
    for (long at = 1; code != TW_OK; at++) {
        test_memory memory = {.fail_at = at};
        tw_allocator allocator = test_allocator(&memory);
        pulled_image pulled = pull_treated(&allocator, scratch("memory.png"), &treat);
        code = pulled.code;
        assert_true(code == TW_OK || code == TW_MEMORY);
        assert_no_leak(memory);
        free_pulled(&pulled);
        assert_true(at < 200);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_png),
        cmocka_unit_test(test_every_jpeg),
        cmocka_unit_test(test_same_bytes_again),
        cmocka_unit_test(test_no_memory_at_any_point),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
