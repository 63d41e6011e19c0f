/*
 * JPEGs decoded to an eighth. Progressive or not, the same picture has the same coefficients, so
 * the rows must be the same (ITU-T T.81, Annex G: only their order in the file differs), whichever
 * scans are left out; what is in those does not matter, as long as it has the structure of a scan.
 */
#include "testing.h"

#include "base/arena.h"
#include "image/image.h"
#include "image/rows_hostile.h"
#include "image/rows_testing.h"
#include "image/source.h"

enum { W = 600, H = 412, SOS = 0xDA, LONG = 50000 };

static tw_code small_rows(const char *path, read_rows *out) {
    tw_image image;
    tw_rows *rows = NULL;
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    *out = (read_rows){.code = TW_MEMORY};
    assert_ok(tw_image_read(arena, path, &image, &out->error), out->error);
    out->code = tw_rows_open_small(&allocator, &image, 1, 1, &rows, &out->error);
    if (out->code == TW_OK)
        out->code = read_them(rows, out);
    tw_rows_close(rows);
    tw_arena_free(arena);
    assert_no_leak(memory);
    return out->code;
}

static void assert_same(const read_rows *a, const read_rows *b) {
    assert_int_equal(a->form.width, (W + 7) / 8);
    assert_int_equal(a->form.height, (H + 7) / 8);
    assert_int_equal(a->length, b->length);
    assert_memory_equal(a->bytes, b->bytes, a->length);
}

static void check_kind(made_jpeg made) {
    read_rows baseline, progressive;
    const char *path = scratch("small.jpg");
    made.width = W;
    made.height = H;
    make_jpeg(path, &made);
    assert_ok(small_rows(path, &baseline), baseline.error);
    made.progressive = true;
    make_jpeg(path, &made);
    assert_ok(small_rows(path, &progressive), progressive.error);
    assert_same(&progressive, &baseline);
    free_rows(&baseline);
    free_rows(&progressive);
}

static void test_progressive_is_as_baseline(void **state) {
    size_t length;
    unsigned char *icc = make_icc("mntr", "RGB ", 2, "a profile", &length);
    (void)state;
    check_kind((made_jpeg){.components = 1});
    check_kind((made_jpeg){.components = 3});
    check_kind((made_jpeg){.components = 3, .arithmetic = true});
    check_kind((made_jpeg){.components = 3, .restart = 7});
    check_kind((made_jpeg){.components = 3, .stored_rgb = true, .lossless_like = true});
    check_kind((made_jpeg){.components = 4, .ycck = true});
    check_kind((made_jpeg){.components = 4, .after = "more"});
    check_kind(
        (made_jpeg){.components = 3, .profile = icc, .profile_length = length, .profile_parts = 3});
    free(icc);
}

/* ------------------------------------------------ what is left out */

/* Where the data of a scan of `bytes` ends: at a marker that no restart is (T.81, B.1.1.5). */
static size_t end_of_data(const unsigned char *bytes, size_t at) {
    while (bytes[at] != 0xFF || bytes[at + 1] == 0 || (bytes[at + 1] & 0xF8) == 0xD0)
        at++;
    return at;
}

/* In each scan that holds the first component alone, and not its means: every byte another, but for
 * markers; or with `restarts` the restart markers alone. Returns how many scans that are. */
static size_t spoil(unsigned char *bytes, bool restarts) {
    size_t scans = 0;
    for (size_t at = 2, end; bytes[at + 1] != 0xD9; at = end) {
        const unsigned char *head = bytes + at + 4;
        end = at + 2 + tw_big16(bytes + at + 2);
        if (bytes[at + 1] != SOS)
            continue;
        size_t first = end;
        end = end_of_data(bytes, first);
        if (head[0] != 1 || head[1] != 1 || head[3] == 0)
            continue;
        scans++;
        for (size_t i = first; i < end; i++) {
            bool marker = bytes[i] == 0xFF && bytes[i + 1] != 0;
            if (marker && restarts)
                bytes[i + 1] ^= 1;
            else if (!marker && !restarts)
                bytes[i] = 0x55;
            i += marker;
        }
    }
    return scans;
}

static const char *spoiled(const made_jpeg *made, bool restarts) {
    size_t length;
    const char *path = scratch("spoiled.jpg");
    make_jpeg(path, made);
    unsigned char *bytes = read_file(path, &length);
    assert_in_range(spoil(bytes, restarts), 2, 10);
    write_file(path, bytes, length);
    free(bytes);
    return path;
}

static void assert_left_out(const made_jpeg *made) {
    read_rows whole, left_out;
    const char *path = scratch("small.jpg");
    make_jpeg(path, made);
    assert_ok(small_rows(path, &whole), whole.error);
    path = spoiled(made, false);
    assert_ok(small_rows(path, &left_out), left_out.error);
    assert_same(&left_out, &whole);
    free_rows(&left_out);
    left_out = try_rows(NULL, path); /* in full it is damaged */
    assert_int_equal(left_out.code, TW_DAMAGED);
    free_rows(&left_out);
    free_rows(&whole);
}

/* Also behind a segment that libjpeg passes over, longer than what it is given at a time. */
static void test_needless_scans_are_not_decoded(void **state) {
    size_t length;
    unsigned char *exif = make_exif(false, 1, 300, 1, 2, &length), *padded = calloc(1, LONG);
    made_jpeg made = {.width = W, .height = H, .components = 3, .progressive = true};
    (void)state;
    assert_left_out(&made);
    made.restart = 7;
    assert_left_out(&made);
    memcpy(padded, exif, length);
    made.exif = padded;
    made.exif_length = LONG;
    assert_left_out(&made);
    free(padded);
    free(exif);
}

static void test_their_structure_is_held_to(void **state) {
    (void)state;
    read_rows seen;
    const made_jpeg made = {
        .width = W, .height = H, .components = 3, .progressive = true, .restart = 7};
    assert_int_equal(small_rows(spoiled(&made, true), &seen), TW_DAMAGED);
    assert_non_null(strstr(seen.error.message, "a restart marker is missing or out of turn"));
    free_rows(&seen);
}

/* ------------------------------------------------ hostile */

static tw_code open_small(const tw_allocator *allocator, const tw_image *image, tw_rows **out,
                          tw_error *error) {
    return tw_rows_open_small(allocator, image, 1, 1, out, error);
}

static tw_code hostile_small(const tw_allocator *allocator, const char *path,
                             const unsigned char *bytes, size_t length, tw_error *error) {
    (void)bytes, (void)length;
    return hostile_rows_by(open_small, allocator, path, error);
}

static void test_cut_and_changed(void **state) {
    size_t length;
    const char *path = scratch("sample.jpg");
    hostile h = {.read = hostile_small,
                 .path = scratch("broken.jpg"),
                 .most = 8u << 20,
                 .seed = 5,
                 .flips = 500};
    const made_jpeg made = {
        .width = 200, .height = 120, .components = 3, .progressive = true, .restart = 3};
    (void)state;
    make_jpeg(path, &made);
    unsigned char *bytes = read_file(path, &length);
    assert_int_equal(hostile_survive(&h, bytes, length), TW_OK);
    assert_int_equal(hostile_cut(&h, bytes, length), 0);
    assert_in_range(hostile_flip(&h, bytes, length), 1, 499);
    hostile_say(&h);
    free(bytes);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_progressive_is_as_baseline),
        cmocka_unit_test(test_needless_scans_are_not_decoded),
        cmocka_unit_test(test_their_structure_is_held_to),
        cmocka_unit_test(test_cut_and_changed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
