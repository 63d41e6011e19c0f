/*
 * Orders laid out by themselves: first each order alone, then those that save most by sharing
 * sheets are put together, as long as sharing saves more paper than split orders cost.
 */
#include "layout/orders.h"

#include "layout/pack.h"
#include "layout/pay.h"
#include "layout/spread.h"

#include <stdlib.h>
#include <string.h>

enum { NEIGHBOURS = 12, DEAR = 1000, LOOK_STEPS = 1 };

typedef struct cluster {
    size_t *pieces;
    size_t count;
    int64_t cost;
    bool gone;
} cluster;

typedef struct grouper {
    tw_arena *arena; /* scratch */
    const tw_layout_problem *problem;
    cluster *clusters;
    size_t count;
    int64_t looks; /* pieces that may still be laid out while looking */
} grouper;

/* ---------------------------------------------------------------- each order */

typedef struct member {
    int64_t priority;
    int group;
    size_t piece;
} member;

static int by_group(const void *left, const void *right) {
    const member *a = left, *b = right;
    if (a->group != b->group)
        return a->group < b->group ? -1 : 1;
    return (a->piece > b->piece) - (a->piece < b->piece);
}

/* Prints of no order are one group more. */
static tw_code list_orders(grouper *g, const tw_layout *day, tw_error *error) {
    size_t count = 0;
    member *all = tw_arena_array(g->arena, day->placed_count, sizeof *all);
    size_t *pieces = tw_arena_array(g->arena, day->placed_count, sizeof *pieces);
    g->clusters = tw_arena_array(g->arena, day->placed_count, sizeof *g->clusters);
    if (all == NULL || pieces == NULL || g->clusters == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < day->placed_count; i++) {
        const tw_piece *piece = &g->problem->pieces[day->placed[i].piece];
        if (!piece->filler)
            all[count++] = (member){piece->priority, piece->group, day->placed[i].piece};
    }
    if (count > 0)
        qsort(all, count, sizeof *all, by_group);
    for (size_t i = 0; i < count; i++) {
        pieces[i] = all[i].piece;
        if (i == 0 || all[i].group != all[i - 1].group)
            g->clusters[g->count++].pieces = &pieces[i];
        g->clusters[g->count - 1].count++;
    }
    return TW_OK;
}

/* ---------------------------------------------------------------- what a group costs */

static tw_code lay_out(const grouper *g, const cluster *c, int64_t steps, tw_arena *arena,
                       tw_layout *out, tw_error *error) {
    tw_piece *pieces = tw_arena_array(arena, c->count, sizeof *pieces);
    if (pieces == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < c->count; i++)
        pieces[i] = g->problem->pieces[c->pieces[i]];
    tw_layout_problem few;
    tw_run quiet;
    tw_endless(g->problem, DEAR * TW_M, &quiet, &few);
    few.pieces = pieces;
    few.count = c->count;
    few.settings.steps = steps;
    tw_code code = tw_layout_make(arena, &few, out, error);
    return code == TW_OK ? tw_spread_gather(arena, &few, out, error) : code;
}

static tw_code cost_of(const grouper *g, const tw_layout *layout, const cluster *c, tw_arena *arena,
                       int64_t *out, tw_error *error) {
    int64_t spread = 0;
    tw_nm used = 0;
    tw_layout_problem part = *g->problem;
    tw_piece *pieces = tw_arena_array(arena, c->count, sizeof *pieces);
    if (pieces == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < c->count; i++)
        pieces[i] = g->problem->pieces[c->pieces[i]];
    part.pieces = pieces;
    part.count = c->count;
    tw_code code = tw_spread_count(arena, &part, layout, &spread, error);
    for (int i = 0; i < layout->sheet_count; i++)
        used += layout->sheet_length[i] + (part.stock.roll ? part.stock.lost_each_sheet : 0);
    *out = layout->left_count > 0
               ? INT64_MAX / 8
               : tw_pay_paper(&part.stock, used) + spread * part.settings.keep_together;
    return code;
}

static tw_code weigh(grouper *g, cluster *c, tw_error *error) {
    tw_layout layout;
    tw_arena *arena = tw_arena_new(tw_arena_allocator(g->arena), 0);
    if (arena == NULL)
        return tw_no_memory(error);
    g->looks -= (int64_t)c->count + 8;
    tw_code code = lay_out(g, c, LOOK_STEPS, arena, &layout, error);
    if (code == TW_OK)
        code = cost_of(g, &layout, c, arena, &c->cost, error);
    tw_arena_free(arena);
    return code;
}

/* ---------------------------------------------------------------- sharing */

static tw_code put_together(grouper *g, const cluster *a, const cluster *b, cluster *out,
                            tw_error *error) {
    *out = (cluster){.count = a->count + b->count};
    out->pieces = tw_arena_array(g->arena, out->count, sizeof *out->pieces);
    if (out->pieces == NULL)
        return tw_no_memory(error);
    memcpy(out->pieces, a->pieces, a->count * sizeof *a->pieces);
    memcpy(out->pieces + a->count, b->pieces, b->count * sizeof *b->pieces);
    return weigh(g, out, error);
}

