/*
 * Seeded random days with everything mixed: pins, orders kept together, fillers, short paper, sets,
 * bytes, any cut depth, and now several rolls and kept offcuts as well. Every plan is cut and
 * judged, each part by itself and all of them together.
 */
#include "random_jobs.h"

#include "layout/parts.h"

enum { DAYS = 150, ROLLS = 2, OFFCUTS = 3 };

typedef struct day {
    laying l;
    tw_nm further[ROLLS];
    tw_size offcuts[OFFCUTS];
    tw_supply supply;
    tw_parts parts;
} day;

/* The roll the day takes by itself, cut up. */
static void cut_up(day *d, uint64_t *s) {
    tw_nm all = d->l.layout.used, first = all > 0 ? random_below(s, all) + 1 : 0;
    if (!d->l.problem.stock.roll || all == 0 || random_one_in(s, 4))
        return;
    d->l.problem.stock.length = first;
    d->further[0] = (all - first) / 2 + 1 + (random_one_in(s, 2) ? all / 2 : 0);
    d->further[1] = (all - first) / 3 + 1;
    d->supply.further_count = 1 + (size_t)random_below(s, ROLLS);
}

static void keep_offcuts(day *d, uint64_t *s) {
    if (random_one_in(s, 3))
        return;
    d->supply.offcut_count = 1 + (size_t)random_below(s, OFFCUTS);
    for (size_t i = 0; i < d->supply.offcut_count; i++)
        d->offcuts[i] = (tw_size){200 * TW_MM + random_below(s, 129 * TW_MM),
                                  200 * TW_MM + random_below(s, 500 * TW_MM)};
}

static void start(day *d, uint64_t seed) {
    uint64_t s = seed + 5000000;
    memset(d, 0, sizeof *d);
    random_steered_job(seed + 100000, &d->l, 6);
    laying_run(&d->l);
    d->supply = (tw_supply){.further = d->further, .offcuts = d->offcuts};
    cut_up(d, &s);
    keep_offcuts(d, &s);
    laying_clear(&d->l);
    d->l.arena = tw_arena_new(&d->l.allocator, 0);
    assert_non_null(d->l.arena);
}

static tw_code judge(day *d) {
    laying *l = &d->l;
    tw_code code = tw_referee_parts(&l->problem, &d->supply, &d->parts, &l->error);
    for (size_t i = 0; i < d->parts.count && code == TW_OK; i++) {
        const tw_part *part = &d->parts.items[i];
        code =
            tw_cuts_make(l->arena, &part->problem, &part->layout, &l->limits, &l->cuts, &l->error);
        if (code == TW_OK)
            code = tw_referee_check(&part->problem, &part->layout, &l->cuts, &l->error);
    }
    return code;
}

/* Pins were kept by the whole roll: its parts may be too short for them, which is then said. */
static void everything_mixed(void **state) {
    (void)state;
    int shared = 0, refused = 0;
    for (uint64_t seed = 0; seed < DAYS; seed++) {
        day d;
        start(&d, seed);
        tw_code code = tw_parts_make(d.l.arena, &d.l.problem, &d.supply, &d.parts, &d.l.error);
        if (code == TW_INPUT)
            assert_int_not_equal(d.parts.pin_fault.why, TW_PIN_GOOD);
        if (code == TW_OK)
            code = judge(&d);
        if (code != TW_OK && code != TW_INPUT)
            fail_msg("seed %llu: %s", (unsigned long long)seed, d.l.error.message);
        refused += code == TW_INPUT;
        shared += code == TW_OK && d.parts.count > 1;
        laying_end(&d.l);
    }
    assert_true(shared > DAYS / 3 && refused > 0 && refused < DAYS / 5);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(everything_mixed)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
