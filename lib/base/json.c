/*
 * JSON documents: cJSON's tree paired, value by value, with the places the scanner noted. Both
 * list values in the order in which they stand, so one walk in step joins them. The only file
 * that includes cJSON; what reads typed values is in jsonread.c.
 */
#include "base/json.h"

#include <cjson/cJSON.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/jsonscan.h"
#include "base/limits.h"

struct tw_json {
    tw_allocator allocator;
    bool own_allocator; /* false: plain malloc */
    char *file;
    cJSON *tree;
    tw_json_list list;
    uint32_t *children; /* places in the list, each parent's together */
};

static const tw_allocator *allocator_of(const tw_json *document) {
    return document->own_allocator ? &document->allocator : NULL;
}

void tw_json_free(tw_json *document) {
    if (document == NULL)
        return;
    tw_allocator copy = document->allocator;
    const tw_allocator *allocator = document->own_allocator ? &copy : NULL;
    cJSON_Delete(document->tree);
    tw_block_free(allocator, document->list.items);
    tw_block_free(allocator, document->children);
    tw_block_free(allocator, document->file);
    tw_block_free(allocator, document);
}

/* Gives each value its node; `next` is the next value in the list. Depth is bounded by the
 * scanner. False when the two disagree on how many values there are. */
static bool pair(tw_json *document, const cJSON *node, size_t *next) {
    if (*next >= document->list.count)
        return false;
    document->list.items[*next].document = document;
    document->list.items[(*next)++].node = node;
    for (const cJSON *child = node->child; child != NULL; child = child->next)
        if (!pair(document, child, next))
            return false;
    return true;
}

/* Sorts the list by parent (a counting sort; order within a parent stays). */
static tw_code list_children(tw_json *document, tw_error *error) {
    tw_json_list *list = &document->list;
    uint32_t first = 0;
    document->children =
        tw_block_new(allocator_of(document), list->count * sizeof *document->children);
    if (document->children == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < list->count; i++) {
        list->items[i].first = first;
        first += list->items[i].count;
    }
    for (size_t i = 1; i < list->count; i++) {
        const tw_json_value *value = &list->items[i];
        document->children[list->items[value->parent].first + value->index] = (uint32_t)i;
    }
    return TW_OK;
}

static const cJSON *node_of(const tw_json_value *value) {
    return value->node;
}

static const tw_json_value *parent_of(const tw_json_value *value) {
    return &value->document->list.items[value->parent];
}

static bool in_object(const tw_json_value *value) {
    return parent_of(value) != value && cJSON_IsObject(node_of(parent_of(value)));
}

/* A key that stands twice in its object; objects hold at most TW_JSON_KEYS_MOST. */
static tw_code check_doubled(const tw_json_value *value, tw_error *error) {
    if (!in_object(value))
        return TW_OK;
    const char *key = node_of(value)->string;
    const tw_json_value *object = parent_of(value);
    for (uint32_t i = 0; i < value->index; i++) {
        const tw_json_value *other = tw_json_item(object, i);
        if (strcmp(node_of(other)->string, key) != 0)
            continue;
        tw_json_fail(value, error, TW_INPUT, "doubled-key",
                     "the key \"%s\" stands here twice, first in line %d", key, other->key_line);
        tw_fail_at(error, NULL, value->key_line, value->key_column);
        return TW_INPUT;
    }
    return TW_OK;
}

static tw_code check_values(const tw_json *document, tw_error *error) {
    for (size_t i = 0; i < document->list.count; i++) {
        const tw_json_value *value = &document->list.items[i];
        if (cJSON_IsNumber(node_of(value)) && !isfinite(node_of(value)->valuedouble))
            return tw_json_fail(value, error, TW_INPUT, "out-of-range",
                                "this number is too large to be of use");
        tw_code code = check_doubled(value, error);
        if (code != TW_OK)
            return code;
    }
    return TW_OK;
}

static tw_code fill(tw_json *document, const char *file, const char *text, size_t length,
                    tw_error *error) {
    size_t paired = 0;
    document->file = tw_block_new(allocator_of(document), strlen(file) + 1);
    if (document->file == NULL)
        return tw_no_memory(error);
    memcpy(document->file, file, strlen(file) + 1);
    tw_code code = tw_json_scan(allocator_of(document), file, text, length, &document->list, error);
    if (code != TW_OK)
        return code;
    document->tree = cJSON_ParseWithLengthOpts(text, length, NULL, false);
    if (document->tree == NULL) /* the text is sound, so only memory can lack */
        return tw_no_memory(error);
    if (!pair(document, document->tree, &paired) || paired != document->list.count)
        return tw_fail(error, TW_BUG, "json-walk", "%s: two readings of this file differ", file);
    code = list_children(document, error);
    return code == TW_OK ? check_values(document, error) : code;
}

