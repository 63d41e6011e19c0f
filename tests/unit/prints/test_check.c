/*
 * The warnings, one rule after another, each on both sides of its limit. The limits are the
 * design's and common practice of the trade; what should be found is worked out by hand.
 */
#include "prints/day.h"

/* Load the day with one template (its members after the name) and these orders, and check it. */
static void look(folder *f, const char *members, const char *orders) {
    char frames[1400];
    tw_prints prints;
    snprintf(frames, sizeof frames, "{'trimwell': 1, 'templates': [{'name': 't', %s}]}", members);
    folder_again(f);
    folder_json(f, "frames.json", frames);
    folder_write(f, "orders.csv", orders);
    assert_ok(folder_load(f), f->error);
    prints = day_prints(f);
    assert_int_equal(f->report.errors.count, 0);
    assert_ok(tw_prints_check(f->arena, f->job, &prints, &f->report, &f->error), f->error);
}

/* Exactly these warnings, by name, in this order ("" = none). */
static void assert_names(const folder *f, const char *names) {
    char seen[512] = "";
    for (size_t i = 0; i < f->report.warnings.count; i++) {
        strcat(seen, i == 0 ? "" : " ");
        strcat(seen, f->report.warnings.items[i].name);
        assert_int_equal(f->report.warnings.items[i].code, TW_OK);
    }
    if (strcmp(seen, names) != 0)
        print_messages(&f->report.warnings);
    assert_string_equal(seen, names);
}

#define ONE "order,image,template\n1,a.png,t\n"

/* One member list, and the names of what must be found with a.png (2400x3000) on it. */
typedef struct rule {
    const char *members, *names;
} rule;

static void try_rules(const rule *rules, size_t count) {
    folder f;
    day_open(&f, ONE);
    for (size_t i = 0; i < count; i++) {
        look(&f, rules[i].members, ONE);
        assert_names(&f, rules[i].names);
    }
    folder_close(&f);
}

#define TRY(rules) try_rules(rules, sizeof(rules) / sizeof *(rules))

/* 8x10 with a 4:5 image: 7 x 8.75, so the sides show the border and the top 1/8 in more. */
static void borders(void **state) {
    (void)state;
    static const rule rules[] = {
        {"'size': '8x10in', 'border': '1/2in'", ""},
        {"'size': '8x10in', 'border': '3/8in'", ""},
        {"'size': '8x10in', 'border': '23/64in'", "thin-border"},
        {"'size': '8x10in'", ""}, /* borderless is meant so */
        {"'size': '8x10in', 'border': '1/2in', 'lip': '1/2in'", ""},
        {"'size': '8x10in', 'border': '1/2in', 'lip': '33/64in'", "lip-over-border"},
        {"'size': '8x10in', 'lip': '1/8in'", "lip-over-border"},
        /* the roll's side margin is 1/4 in */
        {"'size': '8x10in', 'border': '1/4in'", "thin-border"},
        {"'size': '8x10in', 'border': '15/64in'", "thin-border border-inside-margin"},
        /* deeper bottoms are usual; sides 1/4 in over the top are not, 65/256 over is */
        {"'size': '8x10in', 'border': {'top': '1/2in', 'right': '1/2in', 'bottom': '2in', 'left': "
         "'1/2in'}, 'fit': 'fill'",
         ""},
        {"'size': '8x10in', 'border': {'top': '1/2in', 'right': '3/4in', 'bottom': '1/2in', "
         "'left': '3/4in'}, 'fit': 'fill'",
         ""},
        {"'size': '8x10in', 'border': {'top': '1/2in', 'right': '49/64in', 'bottom': '1/2in', "
         "'left': '1/2in'}, 'fit': 'fill'",
         "uneven-border"},
    };
    TRY(rules);
}

