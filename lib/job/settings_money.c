/* Money of the job's layout: what keeps orders together, what a sheet may hold; and when a row of
 * fillers is worth its paper. */
#include <string.h>

#include "base/number.h"
#include "job/readers.h"

#define MONEY_MOST 1000000000 /* minor units */

static const tw_json_value *layout_of(const tw_json_value *root, const char *key) {
    return tw_json_get(tw_json_get(root, "layout"), key);
}

/* A share above 0 and up to 1, in millionths. */
static void take_share(tw_reader *r, const tw_json_value *layout, const char *key, int64_t *out) {
    const tw_json_value *value = tw_json_get(layout, key);
    double number = 0;
    tw_error e = {0};
    if (value == NULL)
        return;
    if (tw_json_number(value, &number, &e) == TW_OK && number > 0 && number <= 1) {
        *out = (int64_t)(number * 1000000 + 0.5);
        *out += *out == 0; /* less than half a millionth is still more than nothing */
        return;
    }
    if (e.code == TW_OK)
        tw_json_fail(value, &e, TW_INPUT, "out-of-range",
                     "\"%s\" is %s; it may be a share above 0 and up to 1, such as 0.8", key,
                     tw_double_text(number, 6, (char[TW_DOUBLE_TEXT]){0}));
    else
        tw_name_key(&e, key);
    tw_problem(r, &e);
}

/* Sums of it over a day stay far from overflow. */
static void take_money(tw_reader *r, const tw_json_value *layout, const char *key, tw_money *out) {
    tw_money money;
    tw_error e = {0};
    if (!tw_take_money(r, layout, key, &money))
        return;
    if (money.minor <= MONEY_MOST) {
        *out = money;
        return;
    }
    tw_json_fail(tw_json_get(layout, key), &e, TW_INPUT, "out-of-range",
                 "\"%s\" is over ten million; it may be money up to that", key);
    tw_problem(r, &e);
}

void tw_steer_read(tw_reader *r, const tw_json_value *layout, tw_job_data *job) {
    take_money(r, layout, "keep_together", &job->keep_together);
    take_money(r, layout, "at_risk", &job->at_risk);
    take_share(r, layout, "add_row_at", &job->add_row_at);
}

/* It is weighed against paper, so it must be the same money. */
static void check_currency(tw_reader *r, const tw_json_value *at, const char *key,
                           const tw_money *money, const tw_paper *paper) {
    tw_error e = {0};
    if (strcmp(money->currency, paper->price.currency) == 0)
        return;
    tw_json_fail(at, &e, TW_INPUT, "mixed-currency",
                 "\"%s\" is in %s and the price of paper \"%s\" in %s; one currency is allowed",
                 key, money->currency, paper->name, paper->price.currency);
    tw_problem(r, &e);
}

static void check_priced(tw_reader *r, const tw_json_value *at, const tw_paper *paper) {
    tw_error e = {0};
    tw_json_fail(at, &e, TW_OK, "no-paper-price",
                 "paper \"%s\" has no price, so \"keep_together\" cannot be weighed against it: "
                 "only what costs no paper keeps its orders together",
                 paper->name);
    tw_fail_hint(&e, "give the paper its \"price\"");
    tw_notice(r, &e);
}

static void check_rows(tw_reader *r, const tw_json_value *root, const tw_job_data *job) {
    for (size_t i = 0; job->add_row_at > 0 && i < job->paper_count; i++) {
        tw_error e = {0};
        if (job->papers[i].has_price)
            continue;
        tw_json_fail(layout_of(root, "add_row_at"), &e, TW_OK, "no-paper-price",
                     "paper \"%s\" has no price: no rows of fillers are added on it",
                     job->papers[i].name);
        tw_fail_hint(&e, "give the paper its \"price\"");
        tw_notice(r, &e);
    }
}

void tw_steer_check(tw_reader *r, const tw_json_value *root, const tw_job_data *job) {
    const tw_json_value *keep = layout_of(root, "keep_together");
    check_rows(r, root, job);
    if (keep == NULL || job->keep_together.minor == 0)
        return;
    for (size_t i = 0; i < job->paper_count; i++)
        if (job->papers[i].has_price)
            check_currency(r, keep, "keep_together", &job->keep_together, &job->papers[i]);
        else
            check_priced(r, keep, &job->papers[i]);
}
