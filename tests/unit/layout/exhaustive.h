/*
 * The shortest plan of a few prints by trying everything: for tests of the layout, which this
 * shares nothing with. Whole units, a strip of one width, white prints that may lie on its edges,
 * the same gap between neighbours, any strip of waste, bands cut apart without a gap.
 *
 * For every set of prints it keeps the smallest rectangles that hold just them (none both wider
 * and higher than another), made of the rectangles of two smaller sets beside or above one another:
 * all that edge-to-edge cuts can part (Wang, Operations Research 31, 1983, builds patterns so).
 */
#ifndef TW_TEST_EXHAUSTIVE_H
#define TW_TEST_EXHAUSTIVE_H

#include "testing.h"

#define EXHAUSTIVE_MOST 7
enum { SETS = 1 << EXHAUSTIVE_MOST, CORNERS_MOST = 128 };

typedef struct few_print {
    int width, height;
    bool turns;
} few_print;

typedef struct few_prints {
    few_print prints[EXHAUSTIVE_MOST];
    int count, width, gap;
} few_prints;

typedef struct corner {
    int width, height;
} corner;

/* Rectangles that hold a set, none within another. */
typedef struct corners {
    corner items[CORNERS_MOST];
    int count;
} corners;

static inline int exhaustive_larger(int a, int b) {
    return a > b ? a : b;
}

static inline void corners_add(corners *list, const few_prints *few, int width, int height) {
    int kept = 0;
    if (width > few->width)
        return;
    for (int i = 0; i < list->count; i++)
        if (list->items[i].width <= width && list->items[i].height <= height)
            return;
    for (int i = 0; i < list->count; i++)
        if (list->items[i].width < width || list->items[i].height < height)
            list->items[kept++] = list->items[i];
    assert_true(kept < CORNERS_MOST);
    list->items[kept] = (corner){width, height};
    list->count = kept + 1;
}

typedef void corners_join(corners *list, const few_prints *few, corner a, corner b);

static inline void join_beside(corners *list, const few_prints *few, corner a, corner b) {
    corners_add(list, few, a.width + few->gap + b.width, exhaustive_larger(a.height, b.height));
}

static inline void join_above(corners *list, const few_prints *few, corner a, corner b) {
    corners_add(list, few, exhaustive_larger(a.width, b.width), a.height + few->gap + b.height);
}

/* Every rectangle of `part` with every one of `rest`. */
static inline void join_all(corners *list, const few_prints *few, const corners *part,
                            const corners *rest, corners_join *join) {
    for (int i = 0; i < part->count; i++)
        for (int k = 0; k < rest->count; k++)
            join(list, few, part->items[i], rest->items[k]);
}

static inline void corners_alone(corners *list, const few_prints *few, int print) {
    const few_print *p = &few->prints[print];
    corners_add(list, few, p->width, p->height);
    if (p->turns)
        corners_add(list, few, p->height, p->width);
}

static inline void all_alone(corners *of, const few_prints *few) {
    for (int set = 0; set < SETS; set++)
        of[set].count = 0;
    for (int i = 0; i < few->count; i++)
        corners_alone(&of[1 << i], few, i);
}

/* Two parts of every set, the first with its lowest print: `part` holds of both. */
static inline void join_sets(corners *out, const corners *part, const few_prints *few,
                             corners_join *join) {
    for (int set = 1; set < 1 << few->count; set++)
        for (int sub = (set - 1) & set; sub > 0; sub = (sub - 1) & set)
            if ((sub & -sub) == (set & -set))
                join_all(&out[set], few, &part[sub], &out[set ^ sub], join);
}

static inline int least_height(const corners *list) {
    int least = INT32_MAX / 2;
    for (int i = 0; i < list->count; i++)
        least = list->items[i].height < least ? list->items[i].height : least;
    return least;
}

/* Bands below one another, each a set of prints. */
static inline int bands_of(const corners *band, const few_prints *few) {
    int least[SETS] = {0};
    for (int set = 1; set < 1 << few->count; set++) {
        least[set] = least_height(&band[set]);
        for (int sub = (set - 1) & set; sub > 0; sub = (sub - 1) & set)
            if (least[sub] + least[set ^ sub] < least[set])
                least[set] = least[sub] + least[set ^ sub];
    }
    return least[(1 << few->count) - 1];
}

/* Cut to any depth. */
static inline int exhaustive_free(const few_prints *few) {
    static corners of[SETS];
    all_alone(of, few);
    for (int set = 1; set < 1 << few->count; set++)
        for (int sub = (set - 1) & set; sub > 0; sub = (sub - 1) & set)
            if ((sub & -sub) == (set & -set)) {
                join_all(&of[set], few, &of[sub], &of[set ^ sub], join_beside);
                join_all(&of[set], few, &of[sub], &of[set ^ sub], join_above);
            }
    return bands_of(of, few);
}

/* Across, along, across, and a trimming cut: columns of stacked prints side by side in bands. */
static inline int exhaustive_staged(const few_prints *few) {
    static corners column[SETS], band[SETS];
    all_alone(column, few);
    join_sets(column, column, few, join_above);
    for (int set = 0; set < SETS; set++)
        band[set] = column[set];
    join_sets(band, column, few, join_beside);
    return bands_of(band, few);
}

#endif
