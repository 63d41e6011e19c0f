/*
 * Unpacking by the quick library against zlib, the reference implementation of RFC 1950 and 1951:
 * the same bytes whatever pieces they come in, and the same streams refused.
 */
#include "testing.h"

#include <zlib.h>

#include "base/inflate.h"

enum { LENGTH = 200000 };

/* How a stream is handed over. */
typedef struct pieces {
    size_t given, room;
} pieces;

typedef struct unpacked {
    tw_code code;
    size_t length, left; /* bytes that came; packed ones not used */
    bool ended;
    tw_error error;
} unpacked;

typedef tw_code maker(const tw_allocator *allocator, tw_inflate **out, tw_error *error);

static uint32_t next_number(uint32_t *seed) {
    *seed = *seed * 1664525u + 1013904223u; /* Knuth, TAOCP 2, 3.3.4, table 1, line 16 */
    return *seed >> 8;
}

/* Rows as of a photograph: `noise` of 256 steps on a slope; 0: long repeats. */
static void fill(unsigned char *bytes, unsigned noise) {
    uint32_t seed = 7;
    for (size_t i = 0; i < LENGTH; i++)
        bytes[i] = (unsigned char)((i / 700) + (noise == 0 ? 0 : next_number(&seed) % noise));
}

static unsigned char *packed(const unsigned char *bytes, int level, int strategy, size_t *length) {
    z_stream z = {.zalloc = NULL};
    unsigned char *out = malloc(LENGTH * 2);
    assert_non_null(out);
    assert_int_equal(deflateInit2(&z, level, Z_DEFLATED, 15, 8, strategy), Z_OK);
    z.next_in = (unsigned char *)bytes;
    z.avail_in = LENGTH;
    z.next_out = out;
    z.avail_out = LENGTH * 2;
    assert_int_equal(deflate(&z, Z_FINISH), Z_STREAM_END);
    *length = z.total_out;
    deflateEnd(&z);
    return out;
}

/* Rooms and pieces are blocks of their own size: a sanitizer sees a byte too many. */
static tw_code run(tw_inflate *own, const unsigned char *from, size_t length, pieces by,
                   unsigned char *to, unpacked *out) {
    unsigned char *room = malloc(by.room), *piece = malloc(by.given);
    size_t at = 0;
    tw_code code = TW_OK;
    while (code == TW_OK && !tw_inflate_ended(own)) {
        size_t got = 0;
        code = tw_inflate_some(own, room, by.room, &got, &out->error);
        for (size_t i = 0; i < got && out->length + i < LENGTH; i++)
            to[out->length + i] = room[i];
        out->length += got;
        if (code != TW_OK || got == by.room || tw_inflate_left(own) > 0)
            continue;
        if (at == length)
            break;
        size_t some = length - at < by.given ? length - at : by.given;
        memcpy(piece, from + at, some);
        if (!tw_inflate_ended(own))
            tw_inflate_give(own, piece, some);
        at += tw_inflate_ended(own) ? 0 : some;
    }
    out->left = length - at + tw_inflate_left(own);
    out->ended = tw_inflate_ended(own);
    free(room);
    free(piece);
    return code;
}

static unpacked unpack(maker *make, const unsigned char *from, size_t length, pieces by,
                       unsigned char *to) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    unpacked out = {.code = TW_OK};
    tw_inflate *own = NULL;
    assert_ok(make(&allocator, &own, &out.error), out.error);
    out.code = run(own, from, length, by, to, &out);
    assert_true(!out.ended || out.length <= LENGTH);
    if (out.ended)
        assert_int_equal(tw_inflate_check(own), adler32(1, to, (uInt)out.length));
    tw_inflate_free(own);
    assert_no_leak(memory);
    return out;
}

static void test_same_bytes_in_any_pieces(void **state) {
    static const pieces ways[] = {{1 << 20, 1 << 20}, {1, 1 << 20}, {1 << 20, 1}, {7, 13},
                                  {4096, 32768},      {65536, 999}};
    static const struct {
        unsigned noise;
        int level, strategy;
    } kinds[] = {{0, 9, Z_DEFAULT_STRATEGY},
                 {40, 6, Z_DEFAULT_STRATEGY},
                 {256, 6, Z_HUFFMAN_ONLY},
                 {40, 0, Z_DEFAULT_STRATEGY},
                 {9, 1, Z_FIXED},
                 {3, 6, Z_RLE}};
    unsigned char *bytes = malloc(LENGTH), *got = malloc(LENGTH);
    (void)state;
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
        size_t length;
        fill(bytes, kinds[k].noise);
        unsigned char *stream = packed(bytes, kinds[k].level, kinds[k].strategy, &length);
        for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
            memset(got, 0xA5, LENGTH);
            unpacked u = unpack(tw_inflate_new, stream, length, ways[i], got);
            assert_ok(u.code, u.error);
            assert_true(u.ended);
            assert_int_equal(u.left, 0);
            assert_int_equal(u.length, LENGTH);
            assert_memory_equal(got, bytes, LENGTH);
        }
        free(stream);
    }
    free(bytes);
    free(got);
}

/* One verdict, the same bytes of a whole stream, the same place where it ends. Is it whole? */
static bool check_same(const unsigned char *stream, size_t length, unsigned char *a,
                       unsigned char *b) {
    pieces by = {600, 5000};
    unpacked one = unpack(tw_inflate_new, stream, length, by, a);
    unpacked two = unpack(tw_inflate_new_zlib, stream, length, by, b);
    assert_int_equal(one.code, two.code);
    assert_int_equal(one.ended, two.ended);
    if (two.code == TW_DAMAGED)
        assert_true(one.error.message[0] != '\0');
    if (!two.ended)
        return false;
    assert_int_equal(one.length, two.length);
    assert_int_equal(one.left, two.left);
    assert_memory_equal(a, b, LENGTH);
    return true;
}

