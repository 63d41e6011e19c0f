/*
 * Facts of JPEG files, read back from files that libjpeg wrote, and of some put together here.
 * Sources: ITU-T T.81 Annex B (markers, Table B.1), T.871 10.1 (JFIF density), Exif 2.32 (APP1),
 * T.872 6.5.3 (Adobe's APP14), ICC.1:2010 Annex B.4 (APP2, parts by number).
 */
#include "testing.h"

#include "image/image.h"
#include "make_image.h"

static tw_code read_at(tw_arena *arena, const char *path, tw_image *image, tw_error *error) {
    *error = (tw_error){0};
    return tw_image_read(arena, path, image, error);
}

static tw_image facts(tw_arena *arena, const made_jpeg *what) {
    const char *path = scratch("facts.jpg");
    tw_image image;
    tw_error error;
    make_jpeg(path, what);
    assert_ok(read_at(arena, path, &image, &error), error);
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
    static const int components[] = {1, 3, 4};
    static const tw_image_space spaces[] = {TW_GREY, TW_RGB, TW_CMYK};
    for (int i = 0; i < 3; i++)
        for (int progressive = 0; progressive < 2; progressive++) {
            made_jpeg what = {.width = 53, .height = 31, .components = components[i]};
            what.progressive = progressive == 1;
            tw_image image = facts(*state, &what);
            assert_int_equal(image.format, TW_JPEG);
            assert_int_equal(image.space, spaces[i]);
            assert_int_equal(image.jpeg_components, components[i]);
            assert_int_equal(image.width, 53);
            assert_int_equal(image.height, 31);
            assert_int_equal(image.depth, 8);
            assert_int_equal(image.progressive, progressive);
            assert_int_equal(image.inverted_cmyk, components[i] == 4);
            assert_int_equal(image.density_x, 0);
            assert_int_equal(image.orientation, 1);
            assert_null(image.profile);
            assert_null(image.profile_problem);
        }
}

static void test_jfif_density(void **state) {
    made_jpeg inch = {.width = 9, .height = 9, .components = 3, .density_unit = 1};
    inch.density_x = 300;
    inch.density_y = 240;
    tw_image image = facts(*state, &inch);
    assert_int_equal(image.density_x, 11811); /* 11811.02 */
    assert_int_equal(image.density_y, 9449);  /* 9448.82 */
    inch.density_x = inch.density_y = 127;    /* exactly 5000 */
    assert_int_equal(facts(*state, &inch).density_x, 5000);
    inch.density_unit = 2;
    assert_int_equal(facts(*state, &inch).density_x, 12700);
    inch.density_unit = 0; /* a ratio only */
    assert_int_equal(facts(*state, &inch).density_x, 0);
    assert_int_equal(facts(*state, &inch).aspect_x, 0); /* 127 to 127 */
    inch.density_y = 254;
    assert_int_equal(facts(*state, &inch).aspect_x, 127);
    assert_int_equal(facts(*state, &inch).aspect_y, 254);
}

static void test_exif(void **state) {
    for (int orientation = 1; orientation <= 8; orientation++)
        for (int big = 0; big < 2; big++) {
            size_t length;
            unsigned char *exif = make_exif(big, orientation, 240, 1, 2, &length);
            made_jpeg what = {.width = 13, .height = 9, .components = 3};
            what.exif = exif;
            what.exif_length = length;
            what.density_unit = big == 1 ? 1 : 0; /* JFIF's goes before Exif's */
            what.density_x = what.density_y = 300;
            tw_image image = facts(*state, &what);
            assert_int_equal(image.orientation, orientation);
            assert_int_equal(image.upright_width, orientation >= 5 ? 9 : 13);
            assert_int_equal(image.upright_height, orientation >= 5 ? 13 : 9);
            assert_int_equal(image.density_x, big == 1 ? 11811 : 9449);
            free(exif);
        }
}

/* Many parts, in either order: numbers rule. */
static void test_profile_parts(void **state) {
    static const unsigned counts[] = {1, 2, 3, 17, 255};
    static const char *const spaces[] = {"GRAY", "RGB ", "CMYK"};
    static const int components[] = {1, 3, 4};
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++)
        for (int backwards = 0; backwards < 2; backwards++) {
            size_t length;
            unsigned char *icc = make_icc("prtr", spaces[i % 3], 2, "Press, coated", &length);
            made_jpeg what = {.width = 9, .height = 9, .components = components[i % 3]};
            what.profile = icc;
            what.profile_length = length;
            what.profile_parts = counts[i] > length ? (unsigned)length : counts[i];
            what.parts_backwards = backwards == 1;
            tw_image image = facts(*state, &what);
            assert_null(image.profile_problem);
            assert_int_equal(image.profile_length, length);
            assert_memory_equal(image.profile, icc, length);
            assert_string_equal(image.profile_description, "Press, coated");
            free(icc);
        }
}

