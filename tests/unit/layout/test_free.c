/*
 * What is still free on a day's sheets. By hand: the roll is 24 in wide, 600 in long for 600.00.
 */
#include "layout/free.h"
#include "random_jobs.h"

enum { FORMATS = 2, FREE_MOST = 4000 };

static tw_piece format(tw_nm wide, tw_nm high) {
    return (tw_piece){.width = wide * TW_IN,
                      .height = high * TW_IN,
                      .visible = all_sides(HALF_IN),
                      .group = -1,
                      .alike = -1,
                      .pin_sheet = -1,
                      .image = -1};
}

static void add(laying *l, size_t copies, tw_nm wide, tw_nm high) {
    tw_piece *first = laying_add(l, copies, wide * TW_IN, high * TW_IN, HALF_IN);
    for (size_t i = 0; i < copies; i++)
        first[i].may_turn = false;
}

/* `same[i]` is the format of piece i. */
static void look(laying *l, const size_t *same, tw_free out[FORMATS]) {
    const tw_piece formats[FORMATS] = {format(5, 7), format(8, 10)};
    memset(out, 0, FORMATS * sizeof *out);
    laying_run(l);
    assert_ok(
        tw_free_places(l->arena, &l->problem, &l->layout, formats, FORMATS, same, out, &l->error),
        l->error);
}

/* Two 8x10 leave 8 in: a third, and nothing beside it. Each of two takes 5.00 of paper, each of
 * three 3.33. */
static void a_row_to_complete(void **state) {
    (void)state;
    static const size_t same[] = {1, 1};
    laying l;
    tw_free out[FORMATS];
    laying_start(&l);
    l.problem.stock.price = 60000;
    add(&l, 2, 8, 10);
    look(&l, same, out);
    assert_int_equal(out[1].places, 1);
    assert_int_equal(out[0].places, 0);
    assert_int_equal(out[1].more, 1);
    assert_int_equal(out[1].had, 2);
    assert_int_equal(out[1].saves, 500000 - 333333);
    l.problem.stock.price = 0; /* nobody knows what it would save */
    look(&l, same, out);
    assert_int_equal(out[1].places, 1);
    assert_int_equal(out[1].more, 0);
    laying_end(&l);
}

/* A full row has no room. Beside one 8x9 there are 16 in of 9 in: three 5x7. */
static void small_formats_after_large(void **state) {
    (void)state;
    static const size_t same[] = {SIZE_MAX, SIZE_MAX, SIZE_MAX};
    laying l;
    tw_free out[FORMATS];
    laying_start(&l);
    add(&l, 3, 8, 9);
    look(&l, same, out);
    assert_int_equal(out[0].places + out[1].places, 0);
    l.problem.count = 1;
    look(&l, same, out);
    assert_int_equal(out[1].places, 0); /* 10 in high: too high for a sheet of 9 in */
    assert_int_equal(out[0].places, 3);
    assert_int_equal(out[0].more, 0);
    laying_end(&l);
}

/* What is said to be free is: the same day with so many more of it takes no more paper. */
static void free_means_free(void **state) {
    (void)state;
    static size_t same[FREE_MOST];
    size_t found = 0;
    for (size_t i = 0; i < FREE_MOST; i++)
        same[i] = SIZE_MAX;
    for (uint64_t seed = 1; seed <= 60; seed++) {
        laying l;
        tw_free out[FORMATS];
        random_job(seed, &l, 8);
        look(&l, same, out);
        tw_nm used = l.layout.used;
        size_t before = l.layout.placed_count;
        for (int f = 0; f < FORMATS; f++) {
            found += out[f].places;
            size_t at = l.problem.count;
            laying_add(&l, out[f].places, TW_IN, TW_IN, HALF_IN);
            for (size_t i = 0; i < out[f].places; i++) {
                l.pieces[at + i] = f == 0 ? format(5, 7) : format(8, 10);
                l.pieces[at + i].filler = true;
                l.pieces[at + i].worth = f == 0 ? 1 : 1000; /* the large first, as there */
            }
        }
        laying_run(&l);
        assert_int_equal(l.layout.used, used);
        assert_true(l.layout.placed_count >= before);
        laying_end(&l);
    }
    assert_true(found > 60);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_row_to_complete),
        cmocka_unit_test(small_formats_after_large),
        cmocka_unit_test(free_means_free),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
