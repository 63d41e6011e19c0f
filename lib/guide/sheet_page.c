/*
 * One sheet in the guide: heading, scaled drawing, and then its cuts (cut_steps.c). The
 * leading edge is always at the top, also of a long sheet: turning the drawing would turn the
 * words left and right that the table uses. A long sheet gets a taller drawing instead.
 */
#include "guide/pages.h"

#define GUTTER_SIDE (13 * TW_MM)  /* step numbers beside the sheet */
#define GUTTER_ARROW (6 * TW_MM)  /* the feed arrow's line */
#define GUTTER_TOP (7 * TW_MM)    /* step numbers above */
#define GUTTER_BOTTOM (7 * TW_MM) /* and below */
#define KEY_HEIGHT (11 * TW_MM)
#define HATCH (5 * TW_MM / 2)
/* More prints than this on a sheet, and its drawing may fill the page so that names fit. */
#define CROWD 20
#define CUTS_A_PAGE 14 /* more never fit beside a drawing */
#define CUTS_MANY 200  /* on so many pages one more matters little, and finding out takes long */
/* Percents of a page for a drawing; the rest of a whole page is for heading and key. */
#define HALF_PAGE 50
#define WHOLE_PAGE 76

tw_nm tw_guide_scaled(const tw_guide_drawing *drawing, tw_nm value) {
    tw_nm sheet = drawing->sheet->size.width, shown = drawing->at.width;
    if (drawing->sheet->size.height > sheet) { /* the longer side scales more finely */
        sheet = drawing->sheet->size.height;
        shown = drawing->at.height;
    }
    return value <= 0 ? 0 : tw_scale(value, shown, sheet);
}

/* ------------------------------------------------ size and place */

static tw_size fitted(tw_size sheet, tw_nm width, tw_nm height) {
    tw_nm high = tw_scale(sheet.height, width, sheet.width);
    if (high <= height)
        return (tw_size){width, high};
    return (tw_size){tw_scale(sheet.width, height, sheet.height), height};
}

static const tw_nm around_drawing = GUTTER_ARROW + GUTTER_TOP + GUTTER_BOTTOM;

/* With `percent` of a page's height for the drawing and what surrounds it. */
static tw_size size_within(const tw_guide *g, const tw_plan_sheet *sheet, int percent) {
    tw_nm high = (g->bottom - g->top) * percent / 100 - around_drawing;
    return fitted(sheet->size, g->right - g->left - 2 * GUTTER_SIDE, high);
}

/* A sheet so long or so full that half a page does not show it: its drawing may take a page. */
static bool is_cramped(const tw_guide *g, const tw_plan_sheet *sheet) {
    tw_nm width = g->right - g->left - 2 * GUTTER_SIDE;
    return sheet->print_count > CROWD || size_within(g, sheet, HALF_PAGE).width < width / 2;
}

static void place(tw_guide *g, const tw_plan_sheet *sheet, int percent, tw_guide_drawing *out) {
    tw_size size = size_within(g, sheet, percent);
    (void)tw_guide_need(g, size.height + around_drawing + KEY_HEIGHT);
    tw_nm middle = (g->left + g->right) / 2;
    out->sheet = sheet;
    out->at = (tw_rect){middle - size.width / 2, g->y + GUTTER_ARROW + GUTTER_TOP, size.width,
                        size.height};
    out->room = (tw_rect){g->left, g->y + GUTTER_ARROW, g->right - g->left,
                          GUTTER_TOP + size.height + GUTTER_BOTTOM};
    out->bare = tw_guide_unmarked(g, sheet);
}

/* ------------------------------------------------ the drawing */

static tw_rect shown(const tw_guide_drawing *d, tw_rect r) {
    tw_nm x = tw_guide_scaled(d, r.x), y = tw_guide_scaled(d, r.y);
    return (tw_rect){d->at.x + x, d->at.y + y, tw_guide_scaled(d, r.x + r.width) - x,
                     tw_guide_scaled(d, r.y + r.height) - y};
}

