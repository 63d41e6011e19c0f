/*
 * Facts of PNG files, read back from files that libpng wrote. Sources: PNG (W3C, second edition)
 * clause 11 (chunks); the third edition for eXIf; 300 per inch is 11811 a metre. What breaks the
 * rules is in test_png_rules.c.
 */
#include "testing.h"

#include "image/image.h"
#include "make_image.h"

/* The facts of a file just made; strings and profile live in the arena. */
static tw_image facts(tw_arena *arena, const made_png *what) {
    const char *path = scratch("facts.png");
    tw_image image;
    tw_error error = {0};
    make_png(path, what);
    assert_ok(tw_image_read(arena, path, &image, &error), error);
    return image;
}

static int make_arena(void **state) {
    *state = tw_arena_new(NULL, 0);
    return *state == NULL;
}

static int free_arena(void **state) {
    tw_arena_free(*state);
    return 0;
}

static void test_every_kind(void **state) {
    static const int kinds[][2] = {{0, 1}, {0, 2}, {0, 4}, {0, 8}, {0, 16}, {2, 8}, {2, 16}, {3, 1},
                                   {3, 2}, {3, 4}, {3, 8}, {4, 8}, {4, 16}, {6, 8}, {6, 16}};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        for (int interlaced = 0; interlaced < 2; interlaced++) {
            made_png what = {.width = 37, .height = 21, .interlaced = interlaced == 1};
            int type = what.type = kinds[i][0];
            what.depth = kinds[i][1];
            tw_image image = facts(*state, &what);
            assert_int_equal(image.format, TW_PNG);
            assert_int_equal(image.space, type == 0 || type == 4 ? TW_GREY : TW_RGB);
            assert_int_equal(image.width, 37);
            assert_int_equal(image.height, 21);
            assert_int_equal(image.depth, what.depth);
            assert_int_equal(image.palette, type == 3);
            assert_int_equal(image.palette_size, type == 3 ? 1 << what.depth : 0);
            assert_int_equal(image.alpha, type >= 4);
            assert_int_equal(image.interlaced, interlaced);
            assert_false(image.transparent_key);
            assert_int_equal(image.orientation, 1);
            assert_int_equal(image.density_x, 0);
            assert_null(image.profile);
            assert_null(image.profile_problem);
            assert_false(image.says_srgb);
        }
}

static void test_transparency(void **state) {
    made_png grey = {.width = 5, .height = 5, .type = 0, .depth = 8, .transparent = true};
    made_png colour = {.width = 5, .height = 5, .type = 2, .depth = 8, .transparent = true};
    made_png palette = {.width = 5, .height = 5, .type = 3, .depth = 8, .transparent = true};
    assert_true(facts(*state, &grey).transparent_key);
    assert_false(facts(*state, &grey).alpha);
    assert_true(facts(*state, &colour).transparent_key);
    assert_true(facts(*state, &palette).alpha);
    assert_false(facts(*state, &palette).transparent_key);
}

static void test_resolution_and_srgb(void **state) {
    made_png what = {.width = 5, .height = 5, .type = 2, .depth = 8};
    what.density_x = 11811;
    what.density_y = 9449;
    what.srgb = true;
    tw_image image = facts(*state, &what);
    assert_int_equal(image.density_x, 11811);
    assert_int_equal(image.density_y, 9449);
    assert_true(image.says_srgb);
}

/* pHYs goes before the Exif block's resolution; without it the block's counts. */
static void test_exif(void **state) {
    size_t length;
    for (int orientation = 1; orientation <= 8; orientation++)
        for (int big = 0; big < 2; big++) {
            unsigned char *exif = make_exif(big, orientation, 240, 1, 2, &length);
            made_png what = {.width = 7, .height = 5, .type = 2, .depth = 8};
            what.exif = exif;
            what.exif_length = (uint32_t)length;
            what.density_x = what.density_y = big == 1 ? 11811 : 0;
            tw_image image = facts(*state, &what);
            assert_int_equal(image.orientation, orientation);
            assert_int_equal(image.upright_width, orientation >= 5 ? 5 : 7);
            assert_int_equal(image.upright_height, orientation >= 5 ? 7 : 5);
            assert_int_equal(image.density_x, big == 1 ? 11811 : 9449);
            free(exif);
        }
}

static void test_profile(void **state) {
    static const int types[] = {0, 2, 3, 4, 6};
    for (size_t i = 0; i < 5; i++)
        for (int version = 2; version <= 4; version += 2) {
            size_t length;
            bool grey = types[i] == 0 || types[i] == 4;
            unsigned char *icc =
                make_icc("mntr", grey ? "GRAY" : "RGB ", version, "A wide space", &length);
            made_png what = {.width = 5, .height = 5, .type = types[i], .depth = 8};
            what.profile = icc;
            what.profile_length = (uint32_t)length;
            tw_image image = facts(*state, &what);
            assert_null(image.profile_problem);
            assert_int_equal(image.profile_length, length);
            assert_memory_equal(image.profile, icc, length);
            assert_string_equal(image.profile_description, "A wide space");
            free(icc);
        }
}

/* The payload of all IDAT chunks is known, however many there are. */
static void test_payload_is_measured(void **state) {
    static const size_t sizes[] = {0, 6, 100, 5000};
    int64_t first = 0;
    for (size_t i = 0; i < 4; i++) {
        made_png what = {.width = 150, .height = 40, .type = 2, .depth = 8, .noise = 1};
        what.data_size = sizes[i];
        tw_image image = facts(*state, &what);
        if (i == 0)
            first = image.data_bytes;
        assert_int_equal(image.data_bytes, first);
        assert_int_equal(image.data_at, 8 + 25);
    }
}

static void test_no_memory_at_any_point(void **state) {
    (void)state;
    size_t length, exif_length;
    const char *path = scratch("memory.png");
    unsigned char *icc = make_icc("mntr", "RGB ", 4, "A wide space", &length);
    unsigned char *exif = make_exif(true, 3, 0, 0, 0, &exif_length);
    made_png what = {.width = 5, .height = 5, .type = 3, .depth = 8};
    what.profile = icc;
    what.profile_length = (uint32_t)length;
    what.exif = exif;
    what.exif_length = (uint32_t)exif_length;
    make_png(path, &what);
    tw_code code = TW_MEMORY;
    for (long at = 1; code != TW_OK; at++) {
        test_memory memory = {.fail_at = at};
        tw_allocator allocator = test_allocator(&memory);
        tw_arena *arena = tw_arena_new(&allocator, 0);
        tw_image image;
        tw_error error = {0};
        if (arena != NULL)
            code = tw_image_read(arena, path, &image, &error);
        assert_true(code == TW_OK || code == TW_MEMORY);
        tw_arena_free(arena);
        assert_no_leak(memory);
        assert_true(at < 100);
    }
    free(icc);
    free(exif);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, make_arena, free_arena)

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(test_every_kind),
        TEST(test_transparency),
        TEST(test_resolution_and_srgb),
        TEST(test_exif),
        TEST(test_profile),
        TEST(test_payload_is_measured),
        cmocka_unit_test(test_no_memory_at_any_point),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
