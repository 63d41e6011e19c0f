/*
 * Names and step numbers on a sheet's drawing. Nothing overlaps: every label asks a coarse map
 * of the page for room before it is set, steps first (their places are bound), then prints. What
 * finds no room at a legible size goes into the legend under the drawing.
 */
#include "guide/pages.h"

#include <string.h>

#include "base/face.h"

#define CELL (TW_MM / 2) /* of the map */
#define STEP_SIZE GUIDE_PT(80)
#define STEP_HIGH (4 * TW_MM)
#define CLEAR (TW_MM / 2)       /* kept free around a print's name */
#define OUTSIDE (3 * TW_MM / 2) /* from the sheet's edge to a step's box */
#define SLIDES 14               /* how many mm a step's box may move along the edge */

/* ------------------------------------------------ the map */

static size_t cells_across(const tw_guide *g) {
    return (size_t)(g->paper.width / CELL) + 1;
}

static bool clear_map(tw_guide *g) {
    size_t size = cells_across(g) * ((size_t)(g->paper.height / CELL) + 1);
    if (g->code == TW_OK && g->taken == NULL)
        g->taken = tw_arena_take(g->arena, size);
    if (g->taken == NULL)
        tw_guide_check(g, tw_no_memory(g->error));
    else
        memset(g->taken, 0, size);
    return g->code == TW_OK;
}

/* Is nothing there yet? `take`: now there is. The rectangle lies on the page. */
static bool map_rect(tw_guide *g, tw_rect r, bool take) {
    for (tw_nm y = r.y / CELL; y <= (tw_rect_bottom(r) - 1) / CELL; y++) {
        size_t row = (size_t)y * cells_across(g);
        for (tw_nm x = r.x / CELL; x <= (tw_rect_right(r) - 1) / CELL; x++) {
            if (take)
                g->taken[row + (size_t)x] = 1;
            else if (g->taken[row + (size_t)x] != 0)
                return false;
        }
    }
    return true;
}

static bool take_room(tw_guide *g, tw_rect room, tw_rect r) {
    if (!tw_rect_inside(r, room) || !map_rect(g, r, false))
        return false;
    return map_rect(g, r, true);
}

static tw_rect around(tw_nm x, tw_nm y, tw_nm width, tw_nm height) {
    return (tw_rect){x - width / 2, y - height / 2, width, height};
}

/* A line of text in the middle of r, upright or reading upwards. */
static void put_middle(tw_guide *g, tw_rect r, tw_nm size, bool upwards, bool bold,
                       const char *text) {
    tw_page *page = tw_guide_now(g);
    if (page == NULL)
        return;
    tw_nm x = r.x + r.width / 2, y = r.y + r.height / 2;
    tw_nm drop = (GUIDE_ABOVE(size) - GUIDE_BELOW(size)) / 2;
    tw_guide_check(g, tw_page_text(g->arena, page, TW_ROLE_GUIDE, upwards ? x + drop : x,
                                   upwards ? y : y + drop, size, TW_ALIGN_CENTRE, upwards ? 3 : 0,
                                   text, g->error));
    if (g->code == TW_OK)
        page->ops[page->count - 1].bold = bold;
}

static void add_legend(tw_guide *g, tw_guide_drawing *d, const char *line) {
    const char **lines = g->code != TW_OK ? NULL
                                          : tw_arena_grow(g->arena, d->legend, d->legend_count,
                                                          &d->legend_room, sizeof *d->legend);
    if (lines == NULL) {
        tw_guide_check(g, tw_no_memory(g->error));
        return;
    }
    d->legend = lines;
    d->legend[d->legend_count++] = line;
}

/* ------------------------------------------------ steps */

typedef struct step_label {
    const char *text;
    tw_nm width;
    const tw_cut *cut;
} step_label;

