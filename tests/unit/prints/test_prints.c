/*
 * From orders to prints: who gets which number, and which lines make none and why. Expectations
 * are counted by hand from the order lines.
 */
#include "prints/day.h"

static void assert_print(const tw_prints *prints, size_t index, const char *id,
                         const char *template_name, const char *image, int copy) {
    assert_in_range(index, 0, prints->count - 1);
    const tw_print *print = &prints->items[index];
    assert_string_equal(print->id, id);
    assert_string_equal(print->format->name, template_name);
    assert_string_equal(print->line->image, image);
    assert_int_equal(print->copy, copy);
    assert_ptr_equal(print->image, &prints->images[print->image_index]);
}

static void assert_numbers(const tw_prints *prints) {
    assert_int_equal(prints->count, 8);
    assert_print(prints, 0, "7-1", "8x10", "b.png", 1);
    assert_print(prints, 1, "7-2", "8x10", "b.png", 2);
    assert_print(prints, 2, "70-1", "12x18", "a.png", 1);
    assert_print(prints, 3, "70-2", "12x18", "a.png", 2);
    assert_print(prints, 4, "70-3", "12x18", "b.png", 1);
    assert_print(prints, 5, "70-4", "8x10", "a.png", 1);
    assert_print(prints, 6, "70-5", "8x10", "a.png", 1);
    assert_print(prints, 7, "70-6", "8x10", "b.png", 1);
    assert_string_equal(prints->items[5].line->title, "Dunes");
    assert_string_equal(prints->items[6].line->title, "Dusk");
    assert_string_equal(prints->images[0].name, "a.png");
    assert_int_equal(prints->image_count, 2);
}

/* Sorted by template, image, title, copy; "12x18" comes before "8x10" byte by byte. The same
 * lines in another order give the same numbers. */
static void numbers_do_not_depend_on_the_lines(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template,copies,title\n"
                 "70,b.png,8x10,1,\n"
                 "70,a.png,8x10,1,Dusk\n"
                 "7,b.png,8x10,2,\n"
                 "70,a.png,12x18,2,\n"
                 "70,b.png,12x18,1,\n"
                 "70,a.png,8x10,1,Dunes\n");
    tw_prints prints = day_prints(&f);
    assert_clean(&f);
    assert_numbers(&prints);
    folder_again(&f);
    folder_write(&f, "orders.csv",
                 "order,image,template,copies,title\n"
                 "70,a.png,8x10,1,Dunes\n"
                 "70,a.png,12x18,2,\n"
                 "70,b.png,12x18,1,\n"
                 "7,b.png,8x10,2,\n"
                 "70,b.png,8x10,1,\n"
                 "70,a.png,8x10,1,Dusk\n");
    assert_ok(folder_load(&f), f.error);
    prints = day_prints(&f);
    assert_numbers(&prints);
    folder_close(&f);
}

/* "a" and "a-1" may both be orders: no two prints share an id. */
static void ids_are_unique(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template,copies\n"
                 "a,a.png,8x10,12\na-1,a.png,8x10,12\na-1-1,b.png,8x10,3\n1,a.png,8x10,12\n"
                 "1-1,a.png,8x10,2\n");
    tw_prints prints = day_prints(&f);
    assert_int_equal(prints.count, 41);
    for (size_t i = 0; i < prints.count; i++)
        for (size_t j = 0; j < i; j++)
            assert_string_not_equal(prints.items[i].id, prints.items[j].id);
    folder_close(&f);
}

static void names_that_pieces_have(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\nwaste,a.png,8x10\nfiller,a.png,8x10\nwastes,a.png,8x10\n");
    tw_prints prints = day_prints(&f);
    assert_int_equal(prints.count, 1);
    assert_int_equal(f.report.errors.count, 2);
    assert_error(&f, "orders.csv:2: order \"waste\": this word names offcuts");
    assert_error(&f, "orders.csv:3: order \"filler\"");
    folder_close(&f);
}

