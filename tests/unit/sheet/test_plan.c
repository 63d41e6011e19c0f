/*
 * From prints to plan: where prints lie, what pieces are called, what is counted and what is
 * said. Expectations are worked out by hand from the design.
 */
#include "prints/day.h"
#include "sheet/plan_steps.h"

static const char *const roll_24 = DAY_PAPER;

/* The day as given, planned. */
static tw_plan_data *plan_of(folder *f, const char *paper, const char *orders) {
    tw_plan_data *plan = NULL;
    tw_prints *prints;
    folder_again(f);
    folder_json(f, "satin.json", paper);
    folder_write(f, "orders.csv", orders);
    assert_ok(folder_load(f), f->error);
    prints = tw_arena_take(f->arena, sizeof *prints);
    *prints = day_prints(f);
    assert_int_equal(f->report.errors.count, 0);
    assert_ok(tw_plan_make(f->arena, f->job, prints, NULL, &f->report, &plan, &f->error), f->error);
    return plan;
}

static void assert_rect(tw_rect seen, double x, double y, double width, double height) {
    assert_int_equal(seen.x, (tw_nm)(x * 1000) * (TW_IN / 1000));
    assert_int_equal(seen.y, (tw_nm)(y * 1000) * (TW_IN / 1000));
    assert_int_equal(seen.width, (tw_nm)(width * 1000) * (TW_IN / 1000));
    assert_int_equal(seen.height, (tw_nm)(height * 1000) * (TW_IN / 1000));
}

/* The hand check: three 8x10 with 1/2 in borders on a 24 in roll, 1/4 in side margins, no
 * lead or tail margin: one sheet 24 x 10 in, two hand cuts at 8 in and 16 in, the stop at 8 in
 * both times. */
static void three_in_a_row(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    tw_plan_data *plan = plan_of(&f, roll_24, "order,image,template,copies\n1,a.png,8x10,3\n");
    assert_int_equal(plan->sheet_count, 1);
    const tw_plan_sheet *sheet = &plan->sheets[0];
    assert_int_equal(sheet->size.width, 24 * TW_IN);
    assert_int_equal(sheet->size.height, 10 * TW_IN);
    assert_string_equal(sheet->file, "sheet-01.pdf");
    assert_int_equal(sheet->cuts->cut_count, 2);
    for (int i = 0; i < 2; i++) {
        const tw_cut *cut = &sheet->cuts->cuts[i];
        assert_int_equal(cut->along, TW_ALONG);
        assert_int_equal(cut->at, 8 * (i + 1) * TW_IN);
        assert_int_equal(cut->stop, 8 * TW_IN);
        assert_false(tw_cut_ends_sheet(sheet->cuts, cut));
        assert_string_equal(sheet->piece_names[cut->node], i == 0 ? "A" : "B");
    }
    for (size_t i = 0; i < 3; i++)
        assert_rect(sheet->prints[i].trim, 8.0 * (double)i, 0, 8, 10);
    assert_int_equal(plan->totals.hand_cuts, 2);
    assert_int_equal(plan->totals.sheets, 1);
    assert_int_equal(plan->totals.length, 10 * TW_IN);
    assert_int_equal(plan->totals.bound_length, 10 * TW_IN);
    assert_int_equal(plan->totals.print_area, 154838400000); /* 609.6 x 254 mm2, millionths */
    assert_int_equal(plan->totals.paper_area, 154838400000);
    assert_int_equal(plan->unplaced_count, 0);
    assert_true(sheet->page.count > 0);
    assert_clean(&f);
    folder_close(&f);
}

#define SIGNED                                                                                     \
    "{'trimwell': 1, 'templates': [{'name': '24x36', 'size': '24x36in', 'border': '1 1/2in',"      \
    " 'signature': {'corner': 'bottom-right', 'width': '2in', 'height': '1/4in', 'inset':"         \
    " '1/2in'}}]}"

#define FILLED                                                                                     \
    "{'trimwell': 1, 'templates': [{'name': '24x36', 'size': '24x36in', 'border': '1 1/2in', "     \
    "'fit': 'fill'}]}"

