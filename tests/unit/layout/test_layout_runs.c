/*
 * A layout in its surroundings: no memory at any request, stopped at any moment, progress told;
 * nothing leaks and nothing is half done.
 */
#include "random_jobs.h"

/* A day with everything in it that takes memory: bytes, sets, left-over pieces, several sheets. */
static void start_day(laying *l, bool roll) {
    laying_start(l);
    laying_add(l, 9, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    laying_bleed(l, 3, 5 * TW_IN, 7 * TW_IN, EIGHTH_IN);
    laying_add(l, 2, 11 * TW_IN, 14 * TW_IN, HALF_IN)->alike = 1;
    laying_add(l, 1, 40 * TW_IN, 50 * TW_IN, HALF_IN);
    for (size_t i = 0; i < l->problem.count; i++) {
        l->pieces[i].bytes = 300;
        l->pieces[i].image = (int)i / 2;
    }
    l->problem.settings.sheet_bytes_most = 1000;
    l->problem.settings.steps = 100;
    l->problem.stock.lost_each_sheet = TW_IN;
    l->problem.stock.length = 40 * TW_IN;
    if (!roll) {
        l->problem.stock.roll = false;
        l->problem.stock.length = 20 * TW_IN;
        l->problem.stock.count = 2;
    }
}

/* Refused from each request on: said so, nothing leaks, nothing is half done. */
static void no_memory(void **state) {
    (void)state;
    for (int roll = 0; roll < 2; roll++) {
        laying l;
        start_day(&l, roll == 1);
        laying_run(&l);
        assert_true(l.layout.left_count > 1 && l.layout.sheet_count > 1);
        laying_clear(&l);
        long refused = 0;
        tw_code code = TW_MEMORY;
        while (code == TW_MEMORY) {
            l.memory.asked = 0;
            l.memory.fail_at = ++refused;
            code = laying_try(&l);
            assert_true(code == TW_MEMORY || code == TW_OK);
            laying_clear(&l);
            assert_no_leak(l.memory);
        }
        assert_int_equal(code, TW_OK);
        assert_true(refused > 20);
        laying_end(&l);
    }
}

typedef struct watch {
    long polls, stop_at;
    uint64_t done, total;
    int told, bounded;
    bool backwards;
    char doing[128];
} watch;

static bool asked_to_stop(void *context) {
    watch *w = context;
    return w->stop_at > 0 && ++w->polls >= w->stop_at;
}

static void told(void *context, const char *doing, uint64_t done, uint64_t total) {
    watch *w = context;
    assert_non_null(doing);
    assert_true(done <= total && total > 0);
    w->backwards = w->backwards || (w->told > 0 && done < w->done);
    w->done = done;
    w->total = total;
    w->told++;
    w->bounded += strstr(doing, ", bound ") != NULL;
    snprintf(w->doing, sizeof w->doing, "%s", doing);
}

/* Stopped at any poll: cancelled, or a whole plan that says it could have been better. */
static void stopped(void **state) {
    (void)state;
    bool early = false;
    bool cancelled = false;
    tw_code code = TW_CANCELLED;
    for (long at = 1; at < 10000; at++) {
        laying l;
        watch w = {.stop_at = at};
        start_day(&l, true);
        l.problem.stock.length = 500 * TW_IN;
        l.run.cancelled = asked_to_stop;
        l.run.context = &w;
        code = laying_try(&l);
        assert_true(code == TW_OK || code == TW_CANCELLED);
        cancelled = cancelled || code == TW_CANCELLED;
        early = early || (code == TW_OK && l.layout.stopped_early);
        bool done = code == TW_OK && !l.layout.stopped_early;
        laying_end(&l);
        if (done)
            break;
    }
    assert_int_equal(code, TW_OK);
    assert_true(early && cancelled);
}

/* Done never goes back, and the last word is the plan's length against the bound. */
static void progress_told(void **state) {
    (void)state;
    laying l;
    watch w = {0};
    laying_start(&l);
    laying_add(&l, 14, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    laying_add(&l, 6, 11 * TW_IN, 14 * TW_IN, HALF_IN);
    laying_add(&l, 3, 16 * TW_IN, 24 * TW_IN, HALF_IN);
    l.run.progress = told;
    l.run.context = &w;
    laying_run(&l);
    assert_true(w.told > 0 && w.bounded > 1 && !w.backwards);
    assert_int_equal(w.done, w.total);
    char doing[128];
    long long best = (l.layout.used * 100 + TW_FT - 1) / TW_FT;
    long long mm = (l.layout.used + TW_MM - 1) / TW_MM;
    long long bound = l.layout.bound * 100 / TW_FT;
    snprintf(doing, sizeof doing, "laid in %lld.%02lld ft (%lld.%03lld m), bound %lld.%02lld ft",
             best / 100, best % 100, mm / 1000, mm % 1000, bound / 100, bound % 100);
    assert_string_equal(w.doing, doing);
    laying_end(&l);
}

/* Sheets count whole: two of these lie on one. */
static void progress_of_sheets(void **state) {
    (void)state;
    laying l;
    watch w = {0};
    laying_start(&l);
    l.problem.stock = (tw_stock){.width = 13 * TW_IN,
                                 .length = 19 * TW_IN,
                                 .count = 9,
                                 .side = QUARTER_IN,
                                 .lead = QUARTER_IN,
                                 .tail = QUARTER_IN};
    laying_add(&l, 3, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    l.run.progress = told;
    l.run.context = &w;
    laying_run(&l);
    assert_string_equal(w.doing, "laid on 2 sheets, bound 2");
    laying_end(&l);
}

/* No run at all is a good run: malloc, no progress, no end. */
static void no_run(void **state) {
    (void)state;
    laying l;
    start_day(&l, true);
    l.problem.settings.run = NULL;
    laying_run(&l);
    laying_end(&l);
}

/* The same days again give the same plans, byte for byte. */
static void same_again(void **state) {
    (void)state;
    for (uint64_t seed = 0; seed < 50; seed++) {
        laying a;
        laying b;
        random_job(seed, &a, 20);
        random_job(seed, &b, 20);
        laying_run(&a);
        laying_run(&b);
        assert_int_equal(a.layout.placed_count, b.layout.placed_count);
        for (size_t i = 0; i < a.layout.placed_count; i++) {
            assert_int_equal(a.layout.placed[i].piece, b.layout.placed[i].piece);
            assert_int_equal(a.layout.placed[i].x, b.layout.placed[i].x);
            assert_int_equal(a.layout.placed[i].y, b.layout.placed[i].y);
        }
        assert_int_equal(a.cuts.stop_changes, b.cuts.stop_changes);
        laying_end(&a);
        laying_end(&b);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_memory),     cmocka_unit_test(stopped),
        cmocka_unit_test(progress_told), cmocka_unit_test(progress_of_sheets),
        cmocka_unit_test(no_run),        cmocka_unit_test(same_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
