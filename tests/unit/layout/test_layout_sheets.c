/*
 * Sheets of a roll and cut sheets, worked out by hand: shortest and longest, lost paper, the
 * printer's cutter or none, what is left when paper runs out, bytes of a sheet.
 */
#include "laying.h"

static void bordered(laying *l, size_t copies, tw_nm width, tw_nm height) {
    laying_add(l, copies, width * TW_IN, height * TW_IN, HALF_IN);
}

static void start_upright(laying *l) {
    laying_start(l);
    l->problem.settings.turn = false;
}

static void assert_left(const laying *l, size_t at, size_t piece, tw_left_why why) {
    assert_true(at < l->layout.left_count);
    assert_int_equal(l->layout.left[at].piece, piece);
    assert_int_equal(l->layout.left[at].why, why);
}

/* The printer cuts for nothing: each row of three is a sheet, two cuts each. Where a sheet loses
 * paper, paper comes first: one sheet, a cut across more. */
static void rows_alone(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    bordered(&l, 6, 8, 10);
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 2);
    assert_int_equal(l.cuts.hand_cuts, 4);
    l.problem.stock.lost_each_sheet = 1;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 1);
    assert_int_equal(l.layout.used, 20 * TW_IN + 1);
    assert_int_equal(l.cuts.hand_cuts, 5);
    laying_end(&l);
}

/* Margins at the ends that no border covers cost paper on every sheet too. */
static void end_margins_join_rows(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.stock.lead = l.problem.stock.tail = TW_IN; /* borders are 1/2 in */
    bordered(&l, 6, 8, 10);
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 1);
    assert_int_equal(l.layout.used, 21 * TW_IN);
    assert_int_equal(l.layout.placed[0].y, HALF_IN);
    assert_int_equal(l.cuts.hand_cuts, 3 + 4); /* lead, between, tail; two along each row */
    laying_end(&l);
}

/* Blank strips for marks at both ends of every sheet: the same in paper, unless margins keep as
 * much already. */
static void strips_at_the_ends(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.settings.strip_lead = HALF_IN;
    l.problem.settings.strip_tail = QUARTER_IN;
    bordered(&l, 3, 8, 10);
    laying_run(&l);
    assert_int_equal(l.layout.used, 10 * TW_IN + HALF_IN + QUARTER_IN);
    assert_int_equal(l.layout.placed[0].y, HALF_IN);
    assert_int_equal(l.cuts.hand_cuts,
                     2 + 3 * 2); /* the strips carry the ticks of the cuts along */
    laying_end(&l);
}

/* No gutter between sheets: with one, rows alone are shorter. */
static void gutter_parts_rows(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.settings.gutter = QUARTER_IN;
    bordered(&l, 4, 10, 10);
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 2);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    laying_end(&l);
}

/* Under 15 in a sheet is lengthened at its tail and cut there once more; two rows of 10 in on one
 * sheet need no lengthening. */
static void shortest_sheet(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.stock.shortest_sheet = 15 * TW_IN;
    bordered(&l, 3, 8, 10);
    laying_run(&l);
    assert_int_equal(l.layout.used, 15 * TW_IN);
    assert_int_equal(l.layout.bound, 15 * TW_IN);
    assert_int_equal(l.cuts.hand_cuts, 3);
    bordered(&l, 3, 8, 10);
    laying_run(&l);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    assert_int_equal(l.layout.sheet_count, 1);
    laying_end(&l);
}

/* 1/16 in short of the shortest: the tail must be wide enough to cut off, 1/8 in. */
static void shortest_sheet_raised(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.stock.shortest_sheet = 10 * TW_IN + TW_IN / 16;
    bordered(&l, 3, 8, 10);
    laying_run(&l);
    assert_int_equal(l.layout.used, 10 * TW_IN + EIGHTH_IN);
    laying_end(&l);
}

/* Three rows of 10 in cut off the roll by hand. One sheet of 30 in: its end, two across, six
 * along. At most 25 in: two sheets, the same nine cuts. */
static void hand_cutter_and_longest_sheet(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.stock.machine_cuts = false;
    bordered(&l, 9, 8, 10);
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 1);
    assert_int_equal(l.cuts.hand_cuts, 9);
    const tw_sheet_cuts *sheet = &l.cuts.sheets[0];
    assert_int_equal(sheet->cuts[0].node, 0);
    assert_int_equal(sheet->cuts[0].at, 30 * TW_IN);
    assert_int_equal(sheet->cuts[0].stop, 30 * TW_IN);
    assert_int_equal(sheet->nodes[0].low, 1);
    assert_int_equal(sheet->nodes[0].high, -1);
    assert_int_equal(sheet->nodes[1].rect.height, 30 * TW_IN);
    assert_false(sheet->cuts[0].machine_edge_low);
    l.problem.stock.longest_sheet = 25 * TW_IN;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 2);
    assert_int_equal(l.layout.used, 30 * TW_IN);
    assert_int_equal(l.cuts.hand_cuts, 9);
    laying_end(&l);
}

