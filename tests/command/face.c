/*
 * The public header used as a program would use it, with a counting allocator: nothing leaks,
 * every failing request for memory is answered with TW_MEMORY and no half-written folder, and a
 * cancelled run stops cleanly.
 */
#include "testing.h"

#include <dirent.h>
#include <limits.h>
#include <sys/stat.h>
#include <unistd.h>

static char root[64], day[128], out[128];

static int make_day(void **state) {
    tw_error error = {0};
    (void)state;
    snprintf(root, sizeof root, "/tmp/trimwell-face.%ld", (long)getpid());
    if (mkdir(root, 0700) != 0)
        return -1;
    snprintf(day, sizeof day, "%s/day", root);
    snprintf(out, sizeof out, "%s/out", root);
    return tw_start(day, NULL, &error) == TW_OK ? 0 : -1;
}

static int remove_day(void **state) {
    char command[128];
    (void)state;
    snprintf(command, sizeof command, "rm -rf '%s'", root);
    return system(command) == 0 ? 0 : -1; /* NOLINT: the name is ours */
}

/* How many entries a folder holds; 0 when it is not there. */
static int entries(const char *folder) {
    DIR *list = opendir(folder);
    int count = 0;
    while (list != NULL && readdir(list) != NULL)
        count++;
    if (list != NULL)
        closedir(list);
    return count < 2 ? 0 : count - 2;
}

static void empty_out(void) {
    char command[160];
    snprintf(command, sizeof command, "rm -rf '%s'", out);
    assert_int_equal(system(command), 0); /* NOLINT: the name is ours */
}

static void opens_plans_and_composes(void **state) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_run run = {.allocator = &allocator};
    tw_error error = {0};
    tw_day_totals totals;
    tw_job *job = NULL;
    char *text = NULL;
    (void)state;
    assert_ok(tw_job_open(day, &run, &job, &error), error);
    assert_string_equal(tw_job_name(job), "First print day");
    assert_string_equal(tw_job_colour(job), "tag");
    assert_ok(tw_job_check(job, &error), error);
    assert_int_equal(tw_job_error_count(job), 0);
    assert_int_equal(tw_job_warning_count(job), 0);
    assert_null(tw_job_error(job, 0));
    assert_null(tw_job_warning(job, 0));
    assert_ok(tw_job_plan_text(job, &text, &error), error);
    assert_non_null(strstr(text, "First print day"));
    tw_text_free(&allocator, text);
    assert_ok(tw_job_totals(job, &totals, &error), error);
    assert_int_equal(totals.prints, 7);
    assert_int_equal(totals.unplaced, 0);
    assert_true(totals.bound_length <= totals.length);
    assert_int_equal(tw_job_written_count(job), 0);
    assert_ok(tw_job_compose(job, out, NULL, &error), error);
    assert_int_equal(tw_job_written_count(job), totals.sheets + 2);
    assert_int_equal(entries(out), totals.sheets + 2);
    assert_null(tw_job_written(job, totals.sheets + 2));
    tw_job_close(job);
    assert_no_leak(memory);
    empty_out();
}

/* Options out of range and a file that is not there write nothing; NULL is a good default. */
static void a_test_strip_is_written(void **state) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_run run = {.allocator = &allocator};
    tw_strip_options options = {.step = 13};
    tw_error error = {0};
    tw_job *job = NULL;
    char *text = NULL;
    (void)state;
    assert_ok(tw_job_open(day, &run, &job, &error), error);
    assert_int_equal(tw_job_strip(job, out, &options, &text, &error), TW_USAGE);
    assert_says(error, "13 twelfths of a stop; it must be from 1 to 12");
    assert_null(text);
    options = (tw_strip_options){.detail = "7in"};
    assert_int_equal(tw_job_strip(job, out, &options, &text, &error), TW_USAGE);
    options = (tw_strip_options){.wedge = true, .measured = "/nowhere/measured.csv"};
    assert_int_equal(tw_job_strip(job, out, &options, &text, &error), TW_INPUT);
    assert_null(text);
    assert_int_equal(entries(out), 0);
    assert_ok(tw_job_strip(job, out, NULL, &text, &error), error);
    assert_non_null(strstr(text, "strip-01-satin-24in.pdf, satin-24in: "));
    assert_int_equal(entries(out), 2); /* and strip.json */
    tw_text_free(&allocator, text);
    tw_job_close(job);
    assert_no_leak(memory);
    empty_out();
}

