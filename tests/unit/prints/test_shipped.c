/*
 * The shipped formats with images of their pictures' shape, upright and turned, on shipped papers:
 * nothing is worth a warning. What they are is held to common practice in job/test_shipped.c.
 */
#include "prints/day.h"

#include "base/file.h"

#define PPI 250 /* above every auto limit of warn_below */

typedef struct paper_case {
    const char *name;
    tw_nm width, length; /* a print may be this large */
} paper_case;

/* Pixels of the picture that a template leaves, the format lying as the image does. */
static void picture_image(const folder *f, const tw_template *t, bool across, const char *name) {
    const tw_nm *side = t->border.side;
    tw_nm wide = (across ? t->size.height : t->size.width) - side[TW_LEFT] - side[TW_RIGHT];
    tw_nm high = (across ? t->size.width : t->size.height) - side[TW_TOP] - side[TW_BOTTOM];
    day_image(f, name, (uint32_t)(wide * PPI / TW_IN), (uint32_t)(high * PPI / TW_IN), false, true);
}

/* Beside the print nothing is left, or a strip that a trimmer can hold (1/8 in): 24 in prints do
 * not suit a 610 mm roll, 0.4 mm wider. */
static bool fits(const paper_case *paper, const tw_template *t) {
    tw_nm low = t->size.width, high = t->size.height; /* shipped sizes are upright */
    tw_nm beside = paper->width - low;
    return (beside == 0 || beside >= TW_IN / 8) && high <= paper->length;
}

/* Orders for every template of the set that fits the paper, each upright and turned. */
static size_t put_orders(folder *f, const paper_case *paper, const char *set) {
    FILE *orders = fopen(folder_at(f, "orders.csv"), "wb");
    tw_template *items = NULL;
    size_t count = 0, lines = 0;
    char name[40];
    assert_non_null(orders);
    fprintf(orders, "order,image,template\n");
    assert_ok(tw_templates_load(f->arena, ".", set, &f->report, &items, &count, &f->error),
              f->error);
    for (size_t i = 0; i < 2 * count; i++) {
        const tw_template *t = &items[i / 2];
        if (!fits(paper, t))
            continue;
        snprintf(name, sizeof name, "%s-%zu.png", t->name, i % 2);
        if (!tw_path_exists(folder_at(f, name)))
            picture_image(f, t, i % 2 == 1, name);
        fprintf(orders, "%zu,%s,%s\n", i, name, t->name);
        lines++;
    }
    assert_int_equal(fclose(orders), 0);
    return lines;
}

static void check(folder *f, const paper_case *paper, const char *set) {
    char job[400];
    size_t lines = put_orders(f, paper, set);
    tw_prints prints;
    folder_again(f);
    snprintf(job, sizeof job,
             "{'trimwell': 1, 'name': 'd', 'papers': ['%s'], 'templates': ['%s'], 'orders': "
             "'orders.csv'}",
             paper->name, set);
    folder_json(f, "job.json", job);
    assert_ok(folder_load(f), f->error);
    prints = day_prints(f);
    assert_true(lines >= 8);
    assert_int_equal(prints.count, lines);
    assert_ok(tw_prints_check(f->arena, f->job, &prints, &f->report, &f->error), f->error);
    assert_clean(f);
}

static void test_no_warning(void **state) {
    static const paper_case papers[] = {
        {"satin-44in", 44 * TW_IN, 44 * TW_IN},
        {"matte-610mm", 610 * TW_MM, TW_M},
        {"smooth-a3plus", 329 * TW_MM, 483 * TW_MM},
    };
    folder f;
    (void)state;
    folder_open(&f);
    for (size_t i = 0; i < sizeof papers / sizeof papers[0]; i++) {
        check(&f, &papers[i], "frames-inch");
        check(&f, &papers[i], "frames-cm");
    }
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_no_warning)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
