/*
 * The setup card of each paper, and what holds for the whole day: marks, measuring, drying and
 * the cautions at the blades.
 */
#include "guide/pages.h"

#include <stdlib.h>
#include <string.h>

#define NOT_GIVEN "not given in the paper file"
#define CARD (115 * TW_MM) /* about what a card takes: it stays on one page */

/* ------------------------------------------------ page sizes to create */

static bool same_size(tw_size a, tw_size b) {
    return a.width == b.width && a.height == b.height;
}

typedef struct sized {
    tw_size size;
    int number;
} sized;

static int by_size(const void *left, const void *right) {
    const sized *a = left, *b = right;
    if (a->size.width != b->size.width)
        return a->size.width < b->size.width ? -1 : 1;
    if (a->size.height != b->size.height)
        return a->size.height < b->size.height ? -1 : 1;
    return (a->number > b->number) - (a->number < b->number);
}

/* The paper's sheets, equal sizes side by side; NULL after a failure. */
static sized *sorted_sizes(tw_guide *g, size_t paper_index, size_t *count) {
    const tw_plan_data *plan = g->plan;
    sized *sizes =
        g->code == TW_OK ? tw_arena_array(g->arena, plan->sheet_count + 1, sizeof *sizes) : NULL;
    *count = 0;
    if (sizes == NULL) {
        tw_guide_check(g, tw_no_memory(g->error));
        return NULL;
    }
    for (size_t i = 0; i < plan->sheet_count; i++)
        if (plan->sheets[i].paper_index == paper_index)
            sizes[(*count)++] = (sized){plan->sheets[i].size, plan->sheets[i].number};
    qsort(sizes, *count, sizeof *sizes, by_size);
    return sizes;
}

static void put_sizes(tw_guide *g, size_t paper_index) {
    static const tw_guide_column columns[] = {
        {"Page size to create (width x length along the feed)", 100 * TW_MM, true},
        {"For sheets", 0, false}};
    size_t count = 0;
    sized *sizes = sorted_sizes(g, paper_index, &count);
    int *numbers = sizes == NULL ? NULL : tw_arena_array(g->arena, count + 1, sizeof *numbers);
    if (numbers == NULL) {
        tw_guide_check(g, tw_no_memory(g->error));
        return;
    }
    tw_guide_table table = tw_guide_table_start(columns, 2);
    for (size_t i = 0, end; i < count; i = end) {
        for (end = i; end < count && same_size(sizes[end].size, sizes[i].size); end++)
            numbers[end - i] = sizes[end].number;
        const char *cells[] = {tw_guide_size_text(g, sizes[i].size),
                               tw_guide_numbers(g, numbers, end - i)};
        tw_guide_row(g, &table, cells, NULL);
    }
    tw_guide_space(g, 2 * TW_MM);
}

/* ------------------------------------------------ the card */

static const char *or_not_given(tw_guide *g, const char *text) {
    return text == NULL ? NOT_GIVEN : tw_guide_name(g, text);
}

static const char *stock_text(tw_guide *g, const tw_paper *paper) {
    const char *name = tw_guide_short(g, paper->name);
    const char *weight = paper->weight == NULL ? "" : tw_guide_name(g, paper->weight);
    const char *finish = paper->finish == NULL ? "" : tw_guide_name(g, paper->finish);
    const char *about = tw_guide_say(g, "%s%s%s%s", weight[0] == '\0' ? "" : ", ", weight,
                                     finish[0] == '\0' ? "" : ", ", finish);
    if (paper->kind == TW_ROLL)
        return tw_guide_say(g, "%s, roll %s wide%s", name, tw_guide_both(g, paper->width), about);
    return tw_guide_say(g, "%s, cut sheets %s, width x length as they feed%s", name,
                        tw_guide_size_text(g, (tw_size){paper->width, paper->length}), about);
}

/* "roll 1 (31 ft left) for sheets 1 to 3, then roll 2 (...) for sheet 4". */
static const char *rolls_text(tw_guide *g, const tw_plan_paper *share) {
    const tw_plan_data *plan = g->plan;
    const char *text = "";
    for (size_t i = 0; i < plan->sheet_count; i++) {
        const tw_plan_sheet *first = &plan->sheets[i];
        if (first->paper_index != share->paper_index || first->roll == 0 || first->of_load != 1)
            continue;
        const tw_plan_roll *roll = &share->rolls[first->roll - 1];
        int last = first->number + roll->sheets - 1;
        text = tw_guide_say(g, "%s%sroll %d of %zu (%s left) for sheet%s %d", text,
                            text[0] == '\0' ? "" : ", then ", roll->number, share->roll_count,
                            tw_guide_feet(g, roll->length), roll->sheets == 1 ? "" : "s",
                            first->number);
        if (roll->sheets > 1)
            text = tw_guide_say(g, "%s to %d", text, last);
    }
    return text;
}

