/* Threads for one round of parts; parts are dealt out by index, no lock is held. */
#include "base/crew.h"

#include <unistd.h>

typedef struct share {
    void (*part)(void *context, size_t index);
    void *context;
    size_t first, step, count;
} share;

int tw_crew_cores(void) {
    long cores = sysconf(_SC_NPROCESSORS_ONLN);
    if (cores < 1)
        return 1;
    return cores < TW_CREW_MOST ? (int)cores : TW_CREW_MOST;
}

static void *work(void *context) {
    const share *mine = context;
    for (size_t i = mine->first; i < mine->count; i += mine->step)
        mine->part(mine->context, i);
    return NULL;
}

void tw_crew_each(int threads, size_t count, void (*part)(void *context, size_t index),
                  void *context) {
    pthread_t others[TW_CREW_MOST];
    share shares[TW_CREW_MOST];
    size_t wanted = threads < 1 ? 1 : threads > TW_CREW_MOST ? TW_CREW_MOST : (size_t)threads;
    size_t crew = wanted < count ? wanted : count;
    size_t started = 0;
    for (size_t i = 0; i < crew; i++)
        shares[i] = (share){part, context, i, crew, count};
    while (started + 1 < crew &&
           pthread_create(&others[started], NULL, work, &shares[started + 1]) == 0)
        started++;
    for (size_t i = started + 1; i < crew; i++)
        work(&shares[i]); /* no thread for these */
    if (crew > 0)
        work(&shares[0]);
    for (size_t i = 0; i < started; i++)
        (void)pthread_join(others[i], NULL);
}

static void *work_round(void *context) {
    const tw_crew_round *round = context;
    tw_crew_each(round->threads, round->count, round->part, round->context);
    return NULL;
}

void tw_crew_begin(tw_crew_round *round, int threads, size_t count,
                   void (*part)(void *context, size_t index), void *context) {
    *round = (tw_crew_round){
        .threads = threads, .count = count, .part = part, .context = context, .open = true};
    round->apart = pthread_create(&round->thread, NULL, work_round, round) == 0;
}

void tw_crew_end(tw_crew_round *round) {
    if (round->open && round->apart)
        (void)pthread_join(round->thread, NULL);
    else if (round->open) /* no thread was to be had */
        work_round(round);
    round->open = false;
}
