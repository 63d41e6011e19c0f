/*
 * The referee objects to cuts: one fault for each of its rules about the cut tree, the steps and
 * their counts is planted into cuts it has passed.
 */
#include "laying.h"

/* One sheet of 26 in: 12x13 and 8x13 beside each other with 4 in of waste, the same below. Longer
 * than wide, so it is cut across first though along would take a cut less. */
static void start_cuts(laying *l, bool machine) {
    laying_start(l);
    l->problem.stock.machine_cuts = machine;
    laying_add(l, 1, 12 * TW_IN, 13 * TW_IN, HALF_IN);
    laying_add(l, 1, 8 * TW_IN, 13 * TW_IN, HALF_IN);
    laying_add(l, 1, 12 * TW_IN, 13 * TW_IN, HALF_IN);
    laying_add(l, 1, 8 * TW_IN, 13 * TW_IN, HALF_IN);
    const tw_placed placed[] = {{0, 0, 0, 0, false},
                                {1, 0, 12 * TW_IN, 0, false},
                                {2, 0, 0, 13 * TW_IN, false},
                                {3, 0, 12 * TW_IN, 13 * TW_IN, false}};
    const tw_nm lengths[] = {26 * TW_IN, 0};
    laying_by_hand(l, placed, 4, lengths);
    assert_ok(tw_cuts_make(l->arena, &l->problem, &l->layout, &l->limits, &l->cuts, &l->error),
              l->error);
    assert_ok(tw_referee_check(&l->problem, &l->layout, &l->cuts, &l->error), l->error);
    /* across at 13; along at 12 twice, then at 20 twice (stop 8) */
    assert_int_equal(l->cuts.hand_cuts, machine ? 5 : 6);
    assert_int_equal(l->cuts.stop_changes, machine ? 3 : 4);
}

static void objects(laying *l, const char *words) {
    assert_int_equal(tw_referee_check(&l->problem, &l->layout, &l->cuts, &l->error), TW_BUG);
    assert_says(l->error, words);
    laying_end(l);
}

/* Plant a fault into fresh cuts, then hear the objection. `leaf` is a print's node. */
#define PLANT_IN(machine, fault, words)                                                            \
    do {                                                                                           \
        laying l;                                                                                  \
        start_cuts(&l, machine);                                                                   \
        tw_sheet_cuts *sheet = &l.cuts.sheets[0];                                                  \
        tw_cut *cuts = sheet->cuts;                                                                \
        tw_node *nodes = sheet->nodes;                                                             \
        int leaf = first_of(sheet, TW_NODE_PRINT);                                                 \
        int waste = first_of(sheet, TW_NODE_WASTE);                                                \
        (void)cuts, (void)nodes, (void)leaf, (void)waste;                                          \
        fault;                                                                                     \
        objects(&l, words);                                                                        \
    } while (0)
#define PLANT(fault, words) PLANT_IN(true, fault, words)

static int first_of(const tw_sheet_cuts *sheet, tw_node_kind kind) {
    int node = 0;
    while (sheet->nodes[node].kind != kind)
        node++;
    return node;
}

static void steps(void **state) {
    (void)state;
    PLANT(cuts[2].step = 7, "is numbered 7");
    PLANT((cuts[0].node = cuts[1].node), "cuts a piece not in hand");
    PLANT(cuts[3].node = cuts[1].node, "cuts a piece not in hand");
    PLANT(cuts[3].node = sheet->node_count, "cuts a piece not in hand");
    PLANT(cuts[3].node = -1, "cuts a piece not in hand");
    PLANT(sheet->cut_count--, "is never cut");
    PLANT(sheet->cut_count = 0, "piece 0 of sheet 1 is never cut");
    PLANT(sheet->node_count = 0, "no cut tree");
    PLANT(sheet->cut_count = -1, "no cut tree");
}

/* A piece of paper that no cut frees. */
static void piece_from_nowhere(void **state) {
    (void)state;
    laying l;
    tw_node nodes[16] = {0};
    start_cuts(&l, true);
    tw_sheet_cuts *sheet = &l.cuts.sheets[0];
    assert_true(sheet->node_count < 16);
    memcpy(nodes, sheet->nodes, (size_t)sheet->node_count * sizeof *nodes);
    nodes[sheet->node_count].kind = TW_NODE_WASTE;
    sheet->nodes = nodes;
    sheet->node_count++;
    objects(&l, "is never freed");
}

