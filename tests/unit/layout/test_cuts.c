/*
 * Cut trees from placements made by hand: few cuts, across first, equal stops together, strips
 * wide enough to clamp, the trimmer's limits, layouts that cannot be cut; and layouts made by
 * random edge-to-edge cuts, which must be found again.
 */
#include "random_jobs.h"

static void cut(laying *l) {
    assert_ok(tw_cuts_make(l->arena, &l->problem, &l->layout, &l->limits, &l->cuts, &l->error),
              l->error);
    l->problem.settings.stages = 0;
    assert_ok(tw_referee_check(&l->problem, &l->layout, &l->cuts, &l->error), l->error);
}

/* A bordered piece placed at inches x, y on sheet 0. */
static void put(laying *l, tw_placed *placed, tw_nm x, tw_nm y, tw_nm width, tw_nm height) {
    laying_add(l, 1, width, height, HALF_IN);
    placed[l->problem.count - 1] = (tw_placed){l->problem.count - 1, 0, x, y, false};
}

static void one_sheet(laying *l, const tw_placed *placed, tw_nm length) {
    const tw_nm lengths[] = {length, 0};
    laying_by_hand(l, placed, l->problem.count, lengths);
}

static int count_waste(const tw_sheet_cuts *sheet) {
    int count = 0;
    for (int i = 0; i < sheet->node_count; i++)
        count += sheet->nodes[i].kind == TW_NODE_WASTE;
    return count;
}

/* Two rows of three 8x10: across first though lengthwise would do as well; then four along with
 * one stop. */
static void across_first(void **state) {
    (void)state;
    laying l;
    tw_placed placed[6];
    laying_start(&l);
    for (int i = 0; i < 6; i++)
        put(&l, placed, 8 * TW_IN * (i % 3), 10 * TW_IN * (i / 3), 8 * TW_IN, 10 * TW_IN);
    one_sheet(&l, placed, 20 * TW_IN);
    cut(&l);
    const tw_sheet_cuts *sheet = &l.cuts.sheets[0];
    assert_int_equal(sheet->cut_count, 5);
    assert_int_equal(sheet->cuts[0].along, TW_ACROSS);
    assert_int_equal(sheet->cuts[0].at, 10 * TW_IN);
    for (int i = 1; i < 5; i++) {
        assert_int_equal(sheet->cuts[i].along, TW_ALONG);
        assert_int_equal(sheet->cuts[i].stop, 8 * TW_IN);
        assert_int_equal(sheet->cuts[i].to - sheet->cuts[i].from, 10 * TW_IN);
    }
    assert_int_equal(sheet->cuts[1].from, 0); /* the first row first */
    assert_int_equal(l.cuts.stop_changes, 2);
    assert_int_equal(count_waste(sheet), 0);
    laying_end(&l);
}

/* Blank strips at both ends are there for the ticks of the cuts along: those come first, over the
 * whole page, and the strips come off each column after. */
static void along_under_strips(void **state) {
    (void)state;
    laying l;
    tw_placed placed[3];
    laying_start(&l);
    l.problem.settings.strip_lead = l.problem.settings.strip_tail = HALF_IN;
    for (int i = 0; i < 3; i++)
        put(&l, placed, 8 * TW_IN * i, HALF_IN, 8 * TW_IN, 10 * TW_IN);
    one_sheet(&l, placed, 11 * TW_IN);
    cut(&l);
    const tw_sheet_cuts *sheet = &l.cuts.sheets[0];
    assert_int_equal(sheet->cut_count, 8);
    for (int i = 0; i < 2; i++) {
        assert_int_equal(sheet->cuts[i].along, TW_ALONG);
        assert_int_equal(sheet->cuts[i].from, 0);
        assert_int_equal(sheet->cuts[i].to, 11 * TW_IN);
    }
    laying_end(&l);
}

/* On a cut sheet the long way is no longer than the sheet: two 10x8 one under the other on 13 x 19
 * lose the waste beside them in one cut, three in all. */
