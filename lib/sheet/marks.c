/*
 * Crop marks: at each corner of each print that has waste beside it, two lines that carry on the
 * trimmed edges. A mark ends at the neighbour's bleed or the ink margin; what is left under 1 mm
 * is dropped. Marks that fall on one another (neighbours in line) are drawn as one.
 */
#include "sheet/draw.h"

#include <stdlib.h>

/* How far beside a corner waste is looked for. */
#define PROBE (TW_MM / 100)

typedef struct mark {
    tw_along along;
    tw_nm at, from, to;
    bool clipped;
} mark;

typedef struct corner {
    tw_nm x, y;
    int right, down; /* outward: 1 or -1 */
} corner;

static corner corner_of(tw_rect r, int which) {
    return (corner){which % 2 == 0 ? r.x : tw_rect_right(r), which < 2 ? r.y : tw_rect_bottom(r),
                    which % 2 == 0 ? -1 : 1, which < 2 ? -1 : 1};
}

/* A small square at the corner, in the quarter that lies right * sx, down * sy. */
static bool is_waste(const tw_plan_sheet *sheet, corner c, int sx, int sy) {
    tw_rect page = {0, 0, sheet->size.width, sheet->size.height};
    tw_rect probe = {sx > 0 ? c.x : c.x - PROBE, sy > 0 ? c.y : c.y - PROBE, PROBE, PROBE};
    if (!tw_rect_inside(probe, page))
        return false;
    for (size_t i = 0; i < sheet->print_count; i++)
        if (tw_rect_overlap(probe, sheet->prints[i].trim))
            return false;
    return true;
}

static bool has_waste(const tw_plan_sheet *sheet, corner c) {
    return is_waste(sheet, c, c.right, c.down) || is_waste(sheet, c, c.right, -c.down) ||
           is_waste(sheet, c, -c.right, c.down);
}

/* The mark from `start` outward, as far as the prints and the margins let it go. */
static mark clip(tw_drawing *d, tw_along along, tw_nm at, tw_nm start, int outward) {
    tw_nm length = d->marks->length;
    tw_nm from = outward > 0 ? start : start - length, to = from + length;
    tw_rect band = tw_ink_of_line(along, at, from, to, d->marks->weight);
    tw_seek seek = {.along = along, .prints_only = true};
    const tw_stretch *stretches;
    size_t count = tw_room_stretches(&d->room, band, &seek, &stretches);
    mark made = {along, at, start, start, true};
    for (size_t i = 0; i < count; i++)
        if (stretches[i].from == start || stretches[i].to == start) {
            made.from = stretches[i].from;
            made.to = stretches[i].to;
        }
    made.clipped = made.to - made.from < length;
    return made;
}

static void take(tw_drawing *d, mark *marks, size_t *count, mark made) {
    if (made.to - made.from < TW_MARK_LEAST)
        d->sheet->marks_dropped++;
    else
        marks[(*count)++] = made;
}

static void marks_of_print(tw_drawing *d, const tw_lying *print, mark *marks, size_t *count) {
    tw_nm offset = tw_mark_offset(d->marks, print);
    for (int which = 0; which < 4; which++) {
        corner c = corner_of(print->trim, which);
        if (!has_waste(d->sheet, c))
            continue;
        take(d, marks, count, clip(d, TW_ACROSS, c.y, c.x + c.right * offset, c.right));
        take(d, marks, count, clip(d, TW_ALONG, c.x, c.y + c.down * offset, c.down));
    }
}

static int by_place(const void *a, const void *b) {
    const mark *one = a, *two = b;
    if (one->along != two->along)
        return one->along < two->along ? -1 : 1;
    if (one->at != two->at)
        return one->at < two->at ? -1 : 1;
    if (one->from != two->from)
        return one->from < two->from ? -1 : 1;
    return (one->to > two->to) - (one->to < two->to);
}

/* Lines on the same line that touch become one. Returns how many are left. */
static size_t join(mark *marks, size_t count) {
    size_t kept = 0;
    qsort(marks, count, sizeof *marks, by_place);
    for (size_t i = 0; i < count; i++) {
        mark *last = kept == 0 ? NULL : &marks[kept - 1];
        if (last == NULL || last->along != marks[i].along || last->at != marks[i].at ||
            marks[i].from > last->to) {
            marks[kept++] = marks[i];
            continue;
        }
        last->to = marks[i].to > last->to ? marks[i].to : last->to;
        last->clipped = last->clipped || marks[i].clipped;
    }
    return kept;
}

tw_code tw_draw_marks(tw_drawing *d) {
    tw_plan_sheet *sheet = d->sheet;
    size_t count = 0;
    mark *marks = tw_arena_array(d->arena, 8 * sheet->print_count, sizeof *marks);
    if (marks == NULL)
        return tw_no_memory(d->error);
    if (d->marks->place == TW_MARKS_NONE)
        return TW_OK;
    for (size_t i = 0; i < sheet->print_count; i++)
        marks_of_print(d, &sheet->prints[i], marks, &count);
    count = join(marks, count);
    for (size_t i = 0; i < count; i++) {
        const mark *m = &marks[i];
        tw_code code = tw_draw_line(d, TW_ROLE_CROP_MARK, m->along, m->at, m->from, m->to, 0);
        if (code != TW_OK)
            return code;
        sheet->marks_clipped += m->clipped;
    }
    sheet->marks_drawn = (int)count;
    return TW_OK;
}
