/* The job's own keys: each wrong kind, each range, what is known but not built, all in one run. */
#include "job/folder.h"

#define BASE                                                                                       \
    "'trimwell': 1, 'name': 'd', 'papers': ['satin-24in'], 'templates': ['frames-inch'], "         \
    "'orders': 'orders.csv'"

static void load_with(folder *f, const char *more) {
    char text[4000];
    folder_again(f);
    snprintf(text, sizeof text, "{%s%s%s}", BASE, more[0] == '\0' ? "" : ", ", more);
    folder_json(f, "job.json", text);
    folder_write(f, "orders.csv", "order,image,template\n1,a.png,8x10\n");
    folder_write(f, "a.png", "");
    assert_ok(folder_load(f), f->error);
}

static void each_says(folder *f, const bad_case *cases, size_t count) {
    for (size_t i = 0; i < count; i++) {
        load_with(f, cases[i].text);
        if (f->report.errors.count != 1)
            print_message("%s\n", cases[i].text);
        assert_error(f, cases[i].says);
        assert_int_equal(f->report.errors.count, 1);
        assert_int_equal(f->report.errors.items[0].line, 1);
        assert_string_equal(f->report.errors.items[0].file, folder_at(f, "job.json"));
    }
}

#define EACH_SAYS(f, cases) each_says(f, cases, sizeof cases / sizeof cases[0])

static void test_wrong_kinds(void **state) {
    static const bad_case cases[] = {
        {"'date': 20270306", "\"date\": expected a text"},
        {"'layout': []", "expected an object"},
        {"'layout': {'gutter': 5}", "\"gutter\": 5 has no unit (write \"5in\" or \"5mm\")"},
        {"'layout': {'gutter': 'wide'}", "\"gutter\": "},
        {"'layout': {'turn': 'yes'}", "\"turn\": expected true or false"},
        {"'layout': {'hand_cut': 0.5}", "\"hand_cut\": expected a text"},
        {"'layout': {'hand_cut': '0.50'}", "\"hand_cut\": "},
        {"'layout': {'stop_change': 'cheap'}", "\"stop_change\": "},
        {"'layout': {'sheet_lengths': '20in'}", "\"sheet_lengths\" must be a list of 1 to 32"},
        {"'layout': {'sheet_lengths': []}", "\"sheet_lengths\" must be a list of 1 to 32"},
        {"'layout': {'sheet_lengths': [20]}", "\"sheet_lengths\": 20 has no unit"},
        {"'layout': {'plan': 'fast'}", "\"plan\": expected \"price\", \"paper\", \"cuts\""},
        {"'marks': 'waste'", "expected an object"},
        {"'marks': {'place': 'edge'}", "\"place\": expected \"waste\", \"line\", \"strip\""},
        {"'marks': {'offset': true}", "\"offset\": expected"},
        {"'marks': {'length': null}", "\"length\": expected"},
        {"'marks': {'weight': 0.25}", "\"weight\": 0.25 has no unit"},
        {"'colour': {'mode': 'srgb'}", "\"mode\": expected \"auto\", \"tag\" or \"convert\""},
        {"'colour': {'mode': 1}", "\"mode\": expected \"auto\", \"tag\" or \"convert\""},
        {"'colour': {'intent': 7}", "\"intent\": expected a text"},
        {"'colour': {'intent': 'vivid'}", "\"intent\" is \"vivid\"; it may be auto, perceptual"},
        {"'colour': {'intent': 'absolute'}", "\"intent\" is \"absolute\", which is for proofs"},
        {"'colour': {'black_point': 'on'}", "\"black_point\": expected true or false"},
        {"'colour': {'assume': true}", "\"assume\": expected a text"},
        {"'colour': {'assume': 'none.icc'}", "profile \"none.icc\" is not there"},
        {"'colour': {'assume': 'orders.csv'}", "\"orders.csv\": the ICC profile is"},
        {"'colour': {'assume': {'cmyk': 'sRGB.icc'}}", "\"sRGB.icc\" is a profile for \"RGB \""},
        {"'colour': {'assume': {'blue': 'srgb'}}", "\"blue\" is not a key of assume"},
        {"'resolution': {'warn_below': 'low'}", "\"warn_below\" is \"low\"; write \"auto\""},
        {"'resolution': {'warn_below': true}", "\"warn_below\": expected a whole number"},
        {"'resolution': {'refuse_below': 'auto'}", "\"refuse_below\": expected a whole number"},
        {"'resolution': {'limit_ppi': 'auto'}", "\"limit_ppi\" is \"auto\"; write \"off\" or"},
        {"'sharpen': 'on'", "expected an object"},
        {"'sharpen': {'radius': '1mm'}", "\"amount\" is missing"},
        {"'sharpen': {'radius': 1, 'amount': 1}", "\"radius\": 1 has no unit"},
        {"'sharpen': {'radius': '1mm', 'amount': 'much'}", "\"amount\": expected a number"},
        {"'limits': {'decoded': 16}", "\"decoded\": expected a text"},
        {"'limits': {'decoded': 'much'}", "\"decoded\": \"much\" is no amount of bytes"},
        {"'trimmer': {'longest_cut': 26}", "\"longest_cut\": 26 has no unit"},
        {"'images': 'photos'", "\"images\" must be a list"},
        {"'images': []", "\"images\" must be a list"},
        {"'images': [7]", "\"images\": expected a text"},
        {"'fillers': 3", "\"fillers\": expected a text"},
        {"'fillers': {'columns': {}}", "\"file\" is missing"},
    };
    folder f;
    (void)state;
    folder_open(&f);
    EACH_SAYS(&f, cases);
    folder_close(&f);
}

