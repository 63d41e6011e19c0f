/*
 * Typed reads of JSON values, strict: the wrong kind, an unknown key, a word that is not among
 * those allowed are errors that say what was seen, what is wanted, and the nearest name.
 */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "base/jsonscan.h"
#include "base/number.h"
#include "base/text.h"

/* The shortest of 15 to 17 digits that reads back as the same number; it is written and read in the
 * program's own locale, and only then given its point. */
static void number_text(double number, char out[TW_DOUBLE_TEXT]) {
    for (int digits = 15; digits <= 17; digits++) {
        char local[TW_DOUBLE_TEXT];
        double back;
        snprintf(local, sizeof local, "%.*g", digits, number);
        tw_double_text(number, digits, out);
        if (sscanf(local, "%lf", &back) == 1 && back == number)
            return;
    }
}

/* "the number 8", "the text "abc"": a value as a message names it. */
void tw_json_seen(const tw_json_value *value, char out[TW_JSON_SEEN]) {
    char number[TW_DOUBLE_TEXT];
    switch (tw_json_kind_of(value)) {
    case TW_JSON_NUMBER:
        number_text(tw_json_plain_number(value), number);
        snprintf(out, TW_JSON_SEEN, "the number %s", number);
        return;
    case TW_JSON_STRING:
        snprintf(out, TW_JSON_SEEN, "the text \"%.100s\"", tw_json_plain_string(value));
        return;
    case TW_JSON_BOOL:
        snprintf(out, TW_JSON_SEEN, "%s", tw_json_plain_bool(value) ? "true" : "false");
        return;
    case TW_JSON_ARRAY:
        snprintf(out, TW_JSON_SEEN, tw_json_count(value) > 0 ? "a list [...]" : "an empty list");
        return;
    case TW_JSON_OBJECT:
        snprintf(out, TW_JSON_SEEN, "an object {...}");
        return;
    case TW_JSON_NULL:
        break;
    }
    snprintf(out, TW_JSON_SEEN, "null");
}

static tw_code wrong_kind(const tw_json_value *value, const char *wanted, tw_error *error) {
    char seen[TW_JSON_SEEN];
    tw_json_seen(value, seen);
    return tw_json_fail(value, error, TW_INPUT, "wrong-kind", "expected %s, found %s", wanted,
                        seen);
}

static tw_code check_key(const tw_json_value *object, size_t index, const char *const *keys,
                         size_t key_count, tw_error *error) {
    const char *key = tw_json_key(object, index);
    for (size_t i = 0; i < key_count; i++)
        if (strcmp(key, keys[i]) == 0)
            return TW_OK;
    tw_fail(error, TW_INPUT, "unknown-key", "unknown key \"%s\"", key);
    tw_json_place_key(object, index, error);
    const char *near = tw_nearest(key, keys, key_count);
    if (near != NULL)
        tw_fail_hint(error, "did you mean \"%s\"?", near);
    return TW_INPUT;
}

tw_code tw_json_object(const tw_json_value *value, const char *const *keys, size_t key_count,
                       const char *const *required, size_t required_count, tw_error *error) {
    if (tw_json_kind_of(value) != TW_JSON_OBJECT)
        return wrong_kind(value, "an object {...}", error);
    for (size_t i = 0; i < tw_json_count(value); i++) {
        tw_code code = check_key(value, i, keys, key_count, error);
        if (code != TW_OK)
            return code;
    }
    for (size_t i = 0; i < required_count; i++)
        if (tw_json_get(value, required[i]) == NULL)
            return tw_json_fail(value, error, TW_INPUT, "missing-key", "\"%s\" is missing",
                                required[i]);
    return TW_OK;
}

tw_code tw_json_string(const tw_json_value *value, const char **out, tw_error *error) {
    if (tw_json_kind_of(value) != TW_JSON_STRING)
        return wrong_kind(value, "a text in double quotes", error);
    *out = tw_json_plain_string(value);
    return TW_OK;
}

tw_code tw_json_bool(const tw_json_value *value, bool *out, tw_error *error) {
    if (tw_json_kind_of(value) != TW_JSON_BOOL)
        return wrong_kind(value, "true or false", error);
    *out = tw_json_plain_bool(value);
    return TW_OK;
}

tw_code tw_json_number(const tw_json_value *value, double *out, tw_error *error) {
    if (tw_json_kind_of(value) != TW_JSON_NUMBER)
        return wrong_kind(value, "a number", error);
    *out = tw_json_plain_number(value);
    return TW_OK;
}

