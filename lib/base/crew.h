/*
 * Work on all cores: the same function for each of `count` parts, in no particular order. What a
 * part writes must be its own, so that results do not depend on the number of threads.
 */
#ifndef TW_BASE_CREW_H
#define TW_BASE_CREW_H

#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>

/* Processors this machine offers now, 1 to TW_CREW_MOST. */
#define TW_CREW_MOST 64
int tw_crew_cores(void);

/* Calls part(context, 0 .. count - 1), on up to `threads` threads (the caller is one of them), and
 * returns when all are done. Threads that cannot be had are done without. */
void tw_crew_each(int threads, size_t count, void (*part)(void *context, size_t index),
                  void *context);

/* The same while the caller does something else: nothing a part uses may be touched between begin
 * and end. Every begun round is ended. */
typedef struct tw_crew_round {
    int threads;
    size_t count;
    void (*part)(void *context, size_t index);
    void *context;
    pthread_t thread;
    bool open, apart; /* begun and not ended; on a thread of its own */
} tw_crew_round;

void tw_crew_begin(tw_crew_round *round, int threads, size_t count,
                   void (*part)(void *context, size_t index), void *context);
void tw_crew_end(tw_crew_round *round); /* a round that was not begun: nothing */

#endif
