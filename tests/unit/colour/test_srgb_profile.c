/*
 * The built-in profiles against the standards: the curve against IEC 61966-2-1's formula, the
 * colours against published Lab values, the structure against ICC.1.
 */
#include "colour/srgb_profile.h"
#include "testing.h"

#include "image/icc_head.h"

#include <math.h>

static double linear(double v) {
    return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
}

static void the_curve_is_srgbs(void **state) {
    (void)state;
    for (unsigned i = 0; i < 1024; i++) {
        double wanted = 65535 * linear(i / 1023.0);
        if (fabs(tw_srgb_linear(i) - wanted) > 0.5 + 1e-3)
            fail_msg("%u: %u for %f", i, tw_srgb_linear(i), wanted);
    }
    assert_int_equal(tw_srgb_linear(0), 0);
    assert_int_equal(tw_srgb_linear(1023), 65535);
}

static uint32_t u32(const unsigned char *at) {
    return (uint32_t)at[0] << 24 | (uint32_t)at[1] << 16 | (uint32_t)at[2] << 8 | at[3];
}

/* The data of a tag, found as a reader finds it (ICC.1, 7.3). */
static const unsigned char *tag_data(const unsigned char *profile, const char *name) {
    for (uint32_t i = 0; i < u32(profile + 128); i++) {
        const unsigned char *entry = profile + 132 + 12 * i;
        if (memcmp(entry, name, 4) == 0) {
            assert_true(u32(entry + 4) % 4 == 0);
            assert_true(u32(entry + 4) + u32(entry + 8) <= u32(profile));
            return profile + u32(entry + 4);
        }
    }
    fail_msg("no tag %s", name);
    return NULL;
}

static void column(const unsigned char *profile, const char *name, double out[3]) {
    const unsigned char *data = tag_data(profile, name);
    assert_memory_equal(data, "XYZ ", 4);
    for (int i = 0; i < 3; i++)
        out[i] = u32(data + 8 + 4 * i) / 65536.0;
}

static double bent(double t) {
    return t > 216.0 / 24389 ? cbrt(t) : (24389.0 / 27 * t + 16) / 116;
}

/* From 8-bit sRGB through the profile's own tags to Lab (ICC.1's D50). */
static void to_lab(const unsigned char *profile, const int rgb[3], double lab[3]) {
    static const char *const columns[] = {"rXYZ", "gXYZ", "bXYZ"};
    static const double white[3] = {0.9642, 1, 0.8249};
    double xyz[3] = {0, 0, 0}, f[3];
    for (int c = 0; c < 3; c++) {
        double part[3], at = rgb[c] / 255.0 * 1023;
        const unsigned char *curve = tag_data(profile, c == 0 ? "rTRC" : "bTRC") + 12;
        unsigned low = (unsigned)at, high = low < 1023 ? low + 1 : low;
        double a = curve[2 * low] * 256 + curve[2 * low + 1];
        double b = curve[2 * high] * 256 + curve[2 * high + 1];
        column(profile, columns[c], part);
        for (int i = 0; i < 3; i++)
            xyz[i] += part[i] * (a + (b - a) * (at - low)) / 65535;
    }
    for (int i = 0; i < 3; i++)
        f[i] = bent(xyz[i] / white[i]);
    lab[0] = 116 * f[1] - 16;
    lab[1] = 500 * (f[0] - f[1]);
    lab[2] = 200 * (f[1] - f[2]);
}

/* Two independent computations agree on these to four decimals (lcms2 2.14 and another); the
 * 16-bit numbers of a version 2 profile move them by about 0.02. */
static void the_colours_are_srgbs(void **state) {
    static const struct {
        int rgb[3];
        double lab[3];
    } table[] = {
        {{255, 255, 255}, {100, 0, 0}},
        {{255, 0, 0}, {54.2896, 80.8144, 69.8897}},
        {{0, 255, 0}, {87.8194, -79.2749, 80.9927}},
        {{0, 0, 255}, {29.5659, 68.2862, -112.0329}},
        {{128, 128, 128}, {53.5850, 0, 0}},
        {{119, 119, 119}, {50.0344, 0, 0}},
        {{192, 128, 64}, {59.4465, 21.0871, 44.3842}},
    };
    tw_buffer profile;
    (void)state;
    tw_buffer_start(&profile, NULL);
    tw_srgb_profile(&profile);
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        double lab[3];
        to_lab((unsigned char *)profile.bytes, table[i].rgb, lab);
        for (int n = 0; n < 3; n++)
            assert_float_equal(lab[n], table[i].lab[n], 0.03);
    }
    tw_buffer_free(&profile);
}

static void read_back(void (*make)(tw_buffer *), const char *space, int channels) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    tw_error error;
    tw_profile facts;
    tw_buffer profile;
    tw_buffer_start(&profile, &allocator);
    make(&profile);
    assert_false(profile.failed);
    assert_int_equal(u32((unsigned char *)profile.bytes), profile.length);
    assert_ok(
        tw_profile_read(arena, (unsigned char *)profile.bytes, profile.length, &facts, &error),
        error);
    assert_string_equal(facts.space, space);
    assert_string_equal(facts.device_class, "mntr");
    assert_string_equal(facts.connection, "XYZ ");
    assert_int_equal(facts.channels, channels);
    assert_int_equal(facts.version_major, 2);
    assert_non_null(facts.description);
    tw_buffer_free(&profile);
    tw_arena_free(arena);
    assert_no_leak(memory);
}

static void profiles_are_valid(void **state) {
    (void)state;
    read_back(tw_srgb_profile, "RGB ", 3);
    read_back(tw_srgb_grey_profile, "GRAY", 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_curve_is_srgbs),
        cmocka_unit_test(the_colours_are_srgbs),
        cmocka_unit_test(profiles_are_valid),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
