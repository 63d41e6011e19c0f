/*
 * What the plan says beside its sheets: what is free today and what would pay, and orders that
 * could not be kept together. Parts of the text and members of plan.json.
 */
#include "report/plan_words.h"
#include "report/report.h"

/* ------------------------------------------------ split orders */

static void add_sheets(tw_buffer *out, const tw_split *split) {
    for (int i = 0; i < split->sheet_count; i++)
        tw_buffer_print(out, "%s%d", i == 0 ? "" : ", ", split->sheets[i]);
}

static void split_text(const tw_plan_data *plan, tw_buffer *out) {
    if (plan->splits == NULL)
        return;
    tw_buffer_print(out, "orders kept on one sheet: %zu of %zu\n", plan->orders_kept,
                    plan->orders_kept + plan->split_count);
    for (size_t i = 0; i < plan->split_count; i++) {
        const tw_split *split = &plan->splits[i];
        tw_buffer_string(out, "  ");
        tw_buffer_name(out, split->order);
        tw_buffer_string(out, " lies on sheets ");
        add_sheets(out, split);
        tw_buffer_string(out, "\n");
    }
    tw_buffer_string(out, "\n");
}

static void split_json(const tw_plan_data *plan, tw_buffer *out) {
    if (plan->splits == NULL)
        return;
    tw_buffer_string(out, "  \"split_orders\": [");
    for (size_t i = 0; i < plan->split_count; i++) {
        const tw_split *split = &plan->splits[i];
        tw_buffer_string(out, i == 0 ? "\n    {\"order\": " : ",\n    {\"order\": ");
        tw_buffer_json_string(out, split->order);
        tw_buffer_string(out, ", \"paper\": ");
        tw_buffer_json_string(out, plan->job->papers[split->paper_index].name);
        tw_buffer_string(out, ", \"sheets\": [");
        add_sheets(out, split);
        tw_buffer_string(out, "]}");
    }
    tw_buffer_string(out, "],\n");
}

/* ------------------------------------------------ free places */

static void add_number(tw_buffer *out, size_t number) {
    static const char *const words[] = {"no",    "one",   "two",  "three", "four",   "five",  "six",
                                        "seven", "eight", "nine", "ten",   "eleven", "twelve"};
    if (number < sizeof words / sizeof *words)
        tw_buffer_string(out, words[number]);
    else
        tw_buffer_print(out, "%zu", number);
}

static void add_money(tw_buffer *out, const tw_plan_data *plan, const tw_plan_paper *paper,
                      int64_t thousandths) {
    tw_money money = plan->job->papers[paper->paper_index].price;
    char text[TW_LENGTH_TEXT];
    money.minor = (thousandths + 500) / 1000; /* half up */
    tw_buffer_string(out, tw_money_text(money, text));
}

static void free_text(const tw_plan_data *plan, const tw_plan_paper *paper, tw_buffer *out) {
    const char *between = " ";
    bool cut_short = false;
    for (size_t i = 0; i < plan->job->template_count; i++)
        cut_short = cut_short || paper->free[i].cut_short;
    tw_buffer_string(out, cut_short ? "free today, or more, on " : "free today on ");
    tw_buffer_name(out, plan->job->papers[paper->paper_index].name);
    tw_buffer_string(out, ":");
    for (size_t i = 0; i < plan->job->template_count; i++) {
        if (paper->free[i].places == 0)
            continue;
        tw_buffer_string(out, between);
        add_number(out, paper->free[i].places);
        tw_buffer_string(out, paper->free[i].places > 12 ? " of " : " "); /* "13 of 4x6" */
        tw_buffer_name(out, plan->job->templates[i].name);
        between = ", ";
    }
    tw_buffer_string(out, between[0] == ' ' ? " nothing\n" : "\n");
}

/* What is under half of the smallest coin is not worth a line. */
static bool pays(const tw_free *f) {
    return f->more > 0 && f->saves >= 500;
}

static void pay_text(const tw_plan_data *plan, const tw_plan_paper *paper, tw_buffer *out) {
    for (size_t i = 0; i < plan->job->template_count; i++) {
        const tw_free *f = &paper->free[i];
        if (!pays(f))
            continue;
        tw_buffer_string(out, "  ");
        add_number(out, f->more);
        tw_buffer_string(out, " more ");
        tw_buffer_name(out, plan->job->templates[i].name);
        tw_buffer_string(out, f->more == 1 ? " saves " : " save ");
        add_money(out, plan, paper, f->saves);
        tw_buffer_print(out, " of paper on each of the %zu in a row\n", f->had + f->more);
    }
}

static void free_json(const tw_plan_data *plan, tw_buffer *out) {
    const char *between = "";
    tw_buffer_string(out, "  \"free\": [");
    for (size_t p = 0; p < plan->paper_count; p++)
        for (size_t i = 0; plan->papers[p].free != NULL && i < plan->job->template_count; i++) {
            const tw_free *f = &plan->papers[p].free[i];
            if (f->places == 0)
                continue;
            tw_buffer_print(out, "%s\n    {\"paper\": ", between);
            tw_buffer_json_string(out, plan->job->papers[plan->papers[p].paper_index].name);
            tw_buffer_string(out, ", \"template\": ");
            tw_buffer_json_string(out, plan->job->templates[i].name);
            tw_buffer_print(out, ", \"count\": %zu}", f->places);
            between = ",";
        }
    tw_buffer_string(out, "],\n");
}

static void pay_json(const tw_plan_data *plan, tw_buffer *out) {
    const char *between = "";
    tw_buffer_string(out, "  \"would_pay\": [");
    for (size_t p = 0; p < plan->paper_count; p++)
        for (size_t i = 0; plan->papers[p].free != NULL && i < plan->job->template_count; i++) {
            const tw_free *f = &plan->papers[p].free[i];
            if (!pays(f))
                continue;
            tw_buffer_print(out, "%s\n    {\"paper\": ", between);
            tw_buffer_json_string(out, plan->job->papers[plan->papers[p].paper_index].name);
            tw_buffer_string(out, ", \"template\": ");
            tw_buffer_json_string(out, plan->job->templates[i].name);
            tw_buffer_print(out, ", \"more\": %zu, \"had\": %zu, \"saves_each\": \"", f->more,
                            f->had);
            add_money(out, plan, &plan->papers[p], f->saves);
            tw_buffer_string(out, "\"}");
            between = ",";
        }
    tw_buffer_string(out, "],\n");
}

void tw_plan_more_text(const tw_plan_data *plan, tw_buffer *out) {
    for (size_t i = 0; i < plan->paper_count; i++) {
        if (plan->papers[i].free == NULL)
            continue;
        free_text(plan, &plan->papers[i], out);
        pay_text(plan, &plan->papers[i], out);
        tw_buffer_string(out, "\n");
    }
    split_text(plan, out);
}

void tw_plan_more_json(const tw_plan_data *plan, tw_buffer *out) {
    free_json(plan, out);
    pay_json(plan, out);
    split_json(plan, out);
}
