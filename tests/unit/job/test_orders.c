/* Order lines: columns and their mapping, every field, and problems with the line they are in. */
#include "job/folder.h"

#define JOB(orders)                                                                                \
    "{'trimwell': 1, 'name': 'd', 'papers': ['satin-24in'], 'templates': ['frames-inch'], "        \
    "'orders': " orders "}"

static void load_job(folder *f, const char *job, const char *csv) {
    folder_again(f);
    folder_json(f, "job.json", job);
    folder_write(f, "orders.csv", csv);
    folder_write(f, "a.png", "");
    folder_write(f, "b.jpg", "");
    assert_ok(folder_load(f), f->error);
}

static void load(folder *f, const char *csv) {
    load_job(f, JOB("'orders.csv'"), csv);
}

static void test_every_column(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load(&f,
         "order,buyer,image,template,paper,copies,title,due,note,price,address,edition,accept,set\n"
         "1001,Zoë Ångström,a.png,8x10,satin-24in,3,Dawn,2027-03-20,\"roll it, "
         "please\tor flat\",129.00 EUR,\"Main St 1\nOslo\",3/25,\"low-ppi "
         "untagged;thin-border, doubled-line\",pair\n");
    assert_clean(&f);
    assert_int_equal(f.job->order_count, 1);
    const tw_order *line = &f.job->orders[0];
    assert_string_equal(line->place.file, "orders.csv");
    assert_int_equal(line->place.line, 2);
    assert_string_equal(line->order, "1001");
    assert_string_equal(line->buyer, "Zoë Ångström");
    assert_string_equal(line->image, "a.png");
    assert_string_equal(line->image_path, folder_at(&f, "a.png"));
    assert_string_equal(f.job->templates[line->template_index].name, "8x10");
    assert_int_equal(line->paper_index, 0);
    assert_int_equal(line->copies, 3);
    assert_string_equal(line->title, "Dawn");
    assert_string_equal(line->due, "2027-03-20");
    assert_string_equal(line->note, "roll it, please\tor flat");
    assert_string_equal(line->price, "129.00 EUR");
    assert_string_equal(line->address, "Main St 1\nOslo");
    assert_string_equal(line->edition, "3/25");
    assert_string_equal(line->set, "pair");
    assert_int_equal(line->accept_count, 4);
    assert_string_equal(line->accept[0], "low-ppi");
    assert_string_equal(line->accept[1], "untagged");
    assert_string_equal(line->accept[2], "thin-border");
    assert_string_equal(line->accept[3], "doubled-line");
    folder_close(&f);
}

static void test_defaults(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load(&f, "order,image,template,copies,paper,due,accept,price\n1,a.png,8x10,,,,,\n");
    assert_clean(&f);
    const tw_order *line = &f.job->orders[0];
    assert_int_equal(line->copies, 1);
    assert_int_equal(line->paper_index, 0);
    assert_null(line->due);
    assert_null(line->buyer);
    assert_null(line->title);
    assert_null(line->price);
    assert_int_equal(line->accept_count, 0);
    folder_close(&f);
}

/* The form that outside checks look for. */
static void test_unknown_template_is_told_exactly(void **state) {
    char line[1400];
    folder f;
    (void)state;
    folder_open(&f);
    load(&f, "order,image,template\n1,a.png,8x10\n2,a.png,8x10\n3,a.png,8x10\n4,a.png,8x10\n"
             "5,a.png,8x10\n6,a.png,8x11\n");
    assert_int_equal(f.report.errors.count, 1);
    tw_error_text(&f.report.errors.items[0], line, sizeof line);
    assert_string_equal(
        line, "orders.csv:7: template \"8x11\" is not in frames-inch.json (nearest: \"8x10\")");
    assert_int_equal(f.report.errors.items[0].code, TW_INPUT);
    assert_string_equal(f.report.errors.items[0].name, "unknown-template");
    assert_int_equal(f.job->orders[5].template_index, SIZE_MAX);
    mkdir(folder_at(&f, "sets"), 0777);
    folder_json(&f, "sets/mine.json",
                "{'trimwell': 1, 'templates': [{'name': 'big', 'size': 'A2'}]}");
    load_job(&f,
             "{'trimwell': 1, 'name': 'd', 'papers': ['satin-24in'], 'templates': "
             "['sets/mine.json', 'frames-inch'], 'orders': 'orders.csv'}",
             "order,image,template\n1,a.png,8x10\n2,a.png,bug\n");
    tw_error_text(&f.report.errors.items[0], line, sizeof line);
    assert_string_equal(
        line,
        "orders.csv:3: template \"bug\" is not in mine.json or the others (nearest: \"big\")");
    folder_close(&f);
}

