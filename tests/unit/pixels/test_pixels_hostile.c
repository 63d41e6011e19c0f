/*
 * Hostile files and a poor machine on every pixel road: cut short, bytes changed, no memory, no
 * room for a temporary file, closed midway, changed after the facts were read. Whatever happens
 * is a clean error or a result, and nothing leaks. Under the sanitizers of the dev preset.
 */
#include "testing.h"

#include "image/image_file.h"
#include "make_image.h"
#include "pixels/pixels.h"
#include "pixels/pixels_testing.h"

#include <fcntl.h>
#include <sys/stat.h>

enum { SAMPLES = 9 };

/* One of each road and mix; `path` is written. */
static void make_sample(const char *path, int number) {
    static const made_png pngs[] = {
        {.width = 70, .height = 50, .type = 2, .depth = 8, .data_size = 500, .noise = 1},
        {.width = 70, .height = 50, .type = 3, .depth = 4, .density_x = 11811, .density_y = 11811},
        {.width = 70, .height = 50, .type = 0, .depth = 2, .interlaced = true},
        {.width = 40, .height = 50, .type = 6, .depth = 16},
        {.width = 40, .height = 50, .type = 6, .depth = 8, .interlaced = true},
        {.width = 70, .height = 50, .type = 3, .depth = 8, .transparent = true},
    };
    static const made_jpeg jpegs[] = {
        {.width = 90, .height = 60, .components = 3, .restart = 3},
        {.width = 90, .height = 60, .components = 1, .progressive = true},
        {.width = 90, .height = 60, .components = 4, .after = "more"},
    };
    if (number < 6)
        make_png(path, &pngs[number]);
    else
        make_jpeg(path, &jpegs[number - 6]);
}

static bool is_clean(tw_code code) {
    return code == TW_OK || code == TW_DAMAGED || code == TW_INPUT;
}

/* Read and pull a file; it may fail, but only by name, and without a leak. */
static tw_code survive(const char *path) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    pulled_image pulled = try_image(&allocator, path, 4096);
    if (!is_clean(pulled.code))
        fail_msg("code %d: %s", pulled.code, pulled.error.message);
    assert_true(pulled.code == TW_OK || pulled.error.message[0] != '\0');
    assert_no_leak(memory);
    free_pulled(&pulled);
    return pulled.code;
}

static void test_cut_short_is_noticed(void **state) {
    (void)state;
    const char *path = scratch("sample"), *cut = scratch("cut");
    for (int i = 0; i < SAMPLES; i++) {
        size_t length;
        make_sample(path, i);
        unsigned char *bytes = read_file(path, &length);
        size_t whole = i == 8 ? length - 4 : length; /* what follows EOI may go */
        for (size_t k = 0; k < 200; k++) {
            write_file(cut, bytes, k * whole / 200);
            assert_int_not_equal(survive(cut), TW_OK);
        }
        write_file(cut, bytes, whole - 1);
        assert_int_equal(survive(cut), TW_DAMAGED);
        free(bytes);
    }
}

/* A small generator of our own: the same changes on every machine. */
static uint32_t next(uint32_t *seed) {
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 8;
}

static void test_changed_bytes_are_survived(void **state) {
    (void)state;
    const char *path = scratch("sample"), *broken = scratch("broken");
    uint32_t seed = 1;
    long noticed = 0;
    for (int i = 0; i < SAMPLES; i++) {
        size_t length;
        make_sample(path, i);
        unsigned char *bytes = read_file(path, &length);
        for (int k = 0; k < 2000 / SAMPLES + 1; k++) {
            size_t at = next(&seed) % length;
            unsigned char was = bytes[at];
            bytes[at] ^= (unsigned char)(1u << next(&seed) % 8);
            write_file(broken, bytes, length);
            noticed += survive(broken) != TW_OK;
            bytes[at] = was;
        }
        free(bytes);
    }
    assert_true(noticed > 1000); /* the PNGs' CRCs alone see to that */
}

/* Every byte of a PNG lies under a check: each single change is found. */
static void test_no_change_of_a_png_goes_by(void **state) {
    (void)state;
    const char *path = scratch("sample"), *broken = scratch("broken");
    for (int i = 0; i < 6; i++) {
        size_t length;
        make_sample(path, i);
        unsigned char *bytes = read_file(path, &length);
        for (size_t at = 0; at < length; at += length / 150 + 1) {
            bytes[at] ^= 0x10;
            write_file(broken, bytes, length);
            assert_int_not_equal(survive(broken), TW_OK);
            bytes[at] ^= 0x10;
        }
        free(bytes);
    }
}

