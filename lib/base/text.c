/* UTF-8 (RFC 3629), names that are near, and the growing text buffer. */
#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* Bytes of the one character at `text`, or 0 when it is not UTF-8. The ranges of the second byte
 * keep out overlong forms, surrogates and values past U+10FFFF (RFC 3629 section 4). */
static size_t character_length(const unsigned char *text, size_t length) {
    unsigned char first = text[0];
    if (first < 0x80)
        return 1;
    size_t wanted = first >= 0xC2 && first <= 0xDF   ? 2
                    : first >= 0xE0 && first <= 0xEF ? 3
                    : first >= 0xF0 && first <= 0xF4 ? 4
                                                     : 0;
    if (wanted == 0 || length < wanted)
        return 0;
    unsigned char low = first == 0xE0 ? 0xA0 : first == 0xF0 ? 0x90 : 0x80;
    unsigned char high = first == 0xED ? 0x9F : first == 0xF4 ? 0x8F : 0xBF;
    if (text[1] < low || text[1] > high)
        return 0;
    for (size_t i = 2; i < wanted; i++)
        if ((text[i] & 0xC0) != 0x80)
            return 0;
    return wanted;
}

size_t tw_utf8_valid(const char *text, size_t length) {
    size_t at = 0;
    while (at < length) {
        size_t step = character_length((const unsigned char *)text + at, length - at);
        if (step == 0)
            break;
        at += step;
    }
    return at;
}

uint32_t tw_utf8_next(const char **at) {
    const unsigned char *text = (const unsigned char *)*at;
    size_t length = text[0] < 0x80 ? 1 : text[0] < 0xE0 ? 2 : text[0] < 0xF0 ? 3 : 4;
    uint32_t character = length == 1 ? text[0] : text[0] & (0x7Fu >> length);
    for (size_t i = 1; i < length; i++)
        character = character << 6 | (text[i] & 0x3Fu);
    *at += length;
    return character;
}

size_t tw_utf8_put(uint32_t character, char out[4]) {
    size_t length = character < 0x80 ? 1 : character < 0x800 ? 2 : character < 0x10000 ? 3 : 4;
    static const unsigned char lead[] = {0, 0x00, 0xC0, 0xE0, 0xF0};
    for (size_t i = length - 1; i > 0; i--) {
        out[i] = (char)(0x80 | (character & 0x3F));
        character >>= 6;
    }
    out[0] = (char)(lead[length] | character);
    return length;
}

static char lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

bool tw_same_name(const char *a, const char *b) {
    return a == b || (a != NULL && b != NULL && strcmp(a, b) == 0);
}

bool tw_same_ignoring_case(const char *a, const char *b) {
    if (a == NULL || b == NULL)
        return a == b;
    while (*a != '\0' && lower(*a) == lower(*b)) {
        a++;
        b++;
    }
    return lower(*a) == lower(*b);
}

/* Names longer than this are near nothing: it bounds the work and the row below. */
enum { NAME_MOST = 64 };

static size_t least(size_t a, size_t b) {
    return a < b ? a : b;
}

/* Edit distance (insert, delete, replace, and swap of two neighbours) over bytes, three rows. */
static size_t distance(const char *a, size_t a_length, const char *b, size_t b_length) {
    size_t rows[3][NAME_MOST + 1];
    for (size_t j = 0; j <= b_length; j++)
        rows[0][j] = j;
    for (size_t i = 1; i <= a_length; i++) {
        size_t *row = rows[i % 3], *above = rows[(i + 2) % 3], *two_above = rows[(i + 1) % 3];
        row[0] = i;
        for (size_t j = 1; j <= b_length; j++) {
            char x = lower(a[i - 1]), y = lower(b[j - 1]);
            row[j] = least(least(above[j], row[j - 1]) + 1, above[j - 1] + (x != y));
            if (i > 1 && j > 1 && x == lower(b[j - 2]) && lower(a[i - 2]) == y)
                row[j] = least(row[j], two_above[j - 2] + 1);
        }
    }
    return rows[a_length % 3][b_length];
}

