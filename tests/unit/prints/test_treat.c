/*
 * What is done to the pixels of prints, worked out by hand: a.png is 2400 x 3000, its picture in
 * an 8x10 with 1/2 in of border 7 x 8.75 in, so 342.86 ppi; in a 12x18 with 1 in 10 x 12.5, 240.
 */
#include "prints/day.h"
#include "prints/making.h"

static void with(folder *f, const char *orders, const char *job, const char *paper,
                 const char *format) {
    char text[2000];
    folder_again(f);
    snprintf(text, sizeof text,
             "{'trimwell': 1, 'name': 'Day', 'papers': ['./satin.json'], 'templates': "
             "['./frames.json'], 'orders': './orders.csv'%s}",
             job);
    folder_json(f, "job.json", text);
    snprintf(text, sizeof text,
             "{'trimwell': 1, 'name': 'satin', 'kind': 'roll', 'width': '24in', 'length': '50ft', "
             "'margins': {'side': '1/4in', 'lead': '0in', 'tail': '0in'}%s}",
             paper);
    folder_json(f, "satin.json", text);
    snprintf(
        text, sizeof text,
        "{'trimwell': 1, 'templates': [{'name': '8x10', 'size': '8x10in', 'border': '1/2in'%s},"
        "{'name': '12x18', 'size': '12x18in', 'border': '1in'}]}",
        format);
    folder_json(f, "frames.json", text);
    folder_write(f, "orders.csv", orders);
    assert_ok(folder_load(f), f->error);
}

#define ONE "order,image,template\n1,a.png,8x10\n"

static void expect(folder *f, const char *job, const char *paper, const char *format,
                   uint32_t width, uint32_t height) {
    with(f, ONE, job, paper, format);
    tw_prints prints = day_prints(f);
    assert_clean(f);
    assert_int_equal(prints.count, 1);
    assert_int_equal(prints.items[0].treat.width, width);
    assert_int_equal(prints.items[0].treat.height, height);
    assert_ptr_equal(prints.items[0].image, &prints.images[prints.items[0].image_index]);
    assert_int_equal(prints.items[0].image->treat.width, width);
    assert_int_equal(prints.images[0].treat.width, 0); /* the file's own entry stays plain */
}

static void reduced_and_enlarged(void **state) {
    folder f;
    (void)state;
    day_open(&f, ONE);
    expect(&f, "", "", "", 0, 0);
    expect(&f, ", 'resolution': {'limit_ppi': 300}", "", "", 2100, 2625);
    expect(&f, ", 'resolution': {'limit_ppi': 343}", "", "", 0, 0);
    expect(&f, ", 'resolution': {'enlarge_to_ppi': 600}", "", "", 4200, 5250);
    expect(&f, ", 'resolution': {'enlarge_to_ppi': 342}", "", "", 0, 0);
    expect(&f, ", 'resolution': {'limit_ppi': 'off'}", "", "", 0, 0);
    folder_close(&f);
}

/* The template goes before the paper, the paper before the job; "off" is a word like others. */
static void who_says_it(void **state) {
    folder f;
    (void)state;
    day_open(&f, ONE);
    expect(&f, ", 'resolution': {'limit_ppi': 300}", ", 'resolution': {'limit_ppi': 200}", "", 1400,
           1750);
    expect(&f, ", 'resolution': {'limit_ppi': 300}", ", 'resolution': {'limit_ppi': 200}",
           ", 'resolution': {'limit_ppi': 100}", 700, 875);
    expect(&f, ", 'resolution': {'limit_ppi': 300}", ", 'resolution': {'limit_ppi': 'off'}", "", 0,
           0);
    expect(&f, ", 'resolution': {'limit_ppi': 300}", "", ", 'resolution': {'limit_ppi': 'off'}", 0,
           0);
    /* said at different places the limit holds */
    expect(&f, ", 'resolution': {'enlarge_to_ppi': 600}", ", 'resolution': {'limit_ppi': 400}", "",
           2800, 3500);
    folder_close(&f);
}

