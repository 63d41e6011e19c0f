/*
 * The old plan.json is from outside: anybody may have edited it. It is read leniently, as it
 * decides nothing but which of our own old sheets go, and believed only for names that this
 * program gives.
 */
#include "output/old_plan.h"

#include "base/file.h"
#include "base/json.h"
#include "base/limits.h"

#include <string.h>

bool tw_is_sheet_name(const char *name) {
    size_t digits = 0;
    if (strncmp(name, "sheet-", 6) == 0)
        name += 6;
    else if (strncmp(name, "sheets-", 7) == 0)
        name += 7;
    else
        return false;
    while (name[digits] >= '0' && name[digits] <= '9')
        digits++;
    return digits >= 2 && digits <= 9 && strcmp(name + digits, ".pdf") == 0;
}

static const char *file_of(const tw_json_value *sheet) {
    const tw_json_value *file =
        tw_json_kind_of(sheet) == TW_JSON_OBJECT ? tw_json_get(sheet, "file") : NULL;
    const char *name = NULL;
    if (file == NULL || tw_json_string(file, &name, NULL) != TW_OK || !tw_is_sheet_name(name))
        return NULL;
    return name;
}

static tw_code take_names(tw_arena *arena, const tw_json_value *root, const char ***out,
                          size_t *count, tw_error *error) {
    const tw_json_value *sheets =
        tw_json_kind_of(root) == TW_JSON_OBJECT ? tw_json_get(root, "sheets") : NULL;
    size_t most =
        sheets != NULL && tw_json_kind_of(sheets) == TW_JSON_ARRAY ? tw_json_count(sheets) : 0;
    *out = tw_arena_array(arena, most, sizeof **out);
    if (*out == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < most; i++) {
        const char *name = file_of(tw_json_item(sheets, i));
        if (name == NULL)
            continue;
        (*out)[*count] = tw_arena_string(arena, name);
        if ((*out)[(*count)++] == NULL)
            return tw_no_memory(error);
    }
    return TW_OK;
}

tw_code tw_old_plan_sheets(tw_arena *arena, const char *folder, const char ***out, size_t *count,
                           tw_error *error) {
    char *path = tw_path_join(arena, folder, "plan.json"), *text = NULL;
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
    code = take_names(arena, tw_json_root(document), out, count, error);
    tw_json_free(document);
    return code;
}
