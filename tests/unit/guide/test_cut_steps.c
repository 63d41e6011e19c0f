/*
 * What the cut table says, word for word, on sheets cut by hand: fence, stop, side kept, what
 * comes off, knife and mark, missing marks, step 0 and the cut that frees a page from the roll.
 */
#include "guide/guide.h"
#include "guide/guide_sample.h"

static const tw_size a4 = {210 * TW_MM, 297 * TW_MM};

static const sample_grid three_across = {0, 3, 1, {8 * TW_IN, 10 * TW_IN}, 0, 0, "1001", NULL};
static const sample_grid with_waste = {0,         2,         1,      {10 * TW_IN, 12 * TW_IN},
                                       4 * TW_IN, 7 * TW_IN, "1002", NULL};
static const sample_grid two_rows = {0, 2, 2, {12 * TW_IN, 9 * TW_CM}, 0, 0, "1003", NULL};

typedef struct bench {
    test_memory memory;
    tw_allocator allocator;
    sample s;
} bench;

static tw_plan_sheet *start(bench *b, const sample_grid *grid) {
    memset(b, 0, sizeof *b);
    b->allocator = test_allocator(&b->memory);
    tw_arena *arena = tw_arena_new(&b->allocator, 0);
    assert_non_null(arena);
    sample_start(&b->s, arena);
    return sample_sheet(&b->s, grid);
}

/* Make the guide, look for every line, and put all away. */
static void says(bench *b, const char *const *lines, size_t line_count, const char *never) {
    tw_arena *arena = b->s.arena;
    tw_page *pages = NULL;
    size_t count = 0;
    tw_error error = {0};
    sample_finish(&b->s);
    assert_ok(tw_guide_make(arena, &b->s.plan, a4, &pages, &count, &error), error);
    for (size_t i = 0; i < line_count; i++)
        assert_guide_says(lines[i]);
    if (never != NULL && sample_says(arena, pages, count, never))
        fail_msg("the guide says \"%s\"", never);
    tw_arena_free(arena);
    assert_no_leak(b->memory);
}

#define SAYS(b, never, ...)                                                                        \
    do {                                                                                           \
        static const char *const lines_[] = {__VA_ARGS__};                                         \
        says(b, lines_, sizeof lines_ / sizeof *lines_, never);                                    \
    } while (0)

/* The hand check of the layout: three 8x10 on a 24 in roll, two cuts, the stop at 8 in twice. */
static void two_cuts_one_stop(void **state) {
    (void)state;
    bench b;
    start(&b, &three_across);
    SAYS(&b, " 0 A",
         "Sheet 1 of 1 \xE2\x80\x94 satin-24in \xE2\x80\x94 24 x 10 in (609.6 x 254 mm)",
         "3 prints, 2 hand cuts. Printed side up, leading edge at the top. The printer cuts both",
         "1 A 24 x 10 in 610 x 254 mm left edge along 8 in 203.2 mm right part: P1 left: 1001-1. "
         "Pencil \"1001-1\" lightly on the back, put on pile 1001 Trimmer: guard on",
         "2 P1 16 x 10 in 406 x 254 mm left edge along 8 in 203.2 mm the stop stays both parts "
         "left: 1001-2. Pencil \"1001-2\" lightly on the back, put on pile 1001 right: 1001-3. "
         "Pencil \"1001-3\" lightly on the back, put on pile 1001",
         "No cut to square a reference edge is needed", "Every cut has a mark at both ends.");
}

/* Waste falls, an offcut of 5 x 7 in and more is kept; pieces wait for their step. */
static void waste_and_offcuts(void **state) {
    (void)state;
    bench b;
    start(&b, &with_waste);
    SAYS(&b, NULL,
         "1 A 24 x 19 in 610 x 483 mm leading edge across 12 in 304.8 mm leading part: P1 "
         "trailing: offcut 24 x 7 in (609.6 x 177.8 mm), keep",
         "3 P2 14 x 12 in 356 x 305 mm left edge along 10 in 254.0 mm the stop stays left part "
         "left: 1002-2. Pencil \"1002-2\" lightly on the back, put on pile 1002 right: waste");
}

static void pieces_are_laid_aside(void **state) {
    (void)state;
    bench b;
    start(&b, &two_rows);
    SAYS(&b, NULL,
         "1 A 24 x 7.1 in 610 x 180 mm leading edge across 90.0 mm near 3 17/32 in leading "
         "part: P1 trailing part: piece P2, lay it aside for step 3",
         "3 P2 24 x 3.5 in 610 x 90 mm left edge along 12 in 304.8 mm the stop stays both parts");
}