static void fillers_are_validated(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n1,a.png,8x10\n");
    folder_json(&f, "job.json",
                "{'trimwell': 1, 'name': 'Day', 'papers': ['./satin.json'], 'templates': "
                "['./frames.json'], 'orders': './orders.csv', 'fillers': './fillers.csv'}");
    folder_write(&f, "fillers.csv",
                 "image,template,copies,sells_for,chance\n"
                 "a.png,8x10,2,30.00 EUR,0.5\ntiny.png,12x18,1,30.00 EUR,0.5\n");
    folder_again(&f);
    assert_ok(folder_load(&f), f.error);
    tw_prints prints = day_prints(&f);
    assert_int_equal(prints.count, 1);
    assert_error(&f, "fillers.csv:3: image \"tiny.png\" has 24.0 ppi");
    assert_ok(tw_prints_make(f.arena, f.job, true, NULL, &f.report, &prints, &f.error), f.error);
    assert_int_equal(prints.count, 3);
    assert_print(&prints, 1, "filler-1", "8x10", "a.png", 1);
    assert_print(&prints, 2, "filler-2", "8x10", "a.png", 2);
    assert_true(prints.items[2].filler && !prints.items[0].filler);
    folder_close(&f);
}

/* One message for a broken file, at the first line that uses it. */
static void broken_images(void **state) {
    (void)state;
    folder f;
    day_open(&f, "order,image,template\n1,a.png,8x10\n2,a.png,8x10\n3,b.png,8x10\n");
    folder_put(&f, "a.png", "\x89PNG\r\n\x1a\n\0\0", 10);
    tw_prints prints = day_prints(&f);
    assert_int_equal(prints.count, 1);
    assert_int_equal(prints.image_count, 1);
    assert_int_equal(f.report.errors.count, 1);
    assert_error(&f, "orders.csv:2: image \"a.png\" (used by 2 lines): ");
    assert_int_equal(f.report.errors.items[0].code, TW_DAMAGED);
    folder_put(&f, "b.png", "GIF89a", 6);
    prints = day_prints(&f);
    assert_error(&f, "orders.csv:4: image \"b.png\": ");
    folder_close(&f);
}

static void refuse_bad_lines(folder *f, const char *paper, const char *orders, size_t made,
                             const char *says) {
    folder_again(f);
    folder_json(f, "satin.json", paper);
    folder_write(f, "orders.csv", orders);
    assert_ok(folder_load(f), f->error);
    tw_prints prints = day_prints(f);
    assert_int_equal(prints.count, made);
    if (says == NULL) {
        assert_int_equal(f->report.errors.count, 0);
        return;
    }
    assert_int_equal(f->report.errors.count, 1);
    assert_error(f, says);
}

#define SIDES(more)                                                                                \
    "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '24in', 'length': '110in',"         \
    " 'margins': {'side': '1/4in', 'lead': '0in', 'tail': '0in'}" more "}"

/* 24x36 with 1 1/2 in borders lies across the 24 in roll exactly, on the paper's own edges; a
 * borderless one needs margin and bleed, 2 x (1/4 + 1/8) in more. */
static void too_big(void **state) {
    (void)state;
    static const char bordered[] = "order,image,template\n1,b.png,24x36\n";
    static const char full[] = "order,image,template\n1,b.png,full 24x36\n";
    static const char upright[] = "order,image,template\n1,b.png,upright\n";
    static const char strip[] = "order,image,template\n1,long.png,long\n";
    folder f;
    day_open(&f, bordered);
    refuse_bad_lines(&f, DAY_PAPER, bordered, 1, NULL);
    refuse_bad_lines(&f, DAY_PAPER, full, 0,
                     "orders.csv:2: a print of 36 in (914.4 mm) x 24 in (609.6 mm) is too big for "
                     "paper \"satin\": with the margin it keeps it needs 36 in (914.4 mm) x 24 1/4 "
                     "in (616 mm), turned 24 3/4 in (628.7 mm) x 36 in");
    /* 'upright' is 30 in across and may not turn; with lie either it would */
    refuse_bad_lines(&f, DAY_PAPER, upright, 0, "and may not be turned");
    /* the paper's turn beats the job's: 36 in across then */
    refuse_bad_lines(&f, SIDES(", 'turn': false"), bordered, 0, "and may not be turned");
    /* longest_sheet (60 in) does not bind a print of 100 in; the roll's length does */
    refuse_bad_lines(&f, SIDES(""), strip, 1, NULL);
    refuse_bad_lines(&f, SIDES(", 'lost': {'each_load': '10in'}"), strip, 1, NULL);
    refuse_bad_lines(&f, SIDES(", 'lost': {'each_load': '10in', 'core_end': '1/64in'}"), strip, 0,
                     "the paper offers 24 in (609.6 mm) x 99 63/64 in");
    /* edge_trim takes the paper's own edges away */
    refuse_bad_lines(&f, SIDES(", 'edge_trim': '1mm'"), bordered, 0, "too big for paper");
    folder_close(&f);
}

