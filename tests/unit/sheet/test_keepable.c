/*
 * Offcuts worth keeping: waste without the ink that was printed in it, the largest first, none
 * smaller than the smallest usual format. Expectations by hand.
 */
#include "sheet_sample.h"

#include "sheet/plan_steps.h"

enum { NODES = 4 };

typedef struct keeping {
    sample s;
    tw_node nodes[NODES];
    const char *names[NODES];
} keeping;

/* A page of 24 x 10 in parted at 8 in: a print at the left, waste at the right. */
static void start(keeping *k) {
    memset(k, 0, sizeof *k);
    sample_start(&k->s, 24 * TW_IN, 10 * TW_IN, 0, 0);
    k->nodes[0] = (tw_node){.kind = TW_NODE_CUT, .rect = {0, 0, 24 * TW_IN, 10 * TW_IN}};
    k->nodes[1] = (tw_node){.kind = TW_NODE_PRINT, .rect = {0, 0, 8 * TW_IN, 10 * TW_IN}};
    k->nodes[2] = (tw_node){.kind = TW_NODE_WASTE, .rect = {8 * TW_IN, 0, 16 * TW_IN, 10 * TW_IN}};
    k->names[2] = "waste-1";
    k->s.tree.nodes = k->nodes;
    k->s.tree.node_count = 3;
    k->s.sheet.piece_names = k->names;
    k->s.sheet.page.size = k->s.sheet.size;
    k->s.plan.sheets = &k->s.sheet;
    k->s.plan.sheet_count = 1;
}

static void list(keeping *k) {
    k->s.plan.keep_count = 0;
    assert_ok(tw_plan_keepable(k->s.arena, &k->s.plan, &k->s.error), k->s.error);
}

static void line(keeping *k, tw_nm x0, tw_nm y0, tw_nm x1, tw_nm y1) {
    assert_ok(tw_page_line(k->s.arena, &k->s.sheet.page, TW_ROLE_TICK, x0, y0, x1, y1, TW_MM, 0,
                           &k->s.error),
              k->s.error);
}

static void all_of_it(void **state) {
    (void)state;
    keeping k;
    start(&k);
    list(&k);
    assert_int_equal(k.s.plan.keep_count, 1);
    assert_string_equal(k.s.plan.keeps[0].piece, "waste-1");
    assert_int_equal(k.s.plan.keeps[0].sheet, 0);
    assert_int_equal(k.s.plan.keeps[0].rect.x, 8 * TW_IN);
    assert_int_equal(k.s.plan.keeps[0].rect.width, 16 * TW_IN);
    assert_int_equal(k.s.plan.keeps[0].rect.height, 10 * TW_IN);
    sample_end(&k.s);
}

/* A mark 1 in into it from the left, one across its foot 9 in down, both 1 mm thick: what is
 * right of the one and above the other. One on the print is no matter. */
static void without_ink(void **state) {
    (void)state;
    keeping k;
    start(&k);
    line(&k, 8 * TW_IN, 2 * TW_IN, 9 * TW_IN, 2 * TW_IN);
    line(&k, 12 * TW_IN, 9 * TW_IN, 20 * TW_IN, 9 * TW_IN);
    line(&k, 2 * TW_IN, 0, 2 * TW_IN, 10 * TW_IN);
    list(&k);
    assert_int_equal(k.s.plan.keep_count, 1);
    tw_rect seen = k.s.plan.keeps[0].rect;
    assert_int_equal(seen.x, 9 * TW_IN + TW_MM / 2);
    assert_int_equal(seen.width, 15 * TW_IN - TW_MM / 2);
    assert_int_equal(seen.y, 0);
    assert_int_equal(seen.height, 9 * TW_IN - TW_MM / 2);
    sample_end(&k.s);
}

static void the_least(void **state) {
    (void)state;
    assert_true(tw_worth_keeping(5 * TW_IN, 7 * TW_IN));
    assert_true(tw_worth_keeping(7 * TW_IN, 5 * TW_IN));
    assert_false(tw_worth_keeping(5 * TW_IN - 1, 24 * TW_IN));
    assert_false(tw_worth_keeping(5 * TW_IN, 7 * TW_IN - 1));
    keeping k;
    start(&k);
    k.nodes[2].rect.width = 5 * TW_IN;
    line(&k, 8 * TW_IN, 2 * TW_IN, 9 * TW_IN, 2 * TW_IN); /* less than 5 in beside it, 8 below */
    list(&k);
    assert_int_equal(k.s.plan.keep_count, 1);
    assert_int_equal(k.s.plan.keeps[0].rect.y, 2 * TW_IN + TW_MM / 2);
    line(&k, 8 * TW_IN, 5 * TW_IN, 9 * TW_IN, 5 * TW_IN);
    list(&k);
    assert_int_equal(k.s.plan.keep_count, 0);
    sample_end(&k.s);
}

static void the_largest_first(void **state) {
    (void)state;
    keeping k;
    start(&k);
    k.nodes[1] = (tw_node){.kind = TW_NODE_WASTE, .rect = {0, 0, 8 * TW_IN, 10 * TW_IN}};
    k.names[1] = "waste-2";
    list(&k);
    assert_int_equal(k.s.plan.keep_count, 2);
    assert_string_equal(k.s.plan.keeps[0].piece, "waste-1");
    assert_string_equal(k.s.plan.keeps[1].piece, "waste-2");
    sample_end(&k.s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_of_it),
        cmocka_unit_test(without_ink),
        cmocka_unit_test(the_least),
        cmocka_unit_test(the_largest_first),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
