/*
 * Decoded rows packed again for FlateDecode with Predictor 15 (ISO 32000-1 7.4.4.4), on all cores.
 *
 * Rows are gathered into blocks. Each block is filtered and deflated by itself (flate_pack.c), with
 * the last 32 KiB of the block before as what it may look back to; the results, joined in order
 * between a zlib header and a check sum (RFC 1950), are one stream. Where a block ends depends on
 * the rows' length alone, so the bytes are the same for any number of threads.
 *
 * The blocks go round a ring of slots. The caller's thread fills a slot with rows, a worker packs
 * it, the caller takes the bytes out. The caller is a worker as well: when the ring is full it
 * packs the next block itself. Threads begin with the second block: a small picture is packed where
 * it is. All memory is asked for by the caller's thread.
 */
#include "pixels/flate.h"
#include "pixels/flate_pack.h"

#include <pthread.h>
#include <string.h>
#include <unistd.h>

enum { BLOCK_BYTES = 512 << 10, WORKERS_MOST = 16, SLOTS_MORE = 2 };
enum { HEADER = 2, TRAILER = 4 };
enum { SLOTS_MOST = WORKERS_MOST + SLOTS_MORE };

typedef struct slot {
    unsigned char *rows; /* the row before, then this block's */
    unsigned char *lines, *packed;
    size_t count, packed_length, given;
    uint32_t adler;
    bool last, done, failed;
} slot;

/* The end of a filtered block, kept until the block after has looked at it. */
typedef struct tail {
    unsigned char bytes[TW_FLATE_WINDOW];
    size_t length;
    uint64_t block; /* its number and one; 0: none yet */
} tail;

typedef struct worker {
    struct tw_flate *flate;
    pthread_t thread;
    z_stream zlib;
    unsigned char *tries;
    unsigned char scrap[TW_FLATE_SCRAP];
    bool opened, running;
} worker;

struct tw_flate {
    const tw_allocator *allocator;
    size_t row_bytes, step, block_rows, packed_room;
    size_t worker_count, slot_count;
    worker workers[WORKERS_MOST]; /* the first is the caller, without a thread of its own */
    slot slots[SLOTS_MOST];
    tail *tails; /* two rounds of slots: a tail outlives its slot */
    uint64_t filled, handed, taken,
        given; /* blocks: being filled, to workers, by them, to the caller */
    bool threads, ending;
    size_t header_given, trailer_given; /* bytes */
    uint32_t adler;
    pthread_mutex_t lock; /* over handed, taken, stop, slots' done and tails' block */
    pthread_cond_t changed;
    bool stop;
};

/* ------------------------------------------------ packing a block */

static tail *tail_of(tw_flate *flate, uint64_t block) {
    return &flate->tails[block % (2 * flate->slot_count)];
}

static void keep_tail(tw_flate *flate, uint64_t block, const unsigned char *lines, size_t length) {
    tail *own = tail_of(flate, block);
    size_t keep = length < sizeof own->bytes ? length : sizeof own->bytes;
    memcpy(own->bytes, lines + length - keep, keep);
    (void)pthread_mutex_lock(&flate->lock);
    own->length = keep;
    own->block = block + 1;
    (void)pthread_cond_broadcast(&flate->changed);
    (void)pthread_mutex_unlock(&flate->lock);
}

/* Blocks are taken in order and filtering waits for nothing, so the wait comes to an end. */
static const tail *wait_tail(tw_flate *flate, uint64_t block) {
    tail *own = tail_of(flate, block);
    (void)pthread_mutex_lock(&flate->lock);
    while (own->block != block + 1)
        (void)pthread_cond_wait(&flate->changed, &flate->lock);
    (void)pthread_mutex_unlock(&flate->lock);
    return own;
}

