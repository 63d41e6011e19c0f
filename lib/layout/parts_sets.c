/*
 * Which prints an offcut might take. Removing a whole band of the rolls' layout shortens it by
 * that band whatever else happens; moving as many of one size as the offcut holds may leave rows
 * of it full. Either is filled up with other prints, the largest first.
 */
#include "layout/parts_sets.h"

#include <stdlib.h>
#include <string.h>

enum { PIECES_MOST = 200, BANDS_MOST = 64, WORK = 3000, SETS_LEAST = 3, SETS_MOST = 40 };

typedef struct member {
    const tw_piece *piece;
    size_t index;
} member;

/* The prints that could go, equal sizes together, the largest first. */
typedef struct pool {
    tw_arena *arena;
    const tw_filling *f;
    tw_wide room; /* the offcut's area */
    member *members;
    size_t count;
    size_t *first; /* of each size; sizes + 1 */
    size_t sizes;
    size_t *size_of; /* of each piece of the problem: its size + 1, 0 = may not go */
} pool;

static int compare(int64_t a, int64_t b) {
    return (a > b) - (a < b);
}

static tw_wide area_of(const tw_piece *p) {
    return (tw_wide)p->width * p->height;
}

static int by_look(const tw_piece *a, const tw_piece *b) {
    if (area_of(a) != area_of(b))
        return area_of(a) > area_of(b) ? -1 : 1;
    int order = compare(a->width, b->width);
    if (order == 0)
        order = compare(a->may_turn, b->may_turn);
    for (int side = 0; side < 4 && order == 0; side++) {
        order = compare(a->visible.side[side], b->visible.side[side]);
        if (order == 0)
            order = compare(a->bleed.side[side], b->bleed.side[side]);
    }
    return order;
}

static int by_turn(const member *a, const member *b) {
    int order = compare(a->piece->priority, b->piece->priority);
    return order == 0 ? (a->index > b->index) - (a->index < b->index) : order;
}

static int by_member(const void *left, const void *right) {
    const member *a = left;
    const member *b = right;
    int order = by_look(a->piece, b->piece);
    return order == 0 ? by_turn(a, b) : order;
}

static int by_served(const void *left, const void *right) {
    return by_turn(left, right);
}

void tw_set_by_priority(const tw_layout_problem *problem, size_t *pieces, size_t count) {
    for (size_t i = 1; i < count; i++) { /* few, and nearly in order */
        size_t moving = pieces[i];
        member now = {&problem->pieces[moving], moving};
        size_t at = i;
        for (; at > 0; at--) {
            member before = {&problem->pieces[pieces[at - 1]], pieces[at - 1]};
            if (by_served(&before, &now) <= 0)
                break;
            pieces[at] = pieces[at - 1];
        }
        pieces[at] = moving;
    }
}

static tw_code fill_pool(pool *p, size_t offcut, const unsigned char *away, tw_error *error) {
    const tw_layout_problem *problem = p->f->problem;
    tw_layout_problem sheet = *problem;
    sheet.stock = tw_offcut_stock(p->f, offcut);
    p->room = (tw_wide)sheet.stock.width * sheet.stock.length;
    p->members = tw_arena_array(p->arena, problem->count, sizeof *p->members);
    p->first = tw_arena_array(p->arena, problem->count + 1, sizeof *p->first);
    p->size_of = tw_arena_array(p->arena, problem->count, sizeof *p->size_of);
    if (p->members == NULL || p->first == NULL || p->size_of == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < problem->count; i++) {
        const tw_piece *piece = &problem->pieces[i];
        if (away[i] == 0 && !piece->filler && tw_set_may_leave(p->f, i) &&
            (tw_piece_lie(&sheet, piece, false).may || tw_piece_lie(&sheet, piece, true).may))
            p->members[p->count++] = (member){piece, i};
    }
    if (p->count > 1)
        qsort(p->members, p->count, sizeof *p->members, by_member);
    for (size_t i = 0; i < p->count; i++) {
        if (i == 0 || by_look(p->members[i - 1].piece, p->members[i].piece) != 0)
            p->first[p->sizes++] = i;
        p->size_of[p->members[i].index] = p->sizes;
    }
    p->first[p->sizes] = p->count;
    return TW_OK;
}

/* ---------------------------------------------------------------- lists */

/* How many of each size come first; the rest fills up as far as the area allows any of it. */
static tw_code add_set(pool *p, const size_t *wanted, tw_sets *out, tw_error *error) {
    tw_set *set = &out->items[out->count];
    set->pieces = tw_arena_array(p->arena, PIECES_MOST, sizeof *set->pieces);
    if (set->pieces == NULL)
        return tw_no_memory(error);
    set->count = 0;
    for (int filling_up = 0; filling_up < 2; filling_up++)
        for (size_t k = 0; k < p->sizes; k++) {
            size_t low = p->first[k] + (filling_up == 1 ? wanted[k] : 0);
            size_t high = filling_up == 1 ? p->first[k + 1] : p->first[k] + wanted[k];
            tw_wide taken = 0;
            for (size_t i = low; i < high && set->count < PIECES_MOST; i++) {
                taken += area_of(p->members[i].piece);
                if (taken > p->room)
                    break;
                set->pieces[set->count++] = p->members[i].index;
            }
        }
    out->count++;
    return TW_OK;
}

