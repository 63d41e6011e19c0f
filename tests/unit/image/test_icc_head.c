/*
 * ICC profiles. Sources: ICC.1:2010 (ISO 15076-1) clause 7.2 (header: size at 0, version 8, class
 * 12, space 16, connection 20, "acsp" 36, intent 64, all big-endian), 7.3 (tag table), 10.13
 * (multilingual text); ICC.1:2001-04 6.5.17 (textual description).
 */
#include "testing.h"

#include "base/text.h"
#include "image/icc_head.h"
#include "make_image.h"

typedef struct icc {
    unsigned char *bytes;
    size_t length;
} icc;

static icc make(int version, const char *text) {
    icc out;
    out.bytes = make_icc("mntr", "RGB ", version, text, &out.length);
    return out;
}

/* Read an exact copy; the outcome in *error, the description checked to be UTF-8. */
static tw_code read_icc(tw_arena *arena, icc from, tw_profile *out, tw_error *error) {
    unsigned char *copy = malloc(from.length == 0 ? 1 : from.length);
    memcpy(copy, from.bytes, from.length);
    *error = (tw_error){0};
    tw_code code = tw_profile_read(arena, copy, from.length, out, error);
    free(copy);
    if (code == TW_OK && out->description != NULL) {
        size_t length = strlen(out->description);
        assert_int_equal(tw_utf8_valid(out->description, length), length);
    }
    return code;
}

static void put32(unsigned char *to, size_t value) {
    for (int i = 0; i < 4; i++)
        to[i] = (unsigned char)(value >> (24 - 8 * i));
}

static void test_header_and_description(void **state) {
    (void)state;
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_error error;
    tw_profile out;
    for (int version = 2; version <= 4; version += 2) {
        icc made = make(version, "Satin 2027, my printer");
        made.bytes[67] = 1;
        assert_ok(read_icc(arena, made, &out, &error), error);
        assert_string_equal(out.device_class, "mntr");
        assert_string_equal(out.space, "RGB ");
        assert_string_equal(out.connection, "XYZ ");
        assert_int_equal(out.channels, 3);
        assert_int_equal(out.version_major, version);
        assert_int_equal(out.version_minor, version == 4 ? 3 : 1);
        assert_int_equal(out.intent, 1);
        assert_string_equal(out.description, "Satin 2027, my printer");
        free(made.bytes);
    }
    tw_arena_free(arena);
}

static void test_channels_of_each_space(void **state) {
    static const struct {
        const char *space;
        int channels;
    } table[] = {{"GRAY", 1}, {"RGB ", 3}, {"CMYK", 4}, {"Lab ", 0}, {"6CLR", 0}, {"HSV ", 0}};
    (void)state;
    tw_arena *arena = tw_arena_new(NULL, 0);
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        tw_error error;
        tw_profile out;
        icc made;
        made.bytes = make_icc("prtr", table[i].space, 2, "x", &made.length);
        assert_ok(read_icc(arena, made, &out, &error), error);
        assert_int_equal(out.channels, table[i].channels);
        free(made.bytes);
    }
    tw_arena_free(arena);
}

static void expect_refused(tw_arena *arena, icc made, const char *words) {
    tw_error error;
    tw_profile out;
    assert_int_equal(read_icc(arena, made, &out, &error), TW_INPUT);
    assert_string_equal(error.name, "profile");
    assert_says(error, words);
}

static void test_refusals(void **state) {
    (void)state;
    tw_arena *arena = tw_arena_new(NULL, 0);
    icc made = make(2, "text"), part = {made.bytes, 131};
    expect_refused(arena, part, "131 bytes long, at least 132");
    put32(made.bytes, made.length + 1);
    expect_refused(arena, made, "bytes long but is");
    put32(made.bytes, made.length);
    made.bytes[36] = 'A';
    expect_refused(arena, made, "\"acsp\"");
    made.bytes[36] = 'a';
    put32(made.bytes + 128, 0x10000000);
    expect_refused(arena, made, "tag table");
    put32(made.bytes + 128, 1);
    put32(made.bytes + 140, made.length);
    expect_refused(arena, made, "outside it");
    put32(made.bytes + 136, 0xFFFFFFFF);
    expect_refused(arena, made, "outside it");
    free(made.bytes);
    tw_arena_free(arena);
}

