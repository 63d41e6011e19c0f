/*
 * The cuts of plan.json made by a simulated trimmer (replay.c) give exactly the prints that were
 * ordered: on print days by hand and on random ones, with borders, bleed, gutters, margins, turned
 * prints, printers that cut and rolls cut by hand. That every cut runs edge to edge of the piece
 * in hand, that ink keeps the paper's margins and that no strip is thinner than 1/8 in is common
 * practice at a trimmer.
 */
#include "random_day.h"

#define MM ((int64_t)1000000)     /* nm */
#define EIGHTH ((int64_t)3175000) /* nm: 1/8 in, ISO 31-1 */

/* ------------------------------------------------ a day with everything */

static const char formats[] =
    "{\"name\": \"8x10\", \"size\": \"8x10in\", \"border\": \"1/2in\"}, "
    "{\"name\": \"5x7\", \"size\": \"5x7in\", \"fit\": \"fill\"}, "
    "{\"name\": \"30x40\", \"size\": \"30x40cm\", \"border\": \"25mm\", \"fit\": \"fill\"}, "
    "{\"name\": \"strip\", \"size\": \"50x20cm\", \"bleed\": \"5mm\", \"fit\": \"fill\", "
    "\"lie\": \"upright\"}, "
    "{\"name\": \"square\", \"picture\": \"12cm\", \"border\": \"1cm\"}";
static const char orders[] = "1,wide.png,8x10,3\n1,high.png,5x7,4\n2,wide.png,30x40,2\n"
                             "3,wide.png,strip,1\n4,even.png,square,5\n4,high.png,8x10,1\n";

static void assert_full_day(const char *paper, const char *settings, const paper_rules *rules) {
    make_day_images();
    write_day("day", paper, formats, orders, settings);
    cJSON *plan = compose("day", "out.d");
    replay_plan(plan, rules);
    assert_int_equal(prints_of(plan, "1", "wide.png", "8x10"), 3);
    assert_int_equal(prints_of(plan, "1", "high.png", "5x7"), 4);
    assert_int_equal(prints_of(plan, "2", "wide.png", "30x40"), 2);
    assert_int_equal(prints_of(plan, "3", "wide.png", "strip"), 1);
    assert_int_equal(prints_of(plan, "4", "even.png", "square"), 5);
    assert_int_equal(prints_of(plan, "4", "high.png", "8x10"), 1);
    assert_int_equal(prints_in_all(plan), 16);
    cJSON_Delete(plan);
}

static void roll_cut_by_the_printer(void **state) {
    (void)state;
    assert_full_day("\"kind\": \"roll\", \"width\": \"24in\", \"length\": \"50ft\", "
                    "\"margins\": {\"side\": \"1/4in\", \"lead\": \"1/8in\", \"tail\": \"1/8in\"}",
                    "", &(paper_rules){2 * EIGHTH, EIGHTH, EIGHTH, 0, EIGHTH});
}

static void roll_cut_by_hand(void **state) {
    (void)state;
    assert_full_day("\"kind\": \"roll\", \"width\": \"610mm\", \"length\": \"15m\", "
                    "\"cutter\": \"hand\", \"edge_trim\": \"5mm\", \"longest_sheet\": \"700mm\", "
                    "\"margins\": {\"side\": \"6mm\", \"lead\": \"10mm\", \"tail\": \"12mm\"}",
                    ", \"layout\": {\"gutter\": \"4mm\"}",
                    &(paper_rules){6 * MM, 10 * MM, 12 * MM, 4 * MM, EIGHTH});
}

static void cut_sheets(void **state) {
    (void)state;
    assert_full_day("\"kind\": \"sheets\", \"width\": \"560mm\", \"length\": \"760mm\", "
                    "\"count\": 20, "
                    "\"margins\": {\"side\": \"5mm\", \"lead\": \"4mm\", \"tail\": \"20mm\"}",
                    ", \"layout\": {\"turn\": false}, \"trimmer\": {\"narrowest_strip\": \"5mm\"}",
                    &(paper_rules){5 * MM, 4 * MM, 20 * MM, 0, 5 * MM});
}

static void strips_for_marks(void **state) {
    (void)state;
    assert_full_day("\"kind\": \"roll\", \"width\": \"44in\", \"length\": \"50ft\", "
                    "\"margins\": {\"side\": \"1/8in\", \"lead\": \"1/8in\", \"tail\": \"1/2in\"}",
                    ", \"marks\": {\"place\": \"strip\"}, \"layout\": {\"gutter\": \"1/4in\"}",
                    &(paper_rules){EIGHTH, EIGHTH, 4 * EIGHTH, 2 * EIGHTH, EIGHTH});
}

/* ------------------------------------------------ random days */

static void assert_random_day(uint64_t seed) {
    static random_day d;
    int all = 0;
    make_random_day(seed, &d);
    cJSON *plan = compose("day", "out.d");
    replay_plan(plan, &d.rules);
    assert_int_equal(cJSON_GetArraySize(member(plan, "unplaced")), 0);
    for (int i = 0; i < d.lines; i++) {
        char order[16], format[16];
        (void)snprintf(order, sizeof order, "%d", d.line[i].order);
        (void)snprintf(format, sizeof format, "t%d", d.line[i].format);
        all += d.line[i].copies;
        assert_int_equal(prints_of(plan, order, d.line[i].image, format), d.line[i].copies);
    }
    assert_int_equal(prints_in_all(plan), all);
    cJSON_Delete(plan);
}

static void random_days(void **state) {
    (void)state;
    make_day_images();
    for (uint64_t seed = 1; seed <= 16; seed++) {
        print_message("day of seed %u\n", (unsigned)seed);
        assert_random_day(seed);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(roll_cut_by_the_printer),
        cmocka_unit_test(roll_cut_by_hand),
        cmocka_unit_test(cut_sheets),
        cmocka_unit_test(strips_for_marks),
        cmocka_unit_test(random_days),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
