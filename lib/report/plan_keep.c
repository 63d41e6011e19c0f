/*
 * Offcuts worth keeping, for the plan's table as lines a paper's file can take, and for plan.json.
 */
#include "report/plan_words.h"

#define EIGHTH (TW_IN / 8)

/* Rounded down, so that what is recorded is there: to 1/8 in, or to 1 mm where the paper's own
 * width is no whole 1/8 in. */
static void add_length(tw_buffer *out, tw_nm value, bool inches) {
    char text[TW_LENGTH_TEXT];
    if (inches) {
        tw_nm eighths = value / EIGHTH, part = eighths % 8;
        tw_nm down = part % 4 == 0 ? 4 : part % 2 == 0 ? 2 : 1; /* 4/8 is 1/2, 2/8 is 1/4 */
        tw_buffer_print(out, "\"%lld", (long long)(eighths / 8));
        if (part > 0)
            tw_buffer_print(out, " %lld/%lld", (long long)(part / down), (long long)(8 / down));
        tw_buffer_string(out, "in\"");
    } else {
        tw_buffer_print(out, "\"%smm\"", tw_mm_exact(value / TW_MM * TW_MM, text));
    }
}

void tw_plan_keep_text(tw_buffer *out, const tw_plan_data *plan) {
    if (plan->keep_count == 0)
        return;
    tw_buffer_string(out,
                     "worth keeping, marks trimmed off, as \"offcuts\" of a paper lists them:\n");
    for (size_t i = 0; i < plan->keep_count; i++) {
        const tw_keep *keep = &plan->keeps[i];
        const tw_plan_sheet *sheet = &plan->sheets[keep->sheet];
        const tw_paper *paper = &plan->job->papers[sheet->paper_index];
        bool inches = paper->width % EIGHTH == 0;
        tw_buffer_string(out, "  {\"width\": ");
        add_length(out, keep->rect.width, inches);
        tw_buffer_string(out, ", \"length\": ");
        add_length(out, keep->rect.height, inches);
        tw_buffer_print(out, "}  of sheet %d, %s: ", sheet->number, keep->piece);
        (void)tw_buffer_name(out, paper->name);
        tw_buffer_string(out, "\n");
    }
    tw_buffer_string(out, "\n");
}

void tw_plan_keep_json(tw_buffer *out, const tw_plan_data *plan) {
    tw_buffer_string(out, "  \"worth_keeping\": [");
    for (size_t i = 0; i < plan->keep_count; i++) {
        const tw_keep *keep = &plan->keeps[i];
        const tw_plan_sheet *sheet = &plan->sheets[keep->sheet];
        char text[4][TW_LENGTH_TEXT];
        tw_buffer_print(out, "%s\n    {\"paper\": ", i == 0 ? "" : ",");
        tw_buffer_json_string(out, plan->job->papers[sheet->paper_index].name);
        tw_buffer_print(out, ", \"sheet\": %d, \"piece\": ", sheet->number);
        tw_buffer_json_string(out, keep->piece);
        tw_buffer_print(out, ", \"x\": %s, \"y\": %s, \"width\": %s, \"height\": %s}",
                        tw_mm_exact(keep->rect.x, text[0]), tw_mm_exact(keep->rect.y, text[1]),
                        tw_mm_exact(keep->rect.width, text[2]),
                        tw_mm_exact(keep->rect.height, text[3]));
    }
    tw_buffer_string(out, "],\n");
}
