/*
 * What libpng is fed with: the file's own chunks, and image data that unpacks to the same bytes,
 * whatever chunks it lies in and however it is asked for. Sources: PNG (W3C, second edition) 5.3
 * and 10.1, RFC 1951 3.2.4; unpacking by zlib.
 */
#include "testing.h"

#include <fcntl.h>
#include <unistd.h>
#include <zlib.h>

#include "image/png_feed.h"
#include "make_image.h"

enum { WIDE = 211, HIGH = 173, MOST = 1 << 20, WINDOW = 4096 };

/* A PNG taken apart: its image data unpacked, and all its other chunks. */
typedef struct parts {
    unsigned char *pixels, *others;
    size_t pixel_bytes, other_bytes;
    int blocks;
    bool ended; /* with the right check sum */
} parts;

static parts take_apart(const unsigned char *png, size_t length) {
    parts out = {.pixels = malloc(MOST), .others = malloc(MOST)};
    z_stream z = {.next_out = out.pixels, .avail_out = MOST};
    assert_int_equal(inflateInit(&z), Z_OK);
    memcpy(out.others, png, out.other_bytes = 8);
    for (size_t at = 8; at < length;) {
        uint32_t data = tw_big32(png + at);
        assert_true(at + 12 + data <= length);
        if (memcmp(png + at + 4, "IDAT", 4) == 0) {
            z.next_in = (unsigned char *)png + at + 8;
            z.avail_in = data;
            int result = inflate(&z, Z_NO_FLUSH);
            assert_true(result == Z_OK || result == Z_STREAM_END || result == Z_BUF_ERROR);
            out.ended = result == Z_STREAM_END;
            out.blocks++;
        } else {
            memcpy(out.others + out.other_bytes, png + at, data + 12);
            out.other_bytes += data + 12;
        }
        at += 12 + data;
    }
    out.pixel_bytes = z.total_out;
    inflateEnd(&z);
    return out;
}

static void free_parts(parts *of) {
    free(of->pixels);
    free(of->others);
}

static bool is_end(const unsigned char *bytes, size_t length) {
    return length >= 8 && memcmp(bytes + length - 8, "IEND\xAE\x42\x60\x82", 8) == 0;
}

/* What the feed gives until it fails or the end chunk came, a byte at a time; `total` > 0: so many,
 * `at_once` at a time. */
static tw_code drink(const char *path, size_t at_once, size_t total, unsigned char *bytes,
                     size_t *length, tw_error *error) {
    static unsigned char window[WINDOW];
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_png_feed *feed = NULL;
    tw_source source;
    int descriptor = open(path, O_RDONLY);
    assert_true(descriptor >= 0);
    tw_source_start(&source, descriptor, lseek(descriptor, 0, SEEK_END), window, WINDOW);
    assert_ok(tw_png_feed_new(&allocator, &source, &feed, error), *error);
    tw_code code = TW_OK;
    *length = 0;
    while (code == TW_OK && *length < MOST && !is_end(bytes, *length)) {
        size_t some = total == 0 ? 1 : total - *length < at_once ? total - *length : at_once;
        code = tw_png_feed_read(feed, bytes + *length, some, error);
        *length += code == TW_OK ? some : 0;
    }
    tw_png_feed_free(feed);
    close(descriptor);
    assert_no_leak(memory);
    return code;
}

static void check_fed(const char *path) {
    static const size_t at_once[] = {7, 8, 4096, 40000, MOST};
    tw_error error = {0};
    size_t length, total, fed;
    unsigned char *bytes = read_file(path, &length), *got = malloc(MOST), *again = malloc(MOST);
    assert_ok(drink(path, 1, 0, got, &total, &error), error);
    parts own = take_apart(bytes, length), given = take_apart(got, total);
    assert_true(given.ended);
    assert_int_equal(given.pixel_bytes, own.pixel_bytes);
    assert_memory_equal(given.pixels, own.pixels, own.pixel_bytes);
    assert_int_equal(given.other_bytes, own.other_bytes);
    assert_memory_equal(given.others, own.others, own.other_bytes);
    assert_int_equal(given.blocks, own.pixel_bytes / 32768 + 1);
    for (size_t i = 0; i < sizeof at_once / sizeof *at_once; i++) {
        assert_ok(drink(path, at_once[i], total, again, &fed, &error), error);
        assert_int_equal(fed, total);
        assert_memory_equal(again, got, total);
    }
    free_parts(&own);
    free_parts(&given);
    free(bytes);
    free(got);
    free(again);
}

