/*
 * The search by columns: for days of so many different sizes that columns can be filled to the
 * last unit. A number of bands and their height are set; columns of that height are filled one
 * after another, each with what is worth most for its width, until every item stands in one; when
 * all columns together are no wider than the bands, and can be parted among them, the bands are
 * made lower. Then again: what stood in a column that lost much is worth more the next time, and
 * is placed earlier.
 *
 * Sequential value correction; Belov, Scheithauer & Mukhacheva use it so for strips (Journal of
 * the Operational Research Society 59, 2008; from memory). That all columns are of one height, so
 * that any of them may stand in any band, is our own.
 */
#include <string.h>

#include "layout/band.h"
#include "layout/pieces.h"
#include "layout/search_column.h"

/* The first height tried is three hundredths over what the area needs. Each number of bands gets
 * a slice; then two slices go to the most promising number and one to the next. */
enum { LANES = 6, SLICES = 24, OVER_100 = 103, LOST_MOST = 8 };
/* Large items come first: 80/1024 more worth a doubling of the area. */
enum { LARGE_1024 = 120 };

/* Bands of one number, and what items are worth there by now. */
typedef struct lane {
    int bands;
    int32_t height; /* of all bands together: to reach */
    int64_t score;  /* least width of all columns, in 1000 of the bands' */
    bool ended;     /* an item that no column takes, or nothing shorter is possible */
    int32_t *worth;
} lane;

typedef struct stack {
    int first, count; /* chosen entries */
    int32_t width;
    int64_t area;
    int32_t height; /* asked for */
    int band;
} stack;

typedef struct finder {
    const tw_kinds_set *kinds;
    tw_column_maker columns;
    tw_by_columns *pass;
    lane lanes[LANES];
    int32_t *base; /* an item's worth at first */
    int *chosen;
    stack *stacks;
    int stack_count, low_count; /* the first low_count stacks are one unit lower */
    int16_t *reach; /* scratch of the parting: the stack that made this width; 0: none */
    tw_insertion *plan;
    tw_search_scratch scratch;
    uint64_t random;
} finder;

/* ------------------------------------------------- worth */

/* log2 in sixteenths, straight between powers of two. */
static int64_t log2_16(int64_t x) {
    int64_t whole = 0;
    while (x >> whole > 1)
        whole++;
    return 16 * whole + (x * 16 >> whole) - 16;
}

/* In shares of the area of all, so that units do not matter. */
static void set_base(finder *find) {
    const tw_kinds_set *kinds = find->kinds;
    int64_t all = (kinds->area >> kinds->area_shift) + 1;
    for (int k = 0; k < kinds->count; k++) {
        int64_t share = ((kinds->items[k].area >> kinds->area_shift) << 24) / all + 1;
        for (int n = 0; n < kinds->items[k].count; n++)
            find->base[kinds->items[k].first + n] =
                (int32_t)(share * (1024 + LARGE_1024 * log2_16(share) / 16) / 1024);
    }
}

/* One to four hundredths of the way, by chance, to what its place cost; further, and what was
 * learned from the tries before is soon forgotten. */
static int32_t corrected(finder *find, int32_t worth, int32_t base, const stack *in) {
    int64_t part = 10 + (int64_t)(tw_band_random(&find->random) % 30);
    int64_t cost = (int64_t)in->width * in->height;
    int64_t most = cost < LOST_MOST * in->area ? cost : LOST_MOST * in->area;
    int64_t lost = (most << 10) / in->area;
    return (int32_t)(((1024 - part) * worth + part * (base * lost >> 10)) >> 10);
}

static void correct(finder *find, lane *at) {
    for (int s = 0; s < find->stack_count; s++) {
        const stack *in = &find->stacks[s];
        for (int i = in->first; i < in->first + in->count; i++) {
            int32_t item = find->columns.entries[find->chosen[i]].item;
            at->worth[item] = corrected(find, at->worth[item], find->base[item], in);
        }
    }
}

/* ------------------------------------------------- columns for all items */

static stack measure(const finder *find, int first, int count) {
    stack made = {.first = first, .count = count, .height = find->columns.height, .band = -1};
    for (int i = first; i < first + count; i++) {
        const tw_column_entry *entry = &find->columns.entries[find->chosen[i]];
        made.width = entry->width > made.width ? entry->width : made.width;
        made.area += (int64_t)entry->width * entry->height;
    }
    return made;
}

