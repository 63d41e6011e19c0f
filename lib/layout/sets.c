/*
 * Which way a set lies (see sets.h). Each set in turn, that of most area first, is laid out turned
 * instead of upright, quickly, and stays so where that takes less paper; then the whole day is
 * made with care, both as found and all upright, and the better is kept.
 */
#include "layout/sets.h"

#include <stdlib.h>
#include <string.h>

enum { SETS_TRIED = 8 };

typedef struct set {
    int name; /* tw_piece.alike */
    tw_wide area;
    size_t count;
    bool upright, turned, pinned; /* how all of it may lie; a pinned place decides */
    bool lies_turned;             /* settled */
} set;

typedef struct member {
    int name;
    size_t piece;
} member;

typedef struct chooser {
    tw_arena *arena; /* scratch */
    const tw_layout_problem *problem;
    tw_piece *pieces; /* with the ways of their sets */
    set *sets;        /* those that could lie either way first, most area first */
    size_t count, free;
} chooser;

static int by_name(const void *left, const void *right) {
    const member *a = left, *b = right;
    if (a->name != b->name)
        return a->name < b->name ? -1 : 1;
    return (a->piece > b->piece) - (a->piece < b->piece);
}

static bool is_free(const set *s) {
    return s->upright && s->turned && !s->pinned;
}

/* The input's order must not decide: names of sets follow it, their prints do not. */
static int by_area(const void *left, const void *right) {
    const set *a = left, *b = right;
    if (is_free(a) != is_free(b))
        return is_free(a) ? -1 : 1;
    if (a->area != b->area)
        return a->area > b->area ? -1 : 1;
    if (a->count != b->count)
        return a->count > b->count ? -1 : 1;
    return (a->name > b->name) - (a->name < b->name);
}

static void add_member(const tw_layout_problem *problem, size_t index, unsigned char ways, set *s) {
    const tw_piece *piece = &problem->pieces[index];
    s->upright = s->upright && tw_piece_lie(problem, piece, false).may;
    s->turned = s->turned && tw_piece_lie(problem, piece, true).may;
    s->pinned = s->pinned || piece->pinned_place;
    s->area += (tw_wide)piece->width * (tw_wide)piece->height;
    s->count++;
    s->lies_turned = s->lies_turned || ways == 2;
}

static tw_code list_sets(chooser *c, tw_error *error) {
    const tw_layout_problem *problem = c->problem;
    size_t members = 0;
    unsigned char *ways = NULL;
    tw_code code = tw_piece_ways(c->arena, problem, &ways, error);
    member *all = tw_arena_array(c->arena, problem->count, sizeof *all);
    c->sets = tw_arena_array(c->arena, problem->count, sizeof *c->sets);
    if (code != TW_OK || all == NULL || c->sets == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < problem->count; i++)
        if (problem->pieces[i].alike >= 0)
            all[members++] = (member){problem->pieces[i].alike, i};
    if (members > 0)
        qsort(all, members, sizeof *all, by_name);
    for (size_t i = 0; i < members; i++) {
        if (i == 0 || all[i].name != all[i - 1].name)
            c->sets[c->count++] = (set){.name = all[i].name, .upright = true, .turned = true};
        add_member(problem, all[i].piece, ways[all[i].piece], &c->sets[c->count - 1]);
    }
    for (size_t i = 0; i < c->count; i++)
        c->free += is_free(&c->sets[i]);
    if (c->count > 0)
        qsort(c->sets, c->count, sizeof *c->sets, by_area);
    return TW_OK;
}

bool tw_has_open_sets(const tw_layout_problem *problem) {
    for (size_t i = 0; i < problem->count; i++) {
        const tw_piece *piece = &problem->pieces[i];
        if (piece->alike >= 0 && piece->may_turn && !piece->must_turn)
            return true;
    }
    return false;
}

/* A print that cannot lie as its set does ends up with no way at all. */
static void lay_set(chooser *c, const set *s, bool turned) {
    for (size_t i = 0; i < c->problem->count; i++)
        if (c->pieces[i].alike == s->name) {
            c->pieces[i].may_turn = turned && c->problem->pieces[i].may_turn;
            c->pieces[i].must_turn = turned;
        }
}

static size_t ordered_left(const chooser *c, const tw_layout *layout) {
    size_t count = 0;
    for (size_t i = 0; i < layout->left_count; i++)
        count += !c->pieces[layout->left[i].piece].filler;
    return count;
}

