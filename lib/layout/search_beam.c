/*
 * One pass of the search: a beam over fronts. Each round puts one more item into every front
 * kept, every way it can go, and keeps the best `width` of what comes out. Of fronts that are
 * alike (same items, same outer frames) the best is kept: it does not matter which children lie
 * where in what is finished, and too many of a kind leave no room for others.
 */
#include "layout/pieces.h"
#include "layout/search_inside.h"

#include <stdlib.h>
#include <string.h>

#define MEMORY_MOST ((size_t)96 << 20)
#define WIDTH_MOST (1 << 17)
#define TABLE_LEAST 1024
#define POLL_STEPS 65536 /* look for a cancel about so often */

typedef struct candidate {
    int64_t guide; /* less is better */
    uint64_t hash; /* of the front; decides between equal guides, so that order never does */
    int32_t parent;
    tw_insertion put;
} candidate;

/* The best of the fronts that are alike. */
typedef struct met_front {
    uint64_t hash; /* 0: a free place */
    int64_t guide;
} met_front;

typedef struct log_entry {
    int32_t before;
    tw_insertion put;
} log_entry;

typedef struct generation {
    tw_front *fronts;
    uint16_t *left; /* [front][kind]: items still to come */
    int count;
} generation;

struct tw_beam {
    const tw_kinds_set *kinds;
    int room, table_size;
    generation now, next;
    candidate *heap; /* the worst on top once full */
    int heap_count;
    met_front *table; /* fronts met this round, open addressing */
    int table_count;
    log_entry *log; /* insertions of every front ever kept; grows */
    size_t log_count, log_room;
    tw_insertion *trial;
    tw_search_scratch scratch;
};

static uint64_t mix(uint64_t x) {
    x ^= x >> 31;
    x *= UINT64_C(0x9E3779B97F4A7C15);
    x ^= x >> 29;
    x *= UINT64_C(0xBF58476D1CE4E5B9);
    return x ^ x >> 32;
}

/* ------------------------------------------------- memory */

static void generation_free(const tw_allocator *allocator, generation *gone) {
    tw_block_free(allocator, gone->fronts);
    tw_block_free(allocator, gone->left);
}

void tw_beam_free(const tw_allocator *allocator, tw_beam *beam) {
    if (beam == NULL)
        return;
    generation_free(allocator, &beam->now);
    generation_free(allocator, &beam->next);
    tw_block_free(allocator, beam->heap);
    tw_block_free(allocator, beam->table);
    tw_block_free(allocator, beam->log);
    tw_block_free(allocator, beam->trial);
    tw_block_free(allocator, beam->scratch.extents);
    tw_block_free(allocator, beam->scratch.used);
    tw_block_free(allocator, beam);
}

static bool generation_new(const tw_allocator *allocator, size_t most, size_t kinds,
                           generation *made) {
    made->fronts = tw_block_new(allocator, most * sizeof(tw_front));
    made->left = tw_block_new(allocator, most * kinds * sizeof(uint16_t));
    return made->fronts != NULL && made->left != NULL;
}

static bool beam_take(const tw_allocator *allocator, tw_beam *beam) {
    size_t most = (size_t)beam->room, kinds = (size_t)beam->kinds->count;
    size_t items = (size_t)beam->kinds->item_count;
    beam->heap = tw_block_new(allocator, most * sizeof *beam->heap);
    beam->table = tw_block_new(allocator, (size_t)beam->table_size * sizeof *beam->table);
    beam->trial = tw_block_new(allocator, items * sizeof *beam->trial);
    beam->scratch.extents =
        tw_block_new(allocator, (TW_FRAME_LEVELS + 1) * items * sizeof *beam->scratch.extents);
    beam->scratch.used = tw_block_new(allocator, kinds * sizeof *beam->scratch.used);
    return generation_new(allocator, most, kinds, &beam->now) &&
           generation_new(allocator, most, kinds, &beam->next) && beam->heap != NULL &&
           beam->table != NULL && beam->trial != NULL && beam->scratch.extents != NULL &&
           beam->scratch.used != NULL;
}

static size_t bytes_a_front(const tw_kinds_set *kinds) {
    return 2 * (sizeof(tw_front) + (size_t)kinds->count * sizeof(uint16_t)) + sizeof(candidate) +
           16 * sizeof(met_front) + (size_t)kinds->item_count * sizeof(log_entry);
}

int tw_beam_most(const tw_kinds_set *kinds, int64_t steps) {
    int64_t fits = (int64_t)(MEMORY_MOST / bytes_a_front(kinds));
    int64_t asked = steps / kinds->item_count + 1;
    fits = fits < WIDTH_MOST ? fits : WIDTH_MOST;
    return (int)(asked < fits ? asked : fits);
}

