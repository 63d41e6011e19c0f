/*
 * What is partly transparent, on paper white. Sources: PNG (W3C, third edition) clause 13.16
 * (composition in linear light), the sRGB curve of IEC 61966-2-1; worked out here a second time in
 * long double.
 */
#include "testing.h"

#include <math.h>

#include "colour/paper_white.h"
#include "make_image.h"
#include "pixels/pixels_testing.h"

static long double to_light(long double v) {
    return v <= 0.04045L ? v / 12.92L : powl((v + 0.055L) / 1.055L, 2.4L);
}

static long double to_code(long double light) {
    return light <= 0.0031308L ? light * 12.92L : 1.055L * powl(light, 1 / 2.4L) - 0.055L;
}

/* The code value before rounding. */
static long double mix(uint32_t colour, uint32_t alpha, uint32_t most) {
    long double part = (long double)alpha / most;
    return most * to_code(part * to_light((long double)colour / most) + 1 - part);
}

/* Nearer to a tie than the tables resolve, either neighbour is right. They count light in 2^-30;
 * one code value in the dark is 1 / (12.92 most) of light, so this is one such step in codes. */
static long double unsure(uint32_t most) {
    return 12.92L * most / (1 << 30);
}

static tw_tone *srgb_tone(tw_arena *arena, int bits) {
    tw_image image = {.space = TW_RGB};
    tw_tone *tone = NULL;
    tw_error error = {0};
    assert_ok(tw_tone_new(tw_arena_allocator(arena), &image, bits, &tone, &error), error);
    assert_int_equal(tone->source, TW_TONE_ASSUMED);
    return tone;
}

static void check_pair(const tw_tone *tone, uint32_t colour, uint32_t alpha, uint32_t most) {
    long double exact = mix(colour, alpha, most);
    long double down = floorl(exact + 0.5L);
    uint32_t seen = tw_paper_mix(tone, 0, colour, alpha);
    if (fabsl(exact + 0.5L - roundl(exact + 0.5L)) > unsure(most))
        assert_int_equal(seen, (uint32_t)down);
    else
        assert_true(fabsl(seen - exact) < 0.5L + unsure(most));
}

static void test_eight_bits_every_pair(void **state) {
    tw_tone *tone = srgb_tone(*state, 8);
    for (uint32_t colour = 0; colour < 256; colour++)
        for (uint32_t alpha = 0; alpha < 256; alpha++)
            check_pair(tone, colour, alpha, 255);
    tw_tone_free(tw_arena_allocator(*state), tone);
}

static void test_sixteen_bits_sampled(void **state) {
    tw_tone *tone = srgb_tone(*state, 16);
    for (uint32_t colour = 0; colour < 65536; colour += 251)
        for (uint32_t alpha = 0; alpha < 65536; alpha += 269)
            check_pair(tone, colour, alpha, 65535);
    tw_tone_free(tw_arena_allocator(*state), tone);
}

/* The two ends are exact: clear is paper, full is the sample as it was. */
static void test_ends_are_exact(void **state) {
    static const int bits[] = {8, 16};
    for (int i = 0; i < 2; i++) {
        uint32_t most = (1u << bits[i]) - 1;
        tw_tone *tone = srgb_tone(*state, bits[i]);
        for (uint32_t colour = 0; colour <= most; colour++) {
            assert_int_equal(tw_paper_mix(tone, 0, colour, 0), most);
            assert_int_equal(tw_paper_mix(tone, 0, colour, most), colour);
        }
        tw_tone_free(tw_arena_allocator(*state), tone);
    }
}

/* Hand value: black, half covered. Light 1 - 128/255 = 127/255 = 0.498039; 1.055 x
 * 0.498039^(1/2.4) - 0.055 = 0.734077, times 255 = 187.19. */
static void test_hand_value(void **state) {
    tw_tone *tone = srgb_tone(*state, 8);
    assert_int_equal(tw_paper_mix(tone, 0, 0, 128), 187);
    tw_tone_free(tw_arena_allocator(*state), tone);
}

/* ---- whole images */

static uint32_t sample(const unsigned char *row, size_t at, int depth) {
    return depth == 16 ? (uint32_t)row[2 * at] << 8 | row[2 * at + 1] : row[at];
}

