/* Templates: every key, each wrong kind and range, two of one name, broken ones among good. */
#include "job/folder.h"

static tw_template *items;
static size_t count;

static tw_code load(folder *f, const char *text) {
    folder_again(f);
    folder_json(f, "t.json", text);
    memset(&f->error, 0, sizeof f->error);
    return tw_templates_load(f->arena, f->path, "t.json", &f->report, &items, &count, &f->error);
}

/* One template of these keys. */
static tw_code load_one(folder *f, const char *keys) {
    char text[4000];
    snprintf(text, sizeof text, "{'trimwell': 1, 'templates': [\n{'name': 't', %s}]}", keys);
    return load(f, text);
}

static void test_defaults(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_ok(load_one(&f, "'size': '8x10in'"), f.error);
    assert_clean(&f);
    assert_int_equal(count, 1);
    const tw_template *t = &items[0];
    assert_string_equal(t->name, "t");
    assert_string_equal(t->place.file, "t.json");
    assert_int_equal(t->place.line, 2);
    assert_string_equal(t->place.pointer, "/templates/0");
    assert_false(t->by_picture);
    assert_int_equal(t->size.width, 203200000);
    assert_int_equal(t->size.height, 254000000);
    for (int i = 0; i < 4; i++)
        assert_int_equal(t->border.side[i], 0);
    assert_int_equal(t->fit, TW_FIT_INSIDE);
    assert_int_equal(t->focus_x, 500000);
    assert_int_equal(t->focus_y, 500000);
    assert_false(t->has_bleed);
    assert_true(t->turn_auto);
    assert_false(t->lie_upright);
    assert_int_equal(t->lip, 0);
    assert_int_equal(t->signature, TW_NO_CORNER);
    assert_int_equal(t->window, TW_NO_WINDOW);
    assert_false(t->keyline);
    folder_close(&f);
}

static void test_every_key(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_ok(load_one(&f, "'size': {'width': '8in', 'height': '10in'}, 'border': {'top': "
                           "'1/2in', 'right': '5/8in', 'bottom': '1in', 'left': '3/4in'}, "
                           "'fit': 'fill', 'focus': [0.4, 1], 'bleed': '1/8in', 'turn': "
                           "'never', 'lie': 'upright', 'lip': '1/4in', 'signature': "
                           "{'corner': 'top-right', 'width': '1 1/2in', 'height': '1/4in', "
                           "'inset': '3/8in'}, 'window': {'reveal': '1/4in'}, 'keyline': "
                           "true"),
              f.error);
    assert_clean(&f);
    const tw_template *t = &items[0];
    assert_int_equal(t->border.side[TW_TOP], TW_IN / 2);
    assert_int_equal(t->border.side[TW_RIGHT], TW_IN * 5 / 8);
    assert_int_equal(t->border.side[TW_BOTTOM], TW_IN);
    assert_int_equal(t->border.side[TW_LEFT], TW_IN * 3 / 4);
    assert_int_equal(t->fit, TW_FIT_FILL);
    assert_int_equal(t->focus_x, 400000);
    assert_int_equal(t->focus_y, 1000000);
    assert_true(t->has_bleed);
    assert_int_equal(t->bleed, TW_IN / 8);
    assert_false(t->turn_auto);
    assert_true(t->lie_upright);
    assert_int_equal(t->lip, TW_IN / 4);
    assert_int_equal(t->signature, TW_TOP_RIGHT);
    assert_int_equal(t->signature_width, TW_IN * 3 / 2);
    assert_int_equal(t->signature_height, TW_IN / 4);
    assert_int_equal(t->signature_inset, TW_IN * 3 / 8);
    assert_int_equal(t->window, TW_WINDOW_REVEAL);
    assert_int_equal(t->window_by, TW_IN / 4);
    assert_true(t->keyline);
    assert_ok(load_one(&f, "'picture': '12in', 'border': '1in', 'window': {'overlap': '3mm'}, "
                           "'bleed': '0in'"),
              f.error);
    t = &items[0];
    assert_true(t->by_picture);
    assert_int_equal(t->picture, 12 * TW_IN);
    for (int i = 0; i < 4; i++)
        assert_int_equal(t->border.side[i], TW_IN);
    assert_int_equal(t->window, TW_WINDOW_OVERLAP);
    assert_true(t->has_bleed);
    folder_close(&f);
}

static void test_corners(void **state) {
    static const char *const names[] = {"top-left", "top-right", "bottom-right", "bottom-left"};
    static const tw_corner corners[] = {TW_TOP_LEFT, TW_TOP_RIGHT, TW_BOTTOM_RIGHT, TW_BOTTOM_LEFT};
    char text[300];
    folder f;
    (void)state;
    folder_open(&f);
    for (int i = 0; i < 4; i++) {
        snprintf(text, sizeof text,
                 "'size': 'A4', 'signature': {'corner': '%s', 'width': '2cm', 'height': '5mm', "
                 "'inset': '1cm'}",
                 names[i]);
        assert_ok(load_one(&f, text), f.error);
        assert_int_equal(items[0].signature, corners[i]);
    }
    folder_close(&f);
}

