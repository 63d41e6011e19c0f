/*
 * Rows of TIFFs of every kind that is printed, against the values that libtiff was given to store
 * (TIFF 6.0), and JPEG inside TIFF against libtiff's own viewer interface. Damage is found.
 */
#include "testing.h"

#include "image/rows_testing.h"
#include "make_image.h"

enum { W = 75, H = 53 };

static const struct {
    const char *what;
    made_tiff made;
} tiffs[] = {
    {"RGB 8", {.photometric = 2, .depth = 8}},
    {"RGB 8, strips of 7", {.photometric = 2, .depth = 8, .strip = 7}},
    {"RGB 16", {.photometric = 2, .depth = 16, .strip = 5}},
    {"RGB 16, big-endian", {.photometric = 2, .depth = 16, .big_endian = true}},
    {"RGB 16, BigTIFF", {.photometric = 2, .depth = 16, .big = true}},
    {"RGB 16, BigTIFF, big-endian",
     {.photometric = 2, .depth = 16, .big = true, .big_endian = true}},
    {"RGB 16, planes", {.photometric = 2, .depth = 16, .separate = true, .strip = 9}},
    {"RGB 8, planes, LZW", {.photometric = 2, .depth = 8, .separate = true, .compression = 5}},
    {"RGB 8, planes, tiles", {.photometric = 2, .depth = 8, .separate = true, .tile = 16}},
    {"RGB 16, tiles", {.photometric = 2, .depth = 16, .tile = 32, .big_endian = true}},
    {"RGB 16, LZW", {.photometric = 2, .depth = 16, .compression = 5, .strip = 10}},
    {"RGB 16, LZW, predictor",
     {.photometric = 2, .depth = 16, .compression = 5, .predictor = 2, .big_endian = true}},
    {"RGB 8, LZW, predictor, tiles",
     {.photometric = 2, .depth = 8, .compression = 5, .predictor = 2, .tile = 16}},
    {"RGB 8, Deflate", {.photometric = 2, .depth = 8, .compression = 8, .strip = 8}},
    {"RGB 16, Deflate, predictor",
     {.photometric = 2, .depth = 16, .compression = 8, .predictor = 2}},
    {"RGB 16, Deflate of old", {.photometric = 2, .depth = 16, .compression = 32946}},
    {"RGB 8, PackBits", {.photometric = 2, .depth = 8, .compression = 32773, .strip = 4}},
    {"grey 8", {.photometric = 1, .depth = 8}},
    {"grey 16, tiles", {.photometric = 1, .depth = 16, .tile = 16, .compression = 8}},
    {"grey 16, white is zero", {.photometric = 0, .depth = 16}},
    {"grey 8, white is zero", {.photometric = 0, .depth = 8, .compression = 32773}},
    {"grey 4", {.photometric = 1, .depth = 4, .compression = 5}},
    {"grey 1, white is zero", {.photometric = 0, .depth = 1, .compression = 32773}},
    {"grey 2, tiles", {.photometric = 1, .depth = 2, .tile = 16}},
    {"palette 8", {.photometric = 3, .depth = 8}},
    {"palette 4, LZW", {.photometric = 3, .depth = 4, .compression = 5, .strip = 3}},
    {"palette 8, tiles", {.photometric = 3, .depth = 8, .tile = 16, .compression = 8}},
    {"CMYK 8", {.photometric = 5, .depth = 8, .compression = 5}},
    {"CMYK 16, planes", {.photometric = 5, .depth = 16, .separate = true}},
    {"RGB 8, alpha", {.photometric = 2, .depth = 8, .extra = 1, .alpha = 2}},
    {"RGB 16, alpha, planes",
     {.photometric = 2, .depth = 16, .extra = 1, .alpha = 2, .separate = true, .compression = 8}},
    {"RGB 16, associated alpha", {.photometric = 2, .depth = 16, .extra = 1, .alpha = 1}},
    {"grey 8, alpha and more", {.photometric = 1, .depth = 8, .extra = 3, .alpha = 2}},
    {"RGB 8, unsaid channels", {.photometric = 2, .depth = 8, .extra = 2, .compression = 5}},
    {"RGB 8, unsaid channel, planes", {.photometric = 2, .depth = 8, .extra = 1, .separate = true}},
    {"CMYK 8, alpha", {.photometric = 5, .depth = 8, .extra = 1, .alpha = 2}},
};

static made_tiff sized(made_tiff made) {
    made.width = W;
    made.height = H;
    return made;
}

/* As rows.h promises it of a value stored. */
static uint32_t promised(const made_tiff *made, uint32_t stored, int channel, int colours) {
    uint32_t most = (1u << made->depth) - 1;
    if (made->photometric == 3)
        return (37 * stored + 80 * (uint32_t)channel) & 255;
    uint32_t value = made->photometric == 0 && channel < colours ? most - stored : stored;
    return made->depth < 8 ? value * (255 / most) : value;
}

