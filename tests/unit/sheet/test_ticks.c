/*
 * Ticks at the ends of cuts: where they stand, their numbers, which ends stay unmarked, and the
 * places other than waste that a person may choose. Cases worked out by hand.
 */
#include "sheet_sample.h"

static bool is_unmarked(const sample *s, int step, bool low_end) {
    for (size_t i = 0; i < s->sheet.unmarked_count; i++)
        if (s->sheet.unmarked[i].step == step && s->sheet.unmarked[i].low_end == low_end)
            return true;
    return false;
}

/* Two 8x10 at the left of a 24 x 11 in sheet: across at 10 in, along at 8 and 16 in. */
static void two_of_three(sample *s) {
    sample_start(s, 24 * TW_IN, 11 * TW_IN, TW_IN / 4, TW_IN / 8);
    sample_print(s, (tw_rect){0, 0, 8 * TW_IN, 10 * TW_IN}, TW_IN / 2, 0);
    sample_print(s, (tw_rect){8 * TW_IN, 0, 8 * TW_IN, 10 * TW_IN}, TW_IN / 2, 0);
    sample_cut(s, TW_ACROSS, 10 * TW_IN, 0, 24 * TW_IN);
    sample_cut(s, TW_ALONG, 8 * TW_IN, 0, 10 * TW_IN);
    sample_cut(s, TW_ALONG, 16 * TW_IN, 0, 10 * TW_IN);
}

static void ends_with_waste_are_marked(void **state) {
    sample s;
    (void)state;
    two_of_three(&s);
    sample_draw(&s);
    /* only step 1 has waste on both sides of its line, at its right end: 1/8 in long, ending at
     * the margin 1/4 in from the edge */
    assert_int_equal(sample_count(&s, TW_ROLE_TICK, TW_OP_LINE), 1);
    assert_true(
        has_line(&s, TW_ROLE_TICK, TW_IN * 189 / 8, 10 * TW_IN, TW_IN * 95 / 4, 10 * TW_IN));
    assert_int_equal(s.sheet.unmarked_count, 5);
    assert_true(is_unmarked(&s, 1, true));
    assert_false(is_unmarked(&s, 1, false));
    assert_true(is_unmarked(&s, 2, true) && is_unmarked(&s, 2, false));
    assert_true(is_unmarked(&s, 3, true) && is_unmarked(&s, 3, false));
    sample_end(&s);
}

/* A print with waste all around, on a metric roll: four cuts, all their ends in waste. */
static void all_around(sample *s) {
    sample_start(s, 610 * TW_MM, 300 * TW_MM, 5 * TW_MM, 3 * TW_MM);
    sample_print(s, (tw_rect){100 * TW_MM, 50 * TW_MM, 200 * TW_MM, 200 * TW_MM}, TW_CM, 0);
    sample_cut(s, TW_ACROSS, 50 * TW_MM, 0, 610 * TW_MM);
    sample_cut(s, TW_ACROSS, 250 * TW_MM, 0, 610 * TW_MM);
    sample_cut(s, TW_ALONG, 100 * TW_MM, 50 * TW_MM, 250 * TW_MM);
    sample_cut(s, TW_ALONG, 300 * TW_MM, 50 * TW_MM, 250 * TW_MM);
}

static void numbers_stand_beside(void **state) {
    sample s;
    (void)state;
    all_around(&s);
    sample_draw(&s);
    /* across: 1/8 in from the margins at 5 and 605 mm */
    assert_true(has_line(&s, TW_ROLE_TICK, 5 * TW_MM, 50 * TW_MM, 8175000, 50 * TW_MM));
    assert_true(has_line(&s, TW_ROLE_TICK, 601825000, 250 * TW_MM, 605 * TW_MM, 250 * TW_MM));
    /* along, in the strip between the two across cuts: the print reaches over its whole length,
     * so half of the tick's width would lie on it */
    assert_true(is_unmarked(&s, 3, true) && is_unmarked(&s, 3, false));
    assert_true(is_unmarked(&s, 4, true) && is_unmarked(&s, 4, false));
    assert_int_equal(s.sheet.unmarked_count, 4);
    const tw_op *number = text_of(&s, TW_ROLE_TICK, "1");
    assert_non_null(number);
    assert_true(number->y0 < 50 * TW_MM && number->y0 > 48 * TW_MM);
    assert_true(number->x0 > 5 * TW_MM && number->x0 < 8175000);
    assert_int_equal(sample_count(&s, TW_ROLE_TICK, TW_OP_TEXT), 4);
    sample_end(&s);
}

/* Along before across: the waste over and under the print takes the ticks. */
static void along_cuts_in_waste(void **state) {
    sample s;
    (void)state;
    all_around(&s);
    s.tree.cut_count = 0;
    sample_cut(&s, TW_ALONG, 100 * TW_MM, 0, 300 * TW_MM);
    sample_draw(&s);
    assert_int_equal(s.sheet.unmarked_count, 0);
    assert_true(has_line(&s, TW_ROLE_TICK, 100 * TW_MM, 3 * TW_MM, 100 * TW_MM, 6175000));
    assert_true(has_line(&s, TW_ROLE_TICK, 100 * TW_MM, 293825000, 100 * TW_MM, 297 * TW_MM));
    const tw_op *number = text_of(&s, TW_ROLE_TICK, "1");
    assert_non_null(number);
    assert_int_equal(number->x0, 100 * TW_MM + TW_MM / 2);
    sample_end(&s);
}

static void asked_length_is_the_most(void **state) {
    sample s;
    (void)state;
    all_around(&s);
    s.job.marks.length = 2 * TW_MM;
    sample_draw(&s);
    assert_true(has_line(&s, TW_ROLE_TICK, 5 * TW_MM, 50 * TW_MM, 7 * TW_MM, 50 * TW_MM));
    sample_end(&s);
}

