/*
 * Words the files that print the plan's table share (plan_text.c, plan_choice.c, plan_trade.c).
 */
#ifndef TW_REPORT_PLAN_WORDS_H
#define TW_REPORT_PLAN_WORDS_H

#include "base/number.h"
#include "base/text.h"
#include "sheet/choose.h"

/* "5 ft 3 1/4 in (1.607 m)": to a 32nd of an inch and a millimetre. */
void tw_plan_add_feet(tw_buffer *out, tw_nm value);
/* "1 sheet", "3 sheets". */
void tw_plan_add_count(tw_buffer *out, int64_t count, const char *one, const char *more);

/* Offcuts worth keeping; in plan.json with the comma behind it. */
void tw_plan_keep_text(tw_buffer *out, const tw_plan_data *plan);
void tw_plan_keep_json(tw_buffer *out, const tw_plan_data *plan);
/* What was chosen for lines that name no paper, and what each way takes. */
void tw_plan_choice_text(tw_buffer *out, const struct tw_chosen *choice);
/* The same as a member of plan.json, with the comma behind it. */
void tw_plan_choice_json(tw_buffer *out, const struct tw_chosen *choice);
/* The plans to choose from, beside each other. */
void tw_plan_trade_text(tw_buffer *out, const tw_plan_data *plan);

#endif
