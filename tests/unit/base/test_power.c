/*
 * Powers in fixed point against long double's powl() (C11 7.12.7.4) and exact values.
 */
#include "testing.h"

#include <math.h>

#include "base/power.h"

static long double real(uint64_t x) {
    return (long double)x / TW_POWER_ONE;
}

static void test_exact_values(void **state) {
    (void)state;
    assert_true(tw_power(TW_POWER_ONE, 22, 10) == TW_POWER_ONE);
    assert_true(tw_power(TW_POWER_ONE / 2, 3, 1) == TW_POWER_ONE / 8);
    assert_true(tw_power(TW_POWER_ONE / 4, 1, 2) == TW_POWER_ONE / 2);
    assert_true(tw_power(TW_POWER_ONE * 4, 3, 2) == TW_POWER_ONE * 8);
    assert_true(tw_power(0, 22, 10) == 0);
    assert_true(tw_power(0, 0, 1) == TW_POWER_ONE);
    assert_true(tw_power(TW_POWER_ONE * 4, 2, 1) == UINT64_MAX); /* 16 does not fit */
    assert_true(tw_power(1, 100, 1) == 0);
}

/* 0.5^2.4 to 20 digits (bc -l: e(2.4*l(0.5))). */
static void test_hand_value(void **state) {
    (void)state;
    assert_true(fabsl(real(tw_power(TW_POWER_ONE / 2, 24, 10)) - 0.18946457081379976L) < 1e-15L);
}

static void test_against_powl(void **state) {
    static const uint32_t powers[][2] = {{12, 5},         {22, 10},    {100000, 45455}, {1, 3},
                                         {157286, 65536}, {9, 1},      {100, 1},        {1, 10},
                                         {65535, 65536},  {7, 2000000}};
    (void)state;
    for (size_t i = 0; i < sizeof powers / sizeof *powers; i++)
        for (uint64_t n = 1; n < 3000; n++) {
            uint64_t x = n * (TW_POWER_ONE / 1500) + n * n * 7919;
            long double wanted = powl(real(x), (long double)powers[i][0] / powers[i][1]);
            uint64_t seen = tw_power(x, powers[i][0], powers[i][1]);
            if (wanted >= 16)
                assert_true(seen == UINT64_MAX || wanted < 16.0001L);
            else if (fabsl(real(seen) - wanted) > (wanted + 1) * 3e-15L)
                fail_msg("%zu, %llu: %.20Lf for %.20Lf", i, (unsigned long long)n, real(seen),
                         wanted);
        }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_exact_values),
        cmocka_unit_test(test_hand_value),
        cmocka_unit_test(test_against_powl),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
