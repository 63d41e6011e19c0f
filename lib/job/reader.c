/*
 * The reader's frame: collecting problems, an object's keys, the version. What single values
 * look like is in values.c.
 */
#include "job/reader.h"

#include <string.h>

#include "base/number.h"
#include "base/text.h"

void tw_reader_start(tw_reader *r, tw_arena *arena, tw_report *report) {
    memset(r, 0, sizeof *r);
    r->arena = arena;
    r->report = report;
}

tw_code tw_reader_end(const tw_reader *r, tw_error *error) {
    const tw_error *why = r->stop.code != TW_OK ? &r->stop : &r->first;
    if (why->code != TW_OK && error != NULL)
        *error = *why;
    return why->code;
}

bool tw_stopped(const tw_reader *r) {
    return r->stop.code != TW_OK;
}

static bool is_persons(tw_code code) {
    return code == TW_INPUT || code == TW_DAMAGED || code == TW_NOT_YET || code == TW_USAGE;
}

bool tw_problem(tw_reader *r, const tw_error *message) {
    if (tw_stopped(r))
        return false;
    if (!is_persons(message->code)) {
        r->stop = *message;
        return false;
    }
    if (r->problems++ == 0)
        r->first = *message;
    /* A failing report fills r->stop, and that is the answer. */
    if (tw_report_error(r->report, message, &r->stop) != TW_OK)
        return false;
    return false;
}

void tw_notice(tw_reader *r, const tw_error *warning) {
    tw_error message = *warning;
    message.code = TW_OK; /* a warning is data: its code decides nothing */
    if (!tw_stopped(r) && tw_report_warning(r->report, &message, &r->stop) != TW_OK)
        return; /* r->stop says why */
}

void *tw_got(tw_reader *r, const void *pointer) {
    if (pointer == NULL && !tw_stopped(r))
        (void)tw_no_memory(&r->stop);
    return (void *)(uintptr_t)pointer;
}

tw_place tw_place_of(tw_reader *r, const tw_json_value *value) {
    tw_error where;
    tw_place place = {0};
    memset(&where, 0, sizeof where);
    tw_json_place(value, &where);
    place.file = tw_got(r, tw_arena_string(r->arena, where.file));
    place.pointer = tw_got(r, tw_arena_string(r->arena, where.pointer));
    place.line = where.line;
    place.column = where.column;
    return place;
}

static size_t key_index(const tw_keys *keys, const char *key) {
    size_t i = 0;
    while (i < keys->count && strcmp(keys->names[i], key) != 0)
        i++;
    return i;
}

/* The key at `index`: known, or a problem. */
static void check_key(tw_reader *r, const tw_json_value *value, size_t index, const tw_keys *keys) {
    const char *key = tw_json_key(value, index);
    tw_error e = {0};
    if (tw_not_yet(keys->scope, key)) {
        bool top = strcmp(keys->scope, "job") == 0;
        tw_fail(&e, TW_NOT_YET, "not-yet", "\"%s%s%s\" is known but not built yet",
                top ? "" : keys->scope, top ? "" : ".", key);
        tw_fail_hint(&e, "take it out for now");
    } else if (key_index(keys, key) == keys->count) {
        const char *near = tw_nearest(key, keys->names, keys->count);
        tw_fail(&e, TW_INPUT, "unknown-key", "\"%s\" is not a key of %s", key, keys->scope);
        if (near != NULL)
            tw_fail_hint(&e, "nearest: \"%s\"", near);
    }
    if (e.code == TW_OK)
        return;
    tw_json_place(tw_json_item(value, index), &e);
    tw_problem(r, &e);
}

static void check_required(tw_reader *r, const tw_json_value *value, const tw_keys *keys) {
    for (size_t i = 0; i < keys->required; i++) {
        tw_error e = {0};
        if (tw_json_get(value, keys->names[i]) != NULL)
            continue;
        tw_json_fail(value, &e, TW_INPUT, "missing-key", "\"%s\" is missing; %s must have it",
                     keys->names[i], keys->scope);
        tw_problem(r, &e);
    }
}

bool tw_read_keys(tw_reader *r, const tw_json_value *value, const tw_keys *keys) {
    tw_error e = {0};
    if (tw_json_kind_of(value) != TW_JSON_OBJECT) {
        /* No key list: it only asks whether this is an object, in the usual words. */
        (void)!tw_json_object(value, NULL, 0, NULL, 0, &e);
        tw_name_key(&e, keys->scope);
        return tw_problem(r, &e);
    }
    for (size_t i = 0; i < tw_json_count(value); i++)
        check_key(r, value, i, keys);
    check_required(r, value, keys);
    return true;
}

const tw_json_value *tw_take_object(tw_reader *r, const tw_json_value *object, const char *key,
                                    const tw_keys *keys) {
    const tw_json_value *value = tw_json_get(object, key);
    return value != NULL && tw_read_keys(r, value, keys) ? value : NULL;
}

void tw_take_version(tw_reader *r, const tw_json_value *object) {
    const tw_json_value *value = tw_json_get(object, "trimwell");
    tw_error e = {0};
    double number = 0;
    if (value == NULL)
        return; /* required, so already reported */
    if (tw_json_number(value, &number, &e) != TW_OK)
        tw_name_key(&e, "trimwell");
    else if (number != 1)
        tw_json_fail(value, &e, TW_INPUT, "version",
                     "\"trimwell\" is %s; this program reads version 1",
                     tw_double_text(number, 6, (char[TW_DOUBLE_TEXT]){0}));
    if (e.code != TW_OK)
        tw_problem(r, &e);
}
