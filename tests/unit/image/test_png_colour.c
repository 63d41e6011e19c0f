/*
 * What a PNG's colours mean: PNG (W3C, third edition) 4.3 for the order of precedence, 11.3.2 for
 * the chunks, ITU-T H.273 Tables 2 and 3 for code points. The columns of sRGB are IEC 61966-2-1's
 * as the ICC's own sRGB profile has them, those of Display P3 as published with that profile.
 */
#include "testing.h"

#include <math.h>
#include <zlib.h>

#include "image/icc_make.h"
#include "image/image.h"
#include "make_image.h"

static unsigned char made[1 << 14];
static size_t made_length;

static void put32(unsigned char *to, uint32_t value) {
    for (int i = 0; i < 4; i++)
        to[i] = (unsigned char)(value >> (24 - 8 * i));
}

static void add(const char *type, const void *data, size_t length) {
    unsigned char *at = made + made_length;
    put32(at, (uint32_t)length);
    memcpy(at + 4, type, 4);
    if (length > 0)
        memcpy(at + 8, data, length);
    put32(at + 8 + length, (uint32_t)crc32(0, at + 4, (uInt)length + 4));
    made_length += length + 12;
}

static void begin(int type) {
    unsigned char bytes[13] = {0, 0, 0, 2, 0, 0, 0, 2, 8, (unsigned char)type};
    memcpy(made, "\x89PNG\r\n\x1A\n", 8);
    made_length = 8;
    add("IHDR", bytes, sizeof bytes);
}

static void add_numbers(const char *type, const uint32_t *numbers, size_t count) {
    unsigned char bytes[32];
    for (size_t i = 0; i < count; i++)
        put32(bytes + 4 * i, numbers[i]);
    add(type, bytes, 4 * count);
}

static void add_gamma(uint32_t gamma) {
    add_numbers("gAMA", &gamma, 1);
}

static void add_profile(void) {
    size_t length;
    unsigned char packed[4096] = "name\0";
    uLongf size = sizeof packed - 6;
    unsigned char *icc = make_icc("mntr", "RGB ", 2, "A wide space", &length);
    assert_int_equal(compress(packed + 6, &size, icc, length), Z_OK);
    add("iCCP", packed, 6 + size);
    free(icc);
}

static tw_code finish(tw_arena *arena, tw_image *image, tw_error *error) {
    const char *path = scratch("colour.png");
    add("IDAT", "\x78\x01 any data", 11);
    add("IEND", NULL, 0);
    write_file(path, made, made_length);
    *error = (tw_error){0};
    return tw_image_read(arena, path, image, error);
}

static tw_image accept(tw_arena *arena) {
    tw_image image;
    tw_error error;
    assert_ok(finish(arena, &image, &error), error);
    return image;
}

static const uint32_t srgb[8] = {31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000};
static const uint32_t p3[8] = {31270, 32900, 68000, 32000, 26500, 69000, 15000, 6000};

/* ---- the built profile */

static const unsigned char *tag_data(const tw_image *image, const char *tag) {
    for (uint32_t n = 0; n < image->profile[131]; n++) {
        const unsigned char *entry = image->profile + 132 + 12 * n;
        if (memcmp(entry, tag, 4) == 0)
            return image->profile + (size_t)entry[6] * 256 + entry[7];
    }
    fail_msg("no tag %s", tag);
    return NULL;
}

static double column(const tw_image *image, const char *tag, int i) {
    const unsigned char *at = tag_data(image, tag) + 8 + 4 * i;
    uint32_t bits = (uint32_t)at[0] << 24 | (uint32_t)at[1] << 16 | (uint32_t)at[2] << 8 | at[3];
    return (int32_t)bits / 65536.0;
}

/* Value i of the 1024 of a curve. */
static unsigned curve(const tw_image *image, const char *tag, unsigned i) {
    const unsigned char *at = tag_data(image, tag);
    return at[12 + 2 * i] * 256u + at[13 + 2 * i];
}

static void assert_columns(const tw_image *image, const double wanted[3][3]) {
    static const char *const tags[] = {"rXYZ", "gXYZ", "bXYZ"};
    for (int k = 0; k < 3; k++)
        for (int i = 0; i < 3; i++)
            if (fabs(column(image, tags[k], i) - wanted[k][i]) > 2e-4)
                fail_msg("%s %d: %f for %f", tags[k], i, column(image, tags[k], i), wanted[k][i]);
}

static const double srgb_columns[3][3] = {
    {0.43607, 0.22249, 0.01392}, {0.38515, 0.71687, 0.09708}, {0.14307, 0.06061, 0.71410}};
static const double p3_columns[3][3] = {
    {0.51512, 0.24120, -0.00105}, {0.29198, 0.69225, 0.04189}, {0.15710, 0.06657, 0.78407}};

