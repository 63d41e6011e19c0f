/*
 * Resampling and sharpening. Sources: the sampling theorem (a sine under the Nyquist frequency of
 * the new grid keeps its energy), both kernels worked out here a second time in long double,
 * exp() of C11 for the Gaussian. ImageMagick's word on a photograph is asked in
 * tests/outside/test_resample.c.
 */
#include "testing.h"

#include <math.h>

#include "colour/tone.h"
#include "image/image.h"
#include "pixels/resample.h"

#define PI 3.14159265358979323846

/* Rows made by a formula. */
typedef struct made_rows {
    tw_rows rows;
    double (*value)(double x, double y); /* of codes, 0 .. 1 */
    bool *closed;
} made_rows;

static tw_code make_next(tw_rows *rows, unsigned char *row, tw_error *error) {
    made_rows *own = (made_rows *)rows;
    double most = rows->form.bits == 16 ? 65535 : 255;
    (void)error;
    for (uint32_t x = 0; x < rows->form.width; x++)
        for (int c = 0; c < rows->form.channels; c++) {
            unsigned code = (unsigned)(own->value(x + 0.5, rows->y + 0.5) * most + 0.5);
            if (rows->form.bits == 16)
                *row++ = (unsigned char)(code >> 8);
            *row++ = (unsigned char)code;
        }
    return TW_OK;
}

static tw_code make_end(tw_rows *rows, tw_error *error) {
    (void)rows;
    (void)error;
    return TW_OK;
}

static void make_close(tw_rows *rows) {
    *((made_rows *)rows)->closed = true;
}

static const tw_rows_kind made_kind = {make_next, make_end, make_close};

typedef struct bench {
    test_memory memory;
    tw_allocator allocator;
    made_rows from;
    bool closed;
    tw_tone *tone;
    unsigned char *pixels; /* what came out */
    size_t row_bytes;
} bench;

static void start(bench *b, tw_image_space space, int bits, uint32_t width, uint32_t height,
                  double (*value)(double, double)) {
    tw_image image = {.space = space};
    tw_error error = {0};
    memset(b, 0, sizeof *b);
    b->allocator = test_allocator(&b->memory);
    b->from = (made_rows){.value = value, .closed = &b->closed};
    b->from.rows.kind = &made_kind;
    b->from.rows.form =
        (tw_rows_form){.width = width, .height = height, .space = space, .bits = bits};
    b->from.rows.form.channels = space == TW_GREY ? 1 : space == TW_RGB ? 3 : 4;
    tw_rows_form_finish(&b->from.rows.form);
    assert_ok(tw_tone_new(&b->allocator, &image, bits, &b->tone, &error), error);
}

static void pull(bench *b, tw_rows *rows) {
    tw_error error = {0};
    b->row_bytes = rows->form.row_bytes;
    b->pixels = malloc(b->row_bytes * rows->form.height);
    for (uint32_t y = 0; y < rows->form.height; y++)
        assert_ok(tw_rows_next(rows, b->pixels + y * b->row_bytes, &error), error);
    assert_ok(tw_rows_end(rows, &error), error);
    tw_rows_close(rows);
    assert_true(b->closed);
}

static void resample(bench *b, uint32_t width, uint32_t height) {
    tw_rows *rows = NULL;
    tw_error error = {0};
    assert_ok(tw_resample_rows(&b->allocator, &b->from.rows, b->tone, width, height, &rows, &error),
              error);
    pull(b, rows);
}

static void done(bench *b) {
    tw_tone_free(&b->allocator, b->tone);
    free(b->pixels);
    assert_no_leak(b->memory);
}

/* Sample c of the pixel, as a part of full code. */
static double seen(const bench *b, size_t x, size_t y, size_t c) {
    const tw_rows_form *form = &b->from.rows.form;
    const unsigned char *row = b->pixels + y * b->row_bytes;
    size_t at = x * (size_t)form->channels + c;
    return form->bits == 16 ? (row[2 * at] * 256 + row[2 * at + 1]) / 65535.0 : row[at] / 255.0;
}

static double to_light(double v) {
    return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
}

static double to_code(double light) {
    return light <= 0.0031308 ? light * 12.92 : 1.055 * pow(light, 1 / 2.4) - 0.055;
}

