/*
 * A set of files that appears together or not at all: before commit nothing has its final name,
 * after a failure nothing but what is said is new, and no temporary is ever left.
 */
#include "base/file.h"

#include "scratch.h"

#include <errno.h>
#include <signal.h>
#include <sys/resource.h>

static tw_error error;
static tw_files *files;

static void start_set(const char *folder) {
    memset(&error, 0, sizeof error);
    assert_ok(tw_files_start(NULL, folder, &files, &error), error);
}

static void write_text(const char *name, const char *text) {
    assert_ok(tw_files_write(files, name, text, strlen(text), &error), error);
}

static void nothing_has_its_name_before_commit(void **state) {
    (void)state;
    put_file("old.txt", "old");
    start_set(scratch);
    write_text("old.txt", "new");
    write_text("fresh.txt", "fresh");
    assert_file("old.txt", "old");
    assert_int_equal(access(in_scratch("fresh.txt"), F_OK), -1);
    assert_ok(tw_files_commit(files, &error), error);
    assert_file("old.txt", "new");
    assert_file("fresh.txt", "fresh");
    tw_files_abandon(files);
    assert_int_equal(count_entries(""), 2);
}

static void abandoned_it_never_was(void **state) {
    (void)state;
    put_file("old.txt", "old");
    start_set(scratch);
    write_text("old.txt", "new");
    write_text("fresh.txt", "fresh");
    assert_ok(tw_files_remove(files, "old.txt", &error), error);
    tw_files_abandon(files);
    tw_files_abandon(NULL);
    assert_file("old.txt", "old");
    assert_int_equal(count_entries(""), 1);
}

/* The temporary's own name tells what it is and begins with a point, so that it is not taken for
 * a result while the work goes on. */
static void a_temporary_can_be_written_by_others(void **state) {
    (void)state;
    const char *path;
    start_set(scratch);
    assert_ok(tw_files_add(files, "sheet-01.pdf", &path, &error), error);
    assert_string_equal(path, in_scratch(".sheet-01.pdf.trimwell-tmp"));
    write_text("b.txt", "b"); /* the path stays the set's and valid */
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    fputs("pdf", out);
    fclose(out);
    assert_ok(tw_files_commit(files, &error), error);
    tw_files_abandon(files);
    assert_file("sheet-01.pdf", "pdf");
    assert_int_equal(count_entries(""), 2);
}

/* Begun by the first bytes or by tw_files_add; another's path of the same name is left alone. */
static void bytes_can_follow_one_another(void **state) {
    (void)state;
    const char *path;
    put_file("a.txt", "old");
    start_set(scratch);
    assert_ok(tw_files_add(files, "b.txt", &path, &error), error);
    for (int i = 0; i < 3; i++) {
        assert_ok(tw_files_append(files, "a.txt", "ab", 2, &error), error);
        assert_ok(tw_files_append(files, "b.txt", "cde", (size_t)i, &error), error);
    }
    assert_file("a.txt", "old");
    assert_ok(tw_files_commit(files, &error), error);
    tw_files_abandon(files);
    assert_file("a.txt", "ababab");
    assert_file("b.txt", "ccd");
    assert_int_equal(count_entries(""), 2);
}

static void what_follows_needs_what_was_before(void **state) {
    (void)state;
    start_set(scratch);
    write_text("a.txt", "a");
    assert_int_equal(unlink(in_scratch(".a.txt.trimwell-tmp")), 0);
    assert_int_equal(symlink("victim", in_scratch(".a.txt.trimwell-tmp")), 0);
    assert_int_equal(tw_files_append(files, "a.txt", "b", 1, &error), TW_IO);
    assert_string_equal(error.name, "not-writable");
    tw_files_abandon(files);
    assert_int_equal(count_entries(""), 0);
}

/* Two runs at once, and what a crash left behind: each set has temporaries of its own. */
static void temporaries_are_never_shared(void **state) {
    (void)state;
    put_file(".a.txt.trimwell-tmp", "left by a crash");
    assert_int_equal(symlink("victim", in_scratch(".a.txt.trimwell-tmp-1")), 0);
    start_set(scratch);
    write_text("a.txt", "new");
    assert_ok(tw_files_commit(files, &error), error);
    tw_files_abandon(files);
    assert_file("a.txt", "new");
    assert_file(".a.txt.trimwell-tmp", "left by a crash");
    assert_int_equal(access(in_scratch("victim"), F_OK), -1); /* the link was not followed */
}

static void the_folder_is_made_and_goes_again_when_empty(void **state) {
    (void)state;
    start_set(in_scratch("out"));
    write_text("a.txt", "a");
    tw_files_abandon(files);
    assert_int_equal(access(in_scratch("out"), F_OK), -1);
    start_set(in_scratch("out/"));
    write_text("a.txt", "a");
    assert_ok(tw_files_commit(files, &error), error);
    tw_files_abandon(files);
    assert_file("out/a.txt", "a");
}

