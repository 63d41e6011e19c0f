/*
 * Where a test strip goes: the earliest sheet with waste that holds it, then kept offcuts, cut
 * sheets and the roll, each only where some are left. Measures and costs by hand: a strip of three
 * details of 20 mm with its three lines of heading is 60 x 36 mm.
 */
#include "testing.h"

#include "proof/strip.h"

#define HIGH ((3 * 3 + 1 + 20 + 6) * TW_MM)

typedef struct bench {
    tw_arena *arena;
    tw_paper paper;
    tw_offcut offcuts[2];
    tw_job_data job;
    tw_node nodes[3][3];
    tw_sheet_cuts cuts[3];
    const char *names[3];
    tw_plan_sheet sheets[3];
    tw_plan_paper use;
    tw_plan_data plan;
    tw_strip_subject subject;
    tw_strip_cell cells[3];
    tw_strip strip;
    tw_error error;
} bench;

/* Three sheets of 300 x 200 mm, each with a print and two pieces of waste too small for it. */
static void start(bench *b) {
    *b = (bench){.arena = tw_arena_new(NULL, 0),
                 .paper = {.name = "p",
                           .kind = TW_ROLL,
                           .width = 300 * TW_MM,
                           .length = 10 * TW_M,
                           .side = 5 * TW_MM,
                           .lead = 4 * TW_MM,
                           .tail = 3 * TW_MM,
                           .longest_sheet = TW_M,
                           .converts = true,
                           .has_price = true,
                           .price = {10000, "EUR"}},
                 .names = {"print", "waste-1", "waste-2"}};
    b->job = (tw_job_data){.papers = &b->paper, .paper_count = 1};
    for (int i = 0; i < 3; i++) {
        b->nodes[i][0].kind = TW_NODE_PRINT;
        b->nodes[i][0].rect = (tw_rect){0, 0, 200 * TW_MM, 200 * TW_MM};
        for (int n = 1; n < 3; n++)
            b->nodes[i][n] = (tw_node){.kind = TW_NODE_WASTE};
        b->cuts[i] = (tw_sheet_cuts){.nodes = b->nodes[i], .node_count = 3};
        b->sheets[i] = (tw_plan_sheet){.number = i + 1,
                                       .size = {300 * TW_MM, 200 * TW_MM},
                                       .cuts = &b->cuts[i],
                                       .piece_names = b->names};
    }
    b->use.totals.length = TW_M;
    b->plan = (tw_plan_data){
        .job = &b->job, .sheets = b->sheets, .sheet_count = 3, .papers = &b->use, .paper_count = 1};
    b->subject.count = 3;
    b->strip = (tw_strip){.job = &b->job,
                          .subjects = &b->subject,
                          .subject_count = 1,
                          .cells = b->cells,
                          .cell_count = 3,
                          .side = 20 * TW_MM};
}

static void waste(bench *b, int sheet, int node, int width, int height) {
    b->nodes[sheet][node].rect = (tw_rect){150 * TW_MM, 50 * TW_MM, width * TW_MM, height * TW_MM};
}

static const tw_strip_place *place(bench *b) {
    assert_ok(tw_strip_place_find(b->arena, &b->plan, &b->strip, &b->error), b->error);
    assert_int_equal(b->strip.place.rect.width, 60 * TW_MM);
    assert_int_equal(b->strip.place.rect.height, HIGH);
    return &b->strip.place;
}

static void the_earliest_waste_is_taken(void **state) {
    bench b;
    (void)state;
    start(&b);
    waste(&b, 0, 1, 63, 60); /* a sixteenth of an inch on both sides does not fit */
    waste(&b, 1, 1, 100, 60);
    waste(&b, 1, 2, 64, 60); /* the smaller of two */
    waste(&b, 2, 1, 64, 40);
    const tw_strip_place *p = place(&b);
    assert_int_equal(p->where, TW_STRIP_IN_WASTE);
    assert_int_equal(p->sheet, 1);
    assert_string_equal(p->piece, "waste-2");
    assert_int_equal(p->rect.x, 150 * TW_MM + TW_IN / 16);
    assert_int_equal(p->rect.y, 50 * TW_MM + TW_IN / 16);
    assert_false(p->worth_keeping || p->priced);
    tw_arena_free(b.arena);
}

