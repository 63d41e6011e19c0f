/*
 * PNG files put together chunk by chunk, right and wrong. Sources: PNG (W3C, second edition)
 * clause 5.3 (chunks and CRC), 5.6 (order), 11.2 and 11.3 (each chunk), Table 11.1 (colour types
 * and depths). Colour chunks are in test_png_colour.c.
 */
#include "testing.h"

#include <zlib.h>

#include "base/limits.h"
#include "image/image.h"
#include "make_image.h"

/* A file being put together. */
static unsigned char made[1 << 16];
static size_t made_length;

static void put32(unsigned char *to, uint32_t value) {
    for (int i = 0; i < 4; i++)
        to[i] = (unsigned char)(value >> (24 - 8 * i));
}

static void add(const char *type, const void *data, size_t length) {
    unsigned char *at = made + made_length;
    put32(at, (uint32_t)length);
    memcpy(at + 4, type, 4);
    if (length > 0)
        memcpy(at + 8, data, length);
    put32(at + 8 + length, (uint32_t)crc32(0, at + 4, (uInt)length + 4));
    made_length += length + 12;
}

static void header(uint32_t width, uint32_t height, int depth, int type) {
    unsigned char bytes[13] = {0};
    put32(bytes, width);
    put32(bytes + 4, height);
    bytes[8] = (unsigned char)depth;
    bytes[9] = (unsigned char)type;
    add("IHDR", bytes, sizeof bytes);
}

static void begin(void) {
    memcpy(made, "\x89PNG\r\n\x1A\n", 8);
    made_length = 8;
}

/* 2 x 2 pixels of 8-bit RGB (any data will do: facts do not look into it). */
static void begin_small(void) {
    begin();
    header(2, 2, 8, 2);
}

static void data(void) {
    add("IDAT", "\x78\x01 any data", 11);
}

static tw_code read_made(tw_arena *arena, tw_image *image, tw_error *error) {
    const char *path = scratch("made.png");
    write_file(path, made, made_length);
    *error = (tw_error){0};
    return tw_image_read(arena, path, image, error);
}

static tw_image accept(tw_arena *arena) {
    tw_image image;
    tw_error error;
    assert_ok(read_made(arena, &image, &error), error);
    return image;
}

static void refuse(tw_arena *arena, tw_code code, const char *words) {
    tw_image image;
    tw_error error;
    assert_int_equal(read_made(arena, &image, &error), code);
    assert_says(error, words);
    assert_true(strstr(error.file, "made.png") != NULL);
}

static void test_least_file(void **state) {
    begin_small();
    data();
    add("IEND", NULL, 0);
    tw_image image = accept(*state);
    assert_int_equal(image.data_bytes, 11);
    assert_int_equal(image.data_at, 33);
    memcpy(made + made_length, "trailing", 8); /* after IEND: no part of the image */
    made_length += 8;
    (void)accept(*state);
}

static void test_depths_of_each_type(void **state) {
    /* Table 11.1 */
    static const char *const allowed[] = {"1 2 4 8 16", "", "8 16", "1 2 4 8", "8 16", "", "8 16"};
    for (int type = 0; type < 7; type++)
        for (int depth = 0; depth <= 17; depth++) {
            char word[16], list[32];
            (void)snprintf(word, sizeof word, " %d ", depth);
            (void)snprintf(list, sizeof list, " %s ", allowed[type]);
            begin();
            header(2, 2, depth, type);
            if (type == 3)
                add("PLTE", "\1\2\3", 3);
            data();
            add("IEND", NULL, 0);
            if (strstr(list, word) != NULL)
                (void)accept(*state);
            else
                refuse(*state, TW_DAMAGED, "there is no such kind");
        }
}

static void test_order_of_chunks(void **state) {
    begin();
    data();
    refuse(*state, TW_DAMAGED, "before the header");
    begin_small();
    header(2, 2, 8, 2);
    refuse(*state, TW_DAMAGED, "second header");
    begin_small();
    add("IEND", NULL, 0);
    refuse(*state, TW_DAMAGED, "no image data");
    begin_small();
    data();
    add("tEXt", "a\0b", 3);
    data();
    refuse(*state, TW_DAMAGED, "does not follow the image data before it");
    begin_small();
    data();
    add("PLTE", "\1\2\3", 3);
    refuse(*state, TW_DAMAGED, "\"PLTE\" chunk at byte 56 stands where none may be");
    begin_small();
    data();
    add("IEND", "x", 1);
    refuse(*state, TW_DAMAGED, "is not empty");
    begin_small();
    data();
    refuse(*state, TW_DAMAGED, "without its end chunk");
}

