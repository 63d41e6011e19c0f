/* What each command does: from a request to an outcome; main.c tells the outcome. */
#ifndef CLI_COMMANDS_H
#define CLI_COMMANDS_H

#include "options.h"

enum { OWN_ERRORS_MOST = 64 };

typedef struct outcome {
    const tw_run *run;
    tw_job *job;
    char *text;                       /* the result for people: malloc'ed, or NULL */
    char *files;                      /* inspect: the JSON list; malloc'ed, or NULL */
    char *pdf;                        /* check --pdf: its JSON; malloc'ed, or NULL */
    bool listed;                      /* `text` already holds the job's messages */
    bool text_in_json;                /* the document carries the text too */
    bool written;                     /* compose wrote */
    tw_error errors[OWN_ERRORS_MOST]; /* what ended the run, first first */
    size_t error_count;
} outcome;

/* Runs the command and fills `out`, whose run is set. */
void run_command(const request *in, outcome *out);
void outcome_free(outcome *out);

#endif
