/*
 * What the layout is asked: every number of paper, job and print must arrive there under its own
 * name. Each is given a value of its own, so that none can stand for another.
 */
#include "prints/day.h"
#include "sheet/plan_steps.h"

static void write_day(folder *f) {
    folder_json(
        f, "satin.json",
        "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '24in', 'length': '50ft',"
        " 'margins': {'side': '1mm', 'lead': '2mm', 'tail': '3mm'},"
        " 'lost': {'each_sheet': '4mm', 'each_load': '5mm', 'core_end': '6mm'},"
        " 'edge_trim': '7mm', 'cutter': 'hand', 'shortest_sheet': '8in',"
        " 'longest_sheet': '59in', 'price': '129.00 EUR'}");
    folder_json(f, "job.json",
                "{'trimwell': 1, 'name': 'Day', 'papers': ['./satin.json', './box.json'],"
                " 'templates': ['./frames.json'], 'orders': './orders.csv',"
                " 'layout': {'gutter': '9mm'}, 'trimmer': {'narrowest_strip': '10mm'},"
                " 'marks': {'place': 'strip', 'offset': '2mm', 'length': '11mm'}}");
    folder_json(f, "box.json",
                "{'trimwell': 1, 'name': 'box', 'kind': 'sheets', 'width': '13in', 'length': "
                "'19in', 'count': 20, 'turn': false, 'margins': {'side': '1mm', 'lead': '1mm', "
                "'tail': '1mm'}}");
    folder_json(f, "frames.json",
                "{'trimwell': 1, 'templates': ["
                "{'name': 'edge', 'size': '8x10in', 'border': {'top': '20mm', 'right': '21mm', "
                "'bottom': '22mm', 'left': '0in'}, 'bleed': '3mm', 'fit': 'fill'},"
                "{'name': 'up', 'size': '5x7in', 'border': '1/2in', 'lie': 'upright'}]}");
}

static tw_paper_work work_of(folder *f, const char *orders, size_t paper, tw_prints *prints) {
    tw_paper_work work;
    day_open(f, "order,image,template\n");
    write_day(f);
    folder_write(f, "orders.csv", orders);
    folder_again(f);
    assert_ok(folder_load(f), f->error);
    *prints = day_prints(f);
    if (f->report.errors.count > 0)
        print_messages(&f->report.errors);
    assert_int_equal(f->report.errors.count, 0);
    assert_ok(tw_plan_problem(f->arena, f->job, prints, paper, NULL, &work, &f->error), f->error);
    return work;
}

#define ORDERS                                                                                     \
    "order,image,template,paper,copies,due\n1,a.png,edge,satin,1,2027-03-06\n"                     \
    "2,b.png,up,satin,1,\n3,a.png,up,box,2,\n4,b.png,edge,satin,1,2026-12-31\n"

static void the_stock(void **state) {
    (void)state;
    folder f;
    tw_prints prints;
    tw_stock stock = work_of(&f, ORDERS, 0, &prints).problem.stock;
    assert_true(stock.roll && !stock.machine_cuts);
    assert_int_equal(stock.width, 24 * TW_IN);
    assert_int_equal(stock.length, 50 * TW_FT);
    assert_int_equal(stock.side, 1 * TW_MM);
    assert_int_equal(stock.lead, 2 * TW_MM);
    assert_int_equal(stock.tail, 3 * TW_MM);
    assert_int_equal(stock.lost_each_sheet, 4 * TW_MM);
    assert_int_equal(stock.lost_each_load, 5 * TW_MM);
    assert_int_equal(stock.lost_core_end, 6 * TW_MM);
    assert_int_equal(stock.edge_trim, 7 * TW_MM);
    assert_int_equal(stock.shortest_sheet, 8 * TW_IN);
    assert_int_equal(stock.longest_sheet, 59 * TW_IN);
    assert_int_equal(stock.sheet_most, 5080 * TW_MM);
    assert_int_equal(stock.price, 12900);
    folder_close(&f);
    stock = work_of(&f, ORDERS, 1, &prints).problem.stock;
    assert_true(!stock.roll);
    assert_int_equal(stock.count, 20);
    assert_int_equal(stock.length, 19 * TW_IN);
    folder_close(&f);
}

