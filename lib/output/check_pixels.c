/*
 * Every image decoded whole, for `check --pixels`: damage that the structure of a file does not
 * show (packed data that is wrong under right check sums, codes that no table holds, a strip of too
 * few rows). One image a thread at a time; what was found is reported in the images' order, so
 * that the answer does not depend on how many threads there were.
 */
#include "output/output.h"

#include <pthread.h>
#include <unistd.h>

#include "output/rows.h"

enum { THREADS_MOST = 16 };

typedef struct checking {
    tw_allocator shared; /* the job's, under the lock: it need not bear several threads */
    const tw_allocator *allocator;
    const tw_image *images;
    size_t count;
    const tw_run *run;
    tw_error *found; /* one an image; code TW_OK: whole */
    pthread_mutex_t lock;
    size_t next;
    bool cancelled;
} checking;

static void *take_locked(void *context, size_t size) {
    checking *c = context;
    (void)pthread_mutex_lock(&c->lock);
    void *block = c->allocator->allocate(c->allocator->context, size);
    (void)pthread_mutex_unlock(&c->lock);
    return block;
}

static void give_locked(void *context, void *block) {
    checking *c = context;
    (void)pthread_mutex_lock(&c->lock);
    c->allocator->release(c->allocator->context, block);
    (void)pthread_mutex_unlock(&c->lock);
}

static tw_code decode(const checking *c, tw_rows *rows, tw_error *error) {
    unsigned char *row = tw_block_new(&c->shared, rows->form.row_bytes);
    tw_code code = row == NULL ? tw_no_memory(error) : TW_OK;
    for (uint32_t y = 0; code == TW_OK && y < rows->form.height; y++)
        code = tw_rows_next(rows, row, error);
    tw_block_free(&c->shared, row);
    return code == TW_OK ? tw_rows_end(rows, error) : code;
}

static void check_image(checking *c, size_t index) {
    tw_rows *rows = NULL;
    tw_error *found = &c->found[index];
    tw_code code = tw_rows_open(&c->shared, &c->images[index], &rows, found);
    if (code == TW_OK)
        code = decode(c, rows, found);
    found->code = code;
    tw_rows_close(rows);
}

/* SIZE_MAX when there is none left. */
static size_t next_image(checking *c) {
    (void)pthread_mutex_lock(&c->lock);
    size_t index = c->next < c->count && !c->cancelled ? c->next++ : SIZE_MAX;
    (void)pthread_mutex_unlock(&c->lock);
    return index;
}

static void *work(void *context) {
    checking *c = context;
    for (size_t i; (i = next_image(c)) != SIZE_MAX;)
        check_image(c, i);
    return NULL;
}

static void look(checking *c) {
    const tw_run *run = c->run;
    if (run == NULL || run->cancelled == NULL || !run->cancelled(run->context))
        return;
    (void)pthread_mutex_lock(&c->lock);
    c->cancelled = true;
    (void)pthread_mutex_unlock(&c->lock);
}

/* The caller's own thread: works as the others do and asks before each image whether to stop. */
static void work_and_look(checking *c) {
    const tw_run *run = c->run;
    look(c);
    for (size_t i; (i = next_image(c)) != SIZE_MAX; look(c)) {
        check_image(c, i);
        if (run != NULL && run->progress != NULL)
            run->progress(run->context, "decoding images", i + 1, c->count);
    }
}

static void work_on_all_cores(checking *c) {
    pthread_t threads[THREADS_MOST];
    long cores = sysconf(_SC_NPROCESSORS_ONLN);
    size_t wanted = cores > THREADS_MOST ? THREADS_MOST : cores < 1 ? 1 : (size_t)cores, count = 0;
    if (wanted > c->count)
        wanted = c->count;
    while (count + 1 < wanted && pthread_create(&threads[count], NULL, work, c) == 0)
        count++;
    work_and_look(c);
    while (count > 0)
        (void)pthread_join(threads[--count], NULL);
}

/* Damage is a finding; want of memory or a failing disk ends the check. */
static tw_code report_found(const checking *c, tw_report *report, tw_error *error) {
    for (size_t i = 0; i < c->count; i++) {
        const tw_error *found = &c->found[i];
        if (found->code == TW_OK)
            continue;
        if (found->code != TW_DAMAGED && found->code != TW_INPUT) {
            if (error != NULL)
                *error = *found;
            return found->code;
        }
        tw_code code = tw_report_error(report, found, error);
        if (code != TW_OK)
            return code;
    }
    return TW_OK;
}

tw_code tw_check_pixels(tw_arena *arena, const tw_image *images, size_t count, const tw_run *run,
                        tw_report *report, tw_error *error) {
    checking c = {.allocator = tw_arena_allocator(arena), .images = images, .count = count};
    c.run = run;
    c.shared = (tw_allocator){take_locked, give_locked, &c};
    c.found = tw_arena_array(arena, count, sizeof *c.found);
    if (c.found == NULL)
        return tw_no_memory(error);
    if (pthread_mutex_init(&c.lock, NULL) != 0)
        return tw_no_memory(error);
    work_on_all_cores(&c);
    (void)pthread_mutex_destroy(&c.lock);
    if (c.cancelled)
        return tw_fail(error, TW_CANCELLED, "cancelled", "stopped while decoding the images");
    return report_found(&c, report, error);
}
