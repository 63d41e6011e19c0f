/*
 * What the plans a person may choose from come to, over all papers of the day: least paper, fewest
 * cuts, equal prints in equal rows, and by price where work has one.
 */
#include "sheet/plan_steps.h"

#include <string.h>

/* As --plan and layout.plan name them; in the order they are shown. */
static const struct {
    tw_want want;
    tw_plan_by by;
    const char *word;
} plans[] = {
    {TW_WANT_PRICE, TW_BY_PRICE, "price"},
    {TW_WANT_PAPER, TW_BY_PAPER, "paper"},
    {TW_WANT_CUTS, TW_BY_CUTS, "cuts"},
    {TW_WANT_ROWS, TW_BY_ROWS, "rows"},
};

static bool work_has_a_price(const tw_job_data *job) {
    return job->hand_cut.minor > 0 || job->stop_change.minor > 0;
}

/* The one currency of all papers that carry prints; NULL where one has no price or another. */
static const char *one_currency(const tw_plan_data *plan) {
    const char *currency = NULL;
    for (size_t i = 0; i < plan->paper_count; i++) {
        const tw_paper *paper = &plan->job->papers[plan->papers[i].paper_index];
        if (!paper->has_price || (currency != NULL && strcmp(currency, paper->price.currency) != 0))
            return NULL;
        currency = paper->price.currency;
    }
    return currency;
}

static tw_plan_choice add_up(const tw_plan_data *plan, tw_want want, const char *currency) {
    tw_plan_choice sum = {.priced = currency != NULL};
    int64_t price = 0; /* thousandths */
    for (size_t i = 0; i < plan->paper_count; i++) {
        const tw_pay *pay = &plan->papers[i].pays[want];
        sum.length += pay->used;
        sum.sheets += pay->sheets;
        sum.hand_cuts += pay->hand_cuts;
        sum.stop_changes += pay->stop_changes;
        sum.lengths += pay->lengths;
        price += tw_pay_sum(pay);
    }
    if (currency != NULL) {
        sum.price.minor = (price + 500) / 1000;
        memcpy(sum.price.currency, currency, sizeof sum.price.currency);
    }
    return sum;
}

void tw_plan_choices(tw_plan_data *plan) {
    const tw_job_data *job = plan->job;
    const char *currency = one_currency(plan);
    bool by_price = work_has_a_price(job);
    plan->choice_count = 0;
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        if (plans[i].by == TW_BY_PRICE && !by_price)
            continue; /* the same as least paper */
        tw_plan_choice *choice = &plan->choices[plan->choice_count++];
        *choice = add_up(plan, plans[i].want, currency);
        choice->word = plans[i].word;
        choice->chosen = job->plan == plans[i].by ||
                         (!by_price && job->plan == TW_BY_PRICE && plans[i].by == TW_BY_PAPER);
    }
}