static long double lanczos(long double x, int n) {
    long double p = acosl(-1) * x;
    return x == 0 ? 1 : fabsl(x) >= n ? 0 : n * sinl(p) * sinl(p / n) / (p * p);
}

static long double bessel(long double x) {
    long double term = 1, sum = 1;
    for (int n = 1; n < 40; n++)
        sum += term *= (x / 2 / n) * (x / 2 / n);
    return sum;
}

/* Where pixels become more: four lobes of sinc under Kaiser's window, beta 6.5. */
static long double kaiser(long double x) {
    long double p = acosl(-1) * x;
    return x == 0          ? 1
           : fabsl(x) >= 4 ? 0
                           : sinl(p) / p * bessel(6.5L * sqrtl(1 - x * x / 16)) / bessel(6.5L);
}

static long double kernel(long double x, bool fewer) {
    return fewer ? lanczos(x, 8) : kaiser(x);
}

/* ---- resampling */

static double level;

static double constant(double x, double y) {
    (void)x;
    (void)y;
    return level;
}

/* Every level of 8 bits, some of 16, down, up and one each way. */
static void test_constant_stays_constant(void **state) {
    static const uint32_t sizes[][2] = {{7, 5}, {61, 47}, {20, 40}, {1, 1}, {29, 31}};
    (void)state;
    for (int bits = 8; bits <= 16; bits += 8)
        for (unsigned code = 0; code < 256; code++) {
            const uint32_t *size = sizes[code % 5];
            bench b;
            level = bits == 16 ? (code * 256 + code * code % 200) / 65535.0 : code / 255.0;
            start(&b, code % 3 == 0 ? TW_CMYK : TW_RGB, bits, 29, 31, constant);
            resample(&b, size[0], size[1]);
            for (size_t i = 1; i < b.row_bytes * size[1]; i++)
                assert_int_equal(b.pixels[i], b.pixels[i % ((size_t)bits / 8)]);
            assert_true(fabs(seen(&b, 0, 0, 0) - level) < 1e-9);
            done(&b);
        }
}

static double period;

static double sine(double x, double y) {
    (void)y;
    return to_code(0.5 + 0.4 * sin(2 * PI * x / period));
}

static double sine_down(double x, double y) {
    return sine(y, x);
}

/* Energy about the mean, in light, per pixel. Away from the ends, over whole periods. */
static double energy(const bench *b, bool down, size_t from, size_t count) {
    double sum = 0;
    for (size_t i = from; i < from + count; i++) {
        double light = to_light(down ? seen(b, 3, i, 0) : seen(b, i, 3, 0)) - 0.5;
        sum += light * light;
    }
    return sum / (double)count;
}

/* The kernel's own answer to a frequency in cycles a sample: its Fourier integral, by parts of a
 * hundredth. */
static double answer(double frequency, bool fewer) {
    double sum = 0, whole = 0;
    for (int i = -800; i <= 800; i++) {
        double x = i / 100.0, weight = (double)kernel(x, fewer);
        sum += weight * cos(2 * PI * frequency * x);
        whole += weight;
    }
    return sum / whole;
}

/* Both axes. A sine of up to three quarters of the Nyquist frequency of the coarser grid keeps its
 * energy to 1 % where pixels become fewer, up to half where they become more; further up the
 * kernel's own answer is what is kept. */
