#include "layout/search_column.h"

#include <stdlib.h>

/* WINDOW: entries a column chooses from; fewer find worse columns, more find hardly better ones. */
enum {
    WINDOW = 120,
    CELLS_MOST = 4 << 20,
    CELLS_A_STEP = 80,
    LOOKS_A_STEP = 12,
    UNREACHED = INT32_MIN / 2
};

/* ------------------------------------------------- entries and widths */

static int by_width(const void *left, const void *right) {
    const tw_column_entry *a = left, *b = right;
    if (a->width != b->width)
        return a->width < b->width ? -1 : 1;
    return (a->item > b->item) - (a->item < b->item);
}

static void list_entries(tw_column_maker *columns) {
    const tw_kinds_set *kinds = columns->kinds;
    for (int k = 0; k < kinds->count; k++) {
        const tw_search_kind *kind = &kinds->items[k];
        for (int n = 0; n < kind->count; n++)
            for (int way = 0; way < kind->ways; way++) {
                if (kind->width[way] > kinds->width)
                    continue;
                columns->entries[columns->entry_count++] = (tw_column_entry){
                    kind->width[way], kind->height[way], kind->first + n, {k, (int16_t)way, 0}};
            }
    }
    qsort(columns->entries, (size_t)columns->entry_count, sizeof *columns->entries, by_width);
}

/* Every width of an entry, with the entries up to it; those of one width are not parted. */
static void list_targets(tw_column_maker *columns) {
    const tw_column_entry *entries = columns->entries;
    for (int e = 0; e < columns->entry_count; e++) {
        if (e + 1 < columns->entry_count && entries[e + 1].width == entries[e].width)
            continue;
        int low = e + 1 > WINDOW ? e + 1 - WINDOW : 0;
        while (low > 0 && entries[low - 1].width == entries[low].width)
            low--;
        columns->targets[columns->target_count++] =
            (tw_column_target){.width = entries[e].width, .low = low, .high = e + 1};
    }
}

tw_code tw_column_maker_new(tw_arena *arena, const tw_kinds_set *kinds, int32_t height_most,
                            tw_column_maker *out, bool *fits, tw_error *error) {
    size_t items = (size_t)kinds->item_count;
    size_t cells = ((size_t)height_most + 1) * (items + 1);
    *out = (tw_column_maker){.kinds = kinds};
    *fits = cells <= CELLS_MOST;
    if (!*fits)
        return TW_OK;
    out->entries = tw_arena_array(arena, 2 * items, sizeof *out->entries);
    out->targets = tw_arena_array(arena, 2 * items, sizeof *out->targets);
    out->used = tw_arena_array(arena, items, sizeof *out->used);
    out->listed = tw_arena_array(arena, items, sizeof *out->listed);
    out->met = tw_arena_array(arena, items, sizeof *out->met);
    out->layers = tw_arena_array(arena, cells, sizeof *out->layers);
    if (out->entries == NULL || out->targets == NULL || out->used == NULL || out->listed == NULL ||
        out->met == NULL || out->layers == NULL)
        return tw_no_memory(error);
    list_entries(out);
    list_targets(out);
    return TW_OK;
}

void tw_column_maker_start(tw_column_maker *columns, int32_t height, bool fresh) {
    columns->height = height;
    for (int i = 0; fresh && i < columns->kinds->item_count; i++)
        columns->used[i] = false;
    for (int t = 0; t < columns->target_count; t++) {
        columns->targets[t].worth = TW_COLUMN_WORTH;
        columns->targets[t].known = false;
    }
}

/* ------------------------------------------------- one width */

/* What is trimmed off beside an item is nothing, or thick enough to cut. */
static bool can_stand(const tw_column_maker *columns, const tw_column_target *target,
                      const tw_column_entry *entry) {
    int32_t beside = target->width - entry->width;
    return !columns->used[entry->item] && columns->met[entry->item] != columns->turn &&
           entry->height <= columns->height && (beside == 0 || beside >= columns->kinds->strip);
}