static void expect_problem(tw_arena *arena, const made_jpeg *what, const char *words) {
    tw_image image = facts(arena, what);
    assert_null(image.profile);
    assert_non_null(image.profile_problem);
    if (strstr(image.profile_problem, words) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", image.profile_problem, words);
}

/* T.81: a block of 64 samples takes a bit at least, so 2000 bytes hold no more than 1 024 000. */
static void test_too_few_bytes_for_its_pixels(void **state) {
    made_jpeg what = {.width = 9, .height = 9, .components = 1};
    const char *path = scratch("short.jpg");
    size_t length;
    tw_image image;
    tw_error error = {0};
    make_jpeg(path, &what);
    unsigned char *bytes = read_file(path, &length);
    for (size_t at = 0; at + 9 < length; at++)
        if (bytes[at] == 0xFF && bytes[at + 1] == 0xC0)
            memset(bytes + at + 5, 0xF0, 4); /* 61680 x 61680 */
    write_file(path, bytes, length);
    free(bytes);
    assert_int_equal(tw_image_read(*state, path, &image, &error), TW_DAMAGED);
    assert_says(error, "too few for 61680 x 61680 pixels");
}

static void test_profile_problems(void **state) {
    size_t length;
    unsigned char *icc = make_icc("mntr", "RGB ", 2, "x", &length);
    made_jpeg what = {.width = 9, .height = 9, .components = 3};
    what.profile = icc;
    what.profile_length = length;
    what.profile_parts = 4;
    what.part_left_out = 3;
    expect_problem(*state, &what, "is missing");
    what.part_left_out = 4;
    expect_problem(*state, &what, "is missing");
    what.part_left_out = 0;
    what.part_doubled = 2;
    expect_problem(*state, &what, "twice");
    what.part_doubled = 0;
    what.components = 1;
    expect_problem(*state, &what, "the image is grey, its profile is for \"RGB \"");
    what.components = 4;
    expect_problem(*state, &what, "the image is CMYK");
    what.components = 3;
    memcpy(icc + 20, "LUV ", 4);
    expect_problem(*state, &what, "connects through \"LUV \"; it must be \"XYZ \" or \"Lab \"");
    icc[36] = 'x';
    expect_problem(*state, &what, "acsp");
    free(icc);
}

/* Padding after the profile's own size, as some writers leave it, is not part of it. */
static void test_padded_profile(void **state) {
    size_t length;
    unsigned char *icc = make_icc("mntr", "RGB ", 2, "x", &length);
    unsigned char *padded = calloc(1, length + 4);
    memcpy(padded, icc, length);
    made_jpeg what = {.width = 9, .height = 9, .components = 3};
    what.profile = padded;
    what.profile_length = length + 3;
    assert_int_equal(facts(*state, &what).profile_length, length);
    what.profile_length = length + 4;
    expect_problem(*state, &what, "bytes long but is");
    free(padded);
    free(icc);
}

/* ---- files changed by hand */

static size_t find(const unsigned char *bytes, size_t length, unsigned char marker) {
    for (size_t i = 0; i + 1 < length; i++)
        if (bytes[i] == 0xFF && bytes[i + 1] == marker)
            return i;
    fail_msg("no marker %02X", marker);
    return 0;
}

/* A good file with one byte changed, `offset` from `marker`. */
static void expect_refused(tw_arena *arena, unsigned char marker, size_t offset,
                           unsigned char value, tw_code wanted, const char *words) {
    const char *path = scratch("changed.jpg");
    made_jpeg what = {.width = 40, .height = 30, .components = 3};
    size_t length;
    tw_image image;
    tw_error error;
    make_jpeg(path, &what);
    unsigned char *bytes = read_file(path, &length);
    bytes[find(bytes, length, marker) + offset] = value;
    write_file(path, bytes, length);
    free(bytes);
    assert_int_equal(read_at(arena, path, &image, &error), wanted);
    assert_says(error, words);
}

static void test_kinds_that_are_not_printed(void **state) {
    static const struct {
        unsigned char marker;
        const char *words;
    } table[] = {{0xC3, "lossless"},         {0xC5, "hierarchical"},     {0xC6, "hierarchical"},
                 {0xC7, "hierarchical"},     {0xDE, "hierarchical"},     {0xF7, "JPEG-LS"},
                 {0xCB, "arithmetic coded"}, {0xCD, "arithmetic coded"}, {0xCE, "arithmetic coded"},
                 {0xCF, "arithmetic coded"}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        expect_refused(*state, 0xC0, 1, table[i].marker, TW_INPUT, table[i].words);
    expect_refused(*state, 0xC0, 4, 12, TW_INPUT, "12 bits");
    expect_refused(*state, 0xC0, 9, 2, TW_INPUT, "neither 1, 3 nor 4");
    expect_refused(*state, 0xC0, 6, 0, TW_INPUT, "without a height");
}

static void test_extended_sequential_is_taken(void **state) {
    const char *path = scratch("extended.jpg");
    made_jpeg what = {.width = 40, .height = 30, .components = 3};
    size_t length;
    tw_image image;
    tw_error error;
    make_jpeg(path, &what);
    unsigned char *bytes = read_file(path, &length);
    bytes[find(bytes, length, 0xC0) + 1] = 0xC1;
    write_file(path, bytes, length);
    free(bytes);
    assert_ok(read_at(*state, path, &image, &error), error);
    assert_int_equal(image.width, 40);
}

static void test_damage(void **state) {
    expect_refused(*state, 0xD8, 2, 0x00, TW_DAMAGED, "byte 2: a marker is wanted");
    expect_refused(*state, 0xC0, 3, 18, TW_DAMAGED, "frame header has a wrong length");
    expect_refused(*state, 0xC0, 3, 8, TW_DAMAGED, "frame header is too short");
    expect_refused(*state, 0xC0, 8, 0, TW_DAMAGED, "0 x 30 pixels");
    expect_refused(*state, 0xC0, 11, 0x50, TW_DAMAGED, "impossible values");
    expect_refused(*state, 0xC0, 12, 4, TW_DAMAGED, "impossible values");
    expect_refused(*state, 0xC0, 1, 0xDA, TW_DAMAGED, "before the frame header");
    expect_refused(*state, 0xC0, 1, 0xD9, TW_DAMAGED, "without image data");
    expect_refused(*state, 0xC0, 1, 0xD3, TW_DAMAGED, "none may be");
    expect_refused(*state, 0xC4, 1, 0xC0, TW_DAMAGED, "second frame");
    expect_refused(*state, 0xE0, 2, 0xFF, TW_DAMAGED, "ends inside a segment");
}

/* A cut file shows at once, whatever it ends in; what follows EOI does no harm. */
static void test_cut_short(void **state) {
    const char *path = scratch("cut.jpg");
    made_jpeg what = {.width = 40, .height = 30, .components = 3, .progressive = true};
    size_t length;
    tw_image image;
    tw_error error;
    make_jpeg(path, &what);
    unsigned char *bytes = read_file(path, &length);
    for (size_t cut = 2; cut < length; cut++) {
        write_file(path, bytes, cut);
        assert_int_equal(read_at(*state, path, &image, &error), TW_DAMAGED);
    }
    free(bytes);
    what.after = "a film";
    make_jpeg(path, &what);
    assert_ok(read_at(*state, path, &image, &error), error);
}

static void test_no_memory_at_any_point(void **state) {
    (void)state;
    size_t length, exif_length;
    const char *path = scratch("memory.jpg");
    unsigned char *icc = make_icc("mntr", "RGB ", 4, "A wide space", &length);
    unsigned char *exif = make_exif(true, 3, 0, 0, 0, &exif_length);
    made_jpeg what = {.width = 5, .height = 5, .components = 3, .profile_parts = 3};
    what.profile = icc;
    what.profile_length = length;
    what.exif = exif;
    what.exif_length = exif_length;
    make_jpeg(path, &what);
    tw_code code = TW_MEMORY;
    for (long at = 1; code != TW_OK; at++) {
        test_memory memory = {.fail_at = at};
        tw_allocator allocator = test_allocator(&memory);
        tw_arena *arena = tw_arena_new(&allocator, 0);
        tw_image image;
        tw_error error;
        if (arena != NULL)
            code = read_at(arena, path, &image, &error);
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
        TEST(test_jfif_density),
        TEST(test_exif),
        TEST(test_profile_parts),
        TEST(test_too_few_bytes_for_its_pixels),
        TEST(test_profile_problems),
        TEST(test_padded_profile),
        TEST(test_kinds_that_are_not_printed),
        TEST(test_extended_sequential_is_taken),
        TEST(test_damage),
        TEST(test_cut_short),
        cmocka_unit_test(test_no_memory_at_any_point),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