static void test_energy_of_a_sine(void **state) {
    static const struct {
        double period; /* in samples of the coarser grid */
        uint32_t to;
    } cases[] = {{8, 160},   {12.5, 100}, {12.5, 50}, {20, 320}, {8, 1200}, {4, 160},
                 {2.7, 200}, {2.5, 200},  {4, 800},   {5, 1200}, {4, 1200}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        for (int down = 0; down < 2; down++) {
            bench b;
            double scale = cases[i].to < 400 ? 400.0 / cases[i].to : 1;
            period = cases[i].period * scale;
            start(&b, TW_GREY, 16, down ? 8 : 400, down ? 400 : 8, down ? sine_down : sine);
            resample(&b, down ? 8 : cases[i].to, down ? cases[i].to : 8);
            double kept = energy(&b, down, cases[i].to / 4, cases[i].to / 2) / 0.08;
            bool fewer = cases[i].to < 400;
            double wanted = pow(answer(1 / cases[i].period, fewer), 2);
            if (fabs(kept - wanted) > 0.004 ||
                (cases[i].period >= (fewer ? 2.7 : 4) && fabs(kept - 1) > 0.01))
                fail_msg("period %.1f to %u: %.4f of the energy", period, cases[i].to, kept);
            done(&b);
        }
}

/* What the new grid cannot hold must not come back as a pattern: a sine twice over its limit. */
static void test_what_cannot_be_held_is_gone(void **state) {
    bench b;
    (void)state;
    period = 4;
    start(&b, TW_GREY, 16, 400, 8, sine);
    resample(&b, 50, 8);
    assert_true(energy(&b, false, 10, 30) < 0.08 * 0.0001);
    done(&b);
}

static double edge(double x, double y) {
    (void)y;
    return x < 50 ? to_code(0.2) : to_code(0.6);
}

/* How far light overshoots at an edge, in parts of the edge: of the kernel's integral 8.7 % where
 * pixels become fewer, of its samples 11.6 % where they become more (worked out by summing it). */
static void check_ringing(uint32_t to, double most, double *worst) {
    bench b;
    start(&b, TW_GREY, 16, 100, 8, edge);
    resample(&b, to, 8);
    for (size_t x = 0; x < to; x++) {
        double light = to_light(seen(&b, x, 4, 0));
        double over = (light > 0.4 ? light - 0.6 : 0.2 - light) / 0.4;
        *worst = over > *worst ? over : *worst;
    }
    assert_true(*worst < most);
    done(&b);
}

static void test_ringing_at_an_edge(void **state) {
    static const uint32_t fewer[] = {11, 17, 23, 29, 31, 33}, more[] = {130, 170, 230, 1700};
    double worst = 0;
    (void)state;
    for (size_t i = 0; i < sizeof fewer / sizeof *fewer; i++)
        check_ringing(fewer[i], 0.095, &worst);
    print_message("ringing where pixels become fewer: %.1f %% of the edge\n", 100 * worst);
    for (size_t i = 0; i < sizeof more / sizeof *more; i++)
        check_ringing(more[i], 0.117, &worst);
    print_message("where they become more: %.1f %%\n", 100 * worst);
    assert_true(worst > 0.115);
}

static void test_weights(void **state) {
    static const uint32_t sizes[][2] = {{100, 37}, {37, 100}, {1000, 3}, {5, 5}, {1, 9}, {7, 1}};
    (void)state;
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        test_memory memory = {0};
        tw_allocator allocator = test_allocator(&memory);
        tw_taps *taps = NULL;
        tw_error error = {0};
        assert_ok(tw_taps_new(&allocator, sizes[i][0], sizes[i][1], &taps, &error), error);
        long double scale = (long double)sizes[i][0] / sizes[i][1], stretch = scale < 1 ? 1 : scale;
        for (uint32_t k = 0; k < taps->to; k++) {
            const tw_tap *tap = &taps->items[k];
            long double sum = 0;
            for (uint32_t n = 0; n < taps->from; n++)
                sum += kernel((n + 0.5L - (k + 0.5L) * scale) / stretch, scale > 1);
            for (uint32_t n = 0; n < taps->from; n++) {
                bool within = n >= tap->first && n < tap->first + tap->count;
                long double wanted =
                    kernel((n + 0.5L - (k + 0.5L) * scale) / stretch, scale > 1) / sum;
                assert_true(fabsl(wanted - (within ? tap->weights[n - tap->first] : 0)) < 1e-7L);
            }
        }
        tw_taps_free(&allocator, taps);
        assert_no_leak(memory);
    }
}

/* ---- sharpening */

static void sharpen(bench *b, const tw_treat *treat) {
    tw_rows *rows = NULL;
    tw_error error = {0};
    assert_ok(tw_sharpen_rows(&b->allocator, &b->from.rows, treat, &rows, &error), error);
    pull(b, rows);
}

static double step_8(double x, double y) {
    (void)y;
    return x < 20 ? 80 / 255.0 : 160 / 255.0;
}

