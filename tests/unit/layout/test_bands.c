/*
 * The band engine: days whose best length is known, days made by cutting a full roll apart so that
 * a plan without waste exists, bounds that no plan undercuts, and no memory at any request.
 */
#include "random_jobs.h"

#include "layout/band.h"

static void start_day(laying *l, const int (*lines)[3], tw_nm width) {
    laying_start(l);
    l->problem.stock.width = width;
    l->problem.stock.longest_sheet = 120 * TW_IN;
    l->problem.stock.length = 1000 * TW_FT;
    l->problem.settings.steps = 30000;
    for (int i = 0; lines[i][0] != 0; i++)
        laying_add(l, (size_t)lines[i][2], lines[i][0] * TW_IN, lines[i][1] * TW_IN, TW_IN);
}

/* Two print days; the lengths are the best known and, at 24 in, equal to a bound computed for this
 * project by other means (200) or one above it (424 of 423). */
static void known_days(void **state) {
    static const int few[][3] = {{8, 10, 14}, {11, 14, 6}, {12, 18, 4},
                                 {16, 24, 3}, {20, 30, 1}, {0, 0, 0}};
    static const int many[][3] = {{5, 7, 40},  {8, 10, 30}, {8, 12, 12}, {11, 14, 10},
                                  {16, 20, 6}, {18, 24, 4}, {0, 0, 0}};
    laying l;
    (void)state;
    start_day(&l, few, 24 * TW_IN);
    laying_run(&l);
    assert_int_equal(l.layout.used, 200 * TW_IN);
    assert_int_equal(l.layout.bound, 200 * TW_IN);
    assert_int_equal(l.layout.bound_stages, 3);
    laying_end(&l);
    start_day(&l, many, 24 * TW_IN);
    laying_run(&l);
    assert_true(l.layout.used <= 426 * TW_IN);
    assert_in_range(l.layout.bound, 422 * TW_IN, 424 * TW_IN);
    laying_end(&l);
}

/* A limit of bytes a sheet closes sheets earlier, which costs nothing where the machine cuts: the
 * bands stay as good. Eight prints are the most one may hold. */
static void bands_within_bytes(void **state) {
    static const int few[][3] = {{8, 10, 14}, {11, 14, 6}, {12, 18, 4},
                                 {16, 24, 3}, {20, 30, 1}, {0, 0, 0}};
    laying l;
    (void)state;
    start_day(&l, few, 24 * TW_IN);
    for (size_t i = 0; i < l.problem.count; i++)
        l.pieces[i].bytes = 10;
    l.problem.settings.sheet_bytes_most = 80;
    laying_run(&l);
    assert_int_equal(l.layout.used, 200 * TW_IN);
    assert_true(l.layout.sheet_count * 8 >= 28);
    laying_end(&l);
}

/* A length cut into parts of 4 in and more, whole inches. */
static int cut_apart(uint64_t *s, tw_nm length, tw_nm *parts) {
    int count = 0;
    while (length >= 8 * TW_IN && random_below(s, 4) != 0) {
        parts[count] = (4 + random_below(s, length / TW_IN - 7)) * TW_IN;
        length -= parts[count++];
    }
    parts[count++] = length;
    return count;
}

/* Bands, columns, prints: no waste. The bound may not pass the length it came from. */
static void full_rolls(void **state) {
    (void)state;
    for (uint64_t seed = 0; seed < 200; seed++) {
        laying l;
        uint64_t s = seed;
        tw_nm whole = 0;
        laying_start(&l);
        l.problem.stock.length = 1000 * TW_FT;
        for (tw_nm bands = 1 + random_below(&s, 6); bands > 0; bands--) {
            tw_nm columns[8], prints[16];
            tw_nm height = (4 + random_below(&s, 26)) * TW_IN;
            whole += height;
            for (int c = cut_apart(&s, 24 * TW_IN, columns); c-- > 0;)
                for (int p = cut_apart(&s, height, prints); p-- > 0;)
                    laying_add(&l, 1, columns[c], prints[p], TW_IN);
        }
        laying_run(&l);
        if (l.layout.bound > whole)
            fail_msg("seed %llu: a bound over a plan that exists", (unsigned long long)seed);
        assert_true(l.layout.used >= l.layout.bound);
        assert_true(l.layout.used < 2 * whole);
        laying_end(&l);
    }
}

/* Two bordered prints may lie on the paper's edges, a bleeding one may not: between them it does
 * (8 + 7 3/4 + 8 in and twice 1/8 in of bleed), so four rows of 10 in, with 1/8 in of bleed at both
 * ends, hold them. */
static void bleeding_between(void **state) {
    laying l;
    (void)state;
    laying_start(&l);
    l.problem.settings.turn = false;
    laying_add(&l, 8, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    laying_bleed(&l, 4, 7 * TW_IN + HALF_IN + QUARTER_IN, 10 * TW_IN, EIGHTH_IN);
    laying_run(&l);
    assert_true(l.layout.used <= 4 * (10 * TW_IN + QUARTER_IN));
    laying_end(&l);
}

/* Four prints that lie alike: upright two of them lie across the roll, turned one, and that takes
 * less of it (40 in of 48). Whichever way is chosen, the bound must allow for the other. */
static void bound_of_a_set(void **state) {
    static const int set[][3] = {{10, 24, 4}, {0, 0, 0}};
    laying l;
    (void)state;
    start_day(&l, set, 24 * TW_IN);
    for (size_t i = 0; i < l.problem.count; i++)
        l.pieces[i].alike = 0;
    laying_run(&l);
    assert_in_range(l.layout.bound, 1, 40 * TW_IN);
    laying_end(&l);
}

static tw_code solve_small(const tw_allocator *allocator, tw_band_plan *plan) {
    static const tw_band_type types[] = {
        {.width = {5, 7}, .height = {7, 5}, .demand = 9},
        {.width = {8, 10}, .height = {10, 8}, .demand = 5},
        {.width = {11, 0}, .height = {14, 0}, .demand = 2},
    };
    tw_band_set set = {.types = types,
                       .count = 3,
                       .width = 24,
                       .highest = 60,
                       .strip_across = 1,
                       .strip_along = 1,
                       .end_strip = 1};
    tw_band_budget budget = {300, NULL};
    tw_error error;
    tw_arena *arena = tw_arena_new(allocator, 0);
    if (arena == NULL)
        return TW_MEMORY;
    tw_code code = tw_band_solve(arena, &set, &budget, plan, &error);
    int32_t makes[3] = {0};
    for (size_t i = 0; code == TW_OK && i < plan->bands.count; i++)
        for (int t = 0; t < 3; t++)
            makes[t] += plan->bands.items[i]->makes[t];
    for (int t = 0; code == TW_OK && t < 3; t++)
        assert_int_equal(makes[t], types[t].demand);
    tw_arena_free(arena);
    return code;
}

static void no_memory(void **state) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_band_plan plan;
    tw_code code = TW_MEMORY;
    long at = 0;
    (void)state;
    while (code == TW_MEMORY) {
        memory.asked = 0;
        memory.fail_at = ++at;
        code = solve_small(&allocator, &plan);
        assert_true(code == TW_MEMORY || code == TW_OK);
        assert_no_leak(memory);
    }
    assert_int_equal(code, TW_OK);
    assert_true(at > 2 && plan.height >= plan.bound && plan.bound > 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bound_of_a_set),     cmocka_unit_test(known_days),
        cmocka_unit_test(bands_within_bytes), cmocka_unit_test(full_rolls),
        cmocka_unit_test(bleeding_between),   cmocka_unit_test(no_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
