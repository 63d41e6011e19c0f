/* Bytes to values: ISO 32000-1, 7.2 (characters) and 7.3 (objects). */
#include "pdfcheck/reader.h"

#include <string.h>

const tw_pdfin_value tw_pdfin_null = {.kind = TW_PDFIN_NULL};

enum { INTEGER_MOST = 9000000 }; /* millions: what fits as millionths */

static bool is_space(char c) {
    return c == '\0' || c == '\t' || c == '\n' || c == '\f' || c == '\r' || c == ' ';
}

static bool is_delimiter(char c) {
    return c != '\0' && strchr("()<>[]{}/%", c) != NULL;
}

static bool is_regular(char c) {
    return !is_space(c) && !is_delimiter(c);
}

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

static bool fail(tw_pdfin_text *text) {
    text->broken = true;
    return false;
}

/* The bytes ran out: with more of them it may be right. */
static bool ran_out(tw_pdfin_text *text) {
    text->cut = true;
    return false;
}

static bool has(const tw_pdfin_text *text) {
    return text->at < text->length;
}

static char here(const tw_pdfin_text *text) {
    return text->bytes[text->at];
}

void tw_pdfin_skip_space(tw_pdfin_text *text) {
    bool comment = false;
    for (; has(text); text->at++) {
        char c = here(text);
        comment = comment ? c != '\n' && c != '\r' : c == '%';
        if (!comment && !is_space(c))
            return;
    }
}

/* ------------------------------------------------ numbers */

/* Digits, a sign, a point, in millionths; digits past the sixth are dropped, what does not fit is
 * held at the end of the range. False when the word is no number. */
static bool number_of(const char *word, size_t length, tw_pdfin_value *out) {
    const int64_t most = (int64_t)INTEGER_MOST * 1000000;
    int64_t whole = 0, part = 0, scale = TW_PDFIN_ONE;
    bool negative = false, point = false, digits = false;
    for (size_t i = 0; i < length; i++) {
        char c = word[i];
        if (i == 0 && (c == '-' || c == '+')) {
            negative = c == '-';
        } else if (c == '.' && !point) {
            point = true;
        } else if (!is_digit(c)) {
            return false;
        } else if (!point) {
            digits = true;
            whole = whole < most ? whole * 10 + (c - '0') : most;
        } else {
            digits = true;
            scale /= 10;
            part += scale * (c - '0');
        }
    }
    whole = whole < most ? whole : most;
    int64_t value =
        whole > INT64_MAX / TW_PDFIN_ONE - 1 ? INT64_MAX / 2 : whole * TW_PDFIN_ONE + part;
    *out = (tw_pdfin_value){
        .kind = TW_PDFIN_NUMBER, .whole = !point, .number = negative ? -value : value};
    return digits;
}

int64_t tw_pdfin_parse_count(tw_pdfin_text *text, int64_t most) {
    int64_t value = 0;
    tw_pdfin_skip_space(text);
    size_t from = text->at;
    for (; has(text) && is_digit(here(text)); text->at++)
        value = value > most ? value : value * 10 + (here(text) - '0');
    return text->at == from || value > most ? -1 : value;
}

/* ------------------------------------------------ strings and names */

static int hex(char c) {
    if (is_digit(c))
        return c - '0';
    if (c >= 'a' && c <= 'f')
        return c - 'a' + 10;
    return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
}

/* No file that is meant well needs so much. */
static bool too_much(tw_pdfin_text *text) {
    tw_pdfin_stop(text->pdf, TW_INPUT, "it holds more than can be looked through");
    return fail(text);
}

/* Room in the arena; the raw bytes are never shorter than what they mean. */
static char *room_for(tw_pdfin_text *text, size_t length) {
    text->pdf->kept += length;
    if (text->pdf->kept > TW_PDFIN_KEPT_MOST) {
        (void)too_much(text);
        return NULL;
    }
    char *room = tw_arena_take(text->pdf->arena, length + 1);
    if (room == NULL)
        tw_pdfin_stop(text->pdf, TW_MEMORY, NULL);
    return room;
}