/* Bands are of two heights, one unit apart, so that every height of the whole can be asked for. */
static int32_t higher(const lane *at) {
    return (at->height + at->bands - 1) / at->bands;
}

static int32_t lower_bands(const lane *at) {
    return at->bands * higher(at) - at->height;
}

/* The lower bands are filled first. The width of all columns; -1 when an item fits in none, or
 * there are no more steps. */
static int64_t fill(finder *find, const lane *at) {
    int32_t high = higher(at);
    int64_t low_width = (int64_t)lower_bands(at) * find->kinds->width, total = 0;
    find->columns.worth = at->worth;
    find->stack_count = find->low_count = 0;
    tw_column_maker_start(&find->columns, low_width > 0 ? high - 1 : high, true);
    for (int placed = 0; placed < find->kinds->item_count;) {
        if (find->columns.height < high && total >= low_width)
            tw_column_maker_start(&find->columns, high, false);
        int count = tw_column_maker_take(&find->columns, &find->chosen[placed]);
        if (count == 0)
            return -1;
        find->stacks[find->stack_count] = measure(find, placed, count);
        total += find->stacks[find->stack_count++].width;
        find->low_count += find->columns.height < high;
        placed += count;
    }
    return total;
}

/* ------------------------------------------------- parting them among the bands */

/* The widest sum of stacks below `end`, not yet in a band, that the band holds. */
static int32_t fullest(finder *find, int end) {
    int32_t width = find->kinds->width, best = width;
    memset(find->reach, 0, ((size_t)width + 1) * sizeof *find->reach);
    for (int s = 0; s < end; s++) {
        int32_t wide = find->stacks[s].width;
        for (int32_t x = width; find->stacks[s].band < 0 && x >= wide; x--)
            if (find->reach[x] == 0 && (x == wide || find->reach[x - wide] != 0))
                find->reach[x] = (int16_t)(s + 1);
    }
    while (best > 0 &&
           (find->reach[best] == 0 || (best < width && width - best < find->kinds->strip)))
        best--;
    return best;
}

/* True when every stack found its band; the lower bands take lower stacks alone. */
static bool part(finder *find, const lane *at) {
    int lows = lower_bands(at), left = find->stack_count;
    for (int b = 0; b < at->bands && left > 0; b++) {
        int32_t x = fullest(find, b < lows ? find->low_count : find->stack_count);
        for (; x > 0; left--) {
            stack *in = &find->stacks[find->reach[x] - 1];
            in->band = b;
            x -= in->width;
        }
    }
    return left == 0;
}

/* ------------------------------------------------- the plan */

static void write_plan(finder *find, int bands) {
    int at = 0;
    for (int b = 0; b < bands; b++) {
        int depth = 0; /* of the next: a new band, a new column, one more in it */
        for (int s = 0; s < find->stack_count; s++) {
            const stack *in = &find->stacks[s];
            for (int i = 0; in->band == b && i < in->count; i++, depth = 2) {
                find->plan[at] = find->columns.entries[find->chosen[in->first + i]].put;
                find->plan[at++].depth = (int16_t)depth;
            }
            depth = depth == 2 ? 1 : depth;
        }
    }
}

/* The columns as a plan, when it is the best so far. */
static void offer(finder *find, int bands) {
    tw_by_columns *pass = find->pass;
    write_plan(find, bands);
    int32_t height =
        tw_search_lay(find->kinds, find->plan, TW_COLUMNS_LEVELS, &find->scratch, NULL);
    if (height < 0 || height >= pass->best)
        return;
    pass->best = height;
    memcpy(pass->plan, find->plan, (size_t)find->kinds->item_count * sizeof *find->plan);
}

/* ------------------------------------------------- lanes */

static bool goes_on(const finder *find, int64_t end) {
    return find->columns.steps < end && !*find->pass->cancelled;
}

static void look_up(finder *find) {
    const tw_by_columns *pass = find->pass;
    if (tw_run_cancelled(pass->run))
        *pass->cancelled = true;
    tw_run_progress(pass->run, "laying out", (uint64_t)find->columns.steps,
                    (uint64_t)pass->steps_all);
}

