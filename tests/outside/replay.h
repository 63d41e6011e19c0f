/*
 * A trimmer at work: plan.json's cuts made one after the other on a piece of paper, with nothing
 * known but plan.json. Shares no code with the library. Lengths in whole nanometres.
 */
#ifndef OUTSIDE_REPLAY_H
#define OUTSIDE_REPLAY_H

#include "outside.h"

/* What the day allows, typed by the test and not taken from the plan. */
typedef struct paper_rules {
    int64_t side, lead, tail; /* where no ink may be */
    int64_t gutter;
    int64_t narrowest; /* the thinnest strip that may be cut off */
} paper_rules;

/* Makes every cut of a sheet. Each takes a piece that is in hand, runs through all of it and parts
 * it; in the end the pieces are exactly the sheet's prints, where the plan says they lie, and
 * waste. Ink keeps the margins, prints their distance, and no strip is too thin. */
void replay_sheet(const cJSON *sheet, const paper_rules *rules);

/* All sheets; and the totals of cuts and of changes of the stop as counted here. */
void replay_plan(const cJSON *plan, const paper_rules *rules);

/* How many prints of an order line lie on the plan's sheets. */
int prints_of(const cJSON *plan, const char *order, const char *image, const char *format);
int prints_in_all(const cJSON *plan);

#endif