/* A single print may be longer than longest_sheet, two side by side may not; none may be longer
 * than 5080 mm (200 in: ISO 32000-1 Annex C). */
static void longer_prints(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    bordered(&l, 2, 11, 70);
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 2);
    assert_int_equal(l.layout.used, 140 * TW_IN);
    bordered(&l, 1, 20, 201);
    laying_run(&l);
    assert_left(&l, 0, 2, TW_LEFT_TOO_BIG);
    l.problem.stock.sheet_most = 0;
    laying_run(&l);
    assert_int_equal(l.layout.left_count, 0);
    laying_end(&l);
}

/* Lost paper counts against the roll: two sheets of 40 in, 2 x 1 in, 3 in loading, 12 in at the
 * core make 97 in. */
static void lost_paper(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.stock.lost_each_sheet = TW_IN;
    l.problem.stock.lost_each_load = 3 * TW_IN;
    l.problem.stock.lost_core_end = 12 * TW_IN;
    bordered(&l, 2, 20, 40);
    l.problem.stock.length = 97 * TW_IN;
    laying_run(&l);
    assert_int_equal(l.layout.used, 97 * TW_IN);
    assert_int_equal(l.layout.left_count, 0);
    l.problem.stock.length -= 1;
    laying_run(&l);
    assert_int_equal(l.layout.used, 56 * TW_IN);
    assert_left(&l, 0, 1, TW_LEFT_PAPER_USED);
    laying_end(&l);
}

/* 25 in of roll hold two rows of three 8x10: of nine, the three served last are left. */
static void roll_ends(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.stock.length = 25 * TW_IN;
    bordered(&l, 9, 8, 10);
    for (size_t i = 0; i < 9; i++)
        l.pieces[i].priority = (int64_t)(i * 4 % 9); /* 0 4 8 3 7 2 6 1 5 */
    laying_run(&l);
    assert_int_equal(l.layout.left_count, 3);
    assert_left(&l, 0, 2, TW_LEFT_PAPER_USED);
    assert_left(&l, 1, 4, TW_LEFT_PAPER_USED);
    assert_left(&l, 2, 6, TW_LEFT_PAPER_USED);
    laying_end(&l);
}

/* Equal priorities: the higher index is left. */
static void roll_ends_ties(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.stock.length = 15 * TW_IN;
    bordered(&l, 4, 8, 10);
    laying_run(&l);
    assert_int_equal(l.layout.left_count, 1);
    assert_left(&l, 0, 3, TW_LEFT_PAPER_USED);
    laying_end(&l);
}

/* The second in line is longer than the rest of the roll; those behind it are served still. */
static void long_one_in_the_way(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.stock.length = 35 * TW_IN;
    bordered(&l, 3, 8, 10);
    bordered(&l, 1, 20, 30);
    bordered(&l, 6, 8, 10);
    for (size_t i = 0; i < l.problem.count; i++)
        l.pieces[i].priority = (int64_t)i;
    laying_run(&l);
    assert_int_equal(l.layout.left_count, 1);
    assert_left(&l, 0, 3, TW_LEFT_PAPER_USED);
    assert_int_equal(l.layout.used, 30 * TW_IN);
    laying_end(&l);
}

/* A roll too short for anything. */
static void no_paper(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.stock.length = 0;
    bordered(&l, 2, 8, 10);
    laying_run(&l);
    assert_int_equal(l.layout.left_count, 2);
    assert_int_equal(l.layout.used, 0);
    laying_end(&l);
}

/* A3+ (329 x 483 mm) holds two A4 (210 x 297 mm, ISO 216) one above the other lying turned:
 * 297 across, 2 x 210 = 420 along. Of five, two sheets hold four. */
static void cut_sheets(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    l.problem.stock = (tw_stock){.width = 329 * TW_MM,
                                 .length = 483 * TW_MM,
                                 .count = 3,
                                 .side = 3 * TW_MM,
                                 .lead = 3 * TW_MM,
                                 .tail = 3 * TW_MM};
    laying_add(&l, 5, 210 * TW_MM, 297 * TW_MM, 10 * TW_MM);
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 3);
    assert_int_equal(l.layout.used, 3 * (483 * TW_MM));
    /* No two lie side by side: 5 x 210 = 1050 mm along, which three sheets hold. */
    assert_int_equal(l.layout.bound, 3 * (483 * TW_MM));
    assert_int_equal(l.layout.sheet_length[2], 483 * TW_MM);
    l.problem.stock.count = 2;
    laying_run(&l);
    assert_int_equal(l.layout.placed_count, 4);
    assert_left(&l, 0, 4, TW_LEFT_PAPER_USED);
    l.problem.stock.count = 0;
    laying_run(&l);
    assert_int_equal(l.layout.left_count, 5);
    laying_end(&l);
}