static void test_mapping(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load_job(&f,
             JOB("{'file': 'orders.csv', 'columns': {'order': 'Order No', 'image': 'Artwork', "
                 "'template': 'Size', 'copies': 'Qty'}}"),
             "Order No;Customer;Artwork;Size;QTY\n7;Ann;b.jpg;5x7;2\n");
    assert_clean(&f);
    assert_string_equal(f.job->orders[0].order, "7");
    assert_string_equal(f.job->orders[0].image, "b.jpg");
    assert_int_equal(f.job->orders[0].copies, 2);
    load_job(&f,
             JOB("{'file': 'orders.csv', 'columns': {'order': 'Order No', 'due': 'Wanted by', "
                 "'odrer': 'x', 'note': 3}}"),
             "order,image,template\n");
    assert_error(&f, "\"odrer\" is not a key of columns (nearest: \"order\")");
    assert_error(&f, "\"note\": expected a text");
    assert_int_equal(f.report.errors.count, 2);
    load_job(&f, JOB("{'file': 'orders.csv', 'columns': {'order': 'Order No', 'due': 'Wanted'}}"),
             "Order Nr,image,template\n1,a.png,8x10\n");
    assert_error(&f, "orders.csv:1: there is no column \"Order No\" (nearest: \"Order Nr\")");
    assert_error(&f, "orders.csv:1: there is no column \"Wanted\"");
    assert_int_equal(f.report.errors.count, 2);
    folder_close(&f);
}

static void test_headings(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load(&f, "Order, IMAGE ,\"template\",Colour\n1,a.png,8x10,red\n");
    assert_clean(&f);
    load(&f, "order,Order,image,template\n1,2,a.png,8x10\n");
    assert_int_equal(f.report.errors.count, 0);
    assert_warning(&f, "the column \"Order\" is not known and is left alone");
    assert_string_equal(f.job->orders[0].order, "1");
    load(&f, "ORDER,Order,image,template\n1,2,a.png,8x10\n");
    assert_error(&f, "the column \"order\" is there 2 times");
    assert_int_equal(f.report.warnings.count, 0);
    load(&f, "order,image,template,template\n1,a.png,8x10,8x10\n");
    assert_error(&f, "the column \"template\" is there 2 times (keep the one that is meant)");
    assert_int_equal(f.report.warnings.count, 0);
    load(&f, "order,template,copeis,when\n1,8x10,3,now\n");
    assert_error(&f, "orders.csv:1: there is no column \"image\" (the first line names the "
                     "columns; \"columns\" in the job says");
    assert_warning(&f, "orders.csv:1: the column \"copeis\" is not known and is left alone "
                       "(nearest: \"copies\")");
    assert_int_equal(f.report.warnings.count, 1);
    assert_string_equal(f.report.warnings.items[0].name, "column-near-miss");
    assert_int_equal(f.report.warnings.items[0].code, TW_OK);
    load(&f, "order,image,template,paper\n1,a.png,zzz,slate\n");
    assert_error(&f, "template \"zzz\" is not in frames-inch.json (there are \"4x6\", \"5x7\" and "
                     "more)");
    assert_error(&f, "paper \"slate\" is not one of the job's (there is \"satin-24in\")");
    folder_close(&f);
}

/* Byte order mark, each separator, either newline, line breaks in quotes: the line stays right. */
static void test_what_spreadsheets_write(void **state) {
    static const char *const files[] = {
        "order,image,template,note\n1,a.png,8x10,\"two\nlines\"\n2,a.png,9x9,\n",
        "\xEF\xBB\xBForder,image,template,note\r\n1,a.png,8x10,\"two\r\nlines\"\r\n2,a.png,9x9,",
        "order;image;template;note\n1;a.png;8x10;\"two\n; , lines\"\n2;a.png;9x9;\n",
        "order\timage\ttemplate\tnote\r\n\r\n1\ta.png\t8x10\tx\r\n2\ta.png\t9x9\r\n",
        "order,image,template,note\r1,a.png,8x10,\"two\rlines\"\r2,a.png,9x9,\r",
    };
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        load(&f, files[i]);
        assert_int_equal(f.report.errors.count, 1);
        assert_error(&f, "orders.csv:4: template \"9x9\" is not in frames-inch.json");
        assert_int_equal(f.job->order_count, 2);
    }
    folder_close(&f);
}

