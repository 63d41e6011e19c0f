/*
 * A strict scanner of JSON text (RFC 8259). cJSON is lenient ("01", a raw control character,
 * depth) and tells no places; this walk refuses what is not JSON, with the exact line and
 * column, before cJSON sees it, and notes where each value begins.
 */
#include "base/jsonscan.h"

#include <string.h>

#include "base/limits.h"
#include "base/text.h"

/* cJSON 1.7.15 as published copies a number into 64 bytes and stops there. */
enum { NUMBER_MOST = 63 };

typedef struct scanner {
    const tw_allocator *allocator;
    const char *file;
    const char *at, *end;
    int line, column;    /* of `counted` */
    const char *counted; /* columns are known up to here */
    int depth;
    tw_json_list list;
    tw_error *error;
} scanner;

/* Bring line and column up to `place`, which is never before the last one asked for. */
static void locate(scanner *in, const char *place) {
    for (; in->counted < place; in->counted++) {
        unsigned char c = (unsigned char)*in->counted;
        bool next_is_lf = in->counted + 1 < in->end && in->counted[1] == '\n';
        if (c == '\n' || (c == '\r' && !next_is_lf)) {
            in->line++;
            in->column = 1;
        } else if ((c & 0xC0) != 0x80) { /* not the inside of a character */
            in->column++;
        }
    }
}

static tw_code fail_here(scanner *in, const char *place, const char *message) {
    tw_fail(in->error, TW_INPUT, "bad-json", "%s", message);
    locate(in, place);
    tw_fail_at(in->error, in->file, in->line, in->column);
    return TW_INPUT;
}

/* The whole character at the scanner's place, for a message. */
static const char *seen_text(const scanner *in, char out[8]) {
    size_t left = (size_t)(in->end - in->at), length = 1;
    while (length < left && length < 4 && ((unsigned char)in->at[length] & 0xC0) == 0x80)
        length++;
    memcpy(out, in->at, length);
    out[length] = '\0';
    return out;
}

static void hint_about(scanner *in, const char *wanted) {
    char c = *in->at;
    if (c == '\'')
        tw_fail_hint(in->error, "texts and keys stand in double quotes");
    else if (c == '/' || c == '#')
        tw_fail_hint(in->error, "JSON has no comments");
    else if ((c == '}' || c == ']') && wanted[0] == 'a')
        tw_fail_hint(in->error, "is there a comma too many before it?");
    else if (c == '"' && wanted[0] == '"')
        tw_fail_hint(in->error, "is a comma missing before it?");
}

/* What should have stood at the scanner's place. */
static tw_code expected(scanner *in, const char *wanted) {
    char seen[8];
    if (in->at >= in->end)
        tw_fail(in->error, TW_INPUT, "bad-json", "expected %s, but the file ends here", wanted);
    else if (*in->at == '\0')
        tw_fail(in->error, TW_INPUT, "bad-json", "expected %s, found a NUL byte", wanted);
    else
        tw_fail(in->error, TW_INPUT, "bad-json", "expected %s, found '%s'", wanted,
                seen_text(in, seen));
    if (in->at < in->end)
        hint_about(in, wanted);
    locate(in, in->at);
    tw_fail_at(in->error, in->file, in->line, in->column);
    return TW_INPUT;
}

static void skip_space(scanner *in) {
    while (in->at < in->end && *in->at != '\0' && strchr(" \t\n\r", *in->at) != NULL)
        in->at++;
}

static bool next_is(const scanner *in, char c) {
    return in->at < in->end && *in->at == c;
}

static bool take(scanner *in, char c) {
    bool there = next_is(in, c);
    in->at += there;
    return there;
}

/* Four hexadecimal digits at `from`, or -1. */
static int32_t hex4(const scanner *in, const char *from) {
    static const char digits[] = "0123456789abcdef";
    int32_t value = 0;
    if (in->end - from < 4)
        return -1;
    for (int i = 0; i < 4; i++) {
        char c = from[i] >= 'A' && from[i] <= 'F' ? (char)(from[i] + 32) : from[i];
        const char *found = c == '\0' ? NULL : strchr(digits, c);
        if (found == NULL)
            return -1;
        value = value * 16 + (int32_t)(found - digits);
    }
    return value;
}

