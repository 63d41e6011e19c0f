/* Papers: every key, each wrong kind and range, what belongs to rolls and what to sheets. */
#include "job/folder.h"

#define ROLL                                                                                       \
    "'trimwell': 1, 'name': 'p', 'kind': 'roll', 'width': '24in', 'length': '50ft', 'margins': "   \
    "{'side': '1/4in', 'lead': '1/8in', 'tail': '1/8in'}"
static tw_paper paper;

static tw_code load(folder *f, const char *text) {
    folder_again(f);
    folder_json(f, "p.json", text);
    memset(&f->error, 0, sizeof f->error);
    return tw_paper_load(f->arena, f->path, "p.json", &f->report, &paper, &f->error);
}

static tw_code load_roll(folder *f, const char *more) {
    char text[4000];
    snprintf(text, sizeof text, "{%s%s%s}", ROLL, more[0] == '\0' ? "" : ", ", more);
    return load(f, text);
}

static void test_defaults(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_ok(load_roll(&f, ""), f.error);
    assert_clean(&f);
    assert_string_equal(paper.name, "p");
    assert_string_equal(paper.place.file, "p.json");
    assert_int_equal(paper.place.line, 1);
    assert_int_equal(paper.kind, TW_ROLL);
    assert_int_equal(paper.width, 609600000);
    assert_int_equal(paper.length, 15240000000);
    assert_int_equal(paper.side, 6350000);
    assert_int_equal(paper.lead, 3175000);
    assert_int_equal(paper.tail, 3175000);
    assert_int_equal(paper.lost_each_sheet + paper.lost_each_load + paper.lost_core_end, 0);
    assert_int_equal(paper.edge_trim, 0);
    assert_int_equal(paper.cutter, TW_CUTTER_PRINTER);
    assert_int_equal(paper.shortest_sheet, 0);
    assert_int_equal(paper.longest_sheet, 1524000000); /* 60 in */
    assert_false(paper.has_price);
    assert_null(paper.profile);
    assert_null(paper.media);
    assert_int_equal(paper.resolution.warn_below, 0);
    assert_int_equal(paper.resolution.refuse_below, 0);
    assert_int_equal(paper.turn, TW_UNSET);
    folder_close(&f);
}

static void test_every_key(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    folder_profile(&f, "satin.icc");
    assert_ok(load_roll(&f, "'lost': {'each_sheet': '2mm', 'each_load': '3in', 'core_end': "
                            "'12in'}, 'edge_trim': '1/8in', 'cutter': 'hand', 'shortest_sheet': "
                            "'8in', 'longest_sheet': '100in', 'price': '129.00 EUR', 'profile': "
                            "'satin.icc', 'weight': '310gsm', 'finish': 'satin', 'setup': "
                            "{'media': 'm', 'quality': 'q', 'black': 'photo'}, 'dry': '2h', "
                            "'cure': '24h', 'resolution': {'warn_below': 200, 'refuse_below': "
                            "80}, 'turn': false"),
              f.error);
    assert_clean(&f);
    assert_int_equal(paper.lost_each_sheet, 2 * TW_MM);
    assert_int_equal(paper.lost_each_load, 3 * TW_IN);
    assert_int_equal(paper.lost_core_end, 12 * TW_IN);
    assert_int_equal(paper.edge_trim, TW_IN / 8);
    assert_int_equal(paper.cutter, TW_CUTTER_HAND);
    assert_int_equal(paper.shortest_sheet, 8 * TW_IN);
    assert_int_equal(paper.longest_sheet, 100 * TW_IN);
    assert_true(paper.has_price);
    assert_int_equal(paper.price.minor, 12900);
    assert_string_equal(paper.price.currency, "EUR");
    assert_string_equal(paper.profile, folder_at(&f, "satin.icc"));
    assert_string_equal(paper.weight, "310gsm");
    assert_string_equal(paper.finish, "satin");
    assert_string_equal(paper.media, "m");
    assert_string_equal(paper.quality, "q");
    assert_string_equal(paper.black, "photo");
    assert_int_equal(paper.dry, 7200);
    assert_int_equal(paper.cure, 86400);
    assert_int_equal(paper.resolution.warn_below, 200);
    assert_int_equal(paper.resolution.refuse_below, 80);
    assert_int_equal(paper.turn, TW_NO);
    folder_close(&f);
}

