/*
 * Reading files and finding names: what is no regular file is refused without waiting, nothing
 * is found outside its folder, and a name is found in its exact or its only other capitals.
 */
#include "base/file.h"

#include "scratch.h"

#include <sys/socket.h>
#include <sys/un.h>

static tw_arena *arena;
static tw_error error;

static int start(void **state) {
    arena = tw_arena_new(NULL, 0);
    return arena == NULL || scratch_start(state);
}

static int finish(void **state) {
    tw_arena_free(arena);
    return scratch_finish(state);
}

/* The next descriptor open() would give: the same as before when none was left open. */
static int next_descriptor(void) {
    int descriptor = open("/dev/null", O_RDONLY);
    close(descriptor);
    return descriptor;
}

static tw_code read_file(const char *path, size_t most, char **bytes, size_t *length) {
    memset(&error, 0, sizeof error);
    return tw_file_read(arena, path, most, bytes, length, &error);
}

static void a_file_is_read_whole(void **state) {
    (void)state;
    char *bytes;
    size_t length;
    put_file("a.txt", "12345");
    assert_ok(read_file(in_scratch("a.txt"), 5, &bytes, &length), error);
    assert_int_equal(length, 5);
    assert_string_equal(bytes, "12345");
    put_file("even.txt", "0123456789abcdef0123456789abcdef"); /* as an arena's pieces lie */
    assert_ok(read_file(in_scratch("even.txt"), 99, &bytes, &length), error);
    memset(tw_arena_take(arena, 16), 0xAA, 16);
    assert_int_equal(strlen(bytes), 32);
    put_file("empty.txt", "");
    assert_ok(read_file(in_scratch("empty.txt"), 0, &bytes, &length), error);
    assert_int_equal(length, 0);
    assert_string_equal(bytes, "");
}

static void assert_refused(const char *path, const char *name, const char *says) {
    char *bytes = NULL;
    size_t length;
    int before = next_descriptor();
    assert_int_equal(read_file(path, 4, &bytes, &length), TW_INPUT);
    assert_string_equal(error.name, name);
    assert_says(error, says);
    assert_string_equal(error.file, path);
    assert_int_equal(next_descriptor(), before);
    assert_null(bytes);
}

static void a_file_too_big_is_refused(void **state) {
    (void)state;
    put_file("big.txt", "12345");
    assert_refused(in_scratch("big.txt"), "file-too-big", "is 5 bytes long: at most 4");
}

/* A pipe nobody writes to would make a blocking open wait for ever; a test that hangs fails. */
static void what_is_no_regular_file_is_refused_at_once(void **state) {
    (void)state;
    assert_int_equal(mkfifo(in_scratch("pipe"), 0600), 0);
    assert_refused(in_scratch("pipe"), "not-a-regular-file", "a pipe");
    assert_refused(scratch, "not-a-regular-file", "a folder");
    assert_refused("/dev/zero", "not-a-regular-file", "a device");
    assert_int_equal(symlink("pipe", in_scratch("to-pipe")), 0);
    assert_refused(in_scratch("to-pipe"), "not-a-regular-file", "a pipe");
}

static void a_socket_is_named_so(void **state) {
    (void)state;
    struct sockaddr_un address = {.sun_family = AF_UNIX, .sun_path = "socket"};
    char back[512];
    int handle = socket(AF_UNIX, SOCK_STREAM, 0);
    assert_non_null(getcwd(back, sizeof back));
    assert_int_equal(chdir(scratch), 0); /* socket paths are short */
    int bound = bind(handle, (struct sockaddr *)&address, sizeof address);
    assert_int_equal(chdir(back), 0);
    assert_int_equal(bound, 0);
    assert_refused(in_scratch("socket"), "not-a-regular-file", "a socket");
    close(handle);
}

static void what_is_missing_is_said_so(void **state) {
    (void)state;
    put_file("plain", "x");
    assert_refused(in_scratch("none"), "missing-file", "there is no such file");
    assert_refused(in_scratch("plain/below"), "missing-file", "there is no such file");
    assert_int_equal(symlink("nowhere", in_scratch("dangling")), 0);
    assert_refused(in_scratch("dangling"), "missing-file", "there is no such file");
    assert_int_equal(symlink("loop", in_scratch("loop")), 0);
    assert_refused(in_scratch("loop"), "unreadable-file", "cannot be read");
}