/* libpng opens out palette, key and alpha; the mix is worked out here. */
static void check_image(const made_png *what, int channels, const char *road) {
    const char *path = scratch("paper.png");
    make_png(path, what);
    pulled_image pulled = pull_image(path, 3000);
    size_t row_bytes;
    uint32_t height;
    unsigned char *seen = undo_flate(&pulled);
    unsigned char *wanted = read_png_rows(path, true, &row_bytes, &height);
    int depth = what->depth == 16 ? 16 : 8;
    uint32_t most = (1u << depth) - 1;
    assert_int_equal(pulled.form.bits, depth);
    assert_int_equal(pulled.form.channels, channels);
    assert_int_equal(pulled.form.palette_size, 0);
    assert_false(pulled.form.untouched);
    assert_non_null(strstr(pulled.form.road, road));
    for (size_t i = 0; i < (size_t)what->width * height; i++)
        for (size_t c = 0; c < (size_t)channels; c++) {
            size_t pixel = i * (size_t)(channels + 1);
            uint32_t alpha = sample(wanted, pixel + (size_t)channels, depth);
            uint32_t colour = sample(wanted, pixel + c, depth);
            long double exact = mix(colour, alpha, most);
            uint32_t got = sample(seen, i * (size_t)channels + c, depth);
            assert_true(fabsl(got - exact) < 0.5L + unsure(most));
            assert_true(alpha != most || got == colour);
        }
    free(seen);
    free(wanted);
    free_pulled(&pulled);
}

static void test_images_on_paper(void **state) {
    static const int kinds[][3] = {/* type, depth, channels */
                                   {4, 8, 1},  {4, 16, 1}, {6, 8, 3}, {6, 16, 3}, {0, 1, 1},
                                   {0, 2, 1},  {0, 4, 1},  {0, 8, 1}, {0, 16, 1}, {2, 8, 3},
                                   {2, 16, 3}, {3, 1, 3},  {3, 2, 3}, {3, 4, 3},  {3, 8, 3}};
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        for (int interlaced = 0; interlaced < 2; interlaced++) {
            made_png what = {.width = 61,
                             .height = 43,
                             .type = kinds[i][0],
                             .depth = kinds[i][1],
                             .transparent = (kinds[i][0] & 4) == 0,
                             .interlaced = interlaced == 1};
            check_image(&what, kinds[i][2], "paper white in linear light (sRGB curve assumed)");
        }
}

/* The image's own curve where it has one: here gamma 1 by its gAMA chunk, so that light is code. */
static void test_own_curve(void **state) {
    (void)state;
    made_png what = {.width = 61, .height = 43, .type = 6, .depth = 16, .gamma = 100000};
    const char *path = scratch("own.png");
    make_png(path, &what);
    pulled_image pulled = pull_image(path, 3000);
    size_t row_bytes;
    uint32_t height;
    unsigned char *seen = undo_flate(&pulled);
    unsigned char *wanted = read_png_rows(path, true, &row_bytes, &height);
    assert_non_null(strstr(pulled.form.road, "in linear light (its own tone curve)"));
    for (size_t i = 0; i < (size_t)what.width * height; i++)
        for (size_t c = 0; c < 3; c++) {
            double alpha = sample(wanted, 4 * i + 3, 16) / 65535.0;
            double mix = alpha * sample(wanted, 4 * i + c, 16) + (1 - alpha) * 65535;
            assert_true(fabs(sample(seen, 3 * i + c, 16) - mix) <= 0.501);
        }
    free(seen);
    free(wanted);
    free_pulled(&pulled);
}

static int make_arena(void **state) {
    *state = tw_arena_new(NULL, 0);
    return *state == NULL;
}

static int free_arena(void **state) {
    tw_arena_free(*state);
    return 0;
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_eight_bits_every_pair, make_arena, free_arena),
        cmocka_unit_test_setup_teardown(test_sixteen_bits_sampled, make_arena, free_arena),
        cmocka_unit_test_setup_teardown(test_ends_are_exact, make_arena, free_arena),
        cmocka_unit_test_setup_teardown(test_hand_value, make_arena, free_arena),
        cmocka_unit_test(test_images_on_paper),
        cmocka_unit_test(test_own_curve),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
