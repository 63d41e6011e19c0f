/*
 * Damage that only decoding can see: PNGs whose chunks and check sums are right and whose image
 * data is not. Sources: PNG (W3C, second edition) 10.1 and 13.x (errors), RFC 1950 (Adler-32),
 * RFC 1951 (deflate). Only the decoding road sees these; what passes through is not inflated,
 * only its first two bytes are looked at (RFC 1950 2.2).
 */
#include "testing.h"

#include "make_image.h"
#include "pixels/pixels.h"
#include "pixels/pixels_testing.h"

static void put32(unsigned char *to, uint32_t value) {
    for (int i = 0; i < 4; i++)
        to[i] = (unsigned char)(value >> (24 - 8 * i));
}

static uint32_t get32(const unsigned char *from) {
    return (uint32_t)from[0] << 24 | (uint32_t)from[1] << 16 | (uint32_t)from[2] << 8 | from[3];
}

static void mend(unsigned char *chunk) {
    uint32_t length = get32(chunk);
    put32(chunk + 8 + length, (uint32_t)crc32(0, chunk + 4, length + 4));
}

/* Both ways into the decoding road, the image data in one chunk. */
static unsigned char *make(const char *path, bool interlaced, size_t *length, size_t *data_at) {
    made_png what = {.width = 40, .height = 30, .type = interlaced ? 2 : 6, .depth = 8};
    what.interlaced = interlaced;
    what.data_size = 1 << 20;
    make_png(path, &what);
    unsigned char *bytes = read_file(path, length);
    for (*data_at = 8; memcmp(bytes + *data_at + 4, "IDAT", 4) != 0;)
        *data_at += get32(bytes + *data_at) + 12;
    return bytes;
}

static void expect_damage(const char *path, const char *words) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    pulled_image pulled = try_image(&allocator, path, 1000);
    assert_int_equal(pulled.code, TW_DAMAGED);
    assert_says(pulled.error, words);
    assert_string_equal(pulled.error.file, path);
    assert_no_leak(memory);
    free_pulled(&pulled);
}

/* Any change inside the packed data ends in the wrong Adler-32 at the latest. */
static void test_changed_data_under_right_check_sums(void **state) {
    (void)state;
    const char *path = scratch("damage.png");
    for (int interlaced = 0; interlaced < 2; interlaced++) {
        size_t length, at;
        unsigned char *bytes = make(path, interlaced == 1, &length, &at);
        uint32_t size = get32(bytes + at);
        for (uint32_t i = 0; i < size; i += 1 + size / 60) {
            bytes[at + 8 + i] ^= 0x20;
            mend(bytes + at);
            write_file(path, bytes, length);
            expect_damage(path, "cannot be decoded");
            bytes[at + 8 + i] ^= 0x20;
        }
        free(bytes);
    }
}

static void test_wrong_adler(void **state) {
    (void)state;
    const char *path = scratch("damage.png");
    for (int interlaced = 0; interlaced < 2; interlaced++) {
        size_t length, at;
        unsigned char *bytes = make(path, interlaced == 1, &length, &at);
        bytes[at + 8 + get32(bytes + at) - 1] ^= 1;
        mend(bytes + at);
        write_file(path, bytes, length);
        expect_damage(path, "cannot be decoded");
        free(bytes);
    }
}

/* The header promises another row than the data holds. */
static void test_too_few_and_too_many_rows(void **state) {
    static const unsigned char heights[] = {31, 29, 60, 1};
    (void)state;
    const char *path = scratch("damage.png");
    for (int interlaced = 0; interlaced < 2; interlaced++)
        for (size_t i = 0; i < sizeof heights; i++) {
            size_t length, at;
            unsigned char *bytes = make(path, interlaced == 1, &length, &at);
            bytes[23] = heights[i];
            mend(bytes + 8);
            write_file(path, bytes, length);
            expect_damage(path, "cannot be decoded");
            free(bytes);
        }
}

/* Bytes after the packed data's end belong to no pixel: in a chunk of their own they do no harm
 * (nor do they where a PNG passes through, PDF readers stop at the end, too). */
