/*
 * Prints over several rolls of one paper: hand-computed days, what is left out, rolls in any
 * order, random days judged, and a referee that sees what is wrong.
 */
#include "random_jobs.h"

#include "layout/parts.h"

/* The rolls beside the problem's own, laid out in l->arena, cut and judged. */
typedef struct rolls {
    laying l;
    tw_nm further[4];
    tw_supply supply;
    tw_parts parts;
} rolls;

static tw_code judge_all(rolls *r) {
    tw_code code = tw_referee_parts(&r->l.problem, &r->supply, &r->parts, &r->l.error);
    for (size_t i = 0; i < r->parts.count && code == TW_OK; i++) {
        const tw_part *part = &r->parts.items[i];
        tw_cuts cuts;
        code = tw_cuts_make(r->l.arena, &part->problem, &part->layout, &r->l.limits, &cuts,
                            &r->l.error);
        if (code == TW_OK)
            code = tw_referee_check(&part->problem, &part->layout, &cuts, &r->l.error);
    }
    for (size_t i = 0; i < r->parts.passed_count && code == TW_OK; i++)
        code = tw_referee_check(&r->parts.passed[i].problem, &r->parts.passed[i].layout, NULL,
                                &r->l.error);
    return code;
}

static tw_code rolls_try(rolls *r) {
    laying_clear(&r->l);
    r->l.arena = tw_arena_new(&r->l.allocator, 0);
    if (r->l.arena == NULL)
        return TW_MEMORY;
    r->supply.further = r->further;
    tw_code code = tw_parts_make(r->l.arena, &r->l.problem, &r->supply, &r->parts, &r->l.error);
    return code == TW_OK ? judge_all(r) : code;
}

static void rolls_run(rolls *r) {
    assert_ok(rolls_try(r), r->l.error);
}

/* 24 in rolls; a load loses 3 in, a core's end 1 in; `count` rows of three 8x10, due one row
 * after the other. */
