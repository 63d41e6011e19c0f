/* Exact decimal numbers in text: taken apart, scaled in 128-bit integers, written back. */
#include "base/number.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

enum { EXACT_DIGITS = 18 };
static const int64_t TEN_18 = 1000000000000000000;
static const int64_t WHOLE_MOST = 1000000000;

static size_t digits_at(const char *text) {
    return strspn(text, "0123456789");
}

bool tw_blanks_take(const char **at) {
    size_t count = strspn(*at, " \t");
    *at += count;
    return count > 0;
}

bool tw_decimal_take(const char **at, tw_decimal *out) {
    const char *text = *at;
    size_t whole = digits_at(text);
    bool point = text[whole] == '.';
    size_t part = point ? digits_at(text + whole + 1) : 0;
    if ((whole == 0 && part == 0) || (point && part == 0))
        return false;
    *out = (tw_decimal){text, text + whole + 1, whole, part};
    *at += whole + (point ? 1 + part : 0);
    return true;
}

int64_t tw_decimal_whole(const tw_decimal *number) {
    int64_t value = 0;
    for (size_t i = 0; i < number->whole_length && value <= WHOLE_MOST; i++)
        value = value * 10 + (number->whole[i] - '0');
    return value > WHOLE_MOST ? WHOLE_MOST + 1 : value;
}

/* The first 18 decimals as an integer. */
static int64_t leading_decimals(const tw_decimal *number) {
    int64_t value = 0;
    for (size_t i = 0; i < EXACT_DIGITS; i++)
        value = value * 10 + (i < number->part_length ? number->part[i] - '0' : 0);
    return value;
}

/* Is whole + the number's decimals >= over / under? Long division gives the right side digit by
 * digit, so any count of digits compares exactly. */
static bool at_least(int64_t whole, const tw_decimal *number, tw_wide over, tw_wide under) {
    if (over / under != whole)
        return over / under < whole;
    tw_wide rest = over % under;
    for (size_t i = 0; i < number->part_length; i++) {
        rest *= 10;
        tw_wide digit = number->part[i] - '0';
        if (digit != rest / under)
            return digit > rest / under;
        rest %= under;
    }
    return rest == 0;
}

/*
 * With 18 decimals kept the rounded result is right or one too small (what is left off is worth
 * under 10^-18 * 10^9), so one exact comparison with the next rounding border decides.
 */
tw_wide tw_decimal_scale(const tw_decimal *number, int64_t up, int64_t down) {
    int64_t whole = tw_decimal_whole(number);
    tw_wide kept = (tw_wide)whole * TEN_18 + leading_decimals(number);
    tw_wide low = (2 * kept * up + (tw_wide)down * TEN_18) / ((tw_wide)2 * down * TEN_18);
    bool next = at_least(whole, number, (2 * low + 1) * down, (tw_wide)2 * up);
    return next ? low + 1 : low;
}

int64_t tw_scale(int64_t a, int64_t b, int64_t c) {
    tw_wide result = (2 * (tw_wide)a * b + c) / (2 * (tw_wide)c);
    return result > INT64_MAX ? INT64_MAX : (int64_t)result;
}

char *tw_decimal_text(int64_t number, int places, bool trim, char *out, size_t size) {
    uint64_t value = number < 0 ? 0 - (uint64_t)number : (uint64_t)number, ten = 1;
    for (int i = 0; i < places; i++)
        ten *= 10;
    uint64_t whole = value / ten, part = value % ten;
    while (trim && places > 0 && part % 10 == 0) {
        part /= 10;
        places--;
    }
    const char *sign = number < 0 ? "-" : "";
    if (places == 0)
        snprintf(out, size, "%s%" PRIu64, sign, whole);
    else
        snprintf(out, size, "%s%" PRIu64 ".%0*" PRIu64, sign, whole, places, part);
    return out;
}

/* The decimal separator of a locale may be several bytes; nothing else in a %g is outside this
 * set ("inf" and "nan" included). */
char *tw_double_text(double number, int digits, char out[TW_DOUBLE_TEXT]) {
    char *to = out;
    bool separator = false;
    snprintf(out, TW_DOUBLE_TEXT, "%.*g", digits, number);
    for (const char *at = out; *at != '\0'; at++) {
        bool plain = strchr("0123456789+-einfa", *at) != NULL;
        if (plain)
            *to++ = *at;
        else if (!separator)
            *to++ = '.';
        separator = !plain;
    }
    *to = '\0';
    return out;
}