const char *tw_nearest(const char *name, const char *const *names, size_t count) {
    const char *best = NULL;
    size_t best_distance = SIZE_MAX, length = strlen(name);
    for (size_t i = 0; i < count && length <= NAME_MOST; i++) {
        size_t other = strnlen(names[i], NAME_MOST + 1);
        if (other > NAME_MOST)
            continue;
        size_t allowed = (length > other ? length : other) / 3;
        size_t found = distance(name, length, names[i], other);
        if (found <= (allowed == 0 ? 1 : allowed) && found < best_distance) {
            best = names[i];
            best_distance = found;
        }
    }
    return best;
}

void tw_buffer_start(tw_buffer *buffer, const tw_allocator *allocator) {
    *buffer = (tw_buffer){.allocator = allocator};
}

void tw_buffer_free(tw_buffer *buffer) {
    tw_block_free(buffer->allocator, buffer->bytes);
    *buffer = (tw_buffer){.allocator = buffer->allocator};
}

/* Room for `more` bytes and the ending NUL; sets failed when there is none. */
static bool make_room(tw_buffer *buffer, size_t more) {
    if (buffer->failed || more >= SIZE_MAX / 4 - buffer->length) {
        buffer->failed = true;
        return false;
    }
    size_t wanted = buffer->length + more + 1;
    if (wanted <= buffer->room)
        return true;
    size_t room = buffer->room * 2 > wanted ? buffer->room * 2 : wanted + 64;
    char *bytes = tw_block_resize(buffer->allocator, buffer->bytes, buffer->length, room);
    buffer->failed = bytes == NULL;
    if (bytes == NULL)
        return false;
    buffer->bytes = bytes;
    buffer->room = room;
    return true;
}

void tw_buffer_add(tw_buffer *buffer, const char *bytes, size_t length) {
    if (!make_room(buffer, length))
        return;
    if (length > 0)
        memcpy(buffer->bytes + buffer->length, bytes, length);
    buffer->length += length;
    buffer->bytes[buffer->length] = '\0';
}

void tw_buffer_string(tw_buffer *buffer, const char *text) {
    tw_buffer_add(buffer, text, strlen(text));
}

void tw_buffer_print(tw_buffer *buffer, const char *format, ...) {
    va_list words, again;
    va_start(words, format);
    va_copy(again, words);
    int length = vsnprintf(NULL, 0, format, words);
    if (length < 0)
        buffer->failed = true;
    else if (make_room(buffer, (size_t)length)) {
        vsnprintf(buffer->bytes + buffer->length, (size_t)length + 1, format, again);
        buffer->length += (size_t)length;
    }
    va_end(again);
    va_end(words);
}

/* One character as JSON wants it in a string (RFC 8259 section 7). */
static void add_json_character(tw_buffer *buffer, const char *from, size_t length) {
    static const char plain[] = "\"\\\b\f\n\r\t", escaped[] = "\"\\bfnrt";
    const char *found = length == 1 && *from != '\0' ? strchr(plain, *from) : NULL;
    if (found != NULL) {
        tw_buffer_add(buffer, "\\", 1);
        tw_buffer_add(buffer, &escaped[found - plain], 1);
    } else if ((unsigned char)*from < 0x20) {
        tw_buffer_print(buffer, "\\u%04x", (unsigned)(unsigned char)*from);
    } else {
        tw_buffer_add(buffer, from, length);
    }
}

void tw_buffer_json_string(tw_buffer *buffer, const char *text) {
    size_t left = strlen(text);
    tw_buffer_add(buffer, "\"", 1);
    while (left > 0) {
        size_t step = character_length((const unsigned char *)text, left);
        if (step == 0)
            tw_buffer_add(buffer, "\xEF\xBF\xBD", 3); /* U+FFFD */
        else
            add_json_character(buffer, text, step);
        text += step == 0 ? 1 : step;
        left -= step == 0 ? 1 : step;
    }
    tw_buffer_add(buffer, "\"", 1);
}

size_t tw_buffer_name(tw_buffer *out, const char *name) {
    size_t valid = tw_utf8_valid(name, strlen(name)), columns = 0;
    for (const char *at = name, *end = name + valid; at < end; columns++) {
        const char *from = at;
        uint32_t character = tw_utf8_next(&at);
        if (character < 0x20 || (character >= 0x7F && character < 0xA0))
            tw_buffer_string(out, "?");
        else
            tw_buffer_add(out, from, (size_t)(at - from));
    }
    return columns;
}
