/*
 * Fitting an image to a template, against tables computed by hand on paper in inches and in
 * millimetres (plain geometry; the program's own numbers are nowhere used as expectation).
 */
#include "testing.h"

#include "prints/prints.h"

/* Hundred-thousandths of an inch (254 nm) and micrometres: every measure below is exact. */
#define IN(value) ((tw_nm)((value)*100000 + ((value) < 0 ? -0.5 : 0.5)) * 254)
#define MM(value) ((tw_nm)((value)*1000 + ((value) < 0 ? -0.5 : 0.5)) * 1000)

static tw_template format_of(tw_nm width, tw_nm height, tw_nm top, tw_nm right, tw_nm bottom,
                             tw_nm left) {
    tw_template format = {.name = "test",
                          .size = {width, height},
                          .border = {{top, right, bottom, left}},
                          .focus_x = 500000,
                          .focus_y = 500000,
                          .turn_auto = true};
    return format;
}

static tw_fitted fitted(const tw_template *format, uint32_t wide, uint32_t high) {
    tw_fitted fit;
    tw_error error = {0};
    assert_ok(tw_fit_image(format, wide, high, &fit, &error), error);
    return fit;
}

static void assert_rect(tw_rect seen, tw_nm x, tw_nm y, tw_nm width, tw_nm height) {
    assert_int_equal(seen.x, x);
    assert_int_equal(seen.y, y);
    assert_int_equal(seen.width, width);
    assert_int_equal(seen.height, height);
}

static void assert_sides(tw_sides seen, tw_nm top, tw_nm right, tw_nm bottom, tw_nm left) {
    assert_int_equal(seen.side[TW_TOP], top);
    assert_int_equal(seen.side[TW_RIGHT], right);
    assert_int_equal(seen.side[TW_BOTTOM], bottom);
    assert_int_equal(seen.side[TW_LEFT], left);
}

static void assert_size(tw_size seen, tw_nm width, tw_nm height) {
    assert_int_equal(seen.width, width);
    assert_int_equal(seen.height, height);
}

/* Twice as many pixels across as down on the same length: 1200 x 600 of them are a square, seen
 * true. In an 8x10 in with 1 in of border: box 6 x 8, picture 6 x 6, 200 ppi across, 100 down. A
 * long side of 12 in by picture: 600 x 900 pixels are 1 to 3. */
static void test_pixels_that_are_not_square(void **state) {
    (void)state;
    tw_template format = format_of(IN(8), IN(10), IN(1), IN(1), IN(1), IN(1));
    tw_grid grid = {1200, 600, 2, 1};
    tw_fitted fit;
    tw_error error = {0};
    assert_ok(tw_fit_grid(&format, &grid, &fit, &error), error);
    assert_size(fit.size, IN(8), IN(10)); /* a square one turns nothing */
    assert_rect(fit.picture, IN(1), IN(2), IN(6), IN(6));
    assert_int_equal(fit.ppi_x, 200000);
    assert_int_equal(fit.ppi_y, 100000);
    format.by_picture = true;
    format.picture = IN(12);
    grid = (tw_grid){600, 900, 2, 1};
    assert_ok(tw_fit_grid(&format, &grid, &fit, &error), error);
    assert_size(fit.size, IN(6), IN(14));
    assert_rect(fit.picture, IN(1), IN(1), IN(4), IN(12));
    assert_int_equal(fit.ppi_x, 150000);
    assert_int_equal(fit.ppi_y, 75000);
}

/* Seen upright after a quarter turn the axes change places. */
static void test_grid_of_a_turned_image(void **state) {
    (void)state;
    tw_image image = {.orientation = 6, .upright_width = 600, .upright_height = 1200};
    image.aspect_x = 300;
    image.aspect_y = 150;
    tw_grid grid = tw_image_grid(&image);
    assert_int_equal(grid.wide, 600);
    assert_int_equal(grid.across, 150);
    assert_int_equal(grid.down, 300);
    image.aspect_x = image.aspect_y = 0;
    assert_int_equal(tw_image_grid(&image).across, 1);
}

/* Images inside a border all round: nothing is cropped, so whole == picture. */
typedef struct inside_case {
    tw_nm width, height, border[4]; /* as saved; top right bottom left */
    bool turn;
    uint32_t wide, high;
    tw_nm size[2], picture[4];
} inside_case;

