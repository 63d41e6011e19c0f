/*
 * Drawing a sheet: a laid-out sheet becomes its page's display list.
 *
 *   pictures, keylines, crop marks, ticks, signature ticks, scale bars, slug
 *
 * in this order, each in a file of its own; room.h says where the waste is. All marks and text
 * are grey ink outside every trim and bleed and inside the paper's ink margins (the design's
 * "no ink on what is sold"); keylines, and ticks with marks.place "line", are ink on the print
 * because the person asked for it.
 */
#ifndef TW_SHEET_DRAW_H
#define TW_SHEET_DRAW_H

#include "sheet/plan.h"
#include "sheet/room.h"

/* Fills sheet->page, the counts of marks and `unmarked` from the sheet's prints, cuts and names;
 * plan->job and plan->sheet_count must be set. Everything in the arena. TW_MEMORY only. */
TW_USE_RESULT tw_code tw_sheet_draw(tw_arena *arena, const tw_plan_data *plan, tw_plan_sheet *sheet,
                                    tw_error *error);

/* What the parts share. */
typedef struct tw_drawing {
    tw_arena *arena;
    const tw_plan_data *plan;
    tw_plan_sheet *sheet;
    const tw_marks *marks;
    tw_room room;
    tw_error *error;
} tw_drawing;

/* Shorter marks and ticks are not seen, so they are not drawn (the design's 1 mm). */
#define TW_MARK_LEAST TW_MM
#define TW_TICK_LENGTH (TW_IN / 8)
/* Ticks on the cut line must hide under the frame's lip. */
#define TW_LINE_TICK (TW_IN / 16)
#define TW_LINE_GREY 800

/* Where a print's marks start: the asked offset, at least past its bleed; auto: the bleed, at
 * least 1/16 in. */
tw_nm tw_mark_offset(const tw_marks *marks, const tw_lying *print);
/* The ink of a line of this weight between two points on one axis, as a rectangle; half of an
 * odd weight rounds up. */
tw_rect tw_ink_of_line(tw_along along, tw_nm at, tw_nm from, tw_nm to, tw_nm weight);
/* Add that line and mark its ink as taken. */
TW_USE_RESULT tw_code tw_draw_line(tw_drawing *d, tw_role role, tw_along along, tw_nm at,
                                   tw_nm from, tw_nm to, int grey);
/* Add a text left aligned and mark its box as taken. */
TW_USE_RESULT tw_code tw_draw_text(tw_drawing *d, tw_role role, tw_nm x, tw_nm y, tw_nm size,
                                   int quarter, const char *text);
/* The box of such a text: digits, capitals and small letters with their descenders. */
tw_rect tw_text_box(tw_nm x, tw_nm y, tw_nm size, int quarter, const char *text);

TW_USE_RESULT tw_code tw_draw_marks(tw_drawing *d);
TW_USE_RESULT tw_code tw_draw_ticks(tw_drawing *d);
TW_USE_RESULT tw_code tw_draw_signatures(tw_drawing *d);
TW_USE_RESULT tw_code tw_draw_scale_bars(tw_drawing *d);
TW_USE_RESULT tw_code tw_draw_slug(tw_drawing *d);

#endif