static void test_no_memory_at_any_point(void **state) {
    (void)state;
    const char *path = scratch("sample");
    for (int i = 0; i < SAMPLES; i++) {
        tw_code code = TW_MEMORY;
        make_sample(path, i);
        for (long at = 1; code != TW_OK; at++) {
            test_memory memory = {.fail_at = at};
            tw_allocator allocator = test_allocator(&memory);
            pulled_image pulled = try_image(&allocator, path, 4096);
            code = pulled.code;
            assert_true(code == TW_OK || code == TW_MEMORY);
            assert_no_leak(memory);
            free_pulled(&pulled);
            assert_true(at < 400);
        }
    }
}

static void test_closed_midway(void **state) {
    (void)state;
    const char *path = scratch("sample");
    for (int i = 0; i < SAMPLES; i++)
        for (int pulls = 0; pulls < 4; pulls++) {
            test_memory memory = {0};
            tw_allocator allocator = test_allocator(&memory);
            tw_arena *arena = tw_arena_new(&allocator, 0);
            tw_image image;
            tw_pixels *pixels;
            tw_pixels_form form;
            tw_error error = {0};
            unsigned char buffer[100];
            size_t got;
            make_sample(path, i);
            assert_ok(tw_image_read(arena, path, &image, &error), error);
            assert_ok(tw_pixels_open(&allocator, &image, &pixels, &form, &error), error);
            for (int k = 0; k < pulls; k++)
                assert_ok(tw_pixels_pull(pixels, buffer, sizeof buffer, &got, &error), error);
            tw_pixels_close(pixels);
            tw_arena_free(arena);
            assert_no_leak(memory);
        }
}

/* Facts of one file, pixels of another. */
static tw_code swap_files(const char *before, const char *after, tw_error *error) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_image image;
    tw_pixels *pixels = NULL;
    tw_pixels_form form;
    unsigned char buffer[5000];
    size_t got = 1;
    assert_ok(tw_image_read(arena, before, &image, error), *error);
    image.path = after;
    assert_ok(tw_file_look_at(after, &image.state, error), *error); /* what else betrays it? */
    tw_code code = tw_pixels_open(tw_arena_allocator(arena), &image, &pixels, &form, error);
    while (code == TW_OK && got > 0)
        code = tw_pixels_pull(pixels, buffer, sizeof buffer, &got, error);
    tw_pixels_close(pixels);
    tw_arena_free(arena);
    return code;
}

/* Make the file as long as another, by bytes after its end. */
static void pad_to(const char *path, size_t length) {
    size_t had;
    unsigned char *bytes = read_file(path, &had), *padded = calloc(1, length);
    memcpy(padded, bytes, had < length ? had : length);
    write_file(path, padded, length);
    free(bytes);
    free(padded);
}

static void test_changed_file_is_noticed(void **state) {
    (void)state;
    for (int i = 0; i < 8; i++) {
        const char *before = scratch("before"), *after = scratch("after");
        tw_error error = {0};
        bool jpeg = i >= 6;
        made_png png = {.width = 71, .height = 50, .type = i == 1 ? 2 : 0, .depth = 8};
        made_jpeg wide = {.width = 91, .height = 60, .components = 3};
        make_sample(before, i);
        if (jpeg)
            make_jpeg(after, &wide);
        else
            make_png(after, &png);
        assert_int_equal(swap_files(before, after, &error), TW_INPUT);
        assert_string_equal(error.name, "image-changed");
        size_t one, other;
        free(read_file(before, &one));
        free(read_file(after, &other));
        pad_to(before, one + other);
        pad_to(after, one + other);
        assert_true(swap_files(before, after, &error) != TW_OK);
        assert_string_equal(error.file, after);
    }
}

/* Give the chunk at `at` the check sum that belongs to it. */
static void mend(unsigned char *bytes, size_t at) {
    size_t size = (size_t)bytes[at + 2] << 8 | bytes[at + 3];
    uLong crc = crc32(0, bytes + at + 4, (uInt)size + 4);
    for (size_t i = 0; i < 4; i++)
        bytes[at + 8 + size + i] = (unsigned char)(crc >> (24 - 8 * i));
}

