/*
 * Temporary files: what is put comes back, nothing is left in the folder, and a program that is
 * started meanwhile does not get the file (POSIX.1-2008, fcntl: FD_CLOEXEC).
 */
#include "testing.h"

#include <fcntl.h>
#include <unistd.h>

#include "base/temporary.h"

static void bytes_come_back(void **state) {
    unsigned char back[5] = {0};
    tw_error error = {0};
    int descriptor = -1;
    (void)state;
    assert_ok(tw_temporary_open(&descriptor, &error), error);
    assert_ok(tw_temporary_put(descriptor, (const unsigned char *)"paper", 5, 3, &error), error);
    assert_int_equal(pread(descriptor, back, 5, 3), 5);
    assert_memory_equal(back, "paper", 5);
    tw_temporary_close(&descriptor);
}

static void no_other_program_gets_it(void **state) {
    tw_error error = {0};
    int descriptor = -1;
    (void)state;
    assert_ok(tw_temporary_open(&descriptor, &error), error);
    assert_int_equal(fcntl(descriptor, F_GETFD) & FD_CLOEXEC, FD_CLOEXEC);
    tw_temporary_close(&descriptor);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bytes_come_back),
        cmocka_unit_test(no_other_program_gets_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
