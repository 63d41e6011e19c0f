/*
 * A test strip's parts: where detail is found, orientations, rows cut out and exposed anew, cells
 * in rows. Expected values by hand; sRGB's curve from IEC 61966-2-1; orientations from the picture
 * of CIPA DC-008, tag 274.
 */
#include "testing.h"

#include <math.h>

#include "base/face.h"
#include "pixels/stages.h"
#include "proof/strip.h"

static void busiest_window_is_found(void **state) {
    int64_t energy[6 * 5] = {0};
    tw_strip_window w = {0};
    tw_error error = {0};
    tw_arena *arena = tw_arena_new(NULL, 0);
    (void)state;
    energy[1 * 6 + 4] = 5;
    energy[3 * 6 + 0] = 4;
    energy[4 * 6 + 1] = 4;
    assert_ok(tw_strip_busiest(arena, energy, 6, 5, 2, 2, &w, &error), error);
    assert_int_equal(w.x, 0);
    assert_int_equal(w.y, 3);
    assert_ok(tw_strip_busiest(arena, energy, 6, 5, 1, 1, &w, &error), error);
    assert_int_equal(w.x, 4);
    assert_int_equal(w.y, 1);
    energy[0] = 9; /* above and to the left of all that a window sums up */
    energy[3 * 6 + 4] = energy[4 * 6 + 5] = 6;
    assert_ok(tw_strip_busiest(arena, energy, 6, 5, 2, 2, &w, &error), error);
    assert_int_equal(w.x, 4);
    assert_int_equal(w.y, 3);
    tw_arena_free(arena);
}

/* Of equals the one nearest to the middle, then the upper, then the left one. */
static void equals_are_settled(void **state) {
    int64_t flat[4 * 4] = {0};
    tw_strip_window w = {0};
    tw_error error = {0};
    tw_arena *arena = tw_arena_new(NULL, 0);
    (void)state;
    assert_ok(tw_strip_busiest(arena, flat, 4, 4, 2, 2, &w, &error), error);
    assert_int_equal(w.x, 1);
    assert_int_equal(w.y, 1);
    assert_ok(tw_strip_busiest(arena, flat, 4, 4, 1, 1, &w, &error), error);
    assert_int_equal(w.x, 1);
    assert_int_equal(w.y, 1);
    tw_arena_free(arena);
}

/* The stored top left pixel of 4 x 2 is seen there. */
static void orientations_turn_parts(void **state) {
    static const uint32_t seen[8][2] = {{0, 0}, {3, 0}, {3, 1}, {0, 1},
                                        {0, 0}, {1, 0}, {1, 3}, {0, 3}};
    (void)state;
    for (int o = 1; o <= 8; o++) {
        const tw_pixel_rect corner = {0, 0, 1, 1}, part = {1, 0, 3, 1};
        tw_pixel_rect at = tw_pixels_upright(o, corner, 4, 2);
        assert_int_equal(at.x, seen[o - 1][0]);
        assert_int_equal(at.y, seen[o - 1][1]);
        at = tw_pixels_upright(o, part, 4, 2);
        assert_int_equal(at.width, o >= 5 ? 1 : 3);
        tw_pixel_rect back = tw_pixels_stored(o, at, o >= 5 ? 2 : 4, o >= 5 ? 4 : 2);
        assert_memory_equal(&back, &part, sizeof part);
    }
}

/* ------------------------------------------------ rows */

typedef struct ramp {
    tw_rows rows;
    int *asked;
} ramp;

/* Sample x + 16 y + 64 c. */
static tw_code ramp_next(tw_rows *rows, unsigned char *row, tw_error *error) {
    (void)error;
    ++*((ramp *)rows)->asked;
    for (uint32_t x = 0; x < rows->form.width; x++)
        for (int c = 0; c < rows->form.channels; c++)
            *row++ = (unsigned char)(x + 16 * rows->y + 64 * (unsigned)c);
    return TW_OK;
}

static tw_code ramp_end(tw_rows *rows, tw_error *error) {
    (void)rows;
    (void)error;
    return TW_OK;
}

static void ramp_close(tw_rows *rows) {
    (void)rows;
}

static ramp ramp_of(int *asked) {
    static const tw_rows_kind kind = {ramp_next, ramp_end, ramp_close};
    ramp r = {
        .rows = {.kind = &kind,
                 .form = {.width = 8, .height = 6, .space = TW_RGB, .channels = 3, .bits = 8}},
        .asked = asked};
    tw_rows_form_finish(&r.rows.form);
    return r;
}