/* As long as before and sound in itself, but another image: one more or one fewer row, another
 * depth, the image data's last chunk become something else. */
static void test_sound_but_other_file_is_noticed(void **state) {
    static const struct {
        size_t at;
        unsigned char value;
    } changes[] = {{19, 71}, {23, 51}, {23, 49}, {24, 16}, {25, 0}, {28, 1}};
    (void)state;
    const char *before = scratch("before"), *after = scratch("after");
    tw_error error = {0};
    size_t length, last = 0;
    make_sample(before, 0);
    unsigned char *bytes = read_file(before, &length);
    for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
        unsigned char was = bytes[changes[i].at];
        bytes[changes[i].at] = changes[i].value;
        mend(bytes, 8);
        write_file(after, bytes, length);
        assert_int_equal(swap_files(before, after, &error), TW_INPUT);
        assert_string_equal(error.name, "image-changed");
        bytes[changes[i].at] = was;
        mend(bytes, 8);
    }
    for (size_t at = 0; at + 4 < length; at++)
        if (memcmp(bytes + at, "IDAT", 4) == 0)
            last = at;
    memcpy(bytes + last, "daTa", 4);
    mend(bytes, last - 4);
    write_file(after, bytes, length);
    assert_int_equal(swap_files(before, after, &error), TW_INPUT);
    assert_string_equal(error.name, "image-changed");
    free(bytes);
}

static tw_code pull_some(tw_pixels *pixels, tw_error *error) {
    unsigned char buffer[1000];
    size_t got;
    return tw_pixels_pull(pixels, buffer, sizeof buffer, &got, error);
}

/* The same bytes, touched, or put anew in the file's place with its time kept (POSIX stat). */
static void test_touched_or_replaced_file_is_noticed(void **state) {
    (void)state;
    for (int i = 0; i < SAMPLES; i++)
        for (int replaced = 0; replaced < 2; replaced++) {
            const char *path = scratch("sample"), *other = scratch("other");
            tw_arena *arena = tw_arena_new(NULL, 0);
            tw_pixels *pixels = NULL;
            tw_pixels_form form;
            tw_image image;
            tw_error error = {0};
            make_sample(path, i);
            make_sample(other, i);
            assert_ok(tw_image_read(arena, path, &image, &error), error);
            const struct timespec times[] = {
                {0, UTIME_OMIT}, {image.state.seconds + !replaced, (long)image.state.nanoseconds}};
            assert_int_equal(utimensat(AT_FDCWD, replaced ? other : path, times, 0), 0);
            if (replaced)
                assert_int_equal(rename(other, path), 0);
            tw_code code = tw_pixels_open(NULL, &image, &pixels, &form, &error);
            if (code == TW_OK)
                code = pull_some(pixels, &error); /* the decoding road opens it at its first row */
            assert_int_equal(code, TW_INPUT);
            assert_string_equal(error.name, "image-changed");
            assert_says(error, "changed after it was looked at");
            assert_int_equal(tw_image_file_still(&image, &error), TW_INPUT);
            assert_string_equal(error.name, "image-changed");
            tw_pixels_close(pixels);
            tw_arena_free(arena);
        }
}

static void test_no_room_for_temporary_file(void **state) {
    (void)state;
    const char *path = scratch("sample");
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    make_sample(path, 4);
    assert_int_equal(setenv("TMPDIR", "/nonexistent/folder", 1), 0);
    pulled_image pulled = try_image(&allocator, path, 4096);
    assert_int_equal(unsetenv("TMPDIR"), 0);
    assert_int_equal(pulled.code, TW_IO);
    assert_string_equal(pulled.error.name, "temporary-file");
    assert_no_leak(memory);
    free_pulled(&pulled);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_cut_short_is_noticed),
        cmocka_unit_test(test_changed_bytes_are_survived),
        cmocka_unit_test(test_no_change_of_a_png_goes_by),
        cmocka_unit_test(test_no_memory_at_any_point),
        cmocka_unit_test(test_closed_midway),
        cmocka_unit_test(test_changed_file_is_noticed),
        cmocka_unit_test(test_sound_but_other_file_is_noticed),
        cmocka_unit_test(test_touched_or_replaced_file_is_noticed),
        cmocka_unit_test(test_no_room_for_temporary_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