static bool put_step(tw_guide *g, const tw_guide_drawing *d, const step_label *step, tw_nm x,
                     tw_nm y) {
    tw_rect box = around(x, y, step->width, STEP_HIGH);
    if (!take_room(g, d->room, box))
        return false;
    tw_guide_box(g, box, GUIDE_PT(6), 0, 1000);
    put_middle(g, box, STEP_SIZE, false, true, step->text);
    return true;
}

/* 0, 1, -1, 2, -2 ... */
static tw_nm swing(int index) {
    return index % 2 == 0 ? -(tw_nm)(index / 2) : (tw_nm)(index / 2 + 1);
}

/* Beside the sheet's edge, at the end of the cut or a little along the edge, with a line from
 * the one to the other. (x, y) is the end, (out_x, out_y) the way out. */
static bool step_outside(tw_guide *g, const tw_guide_drawing *d, const step_label *step, tw_nm x,
                         tw_nm y, int out_x, int out_y) {
    tw_nm half = out_x != 0 ? step->width / 2 : STEP_HIGH / 2;
    tw_nm far = OUTSIDE + half;
    for (int i = 0; i < 2 * SLIDES; i++) {
        tw_nm slide = swing(i) * TW_MM;
        tw_nm box_x = x + (out_x != 0 ? out_x * far : slide);
        tw_nm box_y = y + (out_y != 0 ? out_y * far : slide);
        if (!put_step(g, d, step, box_x, box_y))
            continue;
        tw_guide_rule(g, x, y, box_x - out_x * half, box_y - out_y * half, GUIDE_PT(5), 0);
        return true;
    }
    return false;
}

/* On the line itself, from its low end on. */
static bool step_on_line(tw_guide *g, const tw_guide_drawing *d, const step_label *step) {
    const tw_cut *cut = step->cut;
    tw_nm at = tw_guide_scaled(d, cut->at), from = tw_guide_scaled(d, cut->from);
    tw_nm length = tw_guide_scaled(d, cut->to) - from;
    tw_nm extent = cut->along == TW_ALONG ? STEP_HIGH : step->width;
    for (tw_nm t = extent / 2 + TW_MM; t + extent / 2 < length; t += 2 * TW_MM) {
        tw_nm x = d->at.x + (cut->along == TW_ALONG ? at : from + t);
        tw_nm y = d->at.y + (cut->along == TW_ALONG ? from + t : at);
        if (put_step(g, d, step, x, y))
            return true;
    }
    return false;
}

static bool step_at_edges(tw_guide *g, const tw_guide_drawing *d, const step_label *step) {
    const tw_cut *cut = step->cut;
    const bool along = cut->along == TW_ALONG;
    tw_nm at = tw_guide_scaled(d, cut->at);
    tw_nm most = along ? d->sheet->size.height : d->sheet->size.width;
    tw_nm right = tw_rect_right(d->at), bottom = tw_rect_bottom(d->at);
    if (cut->from <= 0 && (along ? step_outside(g, d, step, d->at.x + at, d->at.y, 0, -1)
                                 : step_outside(g, d, step, d->at.x, d->at.y + at, -1, 0)))
        return true;
    return cut->to >= most && (along ? step_outside(g, d, step, d->at.x + at, bottom, 0, 1)
                                     : step_outside(g, d, step, right, d->at.y + at, 1, 0));
}

static void put_steps(tw_guide *g, tw_guide_drawing *d) {
    const tw_sheet_cuts *cuts = d->sheet->cuts;
    int *missed = tw_arena_array(g->arena, (size_t)cuts->cut_count + 1, sizeof *missed);
    size_t count = 0;
    if (missed == NULL)
        tw_guide_check(g, tw_no_memory(g->error));
    for (int i = 0; i < cuts->cut_count && g->code == TW_OK; i++) {
        step_label step = {tw_guide_say(g, "%d", cuts->cuts[i].step), 0, &cuts->cuts[i]};
        step.width = tw_face_width(step.text, STEP_SIZE) + 2 * TW_MM;
        if (step.width < STEP_HIGH)
            step.width = STEP_HIGH;
        if (!step_at_edges(g, d, &step) && !step_on_line(g, d, &step))
            missed[count++] = cuts->cuts[i].step;
    }
    if (g->code == TW_OK && count > 0)
        add_legend(g, d,
                   tw_guide_say(g, "No room here for the numbers of steps %s: see the table",
                                tw_guide_numbers(g, missed, count)));
}

