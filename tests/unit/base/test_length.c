/*
 * Lengths read and written. Expected values: the inch is 25.4 mm exactly (international yard and
 * pound agreement of 1959; ISO 31-1), the point 1/72 in (ISO 32000-1 8.3.2.3); the rest is
 * arithmetic done by hand or with bc, named at its row.
 */
#include "base/length.h"

#include "testing.h"

static void lengths_are_read_exactly(void **state) {
    (void)state;
    static const struct {
        const char *text;
        tw_nm nm;
    } rows[] = {
        {"8in", 203200000},
        {"8 1/2in", 215900000},
        {"8 1/2 in", 215900000},
        {"8.5in", 215900000},
        {"215.9 mm", 215900000},
        {"1/4in", 6350000},
        {"3/8 in", 9525000},
        {"9/8in", 28575000},
        {"1/64in", 396875},
        {"1/3in", 8466667},  /* 8 466 666.67 */
        {"2/3in", 16933333}, /* 16 933 333.33 */
        {"5 1/4ft", 1600200000},
        {"50ft", 15240000000},
        {"5080 mm", 5080000000},
        {"21cm", 210000000},
        {"0.61m", 610000000},
        {"10000m", 10000000000000},
        {"0mm", 0},
        {"72pt", 25400000},
        {"0.25pt", 88194}, /* 88 194.44 */
        {"1pt", 352778},   /* 352 777.78 */
        {"9pt", 3175000},
        {".5in", 12700000},
        {"  8\tin  ", 203200000},
        {"8IN", 203200000},
        {"007mm", 7000000},
        {"0.0000005mm", 1}, /* half a nanometre: half up */
        {"0.00000049999999999999999999999999mm", 0},
        {"0.0000004999999999999999999999999999999999999999999999999mm", 0},
        {"0.00000050000000000000000000000000000000000000000000000mm", 1},
        {"0.000000500000000000000000000000000000000000000000000001mm", 1},
        {"1.5000000000000000000000000000000000000000000000000000001cm", 15000000},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tw_nm nm = -1;
        tw_error error = {0};
        assert_ok(tw_length_read(rows[i].text, &nm, &error), error);
        if (nm != rows[i].nm)
            fail_msg("%s: %lld, not %lld", rows[i].text, (long long)nm, (long long)rows[i].nm);
    }
}

/* The border between 0 and 1 nm in inches is 1/50 800 000 in, a decimal that never ends:
 * 0.00000001968503937007874015748031496062992125984251968503937007874... (bc, scale=70). */
static void a_border_that_never_ends_is_met_exactly(void **state) {
    (void)state;
    tw_nm nm;
    tw_error error;
    static const char border[] =
        "0.0000000196850393700787401574803149606299212598425196850393700787";
    char text[128];
    for (size_t kept = 12; kept < sizeof border; kept++) { /* cut short: below the border */
        snprintf(text, sizeof text, "%.*sin", (int)kept, border);
        assert_ok(tw_length_read(text, &nm, &error), error);
        assert_int_equal(nm, 0);
    }
    for (size_t at = 10; at + 1 < sizeof border; at++) { /* one digit up: above it */
        snprintf(text, sizeof text, "%sin", border);
        if (text[at] == '9')
            continue;
        text[at]++;
        assert_ok(tw_length_read(text, &nm, &error), error);
        assert_int_equal(nm, 1);
    }
}

