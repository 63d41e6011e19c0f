/*
 * plan.json: the plan for other programs, millimetres with up to six decimals, which is every
 * nanometre. The same plan gives the same bytes: keys in a fixed order, no clock, no locale.
 */
#include "report/plan_pixels.h"
#include "report/plan_words.h"
#include "report/report.h"

/* ------------------------------------------------ members */

static void member(tw_buffer *out, const char *key, const char *text) {
    tw_buffer_print(out, "\"%s\": %s", key, text);
}

static void length(tw_buffer *out, const char *key, tw_nm value) {
    char text[TW_LENGTH_TEXT];
    member(out, key, tw_mm_exact(value, text));
}

static void decimal(tw_buffer *out, const char *key, int64_t number, int places) {
    char text[TW_LENGTH_TEXT];
    member(out, key, tw_decimal_text(number, places, false, text, sizeof text));
}

static void word(tw_buffer *out, const char *key, const char *text) {
    tw_buffer_print(out, "\"%s\": ", key);
    if (text == NULL)
        tw_buffer_string(out, "null");
    else
        tw_buffer_json_string(out, text);
}

static void yes_or_no(tw_buffer *out, const char *key, bool value) {
    member(out, key, value ? "true" : "false");
}

static void comma(tw_buffer *out) {
    tw_buffer_string(out, ", ");
}

static void place(tw_buffer *out, tw_rect r) {
    length(out, "x", r.x);
    comma(out);
    length(out, "y", r.y);
    comma(out);
    length(out, "width", r.width);
    comma(out);
    length(out, "height", r.height);
}

static void rectangle(tw_buffer *out, const char *key, tw_rect r) {
    tw_buffer_print(out, ", \"%s\": {", key);
    place(out, r);
    tw_buffer_string(out, "}");
}

static void sides(tw_buffer *out, const char *key, tw_sides s) {
    static const char *const names[] = {"top", "right", "bottom", "left"};
    tw_buffer_print(out, ", \"%s\": {", key);
    for (int side = 0; side < 4; side++) {
        tw_buffer_string(out, side == 0 ? "" : ", ");
        length(out, names[side], s.side[side]);
    }
    tw_buffer_string(out, "}");
}

/* Between items of a list that stands on lines of its own. */
static void next_line(tw_buffer *out, bool first, const char *indent) {
    tw_buffer_print(out, "%s\n%s", first ? "" : ",", indent);
}

/* ------------------------------------------------ sheets */

static void print_names(tw_buffer *out, const tw_print *print) {
    word(out, "id", print->id);
    comma(out);
    word(out, "order", print->order);
    comma(out);
    word(out, "template", print->format->name);
    comma(out);
    word(out, "image", print->line->image);
    comma(out);
    tw_buffer_print(out, "\"copy\": %d, ", print->copy);
    if (print->line->title != NULL && print->line->title[0] != '\0') {
        word(out, "title", print->line->title);
        comma(out);
    }
}

static void print_resolution(tw_buffer *out, const tw_fitted *fit) {
    int64_t least = fit->ppi_x < fit->ppi_y ? fit->ppi_x : fit->ppi_y;
    comma(out);
    decimal(out, "ppi", (least + 50) / 100, 1);
    comma(out);
    decimal(out, "ppi_x", fit->ppi_x, 3);
    comma(out);
    decimal(out, "ppi_y", fit->ppi_y, 3);
}

/* Only where colours are converted here. */
static void print_colour(tw_buffer *out, const tw_print *print) {
    static const char *const words[] = {NULL,       "auto",       "perceptual",
                                        "relative", "saturation", "absolute"};
    if (words[print->intent] == NULL)
        return;
    comma(out);
    word(out, "intent", words[print->intent]);
    if (print->out_of_gamut >= 0) {
        comma(out);
        decimal(out, "out_of_gamut", print->out_of_gamut, 6);
    }
}

static void one_print(tw_buffer *out, const tw_lying *at, bool converts) {
    const tw_fitted *fit = &at->print->fit;
    tw_buffer_string(out, "{");
    print_names(out, at->print);
    place(out, at->trim);
    comma(out);
    yes_or_no(out, "turned", at->turned);
    rectangle(out, "picture", at->picture);
    rectangle(out, "whole", at->whole);
    if (at->signature.width > 0)
        rectangle(out, "signature", at->signature);
    sides(out, "visible", at->visible);
    sides(out, "bleed", at->bleed);
    if (fit->has_window) {
        tw_buffer_string(out, ", \"window\": {"); /* upright: it is cut for the viewer */
        length(out, "width", fit->window.width);
        comma(out);
        length(out, "height", fit->window.height);
        tw_buffer_string(out, "}");
    }
    print_resolution(out, fit);
    if (converts)
        print_colour(out, at->print);
    tw_plan_pixels_json(at->print, out);
    tw_buffer_string(out, "}");
}