static void start(rolls *r, size_t rows, tw_nm first, tw_nm second, tw_nm third) {
    memset(r, 0, sizeof *r);
    laying_start(&r->l);
    laying_add(&r->l, 3 * rows, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    for (size_t i = 0; i < 3 * rows; i++)
        r->l.pieces[i].priority = (int64_t)i / 3;
    r->l.problem.stock.length = first * TW_IN;
    r->l.problem.stock.lost_each_load = 3 * TW_IN;
    r->l.problem.stock.lost_core_end = TW_IN;
    r->further[0] = second * TW_IN;
    r->further[1] = third * TW_IN;
    r->supply.further_count = third > 0 ? 2 : second > 0;
}

/* Three rows are 30 in and 4 in lost. The first roll of 20 in holds one of them; all on the
 * second lose 4 in once. */
static void the_roll_that_holds_all(void **state) {
    (void)state;
    rolls r;
    start(&r, 3, 20, 100, 0);
    rolls_run(&r);
    assert_int_equal(r.parts.count, 1);
    assert_int_equal(r.parts.items[0].roll, 1);
    assert_int_equal(r.parts.used, 34 * TW_IN);
    assert_int_equal(r.parts.bound, 34 * TW_IN);
    assert_int_equal(r.parts.left_count, 0);
    /* Each holds all: the first is taken, no other touched. */
    r.l.problem.stock.length = 50 * TW_IN;
    rolls_run(&r);
    assert_int_equal(r.parts.count, 1);
    assert_int_equal(r.parts.items[0].roll, 0);
    laying_end(&r.l);
}

/* Four rows over two rolls of 24 in, two rows and 4 in lost each: 48 in, and no plan uses less. */
static void rolls_share_a_day(void **state) {
    (void)state;
    rolls r;
    start(&r, 4, 24, 24, 0);
    rolls_run(&r);
    assert_int_equal(r.parts.count, 2);
    assert_int_equal(r.parts.items[0].roll, 0);
    assert_int_equal(r.parts.items[1].roll, 1);
    assert_int_equal(r.parts.used, 48 * TW_IN);
    assert_int_equal(r.parts.bound, 48 * TW_IN);
    assert_int_equal(r.parts.bound_stages, 0);
    assert_int_equal(r.parts.items[0].layout.placed_count, 6);
    /* What is due first lies on the first. */
    for (size_t i = 0; i < 6; i++) {
        const tw_part *part = &r.parts.items[0];
        assert_true(part->pieces[part->layout.placed[i].piece] < 6);
    }
    laying_end(&r.l);
}

/* The latest due are left out, over all rolls; the short roll has room for one row. */
static void the_latest_due_are_left_out(void **state) {
    (void)state;
    rolls r;
    start(&r, 6, 24, 14, 14);
    rolls_run(&r);
    assert_int_equal(r.parts.count, 3);
    assert_int_equal(r.parts.left_count, 6);
    for (size_t i = 0; i < 6; i++) {
        assert_int_equal(r.parts.left[i].piece, 12 + i);
        assert_int_equal(r.parts.left[i].why, TW_LEFT_PAPER_USED);
    }
    laying_end(&r.l);
}

/* A print longer than the first roll has left goes to the second, whatever lies on the first. */
static void a_long_print_on_the_long_roll(void **state) {
    (void)state;
    rolls r;
    start(&r, 1, 16, 40, 0);
    laying_add(&r.l, 1, 24 * TW_IN, 36 * TW_IN, HALF_IN)->may_turn = false;
    laying_add(&r.l, 1, 60 * TW_IN, 61 * TW_IN, HALF_IN); /* fits none */
    rolls_run(&r);
    assert_int_equal(r.parts.count, 2);
    assert_int_equal(r.parts.left_count, 1);
    assert_int_equal(r.parts.left[0].why, TW_LEFT_TOO_BIG);
    assert_int_equal(r.parts.used, (10 + 4 + 36 + 4) * TW_IN);
    laying_end(&r.l);
}

/* Fillers take free places on the roll that is loaded and load no other. */
static void fillers_load_no_roll(void **state) {
    (void)state;
    rolls r;
    start(&r, 1, 14, 50, 0);
    r.l.pieces[2].filler = true; /* beside two ordered ones, and three more with no room */
    for (size_t i = 0; i < 3; i++)
        laying_add(&r.l, 1, 8 * TW_IN, 10 * TW_IN, HALF_IN)->filler = true;
    for (size_t i = 0; i < 6; i++) {
        r.l.pieces[i].worth = 100;
        r.l.pieces[i].may_turn = false;
    }
    rolls_run(&r);
    assert_int_equal(r.parts.count, 1);
    assert_int_equal(r.parts.items[0].layout.placed_count, 3);
    assert_int_equal(r.parts.left_count, 3);
    laying_end(&r.l);
}

/* A set of which one print fits only turned lies turned on the second roll as on the first. */
static void a_set_lies_one_way(void **state) {
    (void)state;
    rolls r;
    start(&r, 0, 24, 100, 0);
    laying_add(&r.l, 1, 36 * TW_IN, 20 * TW_IN, HALF_IN)->alike = 0;
    laying_add(&r.l, 4, 12 * TW_IN, 20 * TW_IN, HALF_IN);
    for (size_t i = 0; i < 5; i++) {
        r.l.pieces[i].alike = 0;
        r.l.pieces[i].priority = (int64_t)i;
    }
    r.l.problem.stock.length = 41 * TW_IN; /* the long one and nothing beside it */
    rolls_run(&r);
    assert_int_equal(r.parts.left_count, 0);
    size_t turned = 0;
    for (size_t i = 0; i < r.parts.count; i++)
        for (size_t k = 0; k < r.parts.items[i].layout.placed_count; k++)
            turned += r.parts.items[i].layout.placed[k].turned;
    assert_int_equal(turned, 5);
    laying_end(&r.l);
}

/* The earliest due that only one of two leaves out decides, then how many are left out. */
static void which_leaves_out_the_better(void **state) {
    (void)state;
    static const int64_t early[] = {20270306};
    static const int64_t late[] = {20270310, 20270310, INT64_MAX};
    assert_true(tw_missed_compare(late, 3, early, 1) < 0);
    assert_true(tw_missed_compare(early, 1, late, 3) > 0);
    assert_true(tw_missed_compare(late, 2, late, 3) < 0);
    assert_true(tw_missed_compare(early, 0, late, 1) < 0);
    assert_int_equal(tw_missed_compare(late, 3, late, 3), 0);
}

/* ---------------------------------------------------------------- random days */

/* The roll a day takes, cut in three and each part a little longer for what it loses. */
static void cut_up(rolls *r, uint64_t seed) {
    uint64_t s = seed + 1000000;
    tw_nm all = r->l.layout.used;
    tw_nm first = random_below(&s, all) + 1;
    tw_nm more = random_below(&s, 2) == 0 ? 0 : all / 2;
    r->l.problem.stock.length = first;
    r->further[0] = (all - first) / 2 + more + 1;
    r->further[1] = (all - first) / 3 + 1;
    r->supply.further_count = 1 + (size_t)random_below(&s, 2);
}

static void random_days(void **state) {
    (void)state;
    size_t shared = 0;
    size_t missed = 0;
    for (uint64_t seed = 0; seed < 80; seed++) {
        rolls r;
        memset(&r, 0, sizeof r);
        random_job(seed, &r.l, 8);
        laying_run(&r.l);
        if (!r.l.problem.stock.roll || r.l.layout.used == 0) {
            laying_end(&r.l);
            continue;
        }
        cut_up(&r, seed);
        if (rolls_try(&r) != TW_OK)
            fail_msg("seed %llu: %s", (unsigned long long)seed, r.l.error.message);
        shared += r.parts.count > 1;
        missed += r.parts.left_count > 0;
        laying_end(&r.l);
    }
    assert_true(shared > 20 && missed > 15);
}

/* ---------------------------------------------------------------- surroundings */

static void no_memory(void **state) {
    (void)state;
    rolls r;
    tw_code code = TW_MEMORY;
    long refused = 0;
    start(&r, 4, 14, 14, 24);
    r.l.problem.settings.steps = 100;
    while (code == TW_MEMORY) {
        r.l.memory.asked = 0;
        refused += 1 + refused / 16; /* further apart the longer it takes */
        r.l.memory.fail_at = refused;
        code = rolls_try(&r);
        assert_true(code == TW_MEMORY || code == TW_OK);
        laying_clear(&r.l);
        assert_no_leak(r.l.memory);
    }
    assert_int_equal(code, TW_OK);
    assert_true(refused > 50);
    laying_end(&r.l);
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
        rolls r;
        watch w = {.stop_at = at};
        start(&r, 4, 24, 14, 14);
        r.l.run.cancelled = asked_to_stop;
        r.l.run.context = &w;
        code = rolls_try(&r);
        assert_true(code == TW_OK || code == TW_CANCELLED);
        early = early || (code == TW_OK && r.parts.stopped_early);
        bool done = code == TW_OK && !r.parts.stopped_early;
        laying_end(&r.l);
        if (done)
            break;
    }
    assert_int_equal(code, TW_OK);
    assert_true(early);
}