static void assert_pixels(const char *what, const made_tiff *made, const read_rows *seen) {
    int samples = seen->form.channels + (seen->form.alpha != TW_ALPHA_NONE);
    const unsigned char *at = seen->bytes;
    for (uint32_t y = 0; y < H; y++)
        for (uint32_t x = 0; x < W; x++)
            for (int c = 0; c < samples; c++) {
                uint32_t stored = made_tiff_sample(made, x, y, made->photometric == 3 ? 0 : c);
                uint32_t wanted = promised(made, stored, c, seen->form.channels);
                uint32_t value = *at++;
                if (seen->form.bits == 16)
                    value = value << 8 | *at++;
                if (value != wanted)
                    fail_msg("%s: %u, %u, channel %d is %u, and %u is right", what, x, y, c, value,
                             wanted);
            }
}

static void test_pixels(void **state) {
    static const tw_rows_alpha alphas[] = {TW_ALPHA_NONE, TW_ALPHA_MULTIPLIED, TW_ALPHA_STRAIGHT};
    static const int channels[] = {1, 1, 3, 3, 0, 4};
    (void)state;
    const char *path = scratch("rows.tif");
    for (size_t i = 0; i < sizeof tiffs / sizeof *tiffs; i++) {
        made_tiff made = sized(tiffs[i].made);
        make_tiff(path, &made);
        read_rows seen = all_rows(path);
        assert_int_equal(seen.form.width, W);
        assert_int_equal(seen.form.height, H);
        assert_int_equal(seen.form.bits, made.depth == 16 ? 16 : 8);
        assert_int_equal(seen.form.alpha, alphas[made.alpha]);
        assert_int_equal(seen.form.channels, channels[made.photometric]);
        assert_pixels(tiffs[i].what, &made, &seen);
        free_rows(&seen);
    }
}

/* Lossy, so against libtiff's own decoding: with its YCbCr converted by libjpeg there as here. */
static void test_jpeg_inside(void **state) {
    static const made_tiff kinds[] = {
        {.photometric = 6, .depth = 8, .compression = 7},
        {.photometric = 6, .depth = 8, .compression = 7, .strip = 16},
        {.photometric = 2, .depth = 8, .compression = 7, .strip = 16},
        {.photometric = 6, .depth = 8, .compression = 7, .tile = 32},
        {.photometric = 1, .depth = 8, .compression = 7},
    };
    (void)state;
    const char *path = scratch("jpeg.tif");
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        made_tiff made = sized(kinds[i]);
        uint32_t width, height;
        make_tiff(path, &made);
        unsigned char *wanted = read_tiff_rgb(path, &width, &height);
        read_rows seen = all_rows(path);
        size_t channels = (size_t)seen.form.channels;
        for (size_t k = 0; k < seen.length; k++)
            if (seen.bytes[k] != wanted[k * 3 / channels])
                fail_msg("%zu: byte %zu is %u, and %u is right", i, k, seen.bytes[k],
                         wanted[k * 3 / channels]);
        free(wanted);
        free_rows(&seen);
    }
}

static void test_orientation_is_not_applied(void **state) {
    (void)state;
    const char *path = scratch("turned.tif");
    made_tiff made = sized((made_tiff){.photometric = 2, .depth = 8, .orientation = 6});
    make_tiff(path, &made);
    read_rows seen = all_rows(path);
    assert_pixels("turned", &made, &seen);
    free_rows(&seen);
}

/* A byte in the middle of packed data: Deflate's check sum or LZW's codes betray most changes. */
static void test_damage_names_the_row(void **state) {
    (void)state;
    const char *path = scratch("damage.tif");
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    made_tiff made = sized((made_tiff){.photometric = 2, .depth = 8, .compression = 8, .strip = 8});
    size_t length;
    make_tiff(path, &made);
    unsigned char *bytes = read_file(path, &length);
    for (size_t i = 0; i < 40; i++)
        bytes[length / 2 + i] = 0xFF;
    write_file(path, bytes, length);
    read_rows seen = try_rows(&allocator, path);
    assert_int_equal(seen.code, TW_DAMAGED);
    assert_says(seen.error, "the TIFF is damaged in row ");
    assert_string_equal(seen.error.file, path);
    assert_in_range(seen.count, 8, 40);
    assert_no_leak(memory);
    free_rows(&seen);
    free(bytes);
}

static void test_no_memory_at_any_point(void **state) {
    static const size_t samples[] = {0, 7, 8, 14, 24};
    (void)state;
    const char *path = scratch("sample.tif");
    for (size_t i = 0; i < sizeof samples / sizeof *samples; i++) {
        made_tiff made = sized(tiffs[samples[i]].made);
        tw_code code = TW_MEMORY;
        make_tiff(path, &made);
        for (long at = 1; code != TW_OK; at++) {
            test_memory memory = {.fail_at = at};
            tw_allocator allocator = test_allocator(&memory);
            read_rows seen = try_rows(&allocator, path);
            code = seen.code;
            assert_true(code == TW_OK || code == TW_MEMORY);
            assert_no_leak(memory);
            free_rows(&seen);
            assert_true(at < 100);
        }
    }
}