/* Messages say the side, what is seen and what is wanted, both ways. */
static void border_words(void **state) {
    (void)state;
    folder f;
    day_open(&f, ONE);
    look(&f,
         "'size': '8x10in', 'border': {'top': '1in', 'right': '1/8in', 'bottom': '1in', "
         "'left': '1in'}, 'fit': 'fill', 'lip': '1/4in'",
         ONE);
    assert_names(&f, "lip-over-border thin-border border-inside-margin");
    assert_warning(&f, "orders.csv:2: the right border shows 1/8 in (3.2 mm), and the lip of the "
                       "frame hides 1/4 in (6.4 mm)");
    assert_warning(&f, "the right border shows 1/8 in (3.2 mm); under 3/8 in (9.5 mm)");
    assert_warning(&f, "a border shows 1/8 in (3.2 mm) and paper \"satin\" has a margin of 1/4 in "
                       "(6.4 mm) at its right edge: a print that lies there keeps 1/8 in (3.2 mm)");
    folder_close(&f);
}

/* A border short of the margin matters only where it may lie: the right border of an upright
 * print faces the tail when turned (no margin there), its bottom faces the left edge. */
static void margins_by_way(void **state) {
    (void)state;
    static const char either[] = "'size': '8x10in', 'fit': 'fill', 'border': {'top': '1/2in', "
                                 "'right': '1/2in', 'bottom': '1/8in', 'left': '1/2in'}";
    char upright[256];
    folder f;
    day_open(&f, ONE);
    snprintf(upright, sizeof upright, "%s, 'lie': 'upright'", either);
    look(&f, upright, ONE);
    assert_names(&f, "thin-border");
    look(&f, either, ONE);
    assert_names(&f, "thin-border border-inside-margin");
    assert_warning(&f, "at its left edge: a print that lies there turned keeps 1/8 in");
    folder_close(&f);
}

/* Area 1 x 1/4 in. With borders of 1/2 in there is no place for it: 1/8 in inset puts it
 * at 1/8 .. 3/8 of 1/2 in. Lip + 1/8 in from the trim, 1/8 in from the picture. */
#define SIGN(border, inset)                                                                        \
    "'size': '8x10in', 'fit': 'fill', 'border': {'top': '1in', 'right': '1in', 'bottom': '" border \
    "', 'left': '1in'}, 'signature': {'corner': 'bottom-right', 'width': '1in', 'height': "        \
    "'1/4in', 'inset': '" inset "'}"

static void signatures(void **state) {
    (void)state;
    static const rule rules[] = {
        {SIGN("1in", "3/8in"), ""},
        {SIGN("1in", "3/8in") ", 'lip': '1/4in'", ""},
        {SIGN("1in", "23/64in") ", 'lip': '1/4in'", "signature-under-lip"},
        {SIGN("1in", "1/8in"), ""},
        {SIGN("1in", "7/64in"), "signature-under-lip"},
        {SIGN("1in", "5/8in"), ""},
        {SIGN("1in", "41/64in"), "signature-near-picture"},
        {SIGN("1in", "3/4in"), "signature-near-picture"}, /* touching */
        {SIGN("1in", "49/64in"), "signature-straddles"},
        /* on the picture: 1/8 in inside both edges */
        {SIGN("1in", "1 1/8in"), ""},
        {SIGN("1in", "1 7/64in"), "signature-near-picture"},
        /* no border at all: on the picture, the lip's rule alone */
        {"'size': '8x10in', 'signature': {'corner': 'top-left', 'width': '1in', 'height': '1/4in', "
         "'inset': '1/8in'}",
         ""},
        {"'size': '8x10in', 'signature': {'corner': 'top-left', 'width': '1in', 'height': '1/4in', "
         "'inset': '7/64in'}",
         "signature-under-lip"},
    };
    TRY(rules);
}

/* The mat hides what lies outside its window: 6 x 8 picture, revealing 3/4 in opens 7.5 x 9.5,
 * 1/4 in from the trim. */
static void signature_and_window(void **state) {
    (void)state;
    static const rule rules[] = {
        {SIGN("1in", "1/4in") ", 'window': {'reveal': '3/4in'}", ""},
        {SIGN("1in", "15/64in") ", 'window': {'reveal': '3/4in'}", "signature-under-window"},
        {SIGN("1in", "1/4in") ", 'window': {'overlap': '1/8in'}", "signature-under-window"},
        {SIGN("1in", "1 1/8in") ", 'window': {'overlap': '1/8in'}", ""},
    };
    TRY(rules);
}

/* warn_below auto by the print's long side: to 12 in 240, to 18 in 200, to 30 in 180, above 150.
 * a.png is 2400x3000; a 4:5 picture of height h has 3000 / h ppi. */