static bool is_better(const chooser *c, const tw_layout *a, const tw_layout *b) {
    size_t left_a = ordered_left(c, a), left_b = ordered_left(c, b);
    return left_a != left_b ? left_a < left_b : a->used < b->used;
}

static tw_code lay_out(const chooser *c, tw_arena *arena, tw_layout *out, tw_error *error) {
    tw_layout_problem fixed = *c->problem;
    fixed.pieces = c->pieces;
    return tw_layout_make(arena, &fixed, out, error);
}

/* Quickly and on paper without end: which way a set takes less must not hang on how much is left,
 * else a roll just long enough could hold fewer prints than a longer one. */
static tw_code look(const chooser *c, tw_layout *out, tw_error *error) {
    tw_layout_problem fixed;
    tw_run quiet;
    tw_endless(c->problem, 0, &quiet, &fixed);
    fixed.pieces = c->pieces;
    fixed.settings.steps = TW_STEPS_QUICK;
    return tw_layout_make(c->arena, &fixed, out, error);
}

/* The same; `kept` false where the pins cannot be kept so. */
static tw_code look_at(const chooser *c, tw_layout *out, bool *kept, tw_error *error) {
    tw_code code = look(c, out, error);
    *kept = code == TW_OK;
    return code == TW_INPUT ? TW_OK : code;
}

/* Turns sets where that pays; *any says that one lies turned. */
static tw_code try_sets(chooser *c, bool *any, tw_error *error) {
    tw_layout best, now;
    bool found = false, kept = false;
    *any = false;
    tw_code code = look_at(c, &best, &found, error);
    for (size_t i = 0; code == TW_OK && i < c->free && i < SETS_TRIED; i++) {
        lay_set(c, &c->sets[i], true);
        code = look_at(c, &now, &kept, error);
        if (code == TW_OK && kept && (!found || is_better(c, &now, &best))) {
            best = now;
            *any = found = true;
        } else {
            lay_set(c, &c->sets[i], false);
        }
    }
    return code;
}

static void lay_free(chooser *c, bool turned) {
    for (size_t i = 0; i < c->free; i++)
        lay_set(c, &c->sets[i], turned);
}

/* Where pins cannot be kept so: with no set turned, or one or another. */
static tw_code save_pins(chooser *c, tw_arena *arena, tw_layout *out, tw_error *error) {
    tw_code code = TW_INPUT;
    lay_free(c, false);
    for (size_t i = 0; code == TW_INPUT && i <= c->free && i <= SETS_TRIED; i++) {
        tw_layout now;
        if (i > 0)
            lay_set(c, &c->sets[i - 1], true);
        code = lay_out(c, arena, &now, error);
        if (code == TW_OK)
            *out = now;
        if (i > 0)
            lay_set(c, &c->sets[i - 1], false);
    }
    return code;
}

static tw_code choose(chooser *c, tw_arena *arena, tw_layout *out, tw_error *error) {
    bool any = false;
    for (size_t i = 0; i < c->count; i++)
        lay_set(c, &c->sets[i], c->sets[i].lies_turned);
    tw_code code = try_sets(c, &any, error);
    if (code == TW_OK)
        code = lay_out(c, arena, out, error);
    if (code == TW_OK && any) {
        tw_layout upright;
        lay_free(c, false);
        tw_code otherwise = lay_out(c, arena, &upright, error);
        if (otherwise == TW_OK && is_better(c, &upright, out))
            *out = upright;
        return otherwise == TW_INPUT ? TW_OK : otherwise;
    }
    return code == TW_INPUT && c->free > 0 ? save_pins(c, arena, out, error) : code;
}

tw_code tw_sets_layout(tw_arena *arena, const tw_layout_problem *problem, tw_layout *out,
                       tw_error *error) {
    chooser c = {.arena = tw_arena_new(tw_arena_allocator(arena), 0), .problem = problem};
    if (c.arena == NULL)
        return tw_no_memory(error);
    tw_code code = list_sets(&c, error);
    c.pieces = tw_arena_array(c.arena, problem->count, sizeof *c.pieces);
    if (code == TW_OK && c.pieces == NULL)
        code = tw_no_memory(error);
    if (code == TW_OK) {
        memcpy(c.pieces, problem->pieces, problem->count * sizeof *c.pieces);
        code = choose(&c, arena, out, error);
    }
    tw_arena_free(c.arena);
    return code;
}