static void test_palette_rules(void **state) {
    unsigned char colours[3 * 257] = {0};
    begin();
    header(2, 2, 4, 3);
    add("PLTE", colours, 48);
    data();
    add("IEND", NULL, 0);
    assert_int_equal(accept(*state).palette_size, 16);
    begin();
    header(2, 2, 4, 3);
    add("PLTE", colours, 51);
    refuse(*state, TW_DAMAGED, "wrong number of colours");
    begin();
    header(2, 2, 8, 2);
    add("PLTE", colours, 771);
    refuse(*state, TW_DAMAGED, "wrong number of colours");
    begin();
    header(2, 2, 8, 3);
    add("PLTE", colours, 4);
    refuse(*state, TW_DAMAGED, "wrong number of colours");
    begin();
    header(2, 2, 8, 3);
    data();
    refuse(*state, TW_DAMAGED, "no palette");
    begin();
    header(2, 2, 8, 0);
    add("PLTE", colours, 3);
    refuse(*state, TW_DAMAGED, "grey image");
    begin_small();
    add("PLTE", colours, 3);
    add("PLTE", colours, 3);
    refuse(*state, TW_DAMAGED, "stands where none may be");
}

static void test_transparency_rules(void **state) {
    begin_small();
    add("tRNS", "123456", 5);
    refuse(*state, TW_DAMAGED, "wrong length");
    begin();
    header(2, 2, 8, 3);
    add("PLTE", "123456", 6);
    add("tRNS", "123", 3);
    refuse(*state, TW_DAMAGED, "wrong length");
    begin();
    header(2, 2, 8, 3);
    add("tRNS", "1", 1);
    refuse(*state, TW_DAMAGED, "wrong length"); /* no palette yet */
    begin_small();
    data();
    add("tRNS", "123456", 6);
    refuse(*state, TW_DAMAGED, "stands where none may be");
    begin();
    header(2, 2, 8, 6);
    add("tRNS", "123456", 6); /* forbidden, and without meaning: passed over */
    data();
    add("IEND", NULL, 0);
    assert_false(accept(*state).transparent_key);
}

static void test_unknown_chunks(void **state) {
    begin_small();
    add("prVt", "anything", 8);
    data();
    add("IEND", NULL, 0);
    (void)accept(*state);
    begin_small();
    add("PRvT", "anything", 8);
    refuse(*state, TW_DAMAGED, "may not pass over");
    begin_small();
    add("a1bc", "anything", 8);
    refuse(*state, TW_DAMAGED, "no chunk begins there");
}

static void test_check_sums(void **state) {
    begin_small();
    add("tEXt", "key\0words", 9);
    data();
    add("IEND", NULL, 0);
    made[33 + 8] ^= 1;
    refuse(*state, TW_DAMAGED, "\"tEXt\" chunk at byte 33 does not match its check sum");
    made[33 + 8] ^= 1;
    made[16] ^= 0x40; /* the width */
    refuse(*state, TW_DAMAGED, "\"IHDR\" chunk at byte 8 does not match its check sum");
}

static void test_cut_short(void **state) {
    begin_small();
    data();
    size_t whole = made_length + 12;
    add("IEND", NULL, 0);
    for (size_t length = 4; length < whole; length++) {
        tw_image image;
        tw_error error;
        made_length = length;
        assert_int_equal(read_made(*state, &image, &error), TW_DAMAGED);
    }
    made_length = 33 + 8 + 5;
    refuse(*state, TW_DAMAGED, "\"IDAT\" chunk at byte 33 wants 15 bytes, the file holds 5 more");
}

static void test_sizes(void **state) {
    begin();
    header(0, 2, 8, 2);
    refuse(*state, TW_DAMAGED, "0 x 2 pixels");
    begin();
    header(TW_IMAGE_SIDE_MOST + 1, 1, 8, 0);
    refuse(*state, TW_INPUT, "1000001 x 1 pixels, at most 1000000 a side");
    begin();
    header(0xFFFFFFFF, 0xFFFFFFFF, 16, 6);
    refuse(*state, TW_INPUT, "4294967295 x 4294967295");
    begin(); /* 11 bytes cannot unpack to 9 000 000 (deflate: 1032 to 1) */
    header(3000, 1000, 8, 2);
    data();
    add("IEND", NULL, 0);
    refuse(*state, TW_DAMAGED, "11 bytes, too few for 3000 x 1000 pixels");
}

/* Turning line ends breaks the signature, as it is made to (clause 5.2). */
static void test_text_mode_transfer(void **state) {
    begin_small();
    made[4] = '\n';
    refuse(*state, TW_DAMAGED, "text mode");
}

static void add_profile(const unsigned char *icc, size_t length, size_t cut) {
    static unsigned char packed[1 << 14];
    uLongf size = sizeof packed - 6;
    memcpy(packed, "name\0", 6);
    assert_int_equal(compress(packed + 6, &size, icc, length), Z_OK);
    add("iCCP", packed, 6 + size - cut);
}

