/*
 * The search for days of different sizes. What it gives is held to first principles here, by a
 * checker that shares nothing with it: every item inside and alone, the whole cuttable edge to
 * edge, three stages where three were asked for, no strip of waste too thin.
 */
#include "testing.h"

#include "layout/search.h"

typedef struct box {
    int32_t x0, y0, x1, y1;
} box;

#define MOST 160

typedef struct day {
    tw_search_item items[MOST];
    box boxes[MOST];
    int count;
} day;

/* Numbers that look random and are the same everywhere: a linear congruence (Knuth, TAOCP 2,
 * 3.3.4, table 1, line 26). */
static uint32_t roll(uint64_t *seed, uint32_t below) {
    *seed = *seed * UINT64_C(6364136223846793005) + 1;
    return (uint32_t)(*seed >> 33) % below;
}

static void random_day(day *out, int count, uint64_t seed) {
    out->count = count;
    for (int i = 0; i < count; i++)
        out->items[i] = (tw_search_item){(int32_t)(2 + roll(&seed, 18)),
                                         (int32_t)(2 + roll(&seed, 18)), roll(&seed, 4) != 0};
}

/* A full strip cut at random, edge to edge: nothing shorter than `height` can hold the pieces,
 * and `height` can. */
static void cut_day(day *out, int count, int32_t width, int32_t height, uint64_t seed) {
    out->count = 1;
    out->items[0] = (tw_search_item){width, height, true};
    while (out->count < count) {
        tw_search_item *item = &out->items[roll(&seed, (uint32_t)out->count)];
        tw_search_item rest = *item;
        int32_t *side = roll(&seed, 2) ? &item->width : &item->height;
        int32_t *other = side == &item->width ? &rest.width : &rest.height;
        if (*side < 2)
            continue;
        *other = 1 + (int32_t)roll(&seed, (uint32_t)*side - 1);
        *side -= *other;
        out->items[out->count++] = rest;
    }
}

/* Two bands of 60 on a strip of 100, each of columns of stacked items that fill it: nothing is
 * lost, and 120 holds them all. */
static void columns_day(day *out, uint64_t seed) {
    out->count = 0;
    for (int band = 0; band < 2; band++)
        for (int32_t x = 0, width; x < 100; x += width) {
            width = 5 + (int32_t)roll(&seed, 11);
            width = 100 - x - width < 5 ? 100 - x : width;
            for (int32_t y = 0, height; y < 60; y += height) {
                height = 5 + (int32_t)roll(&seed, 11);
                height = 60 - y - height < 5 ? 60 - y : height;
                out->items[out->count++] = (tw_search_item){width, height, true};
            }
        }
}

static void take_boxes(day *which, const tw_search_plan *plan) {
    for (int i = 0; i < which->count; i++) {
        const tw_search_item *item = &which->items[i];
        const tw_search_place *place = &plan->places[i];
        assert_true(item->turns || !place->turned);
        which->boxes[i] =
            (box){place->x, place->y, place->x + (place->turned ? item->height : item->width),
                  place->y + (place->turned ? item->width : item->height)};
    }
}

static void assert_apart(const day *which, int32_t width, int32_t height) {
    for (int i = 0; i < which->count; i++) {
        const box *a = &which->boxes[i];
        assert_true(a->x0 >= 0 && a->y0 >= 0 && a->x1 <= width && a->y1 <= height);
        for (int j = 0; j < i; j++) {
            const box *b = &which->boxes[j];
            assert_true(a->x1 <= b->x0 || b->x1 <= a->x0 || a->y1 <= b->y0 || b->y1 <= a->y0);
        }
    }
}

/* ------------------------------------------------- cutting by hand */

static int32_t low(const box *b, bool across) {
    return across ? b->y0 : b->x0;
}

static int32_t high(const box *b, bool across) {
    return across ? b->y1 : b->x1;
}

static int by_y(const void *left, const void *right) {
    return low(left, true) - low(right, true);
}

static int by_x(const void *left, const void *right) {
    return low(left, false) - low(right, false);
}

/* Boxes sorted along the axis; how many the first uncut part holds. Every part is as small as
 * edge-to-edge cuts can make it, so that a depth found wanting is wanting. */