static const inside_case inside_cases[] = {
    /* box 7x9; 4:5 image: width decides, 7 x 8.75 */
    {IN(8),
     IN(10),
     {IN(.5), IN(.5), IN(.5), IN(.5)},
     true,
     2400,
     3000,
     {IN(8), IN(10)},
     {IN(.5), IN(.625), IN(7), IN(8.75)}},
    /* the same as a landscape: the print turns, box 9x7 */
    {IN(8),
     IN(10),
     {IN(.5), IN(.5), IN(.5), IN(.5)},
     true,
     3000,
     2400,
     {IN(10), IN(8)},
     {IN(.625), IN(.5), IN(8.75), IN(7)}},
    /* turn never: the landscape lies in the upright box */
    {IN(8),
     IN(10),
     {IN(.5), IN(.5), IN(.5), IN(.5)},
     false,
     3000,
     2400,
     {IN(8), IN(10)},
     {IN(.5), IN(2.2), IN(7), IN(5.6)}},
    /* a landscape format and a portrait image */
    {IN(10),
     IN(8),
     {IN(.5), IN(.5), IN(.5), IN(.5)},
     true,
     2400,
     3000,
     {IN(8), IN(10)},
     {IN(.5), IN(.625), IN(7), IN(8.75)}},
    /* deeper bottom: box 7x8.5, height decides, 6.8 wide */
    {IN(8),
     IN(10),
     {IN(.5), IN(.5), IN(1), IN(.5)},
     true,
     2400,
     3000,
     {IN(8), IN(10)},
     {IN(.6), IN(.5), IN(6.8), IN(8.5)}},
    /* and turned: the bottom stays the bottom, box 9x6.5, 8.125 wide */
    {IN(8),
     IN(10),
     {IN(.5), IN(.5), IN(1), IN(.5)},
     true,
     3000,
     2400,
     {IN(10), IN(8)},
     {IN(.9375), IN(.5), IN(8.125), IN(6.5)}},
    /* four different sides, turned: right stays right. box 9.5x6.25 at .2,.5 -> 7.8125x6.25 */
    {IN(8),
     IN(10),
     {IN(.5), IN(.3), IN(1.25), IN(.2)},
     true,
     3000,
     2400,
     {IN(10), IN(8)},
     {IN(1.04375), IN(.5), IN(7.8125), IN(6.25)}},
    /* a square image never turns the print */
    {IN(8),
     IN(10),
     {IN(.5), IN(.5), IN(.5), IN(.5)},
     true,
     3000,
     3000,
     {IN(8), IN(10)},
     {IN(.5), IN(1.5), IN(7), IN(7)}},
    {IN(10),
     IN(8),
     {IN(.5), IN(.5), IN(.5), IN(.5)},
     true,
     3000,
     3000,
     {IN(10), IN(8)},
     {IN(1.5), IN(.5), IN(7), IN(7)}},
    /* a square print: 2/3 of 8 in = 135 466 666.67 nm, odd nanometre below */
    {IN(10),
     IN(10),
     {IN(1), IN(1), IN(1), IN(1)},
     true,
     3000,
     2000,
     {IN(10), IN(10)},
     {IN(1), 59266666, IN(8), 135466667}},
    /* centimetres: 30x40 cm, 25 mm, 3:2 landscape in 350x250 -> 350x233.333333 mm */
    {MM(300),
     MM(400),
     {MM(25), MM(25), MM(25), MM(25)},
     true,
     6000,
     4000,
     {MM(400), MM(300)},
     {MM(25), 33333333, MM(350), 233333333}},
    /* 13x18 cm, 10 mm, 3:4 in 110x160 -> 110x146.666667 */
    {MM(130),
     MM(180),
     {MM(10), MM(10), MM(10), MM(10)},
     true,
     3000,
     4000,
     {MM(130), MM(180)},
     {MM(10), 16666666, MM(110), 146666667}},
    /* a strip of one pixel height: 100 mm / 10000 = 10 um */
    {MM(120),
     MM(40),
     {MM(10), MM(10), MM(10), MM(10)},
     true,
     10000,
     1,
     {MM(120), MM(40)},
     {MM(10), MM(19.995), MM(100), MM(.01)}},
    /* as thin as it gets: 0.1 mm / 1 000 000 is no nanometre, so one */
    {MM(.3),
     MM(.3),
     {MM(.1), MM(.1), MM(.1), MM(.1)},
     true,
     1000000,
     1,
     {MM(.3), MM(.3)},
     {MM(.1), 149999, MM(.1), 1}},
};

