/*
 * Days whose shortest plan is known because they were made by cutting a full length of roll apart:
 * in three stages, and to any depth. The bound may never be over that length, no plan under it, and
 * the layout comes near it; how near is printed.
 */
#include "cut_rolls.h"

enum { ROLLS = 120 };

static void lay_parts(laying *l, const cut_roll *roll, int stages) {
    laying_start(l);
    l->problem.stock.width = roll->width * TW_IN;
    l->problem.stock.longest_sheet = 0;
    l->problem.stock.sheet_most = 0;
    l->problem.stock.length = 10000 * TW_FT;
    l->problem.settings.stages = stages;
    for (int i = 0; i < roll->count; i++)
        laying_add(l, 1, roll->parts[i].width * TW_IN, roll->parts[i].height * TW_IN, TW_IN);
    laying_run(l);
}

/* Hundredths of a percent over the shortest. `deeper`: it was cut deeper than it may be laid, so
 * that a bound for three stages may be over it. */
static int gap_of(const cut_roll *roll, int stages, bool deeper, uint64_t seed) {
    laying l;
    lay_parts(&l, roll, stages);
    tw_nm least = roll->length * TW_IN, used = l.layout.used;
    bool covers = !deeper || l.layout.bound_stages == 0;
    if (covers && l.layout.bound > least)
        fail_msg("seed %llu: a bound of %lld in over a plan of %d in that exists",
                 (unsigned long long)seed, (long long)(l.layout.bound / TW_IN), roll->length);
    if (used < least)
        fail_msg("seed %llu: %lld in hold what fills %d in", (unsigned long long)seed,
                 (long long)(used / TW_IN), roll->length);
    laying_end(&l);
    return (int)((used - least) * 10000 / least);
}

/* The mean gap of rolls cut so; `laid` is the depth they are laid out for. */
static int mean_gap(void (*cut)(uint64_t *, int, cut_roll *), const char *how, int laid,
                    bool deeper) {
    int sum = 0, most = 0, parts = 0;
    for (uint64_t seed = 0; seed < ROLLS; seed++) {
        uint64_t s = seed + 7000000;
        cut_roll roll = {.width = 12 + (int)random_below(&s, 33)};
        int count = 4 + (int)random_below(&s, 40);
        roll.length = 10 + (int)random_below(&s, 10 + 3 * count);
        cut(&s, count, &roll);
        int gap = gap_of(&roll, laid, deeper, seed);
        sum += gap;
        most = gap > most ? gap : most;
        parts += roll.count;
    }
    print_message("%d rolls cut %s, %d prints: %.2f %% over the shortest plan, at most %.2f %%\n",
                  ROLLS, how, parts, sum / 100.0 / ROLLS, most / 100.0);
    return sum / ROLLS;
}

static void cut_in_three_stages(void **state) {
    (void)state;
    assert_in_range(mean_gap(cut_in_stages, "in three stages", 3, false), 0, 100);
}

static void cut_to_any_depth(void **state) {
    (void)state;
    assert_in_range(mean_gap(cut_freely, "to any depth", 0, false), 0, 250);
}

/* A plan of three stages cannot be shorter than one of any depth. */
static void cut_deeper_than_laid(void **state) {
    (void)state;
    assert_in_range(mean_gap(cut_freely, "to any depth, laid in three stages", 3, true), 0, 600);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cut_in_three_stages),
        cmocka_unit_test(cut_to_any_depth),
        cmocka_unit_test(cut_deeper_than_laid),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