static void resolution(void **state) {
    (void)state;
    static const rule rules[] = {
        {"'picture': '10in', 'border': '1in'", ""}, /* 12 in: 300 */
        /* square, so cropped to 11 x 11 and 11 1/64: 218.1 of 240, 217.8 of 200 */
        {"'size': '12x12in', 'border': '1/2in', 'fit': 'fill'", "low-ppi crops-much"},
        {"'size': '12 1/64x12in', 'border': '1/2in', 'fit': 'fill'", "crops-much"},
        {"'picture': '12in', 'border': '0in', 'bleed': '0in'", ""}, /* 12 in: 250 */
        {"'picture': '14in', 'border': '1in'", ""},                 /* 16 in: 214.2 */
        {"'picture': '15 1/4in', 'border': '1in'", "low-ppi"},      /* 17 1/4: 196.7 */
        {"'picture': '15 1/4in', 'border': '1 1/2in'", ""},         /* 18 1/4: 196.7 of 180 */
        {"'picture': '17in', 'border': '1in'", "low-ppi"},          /* 19 in: 176.4 of 180 */
        {"'picture': '19in', 'border': '6in'", ""},                 /* 31 in: 157.8 of 150 */
        {"'picture': '20 1/4in', 'border': '5in'", "low-ppi"},      /* 30 1/4 in: 148.1 */
    };
    folder f;
    day_open(&f, ONE);
    folder_json(
        &f, "satin.json",
        "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '44in', 'length': '50ft',"
        " 'margins': {'side': '1/4in', 'lead': '0in', 'tail': '0in'}}");
    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++) {
        look(&f, rules[i].members, ONE);
        assert_names(&f, rules[i].names);
    }
    look(&f, "'picture': '17in', 'border': '1in'", ONE);
    assert_warning(&f, "orders.csv:2: image \"a.png\" has 176.4 ppi as a print of 15.6 in");
    assert_warning(&f, "19 in (482.6 mm); 180 ppi are wanted");
    folder_close(&f);
}

static void tags(void **state) {
    (void)state;
    folder f;
    day_open(&f, ONE);
    look(&f, "'size': '8x10in', 'border': '1/2in'", "order,image,template\n1,plain.png,t\n");
    assert_names(&f, "untagged");
    assert_warning(&f, "image \"plain.png\" does not say what its colours mean: sRGB is assumed");
    f.job->orders[0].accept = (const char *[]){"untagged"};
    f.job->orders[0].accept_count = 1;
    tw_report_start(&f.report, f.arena);
    tw_prints prints = day_prints(&f);
    prints.images[0].colour_note = "it says two things";
    assert_ok(tw_prints_check(f.arena, f.job, &prints, &f.report, &f.error), f.error);
    assert_names(&f, "colour-doubt");
    assert_warning(&f, "image \"plain.png\" says of its colours is in doubt: it says two things");
    tw_report_start(&f.report, f.arena);
    prints.images[0].colour_note = NULL;
    prints.images[0].profile_problem = "the file is cut short";
    assert_ok(tw_prints_check(f.arena, f.job, &prints, &f.report, &f.error), f.error);
    assert_names(&f, "profile-problem");
    assert_warning(&f, "is not usable: the file is cut short; sRGB is assumed");
    f.job->papers[0].converts = true; /* nothing is assumed then: it is an error elsewhere */
    tw_report_start(&f.report, f.arena);
    assert_ok(tw_prints_check(f.arena, f.job, &prints, &f.report, &f.error), f.error);
    assert_names(&f, "");
    folder_close(&f);
}