static int part(box *boxes, int count, bool across) {
    qsort(boxes, (size_t)count, sizeof *boxes, across ? by_y : by_x);
    int n = 1;
    for (int32_t end = high(&boxes[0], across); n < count && low(&boxes[n], across) < end; n++)
        end = high(&boxes[n], across) > end ? high(&boxes[n], across) : end;
    return n;
}

/* True when cuts of at most `depth` stages, the first across or along, leave single items. */
static bool cuts_apart(box *boxes, int count, bool across, int depth) {
    if (count == 1)
        return true;
    if (depth == 0)
        return false;
    for (int i = 0; i < count;) {
        int n = part(boxes + i, count - i, across);
        if (!cuts_apart(boxes + i, n, !across, depth - 1))
            return false;
        i += n;
    }
    return true;
}

static int32_t search(tw_arena *arena, day *which, const tw_search_job *asked) {
    tw_search_job job = *asked;
    tw_search_plan plan;
    tw_error error = {0};
    box copy[MOST];
    job.items = which->items;
    job.count = which->count;
    assert_ok(tw_search(arena, &job, &plan, &error), error);
    take_boxes(which, &plan);
    assert_apart(which, job.width, plan.height);
    memcpy(copy, which->boxes, sizeof copy);
    assert_true(cuts_apart(copy, which->count, true, job.free ? MOST : 3));
    return plan.height;
}

/* ------------------------------------------------- tests */

static void random_days_are_laid_out(void **state) {
    test_memory *memory = *state;
    tw_allocator allocator = test_allocator(memory);
    for (uint64_t seed = 1; seed <= 40; seed++) {
        tw_arena *arena = tw_arena_new(&allocator, 0);
        day some;
        random_day(&some, 1 + (int)seed, seed);
        tw_search_job job = {.width = 20 + (int32_t)seed % 7, .free = seed % 2, .steps = 60000};
        int32_t rows = search(arena, &some, &(tw_search_job){.width = job.width}), area = 0;
        int32_t found = search(arena, &some, &job);
        for (int i = 0; i < some.count; i++)
            area += some.items[i].width * some.items[i].height;
        assert_true(found <= rows);
        assert_true(found * job.width >= area);
        tw_arena_free(arena);
    }
}

/* Few pieces: the search goes through all there is before its steps are used up. */
static void small_cut_strips_are_put_together_again(void **state) {
    test_memory *memory = *state;
    tw_allocator allocator = test_allocator(memory);
    for (uint64_t seed = 1; seed <= 12; seed++) {
        tw_arena *arena = tw_arena_new(&allocator, 0);
        day cut;
        cut_day(&cut, 8, 20, 15, seed);
        tw_search_job job = {.width = 20, .free = true, .steps = 2000000};
        assert_int_equal(search(arena, &cut, &job), 15);
        tw_arena_free(arena);
    }
}

