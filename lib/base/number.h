/* Reading numbers out of text exactly: shared by lengths, sizes, money and durations. */
#ifndef TW_BASE_NUMBER_H
#define TW_BASE_NUMBER_H

#include "base/error.h"
#include "base/length.h"

__extension__ typedef __int128 tw_wide; /* products of two int64 */

/* Digits before and after a decimal point, as they stand in the text; nothing is lost. */
typedef struct tw_decimal {
    const char *whole, *part;
    size_t whole_length, part_length; /* part_length 0: no decimal point */
} tw_decimal;

/* "12", "12.5" or ".5" at *at, which moves past it. False, and *at stays, when there is none or
 * the point has no digit after it. */
bool tw_decimal_take(const char **at, tw_decimal *out);
/* The whole digits as a number; more than 10^9 comes out as 10^9 + 1. */
int64_t tw_decimal_whole(const tw_decimal *number);
/* number * up / down rounded half up, exact for any count of digits; 0 < up <= 10^9,
 * 0 < down <= 10^3. A whole part over 10^9 counts as 10^9 + 1. */
tw_wide tw_decimal_scale(const tw_decimal *number, int64_t up, int64_t down);

/* Moves past blanks and tabs; true when there was one. */
bool tw_blanks_take(const char **at);
/* The length units and what one is: up / down nm. NULL when the word is none of them. */
typedef struct tw_unit {
    const char *name;
    int64_t up, down;
    bool fractions; /* written in halves and eighths */
} tw_unit;
const tw_unit *tw_unit_take(const char **at);

/* A number with an optional fraction, as far as it goes: "8", "8.25", "8 1/2", "3/8". */
typedef struct tw_amount {
    tw_decimal number;   /* whole_length 0 and part_length 0 when only a fraction is given */
    int64_t over, under; /* 0/1 without a fraction */
    bool fraction;
} tw_amount;
/* TW_INPUT "bad-length" when *at does not start with one; `text` is shown in the message. */
TW_USE_RESULT tw_code tw_amount_take(const char **at, const char *text, tw_amount *out,
                                     tw_error *error);
/* In nm, or TW_INPUT "length-range" over 10 000 m, "bad-length" for a fraction in mm. */
TW_USE_RESULT tw_code tw_amount_length(const tw_amount *amount, const tw_unit *unit,
                                       const char *text, tw_nm *out, tw_error *error);
/* The usual error for text that is no length at all. */
tw_code tw_length_unreadable(const char *text, tw_error *error);

/* A double as C's %.*g with `digits` significant digits, with a decimal point whatever the locale
 * of the program that calls the library. Returns `out`. */
#define TW_DOUBLE_TEXT 40
char *tw_double_text(double number, int digits, char out[TW_DOUBLE_TEXT]);

/* Writes number / 10^places with at most `places` decimals, trailing zeros off when `trim`. */
char *tw_decimal_text(int64_t number, int places, bool trim, char *out, size_t size);

#endif