/* Worked out here: the Gaussian of the step, cut at three standard deviations. */
static double blurred_step(int x, double radius) {
    double sum = 0, whole = 0;
    int reach = (int)ceil(3 * radius);
    for (int k = -reach; k <= reach; k++) {
        double weight = exp(-k * k / (2 * radius * radius));
        sum += x + k < 0 || x + k >= 40 ? 0 : weight * (x + k < 20 ? 80 : 160);
        whole += x + k < 0 || x + k >= 40 ? 0 : weight;
    }
    return sum / whole;
}

static void test_unsharp_mask(void **state) {
    static const tw_image_space spaces[] = {TW_GREY, TW_RGB, TW_CMYK};
    (void)state;
    for (int i = 0; i < 6; i++) {
        bench b;
        int bits = i < 3 ? 8 : 16;
        tw_treat treat = {.radius_x = 2500000, .radius_y = 1200000, .amount = 600, .threshold = 2};
        start(&b, spaces[i % 3], bits, 40, 30, step_8);
        sharpen(&b, &treat);
        for (int x = 0; x < 40; x++) {
            double plain = x < 20 ? 80 : 160, d = plain - blurred_step(x, 2.5);
            double over = fabs(d) <= 2 ? 0 : d > 0 ? d - 2 : d + 2;
            for (size_t c = 0; c < (size_t)b.from.rows.form.channels; c++) {
                double got = seen(&b, (size_t)x, 15, c) * 255;
                if (fabs(got - (plain + 0.6 * over)) > (bits == 8 ? 0.51 : 0.01))
                    fail_msg("%d bits, x %d: %f for %f", bits, x, got, plain + 0.6 * over);
            }
        }
        done(&b);
    }
}

/* Under the threshold not a bit changes; clipped at the ends of the scale. */
static double slope(double x, double y) {
    return (x + y) / 100;
}

static void test_threshold_and_ends(void **state) {
    bench b;
    (void)state;
    tw_treat treat = {.radius_x = 1000000, .radius_y = 1000000, .amount = 5000, .threshold = 255};
    start(&b, TW_RGB, 8, 40, 30, slope);
    sharpen(&b, &treat);
    for (size_t x = 0; x < 40; x++)
        assert_true(fabs(seen(&b, x, 7, 1) * 255 - floor(slope((double)x + 0.5, 7.5) * 255 + 0.5)) <
                    1e-9);
    done(&b);
    treat.threshold = 0;
    start(&b, TW_GREY, 8, 40, 30, step_8);
    sharpen(&b, &treat);
    assert_true(seen(&b, 20, 15, 0) == 1 && seen(&b, 19, 15, 0) == 0);
    done(&b);
}

/* ---- no memory */

static void test_no_memory_at_any_point(void **state) {
    (void)state;
    tw_treat treat = {.radius_x = 1000000, .radius_y = 1000000, .amount = 500};
    for (int which = 0; which < 2; which++) {
        tw_code code = TW_MEMORY;
        for (long at = 1; code != TW_OK; at++) {
            bench b;
            tw_rows *rows = NULL;
            tw_error error = {0};
            start(&b, TW_GREY, 8, 20, 20, slope);
            b.memory.asked = 0;
            b.memory.fail_at = at;
            code = which == 0
                       ? tw_resample_rows(&b.allocator, &b.from.rows, b.tone, 9, 9, &rows, &error)
                       : tw_sharpen_rows(&b.allocator, &b.from.rows, &treat, &rows, &error);
            assert_true(code == TW_OK || (code == TW_MEMORY && rows == NULL));
            assert_int_equal(b.closed, false); /* owned on success alone */
            tw_rows_close(rows);
            done(&b);
            assert_true(at < 20);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_constant_stays_constant),
        cmocka_unit_test(test_energy_of_a_sine),
        cmocka_unit_test(test_what_cannot_be_held_is_gone),
        cmocka_unit_test(test_ringing_at_an_edge),
        cmocka_unit_test(test_weights),
        cmocka_unit_test(test_unsharp_mask),
        cmocka_unit_test(test_threshold_and_ends),
        cmocka_unit_test(test_no_memory_at_any_point),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