/* What is worth keeping is taken where nothing else on the sheet will do, later sheets or not. */
static void kept_waste_is_spared(void **state) {
    bench b;
    (void)state;
    start(&b);
    waste(&b, 0, 1, 130, 180); /* 5 x 7 in */
    waste(&b, 0, 2, 120, 250);
    assert_false(place(&b)->worth_keeping);
    assert_string_equal(b.strip.place.piece, "waste-2");
    waste(&b, 0, 2, 10, 10);
    waste(&b, 1, 1, 64, 60);
    assert_true(place(&b)->worth_keeping);
    assert_string_equal(b.strip.place.piece, "waste-1");
    tw_arena_free(b.arena);
}

/* Ink in the waste and the paper's margins are kept clear of. */
static void ink_is_kept_clear_of(void **state) {
    bench b;
    tw_rect slug = {150 * TW_MM, 50 * TW_MM, 100 * TW_MM, 10 * TW_MM};
    (void)state;
    start(&b);
    waste(&b, 0, 1, 100, 60);
    assert_ok(tw_page_box(b.arena, &b.sheets[0].page, TW_ROLE_SLUG, slug, 0, 0, 0, &b.error),
              b.error);
    assert_int_equal(place(&b)->rect.y, 60 * TW_MM + TW_IN / 16);
    b.nodes[0][1].rect = (tw_rect){200 * TW_MM, 0, 100 * TW_MM, 43 * TW_MM};
    assert_int_equal(place(&b)->rect.y, 4 * TW_MM);
    b.nodes[0][1].rect.height = 41 * TW_MM; /* less the sixteenth: 35.4 mm are left */
    assert_int_equal(place(&b)->where, TW_STRIP_ON_ROLL);
    tw_arena_free(b.arena);
}

static void offcuts_are_taken_while_there_are_any(void **state) {
    bench b;
    (void)state;
    start(&b);
    b.offcuts[0] = (tw_offcut){200 * TW_MM, 100 * TW_MM, 1};
    b.offcuts[1] = (tw_offcut){80 * TW_MM, 60 * TW_MM, 2};
    b.paper.offcuts = b.offcuts;
    b.paper.offcut_count = 2;
    assert_int_equal(place(&b)->where, TW_STRIP_ON_OFFCUT);
    assert_int_equal(b.strip.place.offcut, 2);
    assert_int_equal(b.strip.place.page.width, 80 * TW_MM);
    b.sheets[0].offcut = b.sheets[1].offcut = 2; /* both are used today */
    assert_int_equal(place(&b)->offcut, 1);
    assert_false(b.strip.place.priced);
    b.sheets[2].offcut = 1;
    assert_int_equal(place(&b)->where, TW_STRIP_ON_ROLL);
    tw_arena_free(b.arena);
}

static void cut_sheets_cost_their_share(void **state) {
    bench b;
    (void)state;
    start(&b);
    b.paper.kind = TW_SHEETS;
    b.paper.length = 200 * TW_MM;
    b.paper.count = 4;
    assert_int_equal(place(&b)->where, TW_STRIP_ON_SHEET);
    assert_int_equal(b.strip.place.cost.minor, 2500);
    b.paper.count = 3;
    assert_int_equal(tw_strip_place_find(b.arena, &b.plan, &b.strip, &b.error), TW_INPUT);
    assert_string_equal(b.error.name, "strip-too-large");
    tw_arena_free(b.arena);
}

/* 4 + 36 + 3 mm of 10 m for 100 EUR; with what the machine loses; no less than its shortest. */
static void a_roll_costs_by_length(void **state) {
    bench b;
    (void)state;
    start(&b);
    assert_int_equal(place(&b)->used, 43 * TW_MM);
    assert_int_equal(b.strip.place.cost.minor, 43);
    b.paper.lost_each_sheet = 10 * TW_MM;
    assert_int_equal(place(&b)->cost.minor, 53);
    b.paper.shortest_sheet = 200 * TW_MM;
    assert_int_equal(place(&b)->used, 210 * TW_MM);
    assert_int_equal(b.strip.place.page.height, 200 * TW_MM);
    b.use.totals.length = b.paper.length - 209 * TW_MM; /* a millimetre too little is left */
    assert_int_equal(tw_strip_place_find(b.arena, &b.plan, &b.strip, &b.error), TW_INPUT);
    b.use.totals.length = b.paper.length - 210 * TW_MM;
    assert_int_equal(place(&b)->where, TW_STRIP_ON_ROLL);
    tw_arena_free(b.arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_earliest_waste_is_taken),
        cmocka_unit_test(kept_waste_is_spared),
        cmocka_unit_test(ink_is_kept_clear_of),
        cmocka_unit_test(offcuts_are_taken_while_there_are_any),
        cmocka_unit_test(cut_sheets_cost_their_share),
        cmocka_unit_test(a_roll_costs_by_length),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