/* The cut that frees the page from the roll leaves the roll on its high side. */
static void frees(tw_buffer *out, const tw_plan_sheet *sheet, const tw_cut *cut) {
    const tw_node *node = &sheet->cuts->nodes[cut->node];
    bool end = tw_cut_ends_sheet(sheet->cuts, cut);
    tw_buffer_string(out, ", \"frees\": [");
    tw_buffer_json_string(out, sheet->piece_names[node->low]);
    comma(out);
    tw_buffer_json_string(out, end ? "roll" : sheet->piece_names[node->high]);
    tw_buffer_string(out, "]");
}

static void one_cut(tw_buffer *out, const tw_plan_sheet *sheet, const tw_cut *cut) {
    tw_buffer_print(out, "{\"step\": %d, ", cut->step);
    word(out, "by", cut->knife ? "knife" : "trimmer");
    comma(out);
    word(out, "piece", sheet->piece_names[cut->node]);
    comma(out);
    word(out, "along", cut->along == TW_ALONG ? "roll" : "across");
    comma(out);
    length(out, "at", cut->at);
    comma(out);
    length(out, "from", cut->from);
    comma(out);
    length(out, "to", cut->to);
    comma(out);
    length(out, "stop", cut->stop);
    comma(out);
    yes_or_no(out, "to_mark", cut->to_mark);
    frees(out, sheet, cut);
    tw_buffer_string(out, "}");
}

static void sheet_head(tw_buffer *out, const tw_plan_data *plan, const tw_plan_sheet *sheet) {
    tw_buffer_print(out, "{\"number\": %d, ", sheet->number);
    word(out, "paper", plan->job->papers[sheet->paper_index].name);
    if (sheet->roll > 0)
        tw_buffer_print(out, ", \"roll\": %d", sheet->roll);
    if (sheet->offcut > 0)
        tw_buffer_print(out, ", \"offcut\": %d", sheet->offcut);
    comma(out);
    word(out, "colour", plan->job->papers[sheet->paper_index].converts ? "convert" : "tag");
    comma(out);
    word(out, "file", sheet->file);
    comma(out);
    length(out, "width", sheet->size.width);
    comma(out);
    length(out, "length", sheet->size.height);
    tw_buffer_print(out, ", \"marks\": {\"drawn\": %d, \"clipped\": %d, \"dropped\": %d},",
                    sheet->marks_drawn, sheet->marks_clipped, sheet->marks_dropped);
}

static void unmarked_ends(tw_buffer *out, const tw_plan_sheet *sheet) {
    tw_buffer_string(out, "\"unmarked\": [");
    for (size_t i = 0; i < sheet->unmarked_count; i++)
        tw_buffer_print(out, "%s{\"step\": %d, \"end\": \"%s\"}", i == 0 ? "" : ", ",
                        sheet->unmarked[i].step, sheet->unmarked[i].low_end ? "from" : "to");
    tw_buffer_string(out, "]");
}

static void one_sheet(tw_buffer *out, const tw_plan_data *plan, const tw_plan_sheet *sheet) {
    bool converts = plan->job->papers[sheet->paper_index].converts;
    sheet_head(out, plan, sheet);
    tw_buffer_string(out, "\n      \"prints\": [");
    for (size_t i = 0; i < sheet->print_count; i++) {
        next_line(out, i == 0, "        ");
        one_print(out, &sheet->prints[i], converts);
    }
    tw_buffer_string(out, "],\n      \"cuts\": [");
    for (int i = 0; i < sheet->cuts->cut_count; i++) {
        next_line(out, i == 0, "        ");
        one_cut(out, sheet, &sheet->cuts->cuts[i]);
    }
    tw_buffer_string(out, "],\n      ");
    unmarked_ends(out, sheet);
    tw_buffer_string(out, "}");
}

/* ------------------------------------------------ totals */