static tw_code add_sizes(pool *p, size_t most, tw_sets *out, tw_error *error) {
    size_t *wanted = tw_arena_array(p->arena, p->sizes, sizeof *wanted);
    tw_code code = wanted == NULL ? tw_no_memory(error) : TW_OK;
    for (size_t k = 0; k < p->sizes && out->count < most && code == TW_OK; k++) {
        wanted[k] = p->first[k + 1] - p->first[k];
        code = add_set(p, wanted, out, error);
        wanted[k] = 0;
    }
    return code;
}

/* ---------------------------------------------------------------- bands of the rolls */

typedef struct band {
    size_t *wanted; /* of each size */
    tw_nm height;
    tw_wide area;
    bool may_go;
} band;

static tw_nm bottom_of(const tw_part *part, const tw_placed *at) {
    const tw_piece *piece = &part->problem.pieces[at->piece];
    return at->y + (at->turned ? piece->width : piece->height);
}

/* The prints from *next on that no cut across parts; *next moves past them. */
static tw_code read_band(const pool *p, const tw_part *part, size_t *next, band *out,
                         tw_error *error) {
    const tw_placed *placed = part->layout.placed;
    tw_nm end = bottom_of(part, &placed[*next]);
    *out = (band){.may_go = true, .wanted = tw_arena_array(p->arena, p->sizes + 1, sizeof(size_t))};
    if (out->wanted == NULL)
        return tw_no_memory(error);
    size_t first = *next;
    for (; *next < part->layout.placed_count; (*next)++) {
        const tw_placed *at = &placed[*next];
        if (at->sheet != placed[first].sheet || (*next > first && at->y >= end))
            break;
        size_t size = p->size_of[part->pieces[at->piece]];
        end = bottom_of(part, at) > end ? bottom_of(part, at) : end;
        out->may_go = out->may_go && size > 0;
        out->area += area_of(&part->problem.pieces[at->piece]);
        if (size > 0)
            out->wanted[size - 1]++;
    }
    out->height = end - placed[first].y;
    return TW_OK;
}

static bool is_new(const pool *p, const band *bands, size_t count, const band *now) {
    for (size_t i = 0; i < count; i++)
        if (memcmp(bands[i].wanted, now->wanted, p->sizes * sizeof *now->wanted) == 0)
            return false;
    return true;
}

/* Among those kept, the tallest first. */
static void keep_band(band *bands, size_t *count, const band *now) {
    size_t at = *count < BANDS_MOST ? (*count)++ : BANDS_MOST;
    for (; at > 0 && bands[at - 1].height < now->height; at--)
        if (at < BANDS_MOST)
            bands[at] = bands[at - 1];
    if (at < BANDS_MOST)
        bands[at] = *now;
}

static tw_code add_bands(pool *p, const tw_parts *rolls, size_t most, tw_sets *out,
                         tw_error *error) {
    band bands[BANDS_MOST];
    size_t count = 0;
    tw_code code = TW_OK;
    for (size_t i = 0; i < rolls->count; i++) {
        const tw_part *part = &rolls->items[i];
        for (size_t next = 0; next < part->layout.placed_count && code == TW_OK;) {
            band now;
            code = read_band(p, part, &next, &now, error);
            if (code == TW_OK && now.may_go && now.area <= p->room && is_new(p, bands, count, &now))
                keep_band(bands, &count, &now);
        }
    }
    for (size_t i = 0; i < count && out->count < most && code == TW_OK; i++)
        code = add_set(p, bands[i].wanted, out, error);
    return code;
}

/* Each set costs a layout of all the rest. */
static size_t sets_most(size_t pieces) {
    size_t most = WORK / (pieces + 1);
    return most > SETS_MOST ? SETS_MOST : most < SETS_LEAST ? SETS_LEAST : most;
}

tw_code tw_sets_list(tw_arena *arena, const tw_filling *f, size_t offcut, const unsigned char *away,
                     const tw_parts *rolls, tw_sets *out, tw_error *error) {
    pool p = {.arena = arena, .f = f};
    size_t most = sets_most(f->problem->count);
    *out = (tw_sets){.items = tw_arena_array(arena, most, sizeof *out->items)};
    if (out->items == NULL)
        return tw_no_memory(error);
    tw_code code = fill_pool(&p, offcut, away, error);
    if (code == TW_OK && p.count > 0)
        code = add_bands(&p, rolls, most - most / 2, out, error);
    if (code == TW_OK && p.count > 0)
        code = add_sizes(&p, most, out, error);
    return code;
}
