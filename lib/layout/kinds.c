/*
 * Equal pieces found: pieces that lie alike in every respect the layout looks at are one kind.
 * The order of kinds, and of pieces in a kind, comes from what the pieces are, so that the order
 * of the input's lines does not reach the plan; indexes break ties between true equals only.
 */
#include "layout/pieces.h"

#include <stdlib.h>
#include <string.h>

typedef struct sorted {
    tw_lie lie[2];
    int image;
    int64_t bytes;
    const tw_piece *piece;
    size_t index;
} sorted;

static int compare(int64_t a, int64_t b) {
    return (a > b) - (a < b);
}

static int compare_sides(const tw_sides *a, const tw_sides *b) {
    int order = 0;
    for (int side = 0; side < 4 && order == 0; side++)
        order = compare(a->side[side], b->side[side]);
    return order;
}

static int compare_lies(const tw_lie *a, const tw_lie *b) {
    int order = compare(b->height, a->height);
    if (order == 0)
        order = compare(b->width, a->width);
    if (order == 0)
        order = compare(b->may, a->may);
    if (order == 0)
        order = compare_sides(&a->keep, &b->keep);
    return order == 0 ? compare_sides(&a->bleed, &b->bleed) : order;
}

static int compare_kinds(const sorted *a, const sorted *b) {
    int order = compare_lies(&a->lie[0], &b->lie[0]);
    if (order == 0)
        order = compare_lies(&a->lie[1], &b->lie[1]);
    if (order == 0)
        order = compare(a->image, b->image);
    return order == 0 ? compare(a->bytes, b->bytes) : order;
}

int tw_piece_compare(const tw_piece *a, const tw_piece *b) {
    const int64_t left[] = {a->priority, a->group, a->image,    a->worth, a->alike,
                            a->bytes,    a->limit, a->may_turn, a->tie};
    const int64_t right[] = {b->priority, b->group, b->image,    b->worth, b->alike,
                             b->bytes,    b->limit, b->may_turn, b->tie};
    int order = compare_sides(&a->visible, &b->visible);
    for (size_t i = 0; i < sizeof left / sizeof *left; i++)
        if (left[i] != right[i])
            return compare(left[i], right[i]);
    return order;
}

static int by_kind(const void *left, const void *right) {
    const sorted *a = *(const sorted *const *)left;
    const sorted *b = *(const sorted *const *)right;
    int order = compare_kinds(a, b);
    if (order == 0)
        order = tw_piece_compare(a->piece, b->piece);
    return order == 0 ? (a->index > b->index) - (a->index < b->index) : order;
}

static bool bytes_matter(const tw_layout_problem *problem, const unsigned char *take) {
    int64_t most = problem->settings.sheet_bytes_most;
    int64_t left = most;
    if (most <= 0)
        return false;
    for (size_t i = 0; i < problem->count; i++) {
        if (take[i] == 0)
            continue;
        if (problem->pieces[i].bytes > left)
            return true;
        left -= problem->pieces[i].bytes;
    }
    return false;
}

static bool same_lie(const tw_lie *a, const tw_lie *b) {
    return a->may == b->may && a->width == b->width && a->height == b->height &&
           compare_sides(&a->keep, &b->keep) == 0 && compare_sides(&a->bleed, &b->bleed) == 0;
}

/* A way it may not lie is blanked, and so is a turn that changes nothing: what does not matter
 * must not tell kinds apart. */
static sorted entry(const tw_layout_problem *problem, size_t index, unsigned char ways,
                    bool by_bytes) {
    const tw_piece *piece = &problem->pieces[index];
    sorted made = {.piece = piece, .index = index, .image = -1};
    for (int way = 0; way < 2; way++)
        if ((ways & (1 << way)) != 0)
            made.lie[way] = tw_piece_lie(problem, piece, way == 1);
    if (same_lie(&made.lie[0], &made.lie[1]))
        memset(&made.lie[1], 0, sizeof made.lie[1]);
    if (by_bytes) {
        made.image = piece->image < 0 ? -1 : piece->image;
        made.bytes = piece->bytes;
    }
    return made;
}