/* /Name with #xx (7.3.5). */
static bool parse_name(tw_pdfin_text *text, tw_pdfin_value *out) {
    size_t end = ++text->at, length = 0;
    while (end < text->length && is_regular(text->bytes[end]))
        end++;
    if (end == text->length && text->references)
        return ran_out(text);
    char *name = room_for(text, end - text->at);
    if (name == NULL)
        return fail(text);
    for (size_t i = text->at; i < end; i++) {
        int high = i + 2 < end && text->bytes[i] == '#' ? hex(text->bytes[i + 1]) : -1;
        int low = high >= 0 ? hex(text->bytes[i + 2]) : -1;
        if (low >= 0)
            i += 2;
        name[length++] = low >= 0 ? (char)(high * 16 + low) : text->bytes[i];
    }
    text->at = end;
    *out = (tw_pdfin_value){.kind = TW_PDFIN_NAME, .text = name, .length = length};
    return true;
}

/* Where the string that begins here ends, at its closing bracket; length when it does not. */
static size_t string_end(const tw_pdfin_text *text) {
    int open = 0;
    for (size_t i = text->at; i < text->length; i++) {
        char c = text->bytes[i];
        if (c == '\\')
            i++;
        else if (c == '(')
            open++;
        else if (c == ')' && --open == 0)
            return i;
    }
    return text->length;
}

/* What follows a backslash (7.3.4.2, Table 3); *i is moved to its last byte. -1: nothing. */
static int escaped(const char *bytes, size_t end, size_t *i) {
    static const char letters[] = "nrtbf", meant[] = "\n\r\t\b\f";
    char c = bytes[*i];
    const char *letter = c == '\0' ? NULL : strchr(letters, c);
    if (letter != NULL)
        return meant[letter - letters];
    if (c == '\r' && *i + 1 < end && bytes[*i + 1] == '\n')
        ++*i;
    if (c == '\r' || c == '\n')
        return -1;
    if (c < '0' || c > '7')
        return (unsigned char)c;
    int value = c - '0';
    for (int n = 0; n < 2 && *i + 1 < end && bytes[*i + 1] >= '0' && bytes[*i + 1] <= '7'; n++)
        value = value * 8 + (bytes[++*i] - '0');
    return value & 0xFF;
}

static bool parse_string(tw_pdfin_text *text, tw_pdfin_value *out) {
    size_t end = string_end(text), length = 0;
    if (end >= text->length)
        return ran_out(text);
    char *bytes = room_for(text, end - text->at);
    if (bytes == NULL)
        return fail(text);
    for (size_t i = text->at + 1; i < end; i++) {
        int c = (unsigned char)text->bytes[i];
        if (c == '\\' && i + 1 < end) {
            i++;
            c = escaped(text->bytes, end, &i);
        }
        if (c >= 0)
            bytes[length++] = (char)c;
    }
    text->at = end + 1;
    *out = (tw_pdfin_value){.kind = TW_PDFIN_STRING, .text = bytes, .length = length};
    return true;
}

static bool parse_hex_string(tw_pdfin_text *text, tw_pdfin_value *out) {
    size_t end = text->at + 1, length = 0;
    int half = -1;
    while (end < text->length && text->bytes[end] != '>')
        end++;
    if (end == text->length)
        return ran_out(text);
    char *bytes = room_for(text, (end - text->at) / 2 + 1);
    if (bytes == NULL)
        return fail(text);
    for (size_t i = text->at + 1; i < end; i++) {
        int digit = hex(text->bytes[i]);
        if (digit < 0 && !is_space(text->bytes[i]))
            return fail(text);
        if (digit >= 0 && half >= 0)
            bytes[length++] = (char)(half * 16 + digit);
        if (digit >= 0)
            half = half >= 0 ? -1 : digit;
    }
    if (half >= 0)
        bytes[length++] = (char)(half * 16);
    text->at = end + 1;
    *out = (tw_pdfin_value){.kind = TW_PDFIN_STRING, .text = bytes, .length = length};
    return true;
}

/* ------------------------------------------------ arrays and dictionaries */

static bool closes(tw_pdfin_text *text, const char *mark) {
    size_t length = strlen(mark);
    tw_pdfin_skip_space(text);
    if (text->length - text->at < length || memcmp(text->bytes + text->at, mark, length) != 0)
        return false;
    text->at += length;
    return true;
}

