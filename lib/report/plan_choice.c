/*
 * Which paper was chosen for the lines that name none, and what each way to share them takes: for
 * the plan's table and for plan.json.
 */
#include "report/plan_words.h"
#include "sheet/choose.h"

/* "all on satin-44in", "12 prints on satin-24in and 3 on satin-44in". */
static void add_way(tw_buffer *out, const tw_chosen *choice, const tw_alternative *way) {
    const tw_job_data *job = choice->job;
    size_t used = 0, said = 0;
    for (size_t i = 0; i < job->choose_count; i++)
        used += way->prints[i] > 0;
    for (size_t i = 0; i < job->choose_count; i++) {
        if (way->prints[i] == 0)
            continue;
        if (used == 1)
            tw_buffer_string(out, "all on ");
        else
            tw_buffer_print(out, "%s%zu%s on ", said == 0 ? "" : " and ", way->prints[i],
                            said > 0              ? ""
                            : way->prints[i] == 1 ? " print"
                                                  : " prints");
        (void)tw_buffer_name(out, job->papers[job->choose[i]].name);
        said++;
    }
}

static void add_cost(tw_buffer *out, const tw_chosen *choice, const tw_alternative *way) {
    char text[TW_LENGTH_TEXT];
    if (choice->by_price) {
        tw_money money = choice->job->papers[choice->job->choose[0]].price;
        money.minor = way->price;
        tw_buffer_print(out, "%s, ", tw_money_text(money, text));
    } else { /* mm2 in millionths to m2 in thousandths */
        tw_decimal_text(tw_scale(way->area, 1, 1000000000), 3, true, text, sizeof text);
        tw_buffer_print(out, "%s m2, ", text);
    }
    tw_plan_add_feet(out, way->length);
    if (way->unplaced > 0)
        tw_buffer_print(out, ", %zu not placed", way->unplaced);
}

void tw_plan_choice_text(tw_buffer *out, const tw_chosen *choice) {
    tw_buffer_string(out, choice->by_price
                              ? "paper for the lines that name none, by price:\n"
                              : "paper for the lines that name none, by area, as not every price "
                                "is known:\n");
    for (size_t i = 0; i < choice->count; i++) {
        tw_buffer_string(out, "  ");
        add_way(out, choice, &choice->items[i]);
        tw_buffer_string(out, ": ");
        add_cost(out, choice, &choice->items[i]);
        tw_buffer_string(out, i == choice->chosen ? " (chosen)\n" : "\n");
    }
    tw_buffer_string(out, "\n");
}

/* ------------------------------------------------ plan.json */

static void one_way(tw_buffer *out, const tw_chosen *choice, const tw_alternative *way) {
    const tw_job_data *job = choice->job;
    char text[TW_LENGTH_TEXT];
    bool first = true;
    tw_buffer_string(out, "{\"prints\": {");
    for (size_t i = 0; i < job->choose_count; i++) {
        if (way->prints[i] == 0)
            continue;
        tw_buffer_string(out, first ? "" : ", ");
        tw_buffer_json_string(out, job->papers[job->choose[i]].name);
        tw_buffer_print(out, ": %zu", way->prints[i]);
        first = false;
    }
    tw_buffer_print(out, "}, \"length\": %s", tw_mm_exact(way->length, text));
    tw_buffer_print(out, ", \"paper_area\": %s", tw_mm_exact(way->area, text));
    if (choice->by_price) {
        tw_money money = job->papers[job->choose[0]].price;
        money.minor = way->price;
        tw_buffer_print(out, ", \"price\": \"%s\"", tw_money_text(money, text));
    }
    tw_buffer_print(out, ", \"unplaced\": %zu}", way->unplaced);
}

void tw_plan_choice_json(tw_buffer *out, const tw_chosen *choice) {
    tw_buffer_print(out, "  \"choice\": {\"by\": \"%s\", \"chosen\": %zu, \"ways\": [",
                    choice->by_price ? "price" : "area", choice->chosen);
    for (size_t i = 0; i < choice->count; i++) {
        tw_buffer_string(out, i == 0 ? "\n    " : ",\n    ");
        one_way(out, choice, &choice->items[i]);
    }
    tw_buffer_string(out, "]},\n");
}
