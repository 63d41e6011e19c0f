/* Lengths as text: exact millimetres for files, a ruler's inches for people, points for PDF. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "base/number.h"

char *tw_mm_exact(tw_nm value, char out[TW_LENGTH_TEXT]) {
    return tw_decimal_text(value, 6, true, out, TW_LENGTH_TEXT);
}

static int64_t power_of_ten(int exponent) {
    int64_t value = 1;
    while (exponent-- > 0)
        value *= 10;
    return value;
}

/* value * up / down rounded half up, away from 0 below it so that -x mirrors x. */
static int64_t rounded(tw_nm value, int64_t up, int64_t down) {
    return value < 0 ? -tw_scale(-value, up, down) : tw_scale(value, up, down);
}

char *tw_mm_rounded(tw_nm value, int decimals, char out[TW_LENGTH_TEXT]) {
    int places = decimals < 0 ? 0 : decimals > 6 ? 6 : decimals;
    int64_t number = rounded(value, power_of_ten(places), TW_MM);
    return tw_decimal_text(number, places, false, out, TW_LENGTH_TEXT);
}

/* `parts` of `under` as a mixed number in lowest terms: "8 1/2", "3/32", "0". */
static char *mixed_text(int64_t parts, int under, char *out, size_t size) {
    int64_t count = parts < 0 ? -parts : parts, whole = count / under;
    int over = (int)(count % under);
    while (over != 0 && over % 2 == 0) { /* under is a power of two */
        over /= 2;
        under /= 2;
    }
    snprintf(out, size, "%s", parts < 0 ? "-" : "");
    size_t used = strlen(out);
    if (whole > 0 || over == 0)
        tw_decimal_text(whole, 0, false, out + used, size - used);
    const char *blank = strlen(out) > used ? " " : "";
    used = strlen(out);
    if (over != 0)
        snprintf(out + used, size - used, "%s%d/%d", blank, over, under);
    return out;
}

char *tw_inch_ruler(tw_nm value, char out[TW_LENGTH_TEXT]) {
    char number[TW_LENGTH_TEXT - 8];
    mixed_text(rounded(value, 32, TW_IN), 32, number, sizeof number);
    snprintf(out, TW_LENGTH_TEXT, "%s in", number);
    return out;
}

char *tw_length_both(tw_nm value, char out[TW_LENGTH_TEXT]) {
    char inches[24], mm[24];
    bool small = value > -TW_MM && value < TW_MM; /* under a millimetre one decimal says little */
    if (value % (TW_IN / 64) == 0)                /* 1/64 in is 396 875 nm exactly */
        mixed_text(value / (TW_IN / 64), 64, inches, sizeof inches);
    else
        tw_decimal_text(rounded(value, 1000, TW_IN), 3, true, inches, sizeof inches);
    int places = small ? 2 : 1;
    tw_decimal_text(rounded(value, power_of_ten(places), TW_MM), places, true, mm, sizeof mm);
    snprintf(out, TW_LENGTH_TEXT, "%.20s in (%.16s mm)", inches, mm);
    return out;
}

/* 72 / 25 400 000 points a nm, times 10^5 for the places: 36/127 in lowest terms, so no value
 * lies halfway. */
char *tw_points(tw_nm value, char out[TW_LENGTH_TEXT]) {
    return tw_decimal_text(rounded(value, 36, 127), 5, true, out, TW_LENGTH_TEXT);
}