static void large_cut_strips_come_near(void **state) {
    test_memory *memory = *state;
    tw_allocator allocator = test_allocator(memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    day cut;
    cut_day(&cut, 40, 60, 60, 3);
    tw_search_job job = {.width = 60, .free = true, .steps = 1000000};
    int32_t found = search(arena, &cut, &job);
    assert_in_range(found, 60, 66);
    job.free = false;
    assert_in_range(search(arena, &cut, &job), 60, 70);
    tw_arena_free(arena);
}

static int32_t highest_band(const day *which) {
    box copy[MOST];
    int32_t most = 0;
    memcpy(copy, which->boxes, sizeof copy);
    for (int i = 0, n; i < which->count; i += n) {
        n = part(copy + i, which->count - i, true);
        for (int j = i; j < i + n; j++)
            most = copy[j].y1 - copy[i].y0 > most ? copy[j].y1 - copy[i].y0 : most;
    }
    return most;
}

/* Of 120 units a beam of these steps loses 2 to 4, and 8 to 29 where no strip may be thin. */
static void many_items_fill_columns(void **state) {
    test_memory *memory = *state;
    tw_allocator allocator = test_allocator(memory);
    for (uint64_t seed = 1; seed <= 3; seed++) {
        tw_arena *arena = tw_arena_new(&allocator, 0);
        day cut;
        columns_day(&cut, seed);
        tw_search_job job = {.width = 100, .steps = 2000000};
        assert_in_range(search(arena, &cut, &job), 120, 121);
        job.strip = 2;
        assert_in_range(search(arena, &cut, &job), 120, 123);
        job.band_most = 40;
        assert_in_range(search(arena, &cut, &job), 120, 123);
        assert_in_range(highest_band(&cut), 1, 40);
        job.free = true; /* any depth is no worse than three stages */
        job.band_most = 0;
        assert_in_range(search(arena, &cut, &job), 120, 123);
        tw_arena_free(arena);
    }
}

/* Boxes in an order of their own: what the caller's order must not change. */
static int by_place(const void *left, const void *right) {
    const box *a = left, *b = right;
    return a->y0 != b->y0 ? a->y0 - b->y0 : a->x0 - b->x0;
}

static void search_in_two_orders(tw_arena *arena, bool free) {
    day one, other;
    random_day(&one, 20, 77);
    other = one;
    for (int i = 0; i < one.count; i++)
        other.items[i] = one.items[(i * 7 + 3) % one.count];
    tw_search_job job = {.width = 25, .free = free, .steps = 300000};
    assert_int_equal(search(arena, &one, &job), search(arena, &other, &job));
    qsort(one.boxes, (size_t)one.count, sizeof *one.boxes, by_place);
    qsort(other.boxes, (size_t)one.count, sizeof *one.boxes, by_place);
    assert_memory_equal(one.boxes, other.boxes, (size_t)one.count * sizeof *one.boxes);
}

static void order_does_not_matter(void **state) {
    test_memory *memory = *state;
    tw_allocator allocator = test_allocator(memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    search_in_two_orders(arena, true);
    search_in_two_orders(arena, false);
    tw_arena_free(arena);
}

static bool thick(int32_t gap) {
    return gap == 0 || gap >= 3;
}

static bool cuts_thick(const box *boxes, int count, box region, int depth);

/* The first n boxes in a part that ends at `end`, the others after it. */
static bool cut_at(const box *boxes, int n, int count, box region, int32_t end, int depth) {
    box group = region, rest = region;
    *(depth & 1 ? &group.y1 : &group.x1) = end;
    *(depth & 1 ? &rest.y0 : &rest.x0) = end;
    bool holds = n < count ? cuts_thick(boxes + n, count - n, rest, depth)
                           : thick(high(&region, depth & 1) - end);
    return holds && cuts_thick(boxes, n, group, depth - 1);
}

/* True when the region can be cut in `depth` stages and a trimming cut along the strip with no
 * strip of waste under 3: there may be several ways to cut the same boxes, one must do. */
static bool cuts_thick(const box *boxes, int count, box region, int depth) {
    box copy[MOST];
    bool across = depth & 1;
    memcpy(copy, boxes, (size_t)count * sizeof *copy);
    if (depth == 0)
        return count == 1 && copy[0].y0 == region.y0 && copy[0].y1 == region.y1 &&
               copy[0].x0 == region.x0 && thick(region.x1 - copy[0].x1);
    for (int n = part(copy, count, across); n < count; n += part(copy + n, count - n, across))
        if (cut_at(copy, n, count, region, low(&copy[n], across), depth))
            return true;
    int32_t end = 0;
    for (int i = 0; i < count; i++)
        end = high(&copy[i], across) > end ? high(&copy[i], across) : end;
    return cut_at(copy, count, count, region, end, depth) ||
           cut_at(copy, count, count, region, high(&region, across), depth);
}

static void thin_strips_are_not_left(void **state) {
    test_memory *memory = *state;
    tw_allocator allocator = test_allocator(memory);
    for (uint64_t seed = 1; seed <= 20; seed++) {
        tw_arena *arena = tw_arena_new(&allocator, 0);
        day some;
        random_day(&some, 14, seed);
        tw_search_job job = {.width = 40, .strip = 3, .steps = 200000};
        int32_t height = search(arena, &some, &job);
        assert_true(cuts_thick(some.boxes, some.count, (box){0, 0, 40, height}, 3));
        tw_arena_free(arena);
    }
}

static bool always(void *context) {
    (*(int *)context)++;
    return true;
}

static void cancel_one(tw_arena *arena, bool free) {
    day some;
    int asked = 0;
    random_day(&some, 30, 5);
    tw_run run = {.cancelled = always, .context = &asked};
    tw_search_job job = {.items = some.items,
                         .count = 30,
                         .width = 30,
                         .free = free,
                         .steps = INT64_MAX / 2,
                         .run = &run};
    tw_search_plan plan;
    tw_error error = {0};
    assert_ok(tw_search(arena, &job, &plan, &error), error);
    assert_true(plan.cancelled);
    assert_int_equal(asked, 1);
    take_boxes(&some, &plan);
    assert_apart(&some, 30, plan.height);
}

static void cancel_keeps_the_best(void **state) {
    test_memory *memory = *state;
    tw_allocator allocator = test_allocator(memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    cancel_one(arena, true);
    cancel_one(arena, false);
    tw_arena_free(arena);
}

/* Over by the work on one front at most, or on one column. */
static void steps_are_kept_to(void **state) {
    test_memory *memory = *state;
    tw_allocator allocator = test_allocator(memory);
    for (int free = 0; free < 2; free++) {
        tw_arena *arena = tw_arena_new(&allocator, 0);
        day some;
        random_day(&some, 50, 9);
        tw_search_job job = {
            .items = some.items, .count = 50, .width = 30, .free = free, .steps = 100000};
        tw_search_plan plan;
        tw_error error = {0};
        assert_ok(tw_search(arena, &job, &plan, &error), error);
        assert_in_range(plan.steps, 1, 100000 + 8 + 50 * 2 * 6 * 5);
        tw_arena_free(arena);
    }
}

static void what_cannot_lie_is_refused(void **state) {
    test_memory *memory = *state;
    tw_allocator allocator = test_allocator(memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    const tw_search_item wide = {30, 10, false}, turned = {30, 10, true}, vast = {1, INT32_MAX, 0};
    tw_search_job job = {.items = &wide, .count = 1, .width = 20};
    tw_search_plan plan;
    tw_error error = {0};
    assert_int_equal(tw_search(arena, &job, &plan, &error), TW_INPUT);
    assert_string_equal(error.name, "search-no-place");
    assert_says(error, "30 x 10");
    job.items = &vast;
    assert_int_equal(tw_search(arena, &job, &plan, &error), TW_INPUT);
    assert_string_equal(error.name, "search-too-big");
    job.items = &turned;
    assert_ok(tw_search(arena, &job, &plan, &error), error);
    assert_int_equal(plan.height, 30);
    assert_true(plan.places[0].turned);
    job.count = 0;
    assert_ok(tw_search(arena, &job, &plan, &error), error);
    assert_int_equal(plan.height, 0);
    tw_arena_free(arena);
}

static void no_memory_is_said_and_leaks_nothing(void **state) {
    (void)state;
    day some;
    random_day(&some, 12, 4);
    tw_search_job job = {.items = some.items, .count = 12, .width = 25, .steps = 20000};
    for (long n = 1, failed = 1; failed; n++) {
        test_memory memory = {.fail_at = n};
        tw_allocator allocator = test_allocator(&memory);
        tw_arena *arena = tw_arena_new(&allocator, 0);
        tw_search_plan plan;
        tw_error error = {0};
        failed = arena == NULL || tw_search(arena, &job, &plan, &error) != TW_OK;
        if (failed && arena != NULL)
            assert_int_equal(error.code, TW_MEMORY);
        tw_arena_free(arena);
        assert_no_leak(memory);
    }
}

static int begin(void **state) {
    *state = calloc(1, sizeof(test_memory));
    return *state == NULL;
}

static int end(void **state) {
    test_memory *memory = *state;
    long live = memory->live;
    free(memory);
    return live != 0;
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(random_days_are_laid_out, begin, end),
        cmocka_unit_test_setup_teardown(small_cut_strips_are_put_together_again, begin, end),
        cmocka_unit_test_setup_teardown(many_items_fill_columns, begin, end),
        cmocka_unit_test_setup_teardown(large_cut_strips_come_near, begin, end),
        cmocka_unit_test_setup_teardown(order_does_not_matter, begin, end),
        cmocka_unit_test_setup_teardown(thin_strips_are_not_left, begin, end),
        cmocka_unit_test_setup_teardown(cancel_keeps_the_best, begin, end),
        cmocka_unit_test_setup_teardown(steps_are_kept_to, begin, end),
        cmocka_unit_test_setup_teardown(what_cannot_lie_is_refused, begin, end),
        cmocka_unit_test(no_memory_is_said_and_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
