/* The quick form: paper, template and images without a job file. */
#include "job/folder.h"

static tw_code quick(folder *f, const char *paper, const char *format, int copies,
                     const char *image) {
    const char *images[2] = {image, image};
    folder_again(f);
    f->job = NULL;
    memset(&f->error, 0, sizeof f->error);
    return tw_job_quick(f->arena, paper, format, copies, images, 2, &f->report, &f->job, &f->error);
}

static void test_shipped_names(void **state) {
    char image[100];
    folder f;
    (void)state;
    folder_open(&f);
    folder_write(&f, "a.png", "");
    strcpy(image, folder_at(&f, "a.png"));
    assert_ok(quick(&f, "satin-24in", "8x10", 3, image), f.error);
    assert_clean(&f);
    const tw_job_data *job = f.job;
    assert_string_equal(job->name, "8x10 on satin-24in");
    assert_int_equal(job->paper_count, 1);
    assert_string_equal(job->papers[0].name, "satin-24in");
    assert_int_equal(job->template_count, 1);
    assert_int_equal(job->templates[0].border.side[TW_BOTTOM], TW_IN);
    assert_int_equal(job->order_count, 2);
    for (int i = 0; i < 2; i++) {
        assert_null(job->orders[i].order);
        assert_string_equal(job->orders[i].image, image);
        assert_string_equal(job->orders[i].image_path, image);
        assert_string_equal(job->orders[i].place.file, image);
        assert_int_equal(job->orders[i].copies, 3);
        assert_int_equal(job->orders[i].template_index, 0);
        assert_int_equal(job->orders[i].paper_index, 0);
    }
    assert_int_equal(job->resolution.refuse_below, 72);
    assert_true(job->turn);
    folder_close(&f);
}

static void test_templates_of_each_kind(void **state) {
    char text[200];
    folder f;
    (void)state;
    folder_open(&f);
    folder_write(&f, "a.png", "");
    const char *image = folder_at(&f, "a.png");
    folder_json(&f, "mine.json",
                "{'trimwell': 1, 'templates': [{'name': 'wide', 'size': '20x8in'}]}");
    assert_ok(quick(&f, "satin-24in", "30x40-cm", 1, image), f.error);
    assert_int_equal(f.job->templates[0].size.width, 300 * TW_MM);
    assert_int_equal(f.job->templates[0].border.side[TW_TOP], 25 * TW_MM);
    assert_ok(quick(&f, "satin-24in", "8x10in", 1, image), f.error);
    assert_clean(&f);
    assert_int_equal(f.job->templates[0].size.width, 8 * TW_IN);
    assert_int_equal(f.job->templates[0].border.side[TW_TOP], 0);
    assert_true(f.job->templates[0].turn_auto);
    assert_int_equal(f.job->templates[0].focus_x, 500000);
    assert_ok(quick(&f, "satin-24in", "A3", 1, image), f.error);
    assert_int_equal(f.job->templates[0].size.height, 420 * TW_MM); /* ISO 216 by PWG 5101.1 */
    snprintf(text, sizeof text, "%s#wide", folder_at(&f, "mine.json"));
    assert_ok(quick(&f, "satin-24in", text, 1, image), f.error);
    assert_clean(&f);
    assert_int_equal(f.job->templates[0].size.width, 20 * TW_IN);
    assert_ok(quick(&f, "satin-24in", "frames-cm#30x40-cm", 1, image), f.error);
    assert_clean(&f);
    folder_close(&f);
}

static void test_problems_are_all_told(void **state) {
    char text[200];
    folder f;
    (void)state;
    folder_open(&f);
    assert_ok(quick(&f, "satin-42in", "8x11", 1, folder_at(&f, "none.png")), f.error);
    assert_int_equal(f.report.errors.count, 4);
    assert_error(&f, "\"satin-42in\" is not a shipped paper (nearest: \"satin-");
    assert_error(&f, "template \"8x11\" is not in the shipped sets and is no size (nearest: ");
    assert_error(&f, "none.png: there is no such file");
    assert_int_equal(f.job->orders[0].template_index, SIZE_MAX);
    assert_int_equal(f.job->orders[0].paper_index, SIZE_MAX);
    assert_null(f.job->orders[0].image_path);
    assert_ok(quick(&f, "satin-24in", "frames-cm#30x41-cm", 1, f.path), f.error);
    assert_error(&f, "template \"30x41-cm\" is not in frames-cm (nearest: \"30x40-cm\")");
    assert_error(&f, ": not a regular file but a folder");
    snprintf(text, sizeof text, "%s#x", folder_at(&f, "no.json"));
    assert_ok(quick(&f, "satin-24in", text, 1, f.path), f.error);
    assert_error(&f, "no.json: there is no such file");
    assert_ok(quick(&f, "satin-24in", "201x10in", 1, f.path), f.error);
    assert_error(&f, "template \"201x10in\" is 201 in (5105.4 mm) x 10 in (254 mm); a side may be "
                     "from over 0 to 200 in (5080 mm)");
    assert_ok(quick(&f, "slate", "zz", 1, f.path), f.error);
    assert_error(&f, "\"slate\" is not a shipped paper (shipped are matte-17in, matte-24in, ");
    assert_error(&f, "satin-610mm, smooth-a3plus; a file of your own is named with .json)");
    assert_error(&f, "template \"zz\" is not in the shipped sets and is no size (a size is written "
                     "\"8x10in\"");
    folder_close(&f);
}

static void test_counts(void **state) {
    static const int bad[] = {0, -1, 10001};
    folder f;
    (void)state;
    folder_open(&f);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(quick(&f, "satin-24in", "8x10", bad[i], "a"), TW_USAGE);
        assert_says(f.error, "it may be from 1 to 10000");
    }
    assert_int_equal(
        tw_job_quick(f.arena, "satin-24in", "8x10", 1, NULL, 0, &f.report, &f.job, &f.error),
        TW_USAGE);
    assert_says(f.error, "no image is named");
    const char *many[11] = {"a", "a", "a", "a", "a", "a", "a", "a", "a", "a", "a"};
    assert_int_equal(
        tw_job_quick(f.arena, "satin-24in", "8x10", 10000, many, 11, &f.report, &f.job, &f.error),
        TW_USAGE);
    assert_says(f.error, "over 100000 prints");
    folder_close(&f);
}

static void test_every_allocation_may_fail(void **state) {
    const char *image = TRIMWELL_SOURCE "/CMakeLists.txt"; /* any regular file: not read here */
    bool done = false;
    (void)state;
    for (long n = 1; !done; n++) {
        test_memory memory = {.fail_at = n};
        tw_allocator allocator = test_allocator(&memory);
        tw_arena *arena = tw_arena_new(&allocator, 0);
        tw_error error = {0};
        tw_report report;
        tw_job_data *job = NULL;
        if (arena != NULL) {
            tw_report_start(&report, arena);
            tw_code code =
                tw_job_quick(arena, "satin-24in", "8x10", 1, &image, 1, &report, &job, &error);
            done = code == TW_OK;
            assert_int_equal(code, done ? TW_OK : TW_MEMORY);
            assert_true((job != NULL) == done);
            if (done)
                assert_int_equal(report.errors.count, 0);
        }
        tw_arena_free(arena);
        assert_no_leak(memory);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_shipped_names),
        cmocka_unit_test(test_templates_of_each_kind),
        cmocka_unit_test(test_problems_are_all_told),
        cmocka_unit_test(test_counts),
        cmocka_unit_test(test_every_allocation_may_fail),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