/* Widest first: an item that could stand both ways then lies wide, which takes less height. */
static void list_column(tw_column_maker *columns, const tw_column_target *target) {
    columns->listed_count = 0;
    columns->turn++;
    for (int e = target->high - 1; e >= target->low; e--) {
        if (!can_stand(columns, target, &columns->entries[e]))
            continue;
        columns->met[columns->entries[e].item] = columns->turn;
        columns->listed[columns->listed_count++] = e;
    }
}

/* next[x]: most worth of stacks exactly x high, with one entry more than `from` had. */
static void add_layer(const int32_t *restrict from, int32_t *restrict next, int32_t most,
                      int32_t height, int32_t worth) {
    for (int32_t x = 0; x < height; x++)
        next[x] = from[x];
    for (int32_t x = height; x <= most; x++) {
        int32_t with = from[x - height] + worth;
        next[x] = with > from[x] ? with : from[x];
    }
}

static int32_t *layer(const tw_column_maker *columns, int number) {
    return &columns->layers[(size_t)number * ((size_t)columns->height + 1)];
}

/* Fill the layers for the entries listed. The height of the best stack: the column's, or less by
 * a strip thick enough to cut. */
static int32_t stack_up(tw_column_maker *columns) {
    int32_t *first = layer(columns, 0), high = columns->height;
    for (int32_t x = 0; x <= high; x++)
        first[x] = x == 0 ? 0 : UNREACHED;
    for (int k = 0; k < columns->listed_count; k++) {
        const tw_column_entry *entry = &columns->entries[columns->listed[k]];
        add_layer(layer(columns, k), layer(columns, k + 1), high, entry->height,
                  columns->worth[entry->item]);
    }
    const int32_t *last = layer(columns, columns->listed_count);
    int32_t best = 0;
    for (int32_t x = 0; x <= high; x++)
        if (last[x] > last[best] && (x == high || high - x >= columns->kinds->strip))
            best = x;
    columns->steps += (int64_t)(columns->listed_count + 1) * (high + 16) / CELLS_A_STEP;
    return best;
}

static void solve(tw_column_maker *columns, tw_column_target *target) {
    list_column(columns, target);
    int32_t best = stack_up(columns);
    target->worth = layer(columns, columns->listed_count)[best];
    target->known = true;
    columns->steps += (target->high - target->low + columns->target_count) / LOOKS_A_STEP + 1;
}

/* ------------------------------------------------- the best of all widths */

/* More worth for its width; of equal ones the narrower. */
static bool is_better(const tw_column_target *a, const tw_column_target *b) {
    return a->worth * b->width > b->worth * a->width;
}

/* Worth only falls while items are used up, so what is not known anew is a limit. NULL: no more
 * steps. */
static tw_column_target *find_best(tw_column_maker *columns) {
    for (;;) {
        tw_column_target *best = &columns->targets[0];
        for (int t = 1; t < columns->target_count; t++)
            if (is_better(&columns->targets[t], best))
                best = &columns->targets[t];
        if (best->known)
            return best;
        if (columns->steps >= columns->end)
            return NULL;
        solve(columns, best);
    }
}

static bool looks_at(const tw_column_maker *columns, const tw_column_target *target,
                     int32_t width) {
    return width <= target->width && width >= columns->entries[target->low].width;
}

/* No column that looked at this item knows its worth any more. */
static void use(tw_column_maker *columns, const tw_column_entry *entry) {
    const tw_search_kind *kind = &columns->kinds->items[entry->put.kind];
    columns->used[entry->item] = true;
    for (int t = 0; t < columns->target_count; t++)
        for (int way = 0; way < kind->ways; way++)
            if (looks_at(columns, &columns->targets[t], kind->width[way]))
                columns->targets[t].known = false;
}

int tw_column_maker_take(tw_column_maker *columns, int *out) {
    const tw_column_target *best = find_best(columns);
    int count = 0;
    if (best == NULL || best->worth == 0)
        return 0;
    list_column(columns, best);
    int32_t x = stack_up(columns);
    for (int k = columns->listed_count - 1; k >= 0; k--) {
        if (layer(columns, k + 1)[x] == layer(columns, k)[x])
            continue;
        out[count++] = columns->listed[k];
        x -= columns->entries[columns->listed[k]].height;
    }
    for (int i = 0; i < count; i++)
        use(columns, &columns->entries[out[i]]);
    return count;
}