static void test_same_data_in_stored_blocks(void **state) {
    static const size_t chunks[] = {6, 100, 8192, 1 << 20};
    const char *path = scratch("feed.png");
    (void)state;
    for (int depth = 8; depth <= 16; depth += 8)
        for (size_t c = 0; c < sizeof chunks / sizeof *chunks; c++)
            for (int noise = 0; noise < 2; noise++) {
                make_png(path, &(made_png){.width = WIDE,
                                           .height = HIGH,
                                           .type = 2,
                                           .depth = depth,
                                           .data_size = chunks[c],
                                           .noise = noise,
                                           .srgb = true});
                check_fed(path);
            }
}

static size_t put_chunk(unsigned char *at, const char *type, const void *data, uint32_t length) {
    tw_put_big32(at, length);
    memcpy(at + 4, type, 4);
    memcpy(at + 8, data, length);
    tw_put_big32(at + 8 + length, (uint32_t)crc32(0, at + 4, length + 4));
    return length + 12;
}

/* One colour: of its last packed bytes come many blocks of pixels. */
static void test_much_out_of_little(void **state) {
    static const unsigned char head[] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
    static const unsigned char size[13] = {0, 0, 1, 0, 0, 0, 1, 0, 16, 2};
    static const unsigned char rows[256 * (1 + 6 * 256)];
    static unsigned char packed[4096], png[8192];
    const char *path = scratch("feed.png");
    (void)state;
    for (uint32_t chunk = 7; chunk < 1000; chunk += 40) {
        uLongf length = sizeof packed;
        size_t at = sizeof head;
        assert_int_equal(compress2(packed, &length, rows, sizeof rows, 9), Z_OK);
        memcpy(png, head, sizeof head);
        at += put_chunk(png + at, "IHDR", size, sizeof size);
        for (uint32_t i = 0; i < length; i += chunk)
            at += put_chunk(png + at, "IDAT", packed + i,
                            length - i < chunk ? (uint32_t)length - i : chunk);
        at += put_chunk(png + at, "IEND", "", 0);
        write_file(path, png, at);
        check_fed(path);
    }
}

/* The image data broken in its middle: what was whole before comes, then the fault is said. */
static void test_what_is_whole_before_a_fault(void **state) {
    const char *path = scratch("feed.png");
    tw_error error = {0};
    size_t length, fed;
    unsigned char *got = calloc(MOST, 1);
    (void)state;
    make_png(
        path,
        &(made_png){
            .width = WIDE, .height = HIGH, .type = 2, .depth = 16, .data_size = 1000, .noise = 1});
    unsigned char *bytes = read_file(path, &length);
    parts own = take_apart(bytes, length);
    bytes[length / 2] ^= 0x40;
    write_file(path, bytes, length);
    assert_int_equal(drink(path, 1, 0, got, &fed, &error), TW_DAMAGED);
    assert_true(strstr(error.message, "its chunk at byte ") != NULL ||
                strstr(error.message, "packed data") != NULL);
    parts given = take_apart(got, fed);
    assert_in_range(given.pixel_bytes, own.pixel_bytes / 3, own.pixel_bytes * 2 / 3);
    assert_int_not_equal(given.pixel_bytes % 32768, 0); /* not only whole blocks */
    assert_memory_equal(given.pixels, own.pixels, own.pixel_bytes / 3);
    free_parts(&own);
    free_parts(&given);
    free(bytes);
    free(got);
}

static void test_no_memory(void **state) {
    static unsigned char window[WINDOW];
    (void)state;
    for (long fail = 1; fail <= 3; fail++) {
        test_memory memory = {.fail_at = fail};
        tw_allocator allocator = test_allocator(&memory);
        tw_png_feed *feed = NULL;
        tw_source source;
        tw_error error = {0};
        tw_source_start(&source, 0, 0, window, WINDOW);
        assert_int_equal(tw_png_feed_new(&allocator, &source, &feed, &error), TW_MEMORY);
        assert_null(feed);
        assert_no_leak(memory);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_same_data_in_stored_blocks),
        cmocka_unit_test(test_much_out_of_little),
        cmocka_unit_test(test_what_is_whole_before_a_fault),
        cmocka_unit_test(test_no_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
