/* The job file as a whole: defaults, everything it names, and every problem in one run. */
#include "job/folder.h"

#include "base/limits.h"

static const char ORDERS[] = "order,image,template\n1001,a.png,8x10\n";

static const char JOB[] =
    "{\"trimwell\": 1, \"name\": \"March day\", \"papers\": [\"satin-24in\"],\n"
    "\"templates\": [\"frames-inch\"],\n\"orders\": \"orders.csv\"}\n";

static void put_plain_job(folder *f) {
    folder_write(f, "job.json", JOB);
    folder_write(f, "orders.csv", ORDERS);
    folder_write(f, "a.png", "not looked into here");
}

static void test_smallest_job_has_the_defaults(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    put_plain_job(&f);
    assert_ok(folder_load(&f), f.error);
    assert_clean(&f);
    const tw_job_data *job = f.job;
    assert_string_equal(job->name, "March day");
    assert_null(job->date);
    assert_int_equal(job->paper_count, 1);
    assert_int_equal(job->template_count, 17);
    assert_int_equal(job->order_count, 1);
    assert_int_equal(job->filler_count, 0);
    assert_int_equal(job->gutter, 0);
    assert_true(job->turn);
    assert_int_equal(job->marks.place, TW_MARKS_WASTE);
    assert_true(job->marks.offset_auto);
    assert_int_equal(job->marks.length, 6350000);
    assert_int_equal(job->marks.weight, 88194); /* 0.25 / 72 in = 88 194.44 nm */
    assert_int_equal(job->colour, TW_COLOUR_AUTO);
    assert_int_equal(job->resolution.warn_below, TW_PPI_AUTO);
    assert_int_equal(job->resolution.refuse_below, 72);
    assert_false(job->trimmer.has_longest_cut);
    assert_false(job->trimmer.has_farthest_stop);
    assert_int_equal(job->trimmer.narrowest_strip, 3175000);
    assert_string_equal(job->orders[0].image_path, folder_at(&f, "a.png"));
    folder_close(&f);
}

static void test_full_job(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    mkdir(folder_at(&f, "photos"), 0777);
    folder_write(&f, "photos/a.png", "");
    folder_write(&f, "orders.csv", ORDERS);
    folder_write(&f, "fillers.csv", "image,template,sells_for\na.png,5x7,18 EUR\n");
    folder_write(&f, "job.json",
                 "{\"trimwell\": 1, \"name\": \"d\", \"date\": \"2028-02-29\",\n"
                 "\"papers\": [\"satin-24in\"], \"templates\": [\"frames-inch\"],\n"
                 "\"orders\": \"orders.csv\", \"fillers\": \"fillers.csv\", \"images\": "
                 "[\"photos\"],\n"
                 "\"layout\": {\"gutter\": \"3mm\", \"turn\": false},\n"
                 "\"marks\": {\"place\": \"line\", \"offset\": \"1/8in\", \"length\": \"5mm\", "
                 "\"weight\": \"3pt\"},\n"
                 "\"colour\": {\"mode\": \"tag\"},\n"
                 "\"resolution\": {\"warn_below\": 200, \"refuse_below\": 100},\n"
                 "\"trimmer\": {\"longest_cut\": \"26in\", \"farthest_stop\": \"15in\", "
                 "\"narrowest_strip\": \"4mm\"}}");
    assert_ok(folder_load(&f), f.error);
    assert_clean(&f);
    const tw_job_data *job = f.job;
    assert_string_equal(job->date, "2028-02-29");
    assert_int_equal(job->gutter, 3 * TW_MM);
    assert_false(job->turn);
    assert_int_equal(job->marks.place, TW_MARKS_LINE);
    assert_false(job->marks.offset_auto);
    assert_int_equal(job->marks.offset, TW_IN / 8);
    assert_int_equal(job->marks.length, 5 * TW_MM);
    assert_int_equal(job->marks.weight, 1058333); /* 3 / 72 in */
    assert_int_equal(job->colour, TW_COLOUR_TAG);
    assert_int_equal(job->resolution.warn_below, 200);
    assert_int_equal(job->resolution.refuse_below, 100);
    assert_true(job->trimmer.has_longest_cut && job->trimmer.has_farthest_stop);
    assert_int_equal(job->trimmer.longest_cut, 26 * TW_IN);
    assert_int_equal(job->trimmer.farthest_stop, 15 * TW_IN);
    assert_int_equal(job->trimmer.narrowest_strip, 4 * TW_MM);
    assert_int_equal(job->filler_count, 1);
    folder_close(&f);
}

static void test_folder_stands_for_its_job(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    put_plain_job(&f);
    assert_ok(tw_job_load(f.arena, f.path, &f.report, &f.job, &f.error), f.error);
    assert_clean(&f);
    assert_string_equal(f.job->file, folder_at(&f, "job.json"));
    folder_close(&f);
}

static void test_unreadable_job_stops(void **state) {
    folder f;
    (void)state;
    folder_open(&f);
    assert_int_equal(folder_load(&f), TW_INPUT);
    assert_string_equal(f.error.name, "missing-file");
    folder_write(&f, "job.json", "{\"trimwell\": 1,");
    assert_int_equal(folder_load(&f), TW_INPUT);
    folder_write(&f, "job.json", "");
    assert_int_equal(folder_load(&f), TW_INPUT);
    folder_write(&f, "job.json", "[1]");
    assert_ok(folder_load(&f), f.error);
    assert_error(&f, "expected an object");
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_smallest_job_has_the_defaults),
        cmocka_unit_test(test_full_job),
        cmocka_unit_test(test_folder_stands_for_its_job),
        cmocka_unit_test(test_unreadable_job_stops),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
