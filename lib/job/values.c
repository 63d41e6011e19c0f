/* Single values of the JSON files: kind, range and wording. See reader.h. */
#include <string.h>

#include "base/bytes.h"
#include "base/text.h"
#include "job/reader.h"

void tw_name_key(tw_error *e, const char *key) {
    char message[sizeof e->message];
    tw_error whole = *e;
    memcpy(message, e->message, sizeof message);
    tw_fail(&whole, e->code, e->name, "\"%s\": %s", key, message);
    memcpy(e->message, whole.message, sizeof e->message);
}

static bool good(tw_reader *r, const char *key, tw_code code, tw_error *e) {
    if (code == TW_OK)
        return !tw_stopped(r);
    tw_name_key(e, key);
    return tw_problem(r, e);
}

bool tw_read_length(tw_reader *r, const tw_json_value *value, const char *key, tw_nm low,
                    tw_nm high, tw_nm *out) {
    char seen[TW_LENGTH_TEXT], least[TW_LENGTH_TEXT], most[TW_LENGTH_TEXT];
    tw_error e = {0};
    tw_nm length = 0;
    if (tw_json_length(value, &length, &e) != TW_OK)
        return good(r, key, e.code, &e);
    if (length < low || length > high) {
        bool above = low > 0 && low < TW_MM / 1000; /* which no text shows */
        tw_json_fail(value, &e, TW_INPUT, "out-of-range", "\"%s\" is %s; it may be from %s%s to %s",
                     key, tw_length_both(length, seen), above ? "over " : "",
                     tw_length_both(low, least), tw_length_both(high, most));
        return tw_problem(r, &e);
    }
    *out = length;
    return true;
}

bool tw_take_length(tw_reader *r, const tw_json_value *object, const char *key, tw_nm low,
                    tw_nm high, tw_nm *out) {
    const tw_json_value *value = tw_json_get(object, key);
    return value != NULL && tw_read_length(r, value, key, low, high, out);
}

bool tw_take_integer(tw_reader *r, const tw_json_value *object, const char *key, int64_t low,
                     int64_t high, int64_t *out) {
    const tw_json_value *value = tw_json_get(object, key);
    tw_error e = {0};
    return value != NULL && good(r, key, tw_json_integer(value, low, high, out, &e), &e);
}

bool tw_take_bool(tw_reader *r, const tw_json_value *object, const char *key, bool *out) {
    const tw_json_value *value = tw_json_get(object, key);
    tw_error e = {0};
    return value != NULL && good(r, key, tw_json_bool(value, out, &e), &e);
}

bool tw_take_choice(tw_reader *r, const tw_json_value *object, const char *key,
                    const char *const *words, size_t count, size_t *out) {
    const tw_json_value *value = tw_json_get(object, key);
    tw_error e = {0};
    return value != NULL && good(r, key, tw_json_choice(value, words, count, out, &e), &e);
}

/* A string read on by a function that knows nothing of JSON: its message gets the place. */
static bool placed(tw_reader *r, const tw_json_value *value, const char *key, tw_code code,
                   tw_error *e) {
    if (code != TW_OK)
        tw_json_place(value, e);
    return good(r, key, code, e);
}

bool tw_take_money(tw_reader *r, const tw_json_value *object, const char *key, tw_money *out) {
    const tw_json_value *value = tw_json_get(object, key);
    const char *text;
    tw_error e = {0};
    if (value == NULL)
        return false;
    if (tw_json_string(value, &text, &e) != TW_OK)
        return good(r, key, e.code, &e);
    return placed(r, value, key, tw_money_read(text, out, &e), &e);
}

bool tw_take_duration(tw_reader *r, const tw_json_value *object, const char *key, int64_t *out) {
    const tw_json_value *value = tw_json_get(object, key);
    const char *text;
    tw_error e = {0};
    if (value == NULL)
        return false;
    if (tw_json_string(value, &text, &e) != TW_OK)
        return good(r, key, e.code, &e);
    return placed(r, value, key, tw_duration_read(text, out, &e), &e);
}

