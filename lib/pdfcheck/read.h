/*
 * Reading any PDF, bounded: objects by number, through cross-reference tables, streams and object
 * streams (ISO 32000-1, 7.3 to 7.5), and the decoded bytes of small streams. What is broken reads
 * as null, as 7.3.10 has it for what is missing; `damage` says so.
 *
 * Files are hostile: every object is parsed once, nesting, tokens, memory and unpacked bytes are
 * limited, nothing follows a chain for ever. Numbers are kept exactly, in millionths.
 *
 *   read.c         the file: where objects are, and the keeper of what was read
 *   read_xref.c    cross-reference sections
 *   read_value.c   bytes to values
 *   read_stream.c  a stream's bytes, inflated
 */
#ifndef TW_PDFCHECK_READ_H
#define TW_PDFCHECK_READ_H

#include "base/error.h"
#include "base/text.h"

typedef struct tw_pdfin tw_pdfin;

typedef enum tw_pdfin_kind {
    TW_PDFIN_NULL,
    TW_PDFIN_BOOL,
    TW_PDFIN_NUMBER,
    TW_PDFIN_STRING,
    TW_PDFIN_NAME,
    TW_PDFIN_ARRAY,
    TW_PDFIN_DICT,
    TW_PDFIN_STREAM, /* a dictionary with bytes behind it */
    TW_PDFIN_REF,    /* to object `number` */
    TW_PDFIN_WORD    /* an operator or another bare word: in content streams */
} tw_pdfin_kind;

typedef struct tw_pdfin_value tw_pdfin_value;
struct tw_pdfin_value {
    tw_pdfin_kind kind;
    bool whole;                  /* NUMBER: written without a point */
    int64_t number;              /* NUMBER: millionths; BOOL: 0 or 1; REF: the object's number */
    const char *text;            /* STRING, NAME: decoded, NUL ended, may hold NULs; WORD: in the
                                    bytes it was read from */
    size_t length;               /* of text; ARRAY: items; DICT, STREAM: keys and values */
    const tw_pdfin_value *items; /* ARRAY; DICT, STREAM: key, value, key, value */
    int64_t at; /* STREAM: where its bytes begin; of an object: its place, else 0 */
};

#define TW_PDFIN_ONE 1000000
#define TW_PDFIN_OBJECTS_MOST 1000000u
#define TW_PDFIN_STREAM_MOST ((size_t)64 << 20) /* bytes of one stream, unpacked */

/* A file that is no PDF or whose objects cannot be found is TW_DAMAGED; a missing or irregular
 * one TW_INPUT. */
TW_USE_RESULT tw_code tw_pdfin_open(const tw_allocator *allocator, const char *path, tw_pdfin **out,
                                    tw_error *error);
/* The same from memory, for tests and fuzzing: `bytes` must outlive it. */
TW_USE_RESULT tw_code tw_pdfin_open_bytes(const tw_allocator *allocator, const void *bytes,
                                          size_t length, tw_pdfin **out, tw_error *error);
void tw_pdfin_close(tw_pdfin *pdf); /* NULL allowed */

/* TW_OK while nothing stopped the reading (no memory, a limit passed, an I/O error). After a
 * failure everything reads as null. */
TW_USE_RESULT tw_code tw_pdfin_state(const tw_pdfin *pdf, tw_error *error);
/* How many objects or streams could not be read; the first in words, "" when none. */
size_t tw_pdfin_damage(const tw_pdfin *pdf, const char **first);

int64_t tw_pdfin_size(const tw_pdfin *pdf); /* of the file */
/* Up to `room` bytes of the file at `at`; returns how many there were. */
size_t tw_pdfin_bytes(tw_pdfin *pdf, int64_t at, void *out, size_t room);

/* None of these is ever NULL, and all but tw_pdfin_raw follow references. */
const tw_pdfin_value *tw_pdfin_trailer(const tw_pdfin *pdf);
size_t tw_pdfin_object_count(const tw_pdfin *pdf); /* numbers are below it */
const tw_pdfin_value *tw_pdfin_object(tw_pdfin *pdf, int64_t number);
const tw_pdfin_value *tw_pdfin_follow(tw_pdfin *pdf, const tw_pdfin_value *value);
/* A dictionary's or stream's value; null for other values and unknown keys. */
const tw_pdfin_value *tw_pdfin_raw(const tw_pdfin_value *dict, const char *key);
const tw_pdfin_value *tw_pdfin_get(tw_pdfin *pdf, const tw_pdfin_value *dict, const char *key);
const tw_pdfin_value *tw_pdfin_item(tw_pdfin *pdf, const tw_pdfin_value *array, size_t index);
bool tw_pdfin_is_name(const tw_pdfin_value *value, const char *name);
bool tw_pdfin_is_dict(const tw_pdfin_value *value); /* or a stream */
size_t tw_pdfin_items(const tw_pdfin_value *array); /* 0 when it is none */

/* A stream's bytes through its filters, owned by the caller (tw_buffer_free). False, with `why` a
 * phrase, when they cannot be had: another filter than Flate, damage, over the limit. */
bool tw_pdfin_unpack(tw_pdfin *pdf, const tw_pdfin_value *stream, tw_buffer *out, const char **why);
/* Does "endstream" follow where /Length says (7.3.8.1)? */
bool tw_pdfin_ends_right(tw_pdfin *pdf, const tw_pdfin_value *stream);

/* The next value or word of `bytes`, from *at on, which is moved; false at the end. References
 * are not looked for: content streams have none. Memory is the reader's. */
bool tw_pdfin_next(tw_pdfin *pdf, const char *bytes, size_t length, size_t *at,
                   tw_pdfin_value *out);

#endif