static void totals(tw_buffer *out, const tw_totals *t) {
    length(out, "length", t->length);
    comma(out);
    /* Square millimetres, kept in millionths as a nanometre is of a millimetre. */
    length(out, "paper_area", t->paper_area);
    comma(out);
    length(out, "print_area", t->print_area);
    comma(out);
    length(out, "bound_length", t->bound_length);
    tw_buffer_print(out, ", \"bound_stages\": %s", t->bound_stages == 0 ? "\"free\"" : "3");
    tw_buffer_print(out, ", \"hand_cuts\": %lld, \"stop_changes\": %lld, \"sheets\": %d",
                    (long long)t->hand_cuts, (long long)t->stop_changes, t->sheets);
}

/* Every roll of a paper that has several; the core's end is among what is left. */
static void rolls(tw_buffer *out, const tw_plan_paper *paper) {
    tw_buffer_string(out, ", \"rolls\": [");
    for (size_t i = 0; i < paper->roll_count; i++) {
        const tw_plan_roll *roll = &paper->rolls[i];
        tw_buffer_print(out, "%s{\"roll\": %d, \"sheets\": %d, ", i == 0 ? "" : ", ", roll->number,
                        roll->sheets);
        length(out, "length", roll->length);
        comma(out);
        length(out, "used", roll->used);
        comma(out);
        length(out, "left", roll->rest);
        tw_buffer_string(out, "}");
    }
    tw_buffer_string(out, "]");
}

static void day(tw_buffer *out, const tw_plan_data *plan) {
    tw_buffer_string(out, "  \"totals\": {");
    totals(out, &plan->totals);
    tw_buffer_string(out, ",\n    \"papers\": [");
    for (size_t i = 0; i < plan->paper_count; i++) {
        const tw_plan_paper *paper = &plan->papers[i];
        next_line(out, i == 0, "      {");
        word(out, "name", plan->job->papers[paper->paper_index].name);
        comma(out);
        totals(out, &paper->totals);
        comma(out);
        length(out, "strips", paper->strip_cost);
        if (paper->roll_count > 0)
            rolls(out, paper);
        if (paper->offcuts > 0) {
            tw_buffer_print(out, ", \"offcuts\": %d, ", paper->offcuts);
            length(out, "offcuts_saved", paper->offcuts_saved);
        }
        tw_buffer_string(out, "}");
    }
    tw_buffer_string(out, "]},\n");
}

static void choices(tw_buffer *out, const tw_plan_data *plan) {
    char price[TW_LENGTH_TEXT];
    tw_buffer_string(out, "  \"choices\": [");
    for (size_t i = 0; i < plan->choice_count; i++) {
        const tw_plan_choice *choice = &plan->choices[i];
        next_line(out, i == 0, "    {");
        word(out, "plan", choice->word);
        comma(out);
        yes_or_no(out, "chosen", choice->chosen);
        comma(out);
        length(out, "length", choice->length);
        comma(out);
        word(out, "price", choice->priced ? tw_money_text(choice->price, price) : NULL);
        tw_buffer_print(out, ", \"hand_cuts\": %lld, \"stop_changes\": %lld, \"sheets\": %lld, ",
                        (long long)choice->hand_cuts, (long long)choice->stop_changes,
                        (long long)choice->sheets);
        tw_buffer_print(out, "\"sheet_lengths\": %d}", choice->lengths);
    }
    tw_buffer_string(out, "],\n");
}

static void unplaced(tw_buffer *out, const tw_plan_data *plan) {
    tw_buffer_string(out, "  \"unplaced\": [");
    for (size_t i = 0; i < plan->unplaced_count; i++) {
        const tw_unplaced *left = &plan->unplaced[i];
        next_line(out, i == 0, "    {");
        word(out, "id", left->print->id);
        comma(out);
        word(out, "order", left->print->order);
        comma(out);
        word(out, "template", left->print->format->name);
        comma(out);
        word(out, "why", left->why);
        tw_buffer_string(out, "}");
    }
    tw_buffer_string(out, "]\n}\n");
}

tw_code tw_plan_json(const tw_plan_data *plan, tw_buffer *out, tw_error *error) {
    tw_buffer_string(out, "{\"trimwell\": 1, \"unit\": \"mm\",\n  \"sheets\": [");
    for (size_t i = 0; i < plan->sheet_count; i++) {
        next_line(out, i == 0, "    ");
        one_sheet(out, plan, &plan->sheets[i]);
    }
    tw_buffer_string(out, "],\n");
    if (plan->choice != NULL)
        tw_plan_choice_json(out, plan->choice);
    day(out, plan);
    choices(out, plan);
    tw_plan_more_json(plan, out);
    tw_plan_keep_json(out, plan);
    unplaced(out, plan);
    return out->failed ? tw_no_memory(error) : TW_OK;
}