/* With which of those after it does it save most? */
static tw_code join_one(grouper *g, size_t at, bool *joined, tw_error *error) {
    cluster best = {0};
    size_t with = SIZE_MAX;
    int64_t saved = 0;
    int seen = 0;
    tw_code code = TW_OK;
    for (size_t i = at + 1; code == TW_OK && i < g->count && seen < NEIGHBOURS && g->looks > 0;
         i++) {
        cluster now;
        if (g->clusters[i].gone)
            continue;
        seen++;
        code = put_together(g, &g->clusters[at], &g->clusters[i], &now, error);
        int64_t saves = g->clusters[at].cost + g->clusters[i].cost - now.cost;
        if (code == TW_OK && saves > saved) {
            saved = saves;
            best = now;
            with = i;
        }
    }
    *joined = code == TW_OK && with != SIZE_MAX;
    if (*joined) {
        g->clusters[at] = best;
        g->clusters[with].gone = true;
    }
    return code;
}

static tw_code join_all(grouper *g, tw_error *error) {
    tw_code code = TW_OK;
    for (size_t i = 0; code == TW_OK && i < g->count; i++)
        code = weigh(g, &g->clusters[i], error);
    for (size_t i = 0; code == TW_OK && i < g->count && g->looks > 0; i++) {
        bool joined = !g->clusters[i].gone;
        while (code == TW_OK && joined)
            code = join_one(g, i, &joined, error);
    }
    return code;
}

/* ---------------------------------------------------------------- all of it */

static tw_code add_cluster(grouper *g, const cluster *c, int64_t steps, tw_layout *out,
                           tw_error *error) {
    tw_layout layout;
    tw_code code = lay_out(g, c, steps, g->arena, &layout, error);
    if (code != TW_OK)
        return code;
    for (size_t i = 0; i < layout.placed_count; i++) {
        tw_placed p = layout.placed[i];
        p.piece = c->pieces[p.piece];
        p.sheet += out->sheet_count;
        out->placed[out->placed_count++] = p;
    }
    for (int i = 0; i < layout.sheet_count; i++)
        out->sheet_length[out->sheet_count++] = layout.sheet_length[i];
    return TW_OK;
}

/* Fillers are left out; whatever the day as a whole left out as well. */
static void list_left(const grouper *g, const tw_layout *day, const bool *laid, tw_layout *out) {
    size_t next = 0;
    for (size_t i = 0; i < g->problem->count; i++) {
        bool left = next < day->left_count && day->left[next].piece == i;
        if (!laid[i])
            out->left[out->left_count++] =
                (tw_left){i, left ? day->left[next].why : TW_LEFT_PAPER_USED};
        next += left;
    }
}

static tw_code compose(grouper *g, const tw_layout *day, tw_arena *arena, tw_layout *out,
                       tw_error *error) {
    size_t count = g->problem->count, groups = 0;
    bool *laid = tw_arena_array(g->arena, count, sizeof *laid);
    out->placed = tw_arena_array(arena, count, sizeof *out->placed);
    out->sheet_length = tw_arena_array(arena, count, sizeof *out->sheet_length);
    out->left = tw_arena_array(arena, count, sizeof *out->left);
    if (laid == NULL || out->placed == NULL || out->sheet_length == NULL || out->left == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < g->count; i++)
        groups += !g->clusters[i].gone;
    int64_t steps = tw_pack_steps(g->problem) / (int64_t)(groups + 1) + 1;
    tw_code code = TW_OK;
    for (size_t i = 0; code == TW_OK && i < g->count; i++)
        if (!g->clusters[i].gone)
            code = add_cluster(g, &g->clusters[i], steps, out, error);
    for (size_t i = 0; i < out->placed_count; i++)
        laid[out->placed[i].piece] = true;
    list_left(g, day, laid, out);
    return code;
}

tw_code tw_orders_apart(tw_arena *arena, const tw_layout_problem *problem, const tw_layout *day,
                        tw_layout *out, bool *made, tw_error *error) {
    grouper g = {.arena = tw_arena_new(tw_arena_allocator(arena), 0),
                 .problem = problem,
                 .looks = tw_pack_steps(problem) / 8};
    memset(out, 0, sizeof *out);
    *made = false;
    if (problem->stock.price <= 0) { /* length cannot be weighed against split orders */
        tw_arena_free(g.arena);
        return TW_OK;
    }
    if (g.arena == NULL)
        return tw_no_memory(error);
    tw_code code = list_orders(&g, day, error);
    if (code == TW_OK)
        code = join_all(&g, error);
    if (code == TW_OK)
        code = compose(&g, day, arena, out, error);
    tw_arena_free(g.arena);
    *made = code == TW_OK;
    return code;
}
