/*
 * What is behind the public tw_job: everything of one print day, in one arena. Private to the
 * files lib/trimwell*.c, which join the layers; not installed.
 */
#ifndef TW_API_HANDLE_H
#define TW_API_HANDLE_H

#include "sheet/choose.h"

struct tw_job {
    tw_run run; /* a copy of the caller's; zeroed when there was none */
    tw_arena *arena;
    tw_report report;
    tw_job_data *data; /* NULL when reading could not go on */
    tw_prints prints;
    tw_plan_data *plan; /* NULL until laid out */
    bool checked, pixels_checked;
    int effort, plan_kind; /* as asked for; refused by the next check where there is no such one */
    tw_code failed;        /* what the one check ended with, and why */
    tw_error failure;
    const char **written;
    size_t written_count;
};

#endif