static void a_job_that_cannot_be_read_still_speaks(void **state) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_run run = {.allocator = &allocator};
    tw_error error = {0};
    tw_job *job = NULL;
    char *text = NULL;
    (void)state;
    assert_int_equal(tw_job_open("/nowhere/job.json", &run, &job, &error), TW_INPUT);
    assert_non_null(job);
    assert_int_equal(tw_job_error_count(job), 1);
    assert_string_equal(tw_job_error(job, 0)->message, error.message);
    assert_int_equal(tw_job_plan(job, &error), TW_INPUT);
    assert_int_equal(tw_job_compose(job, out, NULL, &error), TW_INPUT);
    assert_int_equal(tw_job_plan_json(job, &text, &error), TW_INPUT);
    assert_null(text);
    assert_int_equal(tw_job_strip(job, out, NULL, &text, &error), TW_INPUT);
    assert_null(text);
    assert_null(tw_job_name(job));
    assert_int_equal(entries(out), 0);
    tw_job_close(job);
    tw_job_close(NULL);
    assert_no_leak(memory);
}

static void a_quick_job_knows_its_bounds(void **state) {
    const char *images[] = {"/nowhere/image.png"};
    tw_quick quick = {
        .paper = "satin-24in", .template_name = "8x10", .images = images, .image_count = 1};
    tw_error error = {0};
    tw_job *job = NULL;
    (void)state;
    assert_int_equal(tw_job_open_quick(&quick, NULL, &job, &error), TW_USAGE);
    assert_says(error, "0 copies: it must be 1 to 10000");
    tw_job_close(job);
    quick.copies = 1;
    quick.image_count = 0;
    assert_int_equal(tw_job_open_quick(&quick, NULL, &job, &error), TW_USAGE);
    assert_says(error, "no image");
    tw_job_close(job);
}

static bool in_place; /* the run's files are there; what fails later does not take them away */

/* One whole run, with a strip or the sheets; the code it ended with. */
static tw_code strip_run(const tw_allocator *allocator, tw_error *error) {
    const tw_strip_options options = {.detail = "1/2in", .wedge = true, .patches = true};
    tw_run run = {.allocator = allocator};
    tw_job *job = NULL;
    char *text = NULL;
    tw_code code = tw_job_open(day, &run, &job, error);
    if (code == TW_OK)
        code = tw_job_strip(job, out, &options, &text, error);
    tw_text_free(allocator, text);
    tw_job_close(job);
    return code;
}

static tw_code whole_run(const tw_allocator *allocator, tw_error *error) {
    tw_run run = {.allocator = allocator};
    tw_job *job = NULL;
    char *text = NULL;
    tw_code code = tw_job_open(day, &run, &job, error);
    if (code == TW_OK)
        code = tw_job_compose(job, out, NULL, error);
    in_place = code == TW_OK;
    if (code == TW_OK) {
        tw_result result = {.job = job, .written = true};
        code = tw_result_json(&result, allocator, &text, error);
        tw_text_free(allocator, text);
    }
    tw_job_close(job);
    return code;
}

/* The nth request for memory fails, for growing n: always said, never a leak, and nothing written
 * unless composing itself had come to its end. */
