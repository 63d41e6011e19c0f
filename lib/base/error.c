/*
 * Messages: filling the caller's tw_error, writing it as one line, and the report that collects
 * what does not stop the reading. Text that came from outside is made safe here, once, so that
 * no message can drive a terminal.
 */
#include "base/error.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"

#ifndef TW_VERSION
#define TW_VERSION "0.1.0"
#endif

const char *tw_version(void) {
    return TW_VERSION;
}

int tw_exit_code(tw_code code) {
    switch (code) {
    case TW_OK:
        return 0;
    case TW_USAGE:
        return 2;
    case TW_STRICT:
        return 3;
    case TW_INPUT:
    case TW_DAMAGED:
    case TW_NOT_YET:
        return 4;
    case TW_CANCELLED:
    case TW_MEMORY:
    case TW_IO:
        return 5;
    case TW_BUG:
        break;
    }
    return 70;
}

/* Is this character able to drive a terminal (C0, DEL, C1) or to turn the line around (the
 * bidirectional controls of Unicode UAX 9), or to break it (U+2028, U+2029)? */
static bool is_unsafe(uint32_t c) {
    return c < 0x20 || (c >= 0x7F && c < 0xA0) || c == 0x200E || c == 0x200F || c == 0x61C ||
           (c >= 0x2028 && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069);
}

/* The next piece of the text as it may be shown: itself, or \xNN. Returns its length. */
static size_t safe_piece(const char **at, char piece[8]) {
    size_t left = strnlen(*at, 4), valid = tw_utf8_valid(*at, left);
    if (valid > 0) {
        const char *from = *at;
        uint32_t c = tw_utf8_next(at);
        size_t length = (size_t)(*at - from);
        if (!is_unsafe(c)) {
            memcpy(piece, from, length);
            return length;
        }
        *at = from; /* byte by byte, so that what is shown is what is in the file */
    }
    return (size_t)snprintf(piece, 8, "\\x%02X", (unsigned)(unsigned char)*(*at)++);
}

/* Copy `text` to `out` safely, cutting at a whole piece and marking the cut with "...". */
static void copy_safe(char *out, size_t size, const char *text) {
    size_t used = 0, cut = 0;
    char piece[8];
    while (*text != '\0') {
        size_t length = safe_piece(&text, piece);
        if (used + length >= size) {
            memcpy(out + cut, "...", 4);
            return;
        }
        memcpy(out + used, piece, length);
        used += length;
        if (used + 4 <= size)
            cut = used; /* "..." and the NUL still fit after this piece */
    }
    out[used] = '\0';
}

/* Longer than any field of tw_error, so that a cut is seen by copy_safe, which marks it. */
enum { DRAFT = 4096 };

tw_code tw_fail(tw_error *error, tw_code code, const char *name, const char *format, ...) {
    if (error == NULL)
        return code;
    char draft[DRAFT];
    va_list words;
    va_start(words, format);
    vsnprintf(draft, sizeof draft, format, words);
    va_end(words);
    memset(error, 0, sizeof *error);
    error->code = code;
    error->name = name;
    copy_safe(error->message, sizeof error->message, draft);
    return code;
}

void tw_fail_at(tw_error *error, const char *file, int line, int column) {
    if (error == NULL)
        return;
    if (file != NULL)
        copy_safe(error->file, sizeof error->file, file);
    if (line > 0)
        error->line = line;
    if (column > 0)
        error->column = column;
}

void tw_fail_pointer(tw_error *error, const char *pointer) {
    if (error != NULL && pointer != NULL)
        copy_safe(error->pointer, sizeof error->pointer, pointer);
}

void tw_fail_hint(tw_error *error, const char *format, ...) {
    if (error == NULL)
        return;
    char draft[DRAFT];
    va_list words;
    va_start(words, format);
    vsnprintf(draft, sizeof draft, format, words);
    va_end(words);
    copy_safe(error->hint, sizeof error->hint, draft);
}

void tw_say_no_memory(tw_error *error) {
    (void)tw_fail(error, TW_MEMORY, "no-memory", "there is not enough memory to go on");
}

/* "FILE:LINE:COLUMN: ", or "FILE: POINTER: " where no line is known. */
static void place_text(const tw_error *error, char *out, size_t size) {
    const char *between = error->file[0] != '\0' ? ": " : "";
    if (error->file[0] != '\0' && error->line > 0 && error->column > 0)
        snprintf(out, size, "%s:%d:%d: ", error->file, error->line, error->column);
    else if (error->file[0] != '\0' && error->line > 0)
        snprintf(out, size, "%s:%d: ", error->file, error->line);
    else if (error->pointer[0] != '\0')
        snprintf(out, size, "%s%s%s: ", error->file, between, error->pointer);
    else
        snprintf(out, size, "%s%s", error->file, between);
}

void tw_error_text(const tw_error *error, char *out, size_t size) {
    char place[sizeof error->file + sizeof error->pointer + 32];
    char whole[sizeof place + sizeof error->message + sizeof error->hint + 8];
    if (size == 0)
        return;
    place_text(error, place, sizeof place);
    bool hint = error->hint[0] != '\0';
    snprintf(whole, sizeof whole, "%s%s%s%s%s", place, error->message, hint ? " (" : "",
             error->hint, hint ? ")" : "");
    snprintf(out, size, "%s", whole);
    out[tw_utf8_valid(out, strlen(out))] = '\0'; /* never half a character */
}

void tw_report_start(tw_report *report, tw_arena *arena) {
    *report = (tw_report){.arena = arena};
}

static tw_code keep(tw_report *report, tw_messages *list, const tw_error *message,
                    tw_error *error) {
    if (list->count >= TW_REPORT_MOST) {
        report->dropped++;
        return TW_OK;
    }
    tw_error *items =
        tw_arena_grow(report->arena, list->items, list->count, &list->room, sizeof *items);
    if (items == NULL)
        return tw_no_memory(error);
    list->items = items;
    list->items[list->count++] = *message;
    return TW_OK;
}

tw_code tw_report_error(tw_report *report, const tw_error *message, tw_error *error) {
    return keep(report, &report->errors, message, error);
}

tw_code tw_report_warning(tw_report *report, const tw_error *message, tw_error *error) {
    return keep(report, &report->warnings, message, error);
}
