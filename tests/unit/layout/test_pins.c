/*
 * Pins: prints fixed to a sheet or a place. Every layout here is cut and judged by the referee,
 * which checks each pin by itself.
 */
#include "random_jobs.h"

static void start(laying *l, size_t copies, tw_nm wide, tw_nm high) {
    laying_start(l);
    laying_add(l, copies, wide * TW_IN, high * TW_IN, HALF_IN);
}

static void pin_to(tw_piece *piece, int sheet, tw_nm x, tw_nm y, bool turned) {
    piece->pin_sheet = sheet;
    piece->pinned_place = true;
    piece->pin_x = x;
    piece->pin_y = y;
    piece->pin_turned = turned;
}

static const tw_placed *placed_of(const laying *l, size_t piece) {
    for (size_t i = 0; i < l->layout.placed_count; i++)
        if (l->layout.placed[i].piece == piece)
            return &l->layout.placed[i];
    fail_msg("piece %zu is not placed", piece);
    return NULL;
}

/* Six 8x10 on a 24 in roll take two rows of 10 in, wherever among them a print is wanted. */
static void equal_prints_change_places(void **state) {
    (void)state;
    laying l;
    start(&l, 6, 8, 10);
    laying_run(&l);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    int sheets = l.layout.sheet_count;
    pin_to(&l.pieces[4], 0, 16 * TW_IN, 0, false);
    laying_run(&l);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    assert_int_equal(l.layout.sheet_count, sheets);
    assert_int_equal(placed_of(&l, 4)->x, 16 * TW_IN);
    laying_end(&l);
}

/* A print may be sent to another sheet: the sheets' numbers change, the paper does not. */
static void sheets_change_numbers(void **state) {
    (void)state;
    laying l;
    start(&l, 1, 16, 20);
    laying_add(&l, 3, 8 * TW_IN, 10 * TW_IN, HALF_IN);
    l.problem.stock.longest_sheet = 21 * TW_IN;
    laying_run(&l);
    tw_nm used = l.layout.used;
    assert_true(l.layout.sheet_count >= 2);
    for (int sheet = 0; sheet < 2; sheet++) {
        l.pieces[0].pin_sheet = sheet;
        laying_run(&l);
        assert_int_equal(l.layout.used, used);
        assert_int_equal(placed_of(&l, 0)->sheet, sheet);
    }
    laying_end(&l);
}

/* At 6 in from the left no plan of rows has a print: the sheet is built round it, and what fits
 * beside it is laid there. Two 6x10 at its left and right would do; an 8x10 fits at neither side
 * of 6 in but does at the right, where 10 in are left. */
static void a_sheet_is_built_round_a_place(void **state) {
    (void)state;
    laying l;
    start(&l, 3, 8, 10);
    laying_add(&l, 1, 6 * TW_IN, 10 * TW_IN, HALF_IN);
    pin_to(&l.pieces[0], 0, 6 * TW_IN, 0, false);
    laying_run(&l);
    const tw_placed *six = placed_of(&l, 3);
    assert_int_equal(six->sheet, 0);
    assert_int_equal(six->x, 0);
    assert_int_equal(l.layout.sheet_length[0], 10 * TW_IN);
    size_t on_first = 0;
    for (size_t i = 0; i < l.layout.placed_count; i++)
        on_first += l.layout.placed[i].sheet == 0;
    assert_int_equal(on_first, 3);
    laying_end(&l);
}

/* Below a pin at 12 in down its sheet, and above it, there is room too. */
static void room_above_is_filled(void **state) {
    (void)state;
    laying l;
    start(&l, 4, 8, 10);
    laying_add(&l, 3, 8 * TW_IN, 12 * TW_IN, HALF_IN);
    for (size_t i = 0; i < l.problem.count; i++)
        l.pieces[i].may_turn = false;
    pin_to(&l.pieces[0], 1, 4 * TW_IN, 12 * TW_IN, false);
    l.problem.stock.longest_sheet = 24 * TW_IN;
    laying_run(&l);
    assert_int_equal(placed_of(&l, 0)->sheet, 1);
    assert_int_equal(l.layout.sheet_length[1], 22 * TW_IN);
    for (size_t i = 4; i < 7; i++)
        assert_int_equal(placed_of(&l, i)->sheet, 1);
    laying_end(&l);
}

static void pins_to_one_sheet_lie_on_it(void **state) {
    (void)state;
    laying l;
    start(&l, 9, 8, 10);
    laying_add(&l, 2, 16 * TW_IN, 20 * TW_IN, HALF_IN);
    laying_add(&l, 1, 5 * TW_IN, 7 * TW_IN, HALF_IN);
    l.pieces[9].pin_sheet = l.pieces[0].pin_sheet = l.pieces[11].pin_sheet = 1;
    l.pieces[10].pin_sheet = 0;
    laying_run(&l);
    laying_end(&l);
}

