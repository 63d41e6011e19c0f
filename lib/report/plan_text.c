/*
 * The table `trimwell plan` prints: each paper's sheets with what lies on them, then what the
 * paper comes to. For people at a terminal; other programs read plan.json.
 */
#include <string.h>

#include "report/plan_pixels.h"
#include "report/plan_words.h"
#include "report/report.h"
#include "settle/auto_intent_words.h"

#define LINE_MOST 78 /* columns */
#define NAME_COLUMN 16
#define FOOT_PARTS ((int64_t)12 * 32) /* 32nds of an inch in a foot */

/* ------------------------------------------------ words */

static size_t name_columns(const char *name) {
    size_t columns = 0, valid = tw_utf8_valid(name, strlen(name));
    for (const char *at = name, *end = name + valid; at < end; columns++)
        (void)tw_utf8_next(&at);
    return columns;
}

static void add_blanks(tw_buffer *out, size_t count) {
    while (count-- > 0)
        tw_buffer_string(out, " ");
}

void tw_plan_add_feet(tw_buffer *out, tw_nm value) {
    char inches[TW_LENGTH_TEXT], metres[TW_LENGTH_TEXT];
    int64_t parts = tw_scale(value, 32, TW_IN), rest = parts % FOOT_PARTS;
    if (parts >= FOOT_PARTS)
        tw_buffer_print(out, "%lld ft", (long long)(parts / FOOT_PARTS));
    if (rest > 0 || parts == 0)
        tw_buffer_print(out, "%s%s", parts >= FOOT_PARTS ? " " : "",
                        tw_inch_ruler(rest * (TW_IN / 32), inches));
    tw_decimal_text(tw_scale(value, 1000, TW_M), 3, true, metres, sizeof metres);
    tw_buffer_print(out, " (%s m)", metres);
}

/* To a tenth of a millimetre, without an empty decimal: "609.6", "254". */
static void add_mm(tw_buffer *out, tw_nm value) {
    char text[TW_LENGTH_TEXT];
    tw_buffer_string(out, tw_decimal_text(tw_scale(value, 10, TW_MM), 1, true, text, sizeof text));
}

static void add_size(tw_buffer *out, tw_size size) {
    char width[TW_LENGTH_TEXT], height[TW_LENGTH_TEXT];
    tw_buffer_print(out, "%s x %s (", tw_inch_ruler(size.width, width),
                    tw_inch_ruler(size.height, height));
    add_mm(out, size.width);
    tw_buffer_string(out, " x ");
    add_mm(out, size.height);
    tw_buffer_string(out, " mm)");
}

void tw_plan_add_count(tw_buffer *out, int64_t count, const char *one, const char *more) {
    tw_buffer_print(out, "%lld %s", (long long)count, count == 1 ? one : more);
}

/* ------------------------------------------------ sheets */

/* Ids one after another, wrapped under each other. */
typedef struct id_list {
    tw_buffer *out;
    size_t indent, column;
    bool first;
} id_list;

static void add_id(id_list *list, const char *id) {
    size_t columns = name_columns(id);
    if (!list->first)
        tw_buffer_string(list->out, ",");
    if (!list->first && list->column + 2 + columns > LINE_MOST) {
        tw_buffer_string(list->out, "\n");
        add_blanks(list->out, list->indent);
        list->column = list->indent;
    } else if (!list->first) {
        tw_buffer_string(list->out, " ");
        list->column += 2;
    }
    list->column += tw_buffer_name(list->out, id);
    list->first = false;
}

static bool same_way(const tw_lying *a, const tw_lying *b) {
    return a->print->format == b->print->format && a->turned == b->turned;
}

static bool said_before(const tw_plan_sheet *sheet, size_t index) {
    for (size_t i = 0; i < index; i++)
        if (same_way(&sheet->prints[i], &sheet->prints[index]))
            return true;
    return false;
}

/* Prints of one template lying one way share a line. */
static void add_prints(tw_buffer *out, const tw_plan_sheet *sheet, size_t index) {
    const tw_lying *head = &sheet->prints[index];
    id_list list = {out, 4 + NAME_COLUMN + 8, 0, true};
    add_blanks(out, 4);
    size_t used = tw_buffer_name(out, head->print->format->name);
    add_blanks(out, used < NAME_COLUMN ? NAME_COLUMN - used : 1);
    tw_buffer_string(out, head->turned ? "turned  " : "        ");
    list.column = 4 + 8 + (used < NAME_COLUMN ? NAME_COLUMN : used + 1);
    for (size_t i = index; i < sheet->print_count; i++)
        if (same_way(head, &sheet->prints[i]))
            add_id(&list, sheet->prints[i].print->id);
    tw_buffer_string(out, "\n");
}