static const bad_case one_wrong[] = {
    {"'border': '1in'", "neither \"size\" nor \"picture\"; give exactly one"},
    {"'size': 'A4', 'picture': '8in'", "both \"size\" and \"picture\"; give exactly one"},
    {"'size': 8", "\"size\": expected a size"},
    {"'size': '8x10'", "t.json:2"},
    {"'size': {'width': '8in'}", "\"height\" is missing"},
    {"'size': '201x10in'",
     "\"size\" is 201 in (5105.4 mm) by 10 in (254 mm); a side may be from 1 mm"},
    {"'size': '0.5x10mm'", "(0.5 mm) by 0.394 in (10 mm); a side may be from 1 mm to 200 in"},
    {"'picture': 12", "\"picture\": 12 has no unit"},
    {"'picture': '201in'", "\"picture\" is 201 in"},
    {"'size': 'A4', 'border': 1", "\"border\": 1 has no unit"},
    {"'size': 'A4', 'border': '1001mm'", "\"border\" is "},
    {"'size': 'A4', 'border': {'top': '1in', 'right': '1in', 'bottom': '1in'}",
     "\"left\" is missing; border must have it"},
    {"'size': 'A4', 'border': {'top': '1in', 'right': '1in', 'bottom': '1in', 'left': 1}",
     "\"left\": 1 has no unit"},
    {"'size': '8x10in', 'border': '4in'", "leaves no room for a picture"},
    {"'size': '8x10in', 'border': {'top': '5in', 'right': '0in', 'bottom': '5in', 'left': "
     "'0in'}",
     "leaves no room for a picture"},
    {"'size': 'A4', 'fit': 'crop'", "\"fit\": expected \"inside\" or \"fill\""},
    {"'size': 'A4', 'focus': [0.5, 0.5]", "it needs \"fit\": \"fill\""},
    {"'size': 'A4', 'fit': 'fill', 'focus': 0.5", "\"focus\" is two numbers from 0 to 1"},
    {"'size': 'A4', 'fit': 'fill', 'focus': [0.5]", "\"focus\" is two numbers"},
    {"'size': 'A4', 'fit': 'fill', 'focus': [0.5, 1.01]", "1.01; it may be from 0 to 1"},
    {"'size': 'A4', 'fit': 'fill', 'focus': [-0.1, 1]", "-0.1; it may be from 0 to 1"},
    {"'size': 'A4', 'fit': 'fill', 'focus': ['0', 1]", "expected a number"},
    {"'size': 'A4', 'bleed': '3in'", "\"bleed\" is 3 in"},
    {"'size': 'A4', 'bleed': 3", "\"bleed\": 3 has no unit"},
    {"'size': 'A4', 'turn': true", "\"turn\": expected \"auto\" or \"never\""},
    {"'size': 'A4', 'lie': 'flat'", "\"lie\": expected \"either\" or \"upright\""},
    {"'size': 'A4', 'lip': '3in'", "\"lip\" is 3 in"},
    {"'size': 'A4', 'keyline': 1", "\"keyline\": expected true or false"},
    {"'size': 'A4', 'signature': true", "expected an object"},
    {"'size': 'A4', 'signature': {'corner': 'left', 'width': '1in', 'height': '1in', "
     "'inset': '1in'}",
     "\"corner\": expected \"top-left\""},
    {"'size': 'A4', 'signature': {'width': '1in', 'height': '1in', 'inset': '1in'}",
     "\"corner\" is missing; signature must have it"},
    {"'size': '4x6in', 'signature': {'corner': 'top-left', 'width': '5in', 'height': "
     "'1/4in', 'inset': '0in'}",
     "\"width\" is 5 in (127 mm); it may be from"},
    {"'size': '4x6in', 'signature': {'corner': 'top-left', 'width': '3in', 'height': "
     "'1/4in', 'inset': '1 1/2in'}",
     "reaches past the print"},
    {"'size': 'A4', 'window': '1in'", "expected an object"},
    {"'size': 'A4', 'window': {}", "a window has neither \"overlap\" nor \"reveal\""},
    {"'size': 'A4', 'window': {'overlap': '1mm', 'reveal': '1mm'}",
     "a window has both \"overlap\" and \"reveal\""},
    {"'size': 'A4', 'window': {'overlap': '5in'}", "\"overlap\" is 5 in"},
    {"'size': 'A4', 'window': {'inset': '5mm'}, 'window2': 1", "\"window2\" is not a key"},
    {"'size': 'A4', 'boarder': '1in'", "\"boarder\" is not a key of template (nearest: "},
    {"'size': 'A4', 'signature': {'corner': 'top-left', 'width': '1in', 'height': '1in', "
     "'inset': '1in', 'colour': 1}",
     "\"colour\" is not a key of signature"},
};