static void cut_sheet_along(void **state) {
    (void)state;
    laying l;
    tw_placed placed[2];
    laying_start(&l);
    l.problem.stock.roll = false;
    l.problem.stock.width = 13 * TW_IN;
    l.problem.stock.length = 19 * TW_IN;
    l.problem.stock.count = 1;
    for (int i = 0; i < 2; i++)
        put(&l, placed, 0, 8 * TW_IN * i, 10 * TW_IN, 8 * TW_IN);
    one_sheet(&l, placed, 19 * TW_IN);
    assert_ok(tw_cuts_make(l.arena, &l.problem, &l.layout, &l.limits, &l.cuts, &l.error), l.error);
    assert_int_equal(l.cuts.sheets[0].cut_count, 3);
    laying_end(&l);
}

/* Waste at the foot of a row comes off before the row is parted: one cut for three prints. */
static void waste_of_a_row_once(void **state) {
    (void)state;
    laying l;
    tw_placed placed[3];
    laying_start(&l);
    for (int i = 0; i < 3; i++)
        put(&l, placed, 8 * TW_IN * i, 0, 8 * TW_IN, 10 * TW_IN);
    one_sheet(&l, placed, 12 * TW_IN);
    cut(&l);
    assert_int_equal(l.cuts.hand_cuts, 3);
    assert_int_equal(l.cuts.sheets[0].cuts[0].along, TW_ACROSS);
    laying_end(&l);
}

/* ... but not where a lower print would be left with a strip too thin to cut off: 10 in beside
 * 10 in + 1 mm on 12 in. Then each print's waste comes off by itself. */
static void thin_strip_avoided(void **state) {
    (void)state;
    laying l;
    tw_placed placed[2];
    laying_start(&l);
    put(&l, placed, 0, 0, 12 * TW_IN, 10 * TW_IN);
    put(&l, placed, 12 * TW_IN, 0, 12 * TW_IN, 10 * TW_IN + TW_MM);
    one_sheet(&l, placed, 12 * TW_IN);
    cut(&l);
    assert_int_equal(l.cuts.hand_cuts, 3);
    assert_int_equal(l.cuts.sheets[0].cuts[0].along, TW_ALONG);
    laying_end(&l);
}

/* The same where blocks are parted: the waste between them may be cut off neither at the upper
 * prints' foot nor at the lower prints' head, so the cut runs through it. */
static void cut_through_the_waste(void **state) {
    (void)state;
    laying l;
    tw_placed placed[5];
    laying_start(&l);
    put(&l, placed, 0, 0, 12 * TW_IN, 10 * TW_IN);
    put(&l, placed, 12 * TW_IN, 0, 12 * TW_IN, 10 * TW_IN + TW_MM);
    put(&l, placed, 0, 11 * TW_IN, 12 * TW_IN, 5 * TW_IN);
    put(&l, placed, 12 * TW_IN, 11 * TW_IN + TW_MM, 12 * TW_IN, 5 * TW_IN - TW_MM);
    put(&l, placed, 0, 16 * TW_IN, 24 * TW_IN, 12 * TW_IN);
    one_sheet(&l, placed, 28 * TW_IN);
    cut(&l);
    const tw_cut *first = &l.cuts.sheets[0].cuts[0];
    assert_int_equal(first->along, TW_ACROSS);
    assert_int_equal(first->at, 10 * TW_IN + TW_MM + EIGHTH_IN);
    assert_int_equal(l.cuts.hand_cuts, 2 + 2 * 3);
    laying_end(&l);
}

/* Three 5x7 side by side over a strip of waste, beside an 8x8: the strip comes off all three at
 * once. Then the same in a row that is cut across first. */
static void neighbours_trimmed_together(void **state) {
    (void)state;
    laying l;
    tw_placed placed[4];
    laying_start(&l);
    put(&l, placed, 0, 0, 8 * TW_IN, 8 * TW_IN);
    for (int i = 0; i < 3; i++)
        put(&l, placed, (8 + 5 * i) * TW_IN, 0, 5 * TW_IN, 7 * TW_IN);
    one_sheet(&l, placed, 8 * TW_IN);
    cut(&l);
    /* along at 8, at 23 with the waste; across once; along twice */
    assert_int_equal(l.cuts.hand_cuts, 5);
    laying_end(&l);
}