static void run_out_of_memory(tw_code (*run)(const tw_allocator *, tw_error *)) {
    tw_code code = TW_MEMORY;
    for (long n = 1; code != TW_OK; n += 1 + n / 24) {
        test_memory memory = {.fail_at = n};
        tw_allocator allocator = test_allocator(&memory);
        tw_error error = {0};
        in_place = false;
        code = run(&allocator, &error);
        if (code != TW_OK && code != TW_MEMORY)
            fail_msg("request %ld: code %d, %s", n, (int)code, error.message);
        assert_no_leak(memory);
        if (code != TW_OK && !in_place)
            assert_int_equal(entries(out), 0);
        if (code != TW_OK && memory.asked < n)
            fail_msg("request %ld was never made and yet: %s", n, error.message);
        assert_true(n < 1000000);
    }
    assert_true(entries(out) > 0);
    empty_out();
}

static void memory_may_run_out_anywhere(void **state) {
    (void)state;
    run_out_of_memory(whole_run);
}

static void memory_may_run_out_in_a_strip(void **state) {
    (void)state;
    run_out_of_memory(strip_run);
}

static void start_may_run_out_of_memory(void **state) {
    char folder[160];
    tw_code code = TW_MEMORY;
    (void)state;
    snprintf(folder, sizeof folder, "%s/other", root);
    for (long n = 1; code != TW_OK; n += 1 + n / 4) {
        test_memory memory = {.fail_at = n};
        tw_allocator allocator = test_allocator(&memory);
        tw_run run = {.allocator = &allocator};
        tw_error error = {0};
        code = tw_start(folder, &run, &error);
        assert_no_leak(memory);
        if (code != TW_OK) {
            struct stat facts;
            assert_int_equal(code, TW_MEMORY);
            assert_int_not_equal(stat(folder, &facts), 0); /* taken away again */
        }
    }
    assert_int_equal(entries(folder), 4);
}

typedef struct watcher {
    long polls, stop_at, steps;
    uint64_t done;
} watcher;

static bool stop_at(void *context) {
    watcher *w = context;
    return ++w->polls >= w->stop_at;
}

static void watch(void *context, const char *doing, uint64_t done, uint64_t total) {
    watcher *w = context;
    assert_non_null(doing);
    assert_true(done <= total);
    w->steps++;
}

static void a_cancelled_run_leaves_nothing(void **state) {
    tw_code code = TW_CANCELLED;
    long steps = 0;
    (void)state;
    for (long n = 1; code != TW_OK; n += 1 + n / 6) {
        watcher w = {.stop_at = n};
        tw_run run = {.cancelled = stop_at, .progress = watch, .context = &w};
        tw_error error = {0};
        tw_job *job = NULL;
        code = tw_job_open(day, &run, &job, &error);
        if (code == TW_OK)
            code = tw_job_compose(job, out, NULL, &error);
        tw_job_close(job);
        if (code != TW_OK) {
            assert_int_equal(code, TW_CANCELLED);
            assert_int_equal(entries(out), 0);
        }
        steps = w.steps;
        if (code == TW_OK)
            assert_true(n > 2); /* it was asked at all */
    }
    assert_true(steps > 0);
    empty_out();
}

/* The day's first photograph with bytes of its pixels made worthless, or as it was. */
static void damage_photo(bool damaged) {
    char command[512];
    snprintf(command, sizeof command,
             damaged ? "cd '%s/photos' && cp first-light.png kept && "
                       "printf 'XXXXXXXX' | dd of=first-light.png bs=1 seek=2000 conv=notrunc "
                       "2>/dev/null"
                     : "cd '%s/photos' && mv kept first-light.png",
             day);
    assert_int_equal(system(command), 0); /* NOLINT: the name is ours */
}

/* However often it was stopped before, a look at the pixels that comes to its end tells the truth,
 * and says it once. */