/* A sheet's print must not be a hair narrower or shorter than the sheet. */
static void cut_sheets_thin_leftover(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.stock =
        (tw_stock){.width = 210 * TW_MM, .length = 297 * TW_MM, .count = 9, .lead = 5 * TW_MM};
    laying_add(&l, 1, 210 * TW_MM, 297 * TW_MM, 5 * TW_MM);
    laying_add(&l, 1, 209 * TW_MM, 297 * TW_MM, 5 * TW_MM);
    laying_add(&l, 1, 210 * TW_MM, 296 * TW_MM, 5 * TW_MM);
    laying_add(&l, 1, 210 * TW_MM, 292 * TW_MM, 1 * TW_MM); /* 4 kept at the lead, 1 over */
    laying_run(&l);
    assert_int_equal(l.layout.left_count, 2);
    assert_left(&l, 0, 1, TW_LEFT_TOO_BIG);
    assert_left(&l, 1, 2, TW_LEFT_TOO_BIG);
    for (size_t i = 0; i < 2; i++)
        if (l.layout.placed[i].piece == 3)
            assert_int_equal(l.layout.placed[i].y, 5 * TW_MM);
    laying_end(&l);
}

/* A sheet holds 1000 bytes: three images of 600 need three sheets, one image on three prints is in
 * the file once; 1001 bytes are too many for any sheet. */
static void bytes_of_a_sheet(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.settings.sheet_bytes_most = 1000;
    bordered(&l, 3, 8, 10);
    for (int i = 0; i < 3; i++) {
        l.pieces[i].bytes = 600;
        l.pieces[i].image = i;
    }
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 3);
    for (int i = 0; i < 3; i++)
        l.pieces[i].image = 4;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 1);
    for (int i = 0; i < 3; i++)
        l.pieces[i].image = -1; /* nobody's: each its own */
    l.pieces[1].bytes = 1001;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 2);
    assert_left(&l, 0, 1, TW_LEFT_TOO_MANY_BYTES);
    laying_end(&l);
}

/* Rows of one sheet share its bytes too: on cut sheets and where a sheet loses paper. */
static void bytes_of_several_rows(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    l.problem.settings.sheet_bytes_most = 1000;
    l.problem.stock.lost_each_sheet = TW_IN;
    bordered(&l, 3, 24, 10);
    for (int i = 0; i < 3; i++)
        l.pieces[i].bytes = 400;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 2);
    l.problem.settings.sheet_bytes_most = 1200;
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 1);
    l.problem.settings.sheet_bytes_most = 1199;
    l.problem.stock = (tw_stock){.width = 24 * TW_IN, .length = 36 * TW_IN, .count = 9};
    laying_run(&l);
    assert_int_equal(l.layout.sheet_count, 2);
    laying_end(&l);
}

/* Fillers take the free places beside an ordered print, those worth most first; none is laid for
 * which paper would have to be used, and none that is worth nothing. */
static void fillers_take_free_places(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    bordered(&l, 6, 8, 10);
    for (size_t i = 1; i < 6; i++) {
        l.pieces[i].filler = true;
        l.pieces[i].worth = (int64_t)i == 3 ? 0 : 100 * (int64_t)i;
        l.pieces[i].priority = -l.pieces[i].worth;
    }
    laying_run(&l);
    assert_int_equal(l.layout.used, 10 * TW_IN);
    assert_int_equal(l.layout.placed_count, 3);
    assert_int_equal(l.layout.left_count, 3);
    for (size_t i = 0; i < 3; i++) /* 5 and 4 are worth most */
        assert_int_equal(l.layout.left[i].piece, i + 1);
    laying_end(&l);
}

/* Under a lower print too; but never where the row would have to keep more from an edge. */
static void fillers_under_a_print(void **state) {
    (void)state;
    laying l;
    start_upright(&l);
    bordered(&l, 1, 16, 20);
    bordered(&l, 1, 8, 10);
    bordered(&l, 1, 8, 10);
    laying_bleed(&l, 1, 8 * TW_IN, 10 * TW_IN, EIGHTH_IN);
    for (size_t i = 2; i < 4; i++) {
        l.pieces[i].filler = true;
        l.pieces[i].worth = i == 3 ? 900 : 100;
    }
    laying_run(&l);
    assert_int_equal(l.layout.used, 20 * TW_IN);
    assert_int_equal(l.layout.left_count, 1);
    assert_int_equal(l.layout.left[0].piece, 3);
    laying_end(&l);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_alone),
        cmocka_unit_test(end_margins_join_rows),
        cmocka_unit_test(strips_at_the_ends),
        cmocka_unit_test(gutter_parts_rows),
        cmocka_unit_test(shortest_sheet),
        cmocka_unit_test(shortest_sheet_raised),
        cmocka_unit_test(hand_cutter_and_longest_sheet),
        cmocka_unit_test(longer_prints),
        cmocka_unit_test(lost_paper),
        cmocka_unit_test(roll_ends),
        cmocka_unit_test(roll_ends_ties),
        cmocka_unit_test(long_one_in_the_way),
        cmocka_unit_test(no_paper),
        cmocka_unit_test(cut_sheets),
        cmocka_unit_test(cut_sheets_thin_leftover),
        cmocka_unit_test(bytes_of_a_sheet),
        cmocka_unit_test(bytes_of_several_rows),
        cmocka_unit_test(fillers_take_free_places),
        cmocka_unit_test(fillers_under_a_print),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