/* b.png, 5:4, on 24x36: upright 36x24, box 33x21, picture 26.25 x 21 at 4.875, 1.5; area at
 * 33.5, 23.25. It fits the roll only turned: the upright top faces right, so x = 24 - y - height
 * and y = x; the bottom right corner comes to lie bottom left. */
static void a_turned_print(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    folder_json(&f, "frames.json", SIGNED);
    tw_plan_data *plan = plan_of(&f, roll_24, "order,image,template\n1,b.png,24x36\n");
    const tw_lying *print = &plan->sheets[0].prints[0];
    assert_true(print->turned);
    assert_rect(print->trim, 0, 0, 24, 36);
    assert_rect(print->picture, 1.5, 4.875, 21, 26.25);
    assert_rect(print->whole, 1.5, 4.875, 21, 26.25);
    assert_rect(print->signature, .5, 33.5, .25, 2);
    assert_int_equal(print->visible.side[TW_TOP], 4875 * (TW_IN / 1000));
    assert_int_equal(print->visible.side[TW_RIGHT], 1500 * (TW_IN / 1000));
    assert_int_equal(plan->sheets[0].cuts->cut_count, 0);
    assert_string_equal(plan->sheets[0].piece_names[0], "1-1");
    /* filled: 33 x 21 shows a part of 33 x 26.4, of which 2.7 are lost above and below */
    folder_json(&f, "frames.json", FILLED);
    plan = plan_of(&f, roll_24, "order,image,template\n1,b.png,24x36\n");
    assert_rect(plan->sheets[0].prints[0].picture, 1.5, 1.5, 21, 33);
    assert_rect(plan->sheets[0].prints[0].whole, -1.2, 1.5, 26.4, 33);
    folder_close(&f);
}

/* A .. Z, AA .. AZ, BA .. */
static void count_up(char next[8]) {
    size_t last = strlen(next) - 1;
    if (next[last] != 'Z')
        next[last]++;
    else if (last == 0)
        strcpy(next, "AA");
    else
        next[0]++, next[1] = 'A';
}

/* What a step frees is called by its letter, its number or its print; each name once, letters
 * and offcuts counting up in cutting order. */
static void check_names(const tw_plan_sheet *sheet, size_t *most) {
    char next[8] = "A";
    int offcuts = 0, nodes = sheet->cuts->node_count;
    for (int i = 0; i < nodes; i++)
        for (int j = 0; j < i; j++)
            assert_string_not_equal(sheet->piece_names[i], sheet->piece_names[j]);
    assert_string_equal(sheet->piece_names[0], "A");
    for (int i = 0; i < sheet->cuts->cut_count; i++) {
        const tw_node *node = &sheet->cuts->nodes[sheet->cuts->cuts[i].node];
        for (int side = 0; side < 2; side++) {
            int freed = side == 0 ? node->low : node->high;
            const char *name = sheet->piece_names[freed];
            char waste[32];
            if (sheet->cuts->nodes[freed].kind == TW_NODE_WASTE) {
                snprintf(waste, sizeof waste, "waste-%d", ++offcuts);
                assert_string_equal(name, waste);
            } else if (sheet->cuts->nodes[freed].kind == TW_NODE_CUT) {
                count_up(next);
                assert_string_equal(name, next);
            } else {
                assert_non_null(strchr(name, '-'));
            }
        }
    }
    *most = strlen(next) > *most ? strlen(next) : *most;
}

#define BOX                                                                                        \
    "{'trimwell': 1, 'name': 'satin', 'kind': 'sheets', 'width': '24in', 'length': '36in', "       \
    "'count': 9, 'margins': {'side': '1/4in', 'lead': '1/4in', 'tail': '1/4in'}}"

static void piece_names(void **state) {
    (void)state;
    folder f;
    size_t most = 0;
    day_open(&f, "order,image,template\n");
    folder_json(&f, "frames.json",
                "{'trimwell': 1, 'templates': [{'name': 's', 'size': '2x3in', 'border': '1/2in'}, "
                "{'name': 'm', 'size': '5x7in', 'border': '1/2in'}]}");
    tw_plan_data *plan = plan_of(&f, BOX,
                                 "order,image,template,copies\n1,a.png,s,90\n"
                                 "2,b.png,m,9\n3,b.png,s,5\n");
    for (size_t i = 0; i < plan->sheet_count; i++)
        check_names(&plan->sheets[i], &most);
    assert_true(most == 2); /* past Z, else this says little */
    folder_close(&f);
}