tw_code tw_beam_new(const tw_allocator *allocator, const tw_kinds_set *kinds, int width,
                    tw_beam **out, tw_error *error) {
    tw_beam *beam = tw_block_new(allocator, sizeof *beam);
    *out = beam;
    if (beam == NULL)
        return tw_no_memory(error);
    beam->kinds = kinds;
    beam->room = width;
    beam->table_size = TABLE_LEAST;
    while (beam->table_size < 8 * width)
        beam->table_size *= 2;
    if (beam_take(allocator, beam))
        return TW_OK;
    tw_beam_free(allocator, beam);
    *out = NULL;
    return tw_no_memory(error);
}

int tw_beam_room(const tw_beam *beam) {
    return beam == NULL ? 0 : beam->room;
}

/* ------------------------------------------------- the heap of candidates, worst on top */

static bool worse(const candidate *a, const candidate *b) {
    return a->guide != b->guide ? a->guide > b->guide : a->hash > b->hash;
}

static void sift_down(candidate *heap, int count, int at) {
    candidate moving = heap[at];
    for (int child = 2 * at + 1; child < count; child = 2 * at + 1) {
        if (child + 1 < count && worse(&heap[child + 1], &heap[child]))
            child++;
        if (!worse(&heap[child], &moving))
            break;
        heap[at] = heap[child];
        at = child;
    }
    heap[at] = moving;
}

static void heap_add(tw_beam *beam, int width, const candidate *one) {
    if (beam->heap_count == width) {
        beam->heap[0] = *one;
        sift_down(beam->heap, width, 0);
        return;
    }
    beam->heap[beam->heap_count++] = *one;
    if (beam->heap_count == width)
        for (int i = width / 2; i >= 0; i--)
            sift_down(beam->heap, width, i);
}

/* ------------------------------------------------- fronts met before */

/* Where this hash is, or the free place where it belongs. */
static met_front *table_find(tw_beam *beam, uint64_t hash) {
    uint64_t mask = (uint64_t)beam->table_size - 1, at = (hash >> 20) & mask;
    while (beam->table[at].hash != 0 && beam->table[at].hash != hash)
        at = (at + 1) & mask;
    return &beam->table[at];
}

/* True when no front like it, and as good, was put in before. */
static bool table_put(tw_beam *beam, uint64_t hash, int64_t guide) {
    met_front *met = table_find(beam, hash);
    if (met->hash == hash && met->guide <= guide)
        return false;
    beam->table_count += met->hash == 0;
    *met = (met_front){hash, guide};
    return true;
}

static void table_clear(tw_beam *beam) {
    memset(beam->table, 0, (size_t)beam->table_size * sizeof *beam->table);
    beam->table_count = 0;
}

/* True when the front is the best of its like. A full table forgets all but what is in the
 * heap; a front met again after that is thrown out by its guide, or is one of those. */
static bool is_best(tw_beam *beam, uint64_t hash, int64_t guide) {
    if (beam->table_count > beam->table_size / 4 * 3) {
        table_clear(beam);
        for (int i = 0; i < beam->heap_count; i++)
            (void)table_put(beam, beam->heap[i].hash, beam->heap[i].guide);
    }
    return table_put(beam, hash, guide);
}

/* ------------------------------------------------- one round */

/* A front being tried. */
typedef struct trial {
    const tw_beam_pass *pass;
    tw_front_limits limits;
    int64_t slack; /* area that may be lost */
    int parent;
} trial;

/* (waste / placed + weight) / placed: of fronts with as many items, the one that lost the
 * smaller share of its area, and that has got rid of more area, for small items are those that
 * fill gaps later. Shifted so that nothing overflows and no rounding differs between machines. */
static int64_t guide_of(const tw_front *front, const trial *try, int shift) {
    int64_t placed = (front->placed >> shift) + 1, waste = front->waste >> shift;
    if (waste > (int64_t)1 << 26)
        waste = (int64_t)1 << 26;
    int64_t share = (waste << 20) / placed + ((int64_t)try->pass->lane.weight << 10);
    return (share << 14) / placed;
}

static uint64_t hash_items(const tw_front *parent, int kind, int used) {
    return parent->held + mix(((uint64_t)kind << 32) + (uint64_t)used + 1);
}

/* Fronts are alike when they hold the same items and agree in the frames furthest out. They may
 * differ further in; but one a place in the beam is better spent on another choice of items. */
static uint64_t hash_front(const tw_front *front, uint64_t held, int alike) {
    uint64_t hash = mix(held);
    for (int l = 0; l < alike; l++)
        hash = mix(hash ^ ((uint64_t)front->start[l] << 32 | (uint32_t)front->size[l]));
    return hash | 1;
}

