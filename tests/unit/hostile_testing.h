/*
 * Hostile files, for every kind of sample: cut at each of CUTS positions, FLIPS times a random
 * byte changed. Whatever happens is a clean error or a result: nothing crashes (the sanitizers of
 * the dev preset see more), hangs (an alarm ends the program) or takes memory above a limit (an
 * allocator that counts ours; the peak of the whole program, foreign libraries included).
 */
#ifndef TW_HOSTILE_TESTING_H
#define TW_HOSTILE_TESTING_H

#include <sys/resource.h>
#include <unistd.h>

#include "make_image.h"

enum { CUTS = 200, FLIPS = 2000, ALARM_SECONDS = 120, HOSTILE_MEBIBYTES = 1024 };

/* ------------------------------------------------ memory */

typedef struct hostile_memory {
    size_t live, peak;
} hostile_memory;

static inline void *hostile_allocate(void *context, size_t size) {
    hostile_memory *memory = context;
    max_align_t *block = malloc(sizeof *block + size);
    if (block == NULL)
        return NULL;
    memcpy(block, &size, sizeof size);
    memory->live += size;
    memory->peak = memory->live > memory->peak ? memory->live : memory->peak;
    return block + 1;
}

static inline void hostile_release(void *context, void *block) {
    hostile_memory *memory = context;
    size_t size;
    if (block == NULL)
        return;
    memcpy(&size, (max_align_t *)block - 1, sizeof size);
    memory->live -= size;
    free((max_align_t *)block - 1);
}

/* ------------------------------------------------ a reader under test */

/* Reads bytes by way of `path` (or not) and says how it went. */
typedef tw_code hostile_reader(const tw_allocator *allocator, const char *path,
                               const unsigned char *bytes, size_t length, tw_error *error);

typedef struct hostile {
    hostile_reader *read;
    const char *path; /* where broken files are written; NULL: the reader takes bytes */
    size_t most;      /* bytes of ours at a time */
    size_t peak;      /* what was seen */
    uint32_t seed;
    size_t head; /* bytes are changed among so many at the start; 0: anywhere */
    int flips;   /* 0: FLIPS */
} hostile;

static inline tw_code hostile_survive(hostile *h, const unsigned char *bytes, size_t length) {
    hostile_memory memory = {0};
    const tw_allocator allocator = {hostile_allocate, hostile_release, &memory};
    tw_error error = {0};
    if (h->path != NULL)
        write_file(h->path, bytes, length);
    tw_code code = h->read(&allocator, h->path, bytes, length, &error);
    if (code != TW_OK && code != TW_DAMAGED && code != TW_INPUT)
        fail_msg("code %d: %s", code, error.message);
    assert_true(code == TW_OK || (error.message[0] != '\0' && error.name[0] != '\0'));
    assert_int_equal(memory.live, 0);
    h->peak = memory.peak > h->peak ? memory.peak : h->peak;
    if (memory.peak > h->most)
        fail_msg("%zu bytes at a time, at most %zu are allowed", memory.peak, h->most);
    return code;
}

/* A small generator of our own: the same changes on every machine. */
static inline uint32_t hostile_next(uint32_t *seed) {
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 8;
}

/* Cut `whole` at CUTS places, the last one byte before its end: how many were taken for whole. */
static inline int hostile_cut(hostile *h, const unsigned char *whole, size_t length) {
    int taken = 0;
    (void)alarm(ALARM_SECONDS);
    for (size_t k = 0; k < CUTS; k++)
        taken += hostile_survive(h, whole, k * (length - 1) / (CUTS - 1)) == TW_OK;
    (void)alarm(0);
    return taken;
}

/* Change one random byte, FLIPS times, to any other value: how many were taken. */
static inline int hostile_flip(hostile *h, unsigned char *bytes, size_t length) {
    int taken = 0;
    (void)alarm(ALARM_SECONDS);
    for (int k = 0; k < (h->flips > 0 ? h->flips : FLIPS); k++) {
        size_t at = hostile_next(&h->seed) % (h->head > 0 ? h->head : length);
        unsigned char was = bytes[at];
        bytes[at] ^= (unsigned char)(1 + hostile_next(&h->seed) % 255);
        taken += hostile_survive(h, bytes, length) == TW_OK;
        bytes[at] = was;
    }
    (void)alarm(0);
    return taken;
}

/* The peak of the whole program. The sanitizer's own is in it: 256 MiB of freed blocks kept to
 * catch their use, and its shadow. */
static inline void hostile_say(const hostile *h) {
    struct rusage usage;
    assert_int_equal(getrusage(RUSAGE_SELF, &usage), 0);
    long mebibytes = usage.ru_maxrss / 1024;
    print_message("%zu bytes of ours at a time, the whole program %ld MiB\n", h->peak, mebibytes);
    assert_true(mebibytes < HOSTILE_MEBIBYTES);
}

#endif
