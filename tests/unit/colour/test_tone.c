/*
 * Tone curves against their formulas, worked out here in long double: IEC 61966-2-1 for sRGB,
 * ICC.1:2010 10.5 (curveType) and 10.15 (parametricCurveType, Table 65) for profiles.
 */
#include "testing.h"

#include <math.h>

#include "base/arena.h"
#include "colour/tone.h"

#define LIGHT (1L << TW_TONE_BITS)

static unsigned char profile[1 << 14];
static size_t profile_length;

static void put32(unsigned char *to, uint32_t value) {
    for (int i = 0; i < 4; i++)
        to[i] = (unsigned char)(value >> (24 - 8 * i));
}

/* A header of zeros and one tag; other names may be added that share its data. */
static void one_tag(const char *name, const void *data, size_t length) {
    memset(profile, 0, sizeof profile);
    put32(profile + 128, 1);
    memcpy(profile + 132, name, 4);
    put32(profile + 136, 180);
    put32(profile + 140, (uint32_t)length);
    memcpy(profile + 180, data, length);
    profile_length = 180 + length;
}

static void also(const char *name) {
    unsigned char *entry = profile + 132 + 12 * (size_t)profile[131];
    memcpy(entry, profile + 132, 12);
    memcpy(entry, name, 4);
    profile[131]++;
}

static size_t parametric(unsigned char *data, int type, const double *numbers, size_t count) {
    memcpy(data, "para\0\0\0\0\0\0\0\0", 12);
    data[9] = (unsigned char)type;
    for (size_t i = 0; i < count; i++)
        put32(data + 12 + 4 * i, (uint32_t)(int32_t)lround(numbers[i] * 65536));
    return 12 + 4 * count;
}

static tw_tone *make(tw_arena *arena, tw_image_space space, int bits, tw_tone_source source) {
    tw_image image = {.space = space, .profile = profile, .profile_length = profile_length};
    tw_tone *tone = NULL;
    tw_error error = {0};
    if (profile_length == 0)
        image.profile = NULL;
    assert_ok(tw_tone_new(tw_arena_allocator(arena), &image, bits, &tone, &error), error);
    assert_int_equal(tone->source, source);
    return tone;
}

static void check(const tw_tone *tone, int channel, uint32_t code, long double wanted) {
    wanted = wanted < 0 ? 0 : wanted > 1 ? 1 : wanted;
    if (fabsl(tone->light[channel][code] - wanted * LIGHT) > 1)
        fail_msg("channel %d, code %u: %u for %.3Lf", channel, code, tone->light[channel][code],
                 wanted * LIGHT);
}

static void test_srgb(void **state) {
    for (int bits = 8; bits <= 16; bits += 8) {
        profile_length = 0;
        tw_tone *tone = make(*state, TW_RGB, bits, TW_TONE_ASSUMED);
        for (uint32_t code = 0; code <= tone->most; code++) {
            long double v = (long double)code / tone->most;
            check(tone, 2, code, v <= 0.04045L ? v / 12.92L : powl((v + 0.055L) / 1.055L, 2.4L));
            assert_int_equal(tw_tone_code(tone, 1, tone->light[1][code]), code);
        }
        assert_int_equal(tone->light[0][tone->most], LIGHT);
        assert_int_equal(tw_tone_code(tone, 0, -5), 0);
        assert_int_equal(tw_tone_code(tone, 0, 2 * LIGHT), tone->most);
        tw_tone_free(tw_arena_allocator(*state), tone);
    }
}

/* One number is a power in 8.8 bits; none is a straight line; more are joined by lines. */
static void test_curves(void **state) {
    profile_length = 0;
    one_tag("kTRC", "curv\0\0\0\0\0\0\0\1\2\63", 14); /* 2 + 51/256 */
    tw_tone *tone = make(*state, TW_GREY, 8, TW_TONE_OWN);
    for (uint32_t code = 0; code < 256; code++)
        check(tone, 0, code, powl(code / 255.0L, 2 + 51 / 256.0L));
    tw_tone_free(tw_arena_allocator(*state), tone);
    one_tag("kTRC", "curv\0\0\0\0\0\0\0\0", 12);
    tone = make(*state, TW_GREY, 16, TW_TONE_OWN);
    for (uint32_t code = 0; code < 65536; code += 17)
        check(tone, 0, code, code / 65535.0L);
    tw_tone_free(tw_arena_allocator(*state), tone);
    one_tag("kTRC", "curv\0\0\0\0\0\0\0\3\0\0\40\0\377\377", 18);
    tone = make(*state, TW_GREY, 8, TW_TONE_OWN);
    check(tone, 0, 51, 0.4L * 8192 / 65535);
    check(tone, 0, 204, (0.4L * 8192 + 0.6L * 65535) / 65535);
    tw_tone_free(tw_arena_allocator(*state), tone);
}

