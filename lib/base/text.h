/* Text: UTF-8, nearest names, file name and JSON escaping, a growing buffer. */
#ifndef TW_BASE_TEXT_H
#define TW_BASE_TEXT_H

#include "base/arena.h"

/* Length in bytes of the valid UTF-8 at the start of text; == length when all of it is. Overlong
 * forms, surrogates and values past U+10FFFF are not UTF-8 (RFC 3629). */
size_t tw_utf8_valid(const char *text, size_t length);
/* Decode one character of valid UTF-8, moving *at. */
uint32_t tw_utf8_next(const char **at);
/* Encode; returns 1 to 4 bytes written. */
size_t tw_utf8_put(uint32_t character, char out[4]);

/* The nearest of `count` names by edit distance (case ignored), or NULL when none is near: at
 * most a third of the longer name's length, at least 1. Ties go to the first. */
const char *tw_nearest(const char *name, const char *const *names, size_t count);
bool tw_same_name(const char *a, const char *b);          /* both may be NULL */
bool tw_same_ignoring_case(const char *a, const char *b); /* ASCII case */

/* A growing text on an allocator; after a failed append `failed` stays set and all is a no-op,
 * so it is checked once at the end. */
typedef struct tw_buffer {
    const tw_allocator *allocator;
    char *bytes; /* NUL ended once anything was added, NULL before */
    size_t length, room;
    bool failed;
} tw_buffer;

void tw_buffer_start(tw_buffer *buffer, const tw_allocator *allocator);
void tw_buffer_free(tw_buffer *buffer);
void tw_buffer_add(tw_buffer *buffer, const char *bytes, size_t length);
void tw_buffer_string(tw_buffer *buffer, const char *text);
void tw_buffer_print(tw_buffer *buffer, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* A name from outside, for a terminal, which obeys control characters: each comes out as "?", and
 * what is not UTF-8 ends it. Returns the columns taken, one a character. */
size_t tw_buffer_name(tw_buffer *buffer, const char *name);
/* A JSON string with quotes; bytes that are not UTF-8 become U+FFFD. */
void tw_buffer_json_string(tw_buffer *buffer, const char *text);

#endif
