/* The arena: alignment, zeroing, bounds, growth, and that every block comes back. */
#include "base/arena.h"

#include "base/poison.h"
#include "testing.h"

#include <stdalign.h>
#include <sys/wait.h>
#include <unistd.h>

static void pieces_are_aligned_zeroed_and_apart(void **state) {
    (void)state;
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    unsigned char *before = NULL;
    for (size_t size = 0; size < 3000; size += 7) {
        unsigned char *piece = tw_arena_take(arena, size);
        assert_non_null(piece);
        assert_int_equal((uintptr_t)piece % alignof(max_align_t), 0);
        for (size_t i = 0; i < size; i++)
            assert_int_equal(piece[i], 0);
        memset(piece, 0xAA, size); /* would show in a later piece that overlaps */
        assert_true(piece != before);
        before = piece;
    }
    assert_ptr_equal(tw_arena_allocator(arena)->context, &memory);
    tw_arena_free(arena);
    assert_no_leak(memory);
}

/* A big request must not throw away the room left in the small chunk. */
static void a_big_piece_leaves_the_small_chunk_in_use(void **state) {
    (void)state;
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    char *small = tw_arena_take(arena, 16);
    assert_non_null(tw_arena_take(arena, 5 << 20));
    char *next = tw_arena_take(arena, 16);
    assert_ptr_equal(next, small + 16 + TW_RED_ZONE);
    tw_arena_free(arena);
    assert_no_leak(memory);
}

static void the_bound_holds(void **state) {
    (void)state;
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_arena *arena = tw_arena_new(&allocator, 1000);
    assert_non_null(tw_arena_take(arena, 600));
    assert_null(tw_arena_take(arena, 600));
    assert_non_null(tw_arena_take(arena, 300));
    assert_null(tw_arena_take(arena, SIZE_MAX));
    assert_null(tw_arena_take(arena, SIZE_MAX / 2));
    assert_null(tw_arena_array(arena, SIZE_MAX / 8 + 2, 8));
    assert_null(tw_arena_copy(arena, "", SIZE_MAX));
    tw_arena_free(arena);
    tw_arena_free(NULL);
    assert_no_leak(memory);
}

static void texts_are_copied(void **state) {
    (void)state;
    tw_arena *arena = tw_arena_new(NULL, 0);
    char source[] = "8x10\0hidden";
    char *copy = tw_arena_copy(arena, source, sizeof source - 1);
    char *string = tw_arena_string(arena, source);
    source[0] = '9';
    assert_memory_equal(copy, "8x10\0hidden", 12);
    assert_string_equal(string, "8x10");
    assert_null(tw_arena_string(arena, NULL));
    assert_string_equal(tw_arena_print(arena, "sheet-%02d.%s", 3, "pdf"), "sheet-03.pdf");
    tw_arena_free(arena);
}

static void a_growing_array_keeps_its_items(void **state) {
    (void)state;
    tw_arena *arena = tw_arena_new(NULL, 0);
    int *items = NULL;
    size_t room = 0;
    for (size_t count = 0; count < 5000; count++) {
        items = tw_arena_grow(arena, items, count, &room, sizeof *items);
        assert_non_null(items);
        assert_true(room > count);
        items[count] = (int)count * 3;
    }
    for (int i = 0; i < 5000; i++)
        assert_int_equal(items[i], i * 3);
    room = SIZE_MAX / 2 + 1;
    assert_null(tw_arena_grow(arena, items, room, &room, sizeof *items));
    tw_arena_free(arena);
}

static void blocks_grow_and_stay_valid_on_failure(void **state) {
    (void)state;
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    char *block = tw_block_new(&allocator, 4);
    memcpy(block, "abc", 4);
    memory.fail_at = memory.asked + 1;
    assert_null(tw_block_resize(&allocator, block, 4, 400));
    assert_string_equal(block, "abc");
    memory.fail_at = 0;
    block = tw_block_resize(&allocator, block, 4, 400);
    assert_string_equal(block, "abc");
    assert_int_equal(block[399], 0);
    block = tw_block_resize(&allocator, block, 400, 2);
    assert_memory_equal(block, "ab", 2);
    tw_block_free(&allocator, block);
    tw_block_free(&allocator, NULL);
    assert_no_leak(memory);
}

