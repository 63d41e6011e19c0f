/*
 * The search's one move: put a rectangle into an unfinished plan.
 *
 * A plan is frames in frames. Frame 0 is the strip; its children follow each other along y
 * (bands). A band's children follow each other along x (columns), a column's along y, and so on,
 * turn about; the deepest frame's children are single items. Every frame is cut from its
 * neighbour edge to edge, so any such plan can be cut; three frames are the three stages with a
 * trimming cut.
 *
 * Only the youngest child of each frame can still change, so a front is two numbers a level:
 * where the youngest child of frame l starts, and how long it is by now, both along the frame's
 * own axis. A frame is as broad as its longest child; it grows as children come (lazily, so that
 * no size need be guessed), and what that leaves beside shorter children is waste.
 */
#include "layout/search_inside.h"

/* How far the children of frame `level` reach along its axis. */
static int32_t reach(const tw_front *front, int level) {
    return front->start[level] + front->size[level];
}

/* Frame d + 1 and those in it are new, and hold the rectangle alone; those outside grow to hold
 * it. side[0] is along y, as even frames grow, side[1] along x. */
static void insert(const tw_front *from, int levels, const int32_t side[2], int depth,
                   tw_front *to) {
    to->start[depth] = reach(from, depth);
    to->size[depth] = side[depth & 1];
    for (int l = depth + 1; l <= levels; l++) {
        to->start[l] = 0;
        to->size[l] = side[l & 1];
    }
    for (int l = depth - 1; l >= 0; l--) {
        int32_t inner = l + 2 <= levels ? reach(to, l + 2) : side[l & 1];
        to->start[l] = from->start[l];
        to->size[l] = inner > from->size[l] ? inner : from->size[l];
    }
}

/* The area no later item can use. Of each frame, what its finished children cover; then what is
 * left at the side and at the end of the youngest band, when no item is small enough. */
static int64_t lost(const tw_front *front, const tw_front_limits *limits, int64_t item) {
    int64_t area = item + (int64_t)front->start[0] * limits->width;
    for (int l = 1; l <= limits->levels; l++)
        area += (int64_t)front->start[l] * front->size[l - 1];
    int32_t side = limits->width - reach(front, 1);
    if (side < limits->least)
        area += (int64_t)side * front->size[0];
    if (limits->height - front->start[0] - reach(front, 2) < limits->least)
        area += (int64_t)(front->size[0] - reach(front, 2)) * front->size[1];
    return area;
}

bool tw_front_insert(const tw_front *from, const tw_front_limits *limits, int32_t width,
                     int32_t height, int depth, tw_front *to) {
    const int32_t side[2] = {height, width};
    insert(from, limits->levels, side, depth, to);
    if (reach(to, 1) > limits->width || reach(to, 0) > limits->height)
        return false;
    to->waste = lost(to, limits, (int64_t)width * height) - to->placed;
    return true;
}
