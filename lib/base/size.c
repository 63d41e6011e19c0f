/* Sizes from text: "8x10in", "30x40cm", "8 1/2 x 11 in", "8in x 25cm", and names of ISO 216. */
#include <string.h>

#include "base/number.h"
#include "base/text.h"

typedef struct named_size {
    const char *name;
    int16_t width, height; /* mm */
} named_size;

/* ISO 216 as PWG 5101.1 lists it (A7 to A10 and B7 to B10 from memory of ISO 216). Halving and
 * rounding does not give A5, B3 or B5, so the table is typed. A3+ is common practice. */
static const named_size named[] = {
    {"A0", 841, 1189}, {"A1", 594, 841},   {"A2", 420, 594},  {"A3", 297, 420}, {"A4", 210, 297},
    {"A5", 148, 210},  {"A6", 105, 148},   {"A7", 74, 105},   {"A8", 52, 74},   {"A9", 37, 52},
    {"A10", 26, 37},   {"B0", 1000, 1414}, {"B1", 707, 1000}, {"B2", 500, 707}, {"B3", 353, 500},
    {"B4", 250, 353},  {"B5", 176, 250},   {"B6", 125, 176},  {"B7", 88, 125},  {"B8", 62, 88},
    {"B9", 44, 62},    {"B10", 31, 44},    {"A3+", 329, 483},
};

static bool named_read(const char *text, tw_size *out) {
    char name[8];
    tw_blanks_take(&text);
    size_t length = strcspn(text, " \t");
    if (length >= sizeof name || text[length + strspn(text + length, " \t")] != '\0')
        return false;
    memcpy(name, text, length);
    name[length] = '\0';
    for (size_t i = 0; i < sizeof named / sizeof *named; i++)
        if (tw_same_ignoring_case(name, named[i].name)) {
            *out = (tw_size){named[i].width * TW_MM, named[i].height * TW_MM};
            return true;
        }
    return false;
}

static tw_code bad_size(const char *text, tw_error *error) {
    tw_fail(error, TW_INPUT, "bad-size", "\"%s\" is not a size", text);
    tw_fail_hint(error, "write \"8x10in\", \"30x40cm\" or a name such as \"A3\"");
    return TW_INPUT;
}

/* An x, or the sign of multiplication (U+00D7), with blanks around it. */
static bool times_take(const char **at) {
    tw_blanks_take(at);
    size_t length = **at == 'x' || **at == 'X' ? 1 : strncmp(*at, "\xC3\x97", 2) == 0 ? 2 : 0;
    *at += length;
    tw_blanks_take(at);
    return length > 0;
}

/* A number and, when one follows, its unit. */
static bool side_take(const char **at, const char *text, tw_amount *amount, const tw_unit **unit) {
    if (tw_amount_take(at, text, amount, NULL) != TW_OK)
        return false;
    const char *ahead = *at;
    tw_blanks_take(&ahead);
    *unit = tw_unit_take(&ahead);
    if (*unit != NULL)
        *at = ahead;
    return true;
}

static tw_code no_unit(const char *text, tw_error *error) {
    const char *start = text + strspn(text, " \t");
    size_t length = strlen(start);
    while (length > 0 && strchr(" \t", start[length - 1]) != NULL)
        length--;
    tw_fail(error, TW_INPUT, "no-unit", "\"%s\" has no unit", text);
    if (length <= 40)
        tw_fail_hint(error, "write \"%.*sin\" or \"%.*scm\"", (int)length, start, (int)length,
                     start);
    return TW_INPUT;
}

static tw_code measured(const char *text, const tw_amount amounts[2], const tw_unit *units[2],
                        tw_size *out, tw_error *error) {
    tw_size size;
    tw_code code = tw_amount_length(&amounts[0], units[0], text, &size.width, error);
    if (code == TW_OK)
        code = tw_amount_length(&amounts[1], units[1], text, &size.height, error);
    if (code == TW_OK && (size.width == 0 || size.height == 0))
        code = tw_fail(error, TW_INPUT, "size-zero",
                       "\"%s\" has a side of 0: both sides of a size must be more", text);
    if (code == TW_OK)
        *out = size;
    return code;
}

tw_code tw_size_read(const char *text, tw_size *out, tw_error *error) {
    if (named_read(text, out))
        return TW_OK;
    const char *at = text;
    tw_amount amounts[2];
    const tw_unit *units[2];
    tw_blanks_take(&at);
    if (!side_take(&at, text, &amounts[0], &units[0]) || !times_take(&at) ||
        !side_take(&at, text, &amounts[1], &units[1]))
        return bad_size(text, error);
    tw_blanks_take(&at);
    if (*at != '\0')
        return bad_size(text, error);
    if (units[1] == NULL) /* "8in x 10" could be a slip as well as a shorthand */
        return no_unit(text, error);
    if (units[0] == NULL) /* the unit at the end goes for both */
        units[0] = units[1];
    return measured(text, amounts, units, out, error);
}