static tw_nm larger(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

static tw_nm smaller(tw_nm a, tw_nm b) {
    return a < b ? a : b;
}

/* Lines x + y = c, the same c everywhere, so that waste beside waste is hatched through. */
static void hatch(tw_guide *g, tw_rect r) {
    tw_nm right = tw_rect_right(r), bottom = tw_rect_bottom(r);
    for (tw_nm c = (r.x + r.y) / HATCH * HATCH + HATCH; c < right + bottom; c += HATCH) {
        tw_nm x0 = larger(r.x, c - bottom), x1 = smaller(right, c - r.y);
        if (x1 > x0)
            tw_guide_rule(g, x0, c - x0, x1, c - x1, GUIDE_PT(3), 600);
    }
}

static void draw_waste(tw_guide *g, const tw_guide_drawing *d) {
    const tw_sheet_cuts *cuts = d->sheet->cuts;
    for (int i = 0; i < cuts->node_count && g->code == TW_OK; i++)
        if (cuts->nodes[i].kind == TW_NODE_WASTE)
            hatch(g, shown(d, cuts->nodes[i].rect));
}

static void draw_prints(tw_guide *g, const tw_guide_drawing *d) {
    for (size_t i = 0; i < d->sheet->print_count && g->code == TW_OK; i++) {
        const tw_lying *lying = &d->sheet->prints[i];
        tw_guide_box(g, shown(d, lying->trim), 0, 0, 1000);
        tw_guide_box(g, shown(d, lying->picture), 0, 0, 860);
        tw_guide_box(g, shown(d, lying->trim), GUIDE_PT(5), 400, -1);
        if (lying->signature.width > 0) {
            tw_guide_box(g, shown(d, lying->signature), GUIDE_PT(5), 0, -1);
            tw_guide_dash_last(g);
        }
    }
}

static void draw_cuts(tw_guide *g, const tw_guide_drawing *d) {
    const tw_sheet_cuts *cuts = d->sheet->cuts;
    for (int i = 0; i < cuts->cut_count && g->code == TW_OK; i++) {
        const tw_cut *cut = &cuts->cuts[i];
        tw_nm at = tw_guide_scaled(d, cut->at);
        tw_nm from = tw_guide_scaled(d, cut->from), to = tw_guide_scaled(d, cut->to);
        if (cut->along == TW_ALONG)
            tw_guide_rule(g, d->at.x + at, d->at.y + from, d->at.x + at, d->at.y + to, GUIDE_PT(11),
                          0);
        else
            tw_guide_rule(g, d->at.x + from, d->at.y + at, d->at.x + to, d->at.y + at, GUIDE_PT(11),
                          0);
        if (d->bare != NULL && d->bare[i].low && d->bare[i].high)
            tw_guide_dash_last(g);
    }
}

static void draw_arrow(tw_guide *g) {
    tw_nm size = GUIDE_PT(90), baseline = g->y + GUIDE_ABOVE(size);
    const char *words = "leading edge, leaves the printer first";
    tw_nm x = g->left + 3 * TW_MM / 2;
    tw_guide_rule(g, x, baseline, x, g->y, GUIDE_PT(10), 0);
    tw_guide_rule(g, x, g->y, x - TW_MM, g->y + 3 * TW_MM / 2, GUIDE_PT(10), 0);
    tw_guide_rule(g, x, g->y, x + TW_MM, g->y + 3 * TW_MM / 2, GUIDE_PT(10), 0);
    tw_guide_put(g, x + 3 * TW_MM, baseline, size, TW_ALIGN_LEFT, GUIDE_PLAIN, words);
}

static void put_key(tw_guide *g) {
    tw_guide_small(
        g, "Grey: picture. Dashed box: signature. Hatched: waste. Boxed number: step. Heavy "
           "line: cut; dashed: a cut without marks.");
}

static void put_legend(tw_guide *g, const tw_guide_drawing *d) {
    static const tw_guide_column columns[] = {
        {NULL, 62 * TW_MM, false}, {NULL, 62 * TW_MM, false}, {NULL, 0, false}};
    tw_guide_table table = tw_guide_table_start(columns, 3);
    table.bare = true;
    for (size_t i = 0; i < d->legend_count && g->code == TW_OK; i += 3) {
        const char *cells[3] = {NULL};
        for (size_t k = 0; k < 3 && i + k < d->legend_count; k++)
            cells[k] = d->legend[i + k];
        tw_guide_row(g, &table, cells, NULL);
    }
    if (d->legend_count > 0)
        tw_guide_space(g, 2 * TW_MM);
}

static void draw(tw_guide *g, const tw_plan_sheet *sheet, int percent) {
    tw_guide_drawing d = {0};
    place(g, sheet, percent, &d);
    draw_arrow(g);
    tw_guide_box(g, d.at, GUIDE_PT(8), 0, 1000);
    draw_waste(g, &d);
    draw_prints(g, &d);
    draw_cuts(g, &d);
    tw_guide_labels(g, &d);
    g->y = tw_rect_bottom(d.room) + TW_MM;
    put_key(g);
    put_legend(g, &d);
}

/* ------------------------------------------------ words above it */

static bool has_scale_bar(const tw_plan_sheet *sheet) {
    for (size_t i = 0; i < sheet->page.count; i++)
        if (sheet->page.ops[i].role == TW_ROLE_SCALE_BAR)
            return true;
    return false;
}

static void put_intro(tw_guide *g, const tw_plan_sheet *sheet) {
    const tw_paper *paper = tw_guide_paper(g, sheet->paper_index);
    const char *ends = tw_sheet_is_cut(paper, sheet) ? ""
                       : paper->cutter == TW_CUTTER_PRINTER
                           ? " The printer cuts both ends; these cuts are no steps."
                           : " You cut it off the roll.";
    const char *check = "";
    if (!has_scale_bar(sheet) && sheet->print_count > 0) {
        const tw_lying *first = &sheet->prints[0];
        check = tw_guide_say(
            g, " No room for a scale bar: measure the picture of %s instead, it is %s.",
            tw_guide_short(g, first->print->id),
            tw_guide_size_text(g, (tw_size){first->picture.width, first->picture.height}));
    }
    tw_guide_small(g, tw_guide_say(g,
                                   "%zu print%s, %d hand cut%s. Printed side up, leading edge "
                                   "at the top.%s%s",
                                   sheet->print_count, sheet->print_count == 1 ? "" : "s",
                                   sheet->cuts->cut_count, sheet->cuts->cut_count == 1 ? "" : "s",
                                   ends, check));
}

static void set_sheet(tw_guide *g, const tw_plan_sheet *sheet, int percent) {
    const char *paper = tw_guide_short(g, tw_guide_paper(g, sheet->paper_index)->name);
    if (sheet->roll > 0)
        paper = tw_guide_say(g, "%s, roll %d", paper, sheet->roll);
    else if (sheet->offcut > 0)
        paper = tw_guide_say(g, "%s, offcut %d", paper, sheet->offcut);
    tw_guide_heading(g, 2,
                     tw_guide_say(g,
                                  "Sheet %d of %zu \xE2\x80\x94 %s \xE2\x80\x94 %s "
                                  "\xE2\x80\x94 %s",
                                  sheet->number, g->plan->sheet_count, paper,
                                  tw_guide_size_text(g, sheet->size),
                                  tw_guide_short(g, sheet->file)),
                     60 * TW_MM);
    g->running = tw_guide_say(g, "Sheet %d of %zu, continued", sheet->number, g->plan->sheet_count);
    put_intro(g, sheet);
    draw(g, sheet, percent);
    tw_guide_steps(g, sheet);
    g->running = NULL;
}

/* Set the sheet from here on; false, and all of it dropped again, when it does not end on the
 * page it begins on, or `short_only`: when it ends on a page that is nearly empty. Finding out by
 * setting it needs no second arithmetic that could differ. */
static bool try_sheet(tw_guide *g, const tw_plan_sheet *sheet, int percent, bool short_only) {
    const tw_guide_spot here = tw_guide_here(g);
    set_sheet(g, sheet, percent);
    if (g->code != TW_OK || g->count == here.pages || (short_only && !tw_guide_ends_short(g, here)))
        return true;
    tw_guide_back(g, here);
    return false;
}

/* With a smaller and smaller drawing, each also set closer. */
static bool try_sizes(tw_guide *g, const tw_plan_sheet *sheet, int most, bool short_only) {
    static const int percents[] = {WHOLE_PAGE, 66, 58, HALF_PAGE, 42, 35, 28};
    const int least = most == WHOLE_PAGE ? HALF_PAGE : short_only ? 42 : 28;
    bool done = false;
    for (size_t i = 0; i < sizeof percents / sizeof *percents && !done; i++)
        for (int close = 0; close < 2 && !done; close++) {
            g->close = close == 1;
            done = percents[i] <= most && percents[i] >= least &&
                   try_sheet(g, sheet, percents[i], short_only);
        }
    g->close = false;
    return done;
}

/* A sheet's page is pinned up over the trimmer: it begins midway only when all of it fits there,
 * and a smaller drawing is better than three rows on a page of their own. */
void tw_guide_sheet(tw_guide *g, size_t index) {
    const tw_plan_sheet *sheet = &g->plan->sheets[index];
    const int most = is_cramped(g, sheet) ? WHOLE_PAGE : HALF_PAGE;
    const tw_nm left = g->bottom - g->y;
    if (left > (g->bottom - g->top) / 3 && try_sheet(g, sheet, most, false))
        return;
    if (g->y > g->top)
        tw_guide_page(g);
    if (sheet->cuts->cut_count <= CUTS_A_PAGE && try_sizes(g, sheet, most, false))
        return;
    if (sheet->cuts->cut_count <= CUTS_MANY &&
        (try_sizes(g, sheet, most, true) || try_sheet(g, sheet, WHOLE_PAGE, true)))
        return;
    set_sheet(g, sheet, most);
}