/* Every sample cut at 200 places: the facts say so, or the rows do. */
static void test_cut_short_is_noticed(void **state) {
    (void)state;
    const char *path = scratch("sample.tif"), *cut = scratch("cut.tif");
    for (size_t i = 0; i < sizeof tiffs / sizeof *tiffs; i += 3) {
        made_tiff made = sized(tiffs[i].made);
        size_t length;
        make_tiff(path, &made);
        unsigned char *bytes = read_file(path, &length);
        for (size_t k = 0; k < 200; k++) {
            test_memory memory = {0};
            tw_allocator allocator = test_allocator(&memory);
            write_file(cut, bytes, k * length / 200);
            read_rows seen = try_rows(&allocator, cut);
            if (seen.code != TW_DAMAGED && seen.code != TW_INPUT)
                fail_msg("%s cut at %zu of 200: code %d: %s", tiffs[i].what, k, seen.code,
                         seen.error.message);
            assert_no_leak(memory);
            free_rows(&seen);
        }
        free(bytes);
    }
}

/* The check sum is over all of a deflated strip or tile (RFC 1950 2.2): no changed byte of the data
 * goes by. It lies between the header and the directory, whose place the header says. */
static void test_no_change_in_deflated_data_goes_by(void **state) {
    static const made_tiff made[] = {
        {.width = 40,
         .height = 40,
         .photometric = 2,
         .depth = 16,
         .compression = 8,
         .tile = 32,
         .predictor = 2},
        {.width = 40,
         .height = 40,
         .photometric = 2,
         .depth = 8,
         .compression = 8,
         .tile = 16,
         .separate = true},
        {.width = 40, .height = 40, .photometric = 2, .depth = 8, .compression = 8, .strip = 9},
    };
    (void)state;
    const char *path = scratch("sample.tif"), *broken = scratch("broken.tif");
    for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
        size_t length;
        make_tiff(path, &made[i]);
        unsigned char *bytes = read_file(path, &length);
        size_t end = (size_t)bytes[4] | (size_t)bytes[5] << 8 | (size_t)bytes[6] << 16;
        assert_memory_equal(bytes, "II", 2);
        assert_in_range(end, 500, length - 100);
        for (size_t at = 8; at + 1 < end; at += 1 + end / 400) {
            test_memory memory = {0};
            tw_allocator allocator = test_allocator(&memory);
            bytes[at] ^= 0x10;
            write_file(broken, bytes, length);
            read_rows seen = try_rows(&allocator, broken);
            assert_int_equal(seen.code, TW_DAMAGED);
            assert_says(seen.error, "the TIFF is damaged in row ");
            assert_no_leak(memory);
            free_rows(&seen);
            bytes[at] ^= 0x10;
        }
        free(bytes);
    }
}

/* 2000 changed bits over all samples: a clean error or rows. Uncompressed samples have no check. */
static void test_changed_bits_are_survived(void **state) {
    (void)state;
    const char *path = scratch("sample.tif"), *broken = scratch("broken.tif");
    size_t count = sizeof tiffs / sizeof *tiffs;
    uint32_t seed = 7;
    long noticed = 0;
    for (size_t i = 0; i < count; i++) {
        made_tiff made = sized(tiffs[i].made);
        size_t length;
        make_tiff(path, &made);
        unsigned char *bytes = read_file(path, &length);
        for (size_t k = 0; k < 2000 / count + 1; k++) {
            test_memory memory = {0};
            tw_allocator allocator = test_allocator(&memory);
            seed = seed * 1664525u + 1013904223u;
            /* half of them in the tags, which these files have at their end */
            size_t most = k % 2 == 0 || length < 300 ? length : 300;
            size_t at = length - 1 - (seed >> 8) % most;
            unsigned char was = bytes[at];
            bytes[at] ^= (unsigned char)(1u << (seed & 7));
            write_file(broken, bytes, length);
            read_rows seen = try_rows(&allocator, broken);
            assert_true(seen.code == TW_OK || seen.code == TW_DAMAGED || seen.code == TW_INPUT);
            noticed += seen.code != TW_OK;
            assert_no_leak(memory);
            free_rows(&seen);
            bytes[at] = was;
        }
        free(bytes);
    }
    assert_true(noticed > 400);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_pixels),
        cmocka_unit_test(test_jpeg_inside),
        cmocka_unit_test(test_orientation_is_not_applied),
        cmocka_unit_test(test_damage_names_the_row),
        cmocka_unit_test(test_no_memory_at_any_point),
        cmocka_unit_test(test_cut_short_is_noticed),
        cmocka_unit_test(test_no_change_in_deflated_data_goes_by),
        cmocka_unit_test(test_changed_bits_are_survived),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
