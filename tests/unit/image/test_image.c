/*
 * Which kind a file is, by its first bytes alone. Signatures: RFC 9649 (WebP), ISO
 * 14496-12 (file types of HEIF, AVIF, CR3), ISO 18181-2 (JPEG XL), ISO 15444-1 (JPEG 2000),
 * GIF89a, ISO 32000-1 7.5.2; camera makers' kinds, PSD, BMP and EXR from memory.
 */
#include "testing.h"

#include <sys/stat.h>

#include "image/image.h"
#include "make_image.h"

static void expect_kind(tw_arena *arena, const void *bytes, size_t length, const char *words) {
    const char *path = scratch("photo.png"); /* the name says nothing */
    tw_image image;
    tw_error error = {0};
    write_file(path, bytes, length);
    assert_int_equal(tw_image_read(arena, path, &image, &error), TW_INPUT);
    assert_string_equal(error.name, "image-kind");
    assert_string_equal(error.file, path);
    assert_says(error, words);
    assert_string_equal(error.hint, length == 0 ? "" : "export it as TIFF, PNG or JPEG");
}

static void test_other_kinds_by_name(void **state) {
    static const struct {
        const char *bytes, *words;
    } table[] = {
        {"II*\0\x10\0\0\0CR\x02\0\0\0\0\0", "CR2"},
        {"\0\0\0\x18"
         "ftypcrx \0\0\0\1",
         "CR3"},
        {"FUJIFILMCCD-RAW ", "RAF"},
        {"IIU\0\x08\0\0\0\0\0\0\0\0\0\0\0", "RW2"},
        {"IIRO\x08\0\0\0\0\0\0\0\0\0\0\0", "ORF"},
        {"RIFF\x10\0\0\0WEBPVP8 ", "WebP"},
        {"\0\0\0\x18"
         "ftypheic\0\0\0\0",
         "HEIF (HEIC)"},
        {"\0\0\0\x18"
         "ftypmif1\0\0\0\0",
         "HEIF"},
        {"\0\0\0\x18"
         "ftypavif\0\0\0\0",
         "AVIF"},
        {"\0\0\0\x18"
         "ftypisom\0\0\0\0",
         "film"},
        {"\xFF\x0A"
         "0123456789abcd",
         "JPEG XL"},
        {"\0\0\0\x0CJXL \r\n\x87\n\0\0\0\0", "JPEG XL"},
        {"\0\0\0\x0CjP  \r\n\x87\n\0\0\0\0", "JPEG 2000"},
        {"\xFF\x4F\xFF\x51"
         "0123456789ab",
         "JPEG 2000"},
        {"GIF89a0123456789", "GIF"},
        {"BM01234567890123", "BMP"},
        {"8BPS\0\1\0\0\0\0\0\0\0\0\0\0", "Photoshop"},
        {"%PDF-1.7 1234567", "PDF"},
        {"%!PS-Adobe-3.0 E", "PostScript"},
        {"<svg xmlns=\"http", "SVG"},
        {"\x76\x2F\x31\x01"
         "0123456789ab",
         "OpenEXR"},
    };
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        expect_kind(*state, table[i].bytes, 16, table[i].words);
}

static void test_unknown_and_empty(void **state) {
    expect_kind(*state, "just some words, no image", 25, "begins with the bytes 6A 75 73 74");
    expect_kind(*state, "", 0, "is empty");
    expect_kind(*state, "x", 1, "begins with the bytes 78 00 00 00");
}

/* "CR" or "WEBP" further on is nobody's signature by itself. */
static void test_no_kind_by_its_middle(void **state) {
    expect_kind(*state, "RIFF\x10\0\0\0WAVEfmt ", 16, "no PNG, JPEG or TIFF");
    expect_kind(*state, "abcdefghCRijklmn", 16, "no PNG, JPEG or TIFF");
}

/* The remedy is in the hint. */
static void test_remedy(void **state) {
    const char *path = scratch("photo.gif");
    tw_image image;
    tw_error error = {0};
    write_file(path, "GIF89a01", 8);
    assert_int_equal(tw_image_read(*state, path, &image, &error), TW_INPUT);
    assert_string_equal(error.hint, "export it as TIFF, PNG or JPEG");
}

/* A PNG called .jpg and a JPEG called .png are what they are. */
static void test_names_do_not_matter(void **state) {
    const char *png = scratch("a.jpg"), *jpeg = scratch("b.png");
    made_png one = {.width = 3, .height = 2, .type = 2, .depth = 8};
    made_jpeg other = {.width = 5, .height = 4, .components = 3};
    tw_image image;
    tw_error error = {0};
    make_png(png, &one);
    make_jpeg(jpeg, &other);
    assert_ok(tw_image_read(*state, png, &image, &error), error);
    assert_int_equal(image.format, TW_PNG);
    assert_string_equal(image.path, png);
    assert_string_equal(image.name, "a.jpg");
    assert_ok(tw_image_read(*state, jpeg, &image, &error), error);
    assert_int_equal(image.format, TW_JPEG);
}

static void test_not_a_file(void **state) {
    const char *pipe = scratch("pipe.png");
    tw_image image;
    tw_error error = {0};
    assert_int_equal(tw_image_read(*state, "/nonexistent.png", &image, &error), TW_INPUT);
    assert_int_equal(tw_image_read(*state, "/tmp", &image, &error), TW_INPUT);
    assert_int_equal(mkfifo(pipe, 0600), 0);
    assert_int_equal(tw_image_read(*state, pipe, &image, &error), TW_INPUT); /* and no hanging */
}

static int make_arena(void **state) {
    *state = tw_arena_new(NULL, 0);
    return *state == NULL;
}

static int free_arena(void **state) {
    tw_arena_free(*state);
    return 0;
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, make_arena, free_arena)

int main(void) {
    const struct CMUnitTest tests[] = {
        TEST(test_other_kinds_by_name),   TEST(test_unknown_and_empty),
        TEST(test_no_kind_by_its_middle), TEST(test_remedy),
        TEST(test_names_do_not_matter),   TEST(test_not_a_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