static void test_cut_anywhere(void **state) {
    unsigned char *bytes = malloc(LENGTH), *a = malloc(LENGTH), *b = malloc(LENGTH);
    size_t length;
    (void)state;
    fill(bytes, 9);
    unsigned char *stream = packed(bytes, 6, Z_DEFAULT_STRATEGY, &length);
    for (size_t cut = 0; cut < length; cut += cut < 40 || length - cut < 40 ? 1 : 997) {
        unpacked u = unpack(tw_inflate_new, stream, cut, (pieces){600, 5000}, a);
        assert_ok(u.code, u.error);
        assert_false(u.ended);
        assert_false(check_same(stream, cut, a, b));
    }
    free(stream);
    free(bytes);
    free(a);
    free(b);
}

static void test_changed_anywhere(void **state) {
    unsigned char *bytes = malloc(LENGTH), *a = calloc(LENGTH, 1), *b = calloc(LENGTH, 1);
    (void)state;
    for (int kind = 0; kind < 3; kind++) {
        size_t length;
        uint32_t seed = 5;
        fill(bytes, kind == 0 ? 0 : 9);
        unsigned char *stream = packed(bytes, 6, kind == 2 ? Z_FIXED : Z_DEFAULT_STRATEGY, &length);
        for (int i = 0; i < 150; i++) {
            size_t at = i < 60 ? (size_t)i % length : next_number(&seed) % length;
            unsigned char change = (unsigned char)(1u << next_number(&seed) % 8);
            stream[at] ^= change;
            if (check_same(stream, length, a, b)) /* bits between the data and its check sum */
                assert_memory_equal(a, bytes, LENGTH);
            stream[at] ^= change;
        }
        free(stream);
    }
    free(bytes);
    free(a);
    free(b);
}

/* Behind the stream's end nothing is used. */
static void test_what_stands_behind(void **state) {
    unsigned char *bytes = malloc(LENGTH), *got = malloc(LENGTH);
    size_t length;
    (void)state;
    fill(bytes, 9);
    unsigned char *stream = packed(bytes, 6, Z_DEFAULT_STRATEGY, &length);
    memset(stream + length, 'x', 50);
    unpacked u = unpack(tw_inflate_new, stream, length + 50, (pieces){1 << 20, 1 << 20}, got);
    assert_ok(u.code, u.error);
    assert_true(u.ended);
    assert_int_equal(u.left, 50);
    free(stream);
    free(bytes);
    free(got);
}

/* RFC 1950, 2.2: the method, the window, the header's check, a dictionary that is asked for. */
static void test_wrong_heads(void **state) {
    static const unsigned char heads[][2] = {
        {0x79, 0x9b}, {0x88, 0x1c}, {0x78, 0x9d}, {0x78, 0xbb}, {0, 0}};
    unsigned char stream[60] = {0}, got[1];
    (void)state;
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
        memcpy(stream, heads[i], 2);
        unpacked u = unpack(tw_inflate_new, stream, sizeof stream, (pieces){60, 100}, got);
        assert_int_equal(u.code, TW_DAMAGED);
        assert_false(u.ended);
    }
}

static void test_restart(void **state) {
    unsigned char *bytes = malloc(LENGTH), *got = malloc(LENGTH);
    tw_inflate *own = NULL;
    tw_error error = {0};
    size_t length;
    (void)state;
    fill(bytes, 9);
    unsigned char *stream = packed(bytes, 6, Z_DEFAULT_STRATEGY, &length);
    assert_ok(tw_inflate_new(NULL, &own, &error), error);
    for (int i = 0; i < 3; i++) {
        unpacked out = {.code = TW_OK};
        tw_inflate_restart(own);
        size_t some = i == 1 ? length / 2 : length; /* the second breaks off */
        assert_ok(run(own, stream, some, (pieces){900, 700}, got, &out), out.error);
        assert_int_equal(out.ended, i != 1);
        if (i != 1)
            assert_memory_equal(got, bytes, LENGTH);
    }
    tw_inflate_free(own);
    free(stream);
    free(bytes);
    free(got);
}

static void test_no_memory(void **state) {
    test_memory memory = {.fail_at = 1};
    tw_allocator allocator = test_allocator(&memory);
    tw_inflate *own = NULL;
    tw_error error = {0};
    (void)state;
    assert_int_equal(tw_inflate_new(&allocator, &own, &error), TW_MEMORY);
    assert_null(own);
    assert_no_leak(memory);
}

static void test_check_sum(void **state) {
    (void)state;
    /* "123456789": the check value of CRC-32/ISO-HDLC (Koopman; ITU-T V.42, 8.1.1.6.2) */
    assert_int_equal(tw_crc32(0, (const unsigned char *)"123456789", 9), 0xCBF43926u);
    assert_int_equal(
        tw_crc32(tw_crc32(0, (const unsigned char *)"1234", 4), (const unsigned char *)"56789", 5),
        0xCBF43926u);
    assert_int_equal(tw_crc32(0, NULL, 0), 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_same_bytes_in_any_pieces),
        cmocka_unit_test(test_cut_anywhere),
        cmocka_unit_test(test_changed_anywhere),
        cmocka_unit_test(test_what_stands_behind),
        cmocka_unit_test(test_wrong_heads),
        cmocka_unit_test(test_restart),
        cmocka_unit_test(test_no_memory),
        cmocka_unit_test(test_check_sum),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
