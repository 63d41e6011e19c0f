/*
 * The plans a person may choose from, in the text of `trimwell plan`: a table, and what the chosen
 * one gives for what against the one of least paper.
 */
#include "report/plan_words.h"

#include <string.h>

static const tw_plan_choice *find(const tw_plan_data *plan, const char *word) {
    for (size_t i = 0; i < plan->choice_count; i++)
        if (word == NULL ? plan->choices[i].chosen : strcmp(plan->choices[i].word, word) == 0)
            return &plan->choices[i];
    return NULL;
}

/* Cut sheets are counted; rolls are measured. */
static bool all_cut_sheets(const tw_plan_data *plan) {
    for (size_t i = 0; i < plan->paper_count; i++)
        if (plan->job->papers[plan->papers[i].paper_index].kind == TW_ROLL)
            return false;
    return true;
}

static void add_row(tw_buffer *out, const tw_plan_choice *choice, bool sheets) {
    char price[TW_LENGTH_TEXT];
    size_t start = out->length;
    tw_buffer_print(out, "  %c %-7s", choice->chosen ? '*' : ' ', choice->word);
    if (sheets)
        tw_plan_add_count(out, choice->sheets, "sheet", "sheets");
    else
        tw_plan_add_feet(out, choice->length);
    while (!out->failed && out->length - start < 39)
        tw_buffer_string(out, " ");
    tw_buffer_print(out, "%13s%6lld%7lld%10d\n",
                    choice->priced ? tw_money_text(choice->price, price) : "-",
                    (long long)choice->hand_cuts, (long long)choice->stop_changes, choice->lengths);
}

/* "4 hand cuts fewer and 1 setting of the stop more". */
static void add_difference(tw_buffer *out, int64_t less, const char *one, const char *more) {
    tw_plan_add_count(out, less < 0 ? -less : less, one, more);
    tw_buffer_string(out, less < 0 ? " more" : " fewer");
}

static void add_trade(tw_buffer *out, const tw_plan_choice *least, const tw_plan_choice *chosen,
                      bool sheets) {
    int64_t cuts = least->hand_cuts - chosen->hand_cuts;
    int64_t stops = least->stop_changes - chosen->stop_changes;
    tw_buffer_string(out, "    against least paper: ");
    if (cuts != 0 || stops == 0)
        add_difference(out, cuts, "hand cut", "hand cuts");
    else
        add_difference(out, stops, "setting of the stop", "settings of the stop");
    tw_buffer_string(out, " for ");
    if (sheets)
        tw_plan_add_count(out, chosen->sheets - least->sheets, "sheet", "sheets");
    else
        tw_plan_add_feet(out, chosen->length - least->length);
    tw_buffer_string(out, " more paper\n");
}

static bool all_the_same(const tw_plan_data *plan) {
    const tw_plan_choice *first = &plan->choices[0];
    for (size_t i = 1; i < plan->choice_count; i++) {
        const tw_plan_choice *other = &plan->choices[i];
        if (other->length != first->length || other->hand_cuts != first->hand_cuts ||
            other->stop_changes != first->stop_changes || other->lengths != first->lengths)
            return false;
    }
    return true;
}

static void add_table(tw_buffer *out, const tw_plan_data *plan, bool sheets) {
    tw_buffer_string(out, "plans to choose from\n");
    tw_buffer_print(out, "    %-35s%13s%6s%7s%10s\n", "plan   paper used", "price", "cuts", "stops",
                    "lengths");
    for (size_t i = 0; i < plan->choice_count; i++)
        add_row(out, &plan->choices[i], sheets);
}

void tw_plan_trade_text(tw_buffer *out, const tw_plan_data *plan) {
    const tw_plan_choice *least = find(plan, "paper"), *chosen = find(plan, NULL);
    bool sheets = all_cut_sheets(plan);
    if (least == NULL || chosen == NULL || plan->paper_count == 0)
        return;
    if (all_the_same(plan)) {
        tw_buffer_string(out, "least paper, fewest cuts and equal rows come to the same plan\n\n");
        return;
    }
    add_table(out, plan, sheets);
    if (chosen->length > least->length)
        add_trade(out, least, chosen, sheets);
    tw_buffer_string(out, "\n");
}
