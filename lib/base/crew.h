/*
 * Work on all cores: the same function for each of `count` parts, in no particular order. What a
 * part writes must be its own, so that results do not depend on the number of threads.
 */
#ifndef TW_BASE_CREW_H
#define TW_BASE_CREW_H

#include <stddef.h>

/* Processors this machine offers now, 1 to TW_CREW_MOST. */
#define TW_CREW_MOST 64
int tw_crew_cores(void);

/* Calls part(context, 0 .. count - 1), on up to `threads` threads (the caller is one of them), and
 * returns when all are done. Threads that cannot be had are done without. */
void tw_crew_each(int threads, size_t count, void (*part)(void *context, size_t index),
                  void *context);

#endif
