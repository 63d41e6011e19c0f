/*
 * The guide's first page: what day this is, what it comes to, and what found no place.
 */
#include "guide/pages.h"

static int prints_on(const tw_guide *g, size_t paper_index, bool all) {
    size_t count = 0;
    for (size_t i = 0; i < g->plan->sheet_count; i++)
        if (all || g->plan->sheets[i].paper_index == paper_index)
            count += g->plan->sheets[i].print_count;
    return (int)count;
}

static void totals_row(tw_guide *g, tw_guide_table *table, const char *name,
                       const tw_totals *totals, int prints) {
    const char *cells[] = {name,
                           tw_guide_say(g, "%d", totals->sheets),
                           tw_guide_feet(g, totals->length),
                           tw_guide_say(g, "%d", prints),
                           tw_guide_say(g, "%lld", (long long)totals->hand_cuts),
                           tw_guide_say(g, "%lld", (long long)totals->stop_changes)};
    tw_guide_row(g, table, cells, NULL);
}

static void put_totals(tw_guide *g) {
    static const tw_guide_column columns[] = {
        {"Paper", 52 * TW_MM, true},        {"Sheets", 19 * TW_MM, false},
        {"Length used", 47 * TW_MM, false}, {"Prints", 19 * TW_MM, false},
        {"Hand cuts", 21 * TW_MM, false},   {"Stop changes", 0, false}};
    const tw_plan_data *plan = g->plan;
    tw_guide_table table = tw_guide_table_start(columns, 6);
    for (size_t i = 0; i < plan->paper_count; i++) {
        size_t index = plan->papers[i].paper_index;
        totals_row(g, &table, tw_guide_short(g, tw_guide_paper(g, index)->name),
                   &plan->papers[i].totals, prints_on(g, index, false));
    }
    if (plan->paper_count != 1)
        totals_row(g, &table, tw_guide_say(g, "The day, %zu papers", plan->paper_count),
                   &plan->totals, prints_on(g, 0, true));
    tw_guide_space(g, 2 * TW_MM);
    tw_guide_small(g, "Length used counts the paper the machine takes outside the pages. Hand "
                      "cuts counts trimmer and knife; stop changes counts how often the stop is "
                      "moved. Cuts the printer makes are in neither.");
}

/* What marks.place strip added, said where the paper is counted. */
static void put_strips(tw_guide *g) {
    for (size_t i = 0; i < g->plan->paper_count; i++) {
        const tw_plan_paper *paper = &g->plan->papers[i];
        if (paper->strip_cost > 0)
            tw_guide_small(
                g, tw_guide_say(g, "The strips that carry the marks take %s of %s.",
                                tw_guide_both(g, paper->strip_cost),
                                tw_guide_short(g, tw_guide_paper(g, paper->paper_index)->name)));
    }
}

static void put_unplaced(tw_guide *g) {
    static const tw_guide_column columns[] = {{"Print", 38 * TW_MM, true},
                                              {"Template", 38 * TW_MM, false},
                                              {"Paper", 38 * TW_MM, false},
                                              {"Why it has no place", 0, false}};
    if (g->plan->unplaced_count == 0)
        return;
    tw_guide_heading(g, 2, tw_guide_say(g, "Not printed: %zu", g->plan->unplaced_count),
                     20 * TW_MM);
    tw_guide_table table = tw_guide_table_start(columns, 4);
    for (size_t i = 0; i < g->plan->unplaced_count && g->code == TW_OK; i++) {
        const tw_print *print = g->plan->unplaced[i].print;
        const char *cells[] = {tw_guide_short(g, print->id), tw_guide_short(g, print->format->name),
                               tw_guide_short(g, tw_guide_paper(g, print->paper_index)->name),
                               tw_guide_name(g, g->plan->unplaced[i].why)};
        tw_guide_row(g, &table, cells, NULL);
    }
}

void tw_guide_first(tw_guide *g) {
    const tw_job_data *job = g->plan->job;
    int prints = prints_on(g, 0, true);
    size_t sheets = g->plan->sheet_count;
    tw_guide_heading(g, 1, tw_guide_say(g, "Cut guide: %s", tw_guide_name(g, job->name)), 0);
    if (job->date != NULL)
        tw_guide_paragraph(g, tw_guide_say(g, "Print day %s", tw_guide_name(g, job->date)));
    tw_guide_paragraph(
        g, tw_guide_say(g,
                        "%d print%s on %zu sheet%s. Set the printer up, print sheet by sheet, "
                        "measure, let dry, cut in the order of the steps, pile by order.",
                        prints, prints == 1 ? "" : "s", sheets, sheets == 1 ? "" : "s"));
    put_totals(g);
    put_strips(g);
    put_unplaced(g);
}