static void a_part_is_cut_out(void **state) {
    int asked = 0;
    unsigned char row[9];
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_error error = {0};
    tw_rows *rows = NULL;
    ramp from = ramp_of(&asked);
    tw_treat treat = {.crop_x = 2, .crop_y = 1, .crop_width = 3, .crop_height = 2};
    (void)state;
    assert_ok(tw_crop_rows(&allocator, &from.rows, &treat, &rows, &error), error);
    assert_int_equal(rows->form.row_bytes, 9);
    for (unsigned y = 1; y <= 2; y++) {
        assert_ok(tw_rows_next(rows, row, &error), error);
        for (unsigned i = 0; i < 9; i++)
            assert_int_equal(row[i], 2 + i / 3 + 16 * y + 64 * (i % 3));
    }
    assert_ok(tw_rows_end(rows, &error), error);
    assert_int_equal(asked, 3); /* nothing below the part */
    tw_rows_close(rows);
    treat.crop_width = 7;
    assert_int_equal(tw_crop_rows(&allocator, &from.rows, &treat, &rows, &error), TW_BUG);
    assert_no_leak(memory);
}

static double light(double code) {
    double v = code / 255;
    return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
}

/* So many stops are so many times the light, up to paper white. */
static void light_follows_the_stops(void **state) {
    static const int steps[] = {-12, -6, -4, -2, 2, 3, 4, 6, 12};
    tw_image image = {.space = TW_RGB, .says_srgb = true};
    tw_error error = {0};
    tw_tone *tone = NULL;
    unsigned char row[24];
    (void)state;
    assert_ok(tw_tone_new(NULL, &image, 8, &tone, &error), error);
    for (size_t s = 0; s < sizeof steps / sizeof *steps; s++) {
        int asked = 0;
        ramp from = ramp_of(&asked);
        tw_rows *rows = NULL;
        assert_ok(tw_exposed_rows(NULL, &from.rows, tone, steps[s], &rows, &error), error);
        for (uint32_t y = 0; y < 6; y++) {
            assert_ok(tw_rows_next(rows, row, &error), error);
            for (unsigned i = 0; i < 24; i++) {
                double wanted = light(i / 3 + 16 * y + 64 * (i % 3)) * pow(2, steps[s] / 12.0);
                double low = light(row[i] - 0.51), high = light(row[i] + 0.51);
                assert_true(row[i] == 255 ? wanted >= low : wanted >= low && wanted <= high);
            }
        }
        tw_rows_close(rows);
    }
    tw_tone_free(NULL, tone);
}

static void steps_have_words(void **state) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    (void)state;
    assert_string_equal(tw_strip_step_words(arena, -4), "-1/3 stop");
    assert_string_equal(tw_strip_step_words(arena, 6), "+1/2 stop");
    assert_string_equal(tw_strip_step_words(arena, 12), "+1 stop");
    assert_string_equal(tw_strip_step_words(arena, 0), "as exposed");
    tw_arena_free(arena);
}

/* ------------------------------------------------ cells in rows */

static void cells_of_a_picture_stay_together(void **state) {
    const tw_strip_subject subjects[] = {
        {.first = 0, .count = 3}, {.first = 3, .count = 3}, {.first = 6, .count = 1}};
    static const size_t seven[][2] = {{0, 0}, {1, 0}, {2, 0}, {3, 0}, {4, 0}, {5, 0}, {6, 0}};
    static const size_t five[][2] = {{0, 0}, {1, 0}, {2, 0}, {0, 1}, {1, 1}, {2, 1}, {3, 1}};
    static const size_t two[][2] = {{0, 0}, {1, 0}, {0, 1}, {0, 2}, {1, 2}, {0, 3}, {1, 3}};
    const struct {
        size_t columns, rows;
        const size_t (*at)[2];
    } cases[] = {{7, 1, seven}, {5, 2, five}, {2, 4, two}};
    (void)state;
    for (size_t c = 0; c < sizeof cases / sizeof *cases; c++) {
        tw_strip_spot spots[7];
        assert_int_equal(tw_strip_spots(subjects, 3, cases[c].columns, spots), cases[c].rows);
        for (size_t i = 0; i < 7; i++) {
            assert_int_equal(spots[i].column, cases[c].at[i][0]);
            assert_int_equal(spots[i].row, cases[c].at[i][1]);
        }
    }
}

static tw_strip strip_of(const tw_job_data *job, tw_strip_subject *subject) {
    *subject = (tw_strip_subject){.first = 0, .count = 3};
    return (tw_strip){.job = job,
                      .subjects = subject,
                      .subject_count = 1,
                      .cell_count = 3,
                      .side = 20 * TW_MM,
                      .chart = {.count = 22, .wedge = 11}};
}

