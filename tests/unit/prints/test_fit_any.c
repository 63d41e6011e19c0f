/*
 * What holds for every fit, whatever the image and the template, over many seeded draws. The
 * checks are written from the design's sentences and use none of the fit's own functions.
 */
#include "testing.h"

#include "prints/prints.h"

#define DRAWS 200000

/* A fixed sequence (xorshift, Marsaglia 2003): the same cases on every machine. */
static uint64_t draw_state;

static uint64_t draw(uint64_t below) {
    draw_state ^= draw_state << 13;
    draw_state ^= draw_state >> 7;
    draw_state ^= draw_state << 17;
    return draw_state % below;
}

static tw_nm draw_length(void) {
    return draw(3) == 0 ? (tw_nm)draw(64) * TW_IN / 64 : (tw_nm)draw(30) * TW_MM + (tw_nm)draw(3);
}

static tw_template draw_template(void) {
    tw_template format = {.name = "any",
                          .size = {1 + (tw_nm)draw(1500) * TW_MM, 1 + (tw_nm)draw(1500) * TW_MM},
                          .focus_x = (int64_t)draw(1000001),
                          .focus_y = (int64_t)draw(1000001),
                          .fit = draw(2) ? TW_FIT_FILL : TW_FIT_INSIDE,
                          .turn_auto = draw(4) > 0,
                          .has_bleed = draw(2) > 0,
                          .bleed = (tw_nm)draw(6) * TW_MM,
                          .by_picture = draw(4) == 0,
                          .picture = 1 + (tw_nm)draw(1500) * TW_MM};
    bool bare = draw(3) == 0;
    for (int side = 0; side < 4; side++)
        format.border.side[side] = bare || draw(5) == 0 ? 0 : draw_length();
    return format;
}

static uint32_t draw_pixels(void) {
    return (uint32_t)(1 + (draw(5) == 0 ? draw(1000000) : draw(8000)));
}

/* The picture runs past the trim by the bleed and no further, and keeps to the border. */
static void check_picture(const tw_template *format, const tw_fitted *fit) {
    tw_rect trim = {0, 0, fit->size.width, fit->size.height};
    tw_nm room[4] = {fit->picture.y, trim.width - tw_rect_right(fit->picture),
                     trim.height - tw_rect_bottom(fit->picture), fit->picture.x};
    assert_true(fit->picture.width > 0 && fit->picture.height > 0);
    for (int side = 0; side < 4; side++) {
        tw_nm border = format->border.side[side], bleed = fit->bleed.side[side];
        assert_int_equal(fit->visible.side[side], room[side]);
        assert_true(bleed >= 0 && room[side] >= -bleed);
        if (border > 0) {
            assert_int_equal(bleed, 0);
            assert_true(room[side] >= border);
        } else if (room[side] <= 0) { /* it meets the trim, so it runs over */
            assert_int_equal(bleed, format->has_bleed ? format->bleed : TW_IN / 8);
            assert_int_equal(room[side], -bleed);
        } else {
            assert_int_equal(bleed, 0);
        }
    }
}

static void assert_apart_at_most(int64_t a, int64_t b, int64_t most) {
    assert_true((a > b ? a - b : b - a) <= most);
}

/* The whole image covers the picture, just, and keeps its shape to the nanometre a pixel. */
static void check_whole(const tw_fitted *fit, int64_t wide, int64_t high) {
    assert_true(tw_rect_inside(fit->picture, fit->whole));
    assert_true(fit->whole.width == fit->picture.width || fit->whole.height == fit->picture.height);
    /* width / height = wide / high: exact in one side's nanometre, one of rounding */
    tw_nm width = tw_scale(fit->whole.height, wide, high);
    tw_nm height = tw_scale(fit->whole.width, high, wide);
    assert_true(llabs(width - fit->whole.width) <= 1 + wide / high ||
                llabs(height - fit->whole.height) <= 1 + high / wide);
    assert_int_equal(fit->ppi_x, tw_scale(wide, 25400000000, fit->whole.width));
    assert_int_equal(fit->ppi_y, tw_scale(high, 25400000000, fit->whole.height));
}

/* `inside` fills its box one way and is centred the other; a quarter of a bleedless picture is
 * not cropped at all. */
