/* Proofs with views kept from the last one: the same pictures, whatever became of the images or of
 * the file of views. */
#include "proof/proof_sample.h"

#include <fcntl.h>
#include <unistd.h>

/* Long after the images were made. */
static int64_t later(const sample_day *d) {
    return d->images[2].state.changed_seconds + 100;
}

/* A proof into the folder with what is kept there; how many images it took from there. */
static size_t proof_again(sample_day *d, const char *folder, int threads,
                          tw_proof_line lines[PRINTS]) {
    tw_proof_views views;
    tw_error error = {0};
    tw_proof_views_open(&views, NULL, folder, later(d));
    d->views = &views;
    assert_ok(proof(NULL, d, folder, threads, NULL, lines, &error), error);
    d->views = NULL;
    assert_int_equal(views.images, IMAGES);
    tw_proof_views_close(&views);
    return views.again;
}

/* The pictures in the folder are those of a proof that kept nothing. */
static void assert_pictures(const sample_day *d, const char *folder, int threads) {
    tw_error error = {0};
    tw_proof_line lines[PRINTS];
    assert_null(d->views);
    assert_ok(proof(NULL, d, folder, 9, NULL, lines, &error), error);
    for (size_t i = 0; i < PRINTS; i++) {
        assert_true(same_files(folder, name_of("proof", 9, i), name_of("proof", threads, i)));
        assert_true(same_files(folder, name_of("gamut", 9, i), name_of("gamut", threads, i)));
    }
}

static void pictures_are_the_same_with_and_without(void **state) {
    (void)state;
    sample_day d;
    tw_proof_line first[PRINTS], lines[PRINTS];
    size_t length = 0, now = 0;
    start(&d);
    path folder = new_folder("same"), file = path_in(folder.text, TW_VIEWS_FILE);
    assert_int_equal(proof_again(&d, folder.text, 1, first), 0);
    assert_pictures(&d, folder.text, 1);
    unsigned char *bytes = read_file(file.text, &length);
    for (int threads = 1; threads <= 3; threads++) {
        assert_int_equal(proof_again(&d, folder.text, threads, lines), IMAGES);
        assert_pictures(&d, folder.text, threads);
        for (size_t i = 0; i < PRINTS; i++)
            assert_memory_equal(&lines[i].figures, &first[i].figures, sizeof(tw_proof_figures));
        unsigned char *again = read_file(file.text, &now);
        assert_true(now == length && memcmp(again, bytes, length) == 0);
        free(again);
    }
    free(bytes);
    assert_int_equal(unlink(file.text), 0);
    assert_int_equal(proof_again(&d, folder.text, 2, lines), 0);
    bytes = read_file(file.text, &now); /* made by other threads */
    assert_int_equal(now, length);
    assert_int_equal(proof_again(&d, folder.text, 1, lines), IMAGES);
    unsigned char *again = read_file(file.text, &now);
    assert_memory_equal(again, bytes, length);
    free(again);
    free(bytes);
    end(&d);
}

/* More prints of an image than a round holds: it is one image, kept once. */
static void an_image_is_kept_once(void **state) {
    (void)state;
    enum { MANY = 70 };
    sample_day d;
    tw_proof_views views;
    tw_error error = {0};
    tw_files *files = NULL;
    static char names[MANY][2][40];
    tw_proof_line lines[MANY];
    size_t one = 0, many = 0;
    start(&d);
    path folder = new_folder("many");
    for (size_t count = 1; count <= MANY; count += MANY - 1) {
        tw_proof_views_open(&views, NULL, folder.text, later(&d));
        assert_ok(tw_files_start(NULL, folder.text, &files, &error), error);
        for (size_t i = 0; i < count; i++) {
            snprintf(names[i][0], sizeof names[i][0], "proof-%zu.png", i);
            snprintf(names[i][1], sizeof names[i][1], "gamut-%zu.png", i);
            lines[i] = (tw_proof_line){&d.prints[2], names[i][0], names[i][1], {0}};
        }
        const tw_proof_day day = {&d.job, &d.facts, true, NULL, files, 2, &views};
        assert_ok(tw_proof_pictures(d.arena, &day, lines, count, &error), error);
        assert_ok(tw_files_commit(files, &error), error);
        tw_files_abandon(files);
        tw_proof_views_close(&views);
        assert_int_equal(views.images, 1);
        free(read_file(path_in(folder.text, TW_VIEWS_FILE).text, count == 1 ? &one : &many));
    }
    assert_int_equal(many, one);
    end(&d);
}