static const uint16_t *left_of(const tw_beam *beam, const generation *some, int index) {
    return &some->left[(size_t)index * (size_t)beam->kinds->count];
}

static void try_one(tw_beam *beam, const trial *try, tw_insertion put) {
    const tw_front *from = &beam->now.fronts[try->parent];
    const tw_search_kind *kind = &beam->kinds->items[put.kind];
    tw_front to;
    to.placed = from->placed + kind->area;
    if (!tw_front_insert(from, &try->limits, kind->width[put.way], kind->height[put.way], put.depth,
                         &to) ||
        to.waste > try->slack)
        return;
    int64_t guide = guide_of(&to, try, beam->kinds->area_shift);
    if (beam->heap_count == try->pass->width && guide >= beam->heap[0].guide)
        return;
    int used = kind->count - left_of(beam, &beam->now, try->parent)[put.kind];
    uint64_t held = hash_items(from, put.kind, used);
    uint64_t hash = hash_front(&to, held, try->pass->lane.alike);
    *try->pass->steps -= 4; /* from here on it takes as long as five that are turned away */
    if (!is_best(beam, hash, guide))
        return;
    candidate one = {guide, hash, try->parent, put};
    heap_add(beam, try->pass->width, &one);
}

/* What a new child at this depth costs at least, whatever it is: the frames further in are
 * finished. */
static int64_t least_waste(const tw_front *from, const trial *try, int depth) {
    tw_front to;
    tw_front_limits limits = try->limits;
    limits.least = 0;
    to.placed = from->placed;
    return tw_front_insert(from, &limits, 0, 0, depth, &to) ? to.waste : INT64_MAX;
}

/* Kinds come by falling area: once one cannot be good enough, even without any waste of its
 * own, none after it can. */
static bool hopeless(const tw_beam *beam, const trial *try, int64_t waste, int64_t area) {
    tw_front to;
    if (beam->heap_count < try->pass->width)
        return false;
    to.waste = waste;
    to.placed = beam->now.fronts[try->parent].placed + area;
    return guide_of(&to, try, beam->kinds->area_shift) >= beam->heap[0].guide;
}

static void try_depth(tw_beam *beam, trial *try, int depth, const int32_t *least) {
    const uint16_t *left = left_of(beam, &beam->now, try->parent);
    int64_t waste = least_waste(&beam->now.fronts[try->parent], try, depth);
    for (int k = 0; waste <= try->slack && k < beam->kinds->count; k++) {
        const tw_search_kind *kind = &beam->kinds->items[k];
        if (left[k] == 0)
            continue;
        if (hopeless(beam, try, waste, kind->area))
            break;
        try->limits.least = least[left[k] == 1 && kind->least == least[0]];
        for (int way = 0; way < kind->ways; way++)
            try_one(beam, try, (tw_insertion){k, (int16_t)way, (int16_t)depth});
        *try->pass->steps -= kind->ways;
    }
    --*try->pass->steps;
}

/* least[0] is the shortest side of the items to come, least[1] that without one such item. */
static void least_sides(const tw_beam *beam, const uint16_t *left, int32_t *least) {
    least[0] = least[1] = INT32_MAX;
    for (int k = 0; k < beam->kinds->count; k++) {
        int32_t side = beam->kinds->items[k].least;
        if (left[k] == 0 || side >= least[1])
            continue;
        least[1] = side >= least[0] ? side : left[k] > 1 ? side : least[0];
        least[0] = side < least[0] ? side : least[0];
    }
}

static void try_all(tw_beam *beam, trial *try) {
    int32_t least[2];
    bool first = beam->now.fronts[try->parent].log < 0;
    least_sides(beam, left_of(beam, &beam->now, try->parent), least);
    *try->pass->steps -= 8;
    for (int depth = first ? 0 : try->limits.levels - 1; depth >= 0; depth--)
        try_depth(beam, try, depth, least);
}

static tw_code log_add(const tw_allocator *allocator, tw_beam *beam, log_entry entry,
                       tw_error *error) {
    if (beam->log_count == beam->log_room) {
        size_t room = beam->log_room == 0 ? 1024 : beam->log_room * 2;
        log_entry *grown = tw_block_resize(allocator, beam->log, beam->log_room * sizeof *grown,
                                           room * sizeof *grown);
        if (grown == NULL)
            return tw_no_memory(error);
        beam->log = grown;
        beam->log_room = room;
    }
    beam->log[beam->log_count++] = entry;
    return TW_OK;
}

static int by_guide(const void *left, const void *right) {
    return worse(left, right) ? 1 : -1;
}