/* White neighbours share a cut; a strip between bleeding ones takes two. With three in a row the
 * strips stay with the print before them, so that equal pieces get equal stops: at 8 1/4 twice,
 * at 8 three times (the last one's waste too). */
static void stops_together(void **state) {
    (void)state;
    laying l;
    tw_placed placed[3];
    laying_start(&l);
    l.problem.stock.width = 25 * TW_IN;
    for (int i = 0; i < 3; i++)
        put(&l, placed, i * (8 * TW_IN + QUARTER_IN), 0, 8 * TW_IN, 10 * TW_IN);
    one_sheet(&l, placed, 10 * TW_IN);
    cut(&l);
    assert_int_equal(l.cuts.hand_cuts, 5);
    assert_int_equal(l.cuts.stop_changes, 2);
    const tw_cut *cuts = l.cuts.sheets[0].cuts;
    for (int i = 0; i < 5; i++)
        assert_int_equal(cuts[i].stop, i < 2 ? 8 * TW_IN + QUARTER_IN : 8 * TW_IN);
    laying_end(&l);
}

/* The stop stays where the last sheet left it: the second sheet begins with what needs it. */
static void stop_kept_between_sheets(void **state) {
    (void)state;
    laying l;
    laying_start(&l);
    laying_add(&l, 3, 12 * TW_IN, 12 * TW_IN, HALF_IN);
    laying_add(&l, 1, 12 * TW_IN, 9 * TW_IN, HALF_IN);
    const tw_placed placed[] = {{0, 0, 0, 0, false},
                                {1, 0, 12 * TW_IN, 0, false},
                                {2, 1, 0, 0, false},
                                {3, 1, 12 * TW_IN, 0, false}};
    const tw_nm lengths[] = {12 * TW_IN, 12 * TW_IN, 0};
    laying_by_hand(&l, placed, 4, lengths);
    cut(&l);
    assert_int_equal(l.cuts.hand_cuts, 3);
    assert_int_equal(l.cuts.stop_changes, 2); /* 12, 12, 9 */
    laying_end(&l);
}

/* Stops a b a b in the tree are made as a a b b: two rows of 10 in, each 8 | 7 | 9 in. */
static void order_of_stops(void **state) {
    (void)state;
    laying l;
    tw_placed placed[6];
    laying_start(&l);
    for (int row = 0; row < 2; row++) {
        put(&l, placed, 0, 10 * TW_IN * row, 8 * TW_IN, 10 * TW_IN);
        put(&l, placed, 8 * TW_IN, 10 * TW_IN * row, 7 * TW_IN, 10 * TW_IN);
        put(&l, placed, 15 * TW_IN, 10 * TW_IN * row, 9 * TW_IN, 10 * TW_IN);
    }
    one_sheet(&l, placed, 20 * TW_IN);
    cut(&l);
    const tw_nm stops[] = {10, 8, 8, 7, 7};
    for (int i = 0; i < 5; i++)
        assert_int_equal(l.cuts.sheets[0].cuts[i].stop, stops[i] * TW_IN);
    assert_int_equal(l.cuts.stop_changes, 3);
    laying_end(&l);
}

/* A cut of 24 in on a trimmer that takes 20 in is made with the knife; a stop at 16 in on one that
 * reaches 15 in is cut to the mark; neither sets the stop. */
