/*
 * Signature ticks, scale bars and the slug: where they stand and what they say.
 */
#include "sheet_sample.h"

static void one_print(sample *s, tw_rect trim) {
    sample_start(s, 610 * TW_MM, 400 * TW_MM, 5 * TW_MM, 3 * TW_MM);
    sample_print(s, trim, TW_CM, 0);
}

/* ------------------------------------------------ signature */

/* An area 40 x 7 mm, 10 mm from the right and 8 mm from the lower edge of the trim. */
static void sign(sample *s) {
    tw_rect trim = s->prints[0].trim;
    s->prints[0].signature = (tw_rect){tw_rect_right(trim) - 50 * TW_MM,
                                       tw_rect_bottom(trim) - 15 * TW_MM, 40 * TW_MM, 7 * TW_MM};
}

static void signature_ticks_below(void **state) {
    sample s;
    tw_nm y0 = 251587500, y1 = y0 + TW_IN / 16; /* 250 mm and 1/16 in, and as much more */
    (void)state;
    one_print(&s, (tw_rect){100 * TW_MM, 50 * TW_MM, 200 * TW_MM, 200 * TW_MM});
    sign(&s);
    sample_draw(&s);
    assert_int_equal(sample_count(&s, TW_ROLE_SIGNATURE, TW_OP_LINE), 2);
    assert_true(has_line(&s, TW_ROLE_SIGNATURE, 250 * TW_MM, y0, 250 * TW_MM, y1));
    assert_true(has_line(&s, TW_ROLE_SIGNATURE, 290 * TW_MM, y0, 290 * TW_MM, y1));
    sample_end(&s);
}

/* The next print stands right below, so the right edge serves. */
static void signature_ticks_beside(void **state) {
    sample s;
    tw_nm x0 = 301587500, x1 = x0 + TW_IN / 16;
    (void)state;
    one_print(&s, (tw_rect){100 * TW_MM, 50 * TW_MM, 200 * TW_MM, 200 * TW_MM});
    sample_print(&s, (tw_rect){100 * TW_MM, 250 * TW_MM, 200 * TW_MM, 100 * TW_MM}, TW_CM, 0);
    sign(&s);
    sample_draw(&s);
    assert_int_equal(sample_count(&s, TW_ROLE_SIGNATURE, TW_OP_LINE), 2);
    assert_true(has_line(&s, TW_ROLE_SIGNATURE, x0, 235 * TW_MM, x1, 235 * TW_MM));
    assert_true(has_line(&s, TW_ROLE_SIGNATURE, x0, 242 * TW_MM, x1, 242 * TW_MM));
    sample_end(&s);
}

static void no_waste_no_signature_ticks(void **state) {
    sample s;
    (void)state;
    one_print(&s, (tw_rect){0, 0, 610 * TW_MM, 400 * TW_MM});
    sign(&s);
    sample_draw(&s);
    assert_int_equal(s.sheet.page.count, 1); /* the picture: no marks, bars or slug either */
    sample_end(&s);
}

/* ------------------------------------------------ scale bars */

typedef struct bars {
    tw_nm across_mm, along_mm, across_in, along_in; /* 0 = none */
} bars;

/* A bar is its longest line, with two end ticks and a label; found by the label. */
static tw_nm bar_of(const sample *s, const char *unit, int quarter, bool inches) {
    for (size_t i = 0; i < s->sheet.page.count; i++) {
        const tw_op *op = &s->sheet.page.ops[i];
        if (op->role != TW_ROLE_SCALE_BAR || op->kind != TW_OP_TEXT || op->quarter != quarter ||
            strstr(op->text, unit) == NULL)
            continue;
        const tw_op *line = op - 3; /* line, tick, tick, label */
        tw_nm length = quarter == 0 ? line->x1 - line->x0 : line->y1 - line->y0;
        assert_int_equal(atoi(op->text) * (inches ? TW_IN : TW_MM), length);
        assert_int_equal(quarter == 0 ? line[1].x0 : line[1].y0,
                         quarter == 0 ? line->x0 : line->y0);
        assert_int_equal(quarter == 0 ? line[2].x0 : line[2].y0,
                         quarter == 0 ? line->x1 : line->y1);
        return length;
    }
    return 0;
}