#define BY_HAND                                                                                    \
    "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '24in', 'length': '50ft',"          \
    " 'cutter': 'hand', 'margins': {'side': '1/4in', 'lead': '0in', 'tail': '0in'}}"

/* Without a machine the page itself is cut from the roll, first of all. */
static void cut_from_the_roll_by_hand(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    tw_plan_data *plan = plan_of(&f, BY_HAND, "order,image,template,copies\n1,a.png,8x10,3\n");
    const tw_sheet_cuts *cuts = plan->sheets[0].cuts;
    assert_int_equal(plan->totals.hand_cuts, 3);
    assert_true(tw_cut_ends_sheet(cuts, &cuts->cuts[0]));
    assert_int_equal(cuts->cuts[0].at, 10 * TW_IN);
    assert_false(tw_cut_ends_sheet(cuts, &cuts->cuts[1]));
    assert_string_equal(plan->sheets[0].piece_names[0], "A");
    assert_string_equal(plan->sheets[0].piece_names[cuts->nodes[0].low], "A");
    /* a page that is one print has its name */
    plan = plan_of(&f, BY_HAND, "order,image,template\n1,b.png,24x36\n");
    cuts = plan->sheets[0].cuts;
    assert_int_equal(cuts->cut_count, 1);
    assert_string_equal(plan->sheets[0].piece_names[0], "A");
    assert_string_equal(plan->sheets[0].piece_names[cuts->nodes[0].low], "1-1");
    folder_close(&f);
}

#define SHORT_ROLL                                                                                 \
    "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '24in', 'length': '45in',"          \
    " 'lost': {'each_load': '3in'},"                                                               \
    " 'margins': {'side': '1/4in', 'lead': '0in', 'tail': '0in'}}"

/* 42 in are left: one 24x36. The one due first gets it, whatever its line; a due date beats
 * none. */
static void the_roll_runs_out(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    tw_plan_data *plan =
        plan_of(&f, SHORT_ROLL,
                "order,image,template,due\n1,b.png,24x36,\n2,b.png,24x36,2027-03-20"
                "\n3,b.png,24x36,2027-03-09\n4,b.png,24x36,2027-11-01\n");
    assert_int_equal(plan->sheet_count, 1);
    assert_string_equal(plan->sheets[0].prints[0].print->id, "3-1");
    assert_int_equal(plan->unplaced_count, 3);
    assert_string_equal(plan->unplaced[0].print->id, "1-1");
    assert_string_equal(plan->unplaced[2].print->id, "4-1");
    assert_string_equal(plan->unplaced[0].why, "the paper is used up");
    assert_int_equal(f.report.errors.count, 0);
    assert_warning(&f,
                   "paper \"satin\" are used up: 3 of 4 prints have no place, the first is 1-1");
    assert_int_equal(plan->totals.length, 39 * TW_IN);
    folder_close(&f);
}

/* Two papers: sheets are numbered over the day, totals add up. */
static void two_papers(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    folder_json(&f, "box.json",
                "{'trimwell': 1, 'name': 'box', 'kind': 'sheets', 'width': '13in', 'length': "
                "'19in', 'count': 20, 'margins': {'side': '1/4in', 'lead': '1/4in', 'tail': "
                "'1/4in'}}");
    folder_json(&f, "job.json",
                "{'trimwell': 1, 'name': 'Day', 'papers': ['./satin.json', './box.json'], "
                "'templates': ['./frames.json'], 'orders': './orders.csv'}");
    tw_plan_data *plan = plan_of(&f, roll_24,
                                 "order,image,template,paper,copies\n"
                                 "1,a.png,12x18,box,2\n2,a.png,8x10,satin,3\n");
    assert_int_equal(plan->paper_count, 2);
    assert_int_equal(plan->sheet_count, 3);
    for (size_t i = 0; i < 3; i++) {
        assert_int_equal(plan->sheets[i].number, i + 1);
        assert_int_equal(plan->sheets[i].of_load, i == 0 ? 1 : i);
        assert_int_equal(plan->sheets[i].paper_index, i == 0 ? 0 : 1);
    }
    assert_string_equal(plan->sheets[2].file, "sheet-03.pdf");
    assert_int_equal(plan->sheets[2].size.height, 19 * TW_IN);
    assert_int_equal(plan->papers[0].totals.length, 10 * TW_IN);
    assert_int_equal(plan->papers[1].totals.length, 38 * TW_IN);
    assert_int_equal(plan->totals.length, 48 * TW_IN);
    assert_int_equal(plan->totals.sheets, 3);
    assert_int_equal(plan->totals.hand_cuts,
                     plan->papers[0].totals.hand_cuts + plan->papers[1].totals.hand_cuts);
    assert_int_equal(plan->totals.stop_changes,
                     plan->papers[0].totals.stop_changes + plan->papers[1].totals.stop_changes);
    assert_true(plan->papers[0].totals.stop_changes > 0 && plan->papers[1].totals.stop_changes > 0);
    folder_close(&f);
}

