/* Images dealt out to threads, one after the other (see each_image.h). */
#include "image/each_image.h"

#include <pthread.h>

#include "base/crew.h"
#include "base/locked.h"

enum { THREADS_MOST = 16 };

typedef struct dealing {
    tw_locked memory;
    size_t count;
    const tw_run *run;
    tw_image_work *work;
    void *context;
    pthread_mutex_t lock;
    size_t next;
    bool cancelled;
} dealing;

/* SIZE_MAX when there is none left. */
static size_t next_image(dealing *d) {
    (void)pthread_mutex_lock(&d->lock);
    size_t index = d->next < d->count && !d->cancelled ? d->next++ : SIZE_MAX;
    (void)pthread_mutex_unlock(&d->lock);
    return index;
}

static void *work(void *context) {
    dealing *d = context;
    for (size_t i; (i = next_image(d)) != SIZE_MAX;)
        d->work(d->context, &d->memory.shared, i);
    return NULL;
}

static void look(dealing *d) {
    const tw_run *run = d->run;
    if (run == NULL || run->cancelled == NULL || !run->cancelled(run->context))
        return;
    (void)pthread_mutex_lock(&d->lock);
    d->cancelled = true;
    (void)pthread_mutex_unlock(&d->lock);
}

/* The caller's own thread: works as the others do and asks before each image whether to stop. */
static void work_and_look(dealing *d) {
    const tw_run *run = d->run;
    look(d);
    for (size_t i; (i = next_image(d)) != SIZE_MAX; look(d)) {
        d->work(d->context, &d->memory.shared, i);
        if (run != NULL && run->progress != NULL)
            run->progress(run->context, "decoding images", i + 1, d->count);
    }
}

static void work_on_all_cores(dealing *d) {
    pthread_t threads[THREADS_MOST];
    size_t cores = (size_t)tw_crew_cores(), count = 0;
    size_t wanted = cores > THREADS_MOST ? THREADS_MOST : cores;
    if (wanted > d->count)
        wanted = d->count;
    while (count + 1 < wanted && pthread_create(&threads[count], NULL, work, d) == 0)
        count++;
    work_and_look(d);
    while (count > 0)
        (void)pthread_join(threads[--count], NULL);
}

tw_code tw_each_image(const tw_allocator *allocator, size_t count, const tw_run *run,
                      tw_image_work *to_do, void *context, tw_error *error) {
    dealing d = {.count = count, .run = run, .work = to_do, .context = context};
    if (!tw_locked_begin(&d.memory, allocator))
        return tw_no_memory(error);
    bool ready = pthread_mutex_init(&d.lock, NULL) == 0;
    if (ready) {
        work_on_all_cores(&d);
        (void)pthread_mutex_destroy(&d.lock);
    }
    tw_locked_end(&d.memory);
    if (!ready)
        return tw_no_memory(error);
    if (d.cancelled)
        return tw_fail(error, TW_CANCELLED, "cancelled", "stopped while decoding the images");
    return TW_OK;
}