/* Strips: margin, offset (the 3 mm bleed, more than the 2 mm asked) and the mark's 11 mm. */
static void the_settings(void **state) {
    (void)state;
    folder f;
    tw_prints prints;
    tw_layout_settings settings = work_of(&f, ORDERS, 0, &prints).problem.settings;
    assert_int_equal(settings.gutter, 9 * TW_MM);
    assert_int_equal(settings.narrowest_strip, 10 * TW_MM);
    assert_true(settings.turn);
    assert_int_equal(settings.strip_lead, (2 + 3 + 11) * TW_MM);
    assert_int_equal(settings.strip_tail, (3 + 3 + 11) * TW_MM);
    assert_in_range(settings.sheet_bytes_most, 2000000000, 2147483646);
    folder_close(&f);
    settings = work_of(&f, ORDERS, 1, &prints).problem.settings;
    assert_false(settings.turn); /* the paper's own word beats the job's */
    assert_int_equal(settings.strip_lead, (1 + 2 + 11) * TW_MM);
    folder_close(&f);
}

static void the_pieces(void **state) {
    (void)state;
    folder f;
    tw_prints prints;
    tw_paper_work work = work_of(&f, ORDERS, 0, &prints);
    const tw_piece *pieces = work.problem.pieces;
    assert_int_equal(work.problem.count, 3);
    assert_string_equal(work.prints[0]->id, "1-1");
    assert_string_equal(work.prints[2]->id, "4-1");
    assert_int_equal(pieces[0].width, 8 * TW_IN);
    assert_int_equal(pieces[0].height, 10 * TW_IN);
    assert_int_equal(pieces[0].visible.side[TW_RIGHT], 21 * TW_MM);
    assert_int_equal(pieces[0].visible.side[TW_LEFT], -3 * TW_MM);
    assert_int_equal(pieces[0].bleed.side[TW_LEFT], 3 * TW_MM);
    assert_int_equal(pieces[0].bleed.side[TW_TOP], 0);
    assert_int_equal(pieces[2].width, 10 * TW_IN); /* a landscape, upright as viewed */
    assert_true(pieces[0].may_turn && !pieces[1].may_turn);
    assert_int_equal(pieces[0].priority, 20270306);
    assert_int_equal(pieces[1].priority, INT64_MAX); /* not due */
    assert_int_equal(pieces[2].priority, 20261231);
    /* one object for each intent an image is converted with */
    assert_int_equal(pieces[0].image,
                     work.prints[0]->image_index * (TW_ABSOLUTE + 1) + work.prints[0]->intent);
    assert_int_equal(pieces[1].image, pieces[2].image);
    assert_int_not_equal(pieces[0].image, pieces[1].image);
    assert_true(pieces[0].group == -1 && pieces[0].pin_sheet == -1 && !pieces[0].filler);
    folder_close(&f);
}

static int64_t bytes_of(tw_image image) {
    folder f;
    tw_prints prints;
    (void)work_of(&f, "order,image,template,paper\n1,a.png,edge,satin\n", 0, &prints);
    prints.images[0] = image;
    tw_paper_work work;
    assert_ok(tw_plan_problem(f.arena, f.job, &prints, 0, NULL, &work, &f.error), f.error);
    int64_t bytes = work.problem.pieces[0].bytes;
    folder_close(&f);
    return bytes;
}

/* A file that passes through costs itself and its unpacked profile; one that is decoded, at
 * worst its samples and a filter byte a row, deflated into stored blocks. */
static void bytes_on_the_sheet(void **state) {
    (void)state;
    const int64_t most = 200000; /* dictionaries and framing */
    tw_image image = {.format = TW_PNG,
                      .space = TW_RGB,
                      .depth = 8,
                      .width = 1000,
                      .height = 3000,
                      .bytes = 50000000,
                      .profile_length = 1000000};
    assert_in_range(bytes_of(image), 51000000, 51000000 + most);
    image.alpha = true;
    assert_in_range(bytes_of(image), 3001 * 3000 + 1000000, 3001 * 3000 + 1000000 + most);
    image.depth = 16;
    assert_in_range(bytes_of(image), 6001 * 3000 + 1000000, 6001 * 3000 + 1000000 + most);
    image = (tw_image){.format = TW_PNG,
                       .space = TW_RGB,
                       .depth = 2,
                       .palette = true,
                       .interlaced = true,
                       .width = 1000,
                       .height = 1000,
                       .bytes = 10};
    assert_in_range(bytes_of(image), 1001 * 1000, 3001 * 1000 + most);
    image = (tw_image){.format = TW_JPEG,
                       .space = TW_CMYK,
                       .depth = 8,
                       .width = 1000,
                       .height = 1000,
                       .progressive = true,
                       .bytes = 777};
    assert_in_range(bytes_of(image), 777, 777 + most);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_stock),
        cmocka_unit_test(the_settings),
        cmocka_unit_test(the_pieces),
        cmocka_unit_test(bytes_on_the_sheet),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
