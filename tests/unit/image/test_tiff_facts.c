/*
 * Facts of TIFFs made by libtiff, in both byte orders, classic and big; what is refused by name;
 * tags that lie. TIFF 6.0 (Adobe, 1992); ICC.1:2010 Annex B.3 for the profile's tag.
 */
#include "testing.h"

#include "image/image.h"
#include "make_image.h"

static tw_code read(tw_arena *arena, const char *path, tw_image *image, tw_error *error) {
    *error = (tw_error){0};
    return tw_image_read(arena, path, image, error);
}

static void test_every_fact(void **state) {
    const char *path = scratch("facts.tif");
    size_t length;
    unsigned char *icc = make_icc("mntr", "RGB ", 2, "A profile", &length);
    for (int kind = 0; kind < 4; kind++) {
        made_tiff made = {.width = 40,
                          .height = 30,
                          .photometric = 2,
                          .depth = 16,
                          .big_endian = kind % 2 == 1,
                          .big = kind / 2 == 1,
                          .orientation = 6,
                          .unit = 2,
                          .density_x = 300,
                          .density_y = 150,
                          .profile = icc,
                          .profile_length = length,
                          .pages = 3};
        tw_image image;
        tw_error error;
        make_tiff(path, &made);
        assert_ok(read(*state, path, &image, &error), error);
        assert_int_equal(image.format, TW_TIFF);
        assert_int_equal(image.width, 40);
        assert_int_equal(image.height, 30);
        assert_int_equal(image.upright_width, 30);
        assert_int_equal(image.depth, 16);
        assert_int_equal(image.space, TW_RGB);
        assert_int_equal(image.orientation, 6);
        assert_int_equal(image.density_x, 11811); /* 300 / 0.0254 */
        assert_int_equal(image.density_y, 5906);  /* 5905.5, half up */
        assert_int_equal(image.profile_length, length);
        assert_string_equal(image.profile_description, "A profile");
        assert_int_equal(image.pages, 3);
        assert_int_equal(image.tiff.swapped, !made.big_endian);
        assert_int_equal(image.tiff.big, made.big);
    }
    free(icc);
}

static void test_centimetres_and_no_unit(void **state) {
    const char *path = scratch("facts.tif");
    for (uint16_t unit = 1; unit <= 3; unit++) {
        made_tiff made = {.width = 4, .height = 3, .photometric = 1, .depth = 8, .unit = unit};
        made.density_x = made.density_y = 118.5;
        tw_image image;
        tw_error error;
        make_tiff(path, &made);
        assert_ok(read(*state, path, &image, &error), error);
        static const int64_t wanted[] = {0, 0, 4665, 11850};
        assert_int_equal(image.density_x, wanted[unit]);
    }
}

static void test_kinds_of_channels(void **state) {
    static const struct {
        made_tiff made;
        tw_image_space space;
        bool alpha, multiplied, palette;
        unsigned extra;
    } table[] = {
        {{.photometric = 1, .depth = 8}, TW_GREY, false, false, false, 0},
        {{.photometric = 0, .depth = 1}, TW_GREY, false, false, false, 0},
        {{.photometric = 5, .depth = 8}, TW_CMYK, false, false, false, 0},
        {{.photometric = 3, .depth = 4}, TW_RGB, false, false, true, 0},
        {{.photometric = 2, .depth = 8, .extra = 1, .alpha = 1}, TW_RGB, true, true, false, 1},
        {{.photometric = 2, .depth = 8, .extra = 2, .alpha = 2}, TW_RGB, true, false, false, 2},
        {{.photometric = 2, .depth = 8, .extra = 1, .alpha = 0}, TW_RGB, false, false, false, 1},
    };
    const char *path = scratch("facts.tif");
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        made_tiff made = table[i].made;
        tw_image image;
        tw_error error;
        made.width = made.height = 20;
        make_tiff(path, &made);
        assert_ok(read(*state, path, &image, &error), error);
        assert_int_equal(image.space, table[i].space);
        assert_int_equal(image.alpha, table[i].alpha);
        assert_int_equal(image.tiff.multiplied, table[i].multiplied);
        assert_int_equal(image.palette, table[i].palette);
        assert_int_equal(image.tiff.extra, table[i].extra);
    }
}

/* What passes: one deflated strip whose layout is PDF's (ISO 32000-1 Table 10). */
static void test_what_passes(void **state) {
    static const struct {
        made_tiff made;
        bool passes;
    } table[] = {
        {{.photometric = 2, .depth = 8, .compression = 8, .predictor = 2}, true},
        {{.photometric = 2, .depth = 8, .compression = 32946}, true},
        {{.photometric = 0, .depth = 8, .compression = 8}, true},
        {{.photometric = 2, .depth = 16, .compression = 8, .big_endian = true}, true},
        {{.photometric = 2, .depth = 16, .compression = 8}, false},
        {{.photometric = 2, .depth = 8, .compression = 8, .strip = 19}, false},
        {{.photometric = 2, .depth = 8, .compression = 8, .tile = 32}, false},
        {{.photometric = 2, .depth = 8, .compression = 8, .separate = true}, false},
        {{.photometric = 2, .depth = 8, .compression = 8, .extra = 1}, false},
        {{.photometric = 2, .depth = 8, .compression = 5}, false},
        {{.photometric = 2, .depth = 8}, false},
    };
    const char *path = scratch("facts.tif");
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        made_tiff made = table[i].made;
        tw_image image;
        tw_error error;
        made.width = made.height = 20;
        make_tiff(path, &made);
        assert_ok(read(*state, path, &image, &error), error);
        assert_int_equal(tw_image_passes(&image), table[i].passes);
    }
}

