/*
 * What every unit test needs: cmocka's headers in the order it wants, an allocator that counts
 * (leak check) and can fail the nth request, and short words for common checks.
 */
#ifndef TW_TESTING_H
#define TW_TESTING_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "trimwell.h"

/* Counts blocks; fails request number `fail_at` (1 = the next) and all after it when > 0. */
typedef struct test_memory {
    long live, asked, fail_at;
} test_memory;

static inline void *test_allocate(void *context, size_t size) {
    test_memory *memory = context;
    memory->asked++;
    if (memory->fail_at > 0 && memory->asked >= memory->fail_at)
        return NULL;
    void *block = malloc(size == 0 ? 1 : size);
    memory->live += block != NULL;
    return block;
}

static inline void test_release(void *context, void *block) {
    test_memory *memory = context;
    memory->live -= block != NULL;
    free(block);
}

static inline tw_allocator test_allocator(test_memory *memory) {
    return (tw_allocator){test_allocate, test_release, memory};
}

#define assert_no_leak(memory) assert_int_equal((memory).live, 0)
#define assert_ok(call, error)                                                                     \
    do {                                                                                           \
        if ((call) != TW_OK)                                                                       \
            fail_msg("%s: %s", #call, (error).message);                                            \
    } while (0)
#define assert_says(error, words)                                                                  \
    do {                                                                                           \
        if (strstr((error).message, words) == NULL)                                                \
            fail_msg("message \"%s\" does not say \"%s\"", (error).message, words);                \
    } while (0)

#endif