/* What of a TIFF does not reach the paper. */
static void tiff_leftovers(void **state) {
    (void)state;
    folder f;
    day_open(&f, ONE);
    look(&f, "'size': '8x10in', 'border': '1/2in'",
         "order,image,template,copies,accept\n1,plain.png,t,1,untagged\n");
    tw_report_start(&f.report, f.arena);
    tw_prints prints = day_prints(&f);
    prints.images[0].format = TW_TIFF;
    prints.images[0].alpha = true;
    prints.images[0].tiff.extra = 1; /* the alpha itself */
    assert_ok(tw_prints_check(f.arena, f.job, &prints, &f.report, &f.error), f.error);
    assert_names(&f, "");
    prints.images[0].pages = 3;
    assert_ok(tw_prints_check(f.arena, f.job, &prints, &f.report, &f.error), f.error);
    assert_names(&f, "several-pages");
    assert_warning(&f, "image \"plain.png\" holds 3 pictures; the first is printed");
    tw_report_start(&f.report, f.arena);
    prints.images[0].pages = 1;
    prints.images[0].tiff.extra = 3;
    assert_ok(tw_prints_check(f.arena, f.job, &prints, &f.report, &f.error), f.error);
    assert_names(&f, "extra-channels");
    assert_warning(&f, "has 2 more channels than its colours need; they are not printed");
    folder_close(&f);
}

/* A 4:5 image (0.8) filling w x h: what is kept is the ratio of the two shapes. 17x25: 0.68 of
 * 0.8 is 0.85 exactly, 15 % gone; a hair narrower is over. */
static void crops(void **state) {
    (void)state;
    static const rule rules[] = {
        {"'size': '70x100mm', 'fit': 'fill', 'border': '1cm'", "crops-much"}, /* 50x80: 0.78125 */
        {"'size': '88x120mm', 'fit': 'fill', 'border': '1cm'", ""},           /* 68x100 */
        {"'size': '87.9x120mm', 'fit': 'fill', 'border': '1cm'", "crops-much"},
        {"'size': '120x120mm', 'fit': 'fill', 'border': '1cm'", "crops-much"}, /* 20 % */
    };
    TRY(rules);
}

static void accepting(void **state) {
    (void)state;
    folder f;
    day_open(&f, ONE);
    look(&f, "'size': '8x10in', 'border': '1/8in', 'lip': '1/4in'",
         "order,image,template,accept\n1,a.png,t,thin-border lip-over-border\n"
         "2,a.png,t,thin-border border-inside-margin lip-over-boarder\n");
    /* the first line keeps one finding; the second two, for its third name is misspelt */
    assert_names(&f, "border-inside-margin accept-unknown lip-over-border");
    const tw_error *unknown = find_message(&f.report.warnings, "orders.csv:3: accept names");
    assert_non_null(unknown);
    assert_says(*unknown, "\"lip-over-boarder\", which is no warning");
    assert_string_equal(unknown->hint, "nearest: \"lip-over-border\"");
    folder_close(&f);
}

static void doubled(void **state) {
    (void)state;
    folder f;
    day_open(&f, ONE);
    look(&f, "'size': '8x10in', 'border': '1/2in'",
         "order,image,template,title,accept\n1,a.png,t,Dune,\n2,a.png,t,Dune,\n1,b.png,t,Dune,\n"
         "1,a.png,t,Dune,\n1,a.png,t,Dusk,\n1,a.png,t,Dune,\n2,a.png,t,Dune,doubled-line\n");
    assert_names(&f, "doubled-line doubled-line");
    assert_warning(&f, "orders.csv:5: this line asks for the same as line 2: order \"1\", image "
                       "\"a.png\", template \"t\"");
    assert_warning(&f, "orders.csv:7: this line asks for the same as line 2");
    folder_close(&f);
}

/* These orders only ask which sizes are taken for each other; what the borders come to is not
 * looked at here. */
static void assert_near_misses(const folder *f, size_t count) {
    size_t seen = 0;
    for (size_t i = 0; i < f->report.warnings.count; i++)
        seen += strcmp(f->report.warnings.items[i].name, "near-miss-size") == 0;
    assert_int_equal(seen, count);
}

#define NEAR_TEMPLATES                                                                             \
    "'size': '10x10in', 'border': '1/2in'}, {'name': '5x7in', 'size': '5x7in', 'border': '1/2in'}" \
    ", {'name': '13x18cm', 'size': '13x18cm', 'border': '1cm'}"                                    \
    ", {'name': '30x40cm', 'size': '40x30cm', 'border': '2cm'}"                                    \
    ", {'name': '12x16', 'size': '12x16in', 'border': '1in'}"                                      \
    ", {'name': '8x10', 'size': '8x10in', 'border': '1/2in'}"                                      \
    ", {'name': '8x12', 'size': '8x12in', 'border': '3/8in'"

