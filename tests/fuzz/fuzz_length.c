/*
 * Fuzz target: lengths, sizes, money and durations. What is taken is in range, and written out
 * and read again it is the same.
 */
#include "base/length.h"
#include "fuzz.h"

static void try_length(const char *text) {
    char out[TW_LENGTH_TEXT], again[TW_LENGTH_TEXT + 2];
    tw_error error;
    tw_nm value, back;
    tw_code code = tw_length_read(text, &value, &error);
    if (code != TW_OK) {
        must_be_sound(&error, code);
        return;
    }
    must(value >= 0 && value <= TW_LENGTH_MOST);
    snprintf(again, sizeof again, "%smm", tw_mm_exact(value, out));
    must(tw_length_read(again, &back, &error) == TW_OK && back == value);
    must(strlen(tw_length_both(value, out)) < TW_LENGTH_TEXT);
    must(strlen(tw_inch_ruler(value, out)) < TW_LENGTH_TEXT);
    must(strlen(tw_points(value, out)) < TW_LENGTH_TEXT);
}

static void try_size(const char *text) {
    tw_error error;
    tw_size size;
    tw_code code = tw_size_read(text, &size, &error);
    if (code != TW_OK)
        must_be_sound(&error, code);
    else
        must(size.width > 0 && size.height > 0 && size.width <= TW_LENGTH_MOST &&
             size.height <= TW_LENGTH_MOST);
}

static void try_money(const char *text) {
    char out[TW_LENGTH_TEXT];
    tw_error error;
    tw_money money, back;
    tw_code code = tw_money_read(text, &money, &error);
    if (code != TW_OK) {
        must_be_sound(&error, code);
        return;
    }
    must(money.minor >= 0);
    must(tw_money_read(tw_money_text(money, out), &back, &error) == TW_OK);
    must(back.minor == money.minor && strcmp(back.currency, money.currency) == 0);
}

static void try_duration(const char *text) {
    char out[TW_LENGTH_TEXT];
    tw_error error;
    int64_t seconds;
    tw_code code = tw_duration_read(text, &seconds, &error);
    if (code != TW_OK)
        must_be_sound(&error, code);
    else
        must(seconds >= 0 && seconds <= 3650 * 86400 && tw_duration_text(seconds, out) == out);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    char *text = malloc(length + 1);
    if (text == NULL)
        return 0;
    memcpy(text, bytes, length);
    text[length] = '\0';
    try_length(text);
    try_size(text);
    try_money(text);
    try_duration(text);
    free(text);
    return 0;
}
