/* Messages: their one-line form, exit codes, safety on a terminal, and the report. */
#include "base/error.h"

#include "testing.h"

static const char *text_of(const tw_error *error, size_t size) {
    static char out[2048];
    memset(out, 'z', sizeof out);
    tw_error_text(error, out, size);
    return out;
}

/* The design's own example, character for character (without the command's name). */
static void one_line_with_file_line_and_hint(void **state) {
    (void)state;
    tw_error error;
    assert_int_equal(tw_fail(&error, TW_INPUT, "unknown-template",
                             "template \"%s\" is not in frames-inch.json", "8x11"),
                     TW_INPUT);
    tw_fail_at(&error, "orders.csv", 7, 0);
    tw_fail_hint(&error, "nearest: \"%s\"", "8x10");
    assert_string_equal(
        text_of(&error, 2048),
        "orders.csv:7: template \"8x11\" is not in frames-inch.json (nearest: \"8x10\")");
    assert_string_equal(error.name, "unknown-template");
}

static void places_are_told_as_far_as_known(void **state) {
    (void)state;
    tw_error error;
    tw_fail(&error, TW_INPUT, "x", "bad");
    assert_string_equal(text_of(&error, 99), "bad");
    tw_fail_pointer(&error, "/layout/gutter");
    assert_string_equal(text_of(&error, 99), "/layout/gutter: bad");
    tw_fail_at(&error, "job.json", 0, 0);
    assert_string_equal(text_of(&error, 99), "job.json: /layout/gutter: bad");
    tw_fail_at(&error, NULL, 12, 0);
    assert_string_equal(text_of(&error, 99), "job.json:12: bad");
    tw_fail_at(&error, NULL, 0, 5);
    assert_string_equal(text_of(&error, 99), "job.json:12:5: bad");
    tw_fail_at(&error, NULL, 0, 0); /* leaves what is there */
    assert_string_equal(text_of(&error, 99), "job.json:12:5: bad");
}

static void a_new_failure_forgets_the_old_one(void **state) {
    (void)state;
    tw_error error;
    memset(&error, 0x5A, sizeof error);
    tw_fail(&error, TW_IO, "new", "new");
    assert_int_equal(error.code, TW_IO);
    assert_int_equal(error.line, 0);
    assert_int_equal(error.column, 0);
    assert_string_equal(error.file, "");
    assert_string_equal(error.pointer, "");
    assert_string_equal(error.hint, "");
}

static void no_error_wanted_is_fine(void **state) {
    (void)state;
    assert_int_equal(tw_fail(NULL, TW_IO, "x", "%d", 1), TW_IO);
    tw_fail_at(NULL, "a", 1, 1);
    tw_fail_pointer(NULL, "a");
    tw_fail_hint(NULL, "a");
    assert_int_equal(tw_no_memory(NULL), TW_MEMORY);
}