static void rows_are_no_wider_than_their_place(void **state) {
    tw_paper paper = {.name = "paper"};
    const tw_job_data job = {.papers = &paper, .paper_count = 1};
    tw_strip_subject subject;
    tw_strip strip = strip_of(&job, &subject);
    tw_strip_flow flow;
    tw_code code = TW_OK;
    tw_arena *arena = tw_arena_new(NULL, 0);
    (void)state;
    assert_true(tw_strip_flow_make(arena, &strip, 300 * TW_MM, &flow, &code));
    assert_int_equal(flow.size.width, 220 * TW_MM); /* 22 patches in one row */
    assert_int_equal(flow.patch_rows, 1);
    assert_int_equal(flow.line_count, 3);
    /* three lines and a gap, cells and their captions, patches and theirs */
    assert_int_equal(flow.size.height, (3 * 3 + 1 + 20 + 6 + 10 + 3) * TW_MM);
    assert_true(tw_strip_flow_make(arena, &strip, 50 * TW_MM, &flow, &code));
    assert_int_equal(flow.size.width, 50 * TW_MM);
    assert_int_equal(flow.columns, 2);
    assert_int_equal(flow.rows, 2);
    assert_int_equal(flow.patch_rows, 6); /* of five: 3 for the wedge, 3 for the hues */
    assert_false(tw_strip_flow_make(arena, &strip, 19 * TW_MM, &flow, &code));
    assert_false(tw_strip_flow_make(arena, &strip, -TW_MM, &flow, &code));
    assert_int_equal(code, TW_OK);
    tw_arena_free(arena);
}

/* Beside a strip in the waste lies a print: a word without a blank is broken, between characters.
 */
static void no_line_is_wider_than_the_strip(void **state) {
    tw_paper paper = {.name = "baryta",
                      .profile = "/p/smooth_matte_\xC3\xA4\xC3\xB6\xC3\xBC_305.icc"};
    const tw_job_data job = {.papers = &paper, .paper_count = 1};
    tw_strip_subject subject;
    tw_strip strip = strip_of(&job, &subject);
    tw_arena *arena = tw_arena_new(NULL, 0);
    (void)state;
    strip.chart.count = 0;
    strip.cell_count = subject.count = 1;
    for (strip.side = TW_MM; strip.side < 40 * TW_MM; strip.side += TW_MM / 4) {
        const char *all = "";
        tw_strip_flow flow;
        tw_code code = TW_OK;
        assert_true(tw_strip_flow_make(arena, &strip, strip.side + 10 * TW_MM, &flow, &code));
        for (size_t i = 0; i < flow.line_count; i++) {
            bool single = (flow.lines[i][0] & 0xC0) == 0xC0 || strlen(flow.lines[i]) == 1;
            if (tw_face_width(flow.lines[i], TW_STRIP_EM) > flow.size.width && !single)
                fail_msg("\"%s\" is wider than its strip", flow.lines[i]);
            assert_true((flow.lines[i][0] & 0xC0) != 0x80);
            all = tw_arena_print(arena, "%s%s", all, flow.lines[i]);
        }
        assert_non_null(strstr(all, "smooth_matte_\xC3\xA4\xC3\xB6\xC3\xBC_305.icc:"));
    }
    tw_arena_free(arena);
}

/* ------------------------------------------------ names */

static void names_of_strips(void **state) {
    static const char *const good[] = {"strip-patches.png", "strip-01-satin.pdf",
                                       "strip-123456789-a b.pdf", "strip-02-.pdf"};
    static const char *const bad[] = {"",
                                      "s",
                                      "strip-",
                                      ".pdf",
                                      "strip-01.pdf",
                                      "strip-1-satin.pdf",
                                      "strip-1234567890-satin.pdf",
                                      "strip-01-satin.PDF",
                                      "strip-01-satin.pdf ",
                                      "strip-01-satin.png",
                                      "strip-ab-satin.pdf",
                                      "strip-01-../x.pdf",
                                      "strip-01-/etc/x.pdf",
                                      "../strip-01-satin.pdf",
                                      "../strip-patches.png",
                                      "strip-patches.png.pdf",
                                      "strip.json",
                                      "sheet-01.pdf"};
    (void)state;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        if (!tw_is_strip_name(good[i]))
            fail_msg("%s", good[i]);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        if (tw_is_strip_name(bad[i]))
            fail_msg("%s", bad[i]);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(busiest_window_is_found),
        cmocka_unit_test(equals_are_settled),
        cmocka_unit_test(orientations_turn_parts),
        cmocka_unit_test(a_part_is_cut_out),
        cmocka_unit_test(light_follows_the_stops),
        cmocka_unit_test(steps_have_words),
        cmocka_unit_test(cells_of_a_picture_stay_together),
        cmocka_unit_test(rows_are_no_wider_than_their_place),
        cmocka_unit_test(no_line_is_wider_than_the_strip),
        cmocka_unit_test(names_of_strips),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