static void cancelled_looks_at_pixels_are_made_again(void **state) {
    watcher w = {.stop_at = LONG_MAX};
    tw_run run = {.cancelled = stop_at, .context = &w};
    tw_error error = {0};
    tw_job *job = NULL;
    tw_code code = TW_CANCELLED;
    int stopped = 0;
    (void)state;
    damage_photo(true);
    assert_ok(tw_job_open(day, &run, &job, &error), error);
    assert_ok(tw_job_check(job, &error), error);
    assert_int_equal(tw_job_error_count(job), 0);
    for (long n = 1; code == TW_CANCELLED; n++) {
        w = (watcher){.stop_at = n};
        code = tw_job_check_pixels(job, &error);
        stopped += code == TW_CANCELLED;
    }
    assert_ok(code, error);
    assert_true(stopped > 0);
    assert_int_equal(tw_job_error_count(job), 1);
    assert_ok(tw_job_check_pixels(job, &error), error);
    assert_int_equal(tw_job_error_count(job), 1);
    assert_int_equal(tw_job_plan(job, &error), TW_DAMAGED);
    tw_job_close(job);
    damage_photo(false);
}

/* What is no effort and no kind of plan is refused until it is put right. */
static void settings_out_of_range_are_refused(void **state) {
    tw_error error = {0};
    tw_job *job = NULL;
    (void)state;
    assert_ok(tw_job_open(day, NULL, &job, &error), error);
    tw_job_set_effort(job, (tw_effort)3);
    assert_int_equal(tw_job_check(job, &error), TW_USAGE);
    assert_string_equal(error.name, "bad-effort");
    assert_string_equal(error.message,
                        "3 is no effort: it must be from 0 (normal) to 2 (thorough)");
    tw_job_set_effort(job, (tw_effort)-1);
    assert_int_equal(tw_job_plan(job, &error), TW_USAGE);
    tw_job_set_effort(job, TW_EFFORT_QUICK);
    tw_job_set_plan(job, (tw_plan_kind)4);
    assert_int_equal(tw_job_check_pixels(job, &error), TW_USAGE);
    assert_string_equal(error.name, "bad-plan");
    assert_string_equal(error.message,
                        "4 is no kind of plan: it must be from 0 (price) to 3 (rows)");
    tw_job_set_plan(job, (tw_plan_kind)-1);
    assert_int_equal(tw_job_plan(job, &error), TW_USAGE);
    assert_int_equal(tw_job_error_count(job), 0);
    tw_job_set_plan(job, TW_PLAN_PAPER);
    assert_ok(tw_job_plan(job, &error), error);
    tw_job_close(job);
}

static void small_services(void **state) {
    static const char *const names[] = {"check", "compose"};
    char text[64];
    tw_error error = {0};
    (void)state;
    tw_length_text(215900000, text, sizeof text);
    assert_string_equal(text, "8 1/2 in (215.9 mm)");
    tw_length_text(215900000, text, 6);
    assert_string_equal(text, "8 1/2");
    assert_string_equal(tw_nearest_name("chekc", names, 2), "check");
    assert_null(tw_nearest_name("zzzzzz", names, 2));
    assert_int_equal(tw_error_set(&error, TW_USAGE, "name", "bad \x1b[31m", "do"), TW_USAGE);
    assert_string_equal(error.message, "bad \\x1B[31m");
    assert_string_equal(error.hint, "do");
    tw_text_free(NULL, NULL);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(opens_plans_and_composes),
        cmocka_unit_test(a_test_strip_is_written),
        cmocka_unit_test(a_job_that_cannot_be_read_still_speaks),
        cmocka_unit_test(a_quick_job_knows_its_bounds),
        cmocka_unit_test(memory_may_run_out_anywhere),
        cmocka_unit_test(memory_may_run_out_in_a_strip),
        cmocka_unit_test(start_may_run_out_of_memory),
        cmocka_unit_test(a_cancelled_run_leaves_nothing),
        cmocka_unit_test(cancelled_looks_at_pixels_are_made_again),
        cmocka_unit_test(settings_out_of_range_are_refused),
        cmocka_unit_test(small_services),
    };
    return cmocka_run_group_tests(tests, make_day, remove_day);
}