static void cut_sheets_have_pins(void **state) {
    (void)state;
    laying l;
    start(&l, 5, 8, 10);
    l.problem.stock = (tw_stock){.width = 17 * TW_IN, .length = 22 * TW_IN, .count = 3};
    pin_to(&l.pieces[0], 1, 9 * TW_IN, 12 * TW_IN, false);
    laying_run(&l);
    assert_int_equal(placed_of(&l, 0)->sheet, 1);
    l.problem.stock.count = 1;
    assert_int_equal(laying_try(&l), TW_INPUT);
    assert_int_equal(l.layout.pin_fault.why, TW_PIN_NO_SHEET);
    laying_end(&l);
}

/* ---------------------------------------------------------------- pins nobody can keep */

static void refused(laying *l, tw_pin_why why, size_t piece) {
    assert_int_equal(laying_try(l), TW_INPUT);
    assert_int_equal(l->layout.pin_fault.why, why);
    assert_int_equal(l->layout.pin_fault.piece, piece);
}

static void pins_off_the_paper(void **state) {
    (void)state;
    laying l;
    start(&l, 2, 8, 10);
    pin_to(&l.pieces[1], 0, 16 * TW_IN + 1, 0, false);
    refused(&l, TW_PIN_EDGE, 1);
    assert_int_equal(l.layout.pin_fault.edge, TW_RIGHT);
    assert_int_equal(l.layout.pin_fault.is, -1);
    pin_to(&l.pieces[1], 0, TW_IN / 16, 0, false);
    refused(&l, TW_PIN_STRIP, 1);
    l.pieces[1].visible = all_sides(0); /* ink to the trim: 1/4 in of side margin is needed */
    pin_to(&l.pieces[1], 0, EIGHTH_IN, 0, false);
    refused(&l, TW_PIN_EDGE, 1);
    assert_int_equal(l.layout.pin_fault.need, QUARTER_IN);
    pin_to(&l.pieces[1], 0, QUARTER_IN, 51 * TW_IN, false);
    refused(&l, TW_PIN_LONG, 1);
    assert_int_equal(l.layout.pin_fault.is, 61 * TW_IN);
    l.pieces[1].may_turn = false;
    pin_to(&l.pieces[1], 0, QUARTER_IN, 0, true);
    refused(&l, TW_PIN_WAY, 1);
    l.pieces[1].width = l.pieces[1].height = 25 * TW_IN;
    refused(&l, TW_PIN_TOO_BIG, 1);
    laying_end(&l);
}

static void pins_in_each_others_way(void **state) {
    (void)state;
    laying l;
    start(&l, 3, 8, 10);
    pin_to(&l.pieces[0], 0, 0, 0, false);
    pin_to(&l.pieces[1], 0, 8 * TW_IN - 1, 9 * TW_IN, false);
    refused(&l, TW_PIN_CLOSE, 1);
    assert_int_equal(l.layout.pin_fault.other, 0);
    l.problem.settings.gutter = QUARTER_IN;
    pin_to(&l.pieces[1], 0, 8 * TW_IN, 0, false);
    refused(&l, TW_PIN_CLOSE, 1);
    assert_int_equal(l.layout.pin_fault.need, QUARTER_IN);
    l.problem.settings.gutter = 0;
    laying_run(&l);
    laying_end(&l);
}

/* Four prints round a hole: every cut from edge to edge would go through one of them. */
static void a_pinwheel_cannot_be_cut(void **state) {
    (void)state;
    laying l;
    start(&l, 4, 4, 8);
    pin_to(&l.pieces[0], 0, 0, 0, true);
    pin_to(&l.pieces[1], 0, 8 * TW_IN, 0, false);
    pin_to(&l.pieces[2], 0, 4 * TW_IN, 8 * TW_IN, true);
    pin_to(&l.pieces[3], 0, 0, 4 * TW_IN, false);
    assert_int_equal(laying_try(&l), TW_INPUT);
    assert_int_equal(l.layout.pin_fault.why, TW_PIN_UNCUT);
    pin_to(&l.pieces[3], 0, 0, 4 * TW_IN, true); /* not a wheel any more */
    pin_to(&l.pieces[2], 0, 0, 8 * TW_IN, true);
    laying_run(&l);
    laying_end(&l);
}

static void sheets_that_are_not_there(void **state) {
    (void)state;
    laying l;
    start(&l, 1, 8, 10);
    l.pieces[0].pin_sheet = 2;
    refused(&l, TW_PIN_NO_SHEET, 0);
    assert_int_equal(l.layout.pin_fault.sheets, 1);
    l.pieces[0].pin_sheet = 0;
    l.problem.stock.length = 9 * TW_IN;
    l.pieces[0].may_turn = false;
    refused(&l, TW_PIN_PAPER, 0);
    assert_int_equal(l.layout.pin_fault.is, 10 * TW_IN);
    laying_end(&l);
}

/* Sheets before it are made by parting what would have been one. */
static void the_rest_is_parted_for_a_number(void **state) {
    (void)state;
    laying l;
    start(&l, 13, 8, 10);
    l.problem.stock.machine_cuts = false;
    l.problem.stock.lost_each_sheet = TW_IN;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 1);
    pin_to(&l.pieces[0], 2, TW_IN, TW_IN, false);
    laying_run(&l);
    assert_int_equal(placed_of(&l, 0)->sheet, 2);
    laying_end(&l);
}

