/* The order in which a sheet is drawn, its pictures and keylines, and the parts' shared words. */
#include "sheet/draw.h"

#include "base/face.h"

#include <string.h>

#define KEYLINE_WEIGHT (TW_IN / 288) /* 0.25 pt */
#define KEYLINE_GREY 500

tw_nm tw_mark_offset(const tw_marks *marks, const tw_lying *print) {
    tw_nm offset = marks->offset_auto ? TW_IN / 16 : marks->offset;
    for (int side = 0; side < 4; side++)
        if (print->bleed.side[side] > offset)
            offset = print->bleed.side[side];
    return offset;
}

tw_rect tw_ink_of_line(tw_along along, tw_nm at, tw_nm from, tw_nm to, tw_nm weight) {
    tw_nm half = (weight + 1) / 2;
    return along == TW_ACROSS ? (tw_rect){from, at - half, to - from, 2 * half}
                              : (tw_rect){at - half, from, 2 * half, to - from};
}

tw_code tw_draw_line(tw_drawing *d, tw_role role, tw_along along, tw_nm at, tw_nm from, tw_nm to,
                     int grey) {
    tw_nm weight = d->marks->weight;
    bool across = along == TW_ACROSS;
    tw_code code =
        tw_page_line(d->arena, &d->sheet->page, role, across ? from : at, across ? at : from,
                     across ? to : at, across ? at : to, weight, grey, d->error);
    if (code != TW_OK)
        return code;
    return tw_room_take(&d->room, tw_ink_of_line(along, at, from, to, weight), d->error);
}

/* The face's own ascent and descent (DejaVu Sans, hhea table: 0.928 and 0.236 of the em), a
 * little rounded up. */
tw_rect tw_text_box(tw_nm x, tw_nm y, tw_nm size, int quarter, const char *text) {
    tw_nm width = tw_face_width(text, size), up = size * 95 / 100, down = size / 4;
    if (quarter == 1)
        return (tw_rect){x - down, y, up + down, width};
    return (tw_rect){x, y - up, width, up + down};
}

tw_code tw_draw_text(tw_drawing *d, tw_role role, tw_nm x, tw_nm y, tw_nm size, int quarter,
                     const char *text) {
    tw_code code = tw_page_text(d->arena, &d->sheet->page, role, x, y, size, TW_ALIGN_LEFT, quarter,
                                text, d->error);
    if (code != TW_OK)
        return code;
    return tw_room_take(&d->room, tw_text_box(x, y, size, quarter, text), d->error);
}

/* ------------------------------------------------ pictures */

static tw_code draw_pictures(tw_drawing *d) {
    for (size_t i = 0; i < d->sheet->print_count; i++) {
        const tw_lying *print = &d->sheet->prints[i];
        tw_code code = tw_page_image(d->arena, &d->sheet->page, print->picture, print->whole,
                                     print->print->image_index, print->print->image->orientation,
                                     print->turned, d->error);
        if (code != TW_OK)
            return code;
        d->sheet->page.ops[d->sheet->page.count - 1].intent = (int)print->print->intent;
    }
    return TW_OK;
}

/* One side of a keyline, inside the picture's own edge: outside it the line could break the
 * paper's ink margin, which the picture keeps exactly. */
static tw_code keyline_side(tw_drawing *d, tw_rect r, int side) {
    static const int ends[4][4] = {{0, 0, 1, 0}, {1, 0, 1, 1}, {0, 1, 1, 1}, {0, 0, 0, 1}};
    const int *e = ends[side];
    tw_nm in = KEYLINE_WEIGHT / 2, dx = 0, dy = 0;
    dx = side == TW_LEFT ? in : side == TW_RIGHT ? -in : 0;
    dy = side == TW_TOP ? in : side == TW_BOTTOM ? -in : 0;
    return tw_page_line(d->arena, &d->sheet->page, TW_ROLE_KEYLINE, r.x + e[0] * r.width + dx,
                        r.y + e[1] * r.height + dy, r.x + e[2] * r.width + dx,
                        r.y + e[3] * r.height + dy, KEYLINE_WEIGHT, KEYLINE_GREY, d->error);
}

/* Where the picture bleeds there is no edge to draw. */
static tw_code draw_keylines(tw_drawing *d) {
    for (size_t i = 0; i < d->sheet->print_count; i++) {
        const tw_lying *print = &d->sheet->prints[i];
        for (int side = 0; side < 4 && print->print->format->keyline; side++) {
            tw_code code =
                print->visible.side[side] <= 0 ? TW_OK : keyline_side(d, print->picture, side);
            if (code != TW_OK)
                return code;
        }
    }
    return TW_OK;
}

/* ------------------------------------------------ the sheet */

static tw_code draw_waste(tw_drawing *d) {
    static tw_code (*const parts[])(tw_drawing *) = {
        tw_draw_marks, tw_draw_ticks, tw_draw_signatures, tw_draw_scale_bars, tw_draw_slug};
    tw_code code = TW_OK;
    for (size_t i = 0; i < sizeof parts / sizeof *parts && code == TW_OK; i++)
        code = parts[i](d);
    return code;
}

tw_code tw_sheet_draw(tw_arena *arena, const tw_plan_data *plan, tw_plan_sheet *sheet,
                      tw_error *error) {
    const tw_paper *paper = &plan->job->papers[sheet->paper_index];
    tw_drawing d = {
        .arena = arena, .plan = plan, .sheet = sheet, .marks = &plan->job->marks, .error = error};
    sheet->page = (tw_page){.size = sheet->size};
    sheet->marks_drawn = sheet->marks_clipped = sheet->marks_dropped = 0;
    sheet->unmarked = NULL;
    sheet->unmarked_count = 0;
    tw_code code = tw_room_start(arena, paper, sheet, &d.room, error);
    if (code == TW_OK)
        code = draw_pictures(&d);
    if (code == TW_OK)
        code = draw_keylines(&d);
    return code == TW_OK ? draw_waste(&d) : code;
}
