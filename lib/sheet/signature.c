/*
 * Where to sign: two short ticks in the waste that carry on the extent of the signature area,
 * beside the trimmed edge it is nearest to. Nothing lies on the print itself; where neither side
 * has room there are no ticks, and the guide shows the area.
 */
#include "sheet/draw.h"

#define TICK (TW_IN / 16)
#define CLEAR (TW_MM / 10)

/* A side of the print: its distance from the area, and the two ticks there. */
typedef struct choice {
    tw_nm distance;
    tw_along along; /* the ticks' own direction */
    tw_nm at[2], from, to;
} choice;

static choice choice_of(const tw_lying *print, tw_nm offset, int side) {
    tw_rect area = print->signature, trim = print->trim;
    tw_nm right = tw_rect_right(area), bottom = tw_rect_bottom(area);
    if (side == TW_TOP)
        return (choice){
            area.y - trim.y, TW_ALONG, {area.x, right}, trim.y - offset - TICK, trim.y - offset};
    if (side == TW_BOTTOM)
        return (choice){tw_rect_bottom(trim) - bottom,
                        TW_ALONG,
                        {area.x, right},
                        tw_rect_bottom(trim) + offset,
                        tw_rect_bottom(trim) + offset + TICK};
    if (side == TW_LEFT)
        return (choice){
            area.x - trim.x, TW_ACROSS, {area.y, bottom}, trim.x - offset - TICK, trim.x - offset};
    return (choice){tw_rect_right(trim) - right,
                    TW_ACROSS,
                    {area.y, bottom},
                    tw_rect_right(trim) + offset,
                    tw_rect_right(trim) + offset + TICK};
}

static bool fits(const tw_drawing *d, const choice *c) {
    for (int i = 0; i < 2; i++)
        if (!tw_room_free(&d->room,
                          tw_ink_of_line(c->along, c->at[i], c->from, c->to, d->marks->weight),
                          CLEAR))
            return false;
    return true;
}

/* The nearest side that has room; false: none. The lower side wins a tie. */
static bool choose(const tw_drawing *d, const tw_lying *print, choice *out) {
    static const int order[4] = {TW_BOTTOM, TW_RIGHT, TW_LEFT, TW_TOP};
    bool found = false;
    for (int i = 0; i < 4; i++) {
        choice c = choice_of(print, tw_mark_offset(d->marks, print), order[i]);
        if (fits(d, &c) && (!found || c.distance < out->distance)) {
            *out = c;
            found = true;
        }
    }
    return found;
}

tw_code tw_draw_signatures(tw_drawing *d) {
    for (size_t i = 0; i < d->sheet->print_count; i++) {
        const tw_lying *print = &d->sheet->prints[i];
        choice c = {.distance = 0};
        if (d->marks->place == TW_MARKS_NONE || print->signature.width <= 0 ||
            !choose(d, print, &c))
            continue;
        for (int n = 0; n < 2; n++) {
            tw_code code = tw_draw_line(d, TW_ROLE_SIGNATURE, c.along, c.at[n], c.from, c.to, 0);
            if (code != TW_OK)
                return code;
        }
    }
    return TW_OK;
}