/* A number with no room is left out, the tick stays: 1.2 mm of waste beside the line. */
static void no_room_for_the_number(void **state) {
    sample s;
    (void)state;
    sample_start(&s, 610 * TW_MM, 300 * TW_MM, 5 * TW_MM, 3 * TW_MM);
    sample_print(&s, (tw_rect){0, 0, 610 * TW_MM, 100 * TW_MM}, TW_CM, 0);
    sample_print(&s, (tw_rect){0, 102400000, 610 * TW_MM, 100 * TW_MM}, TW_CM, 0);
    sample_cut(&s, TW_ACROSS, 101200000, 0, 610 * TW_MM);
    sample_draw(&s);
    assert_int_equal(sample_count(&s, TW_ROLE_TICK, TW_OP_LINE), 2);
    assert_int_equal(sample_count(&s, TW_ROLE_TICK, TW_OP_TEXT), 0);
    sample_end(&s);
}

/* ------------------------------------------------ on the line */

static void on_the_line_under_the_lip(void **state) {
    sample s;
    (void)state;
    two_of_three(&s);
    s.job.marks.place = TW_MARKS_LINE;
    s.format.lip = TW_IN / 4;
    sample_draw(&s);
    /* between the two prints, 1/16 in from the lead margin at 1/8 in; to the tail none is in the
     * way of the margin, so it ends at the cut's end, 10 in */
    assert_true(has_line(&s, TW_ROLE_TICK, 8 * TW_IN, TW_IN / 8, 8 * TW_IN, TW_IN * 3 / 16));
    assert_true(has_line(&s, TW_ROLE_TICK, 8 * TW_IN, TW_IN * 159 / 16, 8 * TW_IN, 10 * TW_IN));
    for (size_t i = 0; i < s.sheet.page.count; i++) {
        const tw_op *op = &s.sheet.page.ops[i];
        if (op->role == TW_ROLE_TICK && op->kind == TW_OP_LINE && op->x0 == 8 * TW_IN)
            assert_int_equal(op->grey, 800); /* 20 % grey */
    }
    assert_int_equal(s.sheet.unmarked_count, 0);
    assert_int_equal(sample_count(&s, TW_ROLE_TICK, TW_OP_TEXT), 1); /* in the waste only */
    sample_end(&s);
}

static void no_lip_no_line(void **state) {
    static const tw_nm lips[] = {0, TW_IN / 16 - 1};
    (void)state;
    for (int i = 0; i < 2; i++) {
        sample s;
        two_of_three(&s);
        s.job.marks.place = TW_MARKS_LINE;
        s.format.lip = lips[i];
        sample_draw(&s);
        assert_int_equal(s.sheet.unmarked_count, 5);
        sample_end(&s);
    }
}

/* One of the two has no lip: its edge takes no tick, so neither does the line they share. */
static void both_sides_must_hide_it(void **state) {
    sample s;
    tw_template bare;
    tw_print other;
    (void)state;
    two_of_three(&s);
    bare = s.format;
    other = s.print;
    other.format = &bare;
    s.prints[1].print = &other;
    s.job.marks.place = TW_MARKS_LINE;
    s.format.lip = TW_IN / 4;
    sample_draw(&s);
    assert_true(is_unmarked(&s, 2, true) && is_unmarked(&s, 2, false));
    assert_true(is_unmarked(&s, 3, true));
    assert_false(is_unmarked(&s, 1, true)); /* over the first print's corner */
    sample_end(&s);
}

/* ------------------------------------------------ in a strip */

/* Strips of 12 mm at both ends. A cut that still has them in hand is marked in them; one made
 * after they came off has its ticks there too, but its piece does not, and that is said. */
static void in_the_strip(void **state) {
    (void)state;
    for (int in_hand = 0; in_hand < 2; in_hand++) {
        sample s;
        tw_nm from = in_hand == 1 ? 0 : 12 * TW_MM, to = in_hand == 1 ? 124 : 112;
        sample_start(&s, 200 * TW_MM, 124 * TW_MM, 5 * TW_MM, 3 * TW_MM);
        s.job.marks.place = TW_MARKS_STRIP;
        sample_print(&s, (tw_rect){0, 12 * TW_MM, 100 * TW_MM, 100 * TW_MM}, TW_CM, 0);
        sample_print(&s, (tw_rect){100 * TW_MM, 12 * TW_MM, 100 * TW_MM, 100 * TW_MM}, TW_CM, 0);
        sample_cut(&s, TW_ALONG, 100 * TW_MM, from, to * TW_MM);
        sample_draw(&s);
        assert_true(has_line(&s, TW_ROLE_TICK, 100 * TW_MM, 3 * TW_MM, 100 * TW_MM, 6175000));
        assert_true(has_line(&s, TW_ROLE_TICK, 100 * TW_MM, 117825000, 100 * TW_MM, 121 * TW_MM));
        assert_int_equal(s.sheet.unmarked_count, in_hand == 1 ? 0 : 2);
        sample_end(&s);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ends_with_waste_are_marked),
        cmocka_unit_test(numbers_stand_beside),
        cmocka_unit_test(along_cuts_in_waste),
        cmocka_unit_test(asked_length_is_the_most),
        cmocka_unit_test(no_room_for_the_number),
        cmocka_unit_test(on_the_line_under_the_lip),
        cmocka_unit_test(no_lip_no_line),
        cmocka_unit_test(both_sides_must_hide_it),
        cmocka_unit_test(in_the_strip),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