/* A link changes the status and nothing else. */
static void a_new_link_is_seen_but_leaves_the_file_the_same(void **state) {
    (void)state;
    tw_file_state before, after;
    char first[512];
    int tries = 0;
    put_file("plain", "x");
    snprintf(first, sizeof first, "%s", in_scratch("plain"));
    assert_ok(tw_file_look_at(first, &before, &error), error);
    do { /* until the file system's clock has gone on */
        assert_int_equal(link(first, in_scratch("second")), 0);
        assert_ok(tw_file_look_at(first, &after, &error), error);
        assert_int_equal(unlink(in_scratch("second")), 0);
    } while (after.changed_nanoseconds == before.changed_nanoseconds && ++tries < 10000);
    assert_true(after.changed_nanoseconds != before.changed_nanoseconds);
    assert_true(tw_file_state_same(&before, &after));
    assert_true(after.changed_seconds >= before.seconds);
}

static void memory_that_lacks_is_said_so(void **state) {
    (void)state;
    tw_arena *small = tw_arena_new(NULL, 16);
    char *bytes = NULL;
    size_t length;
    put_file("a.txt", "1234567890123456789012345678901234567890");
    assert_int_equal(tw_file_read(small, in_scratch("a.txt"), 99, &bytes, &length, &error),
                     TW_MEMORY);
    assert_null(bytes);
    tw_arena_free(small);
}

static void parts_of_paths(void **state) {
    (void)state;
    static const char *const folders[][2] = {
        {"a.json", "."}, {"x/a.json", "x"}, {"/a.json", "/"}, {"x/y/", "x/y"}, {"/x/a", "/x"}};
    for (size_t i = 0; i < sizeof folders / sizeof *folders; i++)
        assert_string_equal(tw_path_folder(arena, folders[i][0]), folders[i][1]);
    assert_string_equal(tw_path_last("x/y.png"), "y.png");
    assert_string_equal(tw_path_last("y.png"), "y.png");
    assert_string_equal(tw_path_last("x/"), "");
    assert_string_equal(tw_path_join(arena, "x", "y"), "x/y");
    assert_string_equal(tw_path_join(arena, "x/", "y"), "x/y");
    assert_string_equal(tw_path_join(arena, "/", "y"), "/y");
    assert_string_equal(tw_path_join(arena, "x", "/y"), "/y");
    assert_string_equal(tw_path_join(arena, "", "y"), "y");
    assert_true(tw_path_is_folder(scratch));
    assert_false(tw_path_is_folder(in_scratch("none")));
    assert_true(tw_path_exists(scratch));
    assert_false(tw_path_exists(in_scratch("none")));
}

static tw_code find(const char *name, char **out) {
    memset(&error, 0, sizeof error);
    *out = NULL;
    return tw_path_find_inside(arena, in_scratch("photos"), name, out, &error);
}

static void make_photos(void) {
    mkdir(in_scratch("photos"), 0700);
    mkdir(in_scratch("photos/sub"), 0700);
    mkdir(in_scratch("photos-old"), 0700);
    put_file("photos/Sunrise.JPG", "1");
    put_file("photos/sub/Dune.png", "2");
    put_file("photos-old/secret.png", "3");
    mkdir(in_scratch("others"), 0700); /* a name as long as the folder's */
    put_file("others/secret.png", "6");
    put_file("secret.png", "4");
}

static void assert_found(const char *name, const char *wanted) {
    char *path;
    assert_ok(find(name, &path), error);
    assert_string_equal(path, in_scratch(wanted));
}

static void names_are_found_exact_case_first(void **state) {
    (void)state;
    make_photos();
    assert_found("Sunrise.JPG", "photos/Sunrise.JPG");
    assert_found("sunrise.jpg", "photos/Sunrise.JPG");
    assert_found("sub/dune.PNG", "photos/sub/Dune.png");
    assert_found("sub/../Sunrise.JPG", "photos/sub/../Sunrise.JPG");
    put_file("photos/sunrise.jpg", "5"); /* now two differ in capitals alone */
    assert_found("sunrise.jpg", "photos/sunrise.jpg");
    assert_found("Sunrise.JPG", "photos/Sunrise.JPG");
    char *path;
    assert_int_equal(find("SUNRISE.jpg", &path), TW_INPUT);
    assert_string_equal(error.name, "missing-file");
    assert_non_null(strstr(error.hint, "2 names differ from it in capitals alone"));
}

static void assert_not_found(const char *name, const char *error_name, const char *says) {
    char *path;
    assert_int_equal(find(name, &path), TW_INPUT);
    assert_string_equal(error.name, error_name);
    assert_says(error, says);
    assert_null(path);
}

