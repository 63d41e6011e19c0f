/*
 * A sheet's cuts as a table: the piece in hand, which edge lies on the fence, where the stop is,
 * what is kept and what comes off. Reads the cut tree alone; the order is the plan's.
 */
#include "guide/pages.h"

#include <stdlib.h>
#include <string.h>

#include "base/number.h"

typedef struct steps {
    const tw_plan_sheet *sheet;
    const tw_paper *paper;
    const tw_guide_bare *bare;
    const tw_lying **by_id; /* the sheet's prints, sorted by id */
    int *step_of;           /* a node: the step that cuts it, 0 = none */
    bool trimmer_said, knife_said, stop_known;
    tw_nm stop; /* where the stop stands */
} steps;

/* ------------------------------------------------ marks that are not there */

tw_guide_bare *tw_guide_unmarked(tw_guide *g, const tw_plan_sheet *sheet) {
    size_t count = (size_t)sheet->cuts->cut_count;
    tw_guide_bare *bare =
        g->code == TW_OK ? tw_arena_array(g->arena, count + 1, sizeof *bare) : NULL;
    if (bare == NULL) {
        tw_guide_check(g, tw_no_memory(g->error));
        return NULL;
    }
    for (size_t i = 0; i < sheet->unmarked_count; i++) {
        int step = sheet->unmarked[i].step;
        if (step < 1 || (size_t)step > count)
            continue;
        if (sheet->unmarked[i].low_end)
            bare[step - 1].low = true;
        else
            bare[step - 1].high = true;
    }
    return bare;
}

/* Cuts told apart by how they are set and which ends lack a mark. */
typedef struct bare_kind {
    bool trimmer, low, high;
    const char *words;
} bare_kind;

static bool by_trimmer(const tw_cut *cut) {
    return !cut->knife && !cut->to_mark;
}

static void put_bare(tw_guide *g, const steps *s, const bare_kind *kind, int *numbers) {
    size_t found = 0;
    for (int i = 0; i < s->sheet->cuts->cut_count; i++)
        if (by_trimmer(&s->sheet->cuts->cuts[i]) == kind->trimmer && s->bare[i].low == kind->low &&
            s->bare[i].high == kind->high)
            numbers[found++] = s->sheet->cuts->cuts[i].step;
    if (found > 0)
        tw_guide_small(g, tw_guide_say(g, "%s: %s %s.", kind->words, found == 1 ? "step" : "steps",
                                       tw_guide_numbers(g, numbers, found)));
}

static void put_unmarked(tw_guide *g, const steps *s) {
    static const bare_kind kinds[] = {
        {true, true, true, "Without a mark, set by the stop"},
        {false, true, true, "Without a mark, too far for the stop or the trimmer: measure"},
        {true, true, false, "No mark at the leading or left end"},
        {true, false, true, "No mark at the trailing or right end"},
        {false, true, false, "No mark at the leading or left end, measure there"},
        {false, false, true, "No mark at the trailing or right end, measure there"},
    };
    int *numbers = tw_arena_array(g->arena, (size_t)s->sheet->cuts->cut_count + 1, sizeof *numbers);
    if (numbers == NULL) {
        tw_guide_check(g, tw_no_memory(g->error));
        return;
    }
    if (s->sheet->unmarked_count == 0)
        tw_guide_small(g, "Every cut has a mark at both ends.");
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        put_bare(g, s, &kinds[i], numbers);
}

/* ------------------------------------------------ words for a cut */

static const char *fence_edge(const tw_cut *cut) {
    return cut->along == TW_ALONG ? "left edge" : "leading edge";
}

static const char *part(const tw_cut *cut, bool low) {
    if (cut->along == TW_ALONG)
        return low ? "left" : "right";
    return low ? "leading" : "trailing";
}

static const char *piece_name(tw_guide *g, const steps *s, int node) {
    if (node < 0 || node >= s->sheet->cuts->node_count || s->sheet->piece_names[node] == NULL)
        return "roll";
    return tw_guide_short(g, s->sheet->piece_names[node]);
}

