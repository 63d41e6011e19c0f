/*
 * Lengths, sizes, money and durations: int64 all the way, read from and written to text.
 */
#ifndef TW_BASE_LENGTH_H
#define TW_BASE_LENGTH_H

#include "trimwell.h"

typedef int64_t tw_nm; /* nanometres */

#define TW_IN ((tw_nm)25400000)
#define TW_FT ((tw_nm)304800000)
#define TW_MM ((tw_nm)1000000)
#define TW_CM ((tw_nm)10000000)
#define TW_M ((tw_nm)1000000000)
#define TW_LENGTH_MOST (10000 * TW_M)

/* "8 1/2in", "215.9 mm", "50ft", "0.25pt" (1 pt = 1/72 in, ISO 32000-1 8.3.2.3). Units in ft mm
 * cm m pt; fractions and mixed numbers in in and ft. Range 0 to 10 000 m; what is not a whole nm
 * rounds half up. A bare number is an error that shows how to write it. */
TW_USE_RESULT tw_code tw_length_read(const char *text, tw_nm *out, tw_error *error);

typedef struct tw_size {
    tw_nm width, height;
} tw_size;

/* "8x10in", "30x40cm", "8 1/2x11in" or an ISO 216 name (A0..A10, B0..B10, A3+ = 329x483 mm,
 * common practice). Both sides more than 0. */
TW_USE_RESULT tw_code tw_size_read(const char *text, tw_size *out, tw_error *error);

/* Millimetres, up to six decimals, exact, no trailing zeros: "609.6". Returns out. */
#define TW_LENGTH_TEXT 48
char *tw_mm_exact(tw_nm value, char out[TW_LENGTH_TEXT]);
/* Millimetres to `decimals` (0..6), rounded half up: "215.9". */
char *tw_mm_rounded(tw_nm value, int decimals, char out[TW_LENGTH_TEXT]);
/* As a ruler shows it, to the nearest 1/32 in: "8 1/2 in", "3/32 in", "0 in". */
char *tw_inch_ruler(tw_nm value, char out[TW_LENGTH_TEXT]);
/* Both, the way every message says a length: "8 1/2 in (215.9 mm)"; "about" never needed: where
 * the inch is not a whole 1/64 it is given in decimals: "8.027 in (203.9 mm)". */
char *tw_length_both(tw_nm value, char out[TW_LENGTH_TEXT]);
/* Points as an exact decimal to 5 places, rounded half up; nm * 72 / 25 400 000. May be < 0. */
char *tw_points(tw_nm value, char out[TW_LENGTH_TEXT]);

/* a * b / c rounded half up without overflow (128-bit inside); c > 0, a and b >= 0. */
int64_t tw_scale(int64_t a, int64_t b, int64_t c);

typedef struct tw_money {
    int64_t minor;    /* cents; for currencies without them, whole units */
    char currency[4]; /* ISO 4217 */
} tw_money;

/* "129.00 EUR", "129 EUR", "18000 JPY": number, space, ISO 4217 code; not negative. Decimals as
 * ISO 4217 gives them (0 for JPY KRW and such, 3 for KWD and such, else 2); more is an error. */
TW_USE_RESULT tw_code tw_money_read(const char *text, tw_money *out, tw_error *error);
char *tw_money_text(tw_money value, char out[TW_LENGTH_TEXT]);

/* "2h", "30min", "1d 12h", "90s" to seconds. */
TW_USE_RESULT tw_code tw_duration_read(const char *text, int64_t *seconds, tw_error *error);
/* "2 h", "1 day", "1 day 12 h", "30 min". */
char *tw_duration_text(int64_t seconds, char out[TW_LENGTH_TEXT]);

#endif