/* Values up to the closing mark, into a list that grows in the arena. */
static bool parse_list(tw_pdfin_text *text, const char *mark, tw_pdfin_value *out) {
    tw_pdfin_value *items = NULL;
    size_t count = 0, room = 0;
    if (text->depth >= TW_PDFIN_DEPTH_MOST)
        return fail(text);
    text->depth++;
    while (!closes(text, mark)) {
        tw_pdfin_value item;
        if (!has(text))
            return ran_out(text);
        if (!tw_pdfin_parse(text, &item))
            return false;
        if (count == room &&
            (text->pdf->listed += room == 0 ? 8 : (int64_t)room) > TW_PDFIN_LISTED_MOST)
            return too_much(text);
        tw_pdfin_value *grown = tw_arena_grow(text->pdf->arena, items, count, &room, sizeof *items);
        if (grown == NULL) {
            tw_pdfin_stop(text->pdf, TW_MEMORY, NULL);
            return fail(text);
        }
        items = grown;
        items[count++] = item;
    }
    text->depth--;
    *out = (tw_pdfin_value){.kind = TW_PDFIN_ARRAY, .items = items, .length = count};
    return true;
}

static bool parse_dict(tw_pdfin_text *text, tw_pdfin_value *out) {
    text->at += 2;
    if (!parse_list(text, ">>", out))
        return false;
    if (out->length % 2 != 0)
        return fail(text);
    for (size_t i = 0; i < out->length; i += 2)
        if (out->items[i].kind != TW_PDFIN_NAME)
            return fail(text);
    out->kind = TW_PDFIN_DICT;
    return true;
}

/* ------------------------------------------------ words */

/* "12 0 R" (7.3.10), where references may stand. Leaves the place alone when it is none. */
static bool parse_reference(tw_pdfin_text *text, tw_pdfin_value *out) {
    size_t from = text->at;
    int64_t number = tw_pdfin_parse_count(text, INT32_MAX);
    int64_t generation = number < 0 ? -1 : tw_pdfin_parse_count(text, 65535);
    if (generation >= 0 && tw_pdfin_parse_word(text, "R")) {
        *out = (tw_pdfin_value){.kind = TW_PDFIN_REF, .number = number};
        return true;
    }
    text->at = from;
    return false;
}

bool tw_pdfin_parse_word(tw_pdfin_text *text, const char *word) {
    size_t length = strlen(word);
    tw_pdfin_skip_space(text);
    if (text->length - text->at < length || memcmp(text->bytes + text->at, word, length) != 0)
        return false;
    if (text->at + length < text->length && is_regular(text->bytes[text->at + length]))
        return false;
    text->at += length;
    return true;
}

static bool parse_plain(tw_pdfin_text *text, tw_pdfin_value *out) {
    size_t end = text->at;
    if (text->references && is_digit(here(text)) && parse_reference(text, out))
        return true;
    while (end < text->length && is_regular(text->bytes[end]))
        end++;
    if (text->references && end == text->length)
        return ran_out(text);
    const char *word = text->bytes + text->at;
    size_t length = end - text->at;
    text->at = end;
    if (number_of(word, length, out))
        return true;
    if (length == 4 && memcmp(word, "null", 4) == 0) {
        *out = tw_pdfin_null;
        return true;
    }
    bool yes = length == 4 && memcmp(word, "true", 4) == 0;
    if (yes || (length == 5 && memcmp(word, "false", 5) == 0)) {
        *out = (tw_pdfin_value){.kind = TW_PDFIN_BOOL, .number = yes};
        return true;
    }
    if (text->references)
        return fail(text);
    *out = (tw_pdfin_value){.kind = TW_PDFIN_WORD, .text = word, .length = length};
    return true;
}

bool tw_pdfin_parse(tw_pdfin_text *text, tw_pdfin_value *out) {
    *out = tw_pdfin_null;
    tw_pdfin_skip_space(text);
    if (!has(text))
        return ran_out(text);
    if (++text->pdf->tokens > TW_PDFIN_TOKENS_MOST)
        return too_much(text);
    char c = here(text);
    bool doubled = text->at + 1 < text->length && text->bytes[text->at + 1] == c;
    if (c == '/')
        return parse_name(text, out);
    if (c == '(')
        return parse_string(text, out);
    if (c == '<' && text->at + 1 == text->length)
        return ran_out(text);
    if (c == '<')
        return doubled ? parse_dict(text, out) : parse_hex_string(text, out);
    if (c == '[') {
        text->at++;
        return parse_list(text, "]", out);
    }
    return is_regular(c) ? parse_plain(text, out) : fail(text);
}

bool tw_pdfin_next(tw_pdfin *pdf, const char *bytes, size_t length, size_t *at,
                   tw_pdfin_value *out) {
    tw_pdfin_text text = {.pdf = pdf, .bytes = bytes, .length = length, .at = *at};
    bool got = pdf->failure.code == TW_OK && tw_pdfin_parse(&text, out);
    *at = text.at;
    return got;
}