static void pack(tw_flate *flate, worker *by, uint64_t block) {
    static const tw_flate_way numbers = {6, Z_DEFAULT_STRATEGY};
    slot *own = &flate->slots[block % flate->slot_count];
    size_t length = own->count * tw_flate_line(flate->row_bytes);
    tw_flate_filter(own->rows + flate->row_bytes, flate->row_bytes, own->count, flate->step,
                    by->tries, own->lines);
    keep_tail(flate, block, own->lines, length);
    const tail *before = block == 0 ? NULL : wait_tail(flate, block - 1);
    tw_flate_way way =
        flate->step == 0 ? numbers : tw_flate_choose(&by->zlib, own->lines, length, by->scrap);
    own->failed = !tw_flate_deflate(
        &by->zlib, way, before == NULL ? NULL : before->bytes, before == NULL ? 0 : before->length,
        own->lines, length, own->last, own->packed, flate->packed_room, &own->packed_length);
    own->adler = (uint32_t)adler32(1, own->lines, (uInt)length);
    (void)pthread_mutex_lock(&flate->lock);
    own->done = true;
    (void)pthread_cond_broadcast(&flate->changed);
    (void)pthread_mutex_unlock(&flate->lock);
}

static void *work(void *context) {
    worker *own = context;
    tw_flate *flate = own->flate;
    for (;;) {
        (void)pthread_mutex_lock(&flate->lock);
        while (!flate->stop && flate->taken == flate->handed)
            (void)pthread_cond_wait(&flate->changed, &flate->lock);
        bool stop = flate->stop;
        uint64_t block = stop ? 0 : flate->taken++;
        (void)pthread_mutex_unlock(&flate->lock);
        if (stop)
            return NULL;
        pack(flate, own, block);
    }
}

/* ------------------------------------------------ memory and threads */

static void *zlib_take(void *context, uInt count, uInt size) {
    return tw_block_new(context, (size_t)count * size);
}

static void zlib_give(void *context, void *block) {
    tw_block_free(context, block);
}

static bool open_worker(tw_flate *flate, worker *own) {
    if (own->opened)
        return true;
    own->flate = flate;
    own->zlib.zalloc = zlib_take;
    own->zlib.zfree = zlib_give;
    own->zlib.opaque = (void *)flate->allocator;
    own->tries = tw_block_new(flate->allocator, 5 * tw_flate_line(flate->row_bytes));
    own->opened =
        own->tries != NULL && deflateInit2(&own->zlib, 4, Z_DEFLATED, -15, 8, Z_FILTERED) == Z_OK;
    return own->opened;
}

/* At the second block. Where no thread can be had the caller does all the work. */
static tw_code start_threads(tw_flate *flate, tw_error *error) {
    flate->threads = true;
    for (size_t i = 0; i < flate->worker_count; i++)
        if (!open_worker(flate, &flate->workers[i]))
            return tw_no_memory(error);
    for (size_t i = 1; i < flate->worker_count; i++) {
        worker *own = &flate->workers[i];
        own->running = pthread_create(&own->thread, NULL, work, own) == 0;
    }
    return TW_OK;
}

static tw_code open_slot(tw_flate *flate, slot *own, tw_error *error) {
    if (own->packed != NULL)
        return TW_OK;
    size_t line = tw_flate_line(flate->row_bytes);
    own->rows = tw_block_new(flate->allocator, (flate->block_rows + 1) * flate->row_bytes);
    own->lines = tw_block_new(flate->allocator, flate->block_rows * line);
    own->packed = tw_block_new(flate->allocator, flate->packed_room);
    bool all = own->rows != NULL && own->lines != NULL && own->packed != NULL;
    return all ? TW_OK : tw_no_memory(error);
}

static size_t rows_of_block(size_t row_bytes) {
    size_t line = tw_flate_line(row_bytes);
    return line < BLOCK_BYTES ? BLOCK_BYTES / line : 1;
}

int64_t tw_flate_bound(size_t row_bytes, uint32_t height) {
    size_t rows = rows_of_block(row_bytes), line = tw_flate_line(row_bytes);
    int64_t whole = (int64_t)(height / rows) * (int64_t)tw_flate_room(rows * line);
    return whole + (int64_t)tw_flate_room(height % rows * line) + HEADER + TRAILER;
}