static void trimmer_limits(void **state) {
    (void)state;
    laying l;
    tw_placed placed[4];
    laying_start(&l);
    put(&l, placed, 0, 0, 16 * TW_IN, 10 * TW_IN);
    put(&l, placed, 16 * TW_IN, 0, 8 * TW_IN, 10 * TW_IN);
    put(&l, placed, 0, 10 * TW_IN, 15 * TW_IN, 10 * TW_IN);
    put(&l, placed, 15 * TW_IN, 10 * TW_IN, 9 * TW_IN, 10 * TW_IN);
    one_sheet(&l, placed, 20 * TW_IN);
    l.limits = (tw_trimmer_limits){20 * TW_IN, 15 * TW_IN};
    cut(&l);
    const tw_cut *cuts = l.cuts.sheets[0].cuts;
    assert_true(cuts[0].knife && !cuts[0].to_mark);
    assert_true(!cuts[1].knife && cuts[1].to_mark);
    assert_true(!cuts[2].knife && !cuts[2].to_mark); /* just in reach */
    assert_int_equal(l.cuts.stop_changes, 1);
    l.limits = (tw_trimmer_limits){24 * TW_IN, 0};
    cut(&l);
    assert_false(l.cuts.sheets[0].cuts[0].knife);
    assert_int_equal(l.cuts.stop_changes, 3);
    laying_end(&l);
}

/* The paper's own edges and the machine's: on cut sheets all four, on a roll without a cutter the
 * sides only. */
static void own_edges(void **state) {
    (void)state;
    laying l;
    tw_placed placed[2];
    laying_start(&l);
    put(&l, placed, 0, 0, 24 * TW_IN, 10 * TW_IN);
    put(&l, placed, 0, 10 * TW_IN, 24 * TW_IN, 10 * TW_IN);
    one_sheet(&l, placed, 20 * TW_IN);
    cut(&l);
    assert_true(l.cuts.sheets[0].cuts[0].machine_edge_low);
    assert_true(l.cuts.sheets[0].cuts[0].machine_edge_high);
    l.problem.stock.machine_cuts = false;
    cut(&l);
    assert_int_equal(l.cuts.hand_cuts, 2);
    assert_false(l.cuts.sheets[0].cuts[1].machine_edge_low);
    assert_false(l.cuts.sheets[0].cuts[1].machine_edge_high);
    laying_end(&l);
}

/* Five prints round a middle one, each in the way of the next: no straight cut parts them (the
 * smallest layout of its kind; Gilmore & Gomory 1965, figure; from memory). */
static void pinwheel(void **state) {
    (void)state;
    laying l;
    tw_placed placed[5];
    laying_start(&l);
    l.problem.stock.width = 15 * TW_IN;
    put(&l, placed, 0, 0, 10 * TW_IN, 5 * TW_IN);
    put(&l, placed, 10 * TW_IN, 0, 5 * TW_IN, 10 * TW_IN);
    put(&l, placed, 0, 5 * TW_IN, 5 * TW_IN, 10 * TW_IN);
    put(&l, placed, 5 * TW_IN, 5 * TW_IN, 5 * TW_IN, 5 * TW_IN);
    put(&l, placed, 5 * TW_IN, 10 * TW_IN, 10 * TW_IN, 5 * TW_IN);
    one_sheet(&l, placed, 15 * TW_IN);
    assert_int_equal(tw_cuts_make(l.arena, &l.problem, &l.layout, &l.limits, &l.cuts, &l.error),
                     TW_BUG);
    assert_says(l.error, "cannot be cut");
    laying_end(&l);
}

/* Prints narrower than the strip the trimmer holds: what covers a thin distance is no waste. */
static void prints_thinner_than_a_strip(void **state) {
    (void)state;
    laying l;
    tw_placed placed[6];
    laying_start(&l);
    l.problem.stock.width = 20 * TW_MM;
    put(&l, placed, 0, 0, 10 * TW_MM, 10 * TW_MM);
    for (int i = 0; i < 5; i++)
        put(&l, placed, 10 * TW_MM, 2 * TW_MM * i, 10 * TW_MM, 2 * TW_MM);
    one_sheet(&l, placed, 14 * TW_MM);
    cut(&l);
    assert_int_equal(l.cuts.sheets[0].cuts[0].along, TW_ACROSS);
    assert_int_equal(l.cuts.sheets[0].cuts[0].at, 10 * TW_MM);
    assert_int_equal(l.cuts.hand_cuts, 1 + 1 + 4);
    laying_end(&l);
}