/* One finding however many lines ask for it. Further rolls and kept pieces take what the first roll
 * does not. */
static void too_big_once(void **state) {
    (void)state;
    static const char lines[] = "order,image,template\n1,b.png,full 24x36\n2,b.png,full 24x36\n"
                                "3,b.png,8x10\n4,b.png,full 24x36\n";
    static const char strip[] = "order,image,template\n1,long.png,long\n";
    folder f;
    day_open(&f, lines);
    refuse_bad_lines(
        &f, DAY_PAPER, lines, 1,
        "; 2 more lines ask for the same (choose a wider paper or a smaller template)");
    refuse_bad_lines(
        &f, SIDES(", 'lost': {'each_load': '10in', 'core_end': '1in'}, 'further_rolls': ['111in']"),
        strip, 1, NULL);
    refuse_bad_lines(
        &f,
        SIDES(", 'lost': {'each_load': '10in', 'core_end': '1in'}, 'offcuts': [{'width': '20in', "
              "'length': '100in'}]"),
        strip, 1, NULL);
    refuse_bad_lines(
        &f,
        SIDES(", 'lost': {'each_load': '10in', 'core_end': '1in'}, 'offcuts': [{'width': '19in', "
              "'length': '100in'}]"),
        strip, 0, "too big for paper");
    folder_close(&f);
}

#define ROLL_OF(width)                                                                             \
    "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '" width "', 'length': '50ft',"     \
    " 'margins': {'side': '1/4in', 'lead': '0in', 'tail': '0in'}}"
#define BOX_OF(length)                                                                             \
    "{'trimwell': 1, 'name': 'satin', 'kind': 'sheets', 'width': '24in', 'length': '" length "',"  \
    " 'count': 9, 'margins': {'side': '0in', 'lead': '0in', 'tail': '0in'}}"

/* A 24 in print on a roll sold as 610 mm (facts: labels differ by up to 0.4 mm): 0.4 mm beside it
 * are neither nothing nor a strip that a trimmer holds (1/8 in). */
static void too_thin_to_trim(void **state) {
    (void)state;
    static const char orders[] = "order,image,template\n1,b.png,24x36\n";
    folder f;
    day_open(&f, orders);
    refuse_bad_lines(&f, ROLL_OF("610mm"), orders, 0,
                     "orders.csv:2: a print of 36 in (914.4 mm) x 24 in (609.6 mm) leaves 0.016 in "
                     "(0.4 mm) of paper \"satin\" beside it, too little to trim off: the trimmer "
                     "takes strips of 1/8 in (3.2 mm)");
    refuse_bad_lines(&f, ROLL_OF("24 1/8in"), orders, 1, NULL);
    refuse_bad_lines(&f, ROLL_OF("24 7/64in"), orders, 0, "leaves 7/64 in (2.8 mm) of paper");
    refuse_bad_lines(&f, ROLL_OF("36 1/16in"), orders, 1, NULL); /* the other way there is room */
    refuse_bad_lines(&f, BOX_OF("36in"), orders, 1, NULL);
    refuse_bad_lines(&f, BOX_OF("36 1/16in"), orders, 0, "leaves 1/16 in (1.6 mm) of paper");
    folder_close(&f);
}

