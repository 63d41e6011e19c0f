/*
 * Recorded offcuts as sheets. They cost nothing more, so each takes the prints without which the
 * rolls get shortest: several sets are tried, a band of the rolls' layout first or as many of one
 * size as it holds, filled up with others; each is laid on the offcut and the rest quickly on the
 * rolls. A set that shortens nothing by itself may do so together with the next offcut's, so it is
 * kept until the end and dropped then if it did not. What was found so is laid with the effort
 * asked for and kept only if it is better.
 */
#include <stdlib.h>
#include <string.h>

#include "layout/parts_sets.h"
#include "layout/pay.h"

/* A set tried and what it comes to, in an arena of its own. */
typedef struct trial {
    tw_arena *arena;
    unsigned char *away; /* with the set */
    tw_outcome outcome;
    size_t moved; /* prints on the offcut */
    tw_wide area; /* of them */
} trial;

/* Pieces laid out again while looking, over all sets; beyond it the most paper moved decides. */
enum { LOOKS = 40000, LOOKS_LEAST = 8 };

typedef struct search {
    tw_filling *f;
    tw_arena *arena; /* what is settled */
    unsigned char *away;
    tw_outcome best;     /* quick, with `away` */
    tw_parts rolls;      /* the layout it belongs to */
    int64_t looks;       /* layouts of the rest that may still be made */
    unsigned char *kept; /* where the last offcut that was of use left off */
    tw_outcome kept_outcome;
} search;

static tw_code lay_rest(search *s, const unsigned char *away, tw_arena *arena, tw_parts *parts,
                        tw_outcome *out, tw_error *error) {
    s->f->away = away;
    s->f->steps = tw_quick_steps(s->f->problem);
    s->f->looking = true;
    tw_code code = tw_fill_rolls(arena, s->f, NULL, s->f->supply->further_count + 1, parts, error);
    s->f->away = NULL;
    s->f->looking = false;
    return code == TW_OK ? tw_outcome_make(arena, s->f->problem, parts, out, error) : code;
}

/* The set's front on the offcut; what found a place there is away from the rolls. */
static tw_code try_set(search *s, size_t offcut, const tw_set *set, trial *out, tw_error *error) {
    size_t count = s->f->problem->count;
    tw_part part;
    tw_parts parts;
    *out = (trial){.arena = tw_arena_new(tw_arena_allocator(s->arena), 0)};
    if (out->arena == NULL)
        return tw_no_memory(error);
    out->away = tw_arena_array(out->arena, count, 1);
    if (out->away == NULL)
        return tw_no_memory(error);
    tw_code code = tw_offcut_part(out->arena, s->f, offcut, set->pieces, set->count, &part, error);
    if (code != TW_OK || part.layout.placed_count == 0)
        return code;
    memcpy(out->away, s->away, count);
    out->moved = part.layout.placed_count;
    for (size_t i = 0; i < out->moved; i++) {
        size_t piece = part.pieces[part.layout.placed[i].piece];
        out->away[piece] = (unsigned char)(offcut + 1);
        out->area +=
            (tw_wide)s->f->problem->pieces[piece].width * s->f->problem->pieces[piece].height;
    }
    out->outcome = s->best;
    if (s->looks-- <= 0)
        return TW_OK;
    code = lay_rest(s, out->away, out->arena, &parts, &out->outcome, error);
    if (code != TW_INPUT)
        return code;
    out->moved = 0; /* without these prints the pins cannot be kept */
    return TW_OK;
}

/* No worse than without it; of equals the most is moved, which the next offcut may complete. */
static bool wins(const trial *now, const trial *best, const tw_outcome *settled) {
    if (now->moved == 0 || tw_outcome_better(settled, &now->outcome))
        return false;
    if (best->arena == NULL || tw_outcome_better(&now->outcome, &best->outcome))
        return true;
    return !tw_outcome_better(&best->outcome, &now->outcome) && now->area > best->area;
}

/* The best set for one offcut, if any is no worse than none. */
static tw_code find_set(search *s, size_t offcut, trial *best, tw_error *error) {
    tw_arena *scratch = tw_arena_new(tw_arena_allocator(s->arena), 0);
    tw_sets sets = {0};
    *best = (trial){0};
    if (scratch == NULL)
        return tw_no_memory(error);
    tw_code code = tw_sets_list(scratch, s->f, offcut, s->away, &s->rolls, &sets, error);
    for (size_t i = 0; i < sets.count && code == TW_OK && !s->f->stopped; i++) {
        trial now;
        code = try_set(s, offcut, &sets.items[i], &now, error);
        bool better = code == TW_OK && wins(&now, best, &s->best);
        tw_arena_free(better ? best->arena : now.arena);
        if (better)
            *best = now;
    }
    tw_arena_free(scratch);
    return code;
}

static tw_code settle(search *s, const unsigned char *away, tw_error *error) {
    memcpy(s->away, away, s->f->problem->count);
    bool blind = s->looks-- <= 0;
    tw_code code = blind ? TW_OK : lay_rest(s, s->away, s->arena, &s->rolls, &s->best, error);
    if (code == TW_OK && (blind || tw_outcome_better(&s->best, &s->kept_outcome))) {
        memcpy(s->kept, s->away, s->f->problem->count);
        s->kept_outcome = s->best;
    }
    return code;
}

