/*
 * Pricing a band: the columns that together are worth most side by side. A knapsack over the
 * width, whose items are the best stacks of each column width at the band's height.
 */
#include "layout/band.h"

tw_code tw_pricer_start(tw_arena *arena, const tw_band_set *set, tw_pricer *out, tw_error *error) {
    *out = (tw_pricer){0};
    tw_code code = tw_columns_start(arena, set, &out->columns, error);
    if (code != TW_OK)
        return code;
    out->across = tw_arena_array(arena, (size_t)set->width + 1, sizeof(int64_t));
    out->choice = tw_arena_array(arena, (size_t)set->width + 1, sizeof(int32_t));
    out->useful = tw_arena_array(arena, (size_t)out->columns.class_count, sizeof(int));
    out->makes = tw_arena_array(arena, (size_t)set->count, sizeof(int32_t));
    out->left = tw_arena_array(arena, (size_t)set->count, sizeof(int32_t));
    if (out->across == NULL || out->choice == NULL || out->useful == NULL || out->makes == NULL ||
        out->left == NULL)
        return tw_no_memory(error);
    return TW_OK;
}

static int64_t value_at(const tw_columns *columns, int class_index, int32_t height) {
    return columns
        ->best[(size_t)class_index * ((size_t)columns->set->highest + 1) + (size_t)height];
}

int64_t tw_price_ceiling(const tw_pricer *pricer, int32_t height) {
    const tw_columns *columns = &pricer->columns;
    int64_t top = 0;
    for (int c = 0; c < columns->class_count; c++) {
        /* rounded up: a ceiling must not fall under the true value */
        int64_t all = value_at(columns, c, height) * columns->set->width;
        int64_t value = (all + columns->class_width[c] - 1) / columns->class_width[c];
        top = value > top ? value : top;
    }
    return top;
}

/* Classes worth more than every narrower one; the others never help, unless the strip rule makes
 * an exact width matter, and then the wider class is filled with the narrower one's prints. */
static int find_useful(tw_pricer *pricer, int32_t height) {
    const tw_columns *columns = &pricer->columns;
    bool keep_equal = columns->set->strip_across > 1;
    int64_t top = 0;
    int count = 0;
    for (int c = 0; c < columns->class_count; c++) {
        int64_t value = value_at(columns, c, height);
        if (value > top || (keep_equal && value > 0))
            pricer->useful[count++] = c;
        top = value > top ? value : top;
    }
    return count;
}

/* across[w]: best columns of total width just w, or -1. */
static void knapsack_exact(tw_pricer *pricer, int32_t height, int32_t width) {
    const tw_columns *columns = &pricer->columns;
    int useful = find_useful(pricer, height);
    pricer->across[0] = 0;
    for (int32_t w = 1; w <= width; w++) {
        pricer->across[w] = -1;
        pricer->choice[w] = -1;
    }
    for (int i = 0; i < useful; i++) {
        int32_t wide = columns->class_width[pricer->useful[i]];
        int64_t value = value_at(columns, pricer->useful[i], height);
        for (int32_t w = wide; w <= width; w++)
            if (pricer->across[w - wide] >= 0 &&
                pricer->across[w - wide] + value > pricer->across[w]) {
                pricer->across[w] = pricer->across[w - wide] + value;
                pricer->choice[w] = pricer->useful[i];
            }
    }
}

/* The total width to use: all of it, or little enough to leave a strip that can be cut off. */
static int32_t best_width(const tw_pricer *pricer, int32_t width) {
    int32_t strip = pricer->columns.set->strip_across < 1 ? 1 : pricer->columns.set->strip_across;
    int32_t best = 0;
    for (int32_t w = 1; w <= width - strip; w++)
        if (pricer->across[w] > pricer->across[best])
            best = w;
    return width > 0 && pricer->across[width] >= pricer->across[best] ? width : best;
}

int64_t tw_price_height(tw_pricer *pricer, int32_t height) {
    int32_t width = pricer->columns.set->width;
    knapsack_exact(pricer, height, width);
    return pricer->across[best_width(pricer, width)];
}

static bool within(const int32_t *makes, const int32_t *limit, int count) {
    for (int t = 0; t < count; t++)
        if (makes[t] > limit[t])
            return false;
    return true;
}

/* What the knapsack's choice makes in all; true when no limit is passed. */
static bool choice_within(tw_pricer *pricer, const int32_t *limit, int32_t height, int32_t width) {
    const tw_columns *columns = &pricer->columns;
    for (int t = 0; t < columns->set->count; t++)
        pricer->makes[t] = 0;
    for (int32_t w = best_width(pricer, width); w > 0;) {
        tw_column_makes(columns, pricer->choice[w], height, pricer->makes);
        w -= columns->class_width[pricer->choice[w]];
    }
    return limit == NULL || within(pricer->makes, limit, columns->set->count);
}

/* The column to lay down first: the one worth most for its width. */
static int densest_column(const tw_pricer *pricer, int32_t height, int32_t width) {
    const tw_columns *columns = &pricer->columns;
    int best = -1;
    for (int32_t w = best_width(pricer, width); w > 0;) {
        int c = pricer->choice[w];
        if (best < 0 || value_at(columns, c, height) * columns->class_width[best] >
                            value_at(columns, best, height) * columns->class_width[c])
            best = c;
        w -= columns->class_width[c];
    }
    return best;
}

