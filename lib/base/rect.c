/* Rectangles and sides in nanometres. Pure arithmetic; y runs down. */
#include "base/rect.h"

tw_nm tw_rect_right(tw_rect r) {
    return r.x + r.width;
}

tw_nm tw_rect_bottom(tw_rect r) {
    return r.y + r.height;
}

tw_rect tw_rect_spread(tw_rect r, tw_nm by) {
    return (tw_rect){r.x - by, r.y - by, r.width + 2 * by, r.height + 2 * by};
}

bool tw_rect_overlap(tw_rect a, tw_rect b) {
    return a.x < tw_rect_right(b) && b.x < tw_rect_right(a) && a.y < tw_rect_bottom(b) &&
           b.y < tw_rect_bottom(a);
}

bool tw_rect_inside(tw_rect in, tw_rect out) {
    return in.x >= out.x && in.y >= out.y && tw_rect_right(in) <= tw_rect_right(out) &&
           tw_rect_bottom(in) <= tw_rect_bottom(out);
}

tw_sides tw_sides_turned(tw_sides upright) {
    tw_sides turned;
    for (int side = 0; side < 4; side++)
        turned.side[(side + 1) % 4] = upright.side[side];
    return turned;
}

/* Clockwise: what was up points right, so a point (x, y) goes to (height - y, x). */
tw_rect tw_rect_turned(tw_rect r, tw_size upright) {
    return (tw_rect){upright.height - tw_rect_bottom(r), r.x, r.height, r.width};
}