static void bars_are(const sample *s, bars wanted) {
    assert_int_equal(bar_of(s, "mm", 0, false), wanted.across_mm);
    assert_int_equal(bar_of(s, "mm", 1, false), wanted.along_mm);
    assert_int_equal(bar_of(s, "in", 0, true), wanted.across_in);
    assert_int_equal(bar_of(s, "in", 1, true), wanted.along_in);
}

/* Waste of 610 x 100 mm below the print, margins 5 and 3: 600 mm across, 97 along less 1 mm at
 * the print. Along: 90 mm; and 3 in at 76.2 mm, less what the bars across take. */
static void bars_as_long_as_the_waste(void **state) {
    sample s;
    (void)state;
    one_print(&s, (tw_rect){0, 0, 610 * TW_MM, 300 * TW_MM});
    sample_draw(&s);
    tw_nm along_in = bar_of(&s, "in", 1, true);
    bars_are(&s, (bars){500 * TW_MM, 90 * TW_MM, 20 * TW_IN, along_in});
    assert_true(along_in == 3 * TW_IN);
    sample_end(&s);
}

/* 70 mm wide at the right: 70 - 5 - 1 = 64 mm; across 60 mm and 2 in; along 394 mm: 350 mm and
 * 15 in. */
static void bars_in_a_side_strip(void **state) {
    sample s;
    (void)state;
    one_print(&s, (tw_rect){0, 0, 540 * TW_MM, 400 * TW_MM});
    sample_draw(&s);
    bars_are(&s, (bars){60 * TW_MM, 350 * TW_MM, 2 * TW_IN, 15 * TW_IN});
    sample_end(&s);
}

/* A strip of 9 mm: 9 - 5 - 1 = 3 mm is too thin for any bar; one of 10 mm takes one. */
static void no_bar_where_it_is_thin(void **state) {
    sample s;
    (void)state;
    one_print(&s, (tw_rect){0, 0, 601 * TW_MM, 400 * TW_MM});
    sample_draw(&s);
    bars_are(&s, (bars){0, 0, 0, 0});
    sample_end(&s);
    one_print(&s, (tw_rect){0, 0, 600 * TW_MM, 400 * TW_MM});
    sample_draw(&s);
    bars_are(&s, (bars){0, 350 * TW_MM, 0, 0});
    sample_end(&s);
}

/* ------------------------------------------------ slug */

static const char *slug_of(sample *s, tw_nm *size, int *quarter) {
    const tw_op *op = text_of(s, TW_ROLE_SLUG, NULL);
    *size = op == NULL ? 0 : op->size;
    *quarter = op == NULL ? -1 : op->quarter;
    return op == NULL ? "" : op->text;
}

static void the_slug_says_all(void **state) {
    sample s;
    tw_nm size;
    int quarter;
    (void)state;
    one_print(&s, (tw_rect){0, 0, 610 * TW_MM, 300 * TW_MM});
    s.job.date = "2027-03-06";
    sample_draw(&s);
    assert_string_equal(slug_of(&s, &size, &quarter),
                        "March day · 2027-03-06 · satin-24in · sheet 1 of 3 · print at 100 % · "
                        "feed ▲");
    assert_int_equal(size, TW_IN * 7 / 72);
    assert_int_equal(quarter, 0);
    sample_end(&s);
}

