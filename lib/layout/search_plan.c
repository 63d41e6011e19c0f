/*
 * A whole plan of the search, from its list of insertions to places: frames are measured from
 * the inside out, then laid from the outside in. Also the first plan, in rows, which is there
 * before any search and when no search is wanted.
 */
#include <stdlib.h>

#include "layout/search_inside.h"

tw_code tw_search_scratch_new(tw_arena *arena, const tw_kinds_set *kinds, tw_search_scratch *out,
                              tw_error *error) {
    out->extents = tw_arena_array(arena, (TW_FRAME_LEVELS + 1) * (size_t)kinds->item_count,
                                  sizeof *out->extents);
    out->used = tw_arena_array(arena, (size_t)kinds->count, sizeof *out->used);
    return out->extents == NULL || out->used == NULL ? tw_no_memory(error) : TW_OK;
}

typedef struct layer {
    const tw_kinds_set *kinds;
    const tw_insertion *plan;
    int levels, count;
    tw_extent *extents; /* [level][first insertion of the frame] */
    int32_t *used;      /* of each kind */
    tw_search_place *places;
} layer;

static tw_extent *extent_of(const layer *lay, int level, int first) {
    return &lay->extents[level * lay->count + first];
}

/* Where the next frame of this level begins: at an insertion into a frame further out. */
static int next_frame(const layer *lay, int level, int first) {
    int i = first + 1;
    while (i < lay->count && lay->plan[i].depth >= level)
        i++;
    return i;
}

/* An item as a frame of the deepest level: along y when the level is even. */
static tw_extent item_extent(const layer *lay, int index, int level) {
    const tw_search_kind *kind = &lay->kinds->items[lay->plan[index].kind];
    int32_t width = kind->width[lay->plan[index].way], height = kind->height[lay->plan[index].way];
    return level & 1 ? (tw_extent){width, height} : (tw_extent){height, width};
}

/* True when a child of the frame leaves a strip too thin beside it; *across is then wider. */
static bool widen(const layer *lay, int level, int first, int end, int32_t *across) {
    for (int i = first; i < end; i = next_frame(lay, level + 1, i)) {
        int32_t gap = *across - extent_of(lay, level + 1, i)->along;
        if (gap > 0 && gap < lay->kinds->strip) {
            *across += lay->kinds->strip - gap;
            return true;
        }
    }
    return false;
}

static tw_extent frame_extent(const layer *lay, int level, int first) {
    int end = next_frame(lay, level, first);
    tw_extent sum = {0, 0};
    for (int i = first; i < end; i = next_frame(lay, level + 1, i)) {
        const tw_extent *child = extent_of(lay, level + 1, i);
        sum.along += child->across;
        sum.across = child->along > sum.across ? child->along : sum.across;
    }
    while (level > 0 && widen(lay, level, first, end, &sum.across))
        continue;
    return sum;
}

static void measure(const layer *lay) {
    for (int i = 0; i < lay->count; i++)
        *extent_of(lay, lay->levels, i) = item_extent(lay, i, lay->levels);
    for (int level = lay->levels - 1; level >= 0; level--)
        for (int i = 0; i < lay->count; i = next_frame(lay, level, i))
            *extent_of(lay, level, i) = frame_extent(lay, level, i);
}

/* No band may be too wide for the strip, nor leave a strip too thin at its side. */
static bool sides_hold(const layer *lay) {
    for (int i = 0; i < lay->count; i = next_frame(lay, 1, i)) {
        int32_t gap = lay->kinds->width - extent_of(lay, 1, i)->along;
        if (gap < 0 || (gap > 0 && gap < lay->kinds->strip))
            return false;
    }
    return true;
}

static void lay_item(const layer *lay, int index, int32_t x, int32_t y) {
    const tw_insertion *put = &lay->plan[index];
    int32_t sorted = lay->kinds->items[put->kind].first + lay->used[put->kind]++;
    lay->places[lay->kinds->order[sorted]] = (tw_search_place){x, y, put->way != 0};
}

static void lay_frame(const layer *lay, int level, int first, int32_t x, int32_t y) {
    int end = next_frame(lay, level, first);
    for (int i = first; i < end; i = next_frame(lay, level + 1, i)) {
        if (level + 1 == lay->levels)
            lay_item(lay, i, x, y);
        else
            lay_frame(lay, level + 1, i, x, y);
        int32_t step = extent_of(lay, level + 1, i)->across;
        x += level & 1 ? step : 0;
        y += level & 1 ? 0 : step;
    }
}

int32_t tw_search_lay(const tw_kinds_set *kinds, const tw_insertion *plan, int levels,
                      tw_search_scratch *scratch, tw_search_place *places) {
    layer lay = {kinds, plan, levels, kinds->item_count, scratch->extents, scratch->used, places};
    measure(&lay);
    if (!sides_hold(&lay))
        return -1;
    if (places != NULL) {
        for (int k = 0; k < kinds->count; k++)
            scratch->used[k] = 0;
        lay_frame(&lay, 0, 0, 0, 0);
    }
    return extent_of(&lay, 0, 0)->along;
}

/* ------------------------------------------------- the first plan */

/* Lie as flat as the strip allows; -1 when neither way fits. */
static int flat_way(const tw_kinds_set *kinds, const tw_search_kind *kind) {
    for (int way = 0; way < kind->ways; way++) {
        int32_t gap = kinds->width - kind->width[way];
        if (gap == 0 || (gap > 0 && gap >= kinds->strip))
            return way;
    }
    return -1;
}

typedef struct row_item {
    int32_t kind, width, height;
    int16_t way;
} row_item;

static int by_height(const void *left, const void *right) {
    const row_item *a = left, *b = right;
    if (a->height != b->height)
        return a->height > b->height ? -1 : 1;
    return (a->kind > b->kind) - (a->kind < b->kind);
}

static tw_code row_items(const tw_kinds_set *kinds, row_item *rows, tw_error *error) {
    int n = 0;
    for (int k = 0; k < kinds->count; k++) {
        const tw_search_kind *kind = &kinds->items[k];
        int way = flat_way(kinds, kind);
        if (way < 0)
            return tw_fail(error, TW_INPUT, "search-no-place",
                           "a print of %d x %d units cannot lie on a strip %d wide",
                           (int)kind->width[0], (int)kind->height[0], (int)kinds->width);
        for (int i = 0; i < kind->count; i++)
            rows[n++] = (row_item){k, kind->width[way], kind->height[way], (int16_t)way};
    }
    qsort(rows, (size_t)n, sizeof *rows, by_height);
    return TW_OK;
}

/* Next-fit: a row takes the next items while there is room. Items of one row differ in height
 * by more than nothing and less than a thin strip: tw_search_lay raises the row. */
tw_code tw_search_rows(tw_arena *arena, const tw_kinds_set *kinds, tw_insertion *plan,
                       tw_error *error) {
    row_item *rows = tw_arena_array(arena, (size_t)kinds->item_count, sizeof *rows);
    if (rows == NULL)
        return tw_no_memory(error);
    tw_code code = row_items(kinds, rows, error);
    if (code != TW_OK)
        return code;
    int32_t used = kinds->width;
    for (int i = 0; i < kinds->item_count; i++) {
        int32_t gap = kinds->width - used - rows[i].width;
        bool joins = gap == 0 || (gap > 0 && gap >= kinds->strip);
        plan[i] = (tw_insertion){rows[i].kind, rows[i].way, joins && i > 0};
        used = plan[i].depth > 0 ? used + rows[i].width : rows[i].width;
    }
    return TW_OK;
}
