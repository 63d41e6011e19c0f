/*
 * Sizes. ISO 216 values: the table of PWG 5101.1-2013 (A0 to A6, B0 to B6); A7 to A10 and B7 to
 * B10 from memory of ISO 216. Photographic and ready-made sizes: PWG 5101.1 and common practice.
 */
#include "base/length.h"

#include "testing.h"

static void assert_size(const char *text, tw_nm width, tw_nm height) {
    tw_size size = {0, 0};
    tw_error error = {0};
    assert_ok(tw_size_read(text, &size, &error), error);
    if (size.width != width || size.height != height)
        fail_msg("%s: %lld x %lld", text, (long long)size.width, (long long)size.height);
}

static void iso_216_names(void **state) {
    (void)state;
    static const struct {
        const char *name;
        int width, height;
    } rows[] = {
        {"A0", 841, 1189},
        {"A1", 594, 841},
        {"A2", 420, 594},
        {"A3", 297, 420},
        {"A4", 210, 297},
        {"A5", 148, 210},
        {"A6", 105, 148},
        {"B0", 1000, 1414},
        {"B1", 707, 1000},
        {"B2", 500, 707},
        {"B3", 353, 500},
        {"B4", 250, 353},
        {"B5", 176, 250},
        {"B6", 125, 176},
        /* from memory of ISO 216 */
        {"A7", 74, 105},
        {"A8", 52, 74},
        {"A9", 37, 52},
        {"A10", 26, 37},
        {"B7", 88, 125},
        {"B8", 62, 88},
        {"B9", 44, 62},
        {"B10", 31, 44},
        /* common practice */
        {"A3+", 329, 483},
        {"a4", 210, 297},
        {" A4 ", 210, 297},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_size(rows[i].name, rows[i].width * TW_MM, rows[i].height * TW_MM);
}

/* ISO 216: each format is the one before cut in half, its long side rounded down to a whole mm. */
static void iso_216_halves(void **state) {
    (void)state;
    tw_size before, size;
    for (const char *series = "AB"; *series != '\0'; series++)
        for (int i = 1; i <= 10; i++) {
            char name[4];
            snprintf(name, sizeof name, "%c%d", *series, i - 1);
            assert_int_equal(tw_size_read(name, &before, NULL), TW_OK);
            snprintf(name, sizeof name, "%c%d", *series, i);
            assert_int_equal(tw_size_read(name, &size, NULL), TW_OK);
            assert_int_equal(size.height, before.width);
            assert_int_equal(size.width, before.height / (2 * TW_MM) * TW_MM);
        }
}

static void measured_sizes(void **state) {
    (void)state;
    assert_size("8x10in", 203200000, 254000000);
    assert_size("30x40cm", 300000000, 400000000);
    assert_size("8 1/2x11in", 215900000, 279400000);
    assert_size("8 1/2 x 11 in", 215900000, 279400000);
    assert_size("8.5x11in", 215900000, 279400000);
    assert_size("8in x 10in", 203200000, 254000000);
    assert_size("8inx10in", 203200000, 254000000);
    assert_size("8in x 25cm", 203200000, 250000000);
    assert_size("8X10IN", 203200000, 254000000);
    assert_size("8\xC3\x97"
                "10in",
                203200000, 254000000); /* U+00D7 */
    assert_size("8 \xC3\x97 10 in", 203200000, 254000000);
    assert_size("1/2x3/4in", 12700000, 19050000);
    assert_size("216x279mm", 216000000, 279000000);
    assert_size("1x2m", 1000000000, 2000000000);
    assert_size("612x792pt", 215900000, 279400000); /* letter, ISO 32000-1 */
}

/* Sizes that look alike and are not (PWG 5101.1 and common practice). */
static void near_sizes_stay_apart(void **state) {
    (void)state;
    assert_size("13x18cm", 130000000, 180000000);
    assert_size("5x7in", 127000000, 177800000);
    assert_size("30x40cm", 300000000, 400000000);
    assert_size("12x16in", 304800000, 406400000);
}

static void what_is_no_size_is_refused_by_name(void **state) {
    (void)state;
    static const struct {
        const char *text, *name, *says, *hint;
    } rows[] = {
        {"8x10", "no-unit", "\"8x10\" has no unit", "\"8x10in\" or \"8x10cm\""},
        {" 8 x 10 ", "no-unit", "has no unit", "\"8 x 10in\""},
        {"8in x 10", "no-unit", "has no unit", ""},
        {"", "bad-size", "\"\" is not a size", "\"8x10in\""},
        {"8in", "bad-size", "is not a size", ""},
        {"x", "bad-size", "is not a size", ""},
        {"8x", "bad-size", "is not a size", ""},
        {"x10in", "bad-size", "is not a size", ""},
        {"8x10x12in", "bad-size", "is not a size", ""},
        {"8*10in", "bad-size", "is not a size", ""},
        {"A11", "bad-size", "is not a size", ""},
        {"A", "bad-size", "is not a size", ""},
        {"A3++", "bad-size", "is not a size", ""},
        {"C4", "bad-size", "is not a size", ""},
        {"A4 landscape", "bad-size", "is not a size", ""},
        {"letter", "bad-size", "is not a size", ""},
        {"-8x10in", "bad-size", "is not a size", ""},
        {"8x-10in", "bad-size", "is not a size", ""},
        {"8\xC3"
         "10in",
         "bad-size", "is not a size", ""},
        {"1/2x1cm", "bad-length", "fractions", ""},
        {"0x10in", "size-zero", "side of 0", ""},
        {"8x0in", "size-zero", "side of 0", ""},
        {"8x20000m", "length-range", "10 000 m", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tw_size size = {5, 6};
        tw_error error = {0};
        if (tw_size_read(rows[i].text, &size, &error) != TW_INPUT)
            fail_msg("%s was taken", rows[i].text);
        assert_string_equal(error.name, rows[i].name);
        assert_says(error, rows[i].says);
        if (strstr(error.hint, rows[i].hint) == NULL)
            fail_msg("hint \"%s\" does not say \"%s\"", error.hint, rows[i].hint);
        assert_int_equal(size.width, 5);
        assert_int_equal(size.height, 6);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(iso_216_names),
        cmocka_unit_test(iso_216_halves),
        cmocka_unit_test(measured_sizes),
        cmocka_unit_test(near_sizes_stay_apart),
        cmocka_unit_test(what_is_no_size_is_refused_by_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
