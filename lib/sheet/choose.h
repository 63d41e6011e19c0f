/*
 * The papers of order lines that name none: every way to share them among the papers to choose
 * from (layout.choose) is laid out, and the cheapest for this day is taken.
 */
#ifndef TW_SHEET_CHOOSE_H
#define TW_SHEET_CHOOSE_H

#include "sheet/plan.h"

/* One way to share them. What it takes counts all of the day's prints on these papers. */
typedef struct tw_alternative {
    size_t *prints;  /* without a paper of their own, on each of job->choose */
    tw_nm length;    /* with lost paper; cut sheets count as their length */
    int64_t area;    /* likewise: square millimetres in millionths */
    int64_t price;   /* minor units; only where the choice is by price */
    size_t unplaced; /* prints these papers do not hold */
} tw_alternative;

typedef struct tw_chosen {
    const tw_job_data *job;
    tw_alternative *items; /* all on one paper first, in the order of job->choose */
    size_t count, chosen;
    bool by_price; /* else by area: a paper has no price, or their currencies differ */
} tw_chosen;

/* Gives every line of TW_PAPER_ANY its paper: all on one that takes everything, or on one what it
 * takes and the rest on another. The fewest early prints left out decide, then the price (the
 * area), then the order given. A line that no paper takes gets the widest, whose refusal says
 * most. *out is NULL where no line asks, or where the job's errors forbid a layout. Everything in
 * the arena. */
TW_USE_RESULT tw_code tw_choose_papers(tw_arena *arena, tw_job_data *job, const tw_facts *facts,
                                       const tw_run *run, const tw_report *report, tw_chosen **out,
                                       tw_error *error);
/* What was chosen is said as the plan came out, which more effort may have made better. */
void tw_chosen_settle(tw_chosen *choice, const tw_plan_data *plan);

#endif