/* One more try of this lane. */
static void try_once(finder *find, lane *at) {
    at->height = at->height < find->pass->best ? at->height : find->pass->best - 1;
    at->ended = at->height < find->pass->bound;
    if (at->ended)
        return;
    int64_t total = fill(find, at), room = (int64_t)at->bands * find->kinds->width;
    at->ended = total < 0;
    if (at->ended)
        return;
    if (total * 1000 / room < at->score)
        at->score = total * 1000 / room;
    if (total <= room && part(find, at)) {
        offer(find, at->bands);
        at->height--;
        at->score = 0;
    }
    correct(find, at);
}

static void run_lane(finder *find, lane *at, int slices) {
    int64_t end = find->columns.steps + slices * (find->columns.end / SLICES + 1);
    at->score = INT64_MAX;
    while (!at->ended && goes_on(find, end)) {
        try_once(find, at);
        look_up(find);
    }
}

/* The lane of least score but `not`; NULL when all have ended. */
static lane *most_promising(finder *find, const lane * not ) {
    lane *best = NULL;
    for (lane *at = find->lanes; at < find->lanes + LANES; at++)
        if (!at->ended && at != not &&(best == NULL || at->score < best->score))
            best = at;
    return best;
}

static void run_lanes(finder *find) {
    for (int l = 0; l < LANES; l++)
        run_lane(find, &find->lanes[l], 1);
    while (goes_on(find, find->columns.end)) {
        lane *first = most_promising(find, NULL);
        if (first == NULL)
            break;
        lane *second = most_promising(find, first);
        run_lane(find, first, 2);
        if (second != NULL)
            run_lane(find, second, 1);
    }
}

/* ------------------------------------------------- from outside */

static int32_t first_height(const tw_kinds_set *kinds, int32_t best) {
    int64_t height = kinds->area / kinds->width * OVER_100 / 100 + 1;
    return height < best ? (int32_t)height : best - 1;
}

static tw_code take_scratch(tw_arena *arena, finder *find, tw_error *error) {
    size_t items = (size_t)find->kinds->item_count;
    find->base = tw_arena_array(arena, items, sizeof *find->base);
    find->chosen = tw_arena_array(arena, items, sizeof *find->chosen);
    find->stacks = tw_arena_array(arena, items, sizeof *find->stacks);
    find->plan = tw_arena_array(arena, items, sizeof *find->plan);
    find->reach = tw_arena_array(arena, (size_t)find->kinds->width + 1, sizeof *find->reach);
    return find->base == NULL || find->chosen == NULL || find->stacks == NULL ||
                   find->plan == NULL || find->reach == NULL
               ? tw_no_memory(error)
               : tw_search_scratch_new(arena, find->kinds, &find->scratch, error);
}

static tw_code open_lanes(tw_arena *arena, finder *find, int fewest, int32_t height,
                          tw_error *error) {
    size_t items = (size_t)find->kinds->item_count;
    for (int l = 0; l < LANES; l++) {
        lane *at = &find->lanes[l];
        *at = (lane){.bands = fewest + l, .height = height};
        at->worth = tw_arena_array(arena, items, sizeof *at->worth);
        if (at->worth == NULL)
            return tw_no_memory(error);
        memcpy(at->worth, find->base, items * sizeof *at->worth);
    }
    return TW_OK;
}

static tw_code search(tw_arena *arena, finder *find, tw_error *error) {
    int32_t height = first_height(find->kinds, find->pass->best), most = find->pass->band_most;
    int fewest = most > 0 && most < height ? (height + most - 1) / most : 1;
    bool fits = false;
    tw_code code = tw_column_maker_new(arena, find->kinds, (height + fewest - 1) / fewest,
                                       &find->columns, &fits, error);
    if (code != TW_OK || !fits)
        return code;
    if ((code = take_scratch(arena, find, error)) != TW_OK)
        return code;
    find->columns.end = find->pass->steps;
    set_base(find);
    code = open_lanes(arena, find, fewest, height, error);
    if (code == TW_OK)
        run_lanes(find);
    return code;
}

tw_code tw_search_columns(const tw_allocator *allocator, const tw_kinds_set *kinds,
                          tw_by_columns *pass, tw_error *error) {
    finder find = {.kinds = kinds, .pass = pass, .random = 1};
    if (kinds->item_count > INT16_MAX - 1 || pass->best <= pass->bound)
        return TW_OK;
    tw_arena *arena = tw_arena_new(allocator, 0);
    if (arena == NULL)
        return tw_no_memory(error);
    tw_code code = search(arena, &find, error);
    pass->steps = find.columns.steps;
    tw_arena_free(arena);
    return code;
}
