/*
 * The table people read: written out by hand for small days, so that a change is seen as a
 * change of the table.
 */
#include "prints/day.h"

#include "report/report.h"

static tw_plan_data *plan_of(folder *f, const char *orders) {
    tw_plan_data *plan;
    tw_prints *prints;
    folder_again(f);
    folder_write(f, "orders.csv", orders);
    assert_ok(folder_load(f), f->error);
    prints = tw_arena_take(f->arena, sizeof *prints);
    *prints = day_prints(f);
    assert_ok(tw_plan_make(f->arena, f->job, prints, NULL, &f->report, &plan, &f->error), f->error);
    return plan;
}

static tw_buffer text_of(folder *f, const char *orders) {
    tw_plan_data *plan = plan_of(f, orders);
    tw_buffer text;
    tw_buffer_start(&text, &f->allocator);
    assert_ok(tw_plan_text(plan, &text, &f->error), f->error);
    return text;
}

static void assert_text(folder *f, const char *orders, const char *want) {
    tw_buffer text = text_of(f, orders);
    assert_string_equal(text.bytes, want);
    tw_buffer_free(&text);
}

/* One roll, no loss: what the hand check comes to. */
static void one_row(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    assert_text(&f, "order,image,template,copies\n1001,a.png,8x10,3\n",
                "Day: 3 prints on 1 sheet\n\n"
                "satin: roll, 24 in (609.6 mm) wide\n"
                "  sheet-01.pdf  24 in x 10 in (609.6 x 254 mm): 3 prints, 2 hand cuts\n"
                "    8x10                    1001-1, 1001-2, 1001-3\n"
                "  paper used  10 in (0.254 m) of 50 ft (15.24 m) on the roll\n"
                "  at least    10 in (0.254 m): no plan of these prints uses less\n"
                "  waste       0.0 % of the sheets\n"
                "  by hand     2 cuts, 1 setting of the trimmer's stop\n\n"
                "least paper, fewest cuts and equal rows come to the same plan\n\n"
                "free today on satin: nothing\n\n");
    folder_close(&f);
}

/* A format's name begins with a figure, so how many of it there are is said in words. */
static void free_places_are_counted(void **state) {
    (void)state;
    folder f;
    tw_buffer text;
    day_open(&f, "order,image,template\n");
    tw_plan_data *plan = plan_of(&f, "order,image,template,copies\n1001,a.png,8x10,3\n");
    plan->papers[0].free[0].places = 7;
    plan->papers[0].free[1].places = 12;
    plan->papers[0].free[2].places = 13;
    tw_buffer_start(&text, &f.allocator);
    assert_ok(tw_plan_text(plan, &text, &f.error), f.error);
    assert_non_null(
        strstr(text.bytes, "free today on satin: seven 8x10, twelve 12x18, 13 of 24x36\n"));
    tw_buffer_free(&text);
    folder_close(&f);
}

/* 24x36 and 3 in lost of 45: one print fits, two do not; turned, since the image is a landscape.
 * 39 in are 3 ft 3 in. */
static void lost_and_left(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    folder_json(&f, "satin.json",
                "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '24in', 'length': "
                "'45in', 'lost': {'each_load': '3in'}, 'margins': {'side': '1/4in', 'lead': "
                "'0in', 'tail': '0in'}}");
    assert_text(&f, "order,image,template,copies\n7,b.png,24x36,3\n",
                "Day: 1 print on 1 sheet\n\n"
                "satin: roll, 24 in (609.6 mm) wide\n"
                "  sheet-01.pdf  24 in x 36 in (609.6 x 914.4 mm): 1 print, 0 hand cuts\n"
                "    24x36           turned  7-1\n"
                "  paper used  3 ft 3 in (0.991 m) of 3 ft 9 in (1.143 m) on the roll\n"
                "              3 in (0.076 m) of it outside the sheets: loading, the core's end\n"
                "  at least    3 ft 3 in (0.991 m): no plan of these prints uses less\n"
                "  waste       0.0 % of the sheets\n"
                "  by hand     0 cuts, 0 settings of the trimmer's stop\n\n"
                "least paper, fewest cuts and equal rows come to the same plan\n\n"
                "free today on satin: nothing\n\n"
                "not placed, the paper is used up:\n  7-2, 7-3\n\n");
    folder_close(&f);
}

/* A box and a roll: sheets are counted, and a last part adds the papers up. 12x18 on 13x19 leaves
 * 1 - 216/247 = 12.55 %. */
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
    tw_buffer text = text_of(&f, "order,image,template,paper,copies\n"
                                 "1,a.png,12x18,box,2\n2,a.png,8x10,satin,3\n");
    assert_non_null(strstr(text.bytes, "box: sheets of 13 in x 19 in (330.2 x 482.6 mm)\n"));
    assert_non_null(strstr(text.bytes, "  paper used  2 of 20 sheets\n"
                                       "  at least    2 sheets: no plan of these prints uses "
                                       "less\n  waste       12.6 % of the sheets\n"));
    assert_non_null(strstr(text.bytes, "all papers\n  paper used  4 ft (1.219 m) on 3 sheets\n"));
    tw_buffer_free(&text);
    /* a bound of a little over one sheet is two: a sheet counts whole */
    tw_plan_data *plan;
    tw_prints prints = day_prints(&f);
    assert_ok(tw_plan_make(f.arena, f.job, &prints, NULL, &f.report, &plan, &f.error), f.error);
    plan->papers[1].totals.bound_length = 19 * TW_IN + 1;
    tw_buffer_start(&text, &f.allocator);
    assert_ok(tw_plan_text(plan, &text, &f.error), f.error);
    assert_non_null(strstr(text.bytes, "  at least    2 sheets: "));
    tw_buffer_free(&text);
    folder_close(&f);
}

/* Long lists wrap under their first id, in 78 columns; a name cannot command the terminal. */
static void wrapped_and_safe(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n");
    folder_json(
        &f, "frames.json",
        "{'trimwell': 1, 'templates': [{'name': 's', 'size': '2x2in', 'border': '1/4in'}]}");
    tw_buffer text = text_of(&f, "order,image,template,copies\nÅ,a.png,s,60\n");
    size_t columns = 0, most = 0;
    for (const char *at = text.bytes; *at != '\0'; at++) {
        columns = *at == '\n' ? 0 : columns + ((*at & 0xC0) != 0x80);
        most = columns > most ? columns : most;
    }
    assert_in_range(most, 75, 79); /* the comma after the last id of a line may be the 79th */
    assert_non_null(strstr(text.bytes, ",\n                            Å-"));
    tw_buffer_free(&text);
    f.job->name = "a\x1b[31mb\xc2\x9b";
    tw_plan_data *plan;
    tw_prints prints = day_prints(&f);
    assert_ok(tw_plan_make(f.arena, f.job, &prints, NULL, &f.report, &plan, &f.error), f.error);
    tw_buffer_start(&text, &f.allocator);
    assert_ok(tw_plan_text(plan, &text, &f.error), f.error);
    assert_int_equal(strncmp(text.bytes, "a?[31mb?: ", 10), 0);
    tw_buffer_free(&text);
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_row),          cmocka_unit_test(free_places_are_counted),
        cmocka_unit_test(lost_and_left),    cmocka_unit_test(two_papers),
        cmocka_unit_test(wrapped_and_safe),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
