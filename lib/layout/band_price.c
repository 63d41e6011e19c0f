/*
 * Pricing a band: the columns that together are worth most side by side. A knapsack over the
 * width, whose items are the best stacks of each column width at the band's height.
 *
 * Where some prints keep away from the paper's edge (they bleed, or their border is thinner than
 * its margin), the knapsack also knows how many columns may lie at the ends: state 0 none, 1 one,
 * 2 two or more, 3 a single column that lies at both ends. An end without such a column costs
 * `edge`.
 */
#include "layout/band.h"

tw_code tw_pricer_start(tw_arena *arena, const tw_band_set *set, tw_pricer *out, tw_error *error) {
    *out = (tw_pricer){.states = set->edge > 0 ? 4 : 1};
    tw_code code = tw_columns_start(arena, set, &out->columns, error);
    if (code != TW_OK)
        return code;
    size_t cells = (size_t)out->states * ((size_t)set->width + 1);
    out->across = tw_arena_array(arena, cells, sizeof(int64_t));
    out->choice = tw_arena_array(arena, cells, sizeof(int32_t));
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

/* Do narrower columns, side by side in its width, hold as much? */
static bool is_beaten(const tw_pricer *pricer, int count, int class_index, int32_t height) {
    const tw_columns *columns = &pricer->columns;
    int64_t value = value_at(columns, class_index, height);
    for (int i = 0; i < count; i++) {
        int narrow = pricer->useful[i];
        int32_t times = columns->class_width[class_index] / columns->class_width[narrow];
        if (times * value_at(columns, narrow, height) >= value)
            return true;
    }
    return false;
}

/* Classes that may help: those not beaten; all, where the strip rule makes an exact width matter.
 */
static int find_useful(tw_pricer *pricer, int32_t height) {
    const tw_columns *columns = &pricer->columns;
    bool keep_equal = columns->set->end_strip > 1 || pricer->states > 1;
    int count = 0;
    for (int c = 0; c < columns->class_count; c++) {
        if (value_at(columns, c, height) <= 0)
            continue;
        pricer->work += keep_equal ? 1 : count;
        if (keep_equal || !is_beaten(pricer, count, c, height))
            pricer->useful[count++] = c;
    }
    return count;
}

static void add_to_state(tw_pricer *pricer, int from, int to, int class_index, int64_t value,
                         int32_t width) {
    const tw_columns *columns = &pricer->columns;
    int32_t wide = columns->class_width[class_index];
    size_t line = (size_t)columns->set->width + 1;
    const int64_t *before = pricer->across + (size_t)from * line;
    int64_t *across = pricer->across + (size_t)to * line;
    int32_t *choice = pricer->choice + (size_t)to * line;
    int32_t chosen = class_index * pricer->states + from;
    for (int32_t w = wide; w <= width; w++)
        if (before[w - wide] >= 0 && before[w - wide] + value > across[w]) {
            across[w] = before[w - wide] + value;
            choice[w] = chosen;
        }
}

/* Those from a higher state first: a state reached in this round is not left in it again but by
 * the same class, which is what the unbounded knapsack is. */
static void add_class(tw_pricer *pricer, int class_index, int64_t value, int32_t width) {
    if (pricer->states == 1 || pricer->columns.class_inner[class_index]) {
        for (int state = 0; state < pricer->states && state < 3; state++)
            add_to_state(pricer, state, state, class_index, value, width);
        return;
    }
    int32_t wide = pricer->columns.class_width[class_index];
    size_t single = 3 * ((size_t)pricer->columns.set->width + 1) + (size_t)wide;
    if (wide <= width && value > pricer->across[single]) {
        pricer->across[single] = value;
        pricer->choice[single] = class_index * pricer->states;
    }
    add_to_state(pricer, 0, 1, class_index, value, width);
    add_to_state(pricer, 1, 2, class_index, value, width);
    add_to_state(pricer, 2, 2, class_index, value, width);
}

/* across[state][w]: best columns of total width just w, or -1. */
static void knapsack_exact(tw_pricer *pricer, int32_t height, int32_t width) {
    const tw_columns *columns = &pricer->columns;
    int useful = find_useful(pricer, height);
    size_t line = (size_t)columns->set->width + 1;
    for (int state = 0; state < pricer->states; state++)
        for (int32_t w = 0; w <= width; w++) {
            pricer->across[(size_t)state * line + (size_t)w] = -1;
            pricer->choice[(size_t)state * line + (size_t)w] = -1;
        }
    pricer->across[0] = 0;
    pricer->work += (int64_t)width * pricer->states * (useful + 4) / 2;
    for (int i = 0; i < useful; i++)
        add_class(pricer, pricer->useful[i], value_at(columns, pricer->useful[i], height), width);
}

/* A choice of columns: total width and state. */
typedef struct spot {
    int state;
    int32_t width;
} spot;

static int64_t value_of(const tw_pricer *pricer, spot at) {
    return pricer
        ->across[(size_t)at.state * ((size_t)pricer->columns.set->width + 1) + (size_t)at.width];
}

/* The total width to use: all of it, or little enough to leave a strip that can be cut off; less
 * where an end needs `edge`, and then what is left over joins the waste there. */
static spot best_spot(const tw_pricer *pricer, int32_t width) {
    const tw_band_set *set = pricer->columns.set;
    int32_t strip = set->end_strip < 1 ? 1 : set->end_strip;
    spot best = {0, 0};
    for (int state = 0; state < pricer->states; state++) {
        bool at_ends = pricer->states == 1 || state >= 2;
        int32_t most = at_ends ? width - strip : width - (2 - state) * set->edge;
        for (int32_t w = 1; w <= most; w++)
            if (value_of(pricer, (spot){state, w}) > value_of(pricer, best))
                best = (spot){state, w};
        if (at_ends && width > 0 &&
            value_of(pricer, (spot){state, width}) >= value_of(pricer, best))
            best = (spot){state, width};
    }
    return best;
}

/* The class of the column added last, and what was there before it; false at the beginning. */
static bool step_back(const tw_pricer *pricer, spot *at, int *class_index) {
    if (at->width <= 0)
        return false;
    int32_t chosen = pricer->choice[(size_t)at->state * ((size_t)pricer->columns.set->width + 1) +
                                    (size_t)at->width];
    *class_index = chosen / pricer->states;
    at->state = chosen % pricer->states;
    at->width -= pricer->columns.class_width[*class_index];
    return true;
}

int64_t tw_price_height(tw_pricer *pricer, int32_t height) {
    int32_t width = pricer->columns.set->width;
    knapsack_exact(pricer, height, width);
    return value_of(pricer, best_spot(pricer, width));
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
    int c = 0;
    for (spot at = best_spot(pricer, width); step_back(pricer, &at, &c);)
        tw_column_makes(columns, c, height, pricer->makes);
    return limit == NULL || within(pricer->makes, limit, columns->set->count);
}

/* The column to lay down first: the one worth most for its width. */
static int densest_column(const tw_pricer *pricer, int32_t height, int32_t width) {
    const tw_columns *columns = &pricer->columns;
    int best = -1;
    int c = 0;
    for (spot at = best_spot(pricer, width); step_back(pricer, &at, &c);)
        if (best < 0 || value_at(columns, c, height) * columns->class_width[best] >
                            value_at(columns, best, height) * columns->class_width[c])
            best = c;
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
    tw_code code = TW_OK;
    int c = 0;
    for (spot at = best_spot(pricer, width); code == TW_OK && step_back(pricer, &at, &c);)
        code = add_column(arena, pricer, c, height, band, error);
    return code;
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
    if (code != TW_OK)
        return code; /* its last column may lack its runs */
    band->height = true_height(set, band, height);
    *out = band->column_count > 0 ? band : NULL;
    return TW_OK;
}