static void assert_cannot_start(const char *folder, const char *says) {
    assert_int_equal(tw_files_start(NULL, folder, &files, &error), TW_IO);
    assert_null(files);
    assert_string_equal(error.name, "not-writable");
    assert_says(error, says);
    assert_string_equal(error.file, folder);
}

static void a_folder_that_cannot_be_is_the_machines_fault(void **state) {
    (void)state;
    put_file("plain", "x");
    assert_cannot_start(in_scratch("a/b"), "cannot be made: No such file or directory");
    assert_cannot_start(in_scratch("plain"), "cannot be written to: Not a directory");
    assert_cannot_start(in_scratch("plain/x"), "cannot be made: Not a directory");
    if (geteuid() == 0)
        return; /* permissions do not bind root */
    assert_int_equal(mkdir(in_scratch("locked"), 0500), 0);
    assert_cannot_start(in_scratch("locked"), "cannot be written to: Permission denied");
}

static void names_must_be_plain(void **state) {
    (void)state;
    static const char *const rows[] = {"", ".", "..", "a/b", "/a", "../a", "a/"};
    char longest[300];
    start_set(scratch);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *path;
        assert_int_equal(tw_files_add(files, rows[i], &path, &error), TW_INPUT);
        assert_string_equal(error.name, "bad-file-name");
        assert_int_equal(tw_files_write(files, rows[i], "x", 1, &error), TW_INPUT);
        assert_int_equal(tw_files_remove(files, rows[i], &error), TW_INPUT);
    }
    memset(longest, 'a', sizeof longest);
    longest[201] = '\0';
    assert_int_equal(tw_files_write(files, longest, "x", 1, &error), TW_INPUT);
    longest[200] = '\0';
    assert_ok(tw_files_write(files, longest, "x", 1, &error), error);
    assert_int_equal(tw_files_write(files, longest, "x", 1, &error), TW_BUG); /* twice */
    tw_files_abandon(files);
    assert_int_equal(count_entries(""), 0);
}

static void only_files_and_links_are_replaced(void **state) {
    (void)state;
    put_file("victim", "untouched");
    assert_int_equal(mkdir(in_scratch("folder"), 0700), 0);
    assert_int_equal(mkfifo(in_scratch("pipe"), 0600), 0);
    assert_int_equal(symlink("victim", in_scratch("link")), 0);
    start_set(scratch);
    assert_int_equal(tw_files_write(files, "folder", "x", 1, &error), TW_IO);
    assert_says(error, "\"folder\" in");
    assert_int_equal(tw_files_write(files, "pipe", "x", 1, &error), TW_IO);
    assert_int_equal(symlink("folder", in_scratch("to-folder")), 0);
    assert_int_equal(symlink("nowhere", in_scratch("dangling")), 0);
    write_text("link", "new");
    write_text("to-folder", "a file now");
    write_text("dangling", "a file now");
    assert_ok(tw_files_commit(files, &error), error);
    tw_files_abandon(files);
    assert_file("victim", "untouched");
    assert_file("link", "new");
    assert_file("to-folder", "a file now");
    assert_file("dangling", "a file now");
    assert_int_equal(count_entries("folder"), 0);
    assert_int_equal(count_entries(""), 6);
}

static void only_plain_old_files_are_removed(void **state) {
    (void)state;
    put_file("sheet-01.pdf", "1");
    put_file("sheet-02.pdf", "2");
    put_file("mine.txt", "mine");
    assert_int_equal(mkdir(in_scratch("sheet-03.pdf"), 0700), 0);
    assert_int_equal(symlink("mine.txt", in_scratch("sheet-04.pdf")), 0);
    start_set(scratch);
    static const char *const old[] = {"sheet-01.pdf", "sheet-02.pdf", "sheet-03.pdf",
                                      "sheet-04.pdf", "sheet-05.pdf"};
    for (size_t i = 0; i < 5; i++)
        assert_ok(tw_files_remove(files, old[i], &error), error);
    write_text("sheet-01.pdf", "new"); /* written by this set: stays */
    assert_ok(tw_files_commit(files, &error), error);
    tw_files_abandon(files);
    assert_file("sheet-01.pdf", "new");
    assert_int_equal(access(in_scratch("sheet-02.pdf"), F_OK), -1);
    assert_int_equal(access(in_scratch("sheet-03.pdf"), F_OK), 0);
    assert_file("sheet-04.pdf", "mine");
    assert_file("mine.txt", "mine");
}

/* A folder takes the second name while the work goes on: its rename fails, the first is new
 * already and that is said, the third is as it was, no temporary stays. */