bool tw_take_bytes(tw_reader *r, const tw_json_value *object, const char *key, int64_t low,
                   int64_t *out) {
    const tw_json_value *value = tw_json_get(object, key);
    const char *text;
    char least[TW_BYTES_TEXT];
    int64_t bytes = 0;
    tw_error e = {0};
    if (value == NULL)
        return false;
    if (tw_json_string(value, &text, &e) != TW_OK)
        return good(r, key, e.code, &e);
    tw_code code = tw_bytes_read(text, &bytes, &e);
    if (code == TW_OK && bytes < low)
        code = tw_fail(&e, TW_INPUT, "out-of-range", "\"%.40s\" is less than %s", text,
                       tw_bytes_text(low, least));
    if (code == TW_OK)
        *out = bytes;
    return placed(r, value, key, code, &e);
}

static bool read_text(tw_reader *r, const tw_json_value *value, const char *key, size_t most,
                      const char **out) {
    const char *text, *fault;
    tw_error e = {0};
    if (tw_json_string(value, &text, &e) != TW_OK)
        return good(r, key, e.code, &e);
    fault = tw_text_fault(text, most, false);
    if (fault != NULL) {
        tw_json_fail(value, &e, TW_INPUT, "bad-text", "\"%.40s\" %s; 1 to %zu bytes are allowed",
                     text, fault, most);
        return good(r, key, e.code, &e);
    }
    *out = tw_got(r, tw_arena_string(r->arena, text));
    return *out != NULL;
}

bool tw_take_name(tw_reader *r, const tw_json_value *object, const char *key, const char **out) {
    const tw_json_value *value = tw_json_get(object, key);
    return value != NULL && read_text(r, value, key, TW_NAME_MOST, out);
}

bool tw_read_name(tw_reader *r, const tw_json_value *value, const char *what, const char **out) {
    return read_text(r, value, what, TW_NAME_MOST, out);
}

bool tw_read_path(tw_reader *r, const tw_json_value *value, const char *what, const char **out) {
    return read_text(r, value, what, TW_PATH_MOST, out);
}

bool tw_take_path(tw_reader *r, const tw_json_value *object, const char *key, const char **out) {
    const tw_json_value *value = tw_json_get(object, key);
    return value != NULL && tw_read_path(r, value, key, out);
}

/* C0, DEL and C1 (U+0080 to U+009F): none of them prints, some of them drive terminals. */
static bool is_control(uint32_t character) {
    return character < 0x20 || (character >= 0x7f && character < 0xa0);
}

const char *tw_text_fault(const char *text, size_t most, bool lines) {
    size_t length = strlen(text);
    const char *at = text;
    if (length == 0)
        return "is empty";
    if (length > most)
        return "is too long";
    if (tw_utf8_valid(text, length) != length)
        return "is not UTF-8";
    while (*at != '\0') {
        uint32_t character = tw_utf8_next(&at);
        bool line = character == '\n' || character == '\r' || character == '\t';
        if (is_control(character) && !(lines && line))
            return "holds a control character";
    }
    return NULL;
}

static int days_in(int year, int month) {
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap);
}

bool tw_date_valid(const char *text) {
    int part[3] = {0, 0, 0}, which = 0;
    if (strlen(text) != 10)
        return false;
    for (int i = 0; i < 10; i++) {
        bool dash = i == 4 || i == 7;
        if (dash ? text[i] != '-' : text[i] < '0' || text[i] > '9')
            return false;
        which += dash;
        if (!dash)
            part[which] = part[which] * 10 + (text[i] - '0');
    }
    return part[0] >= 1 && part[1] >= 1 && part[1] <= 12 && part[2] >= 1 &&
           part[2] <= days_in(part[0], part[1]);
}

bool tw_decimal_read(const char *text, int decimals, int64_t most, int64_t *out) {
    int64_t value = 0;
    int after = -1, digits = 0; /* after: decimals seen, -1 before the point */
    for (; *text != '\0'; text++) {
        if (*text == '.' && after < 0 && digits > 0) {
            after = 0;
            continue;
        }
        if (*text < '0' || *text > '9' || value > INT64_MAX / 10 - 1 || after == decimals)
            return false;
        value = value * 10 + (*text - '0');
        digits++;
        after += after >= 0;
    }
    if (digits == 0 || after == 0)
        return false;
    for (int i = after < 0 ? 0 : after; i < decimals; i++) {
        if (value > INT64_MAX / 10 - 1)
            return false;
        value *= 10;
    }
    if (value > most)
        return false;
    *out = value;
    return true;
}