/* ------------------------------------------------ images that changed */

static void read_first(sample_day *d) {
    tw_error error = {0};
    tw_image *image = &d->images[0];
    path p = path_in(scratch(""), "a.tif");
    assert_ok(tw_image_read(d->arena, p.text, image, &error), error);
    image->source = (unsigned char *)d->srgb.bytes;
    image->source_length = d->srgb.length;
}

/* Other pixels in a file of the same size, inode and time of writing: its status alone tells. */
static void a_change_is_seen_though_the_time_is_put_back(void **state) {
    (void)state;
    sample_day d;
    tw_proof_line lines[PRINTS];
    size_t length = 0;
    start(&d);
    path folder = new_folder("changed"), first = path_in(scratch(""), "a.tif");
    assert_int_equal(proof_again(&d, folder.text, 2, lines), 0);
    tw_proof_figures before = lines[1].figures;
    unsigned char *bytes = read_file(first.text, &length);
    for (size_t i = 0; i < 9000; i++)
        bytes[length / 2 + i] ^= 0xFF;
    const tw_file_state old = d.images[0].state;
    const struct timespec times[2] = {{old.seconds, old.nanoseconds},
                                      {old.seconds, old.nanoseconds}};
    do { /* until the file system's clock has gone on */
        int out = open(first.text, O_WRONLY);
        assert_true(out >= 0 && write(out, bytes, length) == (ssize_t)length);
        assert_true(close(out) == 0 && utimensat(AT_FDCWD, first.text, times, 0) == 0);
        read_first(&d);
        assert_true(tw_file_state_same(&old, &d.images[0].state));
    } while (d.images[0].state.changed_seconds == old.changed_seconds &&
             d.images[0].state.changed_nanoseconds == old.changed_nanoseconds);
    free(bytes);
    assert_int_equal(proof_again(&d, folder.text, 1, lines), IMAGES - 1);
    assert_memory_not_equal(&lines[1].figures, &before, sizeof before);
    assert_pictures(&d, folder.text, 1);
    end(&d);
}

/* It was looked at, and touched before its view was taken. */
static void an_image_touched_meanwhile_is_refused(void **state) {
    (void)state;
    sample_day d;
    tw_proof_views views;
    tw_proof_view view;
    tw_proof_line lines[PRINTS];
    tw_error error = {0};
    const struct timespec times[2] = {{1, 0}, {1, 0}};
    start(&d);
    path folder = new_folder("touched"), first = path_in(scratch(""), "a.tif");
    (void)proof_again(&d, folder.text, 2, lines);
    tw_proof_views_open(&views, NULL, folder.text, later(&d));
    assert_ok(tw_proof_see(d.arena, &d.images[0], &views, &view, &error), error);
    assert_true(view.again);
    assert_int_equal(utimensat(AT_FDCWD, first.text, times, 0), 0);
    assert_int_equal(tw_proof_see(d.arena, &d.images[0], &views, &view, &error), TW_INPUT);
    assert_string_equal(error.name, "image-changed");
    assert_true(view.again);
    tw_proof_views_close(&views);
    end(&d);
}

/* One view of three is broken: that image alone is decoded, and nothing is to be seen. */
static void a_broken_view_is_made_anew(void **state) {
    (void)state;
    sample_day d;
    tw_proof_line lines[PRINTS];
    size_t length = 0;
    start(&d);
    path folder = new_folder("broken"), file = path_in(folder.text, TW_VIEWS_FILE);
    (void)proof_again(&d, folder.text, 2, lines);
    unsigned char *bytes = read_file(file.text, &length);
    bytes[length / 2] ^= 0x40;
    write_file(file.text, bytes, length);
    assert_int_equal(proof_again(&d, folder.text, 2, lines), IMAGES - 1);
    assert_pictures(&d, folder.text, 2);
    assert_int_equal(proof_again(&d, folder.text, 2, lines), IMAGES);
    free(bytes);
    end(&d);
}