static void a_rename_that_fails_midway_is_told(void **state) {
    (void)state;
    put_file("c.txt", "old c");
    put_file("gone.txt", "stays");
    start_set(scratch);
    write_text("a.txt", "new a");
    write_text("b.txt", "new b");
    write_text("c.txt", "new c");
    assert_ok(tw_files_remove(files, "gone.txt", &error), error);
    assert_int_equal(mkdir(in_scratch("b.txt"), 0700), 0);
    assert_int_equal(tw_files_commit(files, &error), TW_IO);
    assert_says(error, "cannot be put in place: Is a directory");
    assert_string_equal(error.hint,
                        "files renamed before it (1) are new already, the rest are as they "
                        "were: run the same command again");
    assert_string_equal(error.file, in_scratch("b.txt"));
    tw_files_abandon(files);
    assert_file("a.txt", "new a");
    assert_file("c.txt", "old c");
    assert_file("gone.txt", "stays");
    assert_int_equal(count_entries(""), 4);
}

static void a_temporary_that_vanished_is_told(void **state) {
    (void)state;
    const char *path;
    start_set(scratch);
    write_text("a.txt", "a");
    assert_ok(tw_files_add(files, "b.txt", &path, &error), error);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(tw_files_commit(files, &error), TW_IO);
    tw_files_abandon(files);
    assert_int_equal(count_entries(""), 0); /* syncing comes before the first rename */
}

/* The folder vanishes while the work goes on. */
static void a_folder_that_vanished_is_told(void **state) {
    (void)state;
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    int before = open("/dev/null", O_RDONLY);
    close(before);
    assert_ok(tw_files_start(&allocator, in_scratch("out"), &files, &error), error);
    assert_int_equal(rmdir(in_scratch("out")), 0);
    assert_int_equal(tw_files_write(files, "a.txt", "x", 1, &error), TW_IO);
    assert_says(error, "cannot be written: No such file or directory");
    tw_files_abandon(files);
    assert_no_leak(memory);
    int after = open("/dev/null", O_RDONLY);
    close(after);
    assert_int_equal(after, before); /* no descriptor left open */
}

/* A bound on file size stands in for a full disk: the write breaks off midway. */
static void a_write_that_breaks_off_leaves_nothing(void **state) {
    (void)state;
    static char bytes[100000];
    struct rlimit before, bound = {5000, RLIM_INFINITY};
    put_file("a.txt", "old");
    start_set(scratch);
    signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    bound.rlim_max = before.rlim_max;
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &bound), 0);
    tw_code code = tw_files_write(files, "a.txt", bytes, sizeof bytes, &error);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &before), 0);
    assert_int_equal(code, TW_IO);
    assert_says(error, "cannot be written: File too large");
    assert_string_equal(error.file, in_scratch("a.txt"));
    assert_int_equal(tw_files_commit(files, &error), TW_BUG); /* half a file is never kept */
    tw_files_abandon(files);
    assert_file("a.txt", "old");
    assert_int_equal(count_entries(""), 1);
}

static void any_allocation_may_fail(void **state) {
    (void)state;
    tw_code code = TW_MEMORY;
    for (long n = 1; code != TW_OK; n++) {
        test_memory memory = {.fail_at = n};
        tw_allocator allocator = test_allocator(&memory);
        const char *path;
        code = tw_files_start(&allocator, in_scratch("out"), &files, &error);
        for (int i = 0; i < 10 && code == TW_OK; i++) {
            char name[] = "a0";
            name[1] = (char)(name[1] + i);
            code = i % 2 == 0 ? tw_files_write(files, name, "x", 1, &error)
                              : tw_files_add(files, name, &path, &error);
        }
        if (code == TW_OK)
            code = tw_files_remove(files, "old", &error);
        if (code == TW_OK)
            code = tw_files_commit(files, &error);
        assert_true(code == TW_OK || code == TW_MEMORY);
        tw_files_abandon(files);
        files = NULL;
        assert_no_leak(memory);
        assert_int_equal(access(in_scratch("out"), F_OK), code == TW_OK ? 0 : -1);
        assert_true(n < 100 && (code != TW_OK || n > 20));
    }
    assert_int_equal(count_entries("out"), 10);
}

#define FILES_TEST(f) cmocka_unit_test_setup_teardown(f, scratch_start, scratch_finish)

int main(void) {
    const struct CMUnitTest tests[] = {
        FILES_TEST(nothing_has_its_name_before_commit),
        FILES_TEST(abandoned_it_never_was),
        FILES_TEST(a_temporary_can_be_written_by_others),
        FILES_TEST(bytes_can_follow_one_another),
        FILES_TEST(what_follows_needs_what_was_before),
        FILES_TEST(temporaries_are_never_shared),
        FILES_TEST(the_folder_is_made_and_goes_again_when_empty),
        FILES_TEST(a_folder_that_cannot_be_is_the_machines_fault),
        FILES_TEST(names_must_be_plain),
        FILES_TEST(only_files_and_links_are_replaced),
        FILES_TEST(only_plain_old_files_are_removed),
        FILES_TEST(a_rename_that_fails_midway_is_told),
        FILES_TEST(a_temporary_that_vanished_is_told),
        FILES_TEST(a_folder_that_vanished_is_told),
        FILES_TEST(a_write_that_breaks_off_leaves_nothing),
        FILES_TEST(any_allocation_may_fail),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
