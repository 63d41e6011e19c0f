/*
 * Columns of a band: for every width a column may have and every height at once, the stack of
 * prints worth most. One knapsack over heights, to which each
 * wider column adds its prints; prints narrower than the column are trimmed (the last of the three
 * cut stages and its trimming cut).
 */
#include "layout/band.h"

#include <stdlib.h>
#include <string.h>

typedef struct class_key {
    int32_t width;
    bool inner;
} class_key;

static int compare_classes(const void *a, const void *b) {
    const class_key *x = a, *y = b;
    if (x->width != y->width)
        return x->width < y->width ? -1 : 1;
    return (int)x->inner - (int)y->inner;
}

static size_t add_key(const tw_band_set *set, int32_t width, bool inner, class_key *keys,
                      size_t count) {
    if (width > 0 && width <= set->width)
        keys[count++] = (class_key){width, inner};
    return count;
}

/* Every width a print has, lying either way, once; where there are inner prints, once for columns
 * that may lie at the band's ends and once for those that hold any print. */
static size_t gather_classes(const tw_band_set *set, class_key *keys) {
    size_t count = 0, kept = 0;
    for (int t = 0; t < set->count; t++)
        for (int way = 0; way < 2; way++) {
            const tw_band_type *type = &set->types[t];
            if (set->edge == 0 || !type->inner[way])
                count = add_key(set, type->width[way], false, keys, count);
            if (set->edge > 0)
                count = add_key(set, type->width[way], true, keys, count);
        }
    if (count > 0)
        qsort(keys, count, sizeof *keys, compare_classes);
    for (size_t i = 0; i < count; i++)
        if (kept == 0 || compare_classes(&keys[kept - 1], &keys[i]) != 0)
            keys[kept++] = keys[i];
    return kept;
}

static tw_code take_classes(tw_arena *arena, const tw_band_set *set, tw_columns *out,
                            tw_error *error) {
    size_t most = (size_t)set->count * 4;
    class_key *keys = tw_arena_array(arena, most, sizeof *keys);
    out->class_width = tw_arena_array(arena, most, sizeof *out->class_width);
    out->class_inner = tw_arena_array(arena, most, sizeof *out->class_inner);
    if (keys == NULL || out->class_width == NULL || out->class_inner == NULL)
        return tw_no_memory(error);
    out->class_count = (int)gather_classes(set, keys);
    for (int c = 0; c < out->class_count; c++) {
        out->class_width[c] = keys[c].width;
        out->class_inner[c] = keys[c].inner;
    }
    return TW_OK;
}

/* ---------------------------------------------------------------- prints by their width */

typedef struct tw_column_item {
    int32_t width, item; /* item: type * 2 + way */
} tw_column_item;

static int by_width(const void *a, const void *b) {
    const tw_column_item *x = a, *y = b;
    if (x->width != y->width)
        return x->width < y->width ? -1 : 1;
    return x->item < y->item ? -1 : x->item > y->item;
}

static tw_code take_items(tw_arena *arena, const tw_band_set *set, tw_columns *out,
                          tw_error *error) {
    size_t heights = (size_t)set->highest + 1;
    out->items = tw_arena_array(arena, (size_t)set->count * 2, sizeof *out->items);
    if (out->items == NULL)
        return tw_no_memory(error);
    for (int32_t t = 0; t < set->count; t++)
        for (int32_t way = 0; way < 2; way++)
            if (set->types[t].width[way] > 0)
                out->items[out->item_count++] =
                    (tw_column_item){set->types[t].width[way], t * 2 + way};
    if (out->item_count > 0)
        qsort(out->items, (size_t)out->item_count, sizeof *out->items, by_width);
    for (int b = 0; b < 2; b++) {
        out->bases[b].exact = tw_arena_array(arena, heights, sizeof(int64_t));
        out->bases[b].last = tw_arena_array(arena, heights, sizeof(int32_t));
        if (out->bases[b].exact == NULL || out->bases[b].last == NULL)
            return tw_no_memory(error);
    }
    return TW_OK;
}

tw_code tw_columns_start(tw_arena *arena, const tw_band_set *set, tw_columns *out,
                         tw_error *error) {
    size_t heights = (size_t)set->highest + 1;
    *out = (tw_columns){.set = set};
    tw_code code = take_classes(arena, set, out, error);
    if (code != TW_OK)
        return code;
    size_t cells = heights * (size_t)out->class_count;
    out->exact = tw_arena_array(arena, cells, sizeof(int64_t));
    out->best = tw_arena_array(arena, cells, sizeof(int64_t));
    out->last = tw_arena_array(arena, cells, sizeof(int32_t));
    out->under = tw_arena_array(arena, cells, sizeof(int32_t));
    code = take_items(arena, set, out, error);
    if (code != TW_OK)
        return code;
    out->reached = tw_arena_array(arena, heights, sizeof(bool));
    out->spent = tw_arena_array(arena, heights, sizeof(int32_t));
    if (out->exact == NULL || out->best == NULL || out->last == NULL || out->under == NULL ||
        out->reached == NULL || out->spent == NULL)
        return tw_no_memory(error);
    return TW_OK;
}

/* Let one print into the stacks of one width: as often as it fits, or `limit` times. */
static void stack_item(tw_columns *columns, int64_t *exact, int32_t *last, int32_t item,
                       int32_t height, int64_t value, int32_t limit) {
    int32_t *spent = columns->spent;
    columns->work += columns->highest;
    for (int32_t h = 0; h < height && h <= columns->highest; h++)
        spent[h] = 0;
    for (int32_t h = height; h <= columns->highest; h++) {
        int64_t below = exact[h - height];
        spent[h] = 0;
        if (below < 0 || below + value <= exact[h] || spent[h - height] >= limit)
            continue;
        exact[h] = below + value;
        last[h] = item;
        spent[h] = spent[h - height] + 1;
    }
}

