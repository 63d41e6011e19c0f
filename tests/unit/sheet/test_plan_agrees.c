/*
 * What `check` says of a single print and what the layout does with it must be the same: over
 * seeded draws of papers, templates and images, a print is refused exactly when the layout has
 * no place for it on a fresh paper.
 */
#include "testing.h"

#include "prints/making.h"
#include "sheet/plan_steps.h"

static uint64_t draw_state;

static uint64_t draw(uint64_t below) { /* xorshift, Marsaglia 2003 */
    draw_state ^= draw_state << 13;
    draw_state ^= draw_state >> 7;
    draw_state ^= draw_state << 17;
    return draw_state % below;
}

static tw_nm sixteenths(uint64_t below) {
    return (tw_nm)draw(below) * (TW_IN / 16);
}

/* Often just around each other's size, for there the rules bite. */
static tw_paper draw_paper(void) {
    tw_paper paper = {.name = "any",
                      .kind = draw(3) ? TW_ROLL : TW_SHEETS,
                      .width = 8 * TW_IN + sixteenths(50),
                      .length = 12 * TW_IN + sixteenths(80),
                      .count = 3,
                      .side = sixteenths(6),
                      .lead = sixteenths(6),
                      .tail = sixteenths(6),
                      .edge_trim = draw(3) ? 0 : sixteenths(5),
                      .lost_each_load = draw(3) ? 0 : sixteenths(20),
                      .lost_core_end = draw(3) ? 0 : sixteenths(20),
                      .lost_each_sheet = draw(3) ? 0 : sixteenths(9),
                      .longest_sheet = draw(2) ? 60 * TW_IN : 6 * TW_IN,
                      .turn = (tw_choice)draw(3)};
    return paper;
}

static tw_template draw_template(void) {
    tw_template format = {.name = "any",
                          .size = {8 * TW_IN + sixteenths(24), 12 * TW_IN + sixteenths(24)},
                          .focus_x = 500000,
                          .focus_y = 500000,
                          .fit = draw(2) ? TW_FIT_FILL : TW_FIT_INSIDE,
                          .turn_auto = draw(2) > 0,
                          .lie_upright = draw(3) == 0};
    for (int side = 0; side < 4; side++)
        format.border.side[side] = draw(3) ? sixteenths(12) : 0;
    return format;
}

/* Whether the layout finds a place for this print alone. */
static bool has_a_place(tw_arena *arena, const tw_job_data *job, tw_print *print) {
    tw_prints prints = {.items = print, .count = 1};
    tw_paper_work work;
    tw_error error = {0};
    assert_ok(tw_plan_problem(arena, job, &prints, 0, NULL, &work, &error), error);
    assert_ok(tw_layout_make(arena, &work.problem, &work.layout, &error), error);
    assert_int_equal(work.layout.left_count + work.layout.placed_count, 1);
    return work.layout.left_count == 0;
}

static bool refused(const tw_job_data *job, const tw_print *print) {
    tw_error why = {0};
    if (tw_refuse_size(job, print->line, &print->fit, &why) == TW_OK)
        return false;
    assert_true(strcmp(why.name, "too-big") == 0 || strcmp(why.name, "strip-too-thin") == 0);
    return true;
}

static void refused_when_there_is_no_place(void **state) {
    (void)state;
    size_t places = 0, refusals = 0;
    draw_state = 1910212;
    for (int i = 0; i < 20000; i++) {
        tw_paper paper = draw_paper();
        tw_template format = draw_template();
        tw_image image = {.upright_width = 2000 + (uint32_t)draw(1500),
                          .upright_height = 2000 + (uint32_t)draw(1500)};
        tw_order line = {.image = "a.png", .copies = 1};
        tw_job_data job = {.papers = &paper,
                           .paper_count = 1,
                           .templates = &format,
                           .template_count = 1,
                           .turn = draw(4) > 0,
                           .gutter = sixteenths(4),
                           .trimmer = {.narrowest_strip = draw(3) ? TW_IN / 8 : 0}};
        tw_print print = {.id = "1-1", .line = &line, .format = &format, .image = &image};
        tw_arena *arena = tw_arena_new(NULL, 0);
        assert_non_null(arena);
        if (tw_fit_image(&format, image.upright_width, image.upright_height, &print.fit, NULL) ==
            TW_OK) {
            bool place = has_a_place(arena, &job, &print);
            if (place == refused(&job, &print))
                fail_msg("draw %d: %s by the check, %s by the layout", i,
                         place ? "refused" : "taken", place ? "placed" : "left out");
            places += place;
            refusals += !place;
        }
        tw_arena_free(arena);
    }
    assert_true(places > 2000 && refusals > 2000); /* else the draws are one-sided */
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refused_when_there_is_no_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