static long double formula(int type, const double *n, long double v) {
    switch (type) {
    case 0:
        return powl(v, n[0]);
    case 1:
        return v >= -n[2] / n[1] ? powl(n[1] * v + n[2], n[0]) : 0;
    case 2:
        return (v >= -n[2] / n[1] ? powl(n[1] * v + n[2], n[0]) : 0) + n[3];
    case 3:
        return v >= n[4] ? powl(n[1] * v + n[2], n[0]) : n[3] * v;
    default:
        return v >= n[4] ? powl(n[1] * v + n[2], n[0]) + n[5] : n[3] * v + n[6];
    }
}

/* The numbers are whole 65536ths, so that rounding them takes no part. */
static void test_parametric(void **state) {
    static const double numbers[5][7] = {{2.25},
                                         {2.5, 1.125, -0.125},
                                         {1.5, 0.75, -0.25, 0.125},
                                         {2.4, 0.9375, 0.0625, 0.0625, 0.03125},
                                         {2, 0.75, 0.25, 0.25, 0.125, -0.0625, 0.015625}};
    static const size_t counts[] = {1, 3, 4, 5, 7};
    for (int type = 0; type < 5; type++) {
        unsigned char data[64];
        double n[7];
        for (int i = 0; i < 7; i++)
            n[i] = (double)lround(numbers[type][i] * 65536) / 65536;
        one_tag("rTRC", data, parametric(data, type, n, counts[type]));
        also("gTRC");
        also("bTRC");
        tw_tone *tone = make(*state, TW_RGB, 16, TW_TONE_OWN);
        assert_ptr_equal(tone->light[0], tone->light[2]); /* one table serves all three */
        for (uint32_t code = 0; code < 65536; code += 13)
            check(tone, 1, code, formula(type, n, code / 65535.0L));
        tw_tone_free(tw_arena_allocator(*state), tone);
    }
}

/* Without a curve for every channel, or with one that falls, sRGB's is assumed. */
static void test_what_cannot_be_used(void **state) {
    unsigned char data[64];
    const double minus[] = {-1};
    profile_length = 0;
    one_tag("rTRC", "curv\0\0\0\0\0\0\0\0", 12);
    also("gTRC");
    tw_tone_free(tw_arena_allocator(*state), make(*state, TW_RGB, 8, TW_TONE_ASSUMED));
    one_tag("kTRC", "curv\0\0\0\0\0\0\0\3\377\377\1\0\0\0", 18);
    tw_tone_free(tw_arena_allocator(*state), make(*state, TW_GREY, 8, TW_TONE_ASSUMED));
    one_tag("kTRC", "curv\0\0\0\0\0\0\0\2\20\0\20\0", 16);
    tw_tone_free(tw_arena_allocator(*state), make(*state, TW_GREY, 8, TW_TONE_ASSUMED));
    one_tag("kTRC", data, parametric(data, 0, minus, 1));
    tw_tone_free(tw_arena_allocator(*state), make(*state, TW_GREY, 8, TW_TONE_ASSUMED));
    one_tag("kTRC", "curv\0\0\0\0\0\1\0\0\0\0", 14); /* 65536 entries are not there */
    tw_tone_free(tw_arena_allocator(*state), make(*state, TW_GREY, 8, TW_TONE_ASSUMED));
    one_tag("kTRC", "para\0\0\0\0\0\4\0\0\0\1\0\0", 16);
    tw_tone_free(tw_arena_allocator(*state), make(*state, TW_GREY, 8, TW_TONE_ASSUMED));
    one_tag("kTRC", "curv\0\0\0\0\0\0\0\0", 12);
    put32(profile + 136, 0xFFFFFF00);
    tw_tone_free(tw_arena_allocator(*state), make(*state, TW_GREY, 8, TW_TONE_ASSUMED));
}

/* Shares of ink are no light: a straight line, and paper is no ink. */
static void test_ink(void **state) {
    profile_length = 0;
    tw_tone *tone = make(*state, TW_CMYK, 8, TW_TONE_INK);
    assert_int_equal(tone->paper, 0);
    check(tone, 3, 51, 0.2L);
    tw_tone_free(tw_arena_allocator(*state), tone);
}

static void test_no_memory_at_any_point(void **state) {
    (void)state;
    unsigned char data[64];
    const double power[] = {1.5};
    tw_code code = TW_MEMORY;
    one_tag("rTRC", data, parametric(data, 0, power, 1));
    also("gTRC");
    also("bTRC");
    tw_image image = {.space = TW_RGB, .profile = profile, .profile_length = profile_length};
    for (long at = 1; code != TW_OK; at++) {
        test_memory memory = {.fail_at = at};
        tw_allocator allocator = test_allocator(&memory);
        tw_tone *tone = NULL;
        tw_error error = {0};
        code = tw_tone_new(&allocator, &image, 8, &tone, &error);
        assert_true(code == TW_OK || (code == TW_MEMORY && tone == NULL));
        tw_tone_free(&allocator, tone);
        assert_no_leak(memory);
        assert_true(at < 10);
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
        TEST(test_srgb),       TEST(test_curves),
        TEST(test_parametric), TEST(test_what_cannot_be_used),
        TEST(test_ink),        cmocka_unit_test(test_no_memory_at_any_point),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