/* Two languages: English wins wherever it stands; text past the basic plane comes through. */
static void test_languages_and_surrogates(void **state) {
    static const unsigned char utf16[] = {0xD8, 0x3D, 0xDD, 0x8F, /* U+1F58F */
                                          0xD8, 0x3D, 0x00, 0x07, /* half a pair, a bell */
                                          0x00, 'B'};
    (void)state;
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_error error;
    tw_profile out;
    icc made = make(4, "ABCDEFGHIJKLMNOPQRSTUVWXYZ");
    unsigned char *tag = made.bytes + 144;
    memmove(tag + 28, tag + 16, 12); /* enUS becomes the second record */
    put32(tag + 8, 2);
    memcpy(tag + 16, "deDE", 4);
    put32(tag + 20, 2);
    put32(tag + 24, 40); /* its text: the two bytes after the records */
    put32(tag + 32, sizeof utf16);
    put32(tag + 36, 44);
    memcpy(tag + 44, utf16, sizeof utf16);
    assert_ok(read_icc(arena, made, &out, &error), error);
    assert_string_equal(out.description, "\xF0\x9F\x96\x8F\xEF\xBF\xBD B");
    free(made.bytes);
    tw_arena_free(arena);
}

/* A hostile name cannot grow without end, nor hold what drives a terminal. */
static void test_description_is_bounded(void **state) {
    (void)state;
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_error error;
    tw_profile out;
    char text[3000];
    memset(text, 'n', sizeof text);
    text[0] = '\x1B';
    text[sizeof text - 1] = '\0';
    for (int version = 2; version <= 4; version += 2) {
        icc made = make(version, text);
        assert_ok(read_icc(arena, made, &out, &error), error);
        assert_in_range(strlen(out.description), 100, 410);
        assert_int_equal(out.description[0], ' ');
        free(made.bytes);
    }
    tw_arena_free(arena);
}

static void test_random_bytes_are_survived(void **state) {
    (void)state;
    uint32_t seed = 3;
    for (int i = 0; i < 4000; i++) {
        tw_arena *arena = tw_arena_new(NULL, 0);
        tw_error error;
        tw_profile out;
        icc made = make(i % 2 == 0 ? 2 : 4, "a short name");
        for (int k = 0; k < 3; k++) {
            seed = seed * 1664525u + 1013904223u;
            made.bytes[124 + (seed >> 8) % (made.length - 124)] = (unsigned char)(seed >> 24);
        }
        tw_code code = read_icc(arena, made, &out, &error);
        assert_true(code == TW_OK || code == TW_INPUT);
        free(made.bytes);
        tw_arena_free(arena);
    }
}

static void test_no_memory_at_any_point(void **state) {
    (void)state;
    tw_code code = TW_MEMORY;
    icc made = make(4, "a name");
    for (long at = 1; code != TW_OK; at++) {
        test_memory memory = {.fail_at = at};
        tw_allocator allocator = test_allocator(&memory);
        tw_arena *arena = tw_arena_new(&allocator, 0);
        tw_profile out;
        tw_error error;
        if (arena != NULL)
            code = read_icc(arena, made, &out, &error);
        assert_true(code == TW_OK || code == TW_MEMORY);
        tw_arena_free(arena);
        assert_no_leak(memory);
        assert_true(at < 50);
    }
    free(made.bytes);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_header_and_description),
        cmocka_unit_test(test_channels_of_each_space),
        cmocka_unit_test(test_refusals),
        cmocka_unit_test(test_languages_and_surrogates),
        cmocka_unit_test(test_description_is_bounded),
        cmocka_unit_test(test_random_bytes_are_survived),
        cmocka_unit_test(test_no_memory_at_any_point),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