/* Enough to know a piece by; what to cut to is exact, elsewhere. */
static const char *rough_inches(tw_guide *g, tw_nm value) {
    char text[TW_LENGTH_TEXT];
    return tw_guide_say(g, "%s",
                        tw_decimal_text(tw_scale(value, 10, TW_IN), 1, true, text, sizeof text));
}

static long long whole_mm(tw_nm value) {
    return (long long)((value + TW_MM / 2) / TW_MM);
}

static const char *in_hand(tw_guide *g, const steps *s, const tw_cut *cut) {
    if (cut->node < 0 || cut->node >= s->sheet->cuts->node_count)
        return "";
    if (s->sheet->cuts->nodes[cut->node].high < 0) /* a hand cutter: the page hangs on the roll */
        return "the roll's end";
    const tw_rect *r = &s->sheet->cuts->nodes[cut->node].rect;
    return tw_guide_say(g, "%s\n%s x %s in\n%lld x %lld mm", piece_name(g, s, cut->node),
                        rough_inches(g, r->width), rough_inches(g, r->height), whole_mm(r->width),
                        whole_mm(r->height));
}

/* Where to cut. Without mark and stop only a rule is left. */
static const char *stop_text(tw_guide *g, steps *s, const tw_cut *cut) {
    const tw_guide_bare *bare = &s->bare[cut - s->sheet->cuts->cuts];
    const char *where = tw_guide_stop(g, cut->stop);
    if (by_trimmer(cut)) {
        bool stays = s->stop_known && s->stop == cut->stop;
        s->stop_known = true;
        s->stop = cut->stop;
        return stays ? tw_guide_say(g, "%s\nthe stop stays", where) : where;
    }
    if (bare->low && bare->high)
        return tw_guide_say(g, "%s\n%s, no mark: measure at both ends", where,
                            cut->knife ? "knife and safety straightedge" : "beyond the stop");
    return tw_guide_say(g, "%s\n%s", where,
                        cut->knife ? "knife and safety straightedge, mark to mark"
                                   : "beyond the stop: cut to the mark");
}

/* ------------------------------------------------ what becomes of the parts */

static int compare_ids(const void *left, const void *right) {
    const tw_lying *const *a = left, *const *b = right;
    return strcmp((*a)->print->id, (*b)->print->id);
}

static const tw_lying *print_named(const steps *s, const char *id) {
    size_t low = 0, high = s->sheet->print_count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        int order = strcmp(id, s->by_id[middle]->print->id);
        if (order == 0)
            return s->by_id[middle];
        if (order < 0)
            high = middle;
        else
            low = middle + 1;
    }
    return NULL;
}

static const char *print_text(tw_guide *g, const steps *s, const char *id) {
    const tw_lying *lying = id == NULL ? NULL : print_named(s, id);
    const char *name = tw_guide_short(g, id);
    if (lying == NULL)
        return name;
    return tw_guide_say(g, "%s. Pencil \"%s\" lightly on the back, put on pile %s", name, name,
                        tw_guide_pile(g, lying->print));
}

static const char *waste_text(tw_guide *g, const tw_rect *r) {
    if (!tw_worth_keeping(r->width, r->height))
        return "waste";
    return tw_guide_say(g, "offcut %s, keep",
                        tw_guide_size_text(g, (tw_size){r->width, r->height}));
}

static const tw_node *node_at(const steps *s, int node) {
    return node < 0 || node >= s->sheet->cuts->node_count ? NULL : &s->sheet->cuts->nodes[node];
}

static const char *part_text(tw_guide *g, const steps *s, const tw_cut *cut, bool low) {
    const tw_node *whole = node_at(s, cut->node);
    int child = whole == NULL ? -1 : low ? whole->low : whole->high;
    const tw_node *node = node_at(s, child);
    if (node == NULL)
        return "the rest of the roll";
    if (node->kind == TW_NODE_WASTE)
        return waste_text(g, &node->rect);
    if (node->kind == TW_NODE_PRINT)
        return print_text(g, s, s->sheet->piece_names[child]);
    return tw_guide_say(g, "piece %s, lay it aside for step %d", piece_name(g, s, child),
                        s->step_of[child]);
}

