/* Transforms: published values, profiles refused by name, memory, dithering. */
#include "testing.h"

#include "colour/colour.h"
#include "colour/srgb_profile.h"

#include <math.h>

static const tw_icc lab = {NULL, 0};

static tw_buffer made_srgb(bool grey) {
    tw_buffer buffer;
    tw_buffer_start(&buffer, NULL);
    if (grey)
        tw_srgb_grey_profile(&buffer);
    else
        tw_srgb_profile(&buffer);
    assert_false(buffer.failed);
    return buffer;
}

static tw_icc icc_of(const tw_buffer *buffer) {
    return (tw_icc){(const unsigned char *)buffer->bytes, buffer->length};
}

typedef struct known {
    unsigned char rgb[3];
    tw_lab lab;
} known;

/* sRGB (IEC 61966-2-1) to L*a*b* D50: two independent computations agree to 4 decimals. A version
 * 2 profile keeps its matrix in steps of 1/65536 and its curve in 1024 points. */
static const known knowns[] = {
    {{255, 255, 255}, {100, 0, 0}},
    {{255, 0, 0}, {54.2896, 80.8144, 69.8897}},
    {{0, 255, 0}, {87.8194, -79.2749, 80.9927}},
    {{0, 0, 255}, {29.5659, 68.2862, -112.0329}},
    {{128, 128, 128}, {53.5850, 0, 0}},
    {{119, 119, 119}, {50.0344, 0, 0}},
    {{192, 128, 64}, {59.4465, 21.0871, 44.3842}},
};
#define KNOWN_COUNT (sizeof knowns / sizeof knowns[0])

static void srgb_becomes_the_known_lab(void **state) {
    (void)state;
    tw_error error = {0};
    tw_colour *colour = NULL;
    tw_buffer srgb = made_srgb(false);
    const tw_colour_way way = {icc_of(&srgb), lab, TW_RELATIVE, false, 8};
    assert_ok(tw_colour_open(NULL, &way, &colour, &error), error);
    for (size_t i = 0; i < KNOWN_COUNT; i++) {
        tw_lab seen;
        tw_colour_run(colour, knowns[i].rgb, &seen, 1);
        if (fabs(seen.l - knowns[i].lab.l) > 0.03 || fabs(seen.a - knowns[i].lab.a) > 0.03 ||
            fabs(seen.b - knowns[i].lab.b) > 0.03)
            fail_msg("colour %zu is %.4f %.4f %.4f", i, seen.l, seen.a, seen.b);
    }
    tw_colour_close(colour);
    tw_buffer_free(&srgb);
}

static void the_same_profile_changes_nothing(void **state) {
    (void)state;
    const unsigned char in[] = {0x12, 0x34, 0x80, 0x00, 0xFF, 0xFE};
    const uint16_t same[] = {0x1234, 0x8000, 0xFFFE};
    uint16_t out[3];
    tw_error error = {0};
    tw_colour *colour = NULL;
    tw_buffer srgb = made_srgb(false);
    const tw_colour_way way = {icc_of(&srgb), icc_of(&srgb), TW_RELATIVE, true, 16};
    assert_ok(tw_colour_open(NULL, &way, &colour, &error), error);
    assert_int_equal(tw_colour_channels(colour), 3);
    tw_colour_run(colour, in, out, 1);
    for (int c = 0; c < 3; c++)
        assert_true(abs(out[c] - same[c]) <= 2);
    tw_colour_close(colour);
    tw_buffer_free(&srgb);
}

static void grey_becomes_neutral(void **state) {
    (void)state;
    uint16_t out[3];
    tw_error error = {0};
    tw_colour *colour = NULL;
    tw_buffer srgb = made_srgb(false), grey = made_srgb(true);
    const tw_colour_way way = {icc_of(&grey), icc_of(&srgb), TW_RELATIVE, false, 8};
    assert_ok(tw_colour_open(NULL, &way, &colour, &error), error);
    for (int g = 0; g < 256; g++) {
        unsigned char in = (unsigned char)g;
        tw_colour_run(colour, &in, out, 1);
        for (int c = 0; c < 3; c++)
            assert_true(abs(out[c] - 257 * g) <= 8);
    }
    tw_colour_close(colour);
    tw_buffer_free(&srgb);
    tw_buffer_free(&grey);
}

/* ------------------------------------------------ profiles refused */

static void assert_refused(const tw_buffer *srgb, size_t at, const char *bytes, const char *name,
                           const char *words) {
    tw_error error = {0};
    unsigned char *copy = malloc(srgb->length);
    assert_non_null(copy);
    memcpy(copy, srgb->bytes, srgb->length);
    memcpy(copy + at, bytes, strlen(bytes));
    assert_int_equal(tw_icc_check(NULL, (tw_icc){copy, srgb->length}, TW_ICC_SOURCE, 3,
                                  "the profile of a.png", &error),
                     TW_INPUT);
    assert_string_equal(error.name, name);
    assert_says(error, words);
    assert_non_null(strstr(error.hint, "colour.assume"));
    free(copy);
}

