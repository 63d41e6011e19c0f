/* The words on what "auto" chose: each image once, a bounded list, shares that tell on which side
 * of the limit they are. */
#include "testing.h"

#include "settle/auto_intent_words.h"

#include <stdio.h>
#include <string.h>

enum { PRINTS = 12 };

typedef struct sample {
    tw_arena *arena;
    tw_order lines[PRINTS];
    tw_print items[PRINTS];
    tw_prints prints;
    char names[PRINTS][16];
    tw_auto_image *images;
    size_t count;
} sample;

/* All on paper 1, perceptual, 10 % and down. */
static void start(sample *s) {
    *s = (sample){.arena = tw_arena_new(NULL, 0)};
    assert_non_null(s->arena);
    for (size_t i = 0; i < PRINTS; i++) {
        snprintf(s->names[i], sizeof s->names[i], "%zu.png", i);
        s->lines[i].image = s->names[i];
        s->items[i] = (tw_print){.line = &s->lines[i],
                                 .paper_index = 1,
                                 .intent = TW_PERCEPTUAL,
                                 .out_of_gamut = 100000 - 1000 * (int64_t)i};
    }
    s->prints = (tw_prints){.items = s->items, .count = PRINTS};
}

static void look(sample *s) {
    assert_int_equal(tw_auto_images(s->arena, &s->prints, 1, &s->images, &s->count, NULL), TW_OK);
}

static void assert_list(const sample *s, tw_intent intent, const char *wanted) {
    tw_buffer out;
    tw_buffer_start(&out, NULL);
    tw_auto_list(&out, ": ", s->images, s->count, intent);
    assert_string_equal(out.bytes == NULL ? "" : out.bytes, wanted);
    tw_buffer_free(&out);
}

static void images_are_named_once(void **state) {
    sample s;
    (void)state;
    start(&s);
    s.items[3] = s.items[0];          /* another copy */
    s.items[1].paper_index = 0;       /* another paper */
    s.items[2].out_of_gamut = -1;     /* the line's own intent */
    s.items[11].intent = TW_RELATIVE; /* the other one, */
    s.items[11].out_of_gamut = 12345; /* by its share */
    s.items[8] = s.items[9] = s.items[10] = s.items[7];
    look(&s);
    assert_list(&s, TW_PERCEPTUAL,
                ": 0.png (10 %), 4.png (9.6 %), 5.png (9.5 %), 6.png (9.4 %), 7.png (9.3 %)");
    assert_list(&s, TW_RELATIVE, ": 11.png (1.2 %)");
    tw_arena_free(s.arena);
}

static void a_long_list_is_cut(void **state) {
    sample s;
    (void)state;
    start(&s);
    look(&s);
    assert_list(&s, TW_PERCEPTUAL,
                ": 0.png (10 %), 1.png (9.9 %), 2.png (9.8 %), 3.png (9.7 %), 4.png (9.6 %), "
                "5.png (9.5 %) and 6 more, in plan.json");
    assert_list(&s, TW_RELATIVE, "");
    tw_arena_free(s.arena);
}

/* Over 5 % and not over it do not read the same. */
static void shares_near_the_limit_are_exact(void **state) {
    sample s;
    (void)state;
    start(&s);
    s.prints.count = 4;
    s.items[0].out_of_gamut = 50001;
    s.items[1].out_of_gamut = 50000;
    s.items[2].out_of_gamut = 49960;
    s.items[3].out_of_gamut = 49400;
    s.items[1].intent = s.items[2].intent = s.items[3].intent = TW_RELATIVE;
    look(&s);
    assert_list(&s, TW_PERCEPTUAL, ": 0.png (5.0001 %)");
    assert_list(&s, TW_RELATIVE, ": 1.png (5 %), 2.png (4.996 %), 3.png (4.9 %)");
    tw_arena_free(s.arena);
}

static void no_terminal_obeys_a_name(void **state) {
    sample s;
    (void)state;
    start(&s);
    s.prints.count = 1;
    s.lines[0].image = "a\033[2Jb.png";
    look(&s);
    assert_list(&s, TW_PERCEPTUAL, ": a?[2Jb.png (10 %)");
    tw_arena_free(s.arena);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(images_are_named_once),
        cmocka_unit_test(a_long_list_is_cut),
        cmocka_unit_test(shares_near_the_limit_are_exact),
        cmocka_unit_test(no_terminal_obeys_a_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