/* \uXXXX at the scanner's place (on the backslash); a surrogate must come with its mate. */
static tw_code scan_unicode(scanner *in) {
    int32_t code = hex4(in, in->at + 2);
    if (code < 0)
        return fail_here(in, in->at, "\\u needs four hexadecimal digits");
    if (code == 0)
        return fail_here(in, in->at, "\\u0000 is not allowed in a text");
    if (code >= 0xDC00 && code <= 0xDFFF)
        return fail_here(in, in->at, "this is the second half of a character without the first");
    bool first = code >= 0xD800 && code <= 0xDBFF;
    if (first) {
        bool escape = in->end - in->at >= 12 && in->at[6] == '\\' && in->at[7] == 'u';
        int32_t mate = escape ? hex4(in, in->at + 8) : -1;
        if (mate < 0xDC00 || mate > 0xDFFF)
            return fail_here(in, in->at,
                             "this is the first half of a character without the second");
    }
    in->at += first ? 12 : 6;
    return TW_OK;
}

static tw_code scan_escape(scanner *in) {
    char c = in->end - in->at >= 2 ? in->at[1] : '\0';
    if (c == 'u')
        return scan_unicode(in);
    if (c == '\0' || strchr("\"\\/bfnrt", c) == NULL)
        return fail_here(in, in->at,
                         "this \\ starts nothing JSON knows; a backslash is written \\\\");
    in->at += 2;
    return TW_OK;
}

static tw_code scan_string(scanner *in) {
    const char *open = in->at++;
    while (in->at < in->end && *in->at != '"') {
        unsigned char c = (unsigned char)*in->at;
        if (c == '\n' || c == '\r')
            return fail_here(in, open, "the text that starts here has no closing \" on its line");
        if (c < 0x20)
            return fail_here(in, in->at, "there is a control character in this text");
        if (c == '\\') {
            tw_code code = scan_escape(in);
            if (code != TW_OK)
                return code;
        } else {
            in->at++;
        }
    }
    return take(in, '"') ? TW_OK : fail_here(in, open, "the text that starts here never ends");
}

static size_t digits_here(const scanner *in) {
    size_t count = 0;
    while (in->at + count < in->end && in->at[count] >= '0' && in->at[count] <= '9')
        count++;
    return count;
}

static bool take_digits(scanner *in) {
    size_t count = digits_here(in);
    in->at += count;
    return count > 0;
}

/* RFC 8259 section 6: no leading zeros, a digit on both sides of the point. */
static tw_code scan_number(scanner *in) {
    const char *start = in->at;
    take(in, '-');
    if (next_is(in, '0') && digits_here(in) > 1)
        return fail_here(in, start, "a number must not start with 0 unless a point follows");
    if (!take_digits(in))
        return expected(in, "a digit");
    if (take(in, '.') && !take_digits(in))
        return expected(in, "a digit after the point");
    if (take(in, 'e') || take(in, 'E')) {
        if (!take(in, '+'))
            take(in, '-');
        if (!take_digits(in))
            return expected(in, "a digit of the exponent");
    }
    if (in->at - start > NUMBER_MOST)
        return fail_here(in, start, "this number is too long: at most 63 characters");
    return TW_OK;
}

static tw_code scan_word(scanner *in, const char *word) {
    size_t length = strlen(word);
    if ((size_t)(in->end - in->at) < length || memcmp(in->at, word, length) != 0)
        return expected(in, "a value");
    in->at += length;
    return TW_OK;
}

/* A new entry for the value at the scanner's place. */
static tw_code note_value(scanner *in, size_t parent, const tw_json_value *key, size_t *out) {
    tw_json_list *list = &in->list;
    if (list->count == TW_JSON_VALUES_MOST)
        return fail_here(in, in->at, "there are more than 2 000 000 values in this file");
    if (list->count == list->room) {
        size_t room = list->room == 0 ? 64 : list->room * 2;
        void *items = tw_block_resize(in->allocator, list->items, list->count * sizeof *list->items,
                                      room * sizeof *list->items);
        if (items == NULL)
            return tw_no_memory(in->error);
        list->items = items;
        list->room = room;
    }
    locate(in, in->at);
    *out = list->count++;
    uint32_t index = *out == parent ? 0 : list->items[parent].count++;
    list->items[*out] = (tw_json_value){.line = in->line,
                                        .column = in->column,
                                        .key_line = key->line,
                                        .key_column = key->column,
                                        .parent = (uint32_t)parent,
                                        .index = index};
    return TW_OK;
}

