/* Money and durations. Minor units: ISO 4217 (from memory: JPY 0, KWD 3, EUR and USD 2). */
#include "base/length.h"

#include "testing.h"

static void money_is_whole_minor_units(void **state) {
    (void)state;
    static const struct {
        const char *text, *back, *currency;
        int64_t minor;
    } rows[] = {
        {"129.00 EUR", "129.00 EUR", "EUR", 12900},
        {"129 EUR", "129.00 EUR", "EUR", 12900},
        {"0.5 USD", "0.50 USD", "USD", 50},
        {".05 USD", "0.05 USD", "USD", 5},
        {"18000 JPY", "18000 JPY", "JPY", 18000},
        {"1.234 KWD", "1.234 KWD", "KWD", 1234},
        {"0 EUR", "0.00 EUR", "EUR", 0},
        {" 7\tEUR ", "7.00 EUR", "EUR", 700},
        {"1000000000 EUR", "1000000000.00 EUR", "EUR", 100000000000},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char out[TW_LENGTH_TEXT];
        tw_money money;
        tw_error error = {0};
        assert_ok(tw_money_read(rows[i].text, &money, &error), error);
        assert_int_equal(money.minor, rows[i].minor);
        assert_string_equal(money.currency, rows[i].currency);
        assert_string_equal(tw_money_text(money, out), rows[i].back);
    }
    char out[TW_LENGTH_TEXT];
    assert_string_equal(tw_money_text((tw_money){-5, "EUR"}, out), "-0.05 EUR");
}

static void what_is_no_money_is_refused(void **state) {
    (void)state;
    static const char *const rows[][2] = {
        {"129.00", "is not an amount"},
        {"EUR 129", "is not an amount"},
        {"129EUR", "is not an amount"},
        {"129 eur", "is not an amount"},
        {"129 EURO", "is not an amount"},
        {"129 EU", "is not an amount"},
        {"-5 EUR", "is not an amount"},
        {"1,5 EUR", "is not an amount"},
        {"", "is not an amount"},
        {"$5", "is not an amount"},
        {"1e3 EUR", "is not an amount"},
        {"5. EUR", "is not an amount"},
        {"1.005 EUR", "3 decimals: EUR has 2"},
        {"1.5 JPY", "1 decimals: JPY has 0"},
        {"1000000001 EUR", "out of range"},
        {"99999999999999999999999999 EUR", "out of range"},
        {"1000000000.01 EUR", "out of range"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        tw_money money = {-7, "XXX"};
        tw_error error = {0};
        if (tw_money_read(rows[i][0], &money, &error) != TW_INPUT)
            fail_msg("%s was taken", rows[i][0]);
        assert_says(error, rows[i][1]);
        assert_int_equal(money.minor, -7);
    }
}

static void durations_are_whole_seconds(void **state) {
    (void)state;
    static const struct {
        const char *text, *back;
        int64_t seconds;
    } rows[] = {
        {"2h", "2 h", 7200},
        {"30min", "30 min", 1800},
        {"1d 12h", "1 day 12 h", 129600},
        {"90s", "1 min 30 s", 90},
        {"24h", "1 day", 86400},
        {"2d", "2 days", 172800},
        {"0s", "0 s", 0},
        {"1d1h1min1s", "1 day 1 h 1 min 1 s", 90061},
        {" 1 h 30 min ", "1 h 30 min", 5400},
        {"3650d", "3650 days", 315360000},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char out[TW_LENGTH_TEXT];
        int64_t seconds = -1;
        tw_error error = {0};
        assert_ok(tw_duration_read(rows[i].text, &seconds, &error), error);
        assert_int_equal(seconds, rows[i].seconds);
        assert_string_equal(tw_duration_text(seconds, out), rows[i].back);
    }
    char out[TW_LENGTH_TEXT];
    assert_true(strlen(tw_duration_text(INT64_MAX, out)) < TW_LENGTH_TEXT);
}

static void what_is_no_duration_is_refused(void **state) {
    (void)state;
    static const char *const rows[][2] = {
        {"2", "is not a duration"},
        {"", "is not a duration"},
        {"h", "is not a duration"},
        {"2 hours", "is not a duration"},
        {"1.5h", "is not a duration"},
        {"-2h", "is not a duration"},
        {"2h 1d", "is not a duration"},
        {"2h 2h", "is not a duration"},
        {"2H", "is not a duration"},
        {"2m", "is not a duration"},
        {"2h30", "is not a duration"},
        {"3651d", "out of range"},
        {"99999999999999999999d", "out of range"},
        {"3650d 1s", "out of range"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int64_t seconds = -7;
        tw_error error = {0};
        if (tw_duration_read(rows[i][0], &seconds, &error) != TW_INPUT)
            fail_msg("%s was taken", rows[i][0]);
        assert_says(error, rows[i][1]);
        assert_int_equal(seconds, -7);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(money_is_whole_minor_units),
        cmocka_unit_test(what_is_no_money_is_refused),
        cmocka_unit_test(durations_are_whole_seconds),
        cmocka_unit_test(what_is_no_duration_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
