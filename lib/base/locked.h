/*
 * An allocator for several threads over one that need not bear them (a job's): each call under a
 * lock.
 */
#ifndef TW_BASE_LOCKED_H
#define TW_BASE_LOCKED_H

#include <pthread.h>

#include "trimwell.h"

typedef struct tw_locked {
    tw_allocator shared; /* for any thread, while *locked stays where it is */
    const tw_allocator *inner;
    pthread_mutex_t lock;
} tw_locked;

/* False when no lock is to be had. Every one that began is ended, by one thread, when none of the
 * others uses it any more. */
bool tw_locked_begin(tw_locked *locked, const tw_allocator *inner);
void tw_locked_end(tw_locked *locked);

#endif
