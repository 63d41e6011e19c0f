/*
 * Recorded offcuts as sheets: used where they shorten the roll or take what it does not hold,
 * alone or together, else left where they are. Expectations are worked out by hand.
 */
#include "random_jobs.h"

#include "layout/parts.h"

typedef struct store {
    laying l;
    tw_nm further[1];
    tw_size offcuts[4];
    tw_supply supply;
    tw_parts parts;
} store;

static tw_code judge_all(store *s) {
    tw_code code = tw_referee_parts(&s->l.problem, &s->supply, &s->parts, &s->l.error);
    for (size_t i = 0; i < s->parts.count && code == TW_OK; i++) {
        const tw_part *part = &s->parts.items[i];
        tw_cuts cuts;
        code = tw_cuts_make(s->l.arena, &part->problem, &part->layout, &s->l.limits, &cuts,
                            &s->l.error);
        if (code == TW_OK)
            code = tw_referee_check(&part->problem, &part->layout, &cuts, &s->l.error);
    }
    return code;
}

static tw_code store_try(store *s) {
    laying_clear(&s->l);
    s->l.arena = tw_arena_new(&s->l.allocator, 0);
    if (s->l.arena == NULL)
        return TW_MEMORY;
    s->supply.further = s->further;
    s->supply.offcuts = s->offcuts;
    tw_code code = tw_parts_make(s->l.arena, &s->l.problem, &s->supply, &s->parts, &s->l.error);
    return code == TW_OK ? judge_all(s) : code;
}

static void store_run(store *s) {
    assert_ok(store_try(s), s->l.error);
}

/* `count` upright 8x10 on a 24 in roll of `length` inches; a load loses 3 in, a core's end 1 in;
 * each is due after the one before. */