static void test_ranges(void **state) {
    static const bad_case cases[] = {
        {"'date': '2027-02-29'", "not a day of the calendar"},
        {"'date': '2027-13-01'", "not a day of the calendar"},
        {"'date': '2027-01-00'", "not a day of the calendar"},
        {"'date': '2027-00-10'", "not a day of the calendar"},
        {"'date': '2027-04-31'", "not a day of the calendar"},
        {"'date': '1900-02-29'", "not a day of the calendar"},
        {"'date': '06.03.2027'", "not a day of the calendar"},
        {"'date': '2027-3-6'", "not a day of the calendar"},
        {"'date': ''", "\"date\": \"\" is empty"},
        {"'layout': {'gutter': '101mm'}",
         "\"gutter\" is 3.976 in (101 mm); it may be from 0 in (0 mm) to 3.937 in (100 mm)"},
        {"'layout': {'hand_cut': '1000000.01 EUR'}",
         "\"hand_cut\" is 1000000.01 EUR; it may be up to 1000000.00 EUR"},
        {"'layout': {'sheet_lengths': ['20in', '201in']}",
         "\"sheet_lengths\" holds 201 in (5105.4 mm); a sheet may be from"},
        {"'layout': {'sheet_lengths': ['4in', '70in']}",
         "\"sheet_lengths\" has no length that paper \"satin-24in\" takes: its sheets are from"},
        {"'layout': {'hand_cut': '0.50 USD'}",
         "\"hand_cut\" is in USD and the price of paper \"satin-24in\" in EUR"},
        {"'layout': {'hand_cut': '0.50 EUR', 'stop_change': '1 USD'}",
         "\"stop_change\" is in USD and \"hand_cut\" in EUR"},
        {"'marks': {'offset': '3in'}",
         "\"offset\" is 3 in (76.2 mm); it may be from 0 in (0 mm) to 2 in (50.8 mm)"},
        {"'marks': {'length': '2 1/8in'}", "\"length\" is 2 1/8 in (54"},
        {"'marks': {'length': '0.5mm'}", "\"length\" is 0.02 in (0.5 mm); it may be from"},
        {"'marks': {'weight': '0pt'}", "\"weight\" is \"0pt\"; it may be more than 0pt, up to 3pt"},
        {"'marks': {'weight': '3.1pt'}",
         "\"weight\" is \"3.1pt\"; it may be more than 0pt, up to 3pt"},
        {"'resolution': {'warn_below': 0}", "0 is out of range: 1 to 10000"},
        {"'resolution': {'refuse_below': 10001}", "10001 is out of range"},
        {"'resolution': {'warn_below': 150.5}", "expected a whole number"},
        {"'resolution': {'warn_below': 60}", "\"refuse_below\" is 72 and \"warn_below\" 60"},
        {"'resolution': {'warn_below': 200, 'refuse_below': 201}", "\"refuse_below\" is 201"},
        {"'resolution': {'limit_ppi': 0}", "0 is out of range: 1 to 10000"},
        {"'resolution': {'limit_ppi': 200, 'enlarge_to_ppi': 201}",
         "\"enlarge_to_ppi\" is 201 and \"limit_ppi\" 200; it may be at most that"},
        {"'sharpen': {'radius': '1.1mm', 'amount': 1}",
         "\"radius\" is 0.043 in (1.1 mm); it may be"},
        {"'sharpen': {'radius': '1mm', 'amount': 0}",
         "\"amount\" is 0; it may be more than 0, up to 5"},
        {"'sharpen': {'radius': '1mm', 'amount': 5.1}", "\"amount\" is 5.1; it may be"},
        {"'sharpen': {'radius': '1mm', 'amount': 1, 'threshold': 256}", "256 is out of range"},
        {"'limits': {'pixels': 0}", "0 is out of range: 1 to 1000000000000"},
        {"'limits': {'decoded': '1 MB'}", "\"decoded\": \"1 MB\" is less than 1 MiB"},
        {"'trimmer': {'longest_cut': '5mm'}", "\"longest_cut\" is 0.197 in (5 mm)"},
        {"'trimmer': {'farthest_stop': '201in'}", "\"farthest_stop\" is 201 in"},
        {"'trimmer': {'narrowest_strip': '1ft'}", "\"narrowest_strip\" is 12 in"},
        {"'images': ['nowhere']", "there is no folder \"nowhere\""},
        {"'images': ['a.png']", "\"a.png\" is not a folder"},
        {"'images': ['']", "\"images\": \"\" is empty"},
    };
    folder f;
    (void)state;
    folder_open(&f);
    EACH_SAYS(&f, cases);
    folder_close(&f);
}