static void expect_refusal(tw_arena *arena, const char *path, const char *words) {
    tw_image image;
    tw_error error;
    assert_int_equal(read(arena, path, &image, &error), TW_INPUT);
    assert_string_equal(error.name, "image-kind");
    assert_string_equal(error.file, path);
    assert_says(error, words);
    assert_true(error.hint[0] != '\0');
}

static void test_refused_by_name(void **state) {
    static const struct {
        made_tiff made;
        const char *words;
    } table[] = {
        {{.photometric = 2, .depth = 32, .sample_format = 3}, "floating point"},
        {{.photometric = 1, .depth = 16, .sample_format = 2}, "signed"},
        {{.photometric = 8, .depth = 8, .extra = 2}, "Lab"},
        {{.photometric = 4, .depth = 1}, "mask"},
        {{.photometric = 1, .depth = 1, .compression = 4}, "fax picture (CCITT group 4)"},
    };
    const char *path = scratch("refused.tif");
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        made_tiff made = table[i].made;
        made.width = made.height = 20;
        make_tiff(path, &made);
        expect_refusal(*state, path, table[i].words);
    }
}

/* ------------------------------------------------ tags changed by hand */

/* The entry of `tag` in a little-endian classic file. */
static unsigned char *entry_of(unsigned char *file, unsigned tag) {
    unsigned char *at = file + (file[4] | file[5] << 8 | file[6] << 16) + 2;
    while ((unsigned)(at[0] | at[1] << 8) != tag)
        at += 12;
    return at;
}

/* `entry` gets the value (a SHORT or LONG in the entry itself). */
static void change(const char *path, unsigned tag, unsigned new_tag, uint32_t value) {
    made_tiff made = {.width = 20, .height = 20, .photometric = 2, .depth = 8, .strip = 5};
    size_t length;
    make_tiff(path, &made);
    unsigned char *file = read_file(path, &length), *entry = entry_of(file, tag);
    entry[0] = (unsigned char)new_tag;
    entry[1] = (unsigned char)(new_tag >> 8);
    for (int i = 0; i < 4; i++)
        entry[8 + i] = (unsigned char)(value >> 8 * i);
    write_file(path, file, length);
    free(file);
}

/* NEF, ARW and their like are TIFFs whose first picture is a small version (tag 254, bit 0) of one
 * in a directory below (tag 330); from memory. */
static void test_raw_files_that_are_tiffs(void **state) {
    const char *path = scratch("raw.tif");
    made_tiff made = {.width = 20, .height = 20, .photometric = 2, .depth = 8, .orientation = 1};
    size_t length;
    tw_image image;
    tw_error error = {0};
    make_tiff(path, &made);
    unsigned char *file = read_file(path, &length);
    unsigned char *below = entry_of(file, 284), *kind = entry_of(file, 274);
    below[0] = 330 & 255;
    below[1] = 330 >> 8;
    write_file(path, file, length);
    assert_ok(tw_image_read(*state, path, &image, &error),
              error); /* pictures below do not matter */
    kind[0] = 254;
    kind[1] = 0;
    write_file(path, file, length);
    assert_int_equal(tw_image_read(*state, path, &image, &error), TW_INPUT);
    assert_says(error, "the TIFF is a camera raw file");
    assert_string_equal(error.hint, "develop it in your raw program and export a TIFF or PNG");
    free(file);
}

static void test_more_refusals(void **state) {
    const char *path = scratch("refused.tif");
    change(path, 259, 259, 6);
    expect_refusal(*state, path, "old JPEG method");
    change(path, 259, 259, 50000);
    expect_refusal(*state, path, "Zstandard");
    change(path, 259, 259, 777);
    expect_refusal(*state, path, "method 777");
    change(path, 262, 262, 32803);
    expect_refusal(*state, path, "camera raw");
    change(path, 262, 262, 6);
    expect_refusal(*state, path, "YCbCr");
    change(path, 262, 262, 777);
    expect_refusal(*state, path, "colour kind 777");
    change(path, 284, 50706, 4);
    expect_refusal(*state, path, "camera raw file (DNG)");
    change(path, 284, 266, 2);
    expect_refusal(*state, path, "reverse order");
}

static void expect_damage(tw_arena *arena, const char *path, const char *words) {
    tw_image image;
    tw_error error;
    assert_int_equal(read(arena, path, &image, &error), TW_DAMAGED);
    assert_says(error, words);
}

static void test_tags_that_lie(void **state) {
    const char *path = scratch("lies.tif");
    change(path, 256, 256, 0);
    expect_damage(*state, path, "0 x 20 pixels");
    change(path, 277, 277, 2);
    expect_damage(*state, path, "has 2 channels, and its colours need 3");
    change(path, 278, 278, 0);
    expect_damage(*state, path, "strips are 20 x 0");
    change(path, 257, 257, 21);
    expect_damage(*state, path, "has 4 strips, and 5 are needed");
    change(path, 273, 273, 0x7FFFFFFF);
    expect_damage(*state, path, "the file ends at");
}

static int make_arena(void **state) {
    *state = tw_arena_new(NULL, 0);
    return *state == NULL;
}

static int free_arena(void **state) {
    tw_arena_free(*state);
    return 0;
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, make_arena, free_arena)

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(test_every_fact),        TEST(test_centimetres_and_no_unit),
        TEST(test_kinds_of_channels), TEST(test_what_passes),
        TEST(test_refused_by_name),   TEST(test_raw_files_that_are_tiffs),
        TEST(test_more_refusals),     TEST(test_tags_that_lie),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