tw_code tw_json_parse(const tw_allocator *allocator, const char *file, const char *text,
                      size_t length, tw_json **out, tw_error *error) {
    *out = NULL;
    if (length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) { /* a byte order mark */
        text += 3;
        length -= 3;
    }
    tw_json *document = tw_block_new(allocator, sizeof *document);
    if (document == NULL)
        return tw_no_memory(error);
    document->own_allocator = allocator != NULL;
    if (allocator != NULL)
        document->allocator = *allocator;
    tw_code code = fill(document, file, text, length, error);
    if (code != TW_OK) {
        tw_json_free(document);
        return code;
    }
    *out = document;
    return TW_OK;
}

const tw_json_value *tw_json_root(const tw_json *document) {
    return &document->list.items[0];
}

tw_json_kind tw_json_kind_of(const tw_json_value *value) {
    const cJSON *node = value == NULL ? NULL : node_of(value);
    if (cJSON_IsObject(node))
        return TW_JSON_OBJECT;
    if (cJSON_IsArray(node))
        return TW_JSON_ARRAY;
    if (cJSON_IsString(node))
        return TW_JSON_STRING;
    if (cJSON_IsNumber(node))
        return TW_JSON_NUMBER;
    return cJSON_IsBool(node) ? TW_JSON_BOOL : TW_JSON_NULL;
}

size_t tw_json_count(const tw_json_value *value) {
    return value == NULL ? 0 : value->count;
}

const tw_json_value *tw_json_item(const tw_json_value *value, size_t index) {
    const tw_json *document = value->document;
    return index < value->count ? &document->list.items[document->children[value->first + index]]
                                : NULL;
}

const char *tw_json_key(const tw_json_value *object, size_t index) {
    const tw_json_value *value = tw_json_item(object, index);
    return value == NULL ? NULL : node_of(value)->string;
}

const tw_json_value *tw_json_get(const tw_json_value *object, const char *key) {
    if (object == NULL || !cJSON_IsObject(node_of(object)))
        return NULL;
    for (size_t i = 0; i < object->count; i++)
        if (strcmp(tw_json_key(object, i), key) == 0)
            return tw_json_item(object, i);
    return NULL;
}

const char *tw_json_plain_string(const tw_json_value *value) {
    return node_of(value)->valuestring;
}

double tw_json_plain_number(const tw_json_value *value) {
    return node_of(value)->valuedouble;
}

bool tw_json_plain_bool(const tw_json_value *value) {
    return cJSON_IsTrue(node_of(value));
}

/* One step of a pointer, ~ and / written as RFC 6901 section 3 wants. */
static void add_step(const tw_json_value *value, char *out, size_t size) {
    size_t used = strlen(out);
    if (!in_object(value)) {
        snprintf(out + used, size - used, "/%u", (unsigned)value->index);
        return;
    }
    if (used + 1 < size)
        out[used++] = '/';
    for (const char *key = node_of(value)->string; *key != '\0' && used + 2 < size; key++) {
        bool escaped = *key == '~' || *key == '/';
        out[used++] = escaped ? '~' : *key;
        if (escaped)
            out[used++] = *key == '~' ? '0' : '1';
    }
    out[used] = '\0';
}

void tw_json_place(const tw_json_value *value, tw_error *error) {
    const tw_json_value *path[TW_JSON_DEPTH_MOST + 1];
    char pointer[1024] = "";
    size_t steps = 0;
    for (const tw_json_value *at = value; parent_of(at) != at; at = parent_of(at))
        path[steps++] = at;
    while (steps > 0)
        add_step(path[--steps], pointer, sizeof pointer);
    tw_fail_at(error, value->document->file, value->line, value->column);
    tw_fail_pointer(error, pointer);
}

void tw_json_place_key(const tw_json_value *object, size_t index, tw_error *error) {
    const tw_json_value *value = tw_json_item(object, index);
    tw_json_place(value, error);
    tw_fail_at(error, NULL, value->key_line, value->key_column);
}

tw_code tw_json_fail(const tw_json_value *value, tw_error *error, tw_code code, const char *name,
                     const char *format, ...) {
    char message[2048];
    va_list words;
    va_start(words, format);
    vsnprintf(message, sizeof message, format, words);
    va_end(words);
    tw_fail(error, code, name, "%s", message);
    tw_json_place(value, error);
    return code;
}