/* ---------------------------------------------------------------- the referee sees it */

static void sees(rolls *r, const char *words) {
    assert_int_equal(tw_referee_parts(&r->l.problem, &r->supply, &r->parts, &r->l.error), TW_BUG);
    assert_says(r->l.error, words);
}

static void the_referee_sees(void **state) {
    (void)state;
    rolls r;
    start(&r, 4, 24, 24, 14);
    rolls_run(&r);
    assert_int_equal(r.parts.count, 2);
    tw_parts good = r.parts;
    r.parts.used++;
    sees(&r, "totals");
    r.parts = good;
    r.parts.bound = r.parts.used + 1;
    sees(&r, "totals");
    r.parts = good;
    r.parts.items[1].roll = 0;
    sees(&r, "used twice or unknown");
    r.parts.items[1].roll = 2;
    sees(&r, "not what the paper says");
    r.parts.items[1].roll = 1;
    r.parts.count = 1;
    sees(&r, "on no roll or offcut and not left out");
    r.parts.left_count = 6;
    for (size_t i = 0; i < 6; i++)
        r.parts.left[i] = (tw_left){6 + i, TW_LEFT_PAPER_USED};
    sees(&r, "roll 2 has paper for it");
    r.parts = good;
    r.parts.left_count = 1;
    r.parts.left[0] = (tw_left){0, TW_LEFT_PAPER_USED};
    sees(&r, "on two rolls or listed twice");
    r.parts = good;
    r.l.pieces[11].width++;
    sees(&r, "is not the job's");
    laying_end(&r.l);
}

/* Pieces of one set turned on one roll and upright on the other; one left out that is due before
 * its equal. */
static void the_referee_sees_sets_and_turns(void **state) {
    (void)state;
    rolls r;
    start(&r, 4, 24, 24, 0);
    for (size_t i = 0; i < 12; i++)
        r.l.pieces[i].alike = 0;
    rolls_run(&r);
    r.parts.items[1].layout.placed[0].turned = true;
    sees(&r, "set 0");
    laying_end(&r.l);
    start(&r, 5, 24, 24, 0);
    rolls_run(&r);
    assert_int_equal(r.parts.left_count, 3);
    for (size_t i = 0; i < 15; i++)
        r.l.pieces[i].priority = -(int64_t)i;
    for (size_t i = 0; i < 2; i++)
        for (size_t k = 0; k < r.parts.items[i].problem.count; k++) {
            tw_piece *copy = (tw_piece *)&r.parts.items[i].problem.pieces[k];
            copy->priority = -(int64_t)r.parts.items[i].pieces[k];
        }
    sees(&r, "its equal and served after it");
    laying_end(&r.l);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_roll_that_holds_all),
        cmocka_unit_test(rolls_share_a_day),
        cmocka_unit_test(the_latest_due_are_left_out),
        cmocka_unit_test(a_long_print_on_the_long_roll),
        cmocka_unit_test(fillers_load_no_roll),
        cmocka_unit_test(a_set_lies_one_way),
        cmocka_unit_test(which_leaves_out_the_better),
        cmocka_unit_test(random_days),
        cmocka_unit_test(no_memory),
        cmocka_unit_test(stopped),
        cmocka_unit_test(the_referee_sees),
        cmocka_unit_test(the_referee_sees_sets_and_turns),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