static void test_data_after_the_end(void **state) {
    (void)state;
    const char *path = scratch("longer.png");
    for (int interlaced = 0; interlaced < 2; interlaced++) {
        size_t length, at;
        unsigned char *bytes = make(path, interlaced == 1, &length, &at);
        pulled_image before = pull_image(path, 1000);
        unsigned char *longer = malloc(length + 15);
        memcpy(longer, bytes, length - 12);
        put32(longer + length - 12, 3);
        memcpy(longer + length - 8, "IDATabc", 7);
        mend(longer + length - 12);
        memcpy(longer + length + 3, bytes + length - 12, 12);
        write_file(path, longer, length + 15);
        pulled_image after = pull_image(path, 1000);
        assert_int_equal(after.length, before.length);
        assert_memory_equal(after.bytes, before.bytes, before.length);
        free_pulled(&before);
        free_pulled(&after);
        free(longer);
        free(bytes);
    }
}

/* In the same chunk libpng takes them for a sign of damage, and so do we. */
static void test_data_after_the_end_in_the_chunk(void **state) {
    (void)state;
    const char *path = scratch("longer.png");
    for (int interlaced = 0; interlaced < 2; interlaced++) {
        size_t length, at;
        unsigned char *bytes = make(path, interlaced == 1, &length, &at);
        uint32_t size = get32(bytes + at);
        unsigned char *longer = malloc(length + 3);
        memcpy(longer, bytes, at + 8 + size);
        put32(longer + at, size + 3);
        memcpy(longer + at + 8 + size, "abc", 3);
        mend(longer + at);
        memcpy(longer + at + 15 + size, bytes + at + 12 + size, length - at - 12 - size);
        write_file(path, longer, length + 3);
        expect_damage(path, "cannot be decoded");
        free(longer);
        free(bytes);
    }
}

/* Something breaks after the last row, once the facts were read. */
static void test_end_is_read_too(void **state) {
    (void)state;
    const char *path = scratch("damage.png");
    for (int interlaced = 0; interlaced < 2; interlaced++) {
        size_t length, at, got = 1;
        tw_arena *arena = tw_arena_new(NULL, 0);
        tw_image image;
        tw_pixels *pixels;
        tw_pixels_form form;
        tw_error error = {0};
        unsigned char buffer[1000], *bytes = make(path, interlaced == 1, &length, &at);
        assert_ok(tw_image_read(arena, path, &image, &error), error);
        bytes[length - 1] ^= 1; /* IEND's check sum */
        write_file(path, bytes, length);
        assert_ok(tw_file_look_at(path, &image.state, &error),
                  error); /* as if it was so at first */
        assert_ok(tw_pixels_open(tw_arena_allocator(arena), &image, &pixels, &form, &error), error);
        tw_code code = TW_OK;
        while (code == TW_OK && got > 0)
            code = tw_pixels_pull(pixels, buffer, sizeof buffer, &got, &error);
        assert_int_equal(code, TW_DAMAGED);
        tw_pixels_close(pixels);
        tw_arena_free(arena);
        free(bytes);
    }
}

/* RFC 1950 2.2: method 8, a window of at most 32 KiB, a multiple of 31, no preset dictionary. */
static void test_start_of_data_that_passes(void **state) {
    static const unsigned char starts[][2] = {
        {0x78, 0x9D}, {0x79, 0x9C}, {0x88, 0x1C}, {0x78, 0xBB}};
    (void)state;
    const char *path = scratch("start.png");
    made_png what = {.width = 40, .height = 30, .type = 2, .depth = 8, .data_size = 1 << 20};
    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++) {
        size_t length;
        make_png(path, &what);
        unsigned char *bytes = read_file(path, &length);
        assert_memory_equal(bytes + 33 + 4, "IDAT", 4);
        memcpy(bytes + 33 + 8, starts[i], 2);
        mend(bytes + 33);
        write_file(path, bytes, length);
        expect_damage(path, "does not begin as packed data does");
        free(bytes);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_changed_data_under_right_check_sums),
        cmocka_unit_test(test_wrong_adler),
        cmocka_unit_test(test_too_few_and_too_many_rows),
        cmocka_unit_test(test_data_after_the_end),
        cmocka_unit_test(test_data_after_the_end_in_the_chunk),
        cmocka_unit_test(test_end_is_read_too),
        cmocka_unit_test(test_start_of_data_that_passes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