typedef enum fate { IN_HAND, DONE, ASIDE, WASTE } fate;

static fate fate_of(const steps *s, int child, int next_node) {
    const tw_node *node = node_at(s, child);
    if (node == NULL || node->kind == TW_NODE_WASTE)
        return WASTE;
    if (child == next_node)
        return IN_HAND;
    return node->kind == TW_NODE_PRINT ? DONE : ASIDE;
}

/* What goes on to another step, in hand or laid aside; else what is done and kept. */
static const char *keep_text(tw_guide *g, const steps *s, const tw_cut *cut, const tw_node *node,
                             const fate fates[2]) {
    const char *text = "";
    for (int i = 0; i < 2; i++) {
        const char *which = part(cut, i == 0);
        const char *gap = text[0] == '\0' ? "" : "\n";
        if (fates[i] == IN_HAND)
            text = tw_guide_say(g, "%s%s%s part: %s", text, gap, which,
                                piece_name(g, s, i == 0 ? node->low : node->high));
        else if (fates[i] == ASIDE)
            text =
                tw_guide_say(g, "%s%s%s part: %s", text, gap, which, part_text(g, s, cut, i == 0));
    }
    if (text[0] != '\0')
        return text;
    if (fates[0] != WASTE && fates[1] != WASTE)
        return "both parts";
    if (fates[0] == WASTE && fates[1] == WASTE)
        return "nothing";
    return tw_guide_say(g, "%s part", part(cut, fates[0] != WASTE));
}

/* What is no paper to cut any more: prints that are done, and waste. */
static const char *off_text(tw_guide *g, const steps *s, const tw_cut *cut, const fate fates[2]) {
    const char *text = "";
    for (int i = 0; i < 2; i++)
        if (fates[i] == DONE || fates[i] == WASTE)
            text = tw_guide_say(g, "%s%s%s: %s", text, text[0] == '\0' ? "" : "\n",
                                part(cut, i == 0), part_text(g, s, cut, i == 0));
    return text;
}

/* ------------------------------------------------ the table */

/* In full where a tool is first taken up on this sheet, in short at each knife step after. */
static const char *caution(steps *s, const tw_cut *cut) {
    bool *said = cut->knife ? &s->knife_said : &s->trimmer_said;
    bool again = *said;
    *said = true;
    if (!cut->knife)
        return again ? NULL
                     : "Trimmer: guard on, off hand outside the line, blade parked between cuts.";
    return again ? "Knife: safety straightedge, glove, off hand outside the line, close the blade."
                 : "Knife: safety straightedge, cut-resistant glove on the holding hand, off hand "
                   "outside the line. Close the blade at once.";
}

static void put_cut(tw_guide *g, tw_guide_table *table, steps *s, int index) {
    const tw_sheet_cuts *cuts = s->sheet->cuts;
    const tw_cut *cut = &cuts->cuts[index];
    const tw_node *node = node_at(s, cut->node);
    if (node == NULL)
        return;
    int next = index + 1 < cuts->cut_count ? cuts->cuts[index + 1].node : -1;
    fate fates[2] = {fate_of(s, node->low, next), fate_of(s, node->high, next)};
    const char *cells[] = {tw_guide_say(g, "%d", cut->step),
                           in_hand(g, s, cut),
                           fence_edge(cut),
                           cut->along == TW_ALONG ? "along" : "across",
                           stop_text(g, s, cut),
                           keep_text(g, s, cut, node, fates),
                           off_text(g, s, cut, fates)};
    tw_guide_row(g, table, cells, caution(s, cut));
}