static void add_sheet(tw_buffer *out, const tw_plan_sheet *sheet) {
    tw_buffer_print(out, "  %s  ", sheet->file);
    add_size(out, sheet->size);
    tw_buffer_string(out, ": ");
    tw_plan_add_count(out, (int64_t)sheet->print_count, "print", "prints");
    tw_buffer_string(out, ", ");
    tw_plan_add_count(out, sheet->cuts->cut_count, "hand cut", "hand cuts");
    tw_buffer_string(out, "\n");
    for (size_t i = 0; i < sheet->print_count; i++)
        if (!said_before(sheet, i))
            add_prints(out, sheet, i);
}

/* ------------------------------------------------ what it comes to */

static void add_label(tw_buffer *out, const char *label) {
    tw_buffer_print(out, "  %-*s", NAME_COLUMN - 4, label);
}

/* Of the sheets themselves, in tenths of a percent rounded half up: what the machine loses is no
 * fault of the plan and is said beside the length. Both areas fit: mm2 in millionths. */
static void add_waste(tw_buffer *out, int64_t sheets, int64_t prints) {
    int64_t waste = sheets > prints ? sheets - prints : 0; /* each sum was rounded by itself */
    int64_t tenths = waste == 0 ? 0 : tw_scale(waste, 1000, sheets);
    add_label(out, "waste");
    tw_buffer_print(out, "%lld.%lld %% of the sheets\n", (long long)(tenths / 10),
                    (long long)(tenths % 10));
}

/* The pages of one paper, end to end, without those of kept pieces; every paper for SIZE_MAX. */
static tw_nm pages_length(const tw_plan_data *plan, size_t paper_index, int64_t *area) {
    tw_nm length = 0;
    *area = 0;
    for (size_t i = 0; i < plan->sheet_count; i++) {
        const tw_plan_sheet *sheet = &plan->sheets[i];
        if (paper_index != SIZE_MAX && sheet->paper_index != paper_index)
            continue;
        length += sheet->offcut > 0 ? 0 : sheet->size.height;
        *area += tw_scale(sheet->size.width, sheet->size.height, TW_MM);
    }
    return length;
}

static void add_work(tw_buffer *out, const tw_totals *t) {
    add_label(out, "by hand");
    tw_plan_add_count(out, t->hand_cuts, "cut", "cuts");
    tw_buffer_string(out, ", ");
    tw_plan_add_count(out, t->stop_changes, "setting of the trimmer's stop",
                      "settings of the trimmer's stop");
    tw_buffer_string(out, "\n");
}

static void add_offcuts(tw_buffer *out, const tw_plan_paper *share) {
    add_label(out, "offcuts");
    tw_buffer_print(out, "%d used", share->offcuts);
    if (share->offcuts_saved > 0) {
        tw_buffer_string(out, ", which saves ");
        tw_plan_add_feet(out, share->offcuts_saved);
    }
    tw_buffer_string(out, "\n");
}

static void add_bound(tw_buffer *out, const tw_paper *paper, const tw_plan_paper *share) {
    const tw_totals *t = &share->totals;
    tw_nm bound = t->bound_length;
    add_label(out, "at least");
    if (paper->kind == TW_SHEETS) /* a sheet counts whole */
        tw_plan_add_count(out, (bound + paper->length - 1) / paper->length, "sheet", "sheets");
    else
        tw_plan_add_feet(out, bound);
    tw_buffer_string(out, share->offcuts == 0
                              ? ": no plan of these prints uses less\n"
                              : ": no plan of the prints not on offcuts uses less\n");
    if (t->bound_stages == 0)
        return;
    add_label(out, "");
    tw_buffer_string(out, "where they are cut in three stages and a trim\n");
}

/* How much of what: the one roll, or all of them. */
static void add_length_of(tw_buffer *out, const tw_paper *paper, const tw_plan_paper *share) {
    tw_nm all = paper->length;
    for (size_t i = 0; i < paper->further_count; i++)
        all += paper->further_rolls[i];
    tw_plan_add_feet(out, share->totals.length);
    tw_buffer_string(out, " of ");
    tw_plan_add_feet(out, all);
    if (share->roll_count == 0)
        tw_buffer_string(out, " on the roll\n");
    else
        tw_buffer_print(out, " on %zu rolls\n", share->roll_count);
}

/* What the next day can write into the paper's file. */
static void add_rests(tw_buffer *out, const tw_paper *paper, const tw_plan_paper *share) {
    for (size_t i = 0; i < share->roll_count; i++) {
        add_label(out, i == 0 ? "left after" : "");
        tw_buffer_print(out, "roll %d: ", share->rolls[i].number);
        tw_plan_add_feet(out, share->rolls[i].rest);
        tw_buffer_string(out, share->rolls[i].sheets == 0 ? ", not loaded\n"
                              : paper->lost_core_end > 0  ? " with its core's end\n"
                                                          : "\n");
    }
}

static void add_used(tw_buffer *out, const tw_paper *paper, const tw_plan_paper *share,
                     tw_nm pages) {
    const tw_totals *t = &share->totals;
    add_label(out, "paper used");
    if (paper->kind == TW_SHEETS)
        tw_buffer_print(out, "%d of %lld sheets\n", t->sheets - share->offcuts,
                        (long long)paper->count);
    else
        add_length_of(out, paper, share);
    if (t->length > pages) {
        add_label(out, "");
        tw_plan_add_feet(out, t->length - pages);
        tw_buffer_string(out, " of it outside the sheets: loading, the core's end\n");
    }
    if (share->offcuts > 0)
        add_offcuts(out, share);
    add_bound(out, paper, share);
}