static void test_edges_of_ranges_are_fine(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load_with(&f, "'date': '2000-02-29', 'layout': {'gutter': '100mm'}, 'marks': {'offset': "
                  "'2in', 'length': '2in', 'weight': '3pt'}, 'resolution': {'warn_below': "
                  "72, 'refuse_below': 72}, 'trimmer': {'narrowest_strip': '0in', "
                  "'longest_cut': '200in', 'farthest_stop': '10mm'}, 'images': ['.', '../']");
    assert_clean(&f);
    assert_int_equal(f.job->image_folder_count, 2);
    folder_close(&f);
}

/* What is meant for later says so, whatever its value, with exit code 4. */
static void test_not_yet(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load_with(&f, "'costs': 'costs.json'");
    assert_int_equal(f.report.errors.count, 1);
    assert_error(&f, ": \"costs\" is known but not built yet");
    assert_int_equal(f.report.errors.items[0].code, TW_NOT_YET);
    assert_int_equal(tw_exit_code(TW_NOT_YET), 4);
    assert_string_equal(f.report.errors.items[0].name, "not-yet");
    folder_close(&f);
}

/* Profiles by a name in the system's folders (Debian's icc-profiles-free), too. */
static void test_colour(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load_with(&f, "'layout': {}");
    assert_int_equal(f.job->colour, TW_COLOUR_AUTO);
    assert_int_equal(f.job->intent, TW_RELATIVE);
    assert_true(f.job->black_point && f.job->assume[TW_RGB].name == NULL);
    load_with(&f, "'colour': {'mode': 'convert', 'intent': 'perceptual', 'black_point': false, "
                  "'assume': {'rgb': 'sRGB', 'grey': 'Gray.icc'}}");
    assert_clean(&f);
    assert_int_equal(f.job->colour, TW_COLOUR_CONVERT);
    assert_int_equal(f.job->intent, TW_PERCEPTUAL);
    assert_false(f.job->black_point);
    assert_true(f.job->assume[TW_RGB].name != NULL && f.job->assume[TW_RGB].bytes == NULL);
    assert_true(f.job->assume[TW_GREY].length > 132 && f.job->assume[TW_CMYK].name == NULL);
    load_with(&f, "'colour': {'assume': 'compatibleWithAdobeRGB1998.icc', 'intent': 'auto'}");
    assert_clean(&f);
    assert_non_null(f.job->assume[TW_RGB].bytes);
    assert_int_equal(f.job->intent, TW_INTENT_AUTO);
    folder_close(&f);
}

