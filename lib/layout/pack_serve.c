/*
 * Who is served when the paper runs out: those served first, as many as are found to fit; then
 * those further back of other sizes; then any piece that the rest of the paper holds by itself.
 */
#include "layout/pack.h"

#include <stdlib.h>
#include <string.h>

enum { SKIPS_MOST = 8, SKIPPING_MOST = 20000 };

typedef struct waiting {
    int64_t priority;
    size_t index;
} waiting;

typedef struct serve {
    const tw_allocator *allocator;
    const tw_layout_problem *problem;
    const unsigned char *ways;
    unsigned char *take;
    waiting *line; /* served first comes first */
    size_t count;
} serve;

static int by_priority(const void *left, const void *right) {
    const waiting *a = left;
    const waiting *b = right;
    if (a->priority != b->priority)
        return a->priority < b->priority ? -1 : 1;
    return (a->index > b->index) - (a->index < b->index);
}

/* The line of the pieces that may lie and are not in `skip`. */
static tw_code form_line(tw_arena *arena, serve *s, const unsigned char *skip, tw_error *error) {
    const tw_layout_problem *problem = s->problem;
    s->line = tw_arena_array(arena, problem->count, sizeof *s->line);
    if (s->line == NULL)
        return tw_no_memory(error);
    s->count = 0;
    for (size_t i = 0; i < problem->count; i++)
        if (s->ways[i] != 0 && (skip == NULL || skip[i] == 0))
            s->line[s->count++] = (waiting){problem->pieces[i].priority, i};
    if (s->count > 0)
        qsort(s->line, s->count, sizeof *s->line, by_priority);
    return TW_OK;
}

bool tw_pack_holds(const tw_layout_problem *problem, const tw_layout *layout) {
    if (problem->stock.roll)
        return layout->used <= problem->stock.length;
    return layout->sheet_count <= problem->stock.count;
}

static void take_front(serve *s, size_t count) {
    memset(s->take, 0, s->problem->count);
    for (size_t i = 0; i < count; i++)
        s->take[s->line[i].index] = s->ways[s->line[i].index];
}

/* Most of a search is over before anything is laid out. */
static bool bound_too_long(const serve *s) {
    const tw_stock *stock = &s->problem->stock;
    tw_nm bound = tw_bound_area(s->problem, s->take);
    return stock->roll ? bound > stock->length : bound / stock->length > stock->count;
}

static tw_code front_holds(serve *s, size_t count, bool *out, tw_error *error) {
    tw_pack_finds finds;
    take_front(s, count);
    *out = false;
    if (bound_too_long(s))
        return TW_OK;
    tw_code code = tw_pack_best(s->allocator, s->problem, s->take, true, &finds, error);
    if (code != TW_OK)
        return code;
    *out = tw_pack_holds(s->problem, &finds.best[TW_WANT_PAPER].layout);
    tw_pack_drop_finds(&finds);
    return TW_OK;
}

/* The most of the line, from its front, that is found to fit; *count of it are known to. */
static tw_code longest_front(serve *s, size_t *count, tw_error *error) {
    size_t low = *count;
    size_t high = s->count;
    while (low < high) {
        size_t middle = low + (high - low + 1) / 2;
        bool fits = false;
        tw_code code = front_holds(s, middle, &fits, error);
        if (code != TW_OK)
            return code;
        if (fits)
            low = middle;
        else
            high = middle - 1;
    }
    *count = low;
    return TW_OK;
}

/* The piece at `at` does not fit any more: it and those of its size behind it leave the line. */
static void leave_line(serve *s, size_t at) {
    const tw_piece *refused = &s->problem->pieces[s->line[at].index];
    size_t to = at;
    for (size_t i = at; i < s->count; i++) {
        const tw_piece *piece = &s->problem->pieces[s->line[i].index];
        if (piece->width != refused->width || piece->height != refused->height)
            s->line[to++] = s->line[i];
    }
    s->count = to;
}

/* Each skip lays out again several times: long lines get fewer. */
static bool may_skip(const serve *s, int skips) {
    return skips < SKIPS_MOST && (size_t)skips * s->count < SKIPPING_MOST;
}

tw_code tw_pack_serve(tw_arena *arena, const tw_layout_problem *problem, const unsigned char *ways,
                      unsigned char *take, tw_error *error) {
    serve s = {tw_arena_allocator(arena), problem, ways, take, NULL, 0};
    size_t count = 0;
    tw_code code = form_line(arena, &s, NULL, error);
    if (code == TW_OK)
        code = longest_front(&s, &count, error);
    for (int skip = 0; code == TW_OK && count < s.count && may_skip(&s, skip); skip++) {
        leave_line(&s, count);
        code = longest_front(&s, &count, error);
    }
    if (code == TW_OK)
        take_front(&s, count);
    return code;
}

/* ---------------------------------------------------------------- sheets of their own */

/* A piece alone on its sheet: where it lies and the page; page < 0 when it may not. */
typedef struct alone {
    tw_nm page, x, y;
    bool turned;
} alone;

static alone lie_alone(const tw_layout_problem *problem, const tw_piece *piece, int way) {
    tw_lie lie = tw_piece_lie(problem, piece, way == 1);
    tw_page_need need = {lie.keep.side[TW_TOP], lie.height, lie.keep.side[TW_BOTTOM], true};
    tw_nm rest;
    alone made = {.x = lie.keep.side[TW_LEFT], .turned = way == 1};
    made.page = tw_page_length(problem, &need, &made.y, &rest);
    tw_nm right = problem->stock.width - made.x - lie.width;
    if (!tw_strip_ok(right, problem->settings.narrowest_strip))
        made.x += right; /* keeps nothing at the right, so the waste at the left takes it */
    return made;
}

static alone best_alone(const tw_layout_problem *problem, size_t piece, unsigned char ways) {
    alone best = {.page = -1};
    for (int way = 0; way < 2; way++) {
        if ((ways & (1 << way)) == 0)
            continue;
        alone now = lie_alone(problem, &problem->pieces[piece], way);
        if (best.page < 0 || now.page < best.page)
            best = now;
    }
    return best;
}

/* What the roll has less when this page is added. */
static tw_nm adds(const tw_layout_problem *problem, const tw_layout *layout, tw_nm page) {
    const tw_stock *stock = &problem->stock;
    if (!stock->roll)
        return page;
    tw_nm first = layout->sheet_count == 0 ? stock->lost_each_load + stock->lost_core_end : 0;
    return page + stock->lost_each_sheet + first;
}

static bool room_for(const tw_layout_problem *problem, const tw_layout *layout, tw_nm page) {
    if (!problem->stock.roll)
        return layout->sheet_count < problem->stock.count;
    return layout->used + adds(problem, layout, page) <= problem->stock.length;
}

tw_code tw_pack_add_alone(tw_arena *arena, const tw_layout_problem *problem,
                          const unsigned char *ways, unsigned char *take, tw_layout *layout,
                          tw_error *error) {
    serve s = {.problem = problem, .ways = ways};
    tw_code code = form_line(arena, &s, take, error);
    for (size_t i = 0; i < s.count && code == TW_OK; i++) {
        size_t piece = s.line[i].index;
        alone lies = best_alone(problem, piece, ways[piece]);
        if (!room_for(problem, layout, lies.page))
            continue;
        layout->used += adds(problem, layout, lies.page);
        layout->placed[layout->placed_count++] =
            (tw_placed){piece, layout->sheet_count, lies.x, lies.y, lies.turned};
        layout->sheet_length[layout->sheet_count++] = lies.page;
        take[piece] = ways[piece];
    }
    return code;
}