static void what_is_no_length_is_refused_by_name(void **state) {
    (void)state;
    static const struct {
        const char *text, *name, *says, *hint;
    } rows[] = {
        {"8", "no-unit", "\"8\" has no unit", "write \"8in\" or \"8mm\""},
        {"8 1/2", "no-unit", "has no unit", "write \"8 1/2in\""},
        {"", "bad-length", "\"\" is not a length", "in ft mm cm m pt"},
        {"in", "bad-length", "\"in\" is not a length", ""},
        {"-1in", "bad-length", "below 0", ""},
        {"1e3mm", "bad-length", "not a length", ""},
        {"1/0in", "bad-length", "fraction", ""},
        {"1 /2in", "bad-length", "", ""},
        {"1/ 2in", "bad-length", "fraction", ""},
        {"8 9/8in", "bad-length", "fraction", ""},
        {"8.5 1/2in", "bad-length", "fraction", ""},
        {"1.5/2in", "bad-length", "fraction", ""},
        {"1/2.5in", "bad-length", "", ""},
        {"1/2mm", "bad-length", "fractions are for in and ft", ""},
        {"8 1/2cm", "bad-length", "fractions are for in and ft", ""},
        {"1/1234567890in", "bad-length", "fraction", ""},
        {"1,000mm", "bad-length", "comma", ""},
        {"21,5cm", "bad-length", "comma", ""},
        {"1 000mm", "bad-length", "", ""},
        {"5.in", "bad-length", "", ""},
        {".in", "bad-length", "", ""},
        {"8inch", "bad-length", "", ""},
        {"8 in 2", "bad-length", "", ""},
        {"8in8in", "bad-length", "", ""},
        {"8px", "bad-length", "", ""},
        {"8\"", "bad-length", "", ""},
        {"nanin", "bad-length", "", ""},
        {"infmm", "bad-length", "", ""},
        {"0x10mm", "bad-length", "", ""},
        {"+8in", "bad-length", "", ""},
        {"\xD9\xA8in", "bad-length", "", ""}, /* ARABIC-INDIC DIGIT EIGHT */
        {"10000.000001mm2", "bad-length", "", ""},
        {"10000.0000000005m", "length-range", "10 000 m", ""},
        {"10001m", "length-range", "0 to 10 000 m", ""},
        {"999999999999999999999999999999999999999999in", "length-range", "10 000 m", ""},
        {"18446744073709551617mm", "length-range", "10 000 m", ""}, /* 2^64 + 1 */
        {"999999999 999999998/999999999ft", "length-range", "10 000 m", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tw_nm nm = 77;
        tw_error error = {0};
        if (tw_length_read(rows[i].text, &nm, &error) != TW_INPUT)
            fail_msg("%s was taken", rows[i].text);
        assert_string_equal(error.name, rows[i].name);
        assert_says(error, rows[i].says);
        if (strstr(error.hint, rows[i].hint) == NULL)
            fail_msg("hint \"%s\" does not say \"%s\"", error.hint, rows[i].hint);
        assert_int_equal(nm, 77);
    }
}

static void a_very_long_text_is_no_trouble(void **state) {
    (void)state;
    enum { LENGTH = 1 << 20 };
    char *text = malloc(LENGTH + 3);
    tw_nm nm;
    tw_error error;
    memset(text, '0', LENGTH);
    memcpy(text + LENGTH, "mm", 3);
    assert_ok(tw_length_read(text, &nm, &error), error);
    assert_int_equal(nm, 0);
    text[1] = '.';
    text[LENGTH - 1] = '1';
    assert_ok(tw_length_read(text, &nm, &error), error);
    assert_int_equal(nm, 0);
    memset(text, '9', LENGTH);
    assert_int_equal(tw_length_read(text, &nm, &error), TW_INPUT);
    free(text);
}

/* Every length in whole nm up to six decimals of a mm comes back as it was. */
static void millimetres_written_are_read_back(void **state) {
    (void)state;
    char text[TW_LENGTH_TEXT + 2];
    tw_error error;
    tw_nm back;
    uint64_t value = 1;
    for (int i = 0; i < 20000; i++) {
        value = value * 6364136223846793005u + 1442695040888963407u;
        tw_nm wanted = (tw_nm)(value >> 20) % (TW_LENGTH_MOST + 1);
        tw_mm_exact(wanted, text);
        strcat(text, "mm");
        assert_ok(tw_length_read(text, &back, &error), error);
        assert_int_equal(back, wanted);
    }
}

static void scaling_rounds_half_up_without_overflow(void **state) {
    (void)state;
    assert_int_equal(tw_scale(7, 1, 2), 4);
    assert_int_equal(tw_scale(5, 1, 10), 1);
    assert_int_equal(tw_scale(4, 1, 10), 0);
    assert_int_equal(tw_scale(0, 9, 7), 0);
    assert_int_equal(tw_scale(INT64_MAX, INT64_MAX, INT64_MAX), INT64_MAX);
    assert_int_equal(tw_scale(INT64_MAX, INT64_MAX, 1), INT64_MAX); /* does not fit: the most */
    assert_int_equal(tw_scale(9000000000000000000, 7, 9), 7000000000000000000);
    assert_int_equal(tw_scale(TW_LENGTH_MOST, 72, 25400000), 28346457); /* 28 346 456.69 */
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths_are_read_exactly),
        cmocka_unit_test(a_border_that_never_ends_is_met_exactly),
        cmocka_unit_test(what_is_no_length_is_refused_by_name),
        cmocka_unit_test(a_very_long_text_is_no_trouble),
        cmocka_unit_test(millimetres_written_are_read_back),
        cmocka_unit_test(scaling_rounds_half_up_without_overflow),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
