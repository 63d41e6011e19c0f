/*
 * Reading the project's strict JSON files (the one place that includes cJSON): every value can
 * say its JSON pointer, line and column; unknown and doubled keys are errors with the nearest
 * known name; \u0000, NUL bytes, bad UTF-8 and nesting past 32 are refused.
 */
#ifndef TW_BASE_JSON_H
#define TW_BASE_JSON_H

#include "base/error.h"
#include "base/length.h"

typedef struct tw_json tw_json;             /* a whole document */
typedef struct tw_json_value tw_json_value; /* a value in it, owned by the document */

typedef enum tw_json_kind {
    TW_JSON_NULL,
    TW_JSON_BOOL,
    TW_JSON_NUMBER,
    TW_JSON_STRING,
    TW_JSON_ARRAY,
    TW_JSON_OBJECT
} tw_json_kind;

/* Parse `length` bytes; `file` is the name that messages show. Free with tw_json_free. */
TW_USE_RESULT tw_code tw_json_parse(const tw_allocator *allocator, const char *file,
                                    const char *text, size_t length, tw_json **out,
                                    tw_error *error);
void tw_json_free(tw_json *document);
const tw_json_value *tw_json_root(const tw_json *document);

tw_json_kind tw_json_kind_of(const tw_json_value *value);
size_t tw_json_count(const tw_json_value *value); /* items of an array or object, else 0 */
const tw_json_value *tw_json_item(const tw_json_value *value, size_t index);
const char *tw_json_key(const tw_json_value *object, size_t index);
/* NULL when the object (NULL allowed) has no such key. */
const tw_json_value *tw_json_get(const tw_json_value *object, const char *key);

/* An error about this value: file, line, column and pointer filled in. */
tw_code tw_json_fail(const tw_json_value *value, tw_error *error, tw_code code, const char *name,
                     const char *format, ...) TW_PRINTF(5, 6);
/* "the number 8", "the text "abc"", "an empty list": a value as a message names it. */
#define TW_JSON_SEEN 160
void tw_json_seen(const tw_json_value *value, char out[TW_JSON_SEEN]);
/* Put file, line, column and pointer of the value into an error made elsewhere. */
void tw_json_place(const tw_json_value *value, tw_error *error);

/* The value must be an object whose keys are all among `keys` and which has all `required`. */
TW_USE_RESULT tw_code tw_json_object(const tw_json_value *value, const char *const *keys,
                                     size_t key_count, const char *const *required,
                                     size_t required_count, tw_error *error);
/* Typed reads; the wrong kind is an error that says what was seen and what is wanted. */
TW_USE_RESULT tw_code tw_json_string(const tw_json_value *value, const char **out, tw_error *error);
TW_USE_RESULT tw_code tw_json_bool(const tw_json_value *value, bool *out, tw_error *error);
TW_USE_RESULT tw_code tw_json_number(const tw_json_value *value, double *out, tw_error *error);
/* A whole number in low..high. */
TW_USE_RESULT tw_code tw_json_integer(const tw_json_value *value, int64_t low, int64_t high,
                                      int64_t *out, tw_error *error);
TW_USE_RESULT tw_code tw_json_length(const tw_json_value *value, tw_nm *out, tw_error *error);
/* "8x10in", "A3" or {"width":, "height":}. */
TW_USE_RESULT tw_code tw_json_size(const tw_json_value *value, tw_size *out, tw_error *error);
/* The index of the string among `words`; else an error with the words allowed and the nearest. */
TW_USE_RESULT tw_code tw_json_choice(const tw_json_value *value, const char *const *words,
                                     size_t count, size_t *out, tw_error *error);

#endif