static void test_one_thing_wrong(void **state) {
    static const bad_case cases[] = {
        {",a.png,8x10,,,,\n", "orders.csv:2: order \"\" is empty"},
        {"1,,8x10,,,,\n", "orders.csv:2: image \"\" is empty"},
        {"1,a.png,,,,,\n", "orders.csv:2: template \"\" is empty"},
        {"1,a.png,8x10,satin-44in,,,\n", "paper \"satin-44in\" is not one of the job's (nearest: "
                                         "\"satin-24in\")"},
        {"1,a.png,8x10,,0,,\n", "copies is \"0\"; it may be a whole number from 1 to 10000"},
        {"1,a.png,8x10,,-1,,\n", "copies is \"-1\""},
        {"1,a.png,8x10,,2.0,,\n", "copies is \"2.0\""},
        {"1,a.png,8x10,,two,,\n", "copies is \"two\""},
        {"1,a.png,8x10,,10001,,\n", "copies is \"10001\""},
        {"1,a.png,8x10,,99999999999999999999,,\n", "copies is \"99999999999999999999\""},
        {"1,a.png,8x10,,0x10,,\n", "copies is \"0x10\""},
        {"1,a.png,8x10,,,2027-02-30,\n", "due \"2027-02-30\" is not a day of the calendar"},
        {"1,a.png,8x10,,,20.3.2027,\n", "due \"20.3.2027\" is not a day"},
        {"1,c.png,8x10,,,,\n", "image \"c.png\" is not in the image folder (nearest: \"a.png\")"},
        {"1\x07,a.png,8x10,,,,\n", "order \"1\\x07\" holds a control character"},
        {"\"1\n2\",a.png,8x10,,,,\n", "holds a control character"},
    };
    char text[400];
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        snprintf(text, sizeof text, "order,image,template,paper,copies,due,price\n%s",
                 cases[i].text);
        load(&f, text);
        assert_error(&f, cases[i].says);
        assert_int_equal(f.report.errors.count, 1);
        assert_int_equal(f.report.errors.items[0].line, 2);
        assert_string_equal(f.report.errors.items[0].file, "orders.csv");
        assert_int_equal(f.job->order_count, 1);
    }
    folder_close(&f);
}

static void test_prices(void **state) {
    static const char *const good[] = {"129.00 EUR", "129 EUR", "18000 JPY", "129.00", "129", ""};
    static const char *const odd[] = {"$129", "129,00 EUR", "free", "1.234"};
    char text[200];
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        snprintf(text, sizeof text, "order;image;template;price\n1;a.png;8x10;%s\n", good[i]);
        load(&f, text);
        assert_clean(&f);
    }
    for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
        snprintf(text, sizeof text, "order;image;template;price\n1;a.png;8x10;%s\n", odd[i]);
        load(&f, text);
        assert_int_equal(f.report.errors.count, 0);
        assert_warning(&f, "is not money such as \"129.00 EUR\"; it is kept as text");
        assert_string_equal(f.job->orders[0].price, odd[i]);
    }
    folder_close(&f);
}

static void test_no_lines(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load(&f, "order,image,template\n\n\r\n");
    assert_error(&f, "orders.csv:1: there are no order lines below the heading");
    assert_int_equal(tw_exit_code(f.report.errors.items[0].code), 4);
    load(&f, "");
    assert_error(&f, "orders.csv:1: the file is empty");
    load(&f, "order,image,template\n1,a\xff.png,8x10\n");
    assert_error(&f, "orders.csv:2: byte 0xFF here is not UTF-8");
    unlink(folder_at(&f, "orders.csv"));
    folder_again(&f);
    assert_ok(folder_load(&f), f.error);
    assert_error(&f, "job.json:1:96: \"orders.csv\": there is no such file");
    mkdir(folder_at(&f, "orders.csv"), 0777);
    folder_again(&f);
    assert_ok(folder_load(&f), f.error);
    assert_error(&f, "\"orders.csv\": not a regular file but a folder");
    folder_close(&f);
}

static void test_several_papers(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load_job(&f,
             "{'trimwell': 1, 'name': 'd', 'papers': ['satin-24in', 'matte-17in'], 'templates': "
             "['frames-inch'], 'orders': 'orders.csv'}",
             "order,image,template,paper\n1,a.png,8x10,matte-17in\n2,a.png,8x10,\n");
    assert_int_equal(f.report.errors.count, 1);
    assert_error(&f, "orders.csv:3: no paper is given, and the job has several (such as "
                     "\"satin-24in\" in the column \"paper\"; layout.choose names papers "
                     "to choose from)");
    assert_int_equal(f.job->orders[0].paper_index, 1);
    folder_close(&f);
}

