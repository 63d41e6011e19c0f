/*
 * UTF-8 against RFC 3629 (its section 4 syntax and the limits of each length) and JSON strings
 * against RFC 8259 section 7; nearest names against distances counted by hand.
 */
#include "base/text.h"

#include "testing.h"

/* RFC 3629 section 4: the first and last character of each row of its table. */
static void the_borders_of_utf8(void **state) {
    (void)state;
    static const struct {
        uint32_t character;
        const char *bytes;
    } rows[] = {
        {0x01, "\x01"},
        {0x7F, "\x7F"},
        {0x80, "\xC2\x80"},
        {0x7FF, "\xDF\xBF"},
        {0x800, "\xE0\xA0\x80"},
        {0xD7FF, "\xED\x9F\xBF"},
        {0xE000, "\xEE\x80\x80"},
        {0xFFFF, "\xEF\xBF\xBF"},
        {0x10000, "\xF0\x90\x80\x80"},
        {0x10FFFF, "\xF4\x8F\xBF\xBF"},
        /* RFC 3629 section 7, examples */
        {0x2262, "\xE2\x89\xA2"},
        {0x391, "\xCE\x91"},
        {0xD55C, "\xED\x95\x9C"},
        {0x65E5, "\xE6\x97\xA5"},
        {0x233B4, "\xF0\xA3\x8E\xB4"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *at = rows[i].bytes;
        char out[5] = "";
        size_t length = strlen(rows[i].bytes);
        assert_int_equal(tw_utf8_valid(rows[i].bytes, length), length);
        assert_int_equal(tw_utf8_next(&at), rows[i].character);
        assert_ptr_equal(at, rows[i].bytes + length);
        assert_int_equal(tw_utf8_put(rows[i].character, out), length);
        assert_string_equal(out, rows[i].bytes);
        for (size_t cut = 1; cut < length; cut++) /* cut short it is not UTF-8 */
            assert_int_equal(tw_utf8_valid(rows[i].bytes, cut), 0);
    }
}

static void what_is_not_utf8(void **state) {
    (void)state;
    static const char *const rows[] = {
        "\x80",
        "\xBF",
        "\xC0\x80",
        "\xC1\xBF",
        "\xE0\x9F\xBF",
        "\xED\xA0\x80",
        "\xED\xBF\xBF",
        "\xF0\x8F\xBF\xBF",
        "\xF4\x90\x80\x80",
        "\xF5\x80\x80\x80",
        "\xFE",
        "\xFF",
        "\xC2\x41",
        "\xE2\x82\x41",
        "\xF0\x9F\x93\x41",
        "\xF8\x88\x80\x80\x80",
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[16] = "ok";
        strcat(text, rows[i]);
        assert_int_equal(tw_utf8_valid(text, strlen(text)), 2);
    }
    assert_int_equal(tw_utf8_valid("a\0b", 3), 3); /* NUL is a character */
    assert_int_equal(tw_utf8_valid("", 0), 0);
}

/* Every value there is: put, valid and next agree, and surrogates are refused. */
static void all_of_unicode(void **state) {
    (void)state;
    for (uint32_t c = 0; c <= 0x10FFFF; c++) {
        char out[4];
        const char *at = out;
        size_t length = tw_utf8_put(c, out);
        bool surrogate = c >= 0xD800 && c <= 0xDFFF;
        if (tw_utf8_valid(out, length) != (surrogate ? 0 : length) ||
            (!surrogate && tw_utf8_next(&at) != c))
            fail_msg("U+%04X", (unsigned)c);
    }
}

static void nearest_names(void **state) {
    (void)state;
    static const char *const keys[] = {"border", "bleed", "size", "A3", "signature", "lie"};
    static const struct {
        const char *name, *near;
    } rows[] = {
        {"boarder", "border"},
        {"broder", "border"},
        {"BORDER", "border"},
        {"bordre", "border"},
        {"szie", "size"}, /* two letters swapped are one step */

        {"bled", "bleed"},
        {"sizes", "size"},
        {"signatur", "signature"},
        {"singature", "signature"},
        {"A4", "A3"},
        {"li", "lie"},
        {"zzz", NULL},
        {"colour", NULL},
        {"borderlessprint", NULL},
        {"sgntr", NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const char *near = tw_nearest(rows[i].name, keys, sizeof keys / sizeof *keys);
        if (!tw_same_name(near, rows[i].near))
            fail_msg("%s: %s", rows[i].name, near == NULL ? "none" : near);
    }
    assert_null(tw_nearest("border", keys, 0));
}

/* The bound is a third of the longer name, ties go to the first, long names cost nothing. */
static void nearness_is_bounded(void **state) {
    (void)state;
    static const char *const ties[] = {"cat", "bat"};
    static const char *const nine[] = {"abcdefghi"};
    assert_string_equal(tw_nearest("hat", ties, 2), "cat");
    assert_string_equal(tw_nearest("abcdefxyz", nine, 1), "abcdefghi"); /* 3 of 9 */
    assert_null(tw_nearest("abcdewxyz", nine, 1));                      /* 4 of 9 */
    static const char *const a64[] = {
        "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"};
    char a65[66];
    snprintf(a65, sizeof a65, "%sa", a64[0]);
    assert_string_equal(tw_nearest(a64[0], a64, 1), a64[0]);
    assert_null(tw_nearest(a65, a64, 1));
    char *longest = malloc(1 << 20);
    memset(longest, 'a', 1 << 20);
    longest[(1 << 20) - 1] = '\0';
    const char *const names[] = {longest};
    assert_null(tw_nearest(longest, names, 1));
    assert_null(tw_nearest("aaa", names, 1));
    free(longest);
}

static void names_are_compared(void **state) {
    (void)state;
    assert_true(tw_same_name("a", "a"));
    assert_true(tw_same_name(NULL, NULL));
    assert_false(tw_same_name("a", NULL));
    assert_false(tw_same_name(NULL, "a"));
    assert_false(tw_same_name("a", "A"));
    assert_true(tw_same_ignoring_case("Sunrise.JPG", "sunrise.jpg"));
    assert_false(tw_same_ignoring_case("a", "ab"));
    assert_false(tw_same_ignoring_case("ab", "a"));
    assert_false(tw_same_ignoring_case("[", "{"));               /* 0x20 apart, but no letters */
    assert_false(tw_same_ignoring_case("\xC3\x89", "\xC3\xA9")); /* ASCII case only */
    assert_true(tw_same_ignoring_case(NULL, NULL));
    assert_false(tw_same_ignoring_case(NULL, "a"));
}

static void json_strings(void **state) {
    (void)state;
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    static const char *const rows[][2] = {
        {"", "\"\""},
        {"plain", "\"plain\""},
        {"a\"b\\c/", "\"a\\\"b\\\\c/\""},
        {"\b\f\n\r\t", "\"\\b\\f\\n\\r\\t\""},
        {"\x01\x1F\x7F", "\"\\u0001\\u001f\x7F\""},
        {"\xC3\xA9 \xF0\x9F\x93\xB7", "\"\xC3\xA9 \xF0\x9F\x93\xB7\""},
        {"\xE9t\xE9", "\"\xEF\xBF\xBDt\xEF\xBF\xBD\""},
        {"cut \xE2\x82", "\"cut \xEF\xBF\xBD\xEF\xBF\xBD\""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tw_buffer buffer;
        tw_buffer_start(&buffer, &allocator);
        tw_buffer_json_string(&buffer, rows[i][0]);
        assert_false(buffer.failed);
        assert_string_equal(buffer.bytes, rows[i][1]);
        assert_int_equal(buffer.length, strlen(rows[i][1]));
        tw_buffer_free(&buffer);
    }
    assert_no_leak(memory);
}

static void the_buffer_grows(void **state) {
    (void)state;
    tw_buffer buffer;
    char wanted[40001];
    tw_buffer_start(&buffer, NULL);
    assert_null(buffer.bytes);
    for (int i = 0; i < 10000; i++) {
        tw_buffer_print(&buffer, "%04d", i);
        snprintf(wanted + 4 * i, 5, "%04d", i);
    }
    tw_buffer_add(&buffer, "", 0);
    tw_buffer_string(&buffer, "");
    assert_int_equal(buffer.length, 40000);
    assert_string_equal(buffer.bytes, wanted);
    tw_buffer_free(&buffer);
    assert_null(buffer.bytes);
    assert_int_equal(buffer.length, 0);
}

/* After a failed append everything is a no-op, what was there stays, and `failed` tells. */
static void a_failed_append_stays_failed(void **state) {
    (void)state;
    for (long n = 1; n < 8; n++) {
        test_memory memory = {.fail_at = n};
        tw_allocator allocator = test_allocator(&memory);
        tw_buffer buffer;
        tw_buffer_start(&buffer, &allocator);
        for (int i = 0; i < 5000; i++)
            tw_buffer_print(&buffer, "%d", i % 10);
        assert_true(buffer.failed);
        memory.fail_at = 0;
        size_t length = buffer.length;
        tw_buffer_string(&buffer, "more");
        tw_buffer_json_string(&buffer, "more");
        assert_int_equal(buffer.length, length);
        for (size_t i = 0; i < length; i++)
            assert_int_equal(buffer.bytes[i], '0' + (int)(i % 10));
        tw_buffer_free(&buffer);
        assert_no_leak(memory);
    }
}

static void an_absurd_length_fails(void **state) {
    (void)state;
    tw_buffer buffer;
    tw_buffer_start(&buffer, NULL);
    tw_buffer_add(&buffer, "x", SIZE_MAX);
    assert_true(buffer.failed);
    tw_buffer_free(&buffer);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_borders_of_utf8),
        cmocka_unit_test(what_is_not_utf8),
        cmocka_unit_test(all_of_unicode),
        cmocka_unit_test(nearest_names),
        cmocka_unit_test(nearness_is_bounded),
        cmocka_unit_test(names_are_compared),
        cmocka_unit_test(json_strings),
        cmocka_unit_test(the_buffer_grows),
        cmocka_unit_test(a_failed_append_stays_failed),
        cmocka_unit_test(an_absurd_length_fails),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
