/* Papers and template sets: the shipped ones built into the program, and the choice between a
 * path and a shipped name. */
#include "base/embedded.h"

#include <stdio.h>
#include <string.h>

#include "base/file.h"
#include "base/limits.h"
#include "base/text.h"
#include "job/job.h"
#include "job/readers.h"

#define SHIPPED_MOST 64 /* for hints; there are about ten */

const char *tw_shipped_text(const char *name, size_t *length) {
    size_t bare = strlen(name);
    for (const struct tw_embedded *file = tw_shipped_files; file->name != NULL; file++) {
        if (strncmp(file->name, name, bare) != 0 || strcmp(file->name + bare, ".json") != 0)
            continue;
        *length = file->length;
        return (const char *)file->bytes;
    }
    return NULL;
}

const char *const *tw_shipped_names(void) {
    return tw_shipped_files_names;
}

bool tw_shipped_is(const char *name, tw_shipped_kind kind) {
    size_t length;
    const char *text = tw_shipped_text(name, &length);
    return text != NULL &&
           (strstr(text, "\"templates\"") != NULL) == (kind == TW_SHIPPED_TEMPLATES);
}

static const char *kind_word(tw_shipped_kind kind) {
    return kind == TW_SHIPPED_PAPER ? "paper" : "template set";
}

/* Names that match in kind: a template set is no good hint for a paper. The nearest, else all. */
static void hint_shipped(tw_error *e, const char *name, tw_shipped_kind kind) {
    const char *names[SHIPPED_MOST], *between = "";
    char all[240] = "";
    size_t count = 0, length = 0;
    for (const char *const *at = tw_shipped_names(); *at != NULL && count < SHIPPED_MOST; at++)
        if (tw_shipped_is(*at, kind))
            names[count++] = *at;
    const char *near = tw_nearest(name, names, count);
    for (size_t i = 0; near == NULL && i < count && length < sizeof all; i++, between = ", ")
        length += (size_t)snprintf(all + length, sizeof all - length, "%s%s", between, names[i]);
    if (near != NULL)
        tw_fail_hint(e, "nearest: \"%s\"; a file of your own is named with .json", near);
    else
        tw_fail_hint(e, "shipped are %s; a file of your own is named with .json", all);
}

static bool is_path(const char *name) {
    size_t length = strlen(name);
    return strchr(name, '/') != NULL || (length > 5 && strcmp(name + length - 5, ".json") == 0);
}

bool tw_unreadable(tw_reader *r, const char *shown, const tw_json_value *at, tw_error *e) {
    tw_fail_at(e, shown, 0, 0);
    if (at != NULL) {
        tw_name_key(e, shown);
        tw_json_place(at, e);
    }
    return tw_problem(r, e);
}

static bool unknown_name(tw_reader *r, const char *name, tw_shipped_kind kind,
                         const tw_json_value *at) {
    tw_error e = {0};
    tw_fail(&e, TW_INPUT, kind == TW_SHIPPED_PAPER ? "unknown-paper" : "unknown-template-set",
            "\"%s\" is not a shipped %s", name, kind_word(kind));
    hint_shipped(&e, name, kind);
    if (at != NULL)
        tw_json_place(at, &e);
    return tw_problem(r, &e);
}

static bool parse(tw_reader *r, const char *text, size_t length, tw_named_file *out) {
    tw_error e = {0};
    const tw_allocator *allocator = tw_arena_allocator(r->arena);
    if (tw_json_parse(allocator, out->shown, text, length, &out->document, &e) == TW_OK)
        return true;
    out->document = NULL;
    return tw_problem(r, &e);
}

static bool open_path(tw_reader *r, const char *folder, const char *name, const tw_json_value *at,
                      tw_named_file *out) {
    const char *path = tw_got(r, tw_path_join(r->arena, folder, name));
    char *text = NULL;
    size_t length = 0;
    tw_error e = {0};
    if (path == NULL)
        return false;
    out->shown = name;
    out->folder = tw_got(r, tw_path_folder(r->arena, path));
    if (tw_file_read(r->arena, path, TW_JSON_BYTES_MOST, &text, &length, &e) != TW_OK)
        return tw_unreadable(r, name, at, &e);
    return out->folder != NULL && parse(r, text, length, out);
}

bool tw_named_open(tw_reader *r, const char *folder, const char *name, tw_shipped_kind kind,
                   const tw_json_value *at, tw_named_file *out) {
    size_t length = 0;
    const char *text;
    memset(out, 0, sizeof *out);
    if (is_path(name))
        return open_path(r, folder, name, at, out);
    text = tw_shipped_is(name, kind) ? tw_shipped_text(name, &length) : NULL;
    if (text == NULL)
        return unknown_name(r, name, kind, at);
    out->shown = tw_got(r, tw_arena_print(r->arena, "%s.json", name));
    out->folder = ".";
    return out->shown != NULL && parse(r, text, length, out);
}
