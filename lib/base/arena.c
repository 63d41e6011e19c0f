/*
 * The arena: chunks in a chain, filled from the front, released together. A request that is
 * large beside a chunk gets one of its own, so that a big file does not waste the rest of a
 * small chunk. Under AddressSanitizer everything in a chunk is poisoned except the bytes that were
 * asked for, with a red zone behind each piece.
 */
#include "base/arena.h"

#include "base/poison.h"

#include <stdalign.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CHUNK_FIRST = 16 << 10, CHUNK_MOST = 1 << 20, ROOM_FIRST = 8 };

typedef struct chunk {
    struct chunk *next;
    size_t used, size;
    alignas(max_align_t) unsigned char bytes[];
} chunk;

struct tw_arena {
    tw_allocator allocator;
    chunk *chunks; /* the first is the one being filled */
    size_t taken, most, next_size;
};

static void *plain_allocate(void *context, size_t size) {
    (void)context;
    return malloc(size == 0 ? 1 : size);
}

static void plain_release(void *context, void *block) {
    (void)context;
    free(block);
}

static const tw_allocator plain = {plain_allocate, plain_release, NULL};

static const tw_allocator *or_plain(const tw_allocator *allocator) {
    return allocator == NULL ? &plain : allocator;
}

void *tw_block_new(const tw_allocator *allocator, size_t size) {
    const tw_allocator *from = or_plain(allocator);
    void *block = from->allocate(from->context, size == 0 ? 1 : size);
    if (block != NULL)
        memset(block, 0, size);
    return block;
}

void tw_block_free(const tw_allocator *allocator, void *block) {
    const tw_allocator *from = or_plain(allocator);
    if (block != NULL)
        from->release(from->context, block);
}

void *tw_block_resize(const tw_allocator *allocator, void *block, size_t old_size,
                      size_t new_size) {
    void *bigger = tw_block_new(allocator, new_size);
    if (bigger == NULL)
        return NULL;
    if (block != NULL)
        memcpy(bigger, block, old_size < new_size ? old_size : new_size);
    tw_block_free(allocator, block);
    return bigger;
}

tw_arena *tw_arena_new(const tw_allocator *allocator, size_t most) {
    tw_arena *arena = tw_block_new(allocator, sizeof *arena);
    if (arena == NULL)
        return NULL;
    arena->allocator = *or_plain(allocator);
    arena->most = most == 0 ? (size_t)1 << 30 : most;
    arena->next_size = CHUNK_FIRST;
    return arena;
}

void tw_arena_free(tw_arena *arena) {
    if (arena == NULL)
        return;
    tw_allocator allocator = arena->allocator;
    for (chunk *at = arena->chunks; at != NULL;) {
        chunk *next = at->next;
        tw_unpoison(at->bytes, at->size); /* what the allocator does with it is its own affair */
        tw_block_free(&allocator, at);
        at = next;
    }
    tw_block_free(&allocator, arena);
}

const tw_allocator *tw_arena_allocator(const tw_arena *arena) {
    return &arena->allocator;
}

/* A chunk of `size` bytes, counted against the bound. Not linked in yet. */
static chunk *new_chunk(tw_arena *arena, size_t size) {
    if (size > arena->most - arena->taken)
        return NULL;
    /* Not zeroed here: each piece is when it is taken. */
    chunk *made = arena->allocator.allocate(arena->allocator.context, sizeof(chunk) + size);
    if (made == NULL)
        return NULL;
    *made = (chunk){NULL, 0, size};
    tw_poison(made->bytes, size);
    arena->taken += size;
    return made;
}

/* The chunk that has `size` bytes free: the current one, a new current one, or one of its own. */
static chunk *chunk_with(tw_arena *arena, size_t size) {
    chunk *first = arena->chunks;
    if (first != NULL && first->size - first->used >= size)
        return first;
    bool alone = first != NULL && size > arena->next_size / 4;
    size_t want = alone || size > arena->next_size ? size : arena->next_size;
    if (want > arena->most - arena->taken)
        want = size;
    chunk *made = new_chunk(arena, want);
    if (made == NULL)
        return NULL;
    chunk **place = alone ? &first->next : &arena->chunks;
    made->next = *place;
    *place = made;
    if (!alone && arena->next_size < CHUNK_MOST)
        arena->next_size *= 2;
    return made;
}

void *tw_arena_take(tw_arena *arena, size_t size) {
    const size_t step = alignof(max_align_t);
    if (size > SIZE_MAX / 2)
        return NULL;
    size_t whole = (size == 0 ? step : (size + step - 1) / step * step) + TW_RED_ZONE;
    chunk *from = chunk_with(arena, whole);
    if (from == NULL)
        return NULL;
    void *piece = from->bytes + from->used;
    from->used += whole;
    tw_unpoison(piece, size);
    return memset(piece, 0, size);
}

void *tw_arena_array(tw_arena *arena, size_t count, size_t size) {
    if (size != 0 && count > SIZE_MAX / size)
        return NULL;
    return tw_arena_take(arena, count * size);
}

char *tw_arena_copy(tw_arena *arena, const char *text, size_t length) {
    if (length == SIZE_MAX)
        return NULL;
    char *copy = tw_arena_take(arena, length + 1);
    if (copy != NULL && length > 0)
        memcpy(copy, text, length);
    return copy;
}

char *tw_arena_string(tw_arena *arena, const char *text) {
    return text == NULL ? NULL : tw_arena_copy(arena, text, strlen(text));
}

char *tw_arena_print(tw_arena *arena, const char *format, ...) {
    va_list words, again;
    va_start(words, format);
    va_copy(again, words);
    int length = vsnprintf(NULL, 0, format, words);
    char *out = length < 0 ? NULL : tw_arena_take(arena, (size_t)length + 1);
    if (out != NULL)
        vsnprintf(out, (size_t)length + 1, format, again);
    va_end(again);
    va_end(words);
    return out;
}

void *tw_arena_grow(tw_arena *arena, void *items, size_t count, size_t *room, size_t item_size) {
    if (count < *room)
        return items;
    if (*room > SIZE_MAX / 2)
        return NULL;
    size_t wanted = *room == 0 ? ROOM_FIRST : *room * 2;
    void *moved = tw_arena_array(arena, wanted, item_size);
    if (moved == NULL)
        return NULL;
    if (count > 0)
        memcpy(moved, items, count * item_size);
    *room = wanted;
    return moved;
}
