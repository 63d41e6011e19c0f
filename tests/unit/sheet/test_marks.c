/*
 * Crop marks against cases worked out by hand, in inches and in millimetres. Offset 1/16 in or
 * the bleed, length 1/4 in, as common practice has them.
 */
#include "sheet_sample.h"

typedef struct given {
    tw_rect trim;
    tw_nm bleed;
} given;

typedef struct wanted {
    int drawn, clipped, dropped;
} wanted;

static void counts_are(const sample *s, wanted w) {
    assert_int_equal(s->sheet.marks_drawn, w.drawn);
    assert_int_equal(s->sheet.marks_clipped, w.clipped);
    assert_int_equal(s->sheet.marks_dropped, w.dropped);
    assert_int_equal(sample_count(s, TW_ROLE_CROP_MARK, TW_OP_LINE), w.drawn);
}

/* A table of inches in 1/16. */
#define IN16(n) ((tw_nm)(n)*TW_IN / 16)

static void a_print_alone_has_eight(void **state) {
    sample s;
    (void)state;
    sample_start(&s, 24 * TW_IN, 12 * TW_IN, TW_IN / 4, TW_IN / 8);
    sample_print(&s, (tw_rect){2 * TW_IN, TW_IN, 8 * TW_IN, 10 * TW_IN}, TW_IN / 2, 0);
    sample_draw(&s);
    counts_are(&s, (wanted){8, 0, 0});
    /* left of the top left corner: from 1 11/16 to 1 15/16 in; over it: 11/16 to 15/16 */
    assert_true(has_line(&s, TW_ROLE_CROP_MARK, IN16(27), TW_IN, IN16(31), TW_IN));
    assert_true(has_line(&s, TW_ROLE_CROP_MARK, 2 * TW_IN, IN16(11), 2 * TW_IN, IN16(15)));
    /* right of and under the bottom right corner, at 10 and 11 in */
    assert_true(has_line(&s, TW_ROLE_CROP_MARK, IN16(161), 11 * TW_IN, IN16(165), 11 * TW_IN));
    assert_true(has_line(&s, TW_ROLE_CROP_MARK, 10 * TW_IN, IN16(177), 10 * TW_IN, IN16(181)));
    for (size_t i = 0; i < s.sheet.page.count; i++)
        if (s.sheet.page.ops[i].role == TW_ROLE_CROP_MARK) {
            assert_int_equal(s.sheet.page.ops[i].grey, 0);
            assert_int_equal(s.sheet.page.ops[i].weight, TW_IN / 288); /* 0.25 pt */
        }
    sample_end(&s);
}

static const struct {
    const char *what;
    tw_nm width, height, side, ends;
    given prints[3];
    wanted marks;
} hand_cases[] = {
    {"three 8x10 fill a 24 in roll: no waste, no marks",
     24 * TW_IN,
     10 * TW_IN,
     TW_IN / 4,
     0,
     {{{0, 0, 8 * TW_IN, 10 * TW_IN}, 0},
      {{8 * TW_IN, 0, 8 * TW_IN, 10 * TW_IN}, 0},
      {{16 * TW_IN, 0, 8 * TW_IN, 10 * TW_IN}, 0}},
     {0, 0, 0}},
    {"two of them: waste at the right, but its corners lie on the page's ends",
     24 * TW_IN,
     10 * TW_IN,
     TW_IN / 4,
     0,
     {{{0, 0, 8 * TW_IN, 10 * TW_IN}, 0}, {{8 * TW_IN, 0, 8 * TW_IN, 10 * TW_IN}, 0}},
     {0, 0, 4}},
    {"the same with an inch of waste at the tail: under it 0, 8, 16 in; beside it 16 in",
     24 * TW_IN,
     11 * TW_IN,
     TW_IN / 4,
     TW_IN / 8,
     {{{0, 0, 8 * TW_IN, 10 * TW_IN}, 0}, {{8 * TW_IN, 0, 8 * TW_IN, 10 * TW_IN}, 0}},
     /* drawn: under 8 in (both prints' one) and under 16 in, right of 16, 10 in. Dropped:
      * at 0, 10 in both (margin, page); at 8, 10 in the two level ones, each on the other
      * print; at 16, 0 in both. */
     {3, 0, 6}},
    {"a gap of 5 mm: both its marks run into the other's print and are one line",
     610 * TW_MM,
     200 * TW_MM,
     3 * TW_MM,
     3 * TW_MM,
     {{{20 * TW_MM, 20 * TW_MM, 100 * TW_MM, 150 * TW_MM}, 0},
      {{125 * TW_MM, 20 * TW_MM, 100 * TW_MM, 150 * TW_MM}, 0}},
     {14, 2, 0}},
    {"a gap of 2 mm leaves 0.4125 mm: dropped on both sides, above and below",
     610 * TW_MM,
     200 * TW_MM,
     3 * TW_MM,
     3 * TW_MM,
     {{{20 * TW_MM, 20 * TW_MM, 100 * TW_MM, 150 * TW_MM}, 0},
      {{122 * TW_MM, 20 * TW_MM, 100 * TW_MM, 150 * TW_MM}, 0}},
     {12, 0, 4}},
    {"3.4125 mm to the margin at the left: clipped to 1.825 mm, above and below",
     610 * TW_MM,
     200 * TW_MM,
     3 * TW_MM,
     3 * TW_MM,
     {{{6412500, 20 * TW_MM, 100 * TW_MM, 150 * TW_MM}, 0}},
     {8, 2, 0}},
    {"2 mm to the margin: dropped",
     610 * TW_MM,
     200 * TW_MM,
     3 * TW_MM,
     3 * TW_MM,
     {{{5 * TW_MM, 20 * TW_MM, 100 * TW_MM, 150 * TW_MM}, 0}},
     {6, 0, 2}},
    {"a lower neighbour: at its upper left corner both marks would lie on the first print",
     610 * TW_MM,
     300 * TW_MM,
     3 * TW_MM,
     3 * TW_MM,
     {{{20 * TW_MM, 20 * TW_MM, 100 * TW_MM, 100 * TW_MM}, 0},
      {{120 * TW_MM, 50 * TW_MM, 100 * TW_MM, 100 * TW_MM}, 0}},
     /* first: 2 + 2 at the left, at the right above: both; below (120, 120): its level
      * mark and its upright one lie on the second. Second: 2 + 2 at the right, lower left
      * both; upper left none. */
     {12, 0, 4}},
};