/* ------------------------------------------------ prints */

/* Set `text` somewhere in r, the middle first; *at is where. */
static bool put_inside(tw_guide *g, tw_rect r, tw_nm size, bool upwards, bool bold,
                       const char *text, tw_rect *at) {
    tw_nm length = tw_face_width(text, size) + TW_MM / 2;
    tw_nm depth = GUIDE_ABOVE(size) + GUIDE_BELOW(size);
    tw_nm width = upwards ? depth : length, height = upwards ? length : depth;
    if (width > r.width || height > r.height)
        return false;
    for (int i = 0; i < 25; i++) {
        tw_nm dx = swing(i / 5), dy = swing(i % 5);
        tw_nm x = r.x + r.width / 2 + dx * ((r.width - width) / 4);
        tw_nm y = r.y + r.height / 2 + dy * ((r.height - height) / 4);
        *at = around(x, y, width, height);
        if (!take_room(g, r, *at))
            continue;
        put_middle(g, *at, size, upwards, bold, text);
        return true;
    }
    return false;
}

static bool put_named(tw_guide *g, tw_rect r, const char *text, bool upwards, tw_rect *at) {
    static const int sizes[] = {130, 110, 95, 80, 70};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        if (put_inside(g, r, GUIDE_PT(sizes[i]), upwards, true, text, at))
            return true;
    return false;
}

static void put_callout(tw_guide *g, tw_guide_drawing *d, const tw_lying *lying, tw_rect inner) {
    tw_rect at;
    const char *id = tw_guide_short(g, lying->print->id);
    const char *callout = tw_guide_say(g, "p%d", d->callouts + 1);
    if (put_named(g, inner, callout, false, &at) || put_named(g, inner, callout, true, &at)) {
        d->callouts++;
        add_legend(g, d, tw_guide_say(g, "%s = %s", callout, id));
        return;
    }
    add_legend(g, d,
               tw_guide_say(g, "%s: %s from the left, %s from the leading edge", id,
                            tw_guide_both(g, lying->trim.x), tw_guide_both(g, lying->trim.y)));
}

static void put_print(tw_guide *g, tw_guide_drawing *d, const tw_lying *lying) {
    tw_nm x = tw_guide_scaled(d, lying->trim.x), y = tw_guide_scaled(d, lying->trim.y);
    tw_rect inner = {d->at.x + x + CLEAR, d->at.y + y + CLEAR,
                     tw_guide_scaled(d, tw_rect_right(lying->trim)) - x - 2 * CLEAR,
                     tw_guide_scaled(d, tw_rect_bottom(lying->trim)) - y - 2 * CLEAR};
    const char *id = tw_guide_short(g, lying->print->id);
    tw_rect at, below;
    if (put_named(g, inner, id, false, &at)) {
        below = inner; /* the template's name under it, where there is room */
        below.y = tw_rect_bottom(at) + CELL;
        below.height = GUIDE_PT(95);
        if (tw_rect_inside(below, inner))
            (void)put_inside(g, below, GUIDE_PT(80), false, false,
                             tw_guide_short(g, lying->print->format->name), &at);
    } else if (!put_named(g, inner, id, true, &at)) {
        put_callout(g, d, lying, inner);
    }
}

void tw_guide_labels(tw_guide *g, tw_guide_drawing *d) {
    if (!clear_map(g))
        return;
    put_steps(g, d);
    for (size_t i = 0; i < d->sheet->print_count && g->code == TW_OK; i++)
        put_print(g, d, &d->sheet->prints[i]);
}
