/*
 * JPEG pixels: the bytes from SOI to EOI pass untouched, so libjpeg's decode of what comes out
 * equals its decode of the file. Sources: ITU-T T.81 Annex B (markers), ISO 32000-1 7.4.8 Table 13
 * (ColorTransform) and 8.9.5.2 (Decode).
 */
#include "testing.h"

#include "make_image.h"
#include "pixels/pixels.h"
#include "pixels/pixels_testing.h"

/* Pull the file and compare byte for byte, then let libjpeg decode both. */
static tw_pixels_form check_passes(const made_jpeg *what, size_t room) {
    const char *path = scratch("pass.jpg"), *copy = scratch("copy.jpg");
    make_jpeg(path, what);
    pulled_image pulled = pull_image(path, room);
    tw_pixels_form form = pulled.form;
    size_t length, row_bytes, copy_row_bytes;
    uint32_t height, copy_height;
    unsigned char *bytes = read_file(path, &length);
    size_t after = what->after == NULL ? 0 : strlen(what->after);
    assert_int_equal(pulled.length, length - after);
    assert_true(pulled.bound >= (int64_t)pulled.length);
    assert_memory_equal(pulled.bytes, bytes, pulled.length);
    write_file(copy, pulled.bytes, pulled.length);
    unsigned char *wanted = read_jpeg_rows(path, &row_bytes, &height);
    unsigned char *seen = read_jpeg_rows(copy, &copy_row_bytes, &copy_height);
    assert_int_equal(form.width * (size_t)form.channels, row_bytes);
    assert_int_equal(form.height, height);
    assert_memory_equal(seen, wanted, row_bytes * height);
    assert_true(form.dct && form.untouched && form.bits == 8 && form.palette_size == 0);
    free(wanted);
    free(seen);
    free(bytes);
    free_pulled(&pulled);
    return form;
}

static void test_every_kind_passes_untouched(void **state) {
    static const int components[] = {1, 3, 4};
    static const size_t rooms[] = {1, 7, 4096, 1 << 20};
    (void)state;
    for (size_t i = 0; i < 3; i++)
        for (size_t k = 0; k < 4; k++)
            for (unsigned restart = 0; restart < 3; restart++) {
                made_jpeg what = {.width = 123,
                                  .height = 77,
                                  .components = components[i],
                                  .progressive = k % 2 == 1,
                                  .restart = restart};
                tw_pixels_form form = check_passes(&what, rooms[k]);
                assert_int_equal(form.channels, components[i]);
            }
}

/* A film or a second picture after EOI (phones write them) is left behind. */
static void test_what_follows_stays_behind(void **state) {
    (void)state;
    made_jpeg what = {.width = 60, .height = 50, .components = 3, .after = "a film \xFF\xD8"};
    (void)check_passes(&what, 4096);
}

static void test_colour_transform(void **state) {
    (void)state;
    made_jpeg grey = {.width = 20, .height = 20, .components = 1};
    made_jpeg ycbcr = {.width = 20, .height = 20, .components = 3};
    made_jpeg rgb = {.width = 20, .height = 20, .components = 3, .stored_rgb = true};
    made_jpeg named = {
        .width = 20, .height = 20, .components = 3, .stored_rgb = true, .no_adobe = true};
    made_jpeg cmyk = {.width = 20, .height = 20, .components = 4};
    made_jpeg ycck = {.width = 20, .height = 20, .components = 4, .ycck = true};
    made_jpeg plain = {.width = 20, .height = 20, .components = 4, .no_adobe = true};
    assert_int_equal(check_passes(&grey, 999).colour_transform, -1);
    assert_int_equal(check_passes(&ycbcr, 999).colour_transform, 1);
    assert_int_equal(check_passes(&rgb, 999).colour_transform, 0);
    assert_int_equal(check_passes(&named, 999).colour_transform, 0);
    assert_int_equal(check_passes(&cmyk, 999).colour_transform, 0);
    assert_int_equal(check_passes(&ycck, 999).colour_transform, 1);
    assert_int_equal(check_passes(&plain, 999).colour_transform, 0);
}

/* Adobe's writers store 255 - ink; without their segment ink is as it stands. */
static void test_inverted_ink(void **state) {
    (void)state;
    made_jpeg cmyk = {.width = 20, .height = 20, .components = 4};
    made_jpeg plain = {.width = 20, .height = 20, .components = 4, .no_adobe = true};
    made_jpeg rgb = {.width = 20, .height = 20, .components = 3, .stored_rgb = true};
    assert_true(check_passes(&cmyk, 999).invert);
    assert_false(check_passes(&plain, 999).invert);
    assert_false(check_passes(&rgb, 999).invert);
}

/* Change one byte and expect damage in these words; facts are read from the whole file, so that
 * it is the stream that notices. */
static void expect_damage(const char *path, const unsigned char *bytes, size_t length, size_t at,
                          unsigned char value, const char *words) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_image image;
    tw_pixels *pixels;
    tw_pixels_form form;
    tw_error error = {0};
    unsigned char *broken = malloc(length), buffer[512];
    size_t got = 1;
    memcpy(broken, bytes, length);
    broken[at] = value;
    write_file(path, bytes, length);
    assert_ok(tw_image_read(arena, path, &image, &error), error);
    write_file(path, broken, length);
    assert_ok(tw_file_look_at(path, &image.state, &error), error); /* as if it was so at first */
    assert_ok(tw_pixels_open(tw_arena_allocator(arena), &image, &pixels, &form, &error), error);
    tw_code code = TW_OK;
    while (code == TW_OK && got > 0)
        code = tw_pixels_pull(pixels, buffer, sizeof buffer, &got, &error);
    assert_int_equal(code, TW_DAMAGED);
    assert_says(error, words);
    assert_string_equal(error.file, path);
    assert_int_equal(tw_pixels_pull(pixels, buffer, sizeof buffer, &got, &error), TW_BUG);
    tw_pixels_close(pixels);
    tw_arena_free(arena);
    free(broken);
}

static size_t find(const unsigned char *bytes, size_t length, unsigned char marker) {
    for (size_t i = length - 2; i > 0; i--)
        if (bytes[i] == 0xFF && bytes[i + 1] == marker)
            return i;
    fail_msg("no marker %02X", marker);
    return 0;
}

static void test_damage_is_found_in_the_stream(void **state) {
    (void)state;
    made_jpeg what = {.width = 200, .height = 100, .components = 3, .restart = 4};
    const char *path = scratch("damage.jpg");
    size_t length;
    make_jpeg(path, &what);
    unsigned char *bytes = read_file(path, &length);
    expect_damage(path, bytes, length, length - 1, 0x00, "cut short");
    expect_damage(path, bytes, length, find(bytes, length, 0xD1) + 1, 0xD4, "restart marker");
    expect_damage(path, bytes, length, find(bytes, length, 0xD1) + 1, 0xD8, "none may be");
    expect_damage(path, bytes, length, find(bytes, length, 0xD1) + 1, 0x01, "none may be");
    expect_damage(path, bytes, length, find(bytes, length, 0xC0) + 1, 0xDA, "before the frame");
    expect_damage(path, bytes, length, 1, 0xD7, "does not begin");
    free(bytes);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_kind_passes_untouched),
        cmocka_unit_test(test_what_follows_stays_behind),
        cmocka_unit_test(test_colour_transform),
        cmocka_unit_test(test_inverted_ink),
        cmocka_unit_test(test_damage_is_found_in_the_stream),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
