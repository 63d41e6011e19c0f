/*
 * The guide's words: stops as a ruler shows them, lengths, sheet numbers, names made safe, and
 * lines broken to a width. Every expected value is computed by hand.
 */
#include "testing.h"

#include "base/face.h"
#include "guide/pages.h"

typedef struct bench {
    test_memory memory;
    tw_allocator allocator;
    tw_error error;
    tw_guide g;
} bench;

static void start(bench *b) {
    memset(b, 0, sizeof *b);
    b->allocator = test_allocator(&b->memory);
    b->g.arena = tw_arena_new(&b->allocator, 0);
    b->g.error = &b->error;
    assert_non_null(b->g.arena);
}

static void finish(bench *b) {
    assert_int_equal(b->g.code, TW_OK);
    tw_arena_free(b->g.arena);
    assert_no_leak(b->memory);
}

/* 1/32 in = 0.79375 mm; at more than 0.1 mm from a mark of the ruler mm comes first. */
static void stops_as_a_ruler_shows_them(void **state) {
    (void)state;
    static const struct {
        tw_nm stop;
        const char *text;
    } cases[] = {
        {8 * TW_IN, "8 in\n203.2 mm"},
        {17 * TW_IN / 2, "8 1/2 in\n215.9 mm"},
        {TW_IN / 32, "1/32 in\n0.8 mm"},
        {200 * TW_MM, "7 7/8 in\n200.0 mm"},         /* 200.025: 0.025 off */
        {90 * TW_MM, "90.0 mm\nnear 3 17/32 in"},    /* 89.69375: 0.306 off */
        {130 * TW_MM, "130.0 mm\nnear 5 1/8 in"},    /* 130.175: 0.175 off */
        {300 * TW_MM, "11 13/16 in\n300.0 mm"},      /* 300.0375 */
        {4 * TW_IN + 100000, "4 in\n101.7 mm"},      /* just 0.1 off: still the truth */
        {4 * TW_IN + 100001, "101.7 mm\nnear 4 in"}, /* just over */
    };
    bench b;
    start(&b);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_string_equal(tw_guide_stop(&b.g, cases[i].stop), cases[i].text);
    finish(&b);
}

static void lengths_and_sizes(void **state) {
    (void)state;
    bench b;
    start(&b);
    tw_guide *g = &b.g;
    assert_string_equal(tw_guide_size_text(g, (tw_size){24 * TW_IN, 30 * TW_IN}),
                        "24 x 30 in (609.6 x 762 mm)");
    assert_string_equal(tw_guide_size_text(g, (tw_size){300 * TW_MM, 400 * TW_MM}),
                        "11.811 x 15.748 in (300 x 400 mm)");
    assert_string_equal(tw_guide_both(g, 17 * TW_IN / 2), "8 1/2 in (215.9 mm)");
    /* 1/64 in = 0.396875 mm */
    assert_string_equal(tw_guide_mm(g, TW_IN / 64), "0.4");
    assert_string_equal(tw_guide_mm(g, 3 * TW_IN / 64), "1.19");
    assert_string_equal(tw_guide_feet(g, 150 * TW_IN + TW_IN / 2), "12 ft 6 1/2 in (3.82 m)");
    assert_string_equal(tw_guide_feet(g, 10 * TW_IN), "0 ft 10 in (0.25 m)");
    /* 11.9 in is nearer to 12 than to 11 1/2: one foot, not "0 ft 12 in" */
    assert_string_equal(tw_guide_feet(g, 119 * TW_IN / 10), "1 ft 0 in (0.30 m)");
    finish(&b);
}

static void numbers_run_together(void **state) {
    (void)state;
    bench b;
    start(&b);
    static const int some[] = {1, 3, 4, 6, 7, 8, 9, 12};
    assert_string_equal(tw_guide_numbers(&b.g, some, 8), "1, 3, 4, 6 to 9, 12");
    assert_string_equal(tw_guide_numbers(&b.g, some, 1), "1");
    assert_string_equal(tw_guide_numbers(&b.g, some, 0), "");
    finish(&b);
}

static void names_are_made_safe(void **state) {
    (void)state;
    bench b;
    start(&b);
    tw_guide *g = &b.g;
    assert_string_equal(tw_guide_name(g, NULL), "");
    assert_string_equal(tw_guide_name(g, "two\nlines\x07"), "two lines ");
    assert_string_equal(tw_guide_name(g, "a\xFF"
                                         "b\xC3"),
                        "a\xEF\xBF\xBD"
                        "b\xEF\xBF\xBD");
    assert_string_equal(tw_guide_name(g, "Zo\xC3\xAB"), "Zo\xC3\xAB");
    char many[300];
    memset(many, 'x', sizeof many);
    many[sizeof many - 1] = '\0';
    assert_int_equal(strlen(tw_guide_name(g, many)), 100 + 3); /* and an ellipsis */
    /* Ids differ at their ends, so the middle goes. */
    memcpy(many + sizeof many - 4, "-17", 3);
    const char *id = tw_guide_short(g, many);
    assert_int_equal(strlen(id), 28 + 3 + 10);
    assert_string_equal(id + strlen(id) - 4, "x-17");
    assert_string_equal(tw_guide_short(g, "1001-1"), "1001-1");
    finish(&b);
}

static void lines_keep_to_their_width(void **state) {
    (void)state;
    bench b;
    start(&b);
    static const char *const texts[] = {
        "a few plain words that run over several lines of forty millimetres",
        "Donaudampfschifffahrtsgesellschaftskapitaenskajuetenschluesselbund and more",
        "\xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D \xE4\xB8\xAD\xE6\x96\x87 mixed", "", "      "};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        const char *lines[6];
        size_t count = tw_guide_wrap(&b.g, texts[i], 40 * TW_MM, GUIDE_BODY, lines, 6);
        assert_in_range(count, 0, 6);
        for (size_t k = 0; k < count; k++)
            assert_true(tw_face_width(lines[k], GUIDE_BODY) <= 40 * TW_MM + 100);
    }
    const char *lines[2];
    assert_int_equal(tw_guide_wrap(&b.g, "one\ntwo", 40 * TW_MM, GUIDE_BODY, lines, 2), 2);
    assert_string_equal(lines[0], "one");
    assert_string_equal(lines[1], "two");
    assert_int_equal(tw_guide_wrap(&b.g, "one two\nthree", 400 * TW_MM, GUIDE_BODY, lines, 1), 1);
    assert_string_equal(lines[0], "one two\xE2\x80\xA6");
    finish(&b);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stops_as_a_ruler_shows_them), cmocka_unit_test(lengths_and_sizes),
        cmocka_unit_test(numbers_run_together),        cmocka_unit_test(names_are_made_safe),
        cmocka_unit_test(lines_keep_to_their_width),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