static void cases_by_hand(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof hand_cases / sizeof *hand_cases; i++) {
        sample s;
        sample_start(&s, hand_cases[i].width, hand_cases[i].height, hand_cases[i].side,
                     hand_cases[i].ends);
        for (int n = 0; n < 3 && hand_cases[i].prints[n].trim.width > 0; n++)
            sample_print(&s, hand_cases[i].prints[n].trim, TW_IN / 2,
                         hand_cases[i].prints[n].bleed);
        sample_draw(&s);
        if (s.sheet.marks_drawn != hand_cases[i].marks.drawn ||
            s.sheet.marks_clipped != hand_cases[i].marks.clipped ||
            s.sheet.marks_dropped != hand_cases[i].marks.dropped)
            fail_msg("%s: %d drawn, %d clipped, %d dropped", hand_cases[i].what,
                     s.sheet.marks_drawn, s.sheet.marks_clipped, s.sheet.marks_dropped);
        counts_are(&s, hand_cases[i].marks);
        sample_end(&s);
    }
}

static void clipped_marks_end_where_they_must(void **state) {
    sample s;
    (void)state;
    sample_start(&s, 610 * TW_MM, 200 * TW_MM, 3 * TW_MM, 3 * TW_MM);
    sample_print(&s, (tw_rect){6412500, 20 * TW_MM, 100 * TW_MM, 150 * TW_MM}, TW_CM, 0);
    sample_draw(&s);
    /* from the margin at 3 mm to 1/16 in (1.5875 mm) before 6.4125 mm */
    assert_true(has_line(&s, TW_ROLE_CROP_MARK, 3 * TW_MM, 20 * TW_MM, 4825000, 20 * TW_MM));
    sample_end(&s);
}

/* Auto is the bleed where it is more than 1/16 in, and an asked offset never cuts into it. */
static void offsets(void **state) {
    static const struct {
        bool automatic;
        tw_nm offset, bleed, start;
    } table[] = {
        {true, 0, 3 * TW_MM, 3 * TW_MM},          {true, 0, TW_MM, TW_IN / 16},
        {false, 2 * TW_MM, 0, 2 * TW_MM},         {false, 2 * TW_MM, 5 * TW_MM, 5 * TW_MM},
        {false, 7 * TW_MM, 5 * TW_MM, 7 * TW_MM}, {false, 0, 0, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        sample s;
        sample_start(&s, 610 * TW_MM, 200 * TW_MM, 3 * TW_MM, 3 * TW_MM);
        s.job.marks.offset_auto = table[i].automatic;
        s.job.marks.offset = table[i].offset;
        s.job.marks.length = 6 * TW_MM;
        sample_print(&s, (tw_rect){50 * TW_MM, 50 * TW_MM, 100 * TW_MM, 100 * TW_MM}, TW_CM,
                     table[i].bleed);
        sample_draw(&s);
        counts_are(&s, (wanted){8, 0, 0});
        assert_true(has_line(&s, TW_ROLE_CROP_MARK, 150 * TW_MM + table[i].start, 50 * TW_MM,
                             156 * TW_MM + table[i].start, 50 * TW_MM));
        sample_end(&s);
    }
}

static void none_means_none(void **state) {
    sample s;
    (void)state;
    sample_start(&s, 610 * TW_MM, 200 * TW_MM, 3 * TW_MM, 3 * TW_MM);
    s.job.marks.place = TW_MARKS_NONE;
    sample_print(&s, (tw_rect){50 * TW_MM, 50 * TW_MM, 100 * TW_MM, 100 * TW_MM}, TW_CM, 0);
    sample_cut(&s, TW_ALONG, 150 * TW_MM, 0, 200 * TW_MM);
    sample_draw(&s);
    counts_are(&s, (wanted){0, 0, 0});
    assert_int_equal(s.sheet.page.count, 1); /* the picture */
    assert_int_equal(s.sheet.unmarked_count, 2);
    sample_end(&s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_print_alone_has_eight),
        cmocka_unit_test(cases_by_hand),
        cmocka_unit_test(clipped_marks_end_where_they_must),
        cmocka_unit_test(offsets),
        cmocka_unit_test(none_means_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