static void a_missing_name_has_the_nearest_as_hint(void **state) {
    (void)state;
    make_photos();
    assert_not_found("Sunrize.JPG", "missing-file", "\"Sunrize.JPG\" is not in the folder");
    assert_string_equal(error.hint, "nearest: \"Sunrise.JPG\"");
    put_file("photos/.Sunrize.JPG", "hidden files are not offered");
    assert_not_found("Sunrize.JPG", "missing-file", "is not in the folder");
    assert_string_equal(error.hint, "nearest: \"Sunrise.JPG\"");
    for (char name[] = "photos/Dawn9.jpg"; name[11] > '0'; name[11]--)
        put_file(name, "x");
    assert_not_found("Dawn0.jpg", "missing-file", "is not in the folder");
    assert_string_equal(error.hint, "nearest: \"Dawn1.jpg\""); /* the first of equals */
    assert_not_found("quite-another.tif", "missing-file", "is not in the folder");
    assert_string_equal(error.hint, "");
    assert_not_found("no-such/Dune.png", "missing-file", "is not in the folder");
    assert_not_found("", "missing-file", "no file is named");
}

/* Climbing, absolute names, symbolic links out, and a folder whose name only begins alike. */
static void nothing_is_found_outside(void **state) {
    (void)state;
    make_photos();
    assert_int_equal(symlink("../secret.png", in_scratch("photos/link.png")), 0);
    assert_int_equal(symlink("../photos-old", in_scratch("photos/old")), 0);
    assert_int_equal(symlink("Sunrise.JPG", in_scratch("photos/inside.jpg")), 0);
    assert_not_found("../secret.png", "outside-folder", "lies outside its folder");
    assert_not_found("../photos-old/secret.png", "outside-folder", "lies outside");
    assert_not_found("../others/secret.png", "outside-folder", "lies outside");
    assert_not_found("sub/../../secret.png", "outside-folder", "lies outside");
    assert_not_found("link.png", "outside-folder", "lies outside");
    assert_not_found("LINK.png", "outside-folder", "lies outside");
    assert_not_found("old/secret.png", "outside-folder", "lies outside");
    assert_not_found("/etc/passwd", "outside-folder", "lies outside");
    assert_not_found("/dev/null", "outside-folder", "lies outside");
    /* nor are the names there told */
    assert_not_found("../secrat.png", "outside-folder", "lies outside");
    assert_not_found("old/secrat.png", "outside-folder", "lies outside");
    assert_string_equal(strstr(error.hint, "secret") == NULL ? "" : error.hint, "");
    assert_found("inside.jpg", "photos/inside.jpg");
}

static void a_very_long_name_is_no_trouble(void **state) {
    (void)state;
    make_photos();
    char *name = calloc(100001, 1), *path;
    memset(name, 'a', 100000);
    assert_int_equal(find(name, &path), TW_INPUT);
    for (int i = 2; i < 100000; i += 3)
        name[i] = '/';
    assert_int_equal(find(name, &path), TW_INPUT);
    free(name);
}

static void finding_without_memory(void **state) {
    (void)state;
    make_photos();
    tw_code code = TW_MEMORY;
    for (size_t most = 16; code != TW_OK; most += 16) {
        tw_arena *small = tw_arena_new(NULL, most);
        char *path = NULL;
        code = tw_path_find_inside(small, in_scratch("photos"), "sunrise.jpg", &path, &error);
        assert_true(code == TW_OK || (code == TW_MEMORY && path == NULL));
        assert_true(most < 10000);
        tw_arena_free(small);
    }
}

#define FILE_TEST(f) cmocka_unit_test_setup_teardown(f, start, finish)

int main(void) {
    const struct CMUnitTest tests[] = {
        FILE_TEST(a_file_is_read_whole),
        FILE_TEST(a_file_too_big_is_refused),
        FILE_TEST(what_is_no_regular_file_is_refused_at_once),
        FILE_TEST(a_socket_is_named_so),
        FILE_TEST(what_is_missing_is_said_so),
        FILE_TEST(a_new_link_is_seen_but_leaves_the_file_the_same),
        FILE_TEST(memory_that_lacks_is_said_so),
        FILE_TEST(parts_of_paths),
        FILE_TEST(names_are_found_exact_case_first),
        FILE_TEST(a_missing_name_has_the_nearest_as_hint),
        FILE_TEST(nothing_is_found_outside),
        FILE_TEST(a_very_long_name_is_no_trouble),
        FILE_TEST(finding_without_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