static void check_inside(const tw_template *format, const tw_fitted *fit) {
    const tw_nm *border = format->border.side, *bleed = fit->bleed.side;
    tw_nm left = fit->picture.x + bleed[TW_LEFT] - border[TW_LEFT];
    tw_nm top = fit->picture.y + bleed[TW_TOP] - border[TW_TOP];
    tw_nm right =
        fit->size.width - border[TW_RIGHT] + bleed[TW_RIGHT] - tw_rect_right(fit->picture);
    tw_nm bottom =
        fit->size.height - border[TW_BOTTOM] + bleed[TW_BOTTOM] - tw_rect_bottom(fit->picture);
    assert_true((left == 0 && right == 0) || (top == 0 && bottom == 0));
    assert_true(right - left == 0 || right - left == 1);
    assert_true(bottom - top == 0 || bottom - top == 1);
    if (bleed[0] + bleed[1] + bleed[2] + bleed[3] == 0)
        assert_memory_equal(&fit->whole, &fit->picture, sizeof fit->whole);
}

/* The focus lies at the picture's centre, or the image's edge at the picture's. */
static void check_focus(tw_nm start, tw_nm part, tw_nm from, tw_nm whole, int64_t focus) {
    tw_nm off = from + tw_scale(whole, focus, 1000000) - (start + part / 2);
    bool low_edge = from == start, high_edge = from + whole == start + part;
    assert_true(off == 0 || (off < 0 && low_edge) || (off > 0 && high_edge));
}

static void check_size(const tw_template *format, const tw_fitted *fit, int64_t wide,
                       int64_t high) {
    tw_size size = format->size;
    if (format->by_picture) {
        tw_nm across = fit->size.width - format->border.side[1] - format->border.side[3];
        tw_nm down = fit->size.height - format->border.side[0] - format->border.side[2];
        assert_int_equal(across > down ? across : down, format->picture);
        assert_true(wide >= high ? across >= down : across <= down);
        assert_apart_at_most(
            tw_scale(format->picture, wide < high ? wide : high, wide < high ? high : wide),
            across < down ? across : down, 1);
        return;
    }
    bool turned = size.width != fit->size.width || size.height != fit->size.height;
    if (turned) {
        assert_int_equal(size.width, fit->size.height);
        assert_int_equal(size.height, fit->size.width);
        assert_true(format->turn_auto);
    }
    if (format->turn_auto && wide != high && size.width != size.height)
        assert_true((fit->size.width > fit->size.height) == (wide > high));
}

static void every_fit(void **state) {
    (void)state;
    size_t made = 0;
    draw_state = 20270306;
    for (int i = 0; i < DRAWS; i++) {
        tw_template format = draw_template();
        uint32_t wide = draw_pixels(), high = draw(9) == 0 ? wide : draw_pixels();
        tw_fitted fit;
        if (tw_fit_image(&format, wide, high, &fit, NULL) != TW_OK)
            continue;
        made++;
        check_size(&format, &fit, wide, high);
        check_picture(&format, &fit);
        check_whole(&fit, wide, high);
        if (format.fit == TW_FIT_INSIDE)
            check_inside(&format, &fit);
        if (memcmp(&fit.whole, &fit.picture, sizeof fit.whole) == 0)
            continue;
        check_focus(fit.picture.x, fit.picture.width, fit.whole.x, fit.whole.width, format.focus_x);
        check_focus(fit.picture.y, fit.picture.height, fit.whole.y, fit.whole.height,
                    format.focus_y);
    }
    assert_true(made > DRAWS * 9 / 10); /* else the draws test nothing */
}

/* Four quarter turns are none, and a turned rectangle keeps its distances to the turned sides. */
static void turns_go_round(void **state) {
    (void)state;
    draw_state = 5101;
    for (int i = 0; i < 20000; i++) {
        tw_size size = {(tw_nm)draw(900) + 1, (tw_nm)draw(900) + 1};
        tw_rect r = {(tw_nm)draw(900) - 99, (tw_nm)draw(900) - 99, (tw_nm)draw(99) + 1,
                     (tw_nm)draw(99) + 1};
        tw_sides room = {
            {r.y, size.width - tw_rect_right(r), size.height - tw_rect_bottom(r), r.x}};
        tw_rect turned = tw_rect_turned(r, size);
        tw_sides its = tw_sides_turned(room);
        assert_int_equal(turned.y, its.side[TW_TOP]);
        assert_int_equal(turned.x, its.side[TW_LEFT]);
        assert_int_equal(size.height - tw_rect_right(turned), its.side[TW_RIGHT]);
        assert_int_equal(size.width - tw_rect_bottom(turned), its.side[TW_BOTTOM]);
        tw_size other = {size.height, size.width};
        tw_rect back = tw_rect_turned(tw_rect_turned(tw_rect_turned(turned, other), size), other);
        assert_memory_equal(&back, &r, sizeof r);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_fit),
        cmocka_unit_test(turns_go_round),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