/* In a side strip 19 mm wide it stands on its side, and the arrow still points to the lead. */
static void the_slug_turns(void **state) {
    sample s;
    tw_nm size;
    int quarter;
    (void)state;
    one_print(&s, (tw_rect){0, 0, 591 * TW_MM, 400 * TW_MM});
    sample_draw(&s);
    assert_string_equal(slug_of(&s, &size, &quarter),
                        "March day · satin-24in · sheet 1 of 3 · print at 100 % · feed ◀");
    assert_int_equal(quarter, 1);
    sample_end(&s);
}

/* A strip that a line of 7 pt does not fit across: 3 mm after the margin and the clear mm. */
static void the_slug_shrinks_then_drops_words(void **state) {
    sample s;
    tw_nm size;
    int quarter;
    (void)state;
    one_print(&s, (tw_rect){0, 0, 601200000, 400 * TW_MM}); /* 2.8 mm: 6 pt, no bar */
    sample_draw(&s);
    assert_string_equal(slug_of(&s, &size, &quarter),
                        "March day · satin-24in · sheet 1 of 3 · print at 100 % · feed ◀");
    assert_int_equal(size, TW_IN * 6 / 72);
    sample_end(&s);
    /* short as well: 34 mm between two margins of 3 mm */
    sample_start(&s, 610 * TW_MM, 40 * TW_MM, 5 * TW_MM, 3 * TW_MM);
    sample_print(&s, (tw_rect){0, 0, 601200000, 40 * TW_MM}, TW_CM, 0);
    sample_draw(&s);
    assert_string_equal(slug_of(&s, &size, &quarter), "sheet 1 of 3 · print at 100 % · feed ◀");
    sample_end(&s);
}

/* Where colours are converted here, that the driver must not do it again goes last of all. */
static void the_slug_keeps_the_driver(void **state) {
    static const struct {
        tw_nm length;
        const char *words;
    } sheets[] = {
        {200, "March day · satin-24in · sheet 1 of 3 · print at 100 % · colour management off in "
              "the driver · feed ◀"},
        {72, "satin-24in · sheet 1 of 3 · print at 100 % · colour management off in the driver · "
             "feed ◀"},
        {60, "sheet 1 of 3 · print at 100 % · colour management off in the driver · feed ◀"},
        {42, "sheet 1 of 3 · 100 % · driver colour off · feed ◀"},
        {36, "sheet 1 of 3 · driver colour off · feed ◀"},
        {24, "sheet 1 of 3 · feed ◀"},
    };
    tw_nm size;
    int quarter;
    (void)state;
    for (size_t i = 0; i < sizeof sheets / sizeof *sheets; i++) {
        sample s;
        tw_nm length = sheets[i].length * TW_MM;
        sample_start(&s, 610 * TW_MM, length, 5 * TW_MM, 3 * TW_MM);
        sample_print(&s, (tw_rect){0, 0, 601200000, length}, TW_CM, 0);
        s.paper.converts = true;
        sample_draw(&s);
        assert_string_equal(slug_of(&s, &size, &quarter), sheets[i].words);
        sample_end(&s);
    }
}

static void no_room_no_slug(void **state) {
    sample s;
    (void)state;
    one_print(&s, (tw_rect){0, 0, 603 * TW_MM, 400 * TW_MM}); /* 1 mm is left */
    sample_draw(&s);
    assert_int_equal(sample_count(&s, TW_ROLE_SLUG, TW_OP_TEXT), 0);
    sample_end(&s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(signature_ticks_below),
        cmocka_unit_test(signature_ticks_beside),
        cmocka_unit_test(no_waste_no_signature_ticks),
        cmocka_unit_test(bars_as_long_as_the_waste),
        cmocka_unit_test(bars_in_a_side_strip),
        cmocka_unit_test(no_bar_where_it_is_thin),
        cmocka_unit_test(the_slug_says_all),
        cmocka_unit_test(the_slug_turns),
        cmocka_unit_test(the_slug_shrinks_then_drops_words),
        cmocka_unit_test(the_slug_keeps_the_driver),
        cmocka_unit_test(no_room_no_slug),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