static void images_inside_a_border(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof inside_cases / sizeof *inside_cases; i++) {
        const inside_case *at = &inside_cases[i];
        tw_template format = format_of(at->width, at->height, at->border[0], at->border[1],
                                       at->border[2], at->border[3]);
        format.turn_auto = at->turn;
        tw_fitted fit = fitted(&format, at->wide, at->high);
        const tw_nm *want = at->picture;
        assert_size(fit.size, at->size[0], at->size[1]);
        assert_rect(fit.picture, want[0], want[1], want[2], want[3]);
        assert_rect(fit.whole, want[0], want[1], want[2], want[3]);
        assert_sides(fit.visible, want[1], at->size[0] - want[0] - want[2],
                     at->size[1] - want[1] - want[3], want[0]);
        assert_sides(fit.bleed, 0, 0, 0, 0);
        assert_memory_equal(&fit.border, &format.border, sizeof fit.border);
        assert_false(fit.has_window);
    }
}

/* 2400 / 7 in and 3000 / 8.75 in are both 342.857142...; 3000 px on 10 in are 300. */
static void pixels_per_inch(void **state) {
    (void)state;
    tw_template format = format_of(IN(8), IN(10), IN(.5), IN(.5), IN(.5), IN(.5));
    tw_fitted fit = fitted(&format, 2400, 3000);
    assert_int_equal(fit.ppi_x, 342857);
    assert_int_equal(fit.ppi_y, 342857);
    format = format_of(IN(12), IN(12), IN(1), IN(1), IN(1), IN(1));
    fit = fitted(&format, 3000, 3000);
    assert_int_equal(fit.ppi_x, 300000);
    /* 254 mm are 10 in: 1000 px are 100 ppi; half a thousandth rounds up: 2001/2 = 1000.5 */
    format = format_of(MM(274), MM(274), MM(10), MM(10), MM(10), MM(10));
    assert_int_equal(fitted(&format, 1000, 1000).ppi_y, 100000);
}

/* Borderless, 4:5 on 8x10: the picture runs 1/8 in past every edge, 8.25 x 10.25; the image at
 * 8.25 wide is 10.3125 high and loses 0.03125 above and below. 2400 / 8.25 = 290.909. */
static void borderless_bleeds(void **state) {
    (void)state;
    tw_template format = format_of(IN(8), IN(10), 0, 0, 0, 0);
    tw_fitted fit = fitted(&format, 2400, 3000);
    assert_rect(fit.picture, IN(-.125), IN(-.125), IN(8.25), IN(10.25));
    assert_rect(fit.whole, IN(-.125), IN(-.15625), IN(8.25), IN(10.3125));
    assert_sides(fit.bleed, IN(.125), IN(.125), IN(.125), IN(.125));
    assert_sides(fit.visible, IN(-.125), IN(-.125), IN(-.125), IN(-.125));
    assert_int_equal(fit.ppi_x, 290909);
    assert_int_equal(fit.ppi_y, 290909);
}

/* 2:3 inside 8x10 without border: white at the sides, bleed above and below only.
 * 10 in * 2/3 = 169 333 333.3 nm; with 10.25 high the image is 173 566 666.7 wide. */
static void bleed_only_where_the_trim_is_met(void **state) {
    (void)state;
    tw_template format = format_of(IN(8), IN(10), 0, 0, 0, 0);
    tw_fitted fit = fitted(&format, 2000, 3000);
    assert_rect(fit.picture, 16933333, IN(-.125), 169333333, IN(10.25));
    assert_rect(fit.whole, 14816665, IN(-.125), 173566667, IN(10.25));
    assert_sides(fit.bleed, IN(.125), 0, IN(.125), 0);
    assert_sides(fit.visible, IN(-.125), 16933334, IN(-.125), 16933333);
}

/* An explicit bleed counts on sides without border; 0 asks for none and then nothing is cropped
 * off an image of the print's shape. */