static size_t count_workers(void) {
    long cores = sysconf(_SC_NPROCESSORS_ONLN);
    if (cores < 1)
        return 1;
    return cores < WORKERS_MOST ? (size_t)cores : WORKERS_MOST;
}

tw_code tw_flate_new(const tw_allocator *allocator, size_t row_bytes, size_t step, tw_flate **out,
                     tw_error *error) {
    return tw_flate_new_on(allocator, row_bytes, step, count_workers(), out, error);
}

tw_code tw_flate_new_on(const tw_allocator *allocator, size_t row_bytes, size_t step,
                        size_t threads, tw_flate **out, tw_error *error) {
    size_t line = tw_flate_line(row_bytes);
    tw_flate *flate = tw_block_new(allocator, sizeof *flate);
    *out = flate;
    if (flate == NULL)
        return tw_no_memory(error);
    flate->allocator = allocator;
    flate->row_bytes = row_bytes;
    flate->step = step;
    flate->block_rows = rows_of_block(row_bytes);
    flate->packed_room = tw_flate_room(flate->block_rows * line);
    flate->worker_count = threads;
    flate->slot_count = flate->worker_count + SLOTS_MORE;
    flate->adler = 1;
    (void)pthread_mutex_init(&flate->lock, NULL);
    (void)pthread_cond_init(&flate->changed, NULL);
    flate->tails = tw_block_new(allocator, 2 * flate->slot_count * sizeof *flate->tails);
    if (flate->tails != NULL && open_worker(flate, &flate->workers[0]))
        return TW_OK;
    tw_flate_free(flate);
    *out = NULL;
    return tw_no_memory(error);
}

static void stop_threads(tw_flate *flate) {
    (void)pthread_mutex_lock(&flate->lock);
    flate->stop = true;
    (void)pthread_cond_broadcast(&flate->changed);
    (void)pthread_mutex_unlock(&flate->lock);
    for (size_t i = 0; i < flate->worker_count; i++)
        if (flate->workers[i].running)
            (void)pthread_join(flate->workers[i].thread, NULL);
}

void tw_flate_free(tw_flate *flate) {
    if (flate == NULL)
        return;
    stop_threads(flate);
    for (size_t i = 0; i < flate->worker_count; i++) {
        if (flate->workers[i].opened)
            (void)deflateEnd(&flate->workers[i].zlib);
        tw_block_free(flate->allocator, flate->workers[i].tries);
    }
    for (size_t i = 0; i < flate->slot_count; i++) {
        tw_block_free(flate->allocator, flate->slots[i].rows);
        tw_block_free(flate->allocator, flate->slots[i].lines);
        tw_block_free(flate->allocator, flate->slots[i].packed);
    }
    (void)pthread_cond_destroy(&flate->changed);
    (void)pthread_mutex_destroy(&flate->lock);
    tw_block_free(flate->allocator, flate->tails);
    tw_block_free(flate->allocator, flate);
}

/* ------------------------------------------------ rows in */

static void hand_over(tw_flate *flate) {
    (void)pthread_mutex_lock(&flate->lock);
    flate->handed = ++flate->filled;
    (void)pthread_cond_broadcast(&flate->changed);
    (void)pthread_mutex_unlock(&flate->lock);
}

/* The block is full and another row comes: on to the next slot, the last row going with it. */
static tw_code next_block(tw_flate *flate, tw_error *error) {
    const slot *full = &flate->slots[flate->filled % flate->slot_count];
    slot *empty = &flate->slots[(flate->filled + 1) % flate->slot_count];
    tw_code code = flate->threads ? TW_OK : start_threads(flate, error);
    if (code == TW_OK)
        code = open_slot(flate, empty, error);
    if (code != TW_OK)
        return code;
    memcpy(empty->rows, full->rows + full->count * flate->row_bytes, flate->row_bytes);
    empty->count = empty->given = 0;
    empty->done = false;
    hand_over(flate);
    return TW_OK;
}