static void what_cannot_serve_is_refused_by_name(void **state) {
    (void)state;
    tw_error error = {0};
    tw_buffer srgb = made_srgb(false), grey = made_srgb(true);
    assert_ok(tw_icc_check(NULL, icc_of(&srgb), TW_ICC_SOURCE, 3, "it", &error), error);
    assert_ok(tw_icc_check(NULL, icc_of(&srgb), TW_ICC_PAPER, 0, "it", &error), error);
    assert_refused(&srgb, 36, "nope", "profile", "acsp");
    assert_refused(&srgb, 8, "\x05", "profile-version", "5.4");
    assert_refused(&srgb, 12, "link", "profile-class", "a.png is of class \"link\"");
    assert_refused(&srgb, 16, "HSV ", "profile-space", "\"HSV \"");
    assert_refused(&srgb, 16, "CMYK", "profile-space", "4 channels");
    assert_refused(&srgb, 20, "Luv ", "profile-space", "\"Luv \"");
    assert_refused(&srgb, 132 + 12 * 3, "none", "profile-damaged", "tables");
    assert_int_equal(tw_icc_check(NULL, icc_of(&grey), TW_ICC_SOURCE, 3, "it", &error), TW_INPUT);
    assert_string_equal(error.name, "profile-space");
    tw_buffer_free(&srgb);
    tw_buffer_free(&grey);
}

static void any_cut_or_flip_is_survived(void **state) {
    (void)state;
    uint32_t chance = 1;
    tw_error error = {0};
    tw_buffer srgb = made_srgb(false);
    unsigned char *copy = malloc(srgb.length);
    assert_non_null(copy);
    for (int i = 0; i < 400; i++) {
        memcpy(copy, srgb.bytes, srgb.length);
        size_t most = i % 2 == 0 ? 400 : srgb.length; /* mostly where the structure is */
        for (int flips = 0; flips < 3; flips++) {
            chance = chance * 1664525 + 1013904223;
            copy[(chance >> 8) % most] ^= (unsigned char)(1 << (chance >> 29));
        }
        tw_icc_facts facts;
        (void)!tw_icc_check(NULL, (tw_icc){copy, srgb.length}, TW_ICC_PAPER, 3, "it", &error);
        if (i % 20 == 0)
            (void)!tw_icc_facts_read(NULL, (tw_icc){copy, srgb.length}, &facts, &error);
        (void)!tw_icc_check(NULL, (tw_icc){copy, srgb.length * (size_t)i / 400}, TW_ICC_SOURCE, 3,
                            "it", &error);
    }
    free(copy);
    tw_buffer_free(&srgb);
}

static void memory_may_end_anywhere(void **state) {
    (void)state;
    test_memory memory = {0, 0, 0};
    tw_allocator allocator = test_allocator(&memory);
    tw_buffer srgb = made_srgb(false);
    const tw_colour_way way = {icc_of(&srgb), lab, TW_RELATIVE, true, 0};
    tw_code code = TW_MEMORY;
    for (long at = 1; code != TW_OK && at < 2000; at++) {
        tw_error error = {0};
        tw_colour *colour = NULL;
        memory = (test_memory){0, 0, at};
        code = tw_colour_open(&allocator, &way, &colour, &error);
        assert_true(code == TW_OK || code == TW_MEMORY);
        tw_colour_close(colour);
        assert_no_leak(memory);
    }
    assert_int_equal(code, TW_OK);
    tw_buffer_free(&srgb);
}

/* ------------------------------------------------ facts */

/* About 830 000 cubic units (from memory); black and white are what sRGB's definition says. */
static void srgb_has_its_volume(void **state) {
    (void)state;
    tw_error error = {0};
    tw_icc_facts facts;
    tw_buffer srgb = made_srgb(false);
    assert_ok(tw_icc_facts_read(NULL, icc_of(&srgb), &facts, &error), error);
    assert_true(fabs(facts.white.l - 100) < 0.05 && fabs(facts.black.l) < 0.05);
    if (facts.gamut_volume < 790000 || facts.gamut_volume > 900000)
        fail_msg("volume %.0f", facts.gamut_volume);
    tw_buffer_free(&srgb);
}

/* ------------------------------------------------ dithering */

static void a_flat_tone_keeps_its_mean(void **state) {
    (void)state;
    uint16_t row[16];
    unsigned char out[16];
    for (unsigned value = 0; value <= 65535; value += 73) {
        long sum = 0;
        for (uint32_t y = 0; y < 16; y++) {
            for (int x = 0; x < 16; x++)
                row[x] = (uint16_t)value;
            tw_dither_row(row, out, 16, 1, 0, y);
            for (int x = 0; x < 16; x++) {
                assert_true(abs(257 * out[x] - (int)value) < 257);
                sum += out[x];
            }
        }
        assert_true(fabs((double)sum / 256 - value / 257.0) <= 1.0 / 256 + 1e-9);
    }
}

static void whole_steps_and_places_stay(void **state) {
    (void)state;
    uint16_t row[96];
    unsigned char whole[96], part[96];
    for (unsigned i = 0; i < 96; i++)
        row[i] = (uint16_t)(i * 2 * 257);
    tw_dither_row(row, whole, 32, 3, 7, 9);
    for (unsigned i = 0; i < 96; i++)
        assert_int_equal(whole[i], 2 * i);
    for (unsigned i = 0; i < 96; i++)
        row[i] = (uint16_t)(i * 677);
    tw_dither_row(row, whole, 32, 3, 0, 5);
    tw_dither_row(row + 39, part, 19, 3, 13, 5); /* from pixel 13 on */
    assert_memory_equal(part, whole + 39, 57);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(srgb_becomes_the_known_lab),
                                       cmocka_unit_test(the_same_profile_changes_nothing),
                                       cmocka_unit_test(grey_becomes_neutral),
                                       cmocka_unit_test(what_cannot_serve_is_refused_by_name),
                                       cmocka_unit_test(any_cut_or_flip_is_survived),
                                       cmocka_unit_test(memory_may_end_anywhere),
                                       cmocka_unit_test(srgb_has_its_volume),
                                       cmocka_unit_test(a_flat_tone_keeps_its_mean),
                                       cmocka_unit_test(whole_steps_and_places_stay)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
