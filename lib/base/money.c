/* Money ("129.00 EUR", integer minor units) and durations ("1d 12h", seconds). */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "base/number.h"

/* Currencies whose minor unit is not a hundredth, from ISO 4217's list (from memory). */
static const char *const without_minor[] = {"BIF", "CLP", "DJF", "GNF", "ISK", "JPY",
                                            "KMF", "KRW", "PYG", "RWF", "UGX", "UYI",
                                            "VND", "VUV", "XAF", "XOF", "XPF"};
static const char *const thousandths[] = {"BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"};

static bool listed(const char *code, const char *const *list, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (strcmp(code, list[i]) == 0)
            return true;
    return false;
}

static int decimals_of(const char *code) {
    if (listed(code, without_minor, sizeof without_minor / sizeof *without_minor))
        return 0;
    return listed(code, thousandths, sizeof thousandths / sizeof *thousandths) ? 3 : 2;
}

static tw_code bad_money(const char *text, tw_error *error) {
    tw_fail(error, TW_INPUT, "bad-money", "\"%s\" is not an amount of money", text);
    tw_fail_hint(error, "write a number, a blank and a currency code, such as \"129.00 EUR\"");
    return TW_INPUT;
}

static bool currency_take(const char **at, char out[4]) {
    for (int i = 0; i < 3; i++)
        if ((*at)[i] < 'A' || (*at)[i] > 'Z')
            return false;
    memcpy(out, *at, 3);
    out[3] = '\0';
    *at += 3;
    return true;
}

tw_code tw_money_read(const char *text, tw_money *out, tw_error *error) {
    const char *at = text;
    tw_decimal number;
    tw_money money = {0};
    tw_blanks_take(&at);
    if (!tw_decimal_take(&at, &number) || !tw_blanks_take(&at) ||
        !currency_take(&at, money.currency))
        return bad_money(text, error);
    tw_blanks_take(&at);
    if (*at != '\0')
        return bad_money(text, error);
    int decimals = decimals_of(money.currency);
    if (number.part_length > (size_t)decimals)
        return tw_fail(error, TW_INPUT, "bad-money", "\"%s\" has %zu decimals: %s has %d", text,
                       number.part_length, money.currency, decimals);
    static const int64_t units[] = {1, 10, 100, 1000};
    money.minor = (int64_t)tw_decimal_scale(&number, units[decimals], 1);
    if (money.minor > 1000000000 * units[decimals])
        return tw_fail(error, TW_INPUT, "money-range",
                       "\"%s\" is out of range: at most 1000000000 is allowed", text);
    *out = money;
    return TW_OK;
}

char *tw_money_text(tw_money value, char out[TW_LENGTH_TEXT]) {
    char number[TW_LENGTH_TEXT - 8];
    tw_decimal_text(value.minor, decimals_of(value.currency), false, number, sizeof number);
    snprintf(out, TW_LENGTH_TEXT, "%s %.3s", number, value.currency);
    return out;
}

typedef struct time_unit {
    const char *name;
    int64_t seconds;
} time_unit;

static const time_unit time_units[] = {{"d", 86400}, {"h", 3600}, {"min", 60}, {"s", 1}};
enum { TIME_UNITS = 4 };
static const int64_t DAYS_MOST = 3650;

static tw_code bad_duration(const char *text, tw_error *error) {
    tw_fail(error, TW_INPUT, "bad-duration", "\"%s\" is not a duration", text);
    tw_fail_hint(error, "write whole numbers with d, h, min or s, the longest first, such as "
                        "\"2h\" or \"1d 12h\"");
    return TW_INPUT;
}

/* One "12h"; *next is the first unit still allowed, so that none comes twice. */
static bool part_take(const char **at, size_t *next, int64_t *seconds) {
    tw_decimal number;
    if (!tw_decimal_take(at, &number) || number.part_length > 0)
        return false;
    tw_blanks_take(at);
    size_t length = strspn(*at, "abcdefghijklmnopqrstuvwxyz");
    for (size_t i = *next; i < TIME_UNITS; i++)
        if (strlen(time_units[i].name) == length && strncmp(*at, time_units[i].name, length) == 0) {
            *at += length;
            *next = i + 1;
            *seconds += tw_decimal_whole(&number) * time_units[i].seconds;
            return true;
        }
    return false;
}

tw_code tw_duration_read(const char *text, int64_t *seconds, tw_error *error) {
    const char *at = text;
    size_t next = 0;
    int64_t sum = 0;
    tw_blanks_take(&at);
    do {
        if (!part_take(&at, &next, &sum))
            return bad_duration(text, error);
        tw_blanks_take(&at);
    } while (*at != '\0');
    if (sum > DAYS_MOST * 86400)
        return tw_fail(error, TW_INPUT, "duration-range",
                       "\"%s\" is out of range: at most %" PRId64 " days", text, DAYS_MOST);
    *seconds = sum;
    return TW_OK;
}

char *tw_duration_text(int64_t seconds, char out[TW_LENGTH_TEXT]) {
    int64_t left = seconds < 0 ? 0 : seconds;
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < TIME_UNITS; i++) {
        int64_t count = left / time_units[i].seconds;
        left %= time_units[i].seconds;
        if (count == 0 && (i + 1 < TIME_UNITS || used > 0))
            continue;
        const char *name = i > 0 ? time_units[i].name : count == 1 ? "day" : "days";
        int wrote = snprintf(out + used, TW_LENGTH_TEXT - used, "%s%" PRId64 " %s",
                             used > 0 ? " " : "", count, name);
        used += wrote > 0 ? (size_t)wrote : 0;
    }
    return out;
}