static void too_much_for_one_sheet(void **state) {
    (void)state;
    laying l;
    start(&l, 4, 16, 20);
    l.problem.stock.longest_sheet = 45 * TW_IN;
    for (size_t i = 0; i < 4; i++)
        l.pieces[i].pin_sheet = 0;
    assert_int_equal(laying_try(&l), TW_INPUT);
    assert_int_equal(l.layout.pin_fault.why, TW_PIN_CROWDED);
    l.problem.stock.longest_sheet = 80 * TW_IN;
    laying_run(&l);
    for (size_t i = 0; i < 4; i++)
        l.pieces[i].bytes = 300;
    l.problem.settings.sheet_bytes_most = 1199;
    refused(&l, TW_PIN_BYTES, 3);
    laying_end(&l);
}

/* The way of a set is that of its pinned print. */
static void a_set_lies_as_its_pin(void **state) {
    (void)state;
    laying l;
    start(&l, 3, 8, 10);
    for (size_t i = 0; i < 3; i++)
        l.pieces[i].alike = 5;
    pin_to(&l.pieces[1], 0, TW_IN, 0, true);
    laying_run(&l);
    assert_true(placed_of(&l, 0)->turned);
    pin_to(&l.pieces[2], 0, 14 * TW_IN, 0, false);
    refused(&l, TW_PIN_WAY, 2);
    laying_end(&l);
}

/* ---------------------------------------------------------------- seeded days */

/* Whatever is pinned: a plan the referee passes, or a reason. And what is pinned where it lies
 * already costs nothing. */
static void seeded_days(void **state) {
    (void)state;
    size_t kept = 0, refusals = 0;
    for (uint64_t seed = 1; seed <= 120; seed++) {
        laying l;
        uint64_t s = seed * 77;
        random_job(seed, &l, 8);
        laying_run(&l);
        tw_nm used = l.layout.used;
        size_t left = l.layout.left_count;
        for (size_t i = 0; i < l.layout.placed_count && left == 0; i++) {
            const tw_placed *p = &l.layout.placed[i];
            if (random_one_in(&s, 4))
                pin_to(&l.pieces[p->piece], p->sheet, p->x, p->y, p->turned);
            else if (random_one_in(&s, 4))
                l.pieces[p->piece].pin_sheet = p->sheet;
        }
        laying_run(&l);
        assert_true(l.layout.used <= used); /* sets with a pin are tried otherwise */
        size_t piece = (size_t)random_below(&s, (tw_nm)l.problem.count);
        pin_to(&l.pieces[piece], (int)random_below(&s, 3), random_below(&s, 20) * TW_IN,
               random_below(&s, 20) * TW_IN, random_one_in(&s, 2));
        tw_code code = laying_try(&l);
        if (code == TW_INPUT)
            assert_int_not_equal(l.layout.pin_fault.why, TW_PIN_GOOD);
        else if (code != TW_OK)
            fail_msg("seed %llu: %s", (unsigned long long)seed, l.error.message);
        kept += code == TW_OK;
        refusals += code == TW_INPUT;
        laying_end(&l);
    }
    assert_true(kept > 10 && refusals > 10);
}

static void memory_runs_out(void **state) {
    (void)state;
    laying l;
    start(&l, 3, 8, 10);
    laying_add(&l, 2, 5 * TW_IN, 7 * TW_IN, HALF_IN);
    l.problem.settings.steps = 50;
    pin_to(&l.pieces[0], 0, 6 * TW_IN, 0, false);
    laying_run(&l);
    long asked = l.memory.asked;
    for (long n = 1; n < asked; n += 1 + asked / 100) {
        laying_clear(&l);
        l.memory.asked = 0;
        l.memory.fail_at = n;
        tw_code code = laying_try(&l);
        assert_true(code == TW_MEMORY || code == TW_OK);
        l.memory.fail_at = 0;
    }
    laying_end(&l);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(equal_prints_change_places),
        cmocka_unit_test(sheets_change_numbers),
        cmocka_unit_test(a_sheet_is_built_round_a_place),
        cmocka_unit_test(room_above_is_filled),
        cmocka_unit_test(pins_to_one_sheet_lie_on_it),
        cmocka_unit_test(cut_sheets_have_pins),
        cmocka_unit_test(pins_off_the_paper),
        cmocka_unit_test(pins_in_each_others_way),
        cmocka_unit_test(a_pinwheel_cannot_be_cut),
        cmocka_unit_test(sheets_that_are_not_there),
        cmocka_unit_test(the_rest_is_parted_for_a_number),
        cmocka_unit_test(too_much_for_one_sheet),
        cmocka_unit_test(a_set_lies_as_its_pin),
        cmocka_unit_test(seeded_days),
        cmocka_unit_test(memory_runs_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