static void expect_problem(tw_arena *arena, const char *words) {
    data();
    add("IEND", NULL, 0);
    tw_image image = accept(arena);
    assert_null(image.profile);
    assert_null(image.profile_description);
    assert_non_null(image.profile_problem);
    if (strstr(image.profile_problem, words) == NULL)
        fail_msg("\"%s\" does not say \"%s\"", image.profile_problem, words);
}

static void expect_misfit(tw_arena *arena, const char *device_class, const char *space, int version,
                          const char *words) {
    size_t length;
    unsigned char *icc = make_icc(device_class, space, version, "x", &length);
    begin_small();
    add_profile(icc, length, 0);
    expect_problem(arena, words);
    free(icc);
}

static void test_profile_problems(void **state) {
    unsigned char letters[100];
    memset(letters, 'n', sizeof letters);
    expect_misfit(*state, "mntr", "GRAY", 2, "the image is RGB, its profile is for \"GRAY\"");
    expect_misfit(*state, "mntr", "CMYK", 4, "the image is RGB, its profile is for \"CMYK\"");
    expect_misfit(*state, "nmcl", "RGB ", 2, "class \"nmcl\"");
    for (int version = 0; version < 7; version++)
        if (version != 2 && version != 4)
            expect_misfit(*state, "mntr", "RGB ", version, "versions 2 and 4 are read");
    expect_misfit(*state, "mntr", "RGB ", 3, "its profile is of ICC version 3.1");
    begin_small();
    add("iCCP", "name\0\1abc", 9);
    expect_problem(*state, "unknown method");
    begin_small();
    add("iCCP", "name\0\0not packed", 16);
    expect_problem(*state, "cannot be unpacked");
    begin_small();
    add("iCCP", "\0\0anything", 10);
    expect_problem(*state, "name of its profile");
    begin_small();
    add("iCCP", letters, sizeof letters);
    expect_problem(*state, "name of its profile");
    begin_small();
    add("iCCP", "name\0", 5);
    expect_problem(*state, "empty");
}

static void test_profile_cut_short(void **state) {
    size_t length;
    unsigned char *icc = make_icc("mntr", "RGB ", 2, "x", &length);
    begin_small();
    add_profile(icc, length, 9);
    expect_problem(*state, "cut short");
    begin_small();
    add_profile(icc, length - 8, 0);
    expect_problem(*state, "bytes long but is");
    free(icc);
}

/* 33 MiB of zeros pack into 33 KiB: the profile is given up, memory stays bounded. */
static void test_profile_bomb(void **state) {
    size_t length = 33u << 20;
    unsigned char *zeros = calloc(1, length);
    uLongf size = 60000;
    unsigned char *packed = malloc(size + 3);
    memcpy(packed, "n\0", 3);
    assert_int_equal(compress2(packed + 3, &size, zeros, length, 9), Z_OK);
    begin_small();
    add("iCCP", packed, size + 3);
    expect_problem(*state, "over 32 MiB");
    free(zeros);
    free(packed);
}

static tw_image with_density(tw_arena *arena, uint32_t x, uint32_t y, unsigned char unit) {
    unsigned char bytes[9];
    put32(bytes, x);
    put32(bytes + 4, y);
    bytes[8] = unit;
    begin_small();
    add("pHYs", bytes, sizeof bytes);
    data();
    add("IEND", NULL, 0);
    return accept(arena);
}

/* 11.3.4.3: unit 1 is the metre, 0 says only how the pixels are shaped. 11811 and 9449 a metre are
 * 300 and 240 an inch, rounded. Past ten to one it is nonsense. */
static void test_unit_of_density(void **state) {
    static const struct {
        uint32_t x, y;
        unsigned char unit;
        uint32_t aspect_x, aspect_y;
    } cases[] = {{11811, 11811, 1, 0, 0},
                 {11811, 11811, 0, 0, 0},
                 {11811, 9449, 1, 300, 240},
                 {2, 1, 0, 2, 1},
                 {1, 10, 0, 1, 10},
                 {1, 11, 0, 0, 0},
                 {5000, 10001, 1, 5000, 10001},
                 {2, 1, 2, 0, 0}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        tw_image image = with_density(*state, cases[i].x, cases[i].y, cases[i].unit);
        assert_int_equal(image.density_x, cases[i].unit == 1 ? cases[i].x : 0);
        assert_int_equal(image.aspect_x, cases[i].aspect_x);
        assert_int_equal(image.aspect_y, cases[i].aspect_y);
    }
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
        TEST(test_least_file),         TEST(test_depths_of_each_type), TEST(test_order_of_chunks),
        TEST(test_palette_rules),      TEST(test_transparency_rules),  TEST(test_unknown_chunks),
        TEST(test_check_sums),         TEST(test_cut_short),           TEST(test_sizes),
        TEST(test_text_mode_transfer), TEST(test_profile_problems),    TEST(test_profile_bomb),
        TEST(test_profile_cut_short),  TEST(test_unit_of_density),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
