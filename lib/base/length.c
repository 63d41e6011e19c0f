/*
 * Lengths from text: "8 1/2in", "215.9 mm", "50ft". Integer arithmetic only, so that 8.5in and
 * 215.9mm are the same nanometre on every machine.
 */
#include "base/length.h"

#include <string.h>

#include "base/number.h"

/* ISO 32000-1 8.3.2.3: the default unit of user space is 1/72 in; 25 400 000 / 72 nm in lowest
 * terms. Longer names come before those they begin with. */
static const tw_unit units[] = {
    {"in", 25400000, 1, true},  {"ft", 304800000, 1, true},  {"mm", 1000000, 1, false},
    {"cm", 10000000, 1, false}, {"m", 1000000000, 1, false}, {"pt", 3175000, 9, false},
};

#define UNITS_HINT                                                                                 \
    "write a number and a unit, such as \"8 1/2in\" or \"216mm\"; units: in ft mm cm m pt"

static bool starts_with_word(const char *text, const char *word) {
    size_t length = strlen(word);
    for (size_t i = 0; i < length; i++) {
        char c = text[i];
        if ((c >= 'A' && c <= 'Z' ? (char)(c + 32) : c) != word[i])
            return false;
    }
    return true;
}

const tw_unit *tw_unit_take(const char **at) {
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (starts_with_word(*at, units[i].name)) {
            *at += strlen(units[i].name);
            return &units[i];
        }
    return NULL;
}

static tw_code bad_length(const char *text, const char *why, tw_error *error) {
    tw_fail(error, TW_INPUT, "bad-length", "\"%s\" is not a length: %s", text, why);
    tw_fail_hint(error, UNITS_HINT);
    return TW_INPUT;
}

tw_code tw_length_unreadable(const char *text, tw_error *error) {
    if (text[strspn(text, " \t")] == '-')
        return bad_length(text, "it cannot be below 0", error);
    if (strchr(text, ',') != NULL)
        return bad_length(text, "it has a comma; decimals take a point and thousands nothing",
                          error);
    tw_fail(error, TW_INPUT, "bad-length", "\"%s\" is not a length", text);
    tw_fail_hint(error, UNITS_HINT);
    return TW_INPUT;
}

static tw_code no_unit(const char *text, const char *number, const char *end, tw_error *error) {
    int length = (int)(end - number > 20 ? 20 : end - number);
    tw_fail(error, TW_INPUT, "no-unit", "\"%s\" has no unit", text);
    tw_fail_hint(error, "write \"%.*sin\" or \"%.*smm\"", length, number, length, number);
    return TW_INPUT;
}

/* Up to nine digits; more is too fine for any ruler and would not fit the arithmetic. */
static bool small_number(const char *digits, size_t length, int64_t *out) {
    tw_decimal number = {digits, NULL, length, 0};
    *out = tw_decimal_whole(&number);
    return length > 0 && length <= 9;
}

/* "/8" after the digits of `over`. */
static bool take_under(const char **at, const tw_decimal *over, tw_amount *out) {
    size_t length = strspn(*at + 1, "0123456789");
    bool good = over->part_length == 0 &&
                small_number(over->whole, over->whole_length, &out->over) &&
                small_number(*at + 1, length, &out->under) && out->under > 0;
    *at += 1 + length;
    out->fraction = true;
    return good;
}

/* " 1/2" after a whole number; *at stays when no fraction follows. */
static bool take_mixed(const char **at, tw_amount *out) {
    const char *ahead = *at;
    tw_decimal over;
    if (!tw_blanks_take(&ahead) || !tw_decimal_take(&ahead, &over) || *ahead != '/')
        return true;
    *at = ahead;
    return out->number.part_length == 0 && take_under(at, &over, out) && out->over < out->under;
}

tw_code tw_amount_take(const char **at, const char *text, tw_amount *out, tw_error *error) {
    *out = (tw_amount){.under = 1};
    if (!tw_decimal_take(at, &out->number))
        return tw_length_unreadable(text, error);
    bool good = true;
    if (**at == '/') {
        tw_decimal over = out->number;
        out->number = (tw_decimal){"", "", 0, 0};
        good = take_under(at, &over, out);
    } else {
        good = take_mixed(at, out);
    }
    return good ? TW_OK : bad_length(text, "its fraction makes no sense", error);
}

tw_code tw_amount_length(const tw_amount *amount, const tw_unit *unit, const char *text, tw_nm *out,
                         tw_error *error) {
    if (amount->fraction && !unit->fractions)
        return bad_length(text, "fractions are for in and ft", error);
    tw_wide value;
    if (amount->fraction) {
        tw_wide over = (tw_wide)tw_decimal_whole(&amount->number) * amount->under + amount->over;
        tw_wide under = (tw_wide)amount->under * unit->down;
        value = (2 * over * unit->up + under) / (2 * under);
    } else {
        value = tw_decimal_scale(&amount->number, unit->up, unit->down);
    }
    if (value > (tw_wide)TW_LENGTH_MOST)
        return tw_fail(error, TW_INPUT, "length-range",
                       "\"%s\" is out of range: a length is 0 to 10 000 m", text);
    *out = (tw_nm)value;
    return TW_OK;
}

tw_code tw_length_read(const char *text, tw_nm *out, tw_error *error) {
    const char *at = text;
    tw_blanks_take(&at);
    const char *start = at;
    tw_amount amount;
    tw_code code = tw_amount_take(&at, text, &amount, error);
    if (code != TW_OK)
        return code;
    const char *end = at;
    tw_blanks_take(&at);
    if (*at == '\0')
        return no_unit(text, start, end, error);
    const tw_unit *unit = tw_unit_take(&at);
    tw_blanks_take(&at);
    if (unit == NULL || *at != '\0')
        return tw_length_unreadable(text, error);
    return tw_amount_length(&amount, unit, text, out, error);
}