static const char *cutter_text(const tw_paper *paper) {
    if (paper->kind == TW_SHEETS)
        return "none: these are cut sheets";
    return paper->cutter == TW_CUTTER_PRINTER
               ? "on: the printer cuts each sheet off the roll; these cuts are no steps"
               : "off: each sheet's end is cut by hand; it is a step of its sheet";
}

/* "sheet 5 is offcut 2, sheet 6 is offcut 3". */
static const char *offcuts_text(tw_guide *g, const tw_plan_paper *share) {
    const char *text = "";
    for (size_t i = 0; i < g->plan->sheet_count; i++) {
        const tw_plan_sheet *sheet = &g->plan->sheets[i];
        if (sheet->paper_index == share->paper_index && sheet->offcut > 0)
            text =
                tw_guide_say(g, "%s%ssheet %d is offcut %d, %s", text, text[0] == '\0' ? "" : "; ",
                             sheet->number, sheet->offcut, tw_guide_size_text(g, sheet->size));
    }
    return tw_guide_say(g, "%s. Feed each by itself as a cut sheet, width across, cutter off",
                        text);
}

/* Never both, never neither: who converts, in one place. */
static const char *colour_text(tw_guide *g, const tw_paper *paper) {
    if (paper->converts)
        return tw_guide_say(g,
                            "Colour management OFF in the driver (no colour adjustment). The "
                            "colours are converted in these files, to the profile %s.",
                            tw_guide_name(g, paper->icc_name));
    const char *profile = paper->profile == NULL
                              ? "the profile of this paper (" NOT_GIVEN ")"
                              : tw_guide_say(g, "the paper's profile %s",
                                             tw_guide_name(g, tw_path_last(paper->profile)));
    return tw_guide_say(g,
                        "The driver or print path must convert with %s: colour management ON "
                        "there. Nothing is converted in these files; each image carries its "
                        "own profile.",
                        profile);
}

static void put_setting(tw_guide *g, tw_guide_table *table, const char *what, const char *how) {
    const char *cells[] = {what, how};
    tw_guide_row(g, table, cells, NULL);
}

static void put_intents(tw_guide *g, tw_guide_table *table, size_t paper_index) {
    const char *differing = tw_guide_intents(g, paper_index);
    const char *chosen = tw_guide_intents_auto(g, paper_index);
    if (differing != NULL)
        put_setting(g, table, "", differing);
    if (chosen != NULL)
        put_setting(g, table, "", chosen);
}

static void put_card(tw_guide *g, const tw_plan_paper *share) {
    const tw_paper *paper = tw_guide_paper(g, share->paper_index);
    static const tw_guide_column columns[] = {{"Setting", 45 * TW_MM, true}, {"To", 0, false}};
    tw_guide_table table = tw_guide_table_start(columns, 2);
    put_setting(g, &table, paper->kind == TW_ROLL ? "Roll" : "Sheets", stock_text(g, paper));
    if (share->roll_count > 0)
        put_setting(g, &table, "Load", rolls_text(g, share));
    if (share->offcuts > 0)
        put_setting(g, &table, "Kept pieces", offcuts_text(g, share));
    put_setting(g, &table, "Scale", "100 %: no fitting to the page, no enlarging");
    put_setting(g, &table, "Automatic turning", "off");
    put_setting(g, &table, "Centring", "off");
    put_setting(g, &table, "Borderless", "off");
    put_setting(g, &table, "Cutter", cutter_text(paper));
    put_setting(g, &table, "Media", or_not_given(g, paper->media));
    put_setting(g, &table, "Quality", or_not_given(g, paper->quality));
    put_setting(g, &table, "Black ink", or_not_given(g, paper->black));
    put_setting(g, &table, "Colour", colour_text(g, paper));
    if (paper->converts)
        put_intents(g, &table, share->paper_index);
    put_setting(g, &table, "Feed",
                "The arrow in a sheet's line of small print points to the leading edge: the edge "
                "that leaves the printer first.");
}

void tw_guide_setup(tw_guide *g) {
    for (size_t i = 0; i < g->plan->paper_count && g->code == TW_OK; i++) {
        const tw_paper *paper = tw_guide_paper(g, g->plan->papers[i].paper_index);
        tw_guide_heading(g, 2, tw_guide_say(g, "Setup card: %s", tw_guide_short(g, paper->name)),
                         CARD);
        put_sizes(g, g->plan->papers[i].paper_index);
        put_card(g, &g->plan->papers[i]);
    }
}
