/*
 * One arena a job: plain data lives there and is released in one go.
 * Foreign handles and pixel rows are not put here; they are owned by name.
 */
#ifndef TW_BASE_ARENA_H
#define TW_BASE_ARENA_H

#include "trimwell.h"

typedef struct tw_arena tw_arena;

/* An empty arena on `allocator` (NULL: malloc), refusing to grow past `most` bytes (0: 1 GiB).
 * NULL when there is no memory. */
tw_arena *tw_arena_new(const tw_allocator *allocator, size_t most);
void tw_arena_free(tw_arena *arena);
/* The allocator behind it, for things that are owned by name. Never NULL. */
const tw_allocator *tw_arena_allocator(const tw_arena *arena);
/* Zeroed, aligned for any type; NULL when there is no memory. size 0 gives a valid pointer. */
void *tw_arena_take(tw_arena *arena, size_t size);
/* Zeroed array; NULL also when count * size overflows. */
void *tw_arena_array(tw_arena *arena, size_t count, size_t size);
/* A copy of `length` bytes and an ending NUL. */
char *tw_arena_copy(tw_arena *arena, const char *text, size_t length);
char *tw_arena_string(tw_arena *arena, const char *text); /* NULL for NULL */
/* Printf into the arena; NULL when there is no memory. */
char *tw_arena_print(tw_arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* Make room for one more item in a growing array: returns the array (perhaps moved, doubled) or
 * NULL. `*room` is updated. */
void *tw_arena_grow(tw_arena *arena, void *items, size_t count, size_t *room, size_t item_size);

/* Blocks owned by name, through the same allocator: zeroed, NULL when there is none. */
void *tw_block_new(const tw_allocator *allocator, size_t size);
void tw_block_free(const tw_allocator *allocator, void *block);
/* Grow or shrink a block whose used size is known. The old block stays valid on failure. */
void *tw_block_resize(const tw_allocator *allocator, void *block, size_t old_size, size_t new_size);

#endif