/* Every object of the job, an unknown key in it, the nearest known one as hint, and the place. */
static void test_unknown_keys(void **state) {
    static const bad_case cases[] = {
        {"'image': []", "\"image\" is not a key of job (nearest: \"images\")"},
        {"'layout': {'guter': '1mm'}", "\"guter\" is not a key of layout (nearest: \"gutter\")"},
        {"'marks': {'lenght': '1mm'}", "\"lenght\" is not a key of marks (nearest: \"length\")"},
        {"'colour': {'moed': 1}", "\"moed\" is not a key of colour (nearest: \"mode\")"},
        {"'color': {'mode': 'tag'}", "\"color\" is not a key of job (nearest: \"colour\")"},
        {"'resolution': {'warn': 1}", "\"warn\" is not a key of resolution"},
        {"'trimmer': {'stop': '1in'}", "\"stop\" is not a key of trimmer"},
        {"'fillers': {'file': 'orders.csv', 'columns': {'sells': 'x', 'image': 'image'}}",
         "\"sells\" is not a key of columns"},
    };
    folder f;
    (void)state;
    folder_open(&f);
    EACH_SAYS(&f, cases);
    folder_close(&f);
}

static void test_required_keys_and_version(void **state) {
    static const char *const keys[] = {"trimwell", "name", "papers", "templates", "orders"};
    char says[100];
    folder f;
    (void)state;
    folder_open(&f);
    folder_json(&f, "job.json", "{\n}");
    assert_ok(folder_load(&f), f.error);
    assert_int_equal(f.report.errors.count, 5);
    for (size_t i = 0; i < 5; i++) {
        snprintf(says, sizeof says, "job.json:1:1: \"%s\" is missing", keys[i]);
        assert_error(&f, says);
    }
    folder_again(&f);
    folder_json(&f, "job.json",
                "{'trimwell': 2, 'name': 'd', 'papers': [], 'templates': 'frames-inch', 'orders': "
                "[]}");
    assert_ok(folder_load(&f), f.error);
    assert_error(&f, "\"trimwell\" is 2; this program reads version 1");
    assert_error(&f, "\"papers\" must be a list of 1 to 100 names, not an empty list");
    assert_error(&f, "\"templates\" must be a list");
    assert_error(&f, "\"orders\": expected a text");
    assert_error(&f,
                 "not the text \"frames-inch\" (a list of one name has brackets round it, too)");
    assert_int_equal(f.report.errors.count, 4);
    folder_again(&f);
    folder_json(&f, "job.json", "{'trimwell': '1'}");
    assert_ok(folder_load(&f), f.error);
    assert_error(&f, "\"trimwell\": expected a number, found the text \"1\"");
    folder_close(&f);
}

static void test_names(void **state) {
    static const char *const bad[] = {"''", "'a\\u0007b'", "'a\\nb'", "'\\u0085'", "7", "null"};
    char long_name[110], text[400];
    folder f;
    (void)state;
    folder_open(&f);
    memset(long_name, 'n', sizeof long_name);
    for (int length = 100; length <= 101; length++) {
        snprintf(text, sizeof text,
                 "{'trimwell': 1, 'name': '%.*s', 'papers': ['satin-24in'], 'templates': "
                 "['frames-inch'], 'orders': 'orders.csv'}",
                 length, long_name);
        folder_write(&f, "orders.csv", "order,image,template\n1,orders.csv,8x10\n");
        folder_json(&f, "job.json", text);
        assert_ok(folder_load(&f), f.error);
        assert_int_equal(f.report.errors.count, length == 101);
    }
    assert_error(&f, "\"name\": \"nnnn");
    assert_error(&f, "is too long; 1 to 100 bytes are allowed");
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        folder_again(&f);
        snprintf(text, sizeof text,
                 "{'trimwell': 1, 'name': %s, 'papers': ['satin-24in'], 'templates': "
                 "['frames-inch'], 'orders': 'orders.csv'}",
                 bad[i]);
        folder_json(&f, "job.json", text);
        assert_ok(folder_load(&f), f.error);
        assert_error(&f, "\"name\": ");
    }
    folder_close(&f);
}

static void test_all_in_one_run(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load_with(&f, "'date': 'soon', 'guter': 1, 'layout': {'gutter': 3, 'stages': 2, 'x': 1}, "
                  "'marks': {'place': 'here', 'length': '9in'}, 'images': ['p', 'q'], "
                  "'fillers': 'none.csv'");
    assert_int_equal(f.report.errors.count, 10);
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_wrong_kinds),
        cmocka_unit_test(test_ranges),
        cmocka_unit_test(test_edges_of_ranges_are_fine),
        cmocka_unit_test(test_not_yet),
        cmocka_unit_test(test_colour),
        cmocka_unit_test(test_unknown_keys),
        cmocka_unit_test(test_required_keys_and_version),
        cmocka_unit_test(test_names),
        cmocka_unit_test(test_all_in_one_run),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
