/* Rectangles and four-sided measures in nanometres; y runs down, sides as a viewer names them. */
#ifndef TW_BASE_RECT_H
#define TW_BASE_RECT_H

#include "base/length.h"

typedef struct tw_rect {
    tw_nm x, y, width, height;
} tw_rect;

/* Index order wherever sides are an array; a quarter turn clockwise is one step. */
enum { TW_TOP = 0, TW_RIGHT = 1, TW_BOTTOM = 2, TW_LEFT = 3 };

typedef struct tw_sides {
    tw_nm side[4]; /* TW_TOP, TW_RIGHT, TW_BOTTOM, TW_LEFT */
} tw_sides;

tw_nm tw_rect_right(tw_rect r);
tw_nm tw_rect_bottom(tw_rect r);
/* Larger by `by` on every side (negative shrinks). */
tw_rect tw_rect_spread(tw_rect r, tw_nm by);
bool tw_rect_overlap(tw_rect a, tw_rect b); /* sharing an edge is no overlap */
bool tw_rect_inside(tw_rect in, tw_rect out);
/* A print's own sides or rectangle after a quarter turn clockwise: the upright top becomes the
 * right side. `upright` is the size of the print before the turn; r lies in that print. */
tw_sides tw_sides_turned(tw_sides upright);
tw_rect tw_rect_turned(tw_rect r, tw_size upright);

#endif
