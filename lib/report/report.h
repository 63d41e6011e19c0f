/*
 * What a plan says of itself, for programs (plan.json) and for people (the table `trimwell plan`
 * prints), and what is known of one file (inspect).
 */
#ifndef TW_REPORT_REPORT_H
#define TW_REPORT_REPORT_H

#include "base/text.h"
#include "sheet/plan.h"

/* plan.json's text, as the design fixes it. */
TW_USE_RESULT tw_code tw_plan_json(const tw_plan_data *plan, tw_buffer *out, tw_error *error);
/* Parts of the text and members of plan.json for what a job asks for beside its sheets. */
void tw_plan_more_text(const tw_plan_data *plan, tw_buffer *out);
void tw_plan_more_json(const tw_plan_data *plan, tw_buffer *out);
/* The table `trimwell plan` prints. */
TW_USE_RESULT tw_code tw_plan_text(const tw_plan_data *plan, tw_buffer *out, tw_error *error);

/* What is known of one image or ICC profile file (told apart by its first bytes): lines for
 * people into `text`, one JSON object into `json`; either may be NULL. */
TW_USE_RESULT tw_code tw_inspect_file(tw_arena *arena, const char *path, tw_buffer *text,
                                      tw_buffer *json, tw_error *error);

#endif
