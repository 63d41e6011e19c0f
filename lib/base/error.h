/*
 * Errors and warnings: how a message is made and collected. The struct itself is public
 * (trimwell.h). A function fills the caller's tw_error and returns its code; problems that do
 * not stop the reading go into a tw_report, so that `check` can list them all in one run.
 */
#ifndef TW_BASE_ERROR_H
#define TW_BASE_ERROR_H

#include "base/arena.h"
#include "trimwell.h"

#define TW_PRINTF(f, a) __attribute__((format(printf, f, a)))

/* Where a thing was written, for messages. */
typedef struct tw_place {
    const char *file;
    int line, column;
    const char *pointer; /* may be NULL */
} tw_place;

/* Fill `error` (NULL allowed) and return `code`. `name` must be a string literal.
 * The message is made safe for a terminal: control characters and bytes that are not UTF-8
 * come out as \xNN; over-long text is cut at a character and ends in "...". */
tw_code tw_fail(tw_error *error, tw_code code, const char *name, const char *format, ...)
    TW_PRINTF(4, 5);
/* Add where it happened; each may be NULL or 0 and then leaves what is there. */
void tw_fail_at(tw_error *error, const char *file, int line, int column);
void tw_fail_pointer(tw_error *error, const char *pointer);
void tw_fail_hint(tw_error *error, const char *format, ...) TW_PRINTF(2, 3);
/* TW_MEMORY with the usual words; inline, so that every caller's reader and checker can see that
 * it is never TW_OK. */
void tw_say_no_memory(tw_error *error);
static inline tw_code tw_no_memory(tw_error *error) {
    tw_say_no_memory(error);
    return TW_MEMORY;
}

typedef struct tw_messages {
    tw_error *items;
    size_t count;
    size_t room;
} tw_messages;

/* Problems found while going on: errors (would stop compose) and warnings (data). Memory is the
 * arena's. More than `TW_REPORT_MOST` of a kind are counted, not kept (`dropped`). */
typedef struct tw_report {
    tw_arena *arena;
    tw_messages errors;
    tw_messages warnings;
    size_t dropped;
} tw_report;

#define TW_REPORT_MOST 10000

void tw_report_start(tw_report *report, tw_arena *arena);
/* Copy the message in; TW_MEMORY when that fails. */
TW_USE_RESULT tw_code tw_report_error(tw_report *report, const tw_error *message, tw_error *error);
TW_USE_RESULT tw_code tw_report_warning(tw_report *report, const tw_error *message,
                                        tw_error *error);

#endif