tw_code tw_flate_row(tw_flate *flate, const unsigned char *row, tw_error *error) {
    slot *own = &flate->slots[flate->filled % flate->slot_count];
    if (flate->ending)
        return tw_fail(error, TW_BUG, "bug", "a row comes after the last one");
    tw_code code = open_slot(flate, own, error);
    if (code == TW_OK && own->count == flate->block_rows) {
        code = next_block(flate, error);
        own = &flate->slots[flate->filled % flate->slot_count];
    }
    if (code != TW_OK)
        return code;
    own->count++;
    memcpy(own->rows + own->count * flate->row_bytes, row, flate->row_bytes);
    return TW_OK;
}

void tw_flate_end(tw_flate *flate) {
    flate->slots[flate->filled % flate->slot_count].last = true;
    flate->ending = true;
    hand_over(flate);
}

/* ------------------------------------------------ bytes out */

static bool is_done(tw_flate *flate, const slot *own) {
    (void)pthread_mutex_lock(&flate->lock);
    bool done = own->done;
    (void)pthread_mutex_unlock(&flate->lock);
    return done;
}

/* The number of a block that waits to be packed, now this thread's; where there is none, until
 * something changes: UINT64_MAX. */
static uint64_t take_or_wait(tw_flate *flate, const slot *own) {
    uint64_t block = UINT64_MAX;
    (void)pthread_mutex_lock(&flate->lock);
    if (flate->taken < flate->handed)
        block = flate->taken++;
    else if (!own->done)
        (void)pthread_cond_wait(&flate->changed, &flate->lock);
    (void)pthread_mutex_unlock(&flate->lock);
    return block;
}

/* Until the oldest block is packed; the caller's thread packs, too, rather than wait. */
static void wait_for(tw_flate *flate, slot *own) {
    while (!is_done(flate, own)) {
        uint64_t block = take_or_wait(flate, own);
        if (block != UINT64_MAX)
            pack(flate, &flate->workers[0], block);
    }
}

/* Should the caller wait for the oldest block now, or bring more rows? */
static bool must_wait(const tw_flate *flate) {
    return flate->ending || flate->filled - flate->given + 1 >= flate->slot_count;
}

static size_t give(unsigned char *bytes, size_t room, const unsigned char *from, size_t length,
                   size_t *given) {
    size_t left = length - *given, count = left < room ? left : room;
    memcpy(bytes, from + *given, count);
    *given += count;
    return count;
}

static size_t give_trailer(tw_flate *flate, unsigned char *bytes, size_t room) {
    unsigned char trailer[TRAILER];
    for (int i = 0; i < TRAILER; i++)
        trailer[i] = (unsigned char)(flate->adler >> (24 - 8 * i));
    return give(bytes, room, trailer, TRAILER, &flate->trailer_given);
}

/* The block is given: its slot is free. */
static void end_block(tw_flate *flate, const slot *own) {
    size_t length = own->count * tw_flate_line(flate->row_bytes);
    flate->adler = (uint32_t)adler32_combine(flate->adler, own->adler, (z_off_t)length);
    flate->given++;
}

tw_code tw_flate_pull(tw_flate *flate, unsigned char *bytes, size_t room, size_t *got,
                      tw_error *error) {
    /* RFC 1950: a window of 32 KiB; what it says of the level means nothing */
    static const unsigned char header[HEADER] = {0x78, 0x5E};
    *got = 0;
    if (flate->header_given < HEADER) {
        *got = give(bytes, room, header, HEADER, &flate->header_given);
        return TW_OK;
    }
    if (flate->given == flate->filled) { /* nothing is on its way */
        if (flate->ending)
            *got = give_trailer(flate, bytes, room);
        return TW_OK;
    }
    slot *own = &flate->slots[flate->given % flate->slot_count];
    if (must_wait(flate))
        wait_for(flate, own);
    else if (!is_done(flate, own))
        return TW_OK;
    if (own->failed)
        return tw_fail(error, TW_BUG, "bug", "deflate failed");
    *got = give(bytes, room, own->packed, own->packed_length, &own->given);
    if (own->given == own->packed_length)
        end_block(flate, own);
    return TW_OK;
}
