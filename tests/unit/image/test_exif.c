/*
 * Exif blocks. Sources: Exif 2.32 and TIFF 6.0 section 8 (tag 274 orientation, 282 283 296
 * resolution); 1 in = 2.54 cm, pixels per metre rounded half up.
 */
#include "testing.h"

#include "image/image.h"
#include "make_image.h"

typedef struct seen {
    int orientation;
    int64_t x, y;
} seen;

static seen read_block(const unsigned char *bytes, size_t length) {
    seen out = {1, 0, 0};
    /* an exact copy, so that the sanitizer sees a step past the end */
    unsigned char *copy = malloc(length == 0 ? 1 : length);
    if (length > 0)
        memcpy(copy, bytes, length);
    tw_exif_read(copy, length, &out.orientation, &out.x, &out.y);
    free(copy);
    return out;
}

static seen read_made(bool big_endian, int orientation, uint32_t over, uint32_t under, int unit) {
    size_t length;
    unsigned char *bytes = make_exif(big_endian, orientation, over, under, unit, &length);
    seen out = read_block(bytes, length);
    free(bytes);
    return out;
}

static void test_orientation_in_both_byte_orders(void **state) {
    (void)state;
    for (int orientation = 1; orientation <= 8; orientation++) {
        assert_int_equal(read_made(false, orientation, 0, 0, 0).orientation, orientation);
        assert_int_equal(read_made(true, orientation, 0, 0, 0).orientation, orientation);
    }
    assert_int_equal(read_made(true, 9, 0, 0, 0).orientation, 1); /* there is no ninth */
    assert_int_equal(read_made(true, 256, 0, 0, 0).orientation, 1);
}

static void test_resolution(void **state) {
    (void)state;
    for (int big = 0; big < 2; big++) {
        assert_int_equal(read_made(big, 0, 300, 1, 2).x, 11811); /* 11811.02 */
        assert_int_equal(read_made(big, 0, 240, 1, 2).y, 9449);  /* 9448.82 */
        assert_int_equal(read_made(big, 0, 720000, 10000, 2).x, 2835);
        assert_int_equal(read_made(big, 0, 118, 1, 3).x, 11800);
        assert_int_equal(read_made(big, 0, 1181102, 10000, 3).x, 11811);
        assert_int_equal(read_made(big, 0, 300, 1, 1).x, 0); /* no unit: only the ratio */
        assert_int_equal(read_made(big, 0, 300, 0, 2).x, 0);
        assert_int_equal(read_made(big, 0, 0, 1, 2).x, 0);
        /* the widest a RATIONAL can be: 4294967295 x 10000 / 254, no overflow */
        assert_int_equal(read_made(big, 0, 0xFFFFFFFF, 1, 2).x, 169093200591);
    }
}

static void test_every_length_is_survived(void **state) {
    (void)state;
    size_t length;
    unsigned char *bytes = make_exif(false, 6, 300, 1, 2, &length);
    for (size_t cut = 0; cut < length; cut++) {
        seen out = read_block(bytes, cut);
        assert_true(out.orientation == 1 || out.orientation == 6);
        assert_int_equal(out.x, 0); /* the ratio is the last thing in the block */
    }
    free(bytes);
}

static void test_no_exif_at_all(void **state) {
    static const char *const blocks[] = {"II\x2B\0\x08\0\0\0\0\0", "IM*\0\x08\0\0\0\0\0",
                                         "II*\0\0\0\0\0\0\0", "II*\0\xFF\xFF\xFF\xFF\0\0",
                                         "MM\0*\0\0\0\x09\0\1"};
    (void)state;
    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++)
        assert_int_equal(read_block((const unsigned char *)blocks[i], 10).orientation, 1);
}

/* A value of a wrong type or count is left aside; entries past the block are not read. */
static void test_odd_entries(void **state) {
    (void)state;
    size_t length;
    unsigned char *bytes = make_exif(true, 6, 0, 0, 0, &length);
    bytes[10 + 7] = 2; /* two values where one is meant */
    assert_int_equal(read_block(bytes, length).orientation, 1);
    bytes[10 + 7] = 1;
    bytes[10 + 3] = 2; /* ASCII */
    assert_int_equal(read_block(bytes, length).orientation, 1);
    bytes[10 + 3] = 3;
    bytes[8] = 0xFF; /* 65281 entries said */
    assert_int_equal(read_block(bytes, length).orientation, 6);
    free(bytes);
}

static void test_random_bytes_are_survived(void **state) {
    (void)state;
    size_t length;
    uint32_t seed = 7;
    unsigned char *bytes = make_exif(false, 6, 300, 1, 2, &length);
    for (int i = 0; i < 20000; i++) {
        seed = seed * 1664525u + 1013904223u;
        bytes[8 + (seed >> 8) % (length - 8)] = (unsigned char)(seed >> 24);
        seen out = read_block(bytes, length);
        assert_in_range(out.orientation, 1, 8);
        assert_true(out.x >= 0 && out.y >= 0 && (out.x > 0) == (out.y > 0));
    }
    free(bytes);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_orientation_in_both_byte_orders),
        cmocka_unit_test(test_resolution),
        cmocka_unit_test(test_every_length_is_survived),
        cmocka_unit_test(test_no_exif_at_all),
        cmocka_unit_test(test_odd_entries),
        cmocka_unit_test(test_random_bytes_are_survived),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