static tw_code scan_value(scanner *in, size_t parent, const tw_json_value *key);

/* `"key" :` and the value after it. */
static tw_code scan_member(scanner *in, size_t object) {
    if (!next_is(in, '"'))
        return expected(in, "a key in double quotes");
    locate(in, in->at);
    tw_json_value key = {.line = in->line, .column = in->column};
    tw_code code = scan_string(in);
    if (code != TW_OK)
        return code;
    skip_space(in);
    if (!take(in, ':'))
        return expected(in, "\":\" after the key");
    skip_space(in);
    if (in->list.items[object].count == TW_JSON_KEYS_MOST)
        return fail_here(in, in->at, "there are more than 256 keys in one object");
    return scan_value(in, object, &key);
}

/* The items between the brackets; the opening one is at the scanner's place. */
static tw_code scan_items(scanner *in, size_t self, char close) {
    static const tw_json_value no_key = {.line = 0};
    in->at++;
    skip_space(in);
    if (take(in, close))
        return TW_OK;
    for (;;) {
        tw_code code = close == '}' ? scan_member(in, self) : scan_value(in, self, &no_key);
        if (code != TW_OK)
            return code;
        skip_space(in);
        if (take(in, close))
            return TW_OK;
        if (!take(in, ','))
            return expected(in, close == '}' ? "\",\" or \"}\"" : "\",\" or \"]\"");
        skip_space(in);
    }
}

static tw_code scan_nested(scanner *in, size_t self, char close) {
    if (in->depth == TW_JSON_DEPTH_MOST)
        return fail_here(in, in->at, "lists and objects lie more than 32 deep in one another");
    in->depth++;
    tw_code code = scan_items(in, self, close);
    in->depth--;
    return code;
}

static tw_code scan_value(scanner *in, size_t parent, const tw_json_value *key) {
    size_t self = 0;
    if (in->at >= in->end)
        return expected(in, "a value");
    tw_code code = note_value(in, parent, key, &self);
    if (code != TW_OK)
        return code;
    switch (*in->at) {
    case '{':
        return scan_nested(in, self, '}');
    case '[':
        return scan_nested(in, self, ']');
    case '"':
        return scan_string(in);
    case 't':
        return scan_word(in, "true");
    case 'f':
        return scan_word(in, "false");
    case 'n':
        return scan_word(in, "null");
    default:
        return *in->at == '-' || digits_here(in) > 0 ? scan_number(in) : expected(in, "a value");
    }
}

#define NO_JSON "a JSON file begins with {: is this another kind of file?"

static tw_code check_utf8(scanner *in) {
    size_t length = (size_t)(in->end - in->at), valid = tw_utf8_valid(in->at, length);
    if (valid == length)
        return TW_OK;
    tw_fail(in->error, TW_INPUT, "not-utf8", "byte 0x%02X here is not UTF-8",
            (unsigned)(unsigned char)in->at[valid]);
    locate(in, in->at + valid);
    tw_fail_at(in->error, in->file, in->line, in->column);
    tw_fail_hint(in->error, valid == 0 ? NO_JSON : "save the file as UTF-8");
    return TW_INPUT;
}

tw_code tw_json_scan(const tw_allocator *allocator, const char *file, const char *text,
                     size_t length, tw_json_list *out, tw_error *error) {
    scanner in = {.allocator = allocator,
                  .file = file,
                  .at = text,
                  .end = text + length,
                  .line = 1,
                  .column = 1,
                  .counted = text,
                  .error = error};
    static const tw_json_value no_key = {.line = 0};
    tw_code code = check_utf8(&in);
    skip_space(&in);
    const char *start = in.at;
    if (code == TW_OK)
        code = scan_value(&in, 0, &no_key);
    if (code == TW_INPUT && in.at == start && in.at < in.end && error->hint[0] == '\0')
        tw_fail_hint(error, NO_JSON);
    skip_space(&in);
    if (code == TW_OK && in.at < in.end)
        code = expected(&in, "nothing more after the end of the document");
    if (code != TW_OK) {
        tw_block_free(allocator, in.list.items);
        in.list = (tw_json_list){0};
    }
    *out = in.list;
    return code;
}