/* Every request fails once: whatever was made comes back, and nothing crashes. */
static void any_request_may_fail(void **state) {
    (void)state;
    bool whole = false;
    for (long n = 1; !whole; n++) {
        test_memory memory = {.fail_at = n};
        tw_allocator allocator = test_allocator(&memory);
        tw_arena *arena = tw_arena_new(&allocator, 0);
        whole = arena != NULL;
        for (int i = 0; i < 40 && arena != NULL; i++)
            whole &= tw_arena_take(arena, 30000) != NULL &&
                     tw_arena_print(arena, "%0*d", 5000, i) != NULL;
        tw_arena_free(arena);
        assert_no_leak(memory);
        assert_true(n < 100);
        assert_true(whole || memory.asked >= n);
    }
}

/* Memory handed out of one array and never taken back. */
typedef struct test_pool {
    unsigned char *bytes;
    size_t size, used;
} test_pool;

static void *pool_allocate(void *context, size_t size) {
    test_pool *pool = context;
    size_t whole = (size + alignof(max_align_t) - 1) / alignof(max_align_t) * alignof(max_align_t);
    if (whole > pool->size - pool->used)
        return NULL;
    pool->used += whole;
    return pool->bytes + pool->used - whole;
}

static void pool_release(void *context, void *block) {
    (void)context;
    (void)block;
}

/* Whether a write at `at` ends the program that does it. */
static bool dies_at(unsigned char *at) {
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        fclose(stderr); /* the report is expected */
        *(volatile unsigned char *)at = 1;
        _exit(0);
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    return !WIFEXITED(status) || WEXITSTATUS(status) != 0;
}

/* Only in builds with AddressSanitizer; others have nothing that could notice. */
static void writing_past_a_piece_ends_the_program(void **state) {
    (void)state;
    if (TW_RED_ZONE == 0)
        skip();
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    const size_t sizes[] = {1, 7, 8, 16, 24, 100, 4096, 3 << 20};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        unsigned char *piece = tw_arena_take(arena, sizes[i]);
        assert_non_null(piece);
        assert_non_null(tw_arena_take(arena, 200)); /* a neighbour that would take the damage */
        assert_false(dies_at(piece + sizes[i] - 1));
        assert_true(dies_at(piece + sizes[i]));
        assert_true(dies_at(piece + sizes[i] + 7));
        assert_true(dies_at(piece + sizes[i] + 15));
    }
    unsigned char *last = tw_arena_take(arena, 16);
    assert_true(dies_at(last + 1000)); /* room that nobody asked for yet */
    assert_true(dies_at(tw_arena_take(arena, 0)));
    tw_arena_free(arena);
    assert_no_leak(memory);
}

/* The allocator gets its chunks back fit for use, whatever it does with them. */
static void a_released_chunk_may_be_used_again(void **state) {
    (void)state;
    static max_align_t store[(64 << 10) / sizeof(max_align_t)];
    test_pool pool = {(unsigned char *)store, sizeof store, 0};
    tw_allocator allocator = {pool_allocate, pool_release, &pool};
    tw_arena *arena = tw_arena_new(&allocator, 0);
    assert_non_null(tw_arena_take(arena, 100));
    tw_arena_free(arena);
    memset(store, 0xAA, sizeof store); /* dies where poison was left */
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pieces_are_aligned_zeroed_and_apart),
        cmocka_unit_test(a_big_piece_leaves_the_small_chunk_in_use),
        cmocka_unit_test(the_bound_holds),
        cmocka_unit_test(texts_are_copied),
        cmocka_unit_test(a_growing_array_keeps_its_items),
        cmocka_unit_test(blocks_grow_and_stay_valid_on_failure),
        cmocka_unit_test(any_request_may_fail),
        cmocka_unit_test(writing_past_a_piece_ends_the_program),
        cmocka_unit_test(a_released_chunk_may_be_used_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
