/*
 * The old JSON is from outside: anybody may have edited it. It is read leniently, as it decides
 * nothing but which of our own old files go, and believed only for names that this program gives.
 */
#include "base/old_files.h"

#include "base/json.h"
#include "base/limits.h"

#include <stdlib.h>
#include <string.h>

enum { KEYS = sizeof((tw_old_list *)0)->keys / sizeof(const char *) };

/* As tw_files_remove wants it. */
static bool is_plain(const char *name) {
    return strchr(name, '/') == NULL && strlen(name) <= TW_FILE_NAME_MOST;
}

static const char *name_of(const tw_json_value *item, const char *key, const tw_old_list *list) {
    const tw_json_value *value = key == NULL ? NULL : tw_json_get(item, key);
    const char *name = NULL;
    if (value == NULL || tw_json_string(value, &name, NULL) != TW_OK)
        return NULL;
    return is_plain(name) && list->is_ours(name) ? name : NULL;
}

static tw_code take_names(tw_arena *arena, const tw_json_value *root, const tw_old_list *list,
                          const char ***out, size_t *count, tw_error *error) {
    const tw_json_value *items = tw_json_get(root, list->list);
    size_t most =
        items != NULL && tw_json_kind_of(items) == TW_JSON_ARRAY ? tw_json_count(items) : 0;
    *out = tw_arena_array(arena, most * KEYS, sizeof **out);
    if (*out == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < most * KEYS; i++) {
        const char *name = name_of(tw_json_item(items, i / KEYS), list->keys[i % KEYS], list);
        if (name == NULL)
            continue;
        (*out)[*count] = tw_arena_string(arena, name);
        if ((*out)[(*count)++] == NULL)
            return tw_no_memory(error);
    }
    return TW_OK;
}

static int by_name(const void *a, const void *b) {
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* A name that stands there a million times is looked for once. */
static size_t each_once(const char **names, size_t count) {
    size_t kept = 0;
    if (count > 0)
        qsort(names, count, sizeof *names, by_name);
    for (size_t i = 0; i < count; i++)
        if (kept == 0 || strcmp(names[kept - 1], names[i]) != 0)
            names[kept++] = names[i];
    return kept;
}

tw_code tw_old_files(tw_arena *arena, const char *folder, const tw_old_list *list,
                     const char ***out, size_t *count, tw_error *error) {
    char *path = tw_path_join(arena, folder, list->json), *text = NULL;
    size_t length = 0;
    tw_json *document = NULL;
    tw_error ignored = {.code = TW_OK};
    *out = NULL;
    *count = 0;
    if (path == NULL)
        return tw_no_memory(error);
    tw_code code = tw_file_read(arena, path, TW_JSON_BYTES_MOST, &text, &length, &ignored);
    if (code == TW_OK)
        code = tw_json_parse(tw_arena_allocator(arena), path, text, length, &document, &ignored);
    if (code == TW_MEMORY)
        return tw_no_memory(error);
    if (code != TW_OK)
        return TW_OK;
    code = take_names(arena, tw_json_root(document), list, out, count, error);
    tw_json_free(document);
    if (code == TW_OK)
        *count = each_once(*out, *count);
    return code;
}

tw_code tw_old_files_remove(tw_arena *arena, const char *folder, const tw_old_list *list,
                            tw_files *files, tw_error *error) {
    const char **names = NULL;
    size_t count = 0;
    tw_code code = tw_old_files(arena, folder, list, &names, &count, error);
    for (size_t i = 0; i < count && code == TW_OK; i++)
        code = tw_files_remove(files, names[i], error);
    return code;
}