static tw_code add_column(tw_arena *arena, const tw_pricer *pricer, int class_index, int32_t height,
                          tw_band *band, tw_error *error) {
    tw_column_makes(&pricer->columns, class_index, height, band->makes);
    return tw_column_take(arena, &pricer->columns, class_index, height,
                          &band->columns[band->column_count++], error);
}

/* All the columns of the knapsack's choice. */
static tw_code take_choice(tw_arena *arena, const tw_pricer *pricer, int32_t height, int32_t width,
                           tw_band *band, tw_error *error) {
    for (int32_t w = best_width(pricer, width); w > 0;) {
        int c = pricer->choice[w];
        tw_code code = add_column(arena, pricer, c, height, band, error);
        if (code != TW_OK)
            return code;
        w -= pricer->columns.class_width[c];
    }
    return TW_OK;
}

/* Take the column's prints out of left[]; false, and nothing taken, where there are too few. */
static bool spend_column(tw_pricer *pricer, int class_index, int32_t height) {
    int count = pricer->columns.set->count;
    for (int t = 0; t < count; t++)
        pricer->makes[t] = 0;
    tw_column_makes(&pricer->columns, class_index, height, pricer->makes);
    if (!within(pricer->makes, pricer->left, count))
        return false;
    for (int t = 0; t < count; t++)
        pricer->left[t] -= pricer->makes[t];
    return true;
}

/* Lay columns one by one, each time pricing what is left of the width with what is left to make;
 * as soon as a choice keeps all limits, take it whole. */
static tw_code fill_limited(tw_arena *arena, tw_pricer *pricer, const int64_t *value,
                            int32_t height, tw_band *band, tw_error *error) {
    tw_columns *columns = &pricer->columns;
    int32_t width = columns->set->width;
    tw_columns_fill(columns, value, pricer->left, height);
    for (;;) {
        knapsack_exact(pricer, height, width);
        if (choice_within(pricer, pricer->left, height, width))
            return take_choice(arena, pricer, height, width, band, error);
        int c = densest_column(pricer, height, width);
        if (!spend_column(pricer, c, height)) { /* see stack_item: a limit may be passed */
            columns->best[(size_t)c * ((size_t)columns->set->highest + 1) + (size_t)height] = 0;
            continue;
        }
        tw_code code = add_column(arena, pricer, c, height, band, error);
        if (code != TW_OK)
            return code;
        width -= columns->class_width[c];
        tw_columns_fill(columns, value, pricer->left, height);
    }
}

static tw_code new_band(tw_arena *arena, const tw_band_set *set, tw_band **out, tw_error *error) {
    int32_t narrowest = set->width;
    for (int t = 0; t < set->count; t++)
        for (int way = 0; way < 2; way++)
            if (set->types[t].width[way] > 0 && set->types[t].width[way] < narrowest)
                narrowest = set->types[t].width[way];
    *out = tw_arena_take(arena, sizeof **out);
    if (*out == NULL)
        return tw_no_memory(error);
    (*out)->columns =
        tw_arena_array(arena, (size_t)(set->width / narrowest), sizeof *(*out)->columns);
    (*out)->makes = tw_arena_array(arena, (size_t)set->count, sizeof(int32_t));
    if ((*out)->columns == NULL || (*out)->makes == NULL)
        return tw_no_memory(error);
    return TW_OK;
}

static int32_t stack_height(const tw_band_set *set, const tw_band_column *column) {
    int32_t stack = 0;
    for (int32_t r = 0; r < column->run_count; r++)
        stack +=
            column->runs[r].count * set->types[column->runs[r].type].height[column->runs[r].way];
    return stack;
}

/* As tall as its tallest stack, unless that leaves another column a strip too thin to cut: every
 * column was chosen to leave none or enough under `height`. */
static int32_t true_height(const tw_band_set *set, const tw_band *band, int32_t height) {
    int32_t tallest = 0;
    for (int32_t c = 0; c < band->column_count; c++) {
        int32_t stack = stack_height(set, &band->columns[c]);
        tallest = stack > tallest ? stack : tallest;
    }
    for (int32_t c = 0; c < band->column_count; c++) {
        int32_t strip = tallest - stack_height(set, &band->columns[c]);
        if (strip > 0 && strip < set->strip_along)
            return height;
    }
    return tallest;
}

tw_code tw_price_band(tw_arena *arena, tw_pricer *pricer, const int64_t *value,
                      const int32_t *limit, int32_t height, tw_band **out, tw_error *error) {
    const tw_band_set *set = pricer->columns.set;
    tw_band *band = NULL;
    tw_code code = new_band(arena, set, &band, error);
    *out = NULL;
    if (code != TW_OK)
        return code;
    if (limit == NULL) {
        knapsack_exact(pricer, height, set->width);
        code = take_choice(arena, pricer, height, set->width, band, error);
    } else {
        for (int t = 0; t < set->count; t++)
            pricer->left[t] = limit[t];
        code = fill_limited(arena, pricer, value, height, band, error);
    }
    band->height = true_height(set, band, height);
    if (code == TW_OK && band->column_count > 0)
        *out = band;
    return code;
}
