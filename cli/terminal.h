/* The terminal and the process around a run: messages, progress, Ctrl-C, standard output. */
#ifndef CLI_TERMINAL_H
#define CLI_TERMINAL_H

#include "trimwell.h"

/* A broken pipe or a file-size limit is a write error and not a death; Ctrl-C raises a flag. */
void terminal_prepare(void);

/* "trimwell: FILE:LINE: message (hint)" and "trimwell: warning: ..." on standard error. */
void say_error(const tw_error *message);
void say_warning(const tw_error *message);

/* All of `text`, flushed and checked: TW_IO when standard output does not take it. */
TW_USE_RESULT tw_code put_result(const char *text, tw_error *error);

/* A bar on standard error while it is a terminal; nothing at all otherwise. */
typedef struct progress {
    bool shown;   /* there is a bar to erase */
    bool allowed; /* a terminal, and not --quiet */
    int percent;
    char doing[56];
} progress;

void progress_prepare(progress *bar, bool quiet);
/* These two are a tw_run's functions; `context` is the progress. */
void progress_step(void *context, const char *doing, uint64_t done, uint64_t total);
bool progress_cancelled(void *context);
void progress_end(progress *bar);

#endif