/* Whether the edge the first measures start from is square already. */
static void put_step_zero(tw_guide *g, tw_guide_table *table, const steps *s) {
    if (tw_sheet_is_cut(s->paper, s->sheet) || s->paper->cutter != TW_CUTTER_HAND ||
        s->sheet->of_load != 1)
        return;
    const char *words = "leading: a sliver of 1 mm at most, and only where the roll's end is "
                        "not square to its left edge. Then cut to the marks: stops from this "
                        "edge no longer hold";
    const char *cells[] = {"0",       "the roll's end", "left edge", "across",
                           "no stop", "trailing part",  words};
    tw_guide_row(g, table, cells, NULL);
}

static void put_reference(tw_guide *g, const steps *s) {
    bool single = tw_sheet_is_cut(s->paper, s->sheet);
    const char *lead = single                                  ? "the sheet's own edge"
                       : s->paper->cutter == TW_CUTTER_PRINTER ? "the printer's cut"
                       : s->sheet->of_load == 1                ? "the roll's end, squared in step 0"
                                                : "the cut that freed the sheet before";
    if (s->paper->edge_trim > 0 && !single)
        tw_guide_small(g, tw_guide_say(g,
                                       "The roll's edges are trimmed off: hold a square to the "
                                       "first such cut, it is the reference edge. Leading edge: "
                                       "%s.",
                                       lead));
    else
        tw_guide_small(g, tw_guide_say(g,
                                       "No cut to square a reference edge is needed: the left "
                                       "edge is the paper's own, the leading edge is %s. Hold "
                                       "a square to them first.",
                                       lead));
}

static bool prepare(tw_guide *g, steps *s) {
    const tw_sheet_cuts *cuts = s->sheet->cuts;
    s->paper = tw_guide_paper(g, s->sheet->paper_index);
    s->bare = tw_guide_unmarked(g, s->sheet);
    s->by_id = tw_arena_array(g->arena, s->sheet->print_count + 1, sizeof *s->by_id);
    s->step_of = tw_arena_array(g->arena, (size_t)cuts->node_count + 1, sizeof *s->step_of);
    if (s->bare == NULL || s->by_id == NULL || s->step_of == NULL) {
        tw_guide_check(g, tw_no_memory(g->error));
        return false;
    }
    for (size_t i = 0; i < s->sheet->print_count; i++)
        s->by_id[i] = &s->sheet->prints[i];
    qsort(s->by_id, s->sheet->print_count, sizeof *s->by_id, compare_ids);
    for (int i = 0; i < cuts->cut_count; i++)
        if (node_at(s, cuts->cuts[i].node) != NULL)
            s->step_of[cuts->cuts[i].node] = cuts->cuts[i].step;
    return true;
}

static void put_uncut(tw_guide *g, const steps *s) {
    for (size_t i = 0; i < s->sheet->print_count && g->code == TW_OK; i++)
        tw_guide_paragraph(g, tw_guide_say(g, "No hand cut: the sheet is the print %s.",
                                           print_text(g, s, s->sheet->prints[i].print->id)));
}

void tw_guide_steps(tw_guide *g, const tw_plan_sheet *sheet) {
    static const tw_guide_column columns[] = {{"Step", 11 * TW_MM, true},
                                              {"Piece in hand, face up", 29 * TW_MM, true},
                                              {"Edge on the fence", 21 * TW_MM, false},
                                              {"Cut", 15 * TW_MM, false},
                                              {"Stop at", 35 * TW_MM, true},
                                              {"Keep", 33 * TW_MM, false},
                                              {"Comes off", 0, false}};
    steps s = {.sheet = sheet};
    if (g->code != TW_OK || !prepare(g, &s))
        return;
    if (sheet->cuts->cut_count == 0) {
        put_uncut(g, &s);
        return;
    }
    put_reference(g, &s);
    put_unmarked(g, &s);
    tw_guide_table table = tw_guide_table_start(columns, 7);
    put_step_zero(g, &table, &s);
    for (int i = 0; i < sheet->cuts->cut_count && g->code == TW_OK; i++)
        put_cut(g, &table, &s, i);
}