/* 1 nm of a paper 1.5 mm wide is 1.5 millionths of a square millimetre: half up. */
static void areas_round_half_up(void **state) {
    (void)state;
    tw_paper paper = {.width = 1500000};
    tw_job_data job = {.papers = &paper, .paper_count = 1};
    tw_paper_work work = {.layout = {.used = 1}};
    tw_totals totals = {0};
    tw_plan_add_totals(&job, &work, &totals);
    assert_int_equal(totals.paper_area, 2);
    work.layout.used = 10000 * TW_M; /* past 64 bits in square nanometres */
    paper.width = 2 * TW_M;
    totals = (tw_totals){0};
    tw_plan_add_totals(&job, &work, &totals);
    assert_int_equal(totals.paper_area, 20000000000000000);
}

/* 100 sheets: three digits for all of them. */
static void many_sheets(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    tw_plan_data *plan = plan_of(&f,
                                 "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '24in',"
                                 " 'length': '100m', 'longest_sheet': '40in',"
                                 " 'margins': {'side': '1/4in', 'lead': '0in', 'tail': '0in'}}",
                                 "order,image,template,copies\n1,b.png,24x36,100\n");
    assert_int_equal(plan->sheet_count, 100);
    assert_string_equal(plan->sheets[0].file, "sheet-001.pdf");
    assert_string_equal(plan->sheets[99].file, "sheet-100.pdf");
    folder_close(&f);
}

static void marks_in_strips(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    folder_json(&f, "job.json",
                "{'trimwell': 1, 'name': 'Day', 'papers': ['./satin.json'], 'templates': "
                "['./frames.json'], 'orders': './orders.csv', 'marks': {'place': 'strip'}}");
    tw_plan_data *plan = plan_of(&f, roll_24, "order,image,template,copies\n1,a.png,8x10,3\n");
    /* 1/16 in off the trim and 1/4 in long, at both ends; no margin there on this paper */
    assert_int_equal(plan->sheets[0].size.height, 10 * TW_IN + 10 * TW_IN / 16);
    assert_int_equal(plan->papers[0].strip_cost, 10 * TW_IN / 16);
    assert_warning(
        &f, "strips for marks take 5/16 in (7.9 mm) at the lead and 5/16 in (7.9 mm) at "
            "the tail of every sheet of paper \"satin\": 5/8 in (15.9 mm) of paper on 1 sheet");
    size_t ticks = 0;
    for (size_t i = 0; i < plan->sheets[0].page.count; i++)
        ticks += plan->sheets[0].page.ops[i].kind == TW_OP_LINE &&
                 plan->sheets[0].page.ops[i].role == TW_ROLE_TICK;
    assert_int_equal(ticks, 4); /* both ends of the two cuts along the roll */
    folder_close(&f);
}

