/*
 * Papers chosen for lines that name none: whatever the order of the lines, with memory running
 * out at any request, with errors in the day, and where the big ones need several papers.
 */
#include "prints/day.h"
#include "sheet/choose.h"

#define JOB                                                                                        \
    "{'trimwell': 1, 'name': 'Day', 'papers': ['./narrow.json', './satin.json', './wide.json'], "  \
    "'templates': ['./frames.json'], 'orders': './orders.csv', 'layout': {'choose': ['narrow', "   \
    "'satin', 'wide']}}"
#define PAPER(name, width)                                                                         \
    "{'trimwell': 1, 'name': '" name "', 'kind': 'roll', 'width': '" width                         \
    "', 'length': '50ft', 'margins': {'side': '0in', 'lead': '0in', 'tail': '0in'}}"

static void other_orders(folder *f, const char *orders) {
    folder_again(f);
    folder_write(f, "orders.csv", orders);
    assert_ok(folder_load(f), f->error);
}

static void day_of_three(folder *f, const char *orders) {
    day_open(f, "order,image,template\n");
    folder_json(f, "narrow.json", PAPER("narrow", "10in"));
    folder_json(f, "satin.json", PAPER("satin", "24in"));
    folder_json(f, "wide.json", PAPER("wide", "44in"));
    folder_json(f, "job.json", JOB);
    other_orders(f, orders);
}

static tw_chosen *chosen(folder *f) {
    tw_facts facts;
    tw_chosen *out = NULL;
    assert_ok(tw_prints_facts(f->arena, f->job, NULL, &f->report, &facts, &f->error), f->error);
    assert_ok(tw_choose_papers(f->arena, f->job, &facts, NULL, &f->report, &out, &f->error),
              f->error);
    return out;
}

static size_t paper_of(const folder *f, size_t line) {
    return f->job->orders[line].paper_index;
}

/* One 8x10 is least on the narrow roll (10 x 8 in, turned); with a 24x36 beside it there are four
 * ways: all on the two that take both, and the small one on the narrow roll with the other on
 * either. The 24x36 takes 24 x 36 in of the middle roll, 44 x 24 of the wide one. */
static void ways(void **state) {
    (void)state;
    folder f;
    day_of_three(&f, "order,image,template\n1,a.png,8x10\n");
    tw_chosen *all = chosen(&f);
    assert_int_equal(all->count, 3);
    assert_false(all->by_price);
    assert_int_equal(all->chosen, 0);
    assert_int_equal(all->items[0].area, 51612800000); /* 254 x 203.2 mm2, millionths */
    assert_int_equal(paper_of(&f, 0), 0);
    other_orders(&f, "order,image,template\n1,a.png,8x10\n2,a.png,24x36\n");
    all = chosen(&f);
    assert_int_equal(all->count, 4);
    assert_int_equal(all->chosen, 2);
    assert_int_equal(paper_of(&f, 0), 0);
    assert_int_equal(paper_of(&f, 1), 1);
    assert_int_equal(all->items[2].prints[0], 1);
    assert_int_equal(all->items[2].prints[1], 1);
    assert_int_equal(all->items[2].length, (8 + 36) * TW_IN);
    folder_close(&f);
}

/* Lines that name their paper keep it, and no choice is said where all do. */
static void nothing_to_choose(void **state) {
    (void)state;
    folder f;
    day_of_three(&f, "order,image,template,paper\n1,a.png,8x10,wide\n");
    assert_null(chosen(&f));
    assert_int_equal(paper_of(&f, 0), 2);
    folder_close(&f);
}

/* With an error no layout is made; every line has a paper nevertheless, the too big one the
 * widest. */
static void with_an_error(void **state) {
    (void)state;
    folder f;
    day_of_three(&f, "order,image,template\n1,gone.png,8x10\n2,b.png,8x10\n3,long.png,long\n");
    assert_int_equal(f.report.errors.count, 1);
    assert_null(chosen(&f));
    assert_int_equal(paper_of(&f, 0), 2);
    assert_int_equal(paper_of(&f, 1), 0);
    assert_int_equal(paper_of(&f, 2), 1);
    folder_close(&f);
}

static void any_order_of_lines(void **state) {
    (void)state;
    folder f;
    day_of_three(&f, "order,image,template,copies\n1,a.png,8x10,5\n2,a.png,24x36,1\n"
                     "3,b.png,12x18,2\n");
    tw_chosen first = *chosen(&f);
    int64_t area = first.items[first.chosen].area;
    other_orders(&f, "order,image,template,copies\n3,b.png,12x18,2\n2,a.png,24x36,1\n"
                     "1,a.png,8x10,5\n");
    tw_chosen second = *chosen(&f);
    assert_int_equal(first.chosen, second.chosen);
    assert_int_equal(area, second.items[second.chosen].area);
    folder_close(&f);
}

static void memory_runs_out(void **state) {
    (void)state;
    folder f;
    tw_code code = TW_MEMORY;
    day_of_three(&f, "order,image,template\n1,a.png,8x10\n2,a.png,24x36\n");
    f.job->steps = 100;
    for (long nth = 1; code == TW_MEMORY; nth += 1 + nth / 16) {
        tw_report report;
        tw_facts facts;
        tw_chosen *out = NULL;
        for (size_t i = 0; i < f.job->order_count; i++)
            f.job->orders[i].paper_index = TW_PAPER_ANY;
        tw_arena *small = tw_arena_new(&f.allocator, 0);
        assert_non_null(small);
        tw_report_start(&report, small);
        f.memory.asked = 0;
        f.memory.fail_at = nth;
        code = tw_prints_facts(small, f.job, NULL, &report, &facts, &f.error);
        if (code == TW_OK)
            code = tw_choose_papers(small, f.job, &facts, NULL, &report, &out, &f.error);
        f.memory.fail_at = 0;
        assert_true(code == TW_MEMORY || (code == TW_OK && out != NULL && nth > 20));
        tw_arena_free(small);
    }
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ways),
        cmocka_unit_test(nothing_to_choose),
        cmocka_unit_test(with_an_error),
        cmocka_unit_test(any_order_of_lines),
        cmocka_unit_test(memory_runs_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