static void gather(tw_kinds *out, sorted **list, size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (i == 0 || compare_kinds(list[i - 1], list[i]) != 0) {
            tw_kind *kind = &out->items[out->count++];
            *kind = (tw_kind){.first = i, .image = list[i]->image, .bytes = list[i]->bytes};
            memcpy(kind->lie, list[i]->lie, sizeof kind->lie);
        }
        out->items[out->count - 1].count++;
        out->order[i] = list[i]->index;
    }
    out->order_count = count;
}

tw_code tw_kinds_make(tw_arena *arena, const tw_layout_problem *problem, const unsigned char *take,
                      tw_kinds *out, tw_error *error) {
    size_t count = 0;
    for (size_t i = 0; i < problem->count; i++)
        count += take[i] != 0;
    sorted *entries = tw_arena_array(arena, count, sizeof *entries);
    sorted **list = tw_arena_array(arena, count, sizeof(sorted *));
    memset(out, 0, sizeof *out);
    out->items = tw_arena_array(arena, count, sizeof *out->items);
    out->order = tw_arena_array(arena, count, sizeof *out->order);
    if (entries == NULL || list == NULL || out->items == NULL || out->order == NULL)
        return tw_no_memory(error);
    out->by_bytes = bytes_matter(problem, take);
    size_t at = 0;
    for (size_t i = 0; i < problem->count; i++) {
        if (take[i] == 0)
            continue;
        entries[at] = entry(problem, i, take[i], out->by_bytes);
        list[at] = &entries[at];
        at++;
    }
    if (count > 0)
        qsort(list, count, sizeof(sorted *), by_kind);
    gather(out, list, count);
    return TW_OK;
}

typedef struct member {
    int set;
    size_t index;
} member;

static int by_set(const void *left, const void *right) {
    const member *a = left;
    const member *b = right;
    int order = compare(a->set, b->set);
    return order == 0 ? (a->index > b->index) - (a->index < b->index) : order;
}

/* One set: the one way all of it lies, that of a print pinned to its place before any other. */
static void settle_set(const tw_layout_problem *problem, const member *members, size_t count,
                       unsigned char *ways) {
    size_t upright = 0;
    size_t turned = 0;
    unsigned char pinned = 0;
    for (size_t i = 0; i < count; i++) {
        if (problem->pieces[members[i].index].pinned_place && pinned == 0)
            pinned = ways[members[i].index];
        upright += (ways[members[i].index] & 1) != 0;
        turned += (ways[members[i].index] & 2) != 0;
    }
    unsigned char way = pinned != 0 ? pinned : turned > upright ? 2 : 1;
    for (size_t i = 0; i < count; i++)
        ways[members[i].index] &= way;
}

static tw_code settle_sets(tw_arena *arena, const tw_layout_problem *problem, unsigned char *ways,
                           tw_error *error) {
    member *members = tw_arena_array(arena, problem->count, sizeof *members);
    if (members == NULL)
        return tw_no_memory(error);
    size_t count = 0;
    for (size_t i = 0; i < problem->count; i++)
        if (problem->pieces[i].alike >= 0)
            members[count++] = (member){problem->pieces[i].alike, i};
    if (count > 0)
        qsort(members, count, sizeof *members, by_set);
    for (size_t first = 0, i = 1; i <= count; i++)
        if (i == count || members[i].set != members[first].set) {
            settle_set(problem, &members[first], i - first, ways);
            first = i;
        }
    return TW_OK;
}

static bool pin_allows(const tw_piece *piece, bool turned) {
    return !piece->pinned_place || piece->pin_turned == turned;
}

tw_code tw_piece_ways(tw_arena *arena, const tw_layout_problem *problem, unsigned char **out,
                      tw_error *error) {
    *out = tw_arena_array(arena, problem->count, 1);
    if (*out == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < problem->count; i++)
        for (int way = 0; way < 2; way++)
            if (pin_allows(&problem->pieces[i], way == 1) &&
                tw_piece_lie(problem, &problem->pieces[i], way == 1).may)
                (*out)[i] |= (unsigned char)(1 << way);
    return settle_sets(arena, problem, *out, error);
}