static void test_one_thing_wrong(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof one_wrong / sizeof one_wrong[0]; i++) {
        assert_int_equal(load_one(&f, one_wrong[i].text), TW_INPUT);
        assert_error(&f, one_wrong[i].says);
        assert_int_equal(count, 0);
        assert_int_equal(f.report.errors.items[0].line, 2);
    }
    folder_close(&f);
}

static void test_wrong_sets(void **state) {
    static const bad_case cases[] = {
        {"{'trimwell': 1}", "\"templates\" is missing; template set must have it"},
        {"{'trimwell': 1, 'templates': []}", "must be a list of at least one template"},
        {"{'trimwell': 1, 'templates': {}}", "must be a list of at least one template"},
        {"{'trimwell': 1, 'templates': ['8x10']}", "expected an object"},
        {"{'trimwell': 1, 'templates': [{'size': 'A4'}]}", "\"name\" is missing"},
        {"{'trimwell': 1, 'templates': [{'name': 'a', 'size': 'A4'}], 'template': 1}",
         "\"template\" is not a key of template set (nearest: \"templates\")"},
        {"{'trimwell': 9, 'templates': [{'name': 'a', 'size': 'A4'}]}", "reads version 1"},
    };
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        assert_int_equal(load(&f, cases[i].text), TW_INPUT);
        assert_error(&f, cases[i].says);
        assert_int_equal(f.report.errors.count, 1);
    }
    folder_close(&f);
}

static void test_several_problems_and_good_ones_stay(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_int_equal(load(&f, "{'trimwell': 1, 'templates': [\n{'name': 'a', 'size': 'A4'},\n"
                              "{'name': 'b', 'size': 7, 'lip': 1, 'fit': 2},\n"
                              "{'name': 'a', 'size': 'A3'},\n{'name': 'c', 'size': 'A3'}]}"),
                     TW_INPUT);
    assert_int_equal(f.report.errors.count, 4);
    assert_error(&f, "t.json:4:1: template \"a\" is here and also at t.json:2");
    assert_int_equal(count, 2);
    assert_string_equal(items[1].name, "c");
    folder_close(&f);
}

static void test_too_many(void **state) {
    char *text = malloc(100000);
    size_t used;
    folder f;
    (void)state;
    folder_open(&f);
    assert_non_null(text);
    used = (size_t)sprintf(text, "{'trimwell': 1, 'templates': [");
    for (int i = 0; i < 1001; i++)
        used +=
            (size_t)sprintf(text + used, "%s{'name': 't%d', 'size': 'A4'}", i > 0 ? "," : "", i);
    strcpy(text + used, "]}");
    assert_int_equal(load(&f, text), TW_INPUT);
    assert_error(&f, "the job has 1001 templates; at most 1000 are allowed");
    free(text);
    folder_close(&f);
}

/* A size that is not good is told once; what is held against it is not told as well. */
static void test_no_echo_of_a_bad_size(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_int_equal(load_one(&f, "'size': '300x300in', 'border': '1in', 'signature': {'corner': "
                                  "'top-left', 'width': '1in', 'height': '1in', 'inset': '1in'}"),
                     TW_INPUT);
    assert_int_equal(f.report.errors.count, 1);
    folder_close(&f);
}

/* Exactly as much as there is room for. */
static void test_edges_of_ranges_are_fine(void **state) {
    static const char *const good[] = {
        "'size': '4x6in', 'signature': {'corner': 'top-left', 'width': '3in', 'height': '5in', "
        "'inset': '1in'}",
        "'size': '200x200in', 'border': {'top': '0in', 'right': '1000mm', 'bottom': '0in', "
        "'left': '0in'}, 'bleed': '2in', 'lip': '2in', 'window': {'reveal': '4in'}",
        "'size': '1x1mm'",
        "'picture': '1mm'",
        "'picture': '200in'",
        "'size': '8x10in', 'border': '3.999999in'",
    };
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        assert_ok(load_one(&f, good[i]), f.error);
        assert_clean(&f);
    }
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_defaults),
        cmocka_unit_test(test_every_key),
        cmocka_unit_test(test_corners),
        cmocka_unit_test(test_one_thing_wrong),
        cmocka_unit_test(test_wrong_sets),
        cmocka_unit_test(test_several_problems_and_good_ones_stay),
        cmocka_unit_test(test_too_many),
        cmocka_unit_test(test_no_echo_of_a_bad_size),
        cmocka_unit_test(test_edges_of_ranges_are_fine),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