static void marks_on_the_line(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    folder_json(&f, "job.json",
                "{'trimwell': 1, 'name': 'Day', 'papers': ['./satin.json'], 'templates': "
                "['./frames.json'], 'orders': './orders.csv', 'marks': {'place': 'line'}}");
    (void)plan_of(&f, roll_24, "order,image,template\n1,a.png,8x10\n2,a.png,12x18\n3,a.png,8x10\n");
    assert_int_equal(f.report.warnings.count, 2);
    assert_warning(&f, "template \"8x10\" has no lip to hide marks on the cut line");
    assert_warning(&f, "template \"12x18\" has no lip");
    folder_json(
        &f, "frames.json",
        "{'trimwell': 1, 'templates': [{'name': '8x10', 'size': '8x10in', 'border': '1/2in'},"
        "{'name': '12x18', 'size': '12x18in', 'border': '1in', 'lip': '1/4in'}]}");
    (void)plan_of(&f, roll_24, "order,image,template\n1,a.png,8x10\n2,a.png,12x18\n");
    assert_int_equal(f.report.warnings.count, 1);
    folder_close(&f);
}

/* A file that no sheet can hold is refused here, since only the layout sees the limit. */
static void too_many_bytes(void **state) {
    (void)state;
    folder f;
    tw_plan_data *plan;
    day_open(&f, "order,image,template\n1,a.png,8x10\n2,b.png,8x10\n");
    tw_prints prints = day_prints(&f);
    prints.images[0].bytes = 3000000000;
    assert_ok(tw_plan_make(f.arena, f.job, &prints, NULL, &f.report, &plan, &f.error), f.error);
    assert_int_equal(f.report.errors.count, 1);
    assert_error(&f,
                 "orders.csv:2: image \"a.png\" takes up to 3000065536 bytes; one sheet's PDF must "
                 "stay under 2147483647 bytes");
    assert_int_equal(plan->unplaced_count, 0);
    folder_close(&f);
}

static bool always(void *context) {
    return context != NULL;
}

static void cancelled(void **state) {
    (void)state;
    folder f;
    int any = 0;
    tw_run run = {.cancelled = always, .context = &any};
    tw_plan_data *plan;
    day_open(&f, "order,image,template\n1,a.png,8x10\n");
    tw_prints prints = day_prints(&f);
    assert_int_equal(tw_plan_make(f.arena, f.job, &prints, &run, &f.report, &plan, &f.error),
                     TW_CANCELLED);
    folder_close(&f);
}

/* No prints, no sheets, no failure: the errors that left none are in the report already. */
static void nothing_to_plan(void **state) {
    (void)state;
    folder f;
    tw_plan_data *plan;
    tw_prints none = {0};
    day_open(&f, "order,image,template\n1,a.png,8x10\n");
    assert_ok(tw_plan_make(f.arena, f.job, &none, NULL, &f.report, &plan, &f.error), f.error);
    assert_int_equal(plan->sheet_count, 0);
    assert_int_equal(plan->paper_count, 0);
    folder_close(&f);
}

static void memory_runs_out(void **state) {
    (void)state;
    folder f;
    tw_plan_data *plan;
    tw_code code = TW_MEMORY;
    day_open(&f, "order,image,template,copies\n1,a.png,8x10,3\n2,b.png,12x18,2\n");
    tw_prints prints = day_prints(&f);
    for (long nth = 1; code == TW_MEMORY; nth++) {
        tw_report report;
        f.memory.asked = 0;
        f.memory.fail_at = nth;
        tw_arena *small = tw_arena_new(&f.allocator, 0);
        if (small == NULL)
            continue;
        tw_report_start(&report, small);
        code = tw_plan_make(small, f.job, &prints, NULL, &report, &plan, &f.error);
        assert_true(code == TW_MEMORY || (code == TW_OK && nth > 3));
        tw_arena_free(small);
    }
    f.memory.fail_at = 0;
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_in_a_row),    cmocka_unit_test(a_turned_print),
        cmocka_unit_test(piece_names),       cmocka_unit_test(cut_from_the_roll_by_hand),
        cmocka_unit_test(the_roll_runs_out), cmocka_unit_test(two_papers),
        cmocka_unit_test(many_sheets),       cmocka_unit_test(areas_round_half_up),
        cmocka_unit_test(marks_in_strips),   cmocka_unit_test(marks_on_the_line),
        cmocka_unit_test(too_many_bytes),    cmocka_unit_test(cancelled),
        cmocka_unit_test(nothing_to_plan),   cmocka_unit_test(memory_runs_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
