/*
 * Shared by the readers of JSON files: a reader collects problems and goes on; each `take`
 * reads one key of an object, checks kind and range, and leaves *out alone when the key is
 * absent or wrong. Private to lib/job.
 */
#ifndef TW_JOB_READER_H
#define TW_JOB_READER_H

#include "base/json.h"

typedef struct tw_reader {
    tw_arena *arena;
    tw_report *report;
    size_t problems;  /* errors reported through this reader */
    tw_error first;   /* the first of them */
    const char *home; /* the job's folder, for profiles; NULL outside a job */
    tw_error stop;    /* code TW_OK, or why reading cannot go on at all */
} tw_reader;

void tw_reader_start(tw_reader *r, tw_arena *arena, tw_report *report);
/* What a single-item reader returns: why it stopped, else the first problem, else TW_OK. */
TW_USE_RESULT tw_code tw_reader_end(const tw_reader *r, tw_error *error);

/* Report a problem; one that is not the person's (memory, I/O) stops the reading instead.
 * Always false, so that a check can end in `return tw_problem(...)`. */
bool tw_problem(tw_reader *r, const tw_error *message);
void tw_notice(tw_reader *r, const tw_error *warning);
bool tw_stopped(const tw_reader *r);
/* `pointer` itself; a NULL one means no memory and stops the reading. */
void *tw_got(tw_reader *r, const void *pointer);

/* Begin the message with the key's name: "gutter": 8 has no unit. */
void tw_name_key(tw_error *e, const char *key);

/* Where a value stands, in the arena. */
tw_place tw_place_of(tw_reader *r, const tw_json_value *value);

/* An object's keys, the required ones first; `scope` is its name in messages and in the table of
 * keys that are known but not built yet. */
typedef struct tw_keys {
    const char *scope;
    const char *const *names;
    size_t count, required;
} tw_keys;

/* Reports every unknown, missing and not-yet key; false when the value is no object. */
bool tw_read_keys(tw_reader *r, const tw_json_value *value, const tw_keys *keys);
/* The same for the object under `key`; NULL when it is absent or no object. */
const tw_json_value *tw_take_object(tw_reader *r, const tw_json_value *object, const char *key,
                                    const tw_keys *keys);
/* "trimwell": 1. */
void tw_take_version(tw_reader *r, const tw_json_value *object);

/* true = present and good. Lengths must lie in low..high. */
bool tw_take_length(tw_reader *r, const tw_json_value *object, const char *key, tw_nm low,
                    tw_nm high, tw_nm *out);
/* The same for a value that is itself the length; `what` names it in messages. */
bool tw_read_length(tw_reader *r, const tw_json_value *value, const char *what, tw_nm low,
                    tw_nm high, tw_nm *out);
bool tw_take_integer(tw_reader *r, const tw_json_value *object, const char *key, int64_t low,
                     int64_t high, int64_t *out);
bool tw_take_bool(tw_reader *r, const tw_json_value *object, const char *key, bool *out);
bool tw_take_money(tw_reader *r, const tw_json_value *object, const char *key, tw_money *out);
bool tw_take_duration(tw_reader *r, const tw_json_value *object, const char *key, int64_t *out);
/* An amount of bytes, at least `low`. */
bool tw_take_bytes(tw_reader *r, const tw_json_value *object, const char *key, int64_t low,
                   int64_t *out);
bool tw_take_choice(tw_reader *r, const tw_json_value *object, const char *key,
                    const char *const *words, size_t count, size_t *out);
/* Names and short texts: 1 to TW_NAME_MOST bytes, no control characters. */
#define TW_NAME_MOST 100
bool tw_take_name(tw_reader *r, const tw_json_value *object, const char *key, const char **out);
/* The same for a value that is itself the name; `what` names it in messages. */
bool tw_read_name(tw_reader *r, const tw_json_value *value, const char *what, const char **out);
/* Paths: 1 to TW_PATH_MOST bytes, no control characters; as given, in the arena. */
#define TW_PATH_MOST 1000
bool tw_take_path(tw_reader *r, const tw_json_value *object, const char *key, const char **out);
/* The same for a value that is itself the path; `what` names it in messages. */
bool tw_read_path(tw_reader *r, const tw_json_value *value, const char *what, const char **out);

/* What is wrong with a text, as the end of a sentence, or NULL. `lines`: line ends and tabs are
 * fine. */
const char *tw_text_fault(const char *text, size_t most, bool lines);
/* YYYY-MM-DD and a day of the Gregorian calendar (ISO 8601). */
bool tw_date_valid(const char *text);
/* "12.5" exactly as an integer times 10^decimals; false for anything else, for more decimals
 * than that, or beyond `most`. */
bool tw_decimal_read(const char *text, int decimals, int64_t most, int64_t *out);
/* Is "scope.key" known but not built yet? */
bool tw_not_yet(const char *scope, const char *key);

#endif
