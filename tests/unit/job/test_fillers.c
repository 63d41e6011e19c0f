/* Filler lines: what they are worth, how likely they sell, one currency throughout. */
#include "job/folder.h"

static void load(folder *f, const char *csv) {
    folder_again(f);
    folder_json(f, "job.json",
                "{'trimwell': 1, 'name': 'd', 'papers': ['satin-24in'], 'templates': "
                "['frames-inch'], 'orders': 'orders.csv', 'fillers': 'fillers.csv'}");
    folder_write(f, "orders.csv", "order,image,template\n1,a.png,8x10\n");
    folder_write(f, "fillers.csv", csv);
    folder_write(f, "a.png", "");
    assert_ok(folder_load(f), f->error);
}

static void test_every_column(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load(&f, "image,template,paper,copies,sells_for,chance,cost,title\n"
             "a.png,5x7,satin-24in,4,18.50 EUR,0.25,2.10 EUR,Dunes\na.png,5x7,,,,,,\n");
    assert_clean(&f);
    assert_int_equal(f.job->filler_count, 2);
    const tw_order *line = &f.job->fillers[0];
    assert_null(line->order);
    assert_string_equal(line->place.file, "fillers.csv");
    assert_int_equal(line->place.line, 2);
    assert_string_equal(line->image_path, folder_at(&f, "a.png"));
    assert_string_equal(f.job->templates[line->template_index].name, "5x7");
    assert_int_equal(line->copies, 4);
    assert_true(line->has_sells_for);
    assert_int_equal(line->sells_for.minor, 1850);
    assert_string_equal(line->sells_for.currency, "EUR");
    assert_int_equal(line->chance, 250000);
    assert_int_equal(line->cost.minor, 210);
    assert_string_equal(line->title, "Dunes");
    line = &f.job->fillers[1];
    assert_int_equal(line->copies, 1);
    assert_false(line->has_sells_for);
    assert_int_equal(line->chance, 1000000);
    assert_int_equal(line->cost.minor, 0);
    folder_close(&f);
}

static void test_money_and_chance_in_their_forms(void **state) {
    static const struct {
        const char *fields;
        int64_t sells_for, chance;
        const char *currency;
    } good[] = {
        {"18,1", 1800, 1000000, ""},
        {"18.5,0", 1850, 0, ""},
        {"18.50,0.000001", 1850, 1, ""},
        {"0,100%", 0, 1000000, ""},
        {"1800 JPY,25%", 1800, 250000, "JPY"},
        {"18.505 KWD,12.5%", 18505, 125000, "KWD"},
        {"3,0.0001%", 300, 1, ""},
        {"3,33 %", 300, 330000, ""},
    };
    char text[200];
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        snprintf(text, sizeof text, "image,template,sells_for,chance\na.png,5x7,%s\n",
                 good[i].fields);
        load(&f, text);
        assert_clean(&f);
        assert_int_equal(f.job->fillers[0].sells_for.minor, good[i].sells_for);
        assert_string_equal(f.job->fillers[0].sells_for.currency, good[i].currency);
        assert_int_equal(f.job->fillers[0].chance, good[i].chance);
    }
    folder_close(&f);
}

static void test_one_thing_wrong(void **state) {
    static const bad_case cases[] = {
        {"a.png,5x7,much,,\n", "sells_for \"much\" is not money; write \"12.50 EUR\" or \"12.50\""},
        {"a.png,5x7,-3,,\n", "sells_for \"-3\" is not money"},
        {"a.png,5x7,1.234,,\n", "sells_for \"1.234\" is not money"},
        {"a.png,5x7,12.345 EUR,,\n", "sells_for \"12.345 EUR\" is not money"},
        {"a.png,5x7,99999999999999,,\n", "sells_for \"99999999999999\" is not money"},
        {"a.png,5x7,99999999999999999999999,,\n", "is not money"},
        {"a.png,5x7,3.,,\n", "sells_for \"3.\" is not money"},
        {"a.png,5x7,.5,,\n", "sells_for \".5\" is not money"},
        {"a.png,5x7,,,free\n", "cost \"free\" is not money"},
        {"a.png,5x7,,1.1,\n", "chance \"1.1\" is not a share; write 0.25 or 25%, from 0 to 1"},
        {"a.png,5x7,,101%,\n", "chance \"101%\" is not a share"},
        {"a.png,5x7,,-0.5,\n", "chance \"-0.5\" is not a share"},
        {"a.png,5x7,,often,\n", "chance \"often\" is not a share"},
        {"a.png,5x7,,%,\n", "chance \"%\" is not a share"},
        {"a.png,5x7,,0.0000001,\n", "chance \"0.0000001\" is not a share"},
        {"a.png,5x7,,1e-3,\n", "chance \"1e-3\" is not a share"},
        {"a.png,5x7,,0.3333333333333333333333,\n", "chance \"0.3333333333333333333333\" is too"},
        {"a.png,5x9,,,\n", "fillers.csv:2: template \"5x9\" is not in frames-inch.json"},
        {"c.png,5x7,,,\n", "fillers.csv:2: image \"c.png\" is not in the image folder"},
        {",5x7,,,\n", "fillers.csv:2: image \"\" is empty"},
    };
    char text[300];
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        snprintf(text, sizeof text, "image,template,sells_for,chance,cost\n%s", cases[i].text);
        load(&f, text);
        assert_error(&f, cases[i].says);
        assert_int_equal(f.report.errors.count, 1);
        assert_int_equal(f.report.errors.items[0].line, 2);
        assert_int_equal(f.job->fillers[0].chance, 1000000); /* a bad value leaves no trace */
        assert_false(f.job->fillers[0].has_sells_for);
    }
    folder_close(&f);
}

static void test_one_currency(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load(&f, "image,template,sells_for,cost\na.png,5x7,18 EUR,2 EUR\na.png,5x7,18 USD,\n"
             "a.png,5x7,,2\na.png,5x7,,2 EUR\n");
    assert_int_equal(f.report.errors.count, 2);
    assert_error(&f, "fillers.csv:3: money here is in USD and further up in EUR");
    assert_error(&f, "fillers.csv:4: money here is in no currency and further up in EUR");
    load(&f, "image,template,sells_for,cost\na.png,5x7,18,2 EUR\n");
    assert_error(&f, "fillers.csv:2: money here is in EUR and further up in no currency");
    folder_close(&f);
}

static void test_columns_are_its_own(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    load(&f, "image,chance\na.png,1\n");
    assert_error(&f, "fillers.csv:1: there is no column \"template\"");
    load(&f, "image,template,order,buyer\na.png,5x7,1,Ann\n");
    assert_clean(&f); /* order and buyer are no near misses of a filler's columns */
    load(&f, "image,template\n");
    assert_clean(&f); /* no fillers is nothing wrong */
    assert_int_equal(f.job->filler_count, 0);
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_column),
        cmocka_unit_test(test_money_and_chance_in_their_forms),
        cmocka_unit_test(test_one_thing_wrong),
        cmocka_unit_test(test_one_currency),
        cmocka_unit_test(test_columns_are_its_own),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