/* ---------------------------------------------------------------- random trees found again */

#define LEAST (30 * TW_MM) /* no part of a random tree is smaller either way */

typedef struct growing {
    laying *l;
    uint64_t s;
    tw_placed placed[600];
    int prints, waste, wasted; /* wasted: how many in a hundred parts are waste */
} growing;

static void grow(growing *g, tw_rect r, int depth) {
    bool wide = r.width >= 2 * LEAST;
    bool long_ = r.height >= 2 * LEAST;
    if (depth == 0 || (!wide && !long_) || (depth < 6 && random_one_in(&g->s, 8))) {
        if (random_below(&g->s, 100) < g->wasted) {
            g->waste++;
            return;
        }
        laying_add(g->l, 1, r.width, r.height, TW_IN);
        g->placed[g->prints] = (tw_placed){(size_t)g->prints, 0, r.x, r.y, false};
        g->prints++;
        return;
    }
    tw_rect low = r;
    tw_rect high = r;
    if (wide && (!long_ || random_one_in(&g->s, 2))) {
        low.width = LEAST + random_below(&g->s, r.width - 2 * LEAST + 1);
        high.x += low.width;
        high.width -= low.width;
    } else {
        low.height = LEAST + random_below(&g->s, r.height - 2 * LEAST + 1);
        high.y += low.height;
        high.height -= low.height;
    }
    grow(g, low, depth - 1);
    grow(g, high, depth - 1);
}

static int by_place(const void *left, const void *right) {
    const tw_placed *a = left;
    const tw_placed *b = right;
    if (a->y != b->y)
        return a->y < b->y ? -1 : 1;
    return (a->x > b->x) - (a->x < b->x);
}

static void grow_and_cut(uint64_t seed, int wasted) {
    laying l;
    growing g = {.l = &l, .s = seed, .wasted = wasted};
    laying_start(&l);
    grow(&g, (tw_rect){0, 0, 24 * TW_IN, 60 * TW_IN}, 3 + (int)(seed % 7));
    if (g.prints > 0) {
        qsort(g.placed, (size_t)g.prints, sizeof *g.placed, by_place);
        one_sheet(&l, g.placed, 60 * TW_IN);
        cut(&l);
        if (wasted == 0) {
            assert_int_equal(l.cuts.hand_cuts, g.prints - 1);
            assert_int_equal(count_waste(&l.cuts.sheets[0]), 0);
        }
        assert_true(l.cuts.hand_cuts <= 4 * g.prints);
    }
    laying_end(&l);
}

/* A full strip parted by random cuts, nothing wasted: one cut less than prints, and no waste. */
static void full_strips(void **state) {
    (void)state;
    for (uint64_t seed = 0; seed < 1000; seed++)
        grow_and_cut(seed, 0);
}

/* With waste among the parts: any tree of strips wide enough to clamp is found, or a better one. */
static void strips_with_waste(void **state) {
    (void)state;
    for (uint64_t seed = 0; seed < 1000; seed++)
        grow_and_cut(seed, 10 + (int)(seed % 60));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(across_first),
        cmocka_unit_test(along_under_strips),
        cmocka_unit_test(cut_sheet_along),
        cmocka_unit_test(waste_of_a_row_once),
        cmocka_unit_test(thin_strip_avoided),
        cmocka_unit_test(cut_through_the_waste),
        cmocka_unit_test(neighbours_trimmed_together),
        cmocka_unit_test(stops_together),
        cmocka_unit_test(stop_kept_between_sheets),
        cmocka_unit_test(order_of_stops),
        cmocka_unit_test(trimmer_limits),
        cmocka_unit_test(own_edges),
        cmocka_unit_test(pinwheel),
        cmocka_unit_test(prints_thinner_than_a_strip),
        cmocka_unit_test(full_strips),
        cmocka_unit_test(strips_with_waste),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