static void knife_and_mark(void **state) {
    (void)state;
    bench b;
    tw_plan_sheet *sheet = start(&b, &with_waste);
    sheet->cuts->cuts[0].knife = true;
    sheet->cuts->cuts[1].to_mark = true;
    SAYS(&b, NULL, "across 12 in 304.8 mm knife and safety straightedge, mark to mark leading part",
         "Knife: safety straightedge, cut-resistant glove on the holding hand, off hand outside",
         "along 10 in 254.0 mm beyond the stop: cut to the mark right part: P2",
         "3 P2 14 x 12 in 356 x 305 mm left edge along 10 in 254.0 mm left part");
}

/* A cut without tick and without stop has only a rule left. */
static void missing_marks_are_listed(void **state) {
    (void)state;
    bench b;
    tw_plan_sheet *sheet = start(&b, &with_waste);
    tw_unmarked unmarked[] = {{1, true}, {2, true}, {2, false}, {3, false}};
    sheet->unmarked = unmarked;
    sheet->unmarked_count = 4;
    SAYS(&b, "Every cut has a mark", "Without a mark, set by the stop: step 2.",
         "No mark at the leading or left end: step 1.",
         "No mark at the trailing or right end: step 3.");
    sheet = start(&b, &with_waste);
    sheet->cuts->cuts[1].to_mark = true;
    sheet->unmarked = unmarked;
    sheet->unmarked_count = 4;
    SAYS(&b, "beyond the stop: cut to the mark", "beyond the stop, no mark: measure at both ends",
         "Without a mark, too far for the stop or the trimmer: measure: step 2.");
}

/* Unmarked cuts are dashed in the drawing. */
static void unmarked_cuts_are_dashed(void **state) {
    (void)state;
    bench b;
    tw_plan_sheet *sheet = start(&b, &three_across);
    tw_unmarked unmarked[] = {{2, true}, {2, false}};
    sheet->unmarked = unmarked;
    sheet->unmarked_count = 2;
    sample_finish(&b.s);
    tw_page *pages = NULL;
    size_t count = 0;
    int dashed = 0;
    tw_error error = {0};
    assert_ok(tw_guide_make(b.s.arena, &b.s.plan, a4, &pages, &count, &error), error);
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < pages[i].count; k++)
            dashed += pages[i].ops[k].kind == TW_OP_LINE && pages[i].ops[k].dashed;
    assert_int_equal(dashed, 1);
    tw_arena_free(b.s.arena);
    assert_no_leak(b.memory);
}

/* A hand cutter: step 0 squares the roll's end, step 1 frees the page from the roll. */
static void hand_cut_rolls(void **state) {
    (void)state;
    bench b;
    sample_grid one = {1, 1, 1, {17 * TW_IN, 12 * TW_IN}, 0, 0, "1004", NULL};
    tw_plan_sheet *sheet = start(&b, &one);
    tw_sheet_cuts *cuts = (tw_sheet_cuts *)(uintptr_t)sheet->cuts;
    assert_int_equal(cuts->cut_count, 0);
    cuts->nodes[1] = cuts->nodes[0];
    cuts->nodes[0] = (tw_node){.kind = TW_NODE_CUT,
                               .rect = cuts->nodes[0].rect,
                               .along = TW_ACROSS,
                               .at = 12 * TW_IN,
                               .low = 1,
                               .high = -1};
    cuts->node_count = 2;
    cuts->cuts[cuts->cut_count++] = (tw_cut){
        .step = 1, .along = TW_ACROSS, .at = 12 * TW_IN, .to = 17 * TW_IN, .stop = 12 * TW_IN};
    sheet->piece_names[1] = sheet->piece_names[0];
    sheet->piece_names[0] = "A";
    SAYS(&b, "The printer cuts both ends",
         "0 the roll's end left edge across no stop trailing part leading: a sliver of 1 mm",
         "1 the roll's end leading edge across 12 in 304.8 mm leading part leading: 1004-1. "
         "Pencil \"1004-1\" lightly on the back, put on pile 1004 trailing: the rest of the roll",
         "off: each sheet's end is cut by hand");
}

static void uncut_sheets_name_their_print(void **state) {
    (void)state;
    bench b;
    sample_grid one = {0, 1, 1, {24 * TW_IN, 30 * TW_IN}, 0, 0, NULL, NULL};
    start(&b, &one);
    SAYS(&b, "Comes off",
         "No hand cut: the sheet is the print print-1. Pencil \"print-1\" lightly on the back, put "
         "on pile prints.",
         "1 print, 0 hand cuts.");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_cuts_one_stop),        cmocka_unit_test(waste_and_offcuts),
        cmocka_unit_test(pieces_are_laid_aside),    cmocka_unit_test(knife_and_mark),
        cmocka_unit_test(missing_marks_are_listed), cmocka_unit_test(unmarked_cuts_are_dashed),
        cmocka_unit_test(hand_cut_rolls),           cmocka_unit_test(uncut_sheets_name_their_print),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