/* best[h]: a stack of just h, or one that leaves a strip wide enough to cut off. */
static void spread_best(const tw_columns *columns, const int64_t *exact, int64_t *best,
                        int32_t *under) {
    int32_t strip = columns->set->strip_along < 1 ? 1 : columns->set->strip_along;
    int64_t top = 0;
    int32_t top_height = 0;
    for (int32_t h = 0; h <= columns->highest; h++) {
        if (h >= strip && exact[h - strip] > top) {
            top = exact[h - strip];
            top_height = h - strip;
        }
        bool just = exact[h] >= top && exact[h] > 0;
        best[h] = just ? exact[h] : top;
        under[h] = just ? h : top_height;
    }
}

/* What the prints are worth this time, and how many of each there are. */
typedef struct filling {
    tw_columns *columns;
    const int64_t *value;
    const int32_t *limit;
} filling;

/* Let an item into these stacks where it may be there at all. */
static void add_item(const filling *fill, const tw_column_item *one, bool with_inner,
                     int64_t *exact, int32_t *last) {
    const tw_band_set *set = fill->columns->set;
    const tw_band_type *type = &set->types[one->item / 2];
    int way = one->item % 2;
    int32_t most = fill->limit == NULL ? INT32_MAX : fill->limit[one->item / 2];
    int64_t value = fill->value[one->item / 2];
    if (most > 0 && value > 0 && (set->edge == 0 || !type->inner[way] || with_inner))
        stack_item(fill->columns, exact, last, one->item, type->height[way], value, most);
}

/* Prints narrower than the column leave a strip beside them that can be cut off. */
static void widen_base(const filling *fill, tw_column_base *base, int32_t width, bool with_inner) {
    const tw_columns *columns = fill->columns;
    int32_t strip = columns->set->strip_across > 1 ? columns->set->strip_across : 1;
    for (; base->next < columns->item_count && columns->items[base->next].width <= width - strip;
         base->next++)
        add_item(fill, &columns->items[base->next], with_inner, base->exact, base->last);
}

static void fill_class(const filling *fill, int class_index) {
    tw_columns *columns = fill->columns;
    size_t row = (size_t)class_index * ((size_t)columns->set->highest + 1);
    int32_t width = columns->class_width[class_index];
    bool with_inner = columns->class_inner[class_index];
    tw_column_base *base = &columns->bases[with_inner];
    int64_t *exact = columns->exact + row;
    int32_t *last = columns->last + row;
    widen_base(fill, base, width, with_inner);
    memcpy(exact, base->exact, ((size_t)columns->highest + 1) * sizeof *exact);
    memcpy(last, base->last, ((size_t)columns->highest + 1) * sizeof *last);
    for (int i = base->next; i < columns->item_count && columns->items[i].width <= width; i++)
        if (columns->items[i].width == width)
            add_item(fill, &columns->items[i], with_inner, exact, last);
    for (int32_t h = 1; h <= columns->highest; h++)
        columns->reached[h] = columns->reached[h] || exact[h] > 0;
    spread_best(columns, exact, columns->best + row, columns->under + row);
    columns->work += 1 * (int64_t)columns->highest;
}

void tw_columns_fill(tw_columns *columns, const int64_t *value, const int32_t *limit,
                     int32_t highest) {
    filling fill = {columns, value, limit};
    columns->highest = highest < columns->set->highest ? highest : columns->set->highest;
    for (int b = 0; b < 2; b++) {
        columns->bases[b].next = 0;
        columns->bases[b].exact[0] = 0;
        for (int32_t h = 1; h <= columns->highest; h++)
            columns->bases[b].exact[h] = -1;
    }
    for (int32_t h = 0; h <= columns->highest; h++)
        columns->reached[h] = false;
    for (int c = 0; c < columns->class_count; c++)
        fill_class(&fill, c);
}

void tw_column_makes(const tw_columns *columns, int class_index, int32_t height, int32_t *makes) {
    const tw_band_set *set = columns->set;
    size_t base = (size_t)class_index * ((size_t)set->highest + 1);
    for (int32_t h = columns->under[base + (size_t)height]; h > 0;) {
        int32_t item = columns->last[base + (size_t)h];
        makes[item / 2]++;
        h -= set->types[item / 2].height[item % 2];
    }
}

static void count_runs(const tw_columns *columns, size_t base, int32_t height,
                       tw_band_column *out) {
    int32_t previous = -1;
    for (int32_t h = height; h > 0;) {
        int32_t item = columns->last[base + (size_t)h];
        if (item != previous)
            out->run_count++;
        if (out->runs != NULL) {
            tw_band_run *run = &out->runs[out->run_count - 1];
            run->type = (int16_t)(item / 2);
            run->way = (int16_t)(item % 2);
            run->count++;
        }
        previous = item;
        h -= columns->set->types[item / 2].height[item % 2];
    }
}

tw_code tw_column_take(tw_arena *arena, const tw_columns *columns, int class_index, int32_t height,
                       tw_band_column *out, tw_error *error) {
    size_t base = (size_t)class_index * ((size_t)columns->set->highest + 1);
    int32_t stack = columns->under[base + (size_t)height];
    *out = (tw_band_column){.width = columns->class_width[class_index]};
    count_runs(columns, base, stack, out);
    out->runs = tw_arena_array(arena, (size_t)out->run_count, sizeof *out->runs);
    if (out->runs == NULL)
        return tw_no_memory(error);
    out->run_count = 0;
    count_runs(columns, base, stack, out);
    return TW_OK;
}
