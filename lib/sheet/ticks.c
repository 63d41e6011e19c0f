/*
 * Ticks with the step's number at both ends of each cut. A tick lies on the cut's line, in the
 * waste of the piece in hand, as near to the end as the ink margin lets it; one that finds no
 * room is listed as unmarked, and the guide's measure serves instead. With marks.place "line" it
 * may lie on the edge of prints whose frame hides it, short and light. With "strip" one is drawn
 * just past the end, in the blank strip that was added for it; when the strip is no longer part
 * of the piece in hand by then, the end is still listed as unmarked.
 */
#include "sheet/draw.h"

#include "base/face.h"

/* A tick further from the end than this (past the margin) would not be looked for. */
#define NEAR (TW_IN / 2)
#define NUMBER_SIZE (TW_IN * 5 / 72)
#define NUMBER_GAP (TW_MM / 2)
#define NUMBER_CLEAR (TW_MM / 5)
#define LEVEL_GAP (TW_MM * 3 / 10) /* digits leave most of their box's height free */

typedef struct end {
    const tw_cut *cut;
    bool low;
} end;

static tw_nm least(tw_nm a, tw_nm b) {
    return a < b ? a : b;
}

static tw_nm most(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

/* Where the search at this end begins: the end itself, or the ink margin. */
static tw_nm start_of(const tw_drawing *d, end e) {
    tw_rect ink = d->room.ink;
    bool across = e.cut->along == TW_ACROSS;
    if (e.low)
        return most(e.cut->from, across ? ink.x : ink.y);
    return least(e.cut->to, across ? tw_rect_right(ink) : tw_rect_bottom(ink));
}

/* The first stretch from the end that takes a tick of `length` or at least 1 mm; false: none.
 * No tick passes the cut's middle, so that the two ends never share one. */
static bool find(tw_drawing *d, end e, tw_nm length, const bool *pass, tw_stretch *out) {
    tw_nm start = start_of(d, e), middle = e.cut->from + (e.cut->to - e.cut->from) / 2;
    tw_nm stop = e.low ? least(middle, start + NEAR + length) : most(middle, start - NEAR - length);
    tw_rect band = tw_ink_of_line(e.cut->along, e.cut->at, e.low ? start : stop,
                                  e.low ? stop : start, d->marks->weight);
    tw_seek seek = {.along = e.cut->along, .prints_only = true, .pass = pass};
    const tw_stretch *stretches;
    size_t count = tw_room_stretches(&d->room, band, &seek, &stretches);
    for (size_t i = 0; i < count; i++) {
        tw_stretch s = stretches[e.low ? i : count - 1 - i];
        if (s.to - s.from < TW_MARK_LEAST)
            continue;
        length = least(length, s.to - s.from);
        *out = e.low ? (tw_stretch){s.from, s.from + length} : (tw_stretch){s.to - length, s.to};
        return true;
    }
    return false;
}

/* ------------------------------------------------ the number */

/* Beside the tick's middle: right or left of an upright tick, over or under a level one. */
static void number_place(end e, tw_stretch tick, tw_nm width, int side, tw_nm *x, tw_nm *y) {
    tw_nm middle = tick.from + (tick.to - tick.from) / 2, height = NUMBER_SIZE * 73 / 100;
    tw_rect box = tw_text_box(0, 0, NUMBER_SIZE, 0, "0");
    if (e.cut->along == TW_ALONG) {
        *x = side == 0 ? e.cut->at + NUMBER_GAP : e.cut->at - NUMBER_GAP - width;
        *y = middle + height / 2;
        return;
    }
    *x = middle - width / 2;
    *y = side == 0 ? e.cut->at - LEVEL_GAP - tw_rect_bottom(box) : e.cut->at + LEVEL_GAP - box.y;
}

static tw_code draw_number(tw_drawing *d, end e, tw_stretch tick) {
    char *text = tw_arena_print(d->arena, "%d", e.cut->step);
    tw_nm x, y;
    if (text == NULL)
        return tw_no_memory(d->error);
    for (int side = 0; side < 2; side++) {
        number_place(e, tick, tw_face_width(text, NUMBER_SIZE), side, &x, &y);
        if (tw_room_free(&d->room, tw_text_box(x, y, NUMBER_SIZE, 0, text), NUMBER_CLEAR))
            return tw_draw_text(d, TW_ROLE_TICK, x, y, NUMBER_SIZE, 0, text);
    }
    return TW_OK;
}

/* ------------------------------------------------ places */

static tw_code draw_in_waste(tw_drawing *d, end e, bool *done) {
    tw_stretch tick;
    *done = find(d, e, least(TW_TICK_LENGTH, d->marks->length), NULL, &tick);
    if (!*done)
        return TW_OK;
    tw_code code = tw_draw_line(d, TW_ROLE_TICK, e.cut->along, e.cut->at, tick.from, tick.to, 0);
    return code == TW_OK ? draw_number(d, e, tick) : code;
}

/* On the line itself, between prints whose frames hide it. */
static tw_code draw_on_line(tw_drawing *d, end e, const bool *hidden, bool *done) {
    tw_stretch tick;
    *done = find(d, e, least(TW_LINE_TICK, d->marks->length), hidden, &tick);
    return *done ? tw_draw_line(d, TW_ROLE_TICK, e.cut->along, e.cut->at, tick.from, tick.to,
                                TW_LINE_GREY)
                 : TW_OK;
}

/* Past the end, in the strip at the sheet's lead or tail: the same search for a cut that is
 * thought to begin at the page's edge. The piece in hand has lost that strip (else its own end
 * would be there), so this end does not count as marked. */
static tw_code draw_in_strip(tw_drawing *d, end e) {
    tw_cut longer = *e.cut;
    tw_nm strip = e.low ? e.cut->from : d->sheet->size.height - e.cut->to;
    bool done;
    if (e.cut->along != TW_ALONG || strip <= 0 || strip > NEAR + TW_IN)
        return TW_OK;
    longer.from = e.low ? 0 : e.cut->to - strip;
    longer.to = e.low ? e.cut->from + strip : d->sheet->size.height;
    return draw_in_waste(d, (end){&longer, e.low}, &done);
}

static tw_code draw_end(tw_drawing *d, end e, const bool *hidden, bool *done) {
    tw_code code = draw_in_waste(d, e, done);
    if (code == TW_OK && !*done && d->marks->place == TW_MARKS_LINE)
        code = draw_on_line(d, e, hidden, done);
    if (code == TW_OK && !*done && d->marks->place == TW_MARKS_STRIP)
        code = draw_in_strip(d, e);
    return code;
}

/* ------------------------------------------------ all cuts */

static bool *hidden_prints(tw_drawing *d) {
    bool *hidden = tw_arena_array(d->arena, d->sheet->print_count, sizeof *hidden);
    for (size_t i = 0; hidden != NULL && i < d->sheet->print_count; i++)
        hidden[i] = d->sheet->prints[i].print->format->lip >= TW_LINE_TICK;
    return hidden;
}

tw_code tw_draw_ticks(tw_drawing *d) {
    const tw_sheet_cuts *cuts = d->sheet->cuts;
    size_t count = cuts == NULL ? 0 : (size_t)cuts->cut_count;
    const bool *hidden = hidden_prints(d);
    d->sheet->unmarked = tw_arena_array(d->arena, 2 * count, sizeof(tw_unmarked));
    if (hidden == NULL || d->sheet->unmarked == NULL)
        return tw_no_memory(d->error);
    for (size_t i = 0; i < 2 * count; i++) {
        end e = {&cuts->cuts[i / 2], i % 2 == 0};
        bool done = false;
        tw_code code = d->marks->place == TW_MARKS_NONE ? TW_OK : draw_end(d, e, hidden, &done);
        if (code != TW_OK)
            return code;
        if (!done)
            d->sheet->unmarked[d->sheet->unmarked_count++] = (tw_unmarked){e.cut->step, e.low};
    }
    return TW_OK;
}