/* A piece cut before it is freed: the second row's cuts listed before the cut across. */
static void cut_before_freed(void **state) {
    (void)state;
    laying l;
    start_cuts(&l, true);
    tw_cut *cuts = l.cuts.sheets[0].cuts;
    tw_cut kept = cuts[0];
    cuts[0] = cuts[1];
    cuts[1] = kept;
    cuts[0].step = 1;
    cuts[1].step = 2;
    objects(&l, "step 1 of sheet 1 cuts a piece not in hand");
}

static void edge_to_edge(void **state) {
    (void)state;
    PLANT(cuts[1].from += 1, "from edge to edge");
    PLANT(cuts[1].to -= 1, "from edge to edge");
    PLANT(cuts[0].to -= 12 * TW_IN, "from edge to edge");
    PLANT(cuts[3].stop += 1, "is not its place");
    PLANT(cuts[1].at += 1, "does not cut its piece in two");
    PLANT((cuts[1].at = 0, nodes[cuts[1].node].at = 0), "does not cut its piece in two");
    PLANT((cuts[1].at = 24 * TW_IN, nodes[cuts[1].node].at = 24 * TW_IN),
          "does not cut its piece in two");
    PLANT(cuts[1].along = TW_ACROSS, "does not cut its piece in two");
    PLANT(nodes[cuts[1].node].kind = TW_NODE_WASTE, "does not cut its piece in two");
    PLANT(cuts[1].machine_edge_low = false, "wrong fence edge");
    PLANT(cuts[3].machine_edge_low = true, "wrong fence edge");
    PLANT(cuts[0].machine_edge_high = false, "wrong fence edge");
}

static void the_tree(void **state) {
    (void)state;
    PLANT(nodes[cuts[0].node].low = -1, "which is none");
    PLANT(nodes[cuts[0].node].low = sheet->node_count, "which is none");
    PLANT(nodes[cuts[0].node].high = nodes[cuts[0].node].low, "which is none");
    PLANT(nodes[cuts[4].node].high = 0, "which is none");
    PLANT(nodes[leaf].rect.width += 1, "not where it is said");
    PLANT(nodes[waste].rect.x += 1, "not where it is said");
    PLANT(nodes[leaf].kind = TW_NODE_CUT, "is never cut");
    PLANT(nodes[leaf].kind = TW_NODE_WASTE, "is not freed by the cuts");
    PLANT(nodes[waste].kind = TW_NODE_PRINT, "is no print of it");
    PLANT(nodes[leaf].placed = 99, "is no print of it");
    PLANT(nodes[leaf].placed ^= 1, "do not free piece");
}

/* The print's place and the cut differ by 1 nm, consistently. */
static void frees_the_print_as_it_is(void **state) {
    (void)state;
    laying l;
    start_cuts(&l, true);
    tw_sheet_cuts *sheet = &l.cuts.sheets[0];
    tw_cut *cut = &sheet->cuts[4];
    tw_node *node = &sheet->nodes[cut->node];
    cut->at += 1;
    cut->stop += 1;
    node->at += 1;
    sheet->nodes[node->low].rect.width += 1;
    sheet->nodes[node->high].rect.x += 1;
    sheet->nodes[node->high].rect.width -= 1;
    objects(&l, "do not free piece");
}

static void strips_wide_enough(void **state) {
    (void)state;
    PLANT(l.problem.settings.narrowest_strip = 4 * TW_IN + 1, "asks for a strip of 101.6 mm");
}

