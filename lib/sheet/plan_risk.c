/*
 * What a sheet is worth: a jam, a cut through a print or a scratch takes all of it. Sheets with
 * more print value than layout.at_risk are warned of.
 */
#include <stdio.h>
#include <string.h>

#include "sheet/plan_steps.h"

/* A price as the order line writes it: "129.00 EUR", or a bare "129.00" in the limit's currency.
 * False where it is no money of that currency. */
static bool value_of(const char *price, const char *currency, int64_t *out) {
    tw_money money;
    char text[128];
    if (tw_money_read(price, &money, NULL) != TW_OK) {
        int length = snprintf(text, sizeof text, "%s %s", price, currency);
        if (length < 0 || (size_t)length >= sizeof text ||
            tw_money_read(text, &money, NULL) != TW_OK)
            return false;
    }
    *out = money.minor;
    return strcmp(money.currency, currency) == 0;
}

typedef struct worth {
    int64_t sum;
    size_t uncounted; /* prints whose price is no such money */
    const tw_print *uncounted_first;
} worth;

static void add_sheet(const tw_plan_sheet *sheet, const char *currency, worth *w) {
    w->sum = 0;
    for (size_t i = 0; i < sheet->print_count; i++) {
        const tw_print *print = sheet->prints[i].print;
        int64_t value = 0;
        if (print->filler || print->line->price == NULL)
            continue;
        if (!value_of(print->line->price, currency, &value)) {
            w->uncounted_first = w->uncounted == 0 ? print : w->uncounted_first;
            w->uncounted++;
        } else {
            w->sum = value > INT64_MAX - w->sum ? INT64_MAX : w->sum + value;
        }
    }
}

static tw_code warn_sheet(const tw_plan_data *plan, const tw_plan_sheet *sheet, int64_t sum,
                          tw_report *report, tw_error *error) {
    const tw_money *limit = &plan->job->at_risk;
    tw_money value = *limit;
    char is[TW_LENGTH_TEXT], most[TW_LENGTH_TEXT];
    tw_error message = {.code = TW_OK};
    value.minor = sum;
    tw_fail(&message, TW_OK, "sheet-at-risk",
            "sheet %d of paper \"%s\" holds prints worth %s; at most %s shall be at risk on one "
            "sheet",
            sheet->number, plan->job->papers[sheet->paper_index].name, tw_money_text(value, is),
            tw_money_text(*limit, most));
    tw_fail_hint(&message, "pin some of them to another sheet, or give the paper a shorter "
                           "\"longest_sheet\"");
    tw_fail_at(&message, plan->job->file, 0, 0);
    tw_fail_pointer(&message, "/layout/at_risk");
    return tw_report_warning(report, &message, error);
}

static tw_code warn_uncounted(const tw_plan_data *plan, const worth *w, tw_report *report,
                              tw_error *error) {
    const tw_print *first = w->uncounted_first;
    tw_error message = {.code = TW_OK};
    tw_fail(&message, TW_OK, "value-not-counted",
            "the price of %zu print%s is not money in %s and is not counted for \"at_risk\"; the "
            "first is %s, \"%s\"",
            w->uncounted, w->uncounted == 1 ? "" : "s", plan->job->at_risk.currency, first->id,
            first->line->price);
    tw_fail_at(&message, first->line->place.file, first->line->place.line, 0);
    return tw_report_warning(report, &message, error);
}

tw_code tw_plan_weigh_risk(const tw_plan_data *plan, tw_report *report, tw_error *error) {
    const tw_money *limit = &plan->job->at_risk;
    worth w = {0};
    tw_code code = TW_OK;
    if (limit->currency[0] == '\0')
        return TW_OK; /* not asked for */
    for (size_t i = 0; code == TW_OK && i < plan->sheet_count; i++) {
        add_sheet(&plan->sheets[i], limit->currency, &w);
        if (w.sum > limit->minor)
            code = warn_sheet(plan, &plan->sheets[i], w.sum, report, error);
    }
    return code == TW_OK && w.uncounted > 0 ? warn_uncounted(plan, &w, report, error) : code;
}