/* Every whole number up to here is itself as a double. */
static const double WHOLE_MOST = 9007199254740992.0; /* 2^53 */

tw_code tw_json_integer(const tw_json_value *value, int64_t low, int64_t high, int64_t *out,
                        tw_error *error) {
    char seen[TW_DOUBLE_TEXT];
    if (tw_json_kind_of(value) != TW_JSON_NUMBER)
        return wrong_kind(value, "a whole number", error);
    double number = tw_json_plain_number(value);
    bool fits = number >= -WHOLE_MOST && number <= WHOLE_MOST;
    int64_t whole = fits ? (int64_t)number : 0;
    number_text(number, seen);
    if (fits && (double)whole != number)
        return tw_json_fail(value, error, TW_INPUT, "wrong-kind",
                            "expected a whole number, found %s", seen);
    if (!fits || whole < low || whole > high)
        return tw_json_fail(value, error, TW_INPUT, "out-of-range",
                            "%s is out of range: %" PRId64 " to %" PRId64 " is allowed", seen, low,
                            high);
    *out = whole;
    return TW_OK;
}

/* A bare number is the commonest slip, so it is shown how to write it. */
static tw_code no_unit(const tw_json_value *value, tw_error *error) {
    char number[TW_DOUBLE_TEXT];
    number_text(tw_json_plain_number(value), number);
    tw_json_fail(value, error, TW_INPUT, "no-unit", "%s has no unit", number);
    tw_fail_hint(error, "write \"%sin\" or \"%smm\"", number, number);
    return TW_INPUT;
}

tw_code tw_json_length(const tw_json_value *value, tw_nm *out, tw_error *error) {
    if (tw_json_kind_of(value) == TW_JSON_NUMBER)
        return no_unit(value, error);
    if (tw_json_kind_of(value) != TW_JSON_STRING)
        return wrong_kind(value, "a text such as \"8in\"", error);
    tw_code code = tw_length_read(tw_json_plain_string(value), out, error);
    if (code != TW_OK)
        tw_json_place(value, error);
    return code;
}

static tw_code size_object(const tw_json_value *value, tw_size *out, tw_error *error) {
    static const char *const keys[] = {"width", "height"};
    tw_size size = {0, 0};
    tw_code code = tw_json_object(value, keys, 2, keys, 2, error);
    if (code == TW_OK)
        code = tw_json_length(tw_json_get(value, "width"), &size.width, error);
    if (code == TW_OK)
        code = tw_json_length(tw_json_get(value, "height"), &size.height, error);
    if (code == TW_OK && (size.width == 0 || size.height == 0))
        code = tw_json_fail(value, error, TW_INPUT, "size-zero",
                            "a side of this size is 0: both must be more");
    if (code == TW_OK)
        *out = size;
    return code;
}

tw_code tw_json_size(const tw_json_value *value, tw_size *out, tw_error *error) {
    if (tw_json_kind_of(value) == TW_JSON_OBJECT)
        return size_object(value, out, error);
    if (tw_json_kind_of(value) != TW_JSON_STRING)
        return wrong_kind(value, "a size such as \"8x10in\"", error);
    tw_code code = tw_size_read(tw_json_plain_string(value), out, error);
    if (code != TW_OK)
        tw_json_place(value, error);
    return code;
}

/* "inside", "fill" or "auto". */
static void list_words(const char *const *words, size_t count, char *out, size_t size) {
    size_t used = 0;
    for (size_t i = 0; i < count && used < size; i++) {
        const char *before = i == 0 ? "" : i + 1 == count ? " or " : ", ";
        int wrote = snprintf(out + used, size - used, "%s\"%s\"", before, words[i]);
        used += wrote > 0 ? (size_t)wrote : 0;
    }
}

tw_code tw_json_choice(const tw_json_value *value, const char *const *words, size_t count,
                       size_t *out, tw_error *error) {
    char allowed[320] = "";
    list_words(words, count, allowed, sizeof allowed);
    if (tw_json_kind_of(value) != TW_JSON_STRING)
        return wrong_kind(value, allowed, error);
    const char *word = tw_json_plain_string(value);
    for (size_t i = 0; i < count; i++)
        if (strcmp(word, words[i]) == 0) {
            *out = i;
            return TW_OK;
        }
    tw_json_fail(value, error, TW_INPUT, "unknown-word", "expected %s, found \"%.100s\"", allowed,
                 word);
    const char *near = tw_nearest(word, words, count);
    if (near != NULL)
        tw_fail_hint(error, "did you mean \"%s\"?", near);
    return TW_INPUT;
}