/* The candidate as a front of the next generation. */
static tw_code grow(const tw_allocator *allocator, tw_beam *beam, const candidate *one,
                    const tw_front_limits *limits, tw_error *error) {
    const tw_front *from = &beam->now.fronts[one->parent];
    const tw_search_kind *kind = &beam->kinds->items[one->put.kind];
    const uint16_t *left = left_of(beam, &beam->now, one->parent);
    size_t kinds = (size_t)beam->kinds->count, at = (size_t)beam->next.count++;
    tw_front *to = &beam->next.fronts[at];
    to->placed = from->placed + kind->area;
    if (!tw_front_insert(from, limits, kind->width[one->put.way], kind->height[one->put.way],
                         one->put.depth, to))
        return tw_fail(error, TW_BUG, "search-front", "a front of the search does not fit");
    to->held = hash_items(from, one->put.kind, kind->count - left[one->put.kind]);
    to->log = (int32_t)beam->log_count;
    memcpy(&beam->next.left[at * kinds], left, kinds * sizeof *left);
    beam->next.left[at * kinds + (size_t)one->put.kind]--;
    return log_add(allocator, beam, (log_entry){from->log, one->put}, error);
}

/* Make the candidates kept into the next generation, best first, so that the bar is high early
 * in the next round. Those that a front like them has bettered since drop out. */
static tw_code keep(const tw_allocator *allocator, tw_beam *beam, tw_front_limits limits,
                    tw_error *error) {
    qsort(beam->heap, (size_t)beam->heap_count, sizeof *beam->heap, by_guide);
    limits.height = INT32_MAX;
    limits.least = 0;
    beam->next.count = 0;
    for (int i = 0; i < beam->heap_count; i++) {
        const candidate *one = &beam->heap[i];
        if (table_find(beam, one->hash)->guide < one->guide)
            continue;
        tw_code code = grow(allocator, beam, one, &limits, error);
        if (code != TW_OK)
            return code;
    }
    generation swap = beam->now;
    beam->now = beam->next;
    beam->next = swap;
    return TW_OK;
}

/* ------------------------------------------------- a pass */

static bool stopped(const tw_beam_pass *pass, int64_t *poll) {
    if (*pass->steps < *poll) {
        *poll = *pass->steps - POLL_STEPS;
        if (tw_run_cancelled(pass->run))
            *pass->cancelled = true;
        if (*pass->steps > 0)
            tw_run_progress(pass->run, "laying out", (uint64_t)(pass->steps_all - *pass->steps),
                            (uint64_t)pass->steps_all);
    }
    return *pass->cancelled || *pass->steps <= 0;
}

static void begin(tw_beam *beam) {
    beam->log_count = 0;
    beam->now.count = 1;
    memset(beam->now.fronts, 0, sizeof *beam->now.fronts);
    beam->now.fronts[0].log = -1;
    for (int k = 0; k < beam->kinds->count; k++)
        beam->now.left[k] = (uint16_t)beam->kinds->items[k].count;
}

/* Lay out what was finished and keep the shortest; at most a few hundred are looked at. */
static bool choose(tw_beam *beam, const tw_beam_pass *pass, tw_insertion *plan, int32_t *height) {
    bool found = false;
    int n = beam->kinds->item_count;
    for (int i = 0; i < beam->now.count && i < 256; i++) {
        int32_t at = beam->now.fronts[i].log;
        for (int j = n - 1; j >= 0; j--, at = beam->log[at].before)
            beam->trial[j] = beam->log[at].put;
        int32_t high =
            tw_search_lay(beam->kinds, beam->trial, pass->lane.levels, &beam->scratch, NULL);
        if (high < 0 || high > pass->height || (found && high >= *height))
            continue;
        found = true;
        *height = high;
        memcpy(plan, beam->trial, (size_t)n * sizeof *plan);
    }
    return found;
}

tw_code tw_beam_run(const tw_allocator *allocator, tw_beam *beam, const tw_beam_pass *pass,
                    tw_insertion *plan, int32_t *height, bool *found, tw_error *error) {
    const tw_kinds_set *kinds = beam->kinds;
    trial try = {.pass = pass, .limits = {pass->lane.levels, kinds->width, pass->height, 0}};
    try.slack = (int64_t)kinds->width * pass->height - kinds->area;
    int64_t poll = *pass->steps;
    *found = false;
    begin(beam);
    for (int round = 0; round < kinds->item_count && beam->now.count > 0; round++) {
        beam->heap_count = 0;
        table_clear(beam);
        for (try.parent = 0; try.parent < beam->now.count; try.parent++) {
            if (stopped(pass, &poll))
                return TW_OK;
            try_all(beam, &try);
        }
        *pass->full = *pass->full || beam->heap_count == pass->width;
        tw_code code = keep(allocator, beam, try.limits, error);
        if (code != TW_OK)
            return code;
    }
    *found = choose(beam, pass, plan, height);
    return TW_OK;
}