static void explicit_bleed(void **state) {
    (void)state;
    tw_template format = format_of(MM(200), MM(300), 0, 0, MM(40), 0);
    format.fit = TW_FIT_FILL;
    format.has_bleed = true;
    format.bleed = MM(3);
    tw_fitted fit = fitted(&format, 2000, 3000);
    /* 206 x 263; 2:3 at 206 wide is 309 high: 46 to lose, half above */
    assert_rect(fit.picture, MM(-3), MM(-3), MM(206), MM(263));
    assert_rect(fit.whole, MM(-3), MM(-26), MM(206), MM(309));
    assert_sides(fit.bleed, MM(3), MM(3), 0, MM(3));
    assert_sides(fit.visible, MM(-3), MM(-3), MM(40), MM(-3));
    format = format_of(MM(200), MM(300), 0, 0, 0, 0);
    format.has_bleed = true;
    fit = fitted(&format, 2000, 3000);
    assert_rect(fit.whole, 0, 0, MM(200), MM(300));
    assert_sides(fit.visible, 0, 0, 0, 0);
    /* a bleed on a bordered template changes nothing */
    format = format_of(MM(200), MM(300), MM(10), MM(10), MM(10), MM(10));
    format.has_bleed = true;
    format.bleed = MM(3);
    assert_sides(fitted(&format, 3000, 3000).bleed, 0, 0, 0, 0);
}

/* fill: box 7x9, a square image covers it as 9x9; where the focus lies decides what shows.
 * Focus x: left edge of the whole = 4 - focus * 9, held in -1.5 .. 0.5. */
static void focus(void **state) {
    (void)state;
    static const struct {
        int64_t focus;
        tw_nm x;
    } cases[] = {{0, IN(.5)},        {300000, IN(.5)},   {400000, IN(.4)},   {500000, IN(-.5)},
                 {600000, IN(-1.4)}, {700000, IN(-1.5)}, {1000000, IN(-1.5)}};
    tw_template format = format_of(IN(8), IN(10), IN(.5), IN(.5), IN(.5), IN(.5));
    format.fit = TW_FIT_FILL;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        format.focus_x = cases[i].focus;
        format.focus_y = 1000000; /* nothing to choose on this axis */
        tw_fitted fit = fitted(&format, 3000, 3000);
        assert_rect(fit.picture, IN(.5), IN(.5), IN(7), IN(9));
        assert_rect(fit.whole, cases[i].x, IN(.5), IN(9), IN(9));
        assert_sides(fit.visible, IN(.5), IN(.5), IN(.5), IN(.5));
    }
}

/* The same down the print, in mm, turned: 180x130 with 10 mm, box 160x110; a 16:12.. 4:3 image
 * at 160 wide is 120 high: y = 10 + 55 - focus * 120, held in 0 .. 10. */
static void focus_down(void **state) {
    (void)state;
    tw_template format = format_of(MM(130), MM(180), MM(10), MM(10), MM(10), MM(10));
    format.fit = TW_FIT_FILL;
    format.focus_y = 480000;
    tw_fitted fit = fitted(&format, 4000, 3000);
    assert_size(fit.size, MM(180), MM(130));
    assert_rect(fit.picture, MM(10), MM(10), MM(160), MM(110));
    assert_rect(fit.whole, MM(10), MM(7.4), MM(160), MM(120));
    format.focus_y = 0;
    assert_int_equal(fitted(&format, 4000, 3000).whole.y, MM(10));
    format.focus_y = 1000000;
    assert_int_equal(fitted(&format, 4000, 3000).whole.y, 0);
}

/* `picture`: its long side is given, the finished size follows. */
static void by_picture(void **state) {
    (void)state;
    tw_template format = format_of(0, 0, IN(1), IN(1), IN(1.5), IN(1));
    format.by_picture = true;
    format.picture = IN(12);
    tw_fitted fit = fitted(&format, 3000, 2000);
    assert_size(fit.size, IN(14), IN(10.5));
    assert_rect(fit.picture, IN(1), IN(1), IN(12), IN(8));
    fit = fitted(&format, 2000, 3000);
    assert_size(fit.size, IN(10), IN(14.5));
    assert_rect(fit.picture, IN(1), IN(1), IN(8), IN(12));
    fit = fitted(&format, 500, 500);
    assert_size(fit.size, IN(14), IN(14.5));
    /* 100 mm at 3:2.25.. 1000x333: 33.3 mm */
    format = format_of(0, 0, MM(5), MM(5), MM(5), MM(5));
    format.by_picture = true;
    format.picture = MM(100);
    assert_size(fitted(&format, 1000, 333).size, MM(110), MM(43.3));
    /* without border the trim is the picture and the bleed lies outside it */
    format = format_of(0, 0, 0, 0, 0, 0);
    format.by_picture = true;
    format.picture = IN(12);
    fit = fitted(&format, 3000, 2000);
    assert_size(fit.size, IN(12), IN(8));
    assert_rect(fit.picture, IN(-.125), IN(-.125), IN(12.25), IN(8.25));
}

