/*
 * Tiny days, up to seven prints, against the shortest plan there is, found by trying everything
 * (exhaustive.h): no plan may be shorter and no bound longer, which would mean that one of the two
 * is wrong; and the layout is to find the shortest.
 */
#include "exhaustive.h"
#include "random_jobs.h"

enum { DAYS = 300 };

/* Units are inches: sizes anything from 1 to the strip's width, some of them again. */
static void random_few(uint64_t seed, few_prints *few) {
    uint64_t s = seed + 500000;
    *few = (few_prints){.count = 1 + (int)random_below(&s, EXHAUSTIVE_MOST),
                        .width = 6 + (int)random_below(&s, 19),
                        .gap = random_one_in(&s, 4) ? 1 : 0};
    for (int i = 0; i < few->count; i++) {
        bool again = i > 0 && random_one_in(&s, 4);
        few->prints[i] =
            again ? few->prints[i - 1]
                  : (few_print){1 + (int)random_below(&s, few->width),
                                1 + (int)random_below(&s, few->width), !random_one_in(&s, 4)};
    }
}

static void lay_few(laying *l, const few_prints *few, int stages, int64_t steps) {
    laying_start(l);
    l->problem.stock.width = few->width * TW_IN;
    l->problem.stock.longest_sheet = 0;
    l->problem.stock.sheet_most = 0;
    l->problem.stock.length = 1000 * TW_FT;
    l->problem.settings.narrowest_strip =
        few->count % 2 == 0 ? 0 : EIGHTH_IN; /* no strip is so thin */
    l->problem.settings.gutter = few->gap * TW_IN;
    l->problem.settings.stages = stages;
    l->problem.settings.steps = steps;
    for (int i = 0; i < few->count; i++)
        laying_add(l, 1, few->prints[i].width * TW_IN, few->prints[i].height * TW_IN, TW_IN)
            ->may_turn = few->prints[i].turns;
    laying_run(l);
}

/* True when the layout is as short as can be. */
static bool check_few(uint64_t seed, int stages, int64_t steps) {
    few_prints few;
    laying l;
    random_few(seed, &few);
    tw_nm least = (stages == 3 ? exhaustive_staged(&few) : exhaustive_free(&few)) * TW_IN;
    lay_few(&l, &few, stages, steps);
    tw_nm used = l.layout.used;
    if (used < least || l.layout.bound > least)
        fail_msg("seed %llu, stages %d: %lld in used, bound %lld in, the shortest is %lld in",
                 (unsigned long long)seed, stages, (long long)(used / TW_IN),
                 (long long)(l.layout.bound / TW_IN), (long long)(least / TW_IN));
    if (used > least)
        print_message("seed %llu, stages %d, %d prints, gap %d: %lld in, the shortest is %lld in\n",
                      (unsigned long long)seed, stages, few.count, few.gap,
                      (long long)(used / TW_IN), (long long)(least / TW_IN));
    laying_end(&l);
    return used == least;
}

static int count_shortest(int days, int stages, int64_t steps) {
    int shortest = 0;
    for (uint64_t seed = 0; seed < (uint64_t)days; seed++)
        shortest += check_few(seed, stages, steps);
    print_message("stages %d, %lld steps: the shortest plan on %d of %d days\n", stages,
                  (long long)steps, shortest, days);
    return shortest;
}

static void three_stages(void **state) {
    (void)state;
    assert_int_equal(count_shortest(DAYS, 3, TW_STEPS_NORMAL), DAYS);
}

static void any_depth(void **state) {
    (void)state;
    assert_int_equal(count_shortest(DAYS, 0, TW_STEPS_NORMAL), DAYS);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_stages),
        cmocka_unit_test(any_depth),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