/* What is already told is not told again on each line that uses it. */
static void test_no_echo_of_broken_things(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    folder_json(&f, "t.json",
                "{'trimwell': 1, 'templates': [{'name': 'ok', 'size': 'A4'}, {'name': 'bad', "
                "'size': 9}]}");
    folder_json(&f, "p.json",
                "{'trimwell': 1, 'name': 'pp', 'kind': 'roll', 'width': 1, "
                "'length': '50ft', 'margins': {'side': '0in', 'lead': '0in', "
                "'tail': '0in'}}");
    load_job(&f,
             "{'trimwell': 1, 'name': 'd', 'papers': ['p.json'], 'templates': ['t.json'], "
             "'orders': 'orders.csv'}",
             "order,image,template,paper\n1,a.png,bad,pp\n2,a.png,ok,\n3,a.png,worse,pp\n");
    assert_int_equal(f.report.errors.count, 3);
    assert_error(&f, "t.json:1:");
    assert_error(&f, "p.json:1:");
    assert_error(&f, "orders.csv:4: template \"worse\" is not in t.json");
    load_job(&f,
             "{'trimwell': 1, 'name': 'd', 'papers': ['q.json'], 'templates': ['u.json'], "
             "'orders': 'orders.csv'}",
             "order,image,template,paper\n1,a.png,any,one\n");
    assert_int_equal(f.report.errors.count, 2);
    folder_close(&f);
}

static void test_too_many_prints(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load(&f, "order,image,template,copies\n1,a.png,8x10,10000\n2,a.png,8x10,10000\n3,a.png,8x10,"
             "10000\n4,a.png,8x10,10000\n5,a.png,8x10,10000\n6,a.png,8x10,10000\n7,a.png,8x10,"
             "10000\n8,a.png,8x10,10000\n9,a.png,8x10,10000\n10,a.png,8x10,10000\n");
    assert_clean(&f);
    load(&f, "order,image,template,copies\n1,a.png,8x10,10000\n2,a.png,8x10,10000\n3,a.png,8x10,"
             "10000\n4,a.png,8x10,10000\n5,a.png,8x10,10000\n6,a.png,8x10,10000\n7,a.png,8x10,"
             "10000\n8,a.png,8x10,10000\n9,a.png,8x10,10000\n10,a.png,8x10,10000\n11,a.png,8x10,"
             "1\n");
    assert_error(&f, "orders.csv:12: with this line the copies add up to over 100000 prints");
    assert_int_equal(f.report.errors.count, 1);
    folder_close(&f);
}

static void test_too_many_problems(void **state) {
    char *text = malloc(40000);
    size_t used;
    folder f;
    (void)state;
    folder_open(&f);
    assert_non_null(text);
    used = (size_t)sprintf(text, "order,image,template\n");
    for (int i = 0; i < 1100; i++)
        used += (size_t)sprintf(text + used, "%d,a.png,no-such-%d\n", i, i);
    load(&f, text);
    assert_int_equal(f.report.errors.count, 1001);
    assert_error(&f, "orders.csv:1002: over 1000 problems so far; the rest is not read");
    free(text);
    folder_close(&f);
}

/* A row that ends early says which of our columns it leaves out; a shop's own are missed by
 * nobody, and a required one is an error besides. */
static void test_short_rows(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load_job(&f,
             "{'trimwell': 1, 'name': 'd', 'papers': ['satin-24in'], 'templates': "
             "['frames-inch'], 'orders': 'orders.csv'}",
             "order,image,template,Colour,due,note\n1,a.png,8x10\n2,a.png,8x10,blue,,\n"
             "3,a.png,8x10,blue,2027-03-08\n4,a.png\n");
    assert_warning(&f, "orders.csv:2: this row has 3 fields, the header has 6: due, note are taken "
                       "as empty");
    assert_warning(&f, "orders.csv:4: this row has 5 fields, the header has 6: note is taken as "
                       "empty");
    assert_warning(&f,
                   "orders.csv:5: this row has 2 fields, the header has 6: template, due, note");
    assert_int_equal(f.report.warnings.count, 3);
    assert_error(&f, "orders.csv:5: template");
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_column),
        cmocka_unit_test(test_defaults),
        cmocka_unit_test(test_unknown_template_is_told_exactly),
        cmocka_unit_test(test_mapping),
        cmocka_unit_test(test_headings),
        cmocka_unit_test(test_what_spreadsheets_write),
        cmocka_unit_test(test_one_thing_wrong),
        cmocka_unit_test(test_prices),
        cmocka_unit_test(test_no_lines),
        cmocka_unit_test(test_several_papers),
        cmocka_unit_test(test_short_rows),
        cmocka_unit_test(test_no_echo_of_broken_things),
        cmocka_unit_test(test_too_many_prints),
        cmocka_unit_test(test_too_many_problems),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