/* A mat window is cut about 1/4 in smaller a side than the print, 8x10 -> 7.5x9.5 in (common
 * practice); over a bordered picture it overlaps the picture or reveals the border. */
static void windows(void **state) {
    (void)state;
    tw_template format = format_of(IN(8), IN(10), 0, 0, 0, 0);
    format.window = TW_WINDOW_OVERLAP;
    format.window_by = IN(.25);
    tw_fitted fit = fitted(&format, 2400, 3000);
    assert_true(fit.has_window);
    assert_size(fit.window, IN(7.5), IN(9.5));
    format = format_of(IN(8), IN(10), IN(.5), IN(.5), IN(.5), IN(.5)); /* picture 7 x 8.75 */
    format.window = TW_WINDOW_OVERLAP;
    format.window_by = IN(.125);
    assert_size(fitted(&format, 2400, 3000).window, IN(6.75), IN(8.5));
    format.window = TW_WINDOW_REVEAL;
    format.window_by = IN(.25);
    assert_size(fitted(&format, 2400, 3000).window, IN(7.5), IN(9.25));
    format.window_by = IN(.5); /* just the print */
    assert_size(fitted(&format, 2400, 3000).window, IN(8), IN(9.75));
}

static void assert_refused(const tw_template *format, uint32_t wide, uint32_t high,
                           const char *name, const char *words) {
    tw_fitted fit;
    tw_error error = {0};
    assert_int_equal(tw_fit_image(format, wide, high, &fit, &error), TW_INPUT);
    assert_string_equal(error.name, name);
    assert_says(error, words);
    assert_int_equal(tw_fit_image(format, wide, high, &fit, NULL), TW_INPUT);
}

static void refusals(void **state) {
    (void)state;
    tw_template format = format_of(IN(8), IN(10), IN(.5), IN(4), IN(.5), IN(4));
    assert_refused(&format, 2400, 3000, "no-room-for-picture", "8 in (203.2 mm)");
    /* room when it turns: 10 - 8 = 2 */
    assert_size(fitted(&format, 3000, 2400).size, IN(10), IN(8));
    format = format_of(MM(5080), MM(5080) + 1, MM(1), MM(1), MM(1), MM(1));
    assert_refused(&format, 10, 10, "too-big", "200 in (5080 mm)");
    format.size.height = MM(5080);
    (void)fitted(&format, 10, 10);
    format.border = (tw_sides){{0, 0, 0, 0}}; /* now the bleed passes the page */
    assert_refused(&format, 10, 10, "too-big", "200 1/4 in (5086.4");
    format = format_of(0, 0, 0, 0, 0, 0);
    format.by_picture = true;
    format.picture = TW_LENGTH_MOST;
    assert_refused(&format, 10, 10, "too-big", "200 in (5080 mm)");
    format = format_of(IN(8), IN(10), IN(.5), IN(.5), IN(.5), IN(.5));
    format.window = TW_WINDOW_OVERLAP;
    format.window_by = IN(3.5);
    assert_refused(&format, 2400, 3000, "window-too-small", "7 in (177.8 mm)");
    format.window = TW_WINDOW_REVEAL;
    format.window_by = IN(.51);
    assert_refused(&format, 2400, 3000, "window-too-large", "8.02 in (203.7 mm)");
    assert_refused(&format, 0, 3000, "empty-image", "no pixels");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_pixels_that_are_not_square),
        cmocka_unit_test(test_grid_of_a_turned_image),
        cmocka_unit_test(images_inside_a_border),
        cmocka_unit_test(pixels_per_inch),
        cmocka_unit_test(borderless_bleeds),
        cmocka_unit_test(bleed_only_where_the_trim_is_met),
        cmocka_unit_test(explicit_bleed),
        cmocka_unit_test(focus),
        cmocka_unit_test(focus_down),
        cmocka_unit_test(by_picture),
        cmocka_unit_test(windows),
        cmocka_unit_test(refusals),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
