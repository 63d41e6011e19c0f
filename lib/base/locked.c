/* See locked.h. */
#include "base/locked.h"

static void *take(void *context, size_t size) {
    tw_locked *own = context;
    (void)pthread_mutex_lock(&own->lock);
    void *block = own->inner->allocate(own->inner->context, size);
    (void)pthread_mutex_unlock(&own->lock);
    return block;
}

static void give(void *context, void *block) {
    tw_locked *own = context;
    (void)pthread_mutex_lock(&own->lock);
    own->inner->release(own->inner->context, block);
    (void)pthread_mutex_unlock(&own->lock);
}

bool tw_locked_begin(tw_locked *locked, const tw_allocator *inner) {
    locked->shared = (tw_allocator){take, give, locked};
    locked->inner = inner;
    return pthread_mutex_init(&locked->lock, NULL) == 0;
}

void tw_locked_end(tw_locked *locked) {
    (void)pthread_mutex_destroy(&locked->lock);
}