static void test_sheets(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_ok(load(&f, "{'trimwell': 1, 'name': 'a3plus', 'kind': 'sheets', 'width': '329mm', "
                       "'length': '483mm', 'count': 25, 'margins': {'side': '3mm', 'lead': "
                       "'3mm', 'tail': '12mm'}, 'lost': {'each_sheet': '0in'}}"),
              f.error);
    assert_clean(&f);
    assert_int_equal(paper.kind, TW_SHEETS);
    assert_int_equal(paper.width, 329 * TW_MM);
    assert_int_equal(paper.length, 483 * TW_MM);
    assert_int_equal(paper.count, 25);
    folder_close(&f);
}

static void test_keys_of_the_other_kind(void **state) {
    static const char *const rolls[] = {"'cutter': 'hand'", "'shortest_sheet': '1in'",
                                        "'longest_sheet': '50in'", "'edge_trim': '0in'",
                                        "'lost': {'core_end': '1in'}"};
    char text[1000];
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof rolls / sizeof rolls[0]; i++) {
        snprintf(text, sizeof text,
                 "{'trimwell': 1, 'name': 'a', 'kind': 'sheets', 'width': '13in', 'length': "
                 "'19in', 'count': 25, 'margins': {'side': '3mm', 'lead': '3mm', 'tail': "
                 "'3mm'}, %s}",
                 rolls[i]);
        assert_int_equal(load(&f, text), TW_INPUT);
        assert_error(&f, "belongs to papers of kind \"roll\"; this one is \"sheets\"");
        assert_int_equal(f.report.errors.count, 1);
    }
    assert_int_equal(load_roll(&f, "'count': 3"), TW_INPUT);
    assert_error(&f, "\"count\" belongs to papers of kind \"sheets\"");
    assert_int_equal(
        load(&f, "{'trimwell': 1, 'name': 'a', 'kind': 'sheets', 'width': '13in', 'length': "
                 "'19in', 'margins': {'side': '3mm', 'lead': '3mm', 'tail': '3mm'}}"),
        TW_INPUT);
    assert_error(&f, "\"count\" is missing; a paper of kind \"sheets\" must have it");
    folder_close(&f);
}

static void test_one_thing_wrong(void **state) {
    static const bad_case cases[] = {
        {"'lost': '3in'", "expected an object"},
        {"'lost': {'each_sheet': 3}", "\"each_sheet\": 3 has no unit"},
        {"'lost': {'each_load': '201in'}", "\"each_load\" is 201 in"},
        {"'lost': {'core': '1in'}", "\"core\" is not a key of lost"},
        {"'edge_trim': '12in'", "\"edge_trim\" is 12 in"},
        {"'edge_trim': 0", "\"edge_trim\": 0 has no unit"},
        {"'cutter': 'laser'", "\"cutter\": expected \"printer\" or \"hand\""},
        {"'shortest_sheet': '201in'", "\"shortest_sheet\" is 201 in"},
        {"'longest_sheet': '5081mm'", "(5081 mm); it may be from"},
        {"'shortest_sheet': '20in', 'longest_sheet': '19in'", "from 20 in (508 mm) to 200 in"},
        {"'price': 129", "\"price\": expected a text"},
        {"'price': '129'", "\"price\": "},
        {"'price': '129.001 EUR'", "\"price\": "},
        {"'profile': 'none.icc'", "profile \"none.icc\" is not there"},
        {"'profile': '.'", "profile \".\" is not there"},
        {"'profile': 'a\\u0001'", "holds a control character"},
        {"'weight': 310", "\"weight\": expected a text"},
        {"'finish': ''", "\"finish\": \"\" is empty"},
        {"'setup': []", "expected an object"},
        {"'setup': {'media': 3}", "\"media\": expected a text"},
        {"'setup': {'paper': 'x'}", "\"paper\" is not a key of setup"},
        {"'dry': 2", "\"dry\": expected a text"},
        {"'dry': '2 fortnights'", "\"dry\": "},
        {"'cure': 'long'", "\"cure\": "},
        {"'resolution': 300", "expected an object"},
        {"'resolution': {'warn_below': 100, 'refuse_below': 101}", "\"refuse_below\" is 101"},
        {"'turn': 'auto'", "\"turn\": expected true or false"},
        {"'margin': {}", "\"margin\" is not a key of paper (nearest: \"margins\")"},
    };
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        assert_int_equal(load_roll(&f, cases[i].text), TW_INPUT);
        assert_error(&f, cases[i].says);
        assert_int_equal(f.report.errors.count, 1);
        assert_string_equal(f.report.errors.items[0].message, f.error.message);
        assert_string_equal(f.report.errors.items[0].file, "p.json");
    }
    folder_close(&f);
}