/* Real near misses (facts: 13x18 cm is 130x180 mm, 5x7 in 127x177.8; 30x40 cm is not 304.8 x
 * 406.4); 8x10 and 8x12 are two sizes nobody takes for each other. */
static void near_sizes(void **state) {
    (void)state;
    folder f;
    day_open(&f, ONE);
    look(&f, NEAR_TEMPLATES,
         "order,image,template,accept\n1,a.png,8x10,\n1,a.png,8x12,"
         "uneven-border\n1,a.png,5x7in,\n2,a.png,12x16,\n");
    assert_near_misses(&f, 0);
    look(&f, NEAR_TEMPLATES,
         "order,image,template\n1,a.png,5x7in\n2,a.png,5x7in\n3,a.png,13x18cm\n4,a.png,12x16\n"
         "5,a.png,30x40cm\n6,a.png,30x40cm\n");
    assert_near_misses(&f, 2);
    assert_warning(&f, "orders.csv:4: template \"13x18cm\", 5.118 in (130 mm) x 7.087 in (180 mm), "
                       "is ordered here and \"5x7in\", 5 in (127 mm) x 7 in (177.8 mm), on line 2");
    assert_warning(&f, "orders.csv:5: template \"12x16\", 12 in (304.8 mm) x 16 in (406.4 mm), is");
    look(&f, NEAR_TEMPLATES,
         "order,image,template,accept\n1,a.png,5x7in,\n2,a.png,5x7in,"
         "near-miss-size\n3,a.png,13x18cm,\n");
    assert_near_misses(&f, 0);
    look(&f, NEAR_TEMPLATES,
         "order,image,template,accept\n1,a.png,5x7in,\n3,a.png,13x18cm,near-miss-size\n");
    assert_near_misses(&f, 0);
    /* any line of either template may say so */
    look(&f, NEAR_TEMPLATES,
         "order,image,template,accept\n1,a.png,5x7in,\n3,a.png,13x18cm,\n"
         "4,a.png,13x18cm,near-miss-size\n");
    assert_near_misses(&f, 0);
    folder_close(&f);
}

/* A template whose name says another size of the other system than it has. */
static void names_that_mislead(void **state) {
    (void)state;
    folder f;
    day_open(&f, ONE);
    look(&f, "'size': '10x10in'}, {'name': '13x18', 'size': '5x7in', 'border': '1/2in'",
         "order,image,template\n1,a.png,13x18\n2,a.png,13x18\n");
    assert_near_misses(&f, 1);
    assert_warning(&f, "orders.csv:2: template \"13x18\" makes prints of 5 in (127 mm) x 7 in "
                       "(177.8 mm); its name says 5.118 in (130 mm) x 7.087 in (180 mm)");
    look(&f, "'size': '10x10in'}, {'name': '13x18', 'size': '5x7in', 'border': '1/2in'",
         "order,image,template,accept\n1,a.png,13x18,\n2,a.png,13x18,near-miss-size\n");
    assert_near_misses(&f, 0);
    look(&f, "'size': '10x10in'}, {'name': '18x13-cm', 'size': '13x18cm', 'border': '1/2in'",
         "order,image,template\n1,a.png,18x13-cm\n");
    assert_near_misses(&f, 0);
    folder_close(&f);
}

/* What `accept` may hold is what can be warned of, sorted, each once. */
static void acceptable(void **state) {
    (void)state;
    const char *const *names = tw_acceptable_warnings();
    for (size_t i = 1; names[i] != NULL; i++)
        assert_true(strcmp(names[i - 1], names[i]) < 0);
    assert_non_null(names[18]);
    assert_null(names[19]);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(borders),
        cmocka_unit_test(border_words),
        cmocka_unit_test(margins_by_way),
        cmocka_unit_test(signatures),
        cmocka_unit_test(signature_and_window),
        cmocka_unit_test(resolution),
        cmocka_unit_test(tags),
        cmocka_unit_test(tiff_leftovers),
        cmocka_unit_test(crops),
        cmocka_unit_test(accepting),
        cmocka_unit_test(doubled),
        cmocka_unit_test(near_sizes),
        cmocka_unit_test(names_that_mislead),
        cmocka_unit_test(acceptable),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