static void test_gamma_and_places(void **state) {
    begin(2);
    add_gamma(50000);
    add_numbers("cHRM", p3, 8);
    tw_image image = accept(*state);
    assert_string_equal(image.profile_made, "its gAMA and cHRM chunks");
    assert_string_equal(image.profile_description, "Primaries of a PNG, gamma 2.0000");
    assert_null(image.colour_note);
    assert_false(image.says_srgb);
    assert_columns(&image, p3_columns);
    for (unsigned i = 0; i < 1024; i++) {
        double wanted = 65535 * pow(i / 1023.0, 2);
        if (fabs(curve(&image, "gTRC", i) - wanted) > 0.51)
            fail_msg("%u: %u for %f", i, curve(&image, "gTRC", i), wanted);
    }
}

/* The sum of the columns is the white of the profile, to the last bit. */
static void test_white_stays_white(void **state) {
    static const uint32_t d50[3] = {0xF6D6, 0x10000, 0xD32D};
    static const uint32_t wide[8] = {34567, 35850, 73470, 26530, 15960, 84040, 3660, 10};
    const uint32_t *sets[] = {srgb, p3, wide};
    uint32_t columns[3][3];
    (void)state;
    for (int s = 0; s < 3; s++) {
        assert_true(tw_icc_columns(sets[s], columns));
        for (int i = 0; i < 3; i++)
            assert_int_equal((uint32_t)(columns[0][i] + columns[1][i] + columns[2][i]), d50[i]);
    }
}

static void test_one_without_the_other(void **state) {
    begin(2);
    add_gamma(45455);
    tw_image image = accept(*state);
    assert_string_equal(image.profile_made, "its gAMA chunk, with sRGB's primaries");
    assert_columns(&image, srgb_columns);
    begin(3);
    add_numbers("cHRM", p3, 8);
    add("PLTE", "\1\2\3", 3);
    image = accept(*state);
    assert_string_equal(image.profile_made, "its cHRM chunk, with sRGB's curve");
    assert_columns(&image, p3_columns);
    assert_int_equal(curve(&image, "rTRC", 512), tw_srgb_linear(512));
    begin(0);
    add_gamma(100000);
    add_numbers("cHRM", p3, 8);
    image = accept(*state);
    assert_string_equal(image.profile_made, "its gAMA chunk");
    assert_string_equal(image.profile_description, "Grey, gamma 1.0000");
    assert_memory_equal(image.profile + 16, "GRAY", 4);
    assert_non_null(tag_data(&image, "kTRC")); /* curveType without entries: a straight line */
    assert_memory_equal(tag_data(&image, "kTRC"), "curv\0\0\0\0\0\0\0\0", 12);
    begin(0);
    add_numbers("cHRM", p3, 8); /* of a grey image it says the white alone: nothing */
    image = accept(*state);
    assert_null(image.profile);
}

/* ---- precedence */