/* tiny.png, 240x300 on 8x10 with 1/2 in borders: 7 in wide, 240 / 7 = 34.2 ppi, 72 asked. */
static void too_few_pixels(void **state) {
    (void)state;
    static const char tiny[] = "order,image,template\n1,tiny.png,8x10\n";
    folder f;
    day_open(&f, tiny);
    refuse_bad_lines(&f, DAY_PAPER, tiny, 0,
                     "orders.csv:2: image \"tiny.png\" has 34.2 ppi as a print of 8 in (203.2 mm) "
                     "x 10 in (254 mm); at least 72 ppi are asked for");
    refuse_bad_lines(&f, SIDES(", 'resolution': {'refuse_below': 34}"), tiny, 1, NULL);
    /* 10 in wide on 12x18: 24 ppi exactly */
    refuse_bad_lines(&f, SIDES(", 'resolution': {'refuse_below': 24}"),
                     "order,image,template\n1,tiny.png,12x18\n", 1, NULL);
    refuse_bad_lines(&f, SIDES(", 'resolution': {'refuse_below': 35}"), tiny, 0, "at least 35 ppi");
    folder_close(&f);
}

typedef struct watch {
    uint64_t calls, done, total;
    uint64_t stop_at;
} watch;

static void watched(void *context, const char *doing, uint64_t done, uint64_t total) {
    watch *w = context;
    assert_non_null(doing);
    assert_true(done >= w->done && done <= total);
    w->calls++;
    w->done = done;
    w->total = total;
}

static bool stops(void *context) {
    watch *w = context;
    return w->stop_at > 0 && w->calls >= w->stop_at;
}

static void progress_and_cancel(void **state) {
    (void)state;
    folder f;
    watch w = {0};
    tw_run run = {.progress = watched, .cancelled = stops, .context = &w};
    tw_prints prints;
    day_open(&f, "order,image,template\n1,a.png,8x10\n2,a.png,8x10\n3,b.png,8x10\n");
    assert_ok(tw_prints_make(f.arena, f.job, false, &run, &f.report, &prints, &f.error), f.error);
    assert_int_equal(w.total, 3);
    assert_int_equal(w.done, 3);
    w = (watch){.stop_at = 1};
    assert_int_equal(tw_prints_make(f.arena, f.job, false, &run, &f.report, &prints, &f.error),
                     TW_CANCELLED);
    folder_close(&f);
}

/* Reading said so and left the rest out; nothing is said twice. */
static void too_many_prints(void **state) {
    (void)state;
    folder f;
    char orders[1024] = "order,image,template,copies\n";
    for (int i = 0; i < 11; i++)
        strcat(orders, "1,a.png,8x10,10000\n");
    day_open(&f, orders);
    tw_prints prints = day_prints(&f);
    assert_in_range(prints.count, 100000, 100001);
    assert_int_equal(f.report.errors.count, 1);
    assert_error(&f, "orders.csv:12: with this line the copies add up to over 100000 prints");
    folder_close(&f);
}

/* Whichever request fails, the answer is "no memory" and nothing is lost. */
static void memory_runs_out(void **state) {
    (void)state;
    folder f;
    tw_prints prints;
    tw_code code = TW_MEMORY;
    day_open(&f, "order,image,template,copies\n1,a.png,8x10,40\n2,tiny.png,8x10,9\n");
    for (long nth = 1; code == TW_MEMORY; nth++) {
        f.memory.fail_at = 0;
        folder_again(&f);
        assert_ok(folder_load(&f), f.error);
        /* a fresh, small arena, so that requests reach the allocator */
        f.memory.asked = 0;
        f.memory.fail_at = nth;
        tw_arena *small = tw_arena_new(&f.allocator, 0);
        if (small == NULL)
            continue;
        tw_report report;
        tw_report_start(&report, small);
        code = tw_prints_make(small, f.job, false, NULL, &report, &prints, &f.error);
        if (code == TW_OK)
            code = tw_prints_check(small, f.job, &prints, &report, &f.error);
        assert_true(code == TW_MEMORY || (code == TW_OK && nth > 3));
        tw_arena_free(small);
    }
    f.memory.fail_at = 0;
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_do_not_depend_on_the_lines),
        cmocka_unit_test(ids_are_unique),
        cmocka_unit_test(names_that_pieces_have),
        cmocka_unit_test(fillers_are_validated),
        cmocka_unit_test(broken_images),
        cmocka_unit_test(too_big),
        cmocka_unit_test(too_big_once),
        cmocka_unit_test(too_thin_to_trim),
        cmocka_unit_test(too_few_pixels),
        cmocka_unit_test(progress_and_cancel),
        cmocka_unit_test(too_many_prints),
        cmocka_unit_test(memory_runs_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