static bool same_size(tw_size a, tw_size b) {
    return a.width == b.width && a.height == b.height;
}

/* One offcut after another, the largest first; of equal ones none after one that found no use. */
static tw_code search_all(search *s, const size_t *order, tw_error *error) {
    const tw_supply *supply = s->f->supply;
    tw_code code = TW_OK;
    bool useless = false;
    for (size_t i = 0; i < supply->offcut_count && code == TW_OK && !s->f->stopped; i++) {
        trial best = {0};
        if (i > 0 && useless && same_size(supply->offcuts[order[i]], supply->offcuts[order[i - 1]]))
            continue;
        code = find_set(s, order[i], &best, error);
        useless = best.arena == NULL;
        if (code == TW_OK && !useless)
            code = settle(s, best.away, error);
        tw_arena_free(best.arena);
    }
    return code;
}

/* Offcuts whose prints the rolls take as well are given back. */
static tw_code give_back(search *s, const size_t *order, tw_error *error) {
    size_t count = s->f->problem->count;
    tw_code code = TW_OK;
    for (size_t i = 0; i < s->f->supply->offcut_count && code == TW_OK && !s->f->stopped; i++) {
        bool used = false;
        for (size_t k = 0; k < count; k++) {
            used = used || s->kept[k] == order[i] + 1;
            s->away[k] = s->kept[k] == order[i] + 1 ? 0 : s->kept[k];
        }
        if (!used || s->looks-- <= 0)
            continue;
        code = lay_rest(s, s->away, s->arena, &s->rolls, &s->best, error);
        if (code == TW_INPUT) { /* the pins cannot be kept so */
            code = TW_OK;
            continue;
        }
        if (code == TW_OK && !tw_outcome_better(&s->kept_outcome, &s->best)) {
            memcpy(s->kept, s->away, count);
            s->kept_outcome = s->best;
        }
    }
    return code;
}

static tw_code order_offcuts(tw_arena *arena, const tw_supply *supply, size_t **out,
                             tw_error *error) {
    size_t *order = *out = tw_arena_array(arena, supply->offcut_count, sizeof *order);
    if (order == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < supply->offcut_count; i++) {
        tw_wide area = (tw_wide)supply->offcuts[i].width * supply->offcuts[i].height;
        size_t at = i;
        for (; at > 0; at--) { /* few: insertion keeps equals as given */
            const tw_size *before = &supply->offcuts[order[at - 1]];
            if ((tw_wide)before->width * before->height >= area)
                break;
            order[at] = order[at - 1];
        }
        order[at] = i;
    }
    return TW_OK;
}

/* Which pieces are to leave the rolls: away[] by offcut + 1. */
static tw_code look_for_sets(tw_arena *arena, tw_filling *f, unsigned char *away, tw_error *error) {
    search s = {.f = f, .arena = tw_arena_new(tw_arena_allocator(arena), 0), .kept = away};
    size_t *order = NULL;
    if (s.arena == NULL)
        return tw_no_memory(error);
    s.looks = LOOKS / ((int64_t)f->problem->count + 1);
    s.looks = s.looks < LOOKS_LEAST ? LOOKS_LEAST : s.looks;
    s.away = tw_arena_array(s.arena, f->problem->count, 1);
    tw_code code =
        s.away == NULL ? tw_no_memory(error) : order_offcuts(s.arena, f->supply, &order, error);
    if (code == TW_OK)
        code = lay_rest(&s, s.away, s.arena, &s.rolls, &s.best, error);
    s.kept_outcome = s.best;
    if (code == TW_OK)
        code = search_all(&s, order, error);
    if (code == TW_OK)
        code = give_back(&s, order, error);
    tw_arena_free(s.arena);
    if (code != TW_CANCELLED)
        return code;
    tw_filling_stop(f); /* what was of use until then is good */
    return TW_OK;
}

/* ---------------------------------------------------------------- the offcuts themselves */

static bool takes_any(const unsigned char *away, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (away[i] != 0)
            return true;
    return false;
}

/* Takes what an offcut's sheet holds out of those left. */
static void take_out(tw_parts *parts, const tw_part *part) {
    size_t kept = 0;
    for (size_t i = 0; i < parts->left_count; i++) {
        bool placed = false;
        for (size_t k = 0; k < part->layout.placed_count && !placed; k++)
            placed = part->pieces[part->layout.placed[k].piece] == parts->left[i].piece;
        if (!placed)
            parts->left[kept++] = parts->left[i];
    }
    parts->left_count = kept;
}

