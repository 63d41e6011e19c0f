/* Who converts for the paper, and with which intents where no caption says it. */
#include "testing.h"

#include "proof/strip.h"

enum { COUNT = 15, CELLS = 3 * COUNT };

typedef struct bench {
    tw_arena *arena;
    tw_paper paper;
    tw_job_data job;
    tw_print prints[COUNT];
    tw_strip_subject subjects[COUNT];
    tw_strip_cell cells[CELLS];
    tw_strip strip;
} bench;

static char ids[COUNT][8];

/* Pictures of three cells, as exposures of `intent`. */
static void start(bench *b, tw_intent intent) {
    *b = (bench){.arena = tw_arena_new(NULL, 0), .paper = {.name = "p", .converts = true}};
    b->job = (tw_job_data){.papers = &b->paper, .paper_count = 1};
    for (size_t i = 0; i < COUNT; i++) {
        (void)snprintf(ids[i], sizeof ids[i], "%zu-1", i + 1);
        b->prints[i].id = ids[i];
        b->subjects[i] = (tw_strip_subject){.print = &b->prints[i], .first = i * 3, .count = 3};
    }
    for (size_t i = 0; i < CELLS; i++)
        b->cells[i].intent = intent;
    b->strip = (tw_strip){.job = &b->job,
                          .subjects = b->subjects,
                          .subject_count = COUNT,
                          .cells = b->cells,
                          .cell_count = CELLS};
}

static void set(bench *b, size_t subject, tw_intent intent) {
    for (size_t i = 0; i < 3; i++)
        b->cells[subject * 3 + i].intent = intent;
}

static void assert_intents(bench *b, const char *wanted) {
    assert_string_equal(tw_strip_intents(b->arena, &b->strip), wanted);
}

static void the_path_is_said(void **state) {
    bench b;
    (void)state;
    start(&b, TW_RELATIVE);
    assert_string_equal(tw_strip_print_path(b.arena, &b.strip),
                        "Colour management off in the driver.");
    b.paper.converts = false;
    assert_string_equal(tw_strip_print_path(b.arena, &b.strip),
                        "The driver or print path must convert with the profile of this paper: "
                        "colour management on there.");
    b.paper.profile = "/day/matte.icc";
    assert_string_equal(tw_strip_print_path(b.arena, &b.strip),
                        "The driver or print path must convert with the paper's profile "
                        "matte.icc: colour management on there.");
    assert_intents(&b, "");
    tw_arena_free(b.arena);
}

static void one_intent_is_said_once(void **state) {
    bench b;
    (void)state;
    start(&b, TW_RELATIVE);
    assert_intents(&b, "Rendering intent: relative colorimetric.");
    b.strip.chart.count = 11;
    assert_intents(&b, "Rendering intent: relative colorimetric.");
    tw_arena_free(b.arena);
    start(&b, TW_SATURATION);
    b.strip.chart.count = 11;
    assert_intents(&b, "Rendering intent: saturation; relative colorimetric for the patches.");
    tw_arena_free(b.arena);
}

static void several_are_told_apart(void **state) {
    bench b;
    (void)state;
    start(&b, TW_RELATIVE);
    set(&b, 1, TW_PERCEPTUAL);
    set(&b, 3, TW_SATURATION);
    assert_intents(&b, "Rendering intent: perceptual for 2-1; saturation for 4-1; relative "
                       "colorimetric for the others.");
    for (size_t i = 0; i < COUNT; i++)
        set(&b, i, i < 7 ? TW_PERCEPTUAL : TW_RELATIVE);
    b.strip.chart.count = 11; /* the patches are among the others */
    assert_intents(&b, "Rendering intent: perceptual for 1-1, 2-1, 3-1, 4-1, 5-1, 6-1 and 1 more; "
                       "relative colorimetric for the others.");
    set(&b, 7, TW_PERCEPTUAL);
    b.strip.chart.count = 0;
    assert_intents(&b, "Rendering intent: relative colorimetric for 9-1, 10-1, 11-1, 12-1, 13-1, "
                       "14-1 and 1 more; perceptual for the others.");
    b.strip.chart.count = 11;
    assert_intents(&b, "Rendering intent: relative colorimetric for 9-1, 10-1, 11-1, 12-1, 13-1, "
                       "14-1 and 1 more; perceptual for the others; relative colorimetric for the "
                       "patches.");
    b.strip.subject_count = 14; /* seven each: the patches decide */
    set(&b, 7, TW_RELATIVE);
    assert_intents(&b, "Rendering intent: perceptual for 1-1, 2-1, 3-1, 4-1, 5-1, 6-1 and 1 more; "
                       "relative colorimetric for the others.");
    tw_arena_free(b.arena);
}

/* Cells of several intents have them in their captions; what is not converted has none. */
static void captions_are_not_repeated(void **state) {
    bench b;
    (void)state;
    start(&b, TW_INTENT_UNSET);
    assert_intents(&b, "");
    for (size_t i = 0; i < CELLS; i++)
        b.cells[i].intent = (tw_intent)(TW_PERCEPTUAL + (int)(i % 3));
    assert_intents(&b, "");
    b.strip.chart.count = 11;
    assert_intents(&b, "Rendering intent: relative colorimetric for the patches.");
    tw_arena_free(b.arena);
}

/* With little of it both are there whole or NULL. */
static void memory_may_run_out(void **state) {
    bench b;
    bool whole = false;
    (void)state;
    start(&b, TW_RELATIVE);
    b.paper.profile = "/day/matte.icc";
    for (size_t most = sizeof(void *); !whole; most += 64) {
        tw_arena *arena = tw_arena_new(NULL, most);
        b.paper.converts = true;
        const char *intents = tw_strip_intents(arena, &b.strip);
        assert_true(intents == NULL ||
                    strcmp(intents, "Rendering intent: relative colorimetric.") == 0);
        b.paper.converts = false;
        const char *path = tw_strip_print_path(arena, &b.strip);
        assert_true(path == NULL || strstr(path, "matte.icc: colour management on there.") != NULL);
        whole = intents != NULL && path != NULL;
        tw_arena_free(arena);
    }
    tw_arena_free(b.arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_path_is_said),       cmocka_unit_test(one_intent_is_said_once),
        cmocka_unit_test(several_are_told_apart), cmocka_unit_test(captions_are_not_repeated),
        cmocka_unit_test(memory_may_run_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
