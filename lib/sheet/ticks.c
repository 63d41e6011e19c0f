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

/* ------------------------------------------------ places */

/* A tick to be drawn. */
typedef struct tick {
    const tw_cut *cut;
    tw_stretch at;
    int grey;
} tick;

/* Past the end, in the strip at the sheet's lead or tail: the same search for a cut that is
 * thought to begin at the page's edge. The piece in hand has lost that strip (else its own end
 * would be there), so this end does not count as marked. */
static bool find_in_strip(tw_drawing *d, end e, tw_nm length, tw_stretch *out) {
    tw_cut longer = *e.cut;
    tw_nm strip = e.low ? e.cut->from : d->sheet->size.height - e.cut->to;
    if (e.cut->along != TW_ALONG || strip <= 0 || strip > NEAR + TW_IN)
        return false;
    longer.from = e.low ? 0 : e.cut->to - strip;
    longer.to = e.low ? e.cut->from + strip : d->sheet->size.height;
    return find(d, (end){&longer, e.low}, length, NULL, out);
}

/* Whether there is a tick for this end, and whether the end is marked by it. */
static bool place_tick(tw_drawing *d, end e, const bool *hidden, tick *out, bool *marked) {
    tw_nm length = least(TW_TICK_LENGTH, d->marks->length);
    tw_marks_place place = d->marks->place;
    *out = (tick){.cut = e.cut};
    *marked = place != TW_MARKS_NONE && find(d, e, length, NULL, &out->at);
    if (*marked || place == TW_MARKS_NONE)
        return *marked;
    if (place == TW_MARKS_STRIP)
        return find_in_strip(d, e, length, &out->at);
    out->grey = TW_LINE_GREY;
    *marked = place == TW_MARKS_LINE && find(d, e, least(TW_LINE_TICK, length), hidden, &out->at);
    return *marked;
}

/* ------------------------------------------------ the number */

/* Beside the tick's middle: right or left of an upright tick, over or under a level one. */
static void number_place(const tick *t, tw_nm width, int side, tw_nm *x, tw_nm *y) {
    tw_nm middle = t->at.from + (t->at.to - t->at.from) / 2, at = t->cut->at;
    tw_nm height = NUMBER_SIZE * 73 / 100;
    tw_rect box = tw_text_box(0, 0, NUMBER_SIZE, 0, "0");
    if (t->cut->along == TW_ALONG) {
        *x = side == 0 ? at + NUMBER_GAP : at - NUMBER_GAP - width;
        *y = middle + height / 2;
        return;
    }
    *x = middle - width / 2;
    *y = side == 0 ? at - LEVEL_GAP - tw_rect_bottom(box) : at + LEVEL_GAP - box.y;
}

/* On a print's edge there is no place for a number. */
static tw_code draw_number(tw_drawing *d, const tick *t) {
    char *text = tw_arena_print(d->arena, "%d", t->cut->step);
    tw_nm x, y;
    if (text == NULL)
        return tw_no_memory(d->error);
    for (int side = 0; side < 2 && t->grey != TW_LINE_GREY; side++) {
        number_place(t, tw_face_width(text, NUMBER_SIZE), side, &x, &y);
        if (tw_room_free(&d->room, tw_text_box(x, y, NUMBER_SIZE, 0, text), NUMBER_CLEAR))
            return tw_draw_text(d, TW_ROLE_TICK, x, y, NUMBER_SIZE, 0, text);
    }
    return TW_OK;
}

/* ------------------------------------------------ all cuts */

static bool *hidden_prints(tw_drawing *d) {
    bool *hidden = tw_arena_array(d->arena, d->sheet->print_count, sizeof *hidden);
    for (size_t i = 0; hidden != NULL && i < d->sheet->print_count; i++)
        hidden[i] = d->sheet->prints[i].print->format->lip >= TW_LINE_TICK;
    return hidden;
}

/* All lines before the first number, so that no later line runs over one. */
static tw_code draw_all(tw_drawing *d, const tick *ticks, size_t count) {
    tw_code code = TW_OK;
    for (size_t i = 0; i < count && code == TW_OK; i++)
        code = tw_draw_line(d, TW_ROLE_TICK, ticks[i].cut->along, ticks[i].cut->at,
                            ticks[i].at.from, ticks[i].at.to, ticks[i].grey);
    for (size_t i = 0; i < count && code == TW_OK; i++)
        code = draw_number(d, &ticks[i]);
    return code;
}

tw_code tw_draw_ticks(tw_drawing *d) {
    const tw_sheet_cuts *cuts = d->sheet->cuts;
    size_t ends = cuts == NULL ? 0 : 2 * (size_t)cuts->cut_count, count = 0;
    const bool *hidden = hidden_prints(d);
    tick *ticks = tw_arena_array(d->arena, ends, sizeof *ticks);
    d->sheet->unmarked = tw_arena_array(d->arena, ends, sizeof(tw_unmarked));
    if (hidden == NULL || ticks == NULL || d->sheet->unmarked == NULL)
        return tw_no_memory(d->error);
    for (size_t i = 0; i < ends; i++) {
        end e = {&cuts->cuts[i / 2], i % 2 == 0};
        bool marked;
        count += place_tick(d, e, hidden, &ticks[count], &marked);
        if (!marked)
            d->sheet->unmarked[d->sheet->unmarked_count++] = (tw_unmarked){e.cut->step, e.low};
    }
    return draw_all(d, ticks, count);
}