/* Those the paper did not hold, due first first; then fillers. */
static size_t add_left(const tw_filling *f, const tw_parts *parts, bool orders, size_t *out,
                       size_t count) {
    const tw_piece *pieces = f->problem->pieces;
    size_t first = count;
    for (int fillers = orders ? 0 : 1; fillers < 2; fillers++) {
        for (size_t i = 0; i < parts->left_count; i++) {
            const tw_left *left = &parts->left[i];
            if (left->why == TW_LEFT_PAPER_USED && pieces[left->piece].filler == (fillers == 1) &&
                tw_set_may_leave(f, left->piece))
                out[count++] = left->piece;
        }
        if (fillers == 0)
            tw_set_by_priority(f->problem, out + first, count - first);
    }
    return count;
}

/* Are the first `own` of its list on the sheet? */
static bool holds_its_own(const tw_part *part, size_t own) {
    size_t placed = 0;
    for (size_t i = 0; i < part->layout.placed_count; i++)
        placed += part->layout.placed[i].piece < own;
    return placed == own;
}

/* One offcut: its own prints, then what is left out, then fillers; its own alone where that is
 * too much at once. *complete: its own found their places. */
static tw_code lay_offcut(tw_arena *arena, const tw_filling *f, size_t offcut,
                          const unsigned char *away, tw_parts *parts, bool *complete,
                          tw_error *error) {
    tw_part part;
    size_t own = 0;
    size_t *list = tw_arena_array(arena, f->problem->count, sizeof *list);
    if (list == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < f->problem->count; i++)
        if (away[i] == offcut + 1)
            list[own++] = i;
    tw_set_by_priority(f->problem, list, own);
    size_t count = add_left(f, parts, true, list, own);
    if (count == 0 || (own == 0 && f->problem->pieces[list[0]].filler))
        return TW_OK;
    tw_code code = tw_offcut_part(arena, f, offcut, list, count, &part, error);
    if (code == TW_OK && !holds_its_own(&part, own))
        code = tw_offcut_part(arena, f, offcut, list, own, &part, error);
    if (code != TW_OK || part.layout.placed_count == 0)
        return code;
    *complete = *complete && holds_its_own(&part, own);
    take_out(parts, &part);
    parts->items[parts->count++] = part;
    return TW_OK;
}

static tw_code lay_offcuts(tw_arena *arena, const tw_filling *f, const unsigned char *away,
                           tw_parts *parts, bool *complete, tw_error *error) {
    tw_code code = TW_OK;
    *complete = true;
    for (size_t i = 0; i < f->supply->offcut_count && code == TW_OK; i++)
        code = lay_offcut(arena, f, i, away, parts, complete, error);
    return code;
}

static bool misses_orders(const tw_filling *f, const tw_parts *parts) {
    for (size_t i = 0; i < parts->left_count; i++)
        if (!f->problem->pieces[parts->left[i].piece].filler)
            return true;
    return false;
}

/* Fewer early prints left out come first; then what is wanted of a layout: the price, else the
 * paper before the cuts. */
static tw_code is_better(tw_arena *arena, const tw_filling *f, const tw_parts *with,
                         const tw_parts *without, bool *out, tw_error *error) {
    const tw_allocator *allocator = tw_arena_allocator(arena);
    tw_outcome before;
    tw_outcome after;
    tw_pay old;
    tw_pay now;
    tw_code code = tw_outcome_make(arena, f->problem, without, &before, error);
    if (code == TW_OK)
        code = tw_outcome_make(arena, f->problem, with, &after, error);
    if (code == TW_OK)
        code = tw_parts_pay(allocator, f->problem, without, &old, error);
    if (code == TW_OK)
        code = tw_parts_pay(allocator, f->problem, with, &now, error);
    if (code != TW_OK)
        return code;
    int order =
        tw_missed_compare(after.missed, after.missed_count, before.missed, before.missed_count);
    *out =
        order < 0 || (order == 0 && tw_pay_compare_for(f->problem->settings.want, &now, &old) < 0);
    return TW_OK;
}

/* Laid as asked with what is away from the rolls: taken if it is better than *parts. */
static tw_code keep_better(tw_arena *arena, tw_filling *f, const unsigned char *away,
                           tw_parts *parts, tw_error *error) {
    tw_parts with;
    bool complete = false;
    bool better = false;
    f->away = away;
    tw_code code = tw_fill_best(arena, f, &with, error);
    f->away = NULL;
    if (code == TW_OK)
        code = lay_offcuts(arena, f, away, &with, &complete, error);
    if (code == TW_OK)
        code = is_better(arena, f, &with, parts, &better, error);
    if (code != TW_OK || !complete || !better)
        return code;
    with.saved = misses_orders(f, parts) ? 0 : parts->used - with.used;
    *parts = with;
    return TW_OK;
}

tw_code tw_parts_offcuts(tw_arena *arena, tw_filling *f, tw_parts *parts, tw_error *error) {
    unsigned char *away = tw_arena_array(arena, f->problem->count, 1);
    bool complete;
    if (away == NULL)
        return tw_no_memory(error);
    tw_code code = lay_offcuts(arena, f, away, parts, &complete, error); /* what was left out */
    if (code == TW_OK && !f->stopped)
        code = look_for_sets(arena, f, away, error);
    if (code == TW_OK && takes_any(away, f->problem->count))
        code = keep_better(arena, f, away, parts, error);
    parts->stopped_early = f->stopped;
    return code;
}