/* A link of that name goes; what it leads to is neither read nor written. */
static void a_link_is_replaced(void **state) {
    (void)state;
    sample_day d;
    tw_proof_line lines[PRINTS];
    struct stat facts, before;
    start(&d);
    path folder = new_folder("link"), file = path_in(folder.text, TW_VIEWS_FILE);
    path elsewhere = path_in(folder.text, "elsewhere");
    assert_int_equal(proof_again(&d, folder.text, 2, lines), 0);
    assert_int_equal(rename(file.text, elsewhere.text), 0);
    assert_int_equal(symlink("elsewhere", file.text), 0);
    assert_int_equal(stat(elsewhere.text, &before), 0);
    assert_int_equal(proof_again(&d, folder.text, 2, lines), 0);
    assert_true(lstat(file.text, &facts) == 0 && S_ISREG(facts.st_mode));
    assert_int_equal(stat(elsewhere.text, &facts), 0);
    assert_true(facts.st_ino == before.st_ino && facts.st_mtime == before.st_mtime &&
                facts.st_size == before.st_size);
    end(&d);
}

static void memory_runs_out(void **state) {
    (void)state;
    sample_day d;
    tw_proof_line lines[PRINTS];
    tw_code code = TW_MEMORY;
    start(&d);
    path folder = new_folder("memory");
    (void)proof_again(&d, folder.text, 2, lines);
    for (long at = 1; code != TW_OK; at += at < 20 ? 1 : 211) {
        test_memory memory = {.fail_at = at};
        tw_allocator allocator = test_allocator(&memory);
        tw_proof_views views;
        tw_proof_views_open(&views, &allocator, folder.text, later(&d));
        d.views = &views;
        code = proof(&allocator, &d, folder.text, 2, NULL, lines, NULL);
        tw_proof_views_close(&views);
        assert_true(code == TW_OK || code == TW_MEMORY);
        assert_no_leak(memory);
    }
    end(&d);
}

/* Refuses one block large enough for a view of the first image, and gives all others. */
enum { LARGE = 70 * 90 * 6 };

typedef struct large_memory {
    long large, fail_at;
} large_memory;

static void *allocate_but_one(void *context, size_t size) {
    large_memory *memory = context;
    bool large = size > LARGE;
    memory->large += large;
    return large && memory->large == memory->fail_at ? NULL : malloc(size);
}

static void release(void *context, void *block) {
    (void)context;
    free(block);
}

/* Whatever block it was, no view is kept in part. The first image comes first. */
static void memory_lacks_once(void **state) {
    (void)state;
    sample_day d;
    tw_proof_line lines[PRINTS];
    large_memory memory = {.fail_at = 1};
    const tw_allocator allocator = {allocate_but_one, release, &memory};
    start(&d);
    path folder = new_folder("once");
    for (bool lacked = true; lacked; memory.fail_at++) {
        tw_proof_views views;
        memory.large = 0;
        tw_proof_views_open(&views, &allocator, folder.text, later(&d));
        d.views = &views;
        tw_code code = proof(&allocator, &d, folder.text, 1, NULL, lines, NULL);
        tw_proof_views_close(&views);
        d.views = NULL;
        assert_true(code == TW_OK || code == TW_MEMORY);
        if (code == TW_OK)
            assert_int_equal(proof_again(&d, folder.text, 1, lines), IMAGES);
        lacked = memory.large >= memory.fail_at && memory.fail_at < 30;
        (void)unlink(path_in(folder.text, TW_VIEWS_FILE).text);
    }
    end(&d);
}

static void the_report_says_what_was_used_again(void **state) {
    (void)state;
    tw_buffer text;
    tw_proof_views views = {.images = 3};
    tw_buffer_start(&text, NULL);
    tw_proof_views_text(&views, &text);
    assert_int_equal(text.length, 0);
    views.again = 2;
    tw_proof_views_text(&views, &text);
    assert_non_null(strstr(text.bytes, "2 of 3 images stand as they did"));
    assert_non_null(strstr(text.bytes, "remove .trimwell-views there."));
    tw_buffer_free(&text);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pictures_are_the_same_with_and_without),
        cmocka_unit_test(an_image_is_kept_once),
        cmocka_unit_test(a_change_is_seen_though_the_time_is_put_back),
        cmocka_unit_test(an_image_touched_meanwhile_is_refused),
        cmocka_unit_test(a_broken_view_is_made_anew),
        cmocka_unit_test(a_link_is_replaced),
        cmocka_unit_test(memory_runs_out),
        cmocka_unit_test(memory_lacks_once),
        cmocka_unit_test(the_report_says_what_was_used_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