static void sharpened(void **state) {
    folder f;
    (void)state;
    day_open(&f, ONE);
    with(&f, ONE, ", 'sharpen': {'radius': '0.3mm', 'amount': 0.6, 'threshold': 2}", "", "");
    tw_prints prints = day_prints(&f);
    assert_clean(&f);
    const tw_print *print = &prints.items[0];
    assert_int_equal(print->sharpen.asked, TW_YES);
    assert_int_equal(print->treat.width, 0);
    /* 0.3 mm x 2400 pixels / 177.8 mm */
    assert_int_equal(print->treat.radius_x, 4049494);
    assert_int_equal(print->treat.radius_y, 4049494);
    assert_int_equal(print->treat.amount, 600);
    assert_int_equal(print->treat.threshold, 2);
    with(&f, ONE, ", 'sharpen': {'radius': '0.3mm', 'amount': 0.6}", ", 'sharpen': 'off'", "");
    prints = day_prints(&f);
    assert_int_equal(prints.items[0].treat.amount, 0);
    with(&f, ONE, ", 'sharpen': 'off'", "", ", 'sharpen': {'radius': '0.1mm', 'amount': 2}");
    prints = day_prints(&f);
    assert_int_equal(prints.items[0].treat.amount, 2000);
    folder_close(&f);
}

/* Two sizes of one file are two images, copies and equal sizes share one. */
static void each_treatment_is_an_image(void **state) {
    folder f;
    (void)state;
    day_open(&f, ONE);
    with(&f,
         "order,image,template,copies\n1,a.png,8x10,3\n2,a.png,12x18,1\n3,a.png,8x10,1\n"
         "4,b.png,12x18,1\n",
         ", 'resolution': {'limit_ppi': 300}", "", "");
    tw_prints prints = day_prints(&f);
    assert_clean(&f);
    assert_int_equal(prints.count, 6);
    assert_int_equal(prints.image_count, 3); /* a, b, a at 300 ppi */
    for (size_t i = 0; i < prints.count; i++) {
        bool small = strcmp(prints.items[i].format->name, "8x10") == 0;
        bool b = strcmp(prints.items[i].line->image, "b.png") == 0;
        assert_int_equal(prints.items[i].image_index, b ? 1 : small ? 2 : 0);
        assert_int_equal(prints.items[i].image->treat.width, small ? 2100 : 0);
    }
    folder_close(&f);
}

/* The treatment lies along the stored axes. */
static void turned_images(void **state) {
    folder f;
    (void)state;
    day_open(&f, ONE);
    with(&f, ONE, ", 'resolution': {'limit_ppi': 300}", "", "");
    tw_prints prints = day_prints(&f);
    tw_image image = *prints.items[0].image;
    tw_print print = prints.items[0];
    image.orientation = 6;
    print.image = &image;
    print.treat = (tw_treat){0};
    assert_ok(tw_print_treat(f.job, &print, &f.error), f.error);
    assert_int_equal(print.treat.width, 2625);
    assert_int_equal(print.treat.height, 2100);
    folder_close(&f);
}

static void refused(void **state) {
    folder f;
    (void)state;
    day_open(&f, ONE);
    with(&f, ONE, ", 'limits': {'pixels': 7200000}, 'resolution': {'enlarge_to_ppi': 400}", "", "");
    (void)day_prints(&f);
    assert_error(&f, "orders.csv:2: image \"a.png\" would be enlarged to 2800 x 3500 pixels; "
                     "limits.pixels allows 7200000");
    with(&f, ONE, ", 'limits': {'pixels': 7199999}", "", "");
    (void)day_prints(&f);
    assert_error(&f, "orders.csv:2: image \"a.png\": it is 2400 x 3000 = 7200000 pixels, "
                     "limits.pixels allows 7199999");
    with(&f, "order,image,template\n1,plain.png,8x10\n", ", 'limits': {'decoded': '20 MiB'}", "",
         "");
    (void)day_prints(&f);
    assert_error(&f, "image \"plain.png\": its 2400 x 3000 pixels are 20.6 MiB when decoded, "
                     "limits.decoded allows 20 MiB");
    with(&f, ONE,
         ", 'resolution': {'enlarge_to_ppi': 2000}, 'sharpen': {'radius': '1mm', 'amount': 1}", "",
         "");
    (void)day_prints(&f);
    assert_error(&f, "sharpening image \"a.png\" with a radius of 0.039 in (1 mm) would reach over "
                     "78 pixels; it may be 64");
    folder_close(&f);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reduced_and_enlarged),
        cmocka_unit_test(who_says_it),
        cmocka_unit_test(sharpened),
        cmocka_unit_test(each_treatment_is_an_image),
        cmocka_unit_test(turned_images),
        cmocka_unit_test(refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
