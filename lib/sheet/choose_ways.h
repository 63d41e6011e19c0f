/*
 * What choose.c and choose_measure.c share; nobody else includes it.
 */
#ifndef TW_SHEET_CHOOSE_WAYS_H
#define TW_SHEET_CHOOSE_WAYS_H

#include "sheet/choose.h"
#include "sheet/plan_steps.h"

/* A line that names no paper. */
typedef struct tw_any_line {
    tw_order *line;
    bool filler;
    unsigned fits; /* a bit for each of job->choose that takes it */
} tw_any_line;

/* On `paper` what it takes, on `other` the rest; both the same: all on it. Places in choose. */
typedef struct tw_sharing {
    size_t paper, other;
} tw_sharing;

typedef struct tw_chooser {
    tw_arena *arena;
    tw_job_data *job;
    const tw_facts *facts;
    const tw_run *run;
    tw_any_line *lines;
    size_t line_count;
    size_t
        *of_line; /* a job's line (orders, fillers): its place in `lines` + 1; 0 = it has a paper */
    tw_sharing *ways;
    size_t way_count;
} tw_chooser;

/* Gives the lines their papers this way; adds up their prints by place in choose (NULL: not). */
void tw_choose_share(const tw_chooser *chooser, tw_sharing way, size_t *prints);
/* Lays out every way, and says what each takes and which is best. */
TW_USE_RESULT tw_code tw_choose_measure(tw_chooser *chooser, tw_chosen *out, tw_error *error);

#endif