/* "offcut 1, kept from an earlier day:" above its sheet. */
static void add_offcut_head(tw_buffer *out, int number) {
    tw_buffer_print(out, "  offcut %d, fed singly:\n", number);
}

/* "roll 2 of 3, 31 ft (9.449 m) left:" above the sheets it takes. */
static void add_roll_head(tw_buffer *out, const tw_plan_paper *share, int number) {
    tw_buffer_print(out, "  roll %d of %zu, ", number, share->roll_count);
    tw_plan_add_feet(out, share->rolls[number - 1].length);
    tw_buffer_string(out, " left:\n");
}

static void add_sheets(tw_buffer *out, const tw_plan_data *plan, const tw_plan_paper *share) {
    int roll = 0;
    for (size_t i = 0; i < plan->sheet_count; i++) {
        const tw_plan_sheet *sheet = &plan->sheets[i];
        if (sheet->paper_index != share->paper_index)
            continue;
        if (sheet->offcut > 0)
            add_offcut_head(out, sheet->offcut);
        else if (sheet->roll != roll)
            add_roll_head(out, share, sheet->roll);
        roll = sheet->roll;
        add_sheet(out, sheet);
    }
}

static void add_paper(tw_buffer *out, const tw_plan_data *plan, const tw_plan_paper *share) {
    const tw_paper *paper = &plan->job->papers[share->paper_index];
    char width[TW_LENGTH_TEXT];
    tw_buffer_name(out, paper->name);
    if (paper->kind == TW_ROLL)
        tw_buffer_print(out, ": roll, %s wide\n", tw_length_both(paper->width, width));
    else {
        tw_buffer_string(out, ": sheets of ");
        add_size(out, (tw_size){paper->width, paper->length});
        tw_buffer_string(out, "\n");
    }
    add_sheets(out, plan, share);
    int64_t area;
    tw_nm pages = pages_length(plan, share->paper_index, &area);
    add_used(out, paper, share, pages);
    add_rests(out, paper, share);
    if (share->strip_cost > 0) {
        add_label(out, "mark strips");
        tw_plan_add_feet(out, share->strip_cost);
        tw_buffer_string(out, " of it\n");
    }
    add_waste(out, area, share->totals.print_area);
    add_work(out, &share->totals);
    tw_buffer_string(out, "\n");
}

static void add_day(tw_buffer *out, const tw_plan_data *plan) {
    const tw_totals *t = &plan->totals;
    int64_t area;
    tw_buffer_string(out, "all papers\n");
    add_label(out, "paper used");
    tw_plan_add_feet(out, t->length);
    tw_buffer_string(out, " on ");
    tw_plan_add_count(out, t->sheets, "sheet\n", "sheets\n");
    (void)pages_length(plan, SIZE_MAX, &area);
    add_waste(out, area, t->print_area);
    add_work(out, t);
    tw_buffer_string(out, "\n");
}

static void add_unplaced(tw_buffer *out, const tw_plan_data *plan) {
    id_list list = {out, 2, 2, true};
    tw_buffer_string(out, "not placed, the paper is used up:\n  ");
    for (size_t i = 0; i < plan->unplaced_count; i++)
        add_id(&list, plan->unplaced[i].print->id);
    tw_buffer_string(out, "\n\n");
}

static void add_head(tw_buffer *out, const tw_plan_data *plan) {
    if (plan->job->name != NULL) {
        tw_buffer_name(out, plan->job->name);
        tw_buffer_string(out, ": ");
    }
    size_t laid = plan->prints->count - plan->unplaced_count - plan->fillers_left;
    tw_plan_add_count(out, (int64_t)laid, "print", "prints");
    tw_buffer_string(out, " on ");
    tw_plan_add_count(out, (int64_t)plan->sheet_count, "sheet", "sheets");
    if (plan->fillers_laid > 0)
        tw_buffer_print(out, ", %zu of them %s", plan->fillers_laid,
                        plan->fillers_laid == 1 ? "a filler" : "fillers");
    tw_buffer_string(out, "\n\n");
}

tw_code tw_plan_text(const tw_plan_data *plan, tw_buffer *out, tw_error *error) {
    add_head(out, plan);
    if (plan->choice != NULL)
        tw_plan_choice_text(out, plan->choice);
    for (size_t i = 0; i < plan->paper_count; i++)
        add_paper(out, plan, &plan->papers[i]);
    if (plan->paper_count > 1)
        add_day(out, plan);
    tw_plan_trade_text(out, plan);
    tw_plan_more_text(plan, out);
    tw_plan_pixels_text(plan, out);
    if (plan->unplaced_count > 0)
        add_unplaced(out, plan);
    tw_plan_keep_text(out, plan);
    return tw_auto_text(plan->job, plan->prints, out, error);
}