static void start(store *s, size_t count, tw_nm length) {
    memset(s, 0, sizeof *s);
    laying_start(&s->l);
    laying_add(&s->l, count, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    for (size_t i = 0; i < count; i++) {
        s->l.pieces[i].may_turn = false;
        s->l.pieces[i].priority = (int64_t)i;
    }
    s->l.problem.stock.length = length * TW_IN;
    s->l.problem.stock.lost_each_load = 3 * TW_IN;
    s->l.problem.stock.lost_core_end = TW_IN;
}

static void offcut(store *s, tw_nm width, tw_nm length) {
    s->offcuts[s->supply.offcut_count++] = (tw_size){width * TW_IN, length * TW_IN};
}

/* Four are a row of three and one more, 20 in and 4 in lost; with the one on the offcut 14 in. */
static void a_row_less(void **state) {
    (void)state;
    store s;
    start(&s, 4, 600);
    offcut(&s, 10, 12);
    store_run(&s);
    assert_int_equal(s.parts.count, 2);
    assert_int_equal(s.parts.items[0].offcut, SIZE_MAX);
    assert_int_equal(s.parts.items[1].offcut, 0);
    assert_int_equal(s.parts.items[1].layout.placed_count, 1);
    assert_int_equal(s.parts.items[1].layout.sheet_length[0], 12 * TW_IN);
    assert_int_equal(s.parts.used, 14 * TW_IN);
    assert_int_equal(s.parts.bound, 14 * TW_IN);
    assert_int_equal(s.parts.saved, 10 * TW_IN);
    laying_end(&s.l);
}

/* Ten inches of a roll at 1 cent an inch are worth a cut at one cent and not at thirty. */
static void work_has_a_price(void **state) {
    (void)state;
    for (int64_t cents = 1; cents <= 30; cents += 29) {
        store s;
        start(&s, 4, 600);
        s.l.problem.stock.price = 600;
        s.l.problem.settings.hand_cut = cents * 1000;
        offcut(&s, 10, 12);
        store_run(&s);
        assert_int_equal(s.parts.count, cents == 1 ? 2 : 1);
        assert_int_equal(s.parts.used, (cents == 1 ? 14 : 24) * TW_IN);
        laying_end(&s.l);
    }
}

/* Too small, or of no use: six are two full rows, and one less would leave them two. */
static void no_use(void **state) {
    (void)state;
    store s;
    start(&s, 6, 600);
    offcut(&s, 7, 9);
    offcut(&s, 10, 12);
    store_run(&s);
    assert_int_equal(s.parts.count, 1);
    assert_int_equal(s.parts.used, 24 * TW_IN);
    assert_int_equal(s.parts.saved, 0);
    laying_end(&s.l);
}

/* Five are a row and two more: each of two offcuts takes one, and only both save the row. Of
 * three only two are used. */
static void two_together(void **state) {
    (void)state;
    store s;
    start(&s, 5, 600);
    for (int i = 0; i < 3; i++)
        offcut(&s, 8, 10);
    store_run(&s);
    assert_int_equal(s.parts.count, 3);
    assert_int_equal(s.parts.used, 14 * TW_IN);
    assert_int_equal(s.parts.saved, 10 * TW_IN);
    laying_end(&s.l);
}

/* All of it on offcuts: no roll is loaded. */
static void no_roll_loaded(void **state) {
    (void)state;
    store s;
    start(&s, 2, 600);
    offcut(&s, 16, 10);
    store_run(&s);
    assert_int_equal(s.parts.count, 1);
    assert_int_equal(s.parts.items[0].offcut, 0);
    assert_int_equal(s.parts.used, 0);
    assert_int_equal(s.parts.bound, 0);
    assert_int_equal(s.parts.saved, 14 * TW_IN);
    laying_end(&s.l);
}

/* A roll that holds one row, an offcut that holds two: of six the one due last is left out. */
static void what_the_roll_does_not_hold(void **state) {
    (void)state;
    store s;
    start(&s, 6, 14);
    offcut(&s, 17, 11);
    store_run(&s);
    assert_int_equal(s.parts.left_count, 1);
    assert_int_equal(s.parts.left[0].piece, 5);
    assert_int_equal(s.parts.left[0].why, TW_LEFT_PAPER_USED);
    assert_int_equal(s.parts.saved, 0);
    laying_end(&s.l);
}

/* Fillers lie in the free places of an offcut that is used; they are no reason to use one. */
static void fillers(void **state) {
    (void)state;
    store s;
    start(&s, 4, 600);
    laying_add(&s.l, 3, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    for (size_t i = 4; i < 7; i++) {
        s.l.pieces[i].filler = true;
        s.l.pieces[i].may_turn = false;
        s.l.pieces[i].worth = 100;
    }
    offcut(&s, 16, 10);
    store_run(&s);
    assert_int_equal(s.parts.used, 14 * TW_IN);
    assert_int_equal(s.parts.items[1].layout.placed_count, 2);
    assert_int_equal(s.parts.left_count, 2);
    s.l.pieces[3].filler = true; /* three ordered, one row: the offcut stays where it is */
    s.l.pieces[3].worth = 100;
    store_run(&s);
    assert_int_equal(s.parts.count, 1);
    laying_end(&s.l);
}

/* Cut sheets: a box of two, two to a sheet; the third and fourth on an offcut of that size save
 * one. */
static void a_sheet_less(void **state) {
    (void)state;
    store s;
    start(&s, 4, 600);
    s.l.problem.stock = (tw_stock){
        .width = 17 * TW_IN, .length = 11 * TW_IN, .count = 9, .sheet_most = 5080 * TW_MM};
    offcut(&s, 16, 10);
    store_run(&s);
    assert_int_equal(s.parts.used, 11 * TW_IN);
    assert_int_equal(s.parts.saved, 11 * TW_IN);
    assert_int_equal(s.parts.count, 2);
    laying_end(&s.l);
}

/* So many prints that few layouts of the rest may be looked at: four offcuts of two each are used
 * all the same: 2008 are 670 rows, without those eight 667. */
static void many_prints(void **state) {
    (void)state;
    store s;
    start(&s, 2008, 60000);
    for (int i = 0; i < 4; i++)
        offcut(&s, 16, 10);
    store_run(&s);
    assert_int_equal(s.parts.used, (6670 + 4) * TW_IN);
    assert_int_equal(s.parts.saved, 30 * TW_IN);
    laying_end(&s.l);
}

/* ---------------------------------------------------------------- random days */

static void random_days(void **state) {
    (void)state;
    size_t used = 0;
    for (uint64_t seed = 0; seed < 60; seed++) {
        store s;
        uint64_t r = seed + 77;
        memset(&s, 0, sizeof s);
        random_job(seed, &s.l, 6);
        laying_run(&s.l);
        tw_nm without = s.l.layout.used;
        if (seed % 2 == 1 && s.l.problem.stock.roll)
            s.l.problem.stock.length = without * 2 / 3 + 1;
        s.supply.offcut_count = 1 + (size_t)random_below(&r, 3);
        for (size_t i = 0; i < s.supply.offcut_count; i++)
            s.offcuts[i] = (tw_size){200 * TW_MM + random_below(&r, 129 * TW_MM),
                                     200 * TW_MM + random_below(&r, 500 * TW_MM)};
        if (store_try(&s) != TW_OK)
            fail_msg("seed %llu: %s", (unsigned long long)seed, s.l.error.message);
        if (s.parts.left_count == s.l.layout.left_count)
            assert_true(s.parts.used <= without);
        used += s.parts.count > 0 && s.parts.items[s.parts.count - 1].offcut != SIZE_MAX;
        laying_end(&s.l);
    }
    assert_true(used > 20);
}

static void no_memory(void **state) {
    (void)state;
    store s;
    tw_code code = TW_MEMORY;
    long refused = 0;
    start(&s, 4, 600);
    offcut(&s, 8, 10);
    s.l.problem.settings.steps = 20;
    while (code == TW_MEMORY) {
        s.l.memory.asked = 0;
        refused += 1 + refused / 16;
        s.l.memory.fail_at = refused;
        code = store_try(&s);
        assert_true(code == TW_MEMORY || code == TW_OK);
        laying_clear(&s.l);
        assert_no_leak(s.l.memory);
    }
    assert_int_equal(code, TW_OK);
    laying_end(&s.l);
}

typedef struct watch {
    long polls, stop_at;
} watch;

static bool asked_to_stop(void *context) {
    watch *w = context;
    return ++w->polls >= w->stop_at;
}

/* Stopped at any poll: cancelled, or a whole plan that says it could have been better. */
static void stopped(void **state) {
    (void)state;
    bool early = false;
    tw_code code = TW_CANCELLED;
    for (long at = 1; at < 100000; at += 1 + at / 8) {
        store s;
        watch w = {.stop_at = at};
        start(&s, 5, 600);
        offcut(&s, 8, 10);
        offcut(&s, 8, 10);
        s.l.run.cancelled = asked_to_stop;
        s.l.run.context = &w;
        code = store_try(&s);
        assert_true(code == TW_OK || code == TW_CANCELLED);
        early = early || (code == TW_OK && s.parts.stopped_early);
        bool done = code == TW_OK && !s.parts.stopped_early;
        laying_end(&s.l);
        if (done)
            break;
    }
    assert_int_equal(code, TW_OK);
    assert_true(early);
}

/* ---------------------------------------------------------------- the referee sees it */

static void sees(store *s, const char *words) {
    assert_int_equal(tw_referee_parts(&s->l.problem, &s->supply, &s->parts, &s->l.error), TW_BUG);
    assert_says(s->l.error, words);
}

static void the_referee_sees(void **state) {
    (void)state;
    store s;
    start(&s, 4, 600);
    offcut(&s, 10, 12);
    store_run(&s);
    tw_part *part = &s.parts.items[1];
    part->offcut = 1;
    sees(&s, "used twice or unknown");
    part->offcut = 0;
    part->problem.stock.width++;
    sees(&s, "not what the paper says");
    part->problem.stock.width--;
    s.parts.count = 1;
    s.parts.left[0] = (tw_left){part->pieces[part->layout.placed[0].piece], TW_LEFT_PAPER_USED};
    s.parts.left_count = 1;
    sees(&s, "offcut 1 has room for it");
    laying_end(&s.l);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_row_less),       cmocka_unit_test(work_has_a_price),
        cmocka_unit_test(no_use),           cmocka_unit_test(two_together),
        cmocka_unit_test(no_roll_loaded),   cmocka_unit_test(what_the_roll_does_not_hold),
        cmocka_unit_test(fillers),          cmocka_unit_test(a_sheet_less),
        cmocka_unit_test(many_prints),      cmocka_unit_test(random_days),
        cmocka_unit_test(no_memory),        cmocka_unit_test(stopped),
        cmocka_unit_test(the_referee_sees),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
