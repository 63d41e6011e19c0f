/*
 * Rows kept for the next time: the file is gone by then, and they are the same. What is not to come
 * again, was not read to its end or finds no room is decoded each time.
 */
#include "testing.h"

#include <fcntl.h>
#include <unistd.h>

#include "image/rows_testing.h"
#include "make_image.h"
#include "pixels/kept_rows.h"

typedef struct day {
    test_memory memory;
    tw_allocator allocator;
    tw_arena *arena;
    tw_image image;
    tw_kept *kept;
    int descriptor; /* the least free one */
} day;

/* The image's file has the least number while it is open, what is kept the next. */
static bool keeps_a_file(const day *d) {
    return fcntl(d->descriptor + 1, F_GETFD) >= 0;
}

static int least_descriptor(void) {
    int descriptor = open("/dev/null", O_RDONLY);
    (void)close(descriptor);
    return descriptor;
}

/* An image of two sizes: it stands there treated, and so is decoded. */
static void open_day(day *d, int compression, int times) {
    tw_error error = {0};
    made_tiff made = {.photometric = 2, .depth = 16, .compression = compression, .strip = 10};
    made.width = 75;
    made.height = 53;
    const char *path = scratch("kept.tif");
    make_tiff(path, &made);
    memset(d, 0, sizeof *d);
    d->descriptor = least_descriptor();
    d->allocator = test_allocator(&d->memory);
    d->arena = tw_arena_new(&d->allocator, 0);
    assert_ok(tw_image_read(d->arena, path, &d->image, &error), error);
    d->image.treat.width = 30;
    d->image.treat.height = 20;
    assert_ok(tw_kept_new(&d->allocator, &d->kept, &error), error);
    for (int i = 0; i < times; i++)
        assert_ok(tw_kept_expect(d->kept, &d->image, false, &error), error);
}

static void close_day(day *d) {
    tw_kept_free(d->kept);
    tw_arena_free(d->arena);
    assert_no_leak(d->memory);
    assert_int_equal(least_descriptor(), d->descriptor);
    assert_false(keeps_a_file(d));
    (void)unlink(scratch("kept.tif"));
}

static read_rows read_once(day *d) {
    read_rows out = {0};
    tw_rows *rows = NULL;
    out.code = tw_kept_rows(d->kept, &d->allocator, &d->image, false, &rows, &out.error);
    if (out.code == TW_OK)
        out.code = read_them(rows, &out);
    tw_rows_close(rows);
    return out;
}

static void assert_reads(day *d, const read_rows *wanted) {
    read_rows seen = read_once(d);
    assert_ok(seen.code, seen.error);
    assert_int_equal(seen.length, wanted->length);
    assert_int_equal(seen.form.bits, wanted->form.bits);
    assert_memory_equal(seen.bytes, wanted->bytes, seen.length);
    free_rows(&seen);
}

static void assert_gone(day *d) {
    read_rows seen = read_once(d);
    assert_int_equal(seen.code, TW_INPUT);
    free_rows(&seen);
}

static void the_file_is_decoded_once(void **state) {
    (void)state;
    day d;
    open_day(&d, 5, 3);
    read_rows first = read_once(&d);
    assert_ok(first.code, first.error);
    assert_int_equal(unlink(d.image.path), 0);
    assert_reads(&d, &first);
    assert_true(keeps_a_file(&d));
    assert_reads(&d, &first);
    assert_false(keeps_a_file(&d)); /* nobody comes for it any more */
    assert_gone(&d);
    free_rows(&first);
    close_day(&d);
}

static void assert_not_kept(int compression, int times) {
    day d;
    open_day(&d, compression, times);
    read_rows first = read_once(&d);
    assert_ok(first.code, first.error);
    assert_int_equal(unlink(d.image.path), 0);
    assert_gone(&d);
    free_rows(&first);
    close_day(&d);
}

static void what_does_not_come_again_is_not_kept(void **state) {
    (void)state;
    assert_not_kept(5, 1);
}

/* Samples that lie in the file as they are. */
static void what_is_not_packed_is_not_kept(void **state) {
    (void)state;
    assert_not_kept(1, 2);
}

static void half_an_image_is_not_kept(void **state) {
    (void)state;
    day d;
    tw_error error = {0};
    unsigned char row[75 * 6];
    tw_rows *rows = NULL;
    open_day(&d, 5, 3);
    assert_ok(tw_kept_rows(d.kept, &d.allocator, &d.image, false, &rows, &error), error);
    for (int y = 0; y < 20; y++)
        assert_ok(tw_rows_next(rows, row, &error), error);
    tw_rows_close(rows);
    read_rows second = read_once(&d);
    assert_ok(second.code, second.error);
    assert_int_equal(unlink(d.image.path), 0);
    assert_reads(&d, &second);
    free_rows(&second);
    close_day(&d);
}

static void without_room_it_is_decoded_again(void **state) {
    (void)state;
    day d;
    char *folder = getenv("TMPDIR") == NULL ? NULL : strdup(getenv("TMPDIR"));
    open_day(&d, 5, 2);
    (void)setenv("TMPDIR", "/nowhere/at/all", 1);
    read_rows first = read_once(&d);
    assert_ok(first.code, first.error);
    assert_reads(&d, &first);
    (void)(folder == NULL ? unsetenv("TMPDIR") : setenv("TMPDIR", folder, 1));
    free(folder);
    free_rows(&first);
    close_day(&d);
}

/* As /dev/full: the file was made, and then the disk is full. */
static void a_full_disk_is_no_failure(void **state) {
    (void)state;
    day d;
    open_day(&d, 5, 2);
    int full = open("/dev/full", O_RDWR);
    if (full < 0)
        skip();
    (void)close(full);
    tw_error error = {0};
    tw_rows *rows = NULL;
    read_rows seen = {0};
    assert_ok(tw_kept_rows(d.kept, &d.allocator, &d.image, false, &rows, &error), error);
    int kept = least_descriptor() - 1; /* the temporary was opened last */
    full = open("/dev/full", O_RDWR);
    assert_true(dup2(full, kept) == kept);
    (void)close(full);
    assert_ok(read_them(rows, &seen), seen.error);
    tw_rows_close(rows);
    assert_reads(&d, &seen);
    free_rows(&seen);
    close_day(&d);
}

static void no_memory_is_said_and_leaks_nothing(void **state) {
    (void)state;
    day d;
    open_day(&d, 5, 2);
    for (long n = 1, failed = 1; failed; n++) {
        d.memory.fail_at = d.memory.asked + n;
        read_rows seen = read_once(&d);
        failed = seen.code == TW_MEMORY;
        assert_true(failed || seen.code == TW_OK);
        free_rows(&seen);
        tw_kept_free(d.kept);
        d.memory.fail_at = 0;
        tw_error error = {0};
        assert_ok(tw_kept_new(&d.allocator, &d.kept, &error), error);
        assert_ok(tw_kept_expect(d.kept, &d.image, false, &error), error);
        assert_ok(tw_kept_expect(d.kept, &d.image, false, &error), error);
    }
    close_day(&d);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_file_is_decoded_once),
        cmocka_unit_test(what_does_not_come_again_is_not_kept),
        cmocka_unit_test(what_is_not_packed_is_not_kept),
        cmocka_unit_test(half_an_image_is_not_kept),
        cmocka_unit_test(without_room_it_is_decoded_again),
        cmocka_unit_test(a_full_disk_is_no_failure),
        cmocka_unit_test(no_memory_is_said_and_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