static void expect(tw_arena *arena, const char *made_of, bool says_srgb, const char *note) {
    tw_image image = accept(arena);
    if (made_of == NULL)
        assert_null(image.profile_made);
    else
        assert_string_equal(image.profile_made, made_of);
    assert_int_equal(image.says_srgb, says_srgb);
    if (note == NULL)
        assert_null(image.colour_note);
    else if (image.colour_note == NULL || strstr(image.colour_note, note) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", image.colour_note, note);
    assert_null(image.profile_problem);
}

static void test_precedence(void **state) {
    begin(2);
    add("cICP", "\14\15\0\1", 4);
    add_profile();
    add_gamma(100000);
    add_numbers("cHRM", srgb, 8);
    expect(*state, "its cICP chunk (Display P3)", false, NULL);
    begin(2);
    add_profile();
    add_gamma(100000);
    add_numbers("cHRM", srgb, 8);
    expect(*state, NULL, false, NULL);
    begin(2);
    add("sRGB", "\0", 1);
    add_gamma(45455);
    add_numbers("cHRM", srgb, 8);
    expect(*state, NULL, true, NULL);
}

static void test_contradictions(void **state) {
    begin(2);
    add("cICP", "\14\15\0\1", 4);
    add("sRGB", "\0", 1);
    expect(*state, "its cICP chunk (Display P3)", false, "cICP and sRGB chunks contradict");
    begin(2);
    add_profile();
    add("sRGB", "\0", 1);
    expect(*state, NULL, false, "holds a profile and an sRGB chunk");
    begin(2);
    add("sRGB", "\0", 1);
    add_gamma(100000);
    expect(*state, NULL, true, "sRGB and gAMA chunks contradict");
    begin(2);
    add("sRGB", "\0", 1);
    add_numbers("cHRM", p3, 8);
    expect(*state, NULL, true, "sRGB and cHRM chunks contradict");
}

/* What cannot be followed gives way to the next, and that is said. */
static void test_giving_way(void **state) {
    static const uint32_t line[8] = {31270, 32900, 10000, 10000, 20000, 20000, 30000, 30000};
    static const uint32_t outside[8] = {31270, 32900, 90000, 90000, 30000, 60000, 15000, 6000};
    begin(2);
    add("iCCP", "name\0\1abc", 9);
    add("sRGB", "\0", 1);
    expect(*state, NULL, true, "packed by an unknown method, what else it says is followed");
    begin(2);
    add("cICP", "\26\15\0\1", 4); /* primaries 22 */
    add_gamma(45455);
    add_numbers("cHRM", srgb, 8);
    expect(*state, "its gAMA and cHRM chunks", false, "primaries 22, transfer 13) that are not");
    begin(2);
    add("cICP", "\1\15\0\0", 4); /* not full range */
    add("sRGB", "\0", 1);
    expect(*state, NULL, true, "primaries 1, transfer 13) that are not read");
    begin(2);
    add_gamma(0);
    add_numbers("cHRM", srgb, 8);
    expect(*state, "its cHRM chunk, with sRGB's curve", false, "gAMA chunk says 0");
    begin(2);
    add_gamma(50000);
    add_numbers("cHRM", line, 8);
    expect(*state, "its gAMA chunk, with sRGB's primaries", false, "spans no colours");
    begin(2);
    add_gamma(50000);
    add_numbers("cHRM", outside, 8);
    expect(*state, "its gAMA chunk, with sRGB's primaries", false, "spans no colours");
}

/* Nothing to follow: the image's problem, and no profile. */
static void test_unknown_code_points_alone(void **state) {
    begin(2);
    add("cICP", "\1\1\0\1", 4);
    tw_image image = accept(*state);
    assert_null(image.profile);
    assert_false(image.says_srgb);
    assert_non_null(image.profile_problem);
    assert_non_null(strstr(image.profile_problem, "primaries 1, transfer 1) that are not read"));
}

/* ---- code points */

static void test_code_points(void **state) {
    begin(2);
    add("cICP", "\1\15\0\1", 4);
    add_profile();
    expect(*state, NULL, true, NULL);
    begin(2);
    add("cICP", "\14\15\0\1", 4);
    tw_image image = accept(*state);
    assert_string_equal(image.profile_description, "Display P3");
    assert_columns(&image, p3_columns);
    assert_int_equal(curve(&image, "bTRC", 700), tw_srgb_linear(700));
    begin(2);
    add("cICP", "\11\10\0\1", 4);
    expect(*state, "its cICP chunk (BT.2020, linear)", false, NULL);
    begin(0);
    add("cICP", "\14\15\0\1", 4); /* a grey has no primaries */
    expect(*state, NULL, true, NULL);
    begin(4);
    add("cICP", "\1\4\0\1", 4);
    image = accept(*state);
    assert_memory_equal(image.profile + 16, "GRAY", 4);
    unsigned middle = curve(&image, "kTRC", 512); /* 65535 (512/1023)^2.2 = 14294.1 */
    assert_int_equal(middle, 14294);
}

static void test_high_dynamic_range_is_refused(void **state) {
    static const char *const points[] = {"\11\20\0\1", "\11\22\0\1", "\14\20\0\1"};
    static const char *const names[] = {"PQ", "HLG", "PQ"};
    for (int i = 0; i < 3; i++) {
        tw_image image;
        tw_error error;
        begin(2);
        add("cICP", points[i], 4);
        add_profile();
        assert_int_equal(finish(*state, &image, &error), TW_INPUT);
        assert_says(error, "high dynamic range");
        assert_says(error, names[i]);
        assert_string_equal(error.name, "image-kind");
        assert_non_null(strstr(error.hint, "sRGB or Display P3"));
    }
}

/* After the palette or the data a colour chunk means nothing (third edition, 5.6); the second of
 * a kind neither. */
static void test_places_of_chunks(void **state) {
    begin(3);
    add("PLTE", "\1\2\3", 3);
    add_gamma(50000);
    add("sRGB", "\0", 1);
    add("cICP", "\14\15\0\1", 4);
    add_numbers("cHRM", srgb, 8);
    expect(*state, NULL, false, NULL);
    begin(2);
    add("cICP", "\1\15\0\1", 4);
    add("cICP", "\11\20\0\1", 4);
    expect(*state, NULL, true, NULL);
    begin(2);
    add_gamma(100000);
    add_gamma(50000);
    tw_image image = accept(*state);
    assert_string_equal(image.profile_description, "Primaries of sRGB, gamma 1.0000");
}

static void test_no_memory_at_any_point(void **state) {
    (void)state;
    tw_code code = TW_MEMORY;
    for (long at = 1; code != TW_OK; at++) {
        test_memory memory = {.fail_at = at};
        tw_allocator allocator = test_allocator(&memory);
        tw_arena *arena = tw_arena_new(&allocator, 0);
        tw_image image;
        tw_error error = {0};
        begin(2);
        add("cICP", "\1\1\0\1", 4);
        add_gamma(0);
        add_numbers("cHRM", p3, 8);
        if (arena != NULL)
            code = finish(arena, &image, &error);
        assert_true(code == TW_OK || code == TW_MEMORY);
        tw_arena_free(arena);
        assert_no_leak(memory);
        assert_true(at < 100);
    }
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
        TEST(test_gamma_and_places),
        TEST(test_white_stays_white),
        TEST(test_one_without_the_other),
        TEST(test_precedence),
        TEST(test_contradictions),
        TEST(test_giving_way),
        TEST(test_unknown_code_points_alone),
        TEST(test_code_points),
        TEST(test_high_dynamic_range_is_refused),
        TEST(test_places_of_chunks),
        cmocka_unit_test(test_no_memory_at_any_point),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
