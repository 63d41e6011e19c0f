/* Every part is done once, with any number of threads. */
#include "testing.h"

#include "base/crew.h"

enum { PARTS = 1000 };

static void count_part(void *context, size_t index) {
    int *done = context;
    done[index]++;
}

static void every_part_once(void **state) {
    (void)state;
    static const int threads[] = {-1, 1, 2, 3, 64, 1000};
    for (size_t t = 0; t < sizeof threads / sizeof threads[0]; t++)
        for (size_t count = 0; count <= PARTS; count += 250) {
            int done[PARTS + 1] = {0};
            tw_crew_each(threads[t], count, count_part, done);
            for (size_t i = 0; i <= PARTS; i++)
                assert_int_equal(done[i], i < count);
        }
}

static void a_round_is_done_when_it_ended(void **state) {
    (void)state;
    int done[PARTS] = {0};
    tw_crew_round round = {0};
    tw_crew_end(&round); /* not begun */
    tw_crew_begin(&round, 3, PARTS, count_part, done);
    tw_crew_end(&round);
    tw_crew_end(&round);
    for (size_t i = 0; i < PARTS; i++)
        assert_int_equal(done[i], 1);
}

static void there_is_a_core(void **state) {
    (void)state;
    assert_in_range(tw_crew_cores(), 1, TW_CREW_MOST);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_part_once),
                                       cmocka_unit_test(a_round_is_done_when_it_ended),
                                       cmocka_unit_test(there_is_a_core)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