/* Whole papers, for the keys every paper has. */
static void test_wrong_basics(void **state) {
    static const bad_case cases[] = {
        {"{'trimwell': 1, 'name': '', 'kind': 'roll', 'width': '24in', 'length': '50ft', "
         "'margins': {'side': '0in', 'lead': '0in', 'tail': '0in'}}",
         "\"name\": \"\" is empty"},
        {"{'trimwell': 1, 'name': 'p', 'kind': 'reel', 'width': '24in', 'length': '50ft', "
         "'margins': {'side': '0in', 'lead': '0in', 'tail': '0in'}}",
         "\"kind\": expected \"roll\" or \"sheets\", found \"reel\""},
        {"{'trimwell': 1, 'name': 'p', 'kind': 'roll', 'width': '9mm', 'length': '50ft', "
         "'margins': {'side': '0in', 'lead': '0in', 'tail': '0in'}}",
         "\"width\" is 0.354 in (9 mm); it may be from"},
        {"{'trimwell': 1, 'name': 'p', 'kind': 'roll', 'width': '5081mm', 'length': '50ft', "
         "'margins': {'side': '0in', 'lead': '0in', 'tail': '0in'}}",
         "(5081 mm); it may be from"},
        {"{'trimwell': 1, 'name': 'p', 'kind': 'roll', 'width': '24in', 'length': '0ft', "
         "'margins': {'side': '0in', 'lead': '0in', 'tail': '0in'}}",
         "\"length\" is 0 in (0 mm); it may be from over 0 in (0 mm) to"},
        {"{'trimwell': 1, 'name': 'p', 'kind': 'roll', 'width': '24in', 'length': '50ft', "
         "'margins': {'side': '12in', 'lead': '0in', 'tail': '0in'}}",
         "\"side\" is 12 in (304.8 mm); it may be from"},
        {"{'trimwell': 1, 'name': 'p', 'kind': 'roll', 'width': '24in', 'length': '50ft', "
         "'margins': {'side': '0in', 'lead': '12in', 'tail': '0in'}}",
         "\"lead\" is 12 in"},
        {"{'trimwell': 1, 'name': 'p', 'kind': 'roll', 'width': '24in', 'length': '50ft', "
         "'margins': {'side': '0in', 'lead': '0in'}}",
         "\"tail\" is missing; margins must have it"},
        {"{'trimwell': 1, 'name': 'p', 'kind': 'roll', 'width': '24in', 'length': '50ft', "
         "'margins': '1/4in'}",
         "expected an object"},
        {"{'trimwell': '1', 'name': 'p', 'kind': 'roll', 'width': '24in', 'length': '50ft', "
         "'margins': {'side': '0in', 'lead': '0in', 'tail': '0in'}}",
         "expected a number"},
        {"{'trimwell': 1, 'name': 'p', 'kind': 'sheets', 'width': '24in', 'length': '8in', "
         "'count': 0, 'margins': {'side': '0in', 'lead': '0in', 'tail': '0in'}}",
         "\"count\": 0 is out of range: 1 to 100000"},
        {"{'trimwell': 1, 'name': 'p', 'kind': 'sheets', 'width': '24in', 'length': '8in', "
         "'count': 9, 'margins': {'side': '0in', 'lead': '0in', 'tail': '4in'}}",
         "\"tail\" is 4 in"},
        {"{'trimwell': 1, 'name': 'p', 'kind': 'sheets', 'width': '24in', 'length': '201in', "
         "'count': 9, 'margins': {'side': '0in', 'lead': '0in', 'tail': '0in'}}",
         "\"length\" is 201 in"},
        {"[]", "expected an object"},
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

static void test_missing_keys_all_at_once(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_int_equal(load(&f, "{'wdth': '24in'}"), TW_INPUT);
    assert_int_equal(f.report.errors.count, 7);
    assert_error(&f, "\"margins\" is missing; paper must have it");
    assert_error(&f, "\"wdth\" is not a key of paper (nearest: \"width\")");
    folder_close(&f);
}

/* A width that is not good is told once; what is held against it is not told as well. */
static void test_no_echo_of_a_bad_width(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_int_equal(load(&f, "{'trimwell': 1, 'name': 'p', 'kind': 'roll', 'width': 24, "
                              "'length': '50ft', 'margins': {'side': '1in', 'lead': '1in', "
                              "'tail': '1in'}, 'edge_trim': '1/8in'}"),
                     TW_INPUT);
    assert_int_equal(f.report.errors.count, 1);
    assert_int_equal(load(&f, "{'trimwell': 1, 'name': 'p', 'kind': 'sheets', 'width': '24in', "
                              "'length': 5, 'count': 1, 'margins': {'side': '1in', 'lead': "
                              "'1in', 'tail': '1in'}}"),
                     TW_INPUT);
    assert_int_equal(f.report.errors.count, 1);
    folder_close(&f);
}

static void test_edges_of_ranges_are_fine(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_ok(load(&f, "{'trimwell': 1, 'name': 'p', 'kind': 'roll', 'width': '10mm', 'length': "
                       "'10000m', 'margins': {'side': '4.999999mm', 'lead': '4.999999mm', "
                       "'tail': '0mm'}, 'edge_trim': '4.999999mm', 'shortest_sheet': '200in', "
                       "'longest_sheet': '200in'}"),
              f.error);
    assert_clean(&f);
    assert_ok(load(&f, "{'trimwell': 1, 'name': 'p', 'kind': 'sheets', 'width': '200in', "
                       "'length': '10mm', 'count': 100000, 'margins': {'side': '0in', 'lead': "
                       "'0in', 'tail': '4.999999mm'}}"),
              f.error);
    assert_clean(&f);
    assert_ok(load_roll(&f, "'shortest_sheet': '70in'"), f.error);
    assert_int_equal(paper.longest_sheet, 70 * TW_IN); /* the default gives way */
    folder_close(&f);
}

/* A shipped name, a path, and what is neither. */
static void test_by_name(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_ok(tw_paper_load(f.arena, f.path, "satin-24in", &f.report, &paper, &f.error), f.error);
    assert_string_equal(paper.place.file, "satin-24in.json");
    assert_int_equal(tw_paper_load(f.arena, f.path, "satin-24", &f.report, &paper, &f.error),
                     TW_INPUT);
    assert_error(&f, "\"satin-24\" is not a shipped paper (nearest: \"satin-24in\"");
    assert_int_equal(tw_paper_load(f.arena, f.path, "frames-inch", &f.report, &paper, &f.error),
                     TW_INPUT);
    assert_error(&f, "\"frames-inch\" is not a shipped paper");
    assert_int_equal(tw_paper_load(f.arena, f.path, "x/satin-24in", &f.report, &paper, &f.error),
                     TW_INPUT);
    assert_error(&f, "x/satin-24in: there is no such file");
    mkdir(folder_at(&f, "d.json"), 0777);
    assert_int_equal(tw_paper_load(f.arena, f.path, "d.json", &f.report, &paper, &f.error),
                     TW_INPUT);
    assert_error(&f, "d.json: not a regular file but a folder");
    assert_int_equal(f.report.errors.count, 4);
    folder_close(&f);
}

/* What is left on other rolls; each wrong length is told by itself and left out. */
static void test_further_rolls(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_ok(load_roll(&f, "'further_rolls': ['31ft', '8ft']"), f.error);
    assert_clean(&f);
    assert_int_equal(paper.further_count, 2);
    assert_int_equal(paper.further_rolls[0], 31 * TW_FT);
    assert_int_equal(paper.further_rolls[1], 8 * TW_FT);
    assert_ok(load_roll(&f, "'further_rolls': []"), f.error);
    assert_int_equal(paper.further_count, 0);
    assert_int_equal(load_roll(&f, "'further_rolls': ['0ft', '31', 8]"), TW_INPUT);
    assert_int_equal(f.report.errors.count, 3);
    assert_error(&f, "\"further_rolls\" is 0 in");
    assert_error(&f, "further_rolls");
    assert_int_equal(load_roll(&f, "'further_rolls': '31ft'"), TW_INPUT);
    assert_error(&f, "must be a list of at most 20 lengths");
    folder_close(&f);
}

/* Kept pieces: no wider than the paper, at most 50 in all. */
static void test_offcuts(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_ok(load_roll(&f, "'offcuts': [{'width': '24in', 'length': '18in', 'count': 2}, "
                            "{'width': '8in', 'length': '10in'}]"),
              f.error);
    assert_clean(&f);
    assert_int_equal(paper.offcut_count, 2);
    assert_int_equal(paper.offcuts[0].width, 24 * TW_IN);
    assert_int_equal(paper.offcuts[0].length, 18 * TW_IN);
    assert_int_equal(paper.offcuts[0].count, 2);
    assert_int_equal(paper.offcuts[1].count, 1);
    assert_int_equal(load_roll(&f, "'offcuts': [{'width': '25in', 'length': '18in'}]"), TW_INPUT);
    assert_error(&f, "\"width\" is 25 in");
    assert_int_equal(load_roll(&f, "'offcuts': [{'width': '20in'}, 8]"), TW_INPUT);
    assert_error(&f, "\"length\" is missing");
    assert_int_equal(f.report.errors.count, 2);
    assert_int_equal(load_roll(&f, "'offcuts': [{'width': '8in', 'length': '9in', 'count': 50}, "
                                   "{'width': '8in', 'length': '10in'}]"),
                     TW_INPUT);
    assert_error(&f, "there are 51 offcuts; there may be 50");
    assert_int_equal(load_roll(&f, "'offcuts': 3"), TW_INPUT);
    assert_error(&f, "must be a list of at most 50 rectangles");
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_defaults),
        cmocka_unit_test(test_every_key),
        cmocka_unit_test(test_sheets),
        cmocka_unit_test(test_keys_of_the_other_kind),
        cmocka_unit_test(test_one_thing_wrong),
        cmocka_unit_test(test_wrong_basics),
        cmocka_unit_test(test_missing_keys_all_at_once),
        cmocka_unit_test(test_no_echo_of_a_bad_width),
        cmocka_unit_test(test_edges_of_ranges_are_fine),
        cmocka_unit_test(test_by_name),
        cmocka_unit_test(test_further_rolls),
        cmocka_unit_test(test_offcuts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
