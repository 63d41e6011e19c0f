/*
 * JSON text checked against RFC 8259 and its values listed with their places, in the order in
 * which they stand. json.c pairs the list with cJSON's tree, which has no places. Private to
 * lib/base.
 */
#ifndef TW_BASE_JSONSCAN_H
#define TW_BASE_JSONSCAN_H

#include "base/json.h"

struct tw_json_value {
    const tw_json *document;
    const void *node; /* cJSON's */
    int line, column; /* from 1; columns count characters */
    int key_line, key_column;
    uint32_t parent; /* its place in the list; the root is its own parent */
    uint32_t index;  /* among its parent's items */
    uint32_t count;  /* of its own items */
    uint32_t first;  /* of its own items in the document's list of children */
};

typedef struct tw_json_list {
    struct tw_json_value *items; /* free with tw_block_free */
    size_t count, room;
} tw_json_list;

/* On failure the list is empty and nothing needs freeing. A byte order mark is not expected. */
TW_USE_RESULT tw_code tw_json_scan(const tw_allocator *allocator, const char *file,
                                   const char *text, size_t length, tw_json_list *out,
                                   tw_error *error);

/* json.c for jsonread.c: the value as it is, its kind already known to be right. */
const char *tw_json_plain_string(const tw_json_value *value);
double tw_json_plain_number(const tw_json_value *value);
bool tw_json_plain_bool(const tw_json_value *value);
/* Like tw_json_place, but line and column are the key's. */
void tw_json_place_key(const tw_json_value *object, size_t index, tw_error *error);

#endif