/* Waste cut in two for nothing. */
static void no_idle_cut(void **state) {
    (void)state;
    laying l;
    start_cuts(&l, true);
    tw_sheet_cuts *sheet = &l.cuts.sheets[0];
    int waste = first_of(sheet, TW_NODE_WASTE);
    tw_node nodes[16];
    tw_cut cuts[8];
    int count = sheet->node_count;
    assert_true(count + 2 <= 16 && sheet->cut_count == 5);
    memcpy(nodes, sheet->nodes, (size_t)count * sizeof *nodes);
    memcpy(cuts, sheet->cuts, 5 * sizeof *cuts);
    tw_rect r = nodes[waste].rect;
    nodes[count] = nodes[count + 1] = nodes[waste];
    nodes[count].rect.width = nodes[count + 1].rect.width = TW_IN * 2;
    nodes[count + 1].rect.x += 2 * TW_IN;
    nodes[waste].kind = TW_NODE_CUT;
    nodes[waste].along = TW_ALONG;
    nodes[waste].at = r.x + 2 * TW_IN;
    nodes[waste].low = count;
    nodes[waste].high = count + 1;
    cuts[5] = (tw_cut){6,         waste, TW_ALONG, r.x + 2 * TW_IN, r.y, r.y + r.height,
                       2 * TW_IN, false, false,    false,           true};
    *sheet = (tw_sheet_cuts){nodes, count + 2, cuts, 6};
    l.cuts.hand_cuts++;
    l.cuts.stop_changes++;
    objects(&l, "frees nothing");
}

/* Along, across, along parts more than one print: a stage too many from across on. */
static void three_stages(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    l.problem.stock.width = 20 * TW_IN;
    laying_add(&l, 1, 20 * TW_IN, 4 * TW_IN, HALF_IN); /* across */
    laying_add(&l, 1, 4 * TW_IN, 10 * TW_IN, HALF_IN); /* along */
    laying_add(&l, 1, 16 * TW_IN, 4 * TW_IN, HALF_IN); /* across */
    laying_add(&l, 2, 8 * TW_IN, 6 * TW_IN, HALF_IN);  /* along again */
    const tw_placed placed[] = {{0, 0, 0, 0, false},
                                {1, 0, 0, 4 * TW_IN, false},
                                {2, 0, 4 * TW_IN, 4 * TW_IN, false},
                                {3, 0, 4 * TW_IN, 8 * TW_IN, false},
                                {4, 0, 12 * TW_IN, 8 * TW_IN, false}};
    const tw_nm lengths[] = {14 * TW_IN, 0};
    laying_by_hand(&l, placed, 5, lengths);
    assert_ok(tw_cuts_make(l.arena, &l.problem, &l.layout, &l.limits, &l.cuts, &l.error), l.error);
    l.problem.settings.stages = 0;
    assert_ok(tw_referee_check(&l.problem, &l.layout, &l.cuts, &l.error), l.error);
    l.problem.settings.stages = 3;
    objects(&l, "three stages and a trim");
}

static void by_hand_off_the_roll(void **state) {
    (void)state;
    PLANT_IN(false, sheet->cut_count = 0, "never cut from the roll");
    PLANT_IN(false, nodes[0].high = 2, "not first cut from the roll");
    PLANT_IN(false, cuts[0].at -= 1, "not first cut from the roll");
    PLANT_IN(false, cuts[0].node = 1, "not first cut from the roll");
    PLANT_IN(false, cuts[0].along = TW_ALONG, "not first cut from the roll");
    PLANT_IN(false, nodes[0].low = 2, "cuts a piece not in hand");
    PLANT_IN(false, cuts[0].machine_edge_low = true, "wrong fence edge");
    /* The machine's own cut is not listed. */
    laying l;
    start_cuts(&l, false);
    l.problem.stock.machine_cuts = true;
    objects(&l, "does not cut its piece in two");
}

static void counts(void **state) {
    (void)state;
    PLANT(l.cuts.hand_cuts++, "it counts 6 hand cuts");
    PLANT(l.cuts.stop_changes--, "and 2 stops");
    PLANT(cuts[0].knife = true, "there are 5 and 2");
    PLANT(cuts[0].to_mark = true, "there are 5 and 2");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps),
        cmocka_unit_test(piece_from_nowhere),
        cmocka_unit_test(cut_before_freed),
        cmocka_unit_test(edge_to_edge),
        cmocka_unit_test(the_tree),
        cmocka_unit_test(frees_the_print_as_it_is),
        cmocka_unit_test(strips_wide_enough),
        cmocka_unit_test(no_idle_cut),
        cmocka_unit_test(three_stages),
        cmocka_unit_test(by_hand_off_the_roll),
        cmocka_unit_test(counts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