/* Exit codes as the design fixes them. */
static void exit_codes(void **state) {
    (void)state;
    static const struct {
        tw_code code;
        int exit;
    } rows[] = {{TW_OK, 0},      {TW_USAGE, 2},   {TW_STRICT, 3},    {TW_INPUT, 4},
                {TW_DAMAGED, 4}, {TW_NOT_YET, 4}, {TW_CANCELLED, 5}, {TW_MEMORY, 5},
                {TW_IO, 5},      {TW_BUG, 70},    {(tw_code)99, 70}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_int_equal(tw_exit_code(rows[i].code), rows[i].exit);
}

/* What a terminal would act on is shown, not sent: C0, DEL and C1 controls (ECMA-48), the
 * controls that turn a line around (Unicode UAX 9), line separators, and bytes not UTF-8. */
static void what_drives_a_terminal_is_shown_as_bytes(void **state) {
    (void)state;
    static const char *const rows[][2] = {
        {"red \x1B[31m", "red \\x1B[31m"},
        {"two\r\nlines\t", "two\\x0D\\x0Alines\\x09"},
        {"del\x7F", "del\\x7F"},
        {"c1 \xC2\x9B", "c1 \\xC2\\x9B"},
        {"override \xE2\x80\xAEgpj", "override \\xE2\\x80\\xAEgpj"},
        {"isolate \xE2\x81\xA7", "isolate \\xE2\\x81\\xA7"},
        {"separator \xE2\x80\xA8", "separator \\xE2\\x80\\xA8"},
        {"latin1 \xE9t\xE9", "latin1 \\xE9t\\xE9"},
        {"half \xE2\x82", "half \\xE2\\x82"},
        {"overlong \xC0\xAF", "overlong \\xC0\\xAF"},
        {"surrogate \xED\xA0\x80", "surrogate \\xED\\xA0\\x80"},
        {"fine: \xC3\xA9 \xE2\x82\xAC \xF0\x9F\x93\xB7",
         "fine: \xC3\xA9 \xE2\x82\xAC \xF0\x9F\x93\xB7"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tw_error error;
        tw_fail(&error, TW_INPUT, "x", "%s", rows[i][0]);
        tw_fail_hint(&error, "%s", rows[i][0]);
        tw_fail_at(&error, rows[i][0], 0, 0);
        tw_fail_pointer(&error, rows[i][0]);
        assert_string_equal(error.message, rows[i][1]);
        assert_string_equal(error.hint, rows[i][1]);
        assert_string_equal(error.file, rows[i][1]);
        assert_string_equal(error.pointer, rows[i][1]);
    }
}

/* Cut at a whole character, and said to be cut; at every length around the bound. */
static void long_text_is_cut_and_says_so(void **state) {
    (void)state;
    tw_error error;
    char text[700];
    for (size_t length = 250; length < 600; length++) {
        for (size_t i = 0; i < length; i++)
            text[i] = "\xE2\x82\xAC"[i % 3]; /* euro signs, the last perhaps cut */
        text[length - length % 3] = '\0';
        tw_fail(&error, TW_INPUT, "x", "%s", text);
        bool cut = strlen(text) >= sizeof error.message;
        size_t shown = strlen(error.message);
        assert_int_equal(shown % 3, 0);
        if (cut) {
            assert_in_range(shown, sizeof error.message - 6, sizeof error.message - 1);
            assert_string_equal(error.message + shown - 3, "...");
        } else {
            assert_string_equal(error.message, text);
        }
    }
}

/* Plain letters: every length up to the bound fits, one more is cut. */
static void the_bound_of_a_message_is_exact(void **state) {
    (void)state;
    tw_error error;
    char text[600];
    memset(text, 'a', sizeof text);
    for (size_t length = 500; length < 530; length++) {
        tw_fail(&error, TW_INPUT, "x", "%.*s", (int)length, text);
        bool fits = length < sizeof error.message;
        assert_int_equal(strlen(error.message), fits ? length : sizeof error.message - 1);
        assert_int_equal(strcmp(error.message + strlen(error.message) - 3, "...") == 0, !fits);
    }
}

static void the_line_fits_any_buffer(void **state) {
    (void)state;
    tw_error error;
    tw_fail(&error, TW_INPUT, "x", "\xE2\x82\xAC 5 is too much");
    tw_fail_at(&error, "a.json", 3, 4);
    char out[64];
    for (size_t size = 1; size < sizeof out; size++) {
        memset(out, 'z', sizeof out);
        tw_error_text(&error, out, size);
        assert_true(strlen(out) < size);
        assert_int_equal(strncmp("a.json:3:4: \xE2\x82\xAC 5 is too much", out, strlen(out)), 0);
        assert_int_not_equal((unsigned char)out[strlen(out) - (strlen(out) > 0)] & 0xC0, 0xC0);
        assert_int_equal(out[size], 'z');
    }
    out[0] = 'z';
    tw_error_text(&error, out, 0);
    assert_int_equal(out[0], 'z');
}

static void the_report_keeps_order_and_counts_what_it_drops(void **state) {
    (void)state;
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    tw_report report;
    tw_error message, error;
    tw_report_start(&report, arena);
    for (int i = 0; i < TW_REPORT_MOST + 5; i++) {
        tw_fail(&message, TW_INPUT, "x", "number %d", i);
        assert_ok(tw_report_warning(&report, &message, &error), error);
    }
    assert_ok(tw_report_error(&report, &message, &error), error);
    assert_int_equal(report.warnings.count, TW_REPORT_MOST);
    assert_int_equal(report.dropped, 5);
    assert_string_equal(report.warnings.items[0].message, "number 0");
    assert_string_equal(report.warnings.items[9999].message, "number 9999");
    assert_int_equal(report.errors.count, 1);
    tw_arena_free(arena);
    assert_no_leak(memory);
}

static void a_report_without_memory_says_so(void **state) {
    (void)state;
    tw_arena *arena = tw_arena_new(NULL, 64);
    tw_report report;
    tw_error message = {.code = TW_INPUT}, error;
    tw_report_start(&report, arena);
    assert_int_equal(tw_report_error(&report, &message, &error), TW_MEMORY);
    assert_int_equal(report.errors.count, 0);
    tw_arena_free(arena);
}

static void the_version_is_three_numbers(void **state) {
    (void)state;
    int major, minor, patch, end = 0;
    assert_int_equal(sscanf(tw_version(), "%d.%d.%d%n", &major, &minor, &patch, &end), 3);
    assert_int_equal(tw_version()[end], '\0');
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_line_with_file_line_and_hint),
        cmocka_unit_test(places_are_told_as_far_as_known),
        cmocka_unit_test(a_new_failure_forgets_the_old_one),
        cmocka_unit_test(no_error_wanted_is_fine),
        cmocka_unit_test(exit_codes),
        cmocka_unit_test(what_drives_a_terminal_is_shown_as_bytes),
        cmocka_unit_test(long_text_is_cut_and_says_so),
        cmocka_unit_test(the_bound_of_a_message_is_exact),
        cmocka_unit_test(the_line_fits_any_buffer),
        cmocka_unit_test(the_report_keeps_order_and_counts_what_it_drops),
        cmocka_unit_test(a_report_without_memory_says_so),
        cmocka_unit_test(the_version_is_three_numbers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
