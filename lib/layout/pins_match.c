/*
 * Pins kept for nothing: in a layout made without them, equal prints change places and sheets
 * change numbers until every pin is true. So a print pinned where it lies already changes nothing,
 * and one pinned to a sheet only seldom costs paper.
 */
#include "layout/pins.h"

#include "layout/pack.h"

#include <string.h>

typedef struct matcher {
    const tw_pins *pins;
    tw_layout *layout;
    const tw_piece *pieces; /* without pins */
    size_t *kind;           /* of each piece; SIZE_MAX: in none */
    size_t *where;          /* of each piece: its entry in layout->placed */
    size_t *first;          /* of each sheet's entries; sheet_count + 1 of them */
    int *sheet_of;          /* of each pinned sheet: the layout's sheet it becomes */
    bool *taken;            /* of each sheet of the layout */
    bool *used;             /* of each entry: a pin has it */
    size_t *entry;          /* of each in pins->list: the entry it gets */
} matcher;

static tw_code make_room(matcher *m, tw_error *error) {
    tw_arena *arena = m->pins->arena;
    size_t pieces = m->pins->problem->count, sheets = (size_t)m->layout->sheet_count;
    m->kind = tw_arena_array(arena, pieces, sizeof *m->kind);
    m->where = tw_arena_array(arena, pieces, sizeof *m->where);
    m->first = tw_arena_array(arena, sheets + 1, sizeof *m->first);
    m->sheet_of = tw_arena_array(arena, (size_t)m->pins->sheets, sizeof *m->sheet_of);
    m->taken = tw_arena_array(arena, sheets, sizeof *m->taken);
    m->used = tw_arena_array(arena, m->layout->placed_count, sizeof *m->used);
    m->entry = tw_arena_array(arena, m->pins->count, sizeof *m->entry);
    bool all = m->kind != NULL && m->where != NULL && m->first != NULL && m->sheet_of != NULL &&
               m->taken != NULL && m->used != NULL && m->entry != NULL;
    return all ? TW_OK : tw_no_memory(error);
}

/* Pieces of one kind may change places: what tells them apart, the layout does not look at. */
static tw_code find_kinds(matcher *m, const tw_layout_problem *plain, tw_error *error) {
    tw_kinds kinds;
    unsigned char *ways;
    tw_code code = tw_piece_ways(m->pins->arena, plain, &ways, error);
    if (code == TW_OK)
        code = tw_kinds_make(m->pins->arena, plain, ways, &kinds, error);
    for (size_t i = 0; i < plain->count; i++)
        m->kind[i] = SIZE_MAX;
    for (size_t k = 0; code == TW_OK && k < kinds.count; k++)
        for (size_t i = 0; i < kinds.items[k].count; i++)
            m->kind[kinds.order[kinds.items[k].first + i]] = k;
    return code;
}

static void index_layout(matcher *m) {
    const tw_layout *layout = m->layout;
    size_t at = 0;
    for (size_t i = 0; i < m->pins->problem->count; i++)
        m->where[i] = SIZE_MAX;
    for (size_t i = 0; i < layout->placed_count; i++)
        m->where[layout->placed[i].piece] = i;
    for (int sheet = 0; sheet < layout->sheet_count; sheet++) {
        m->first[sheet] = at;
        while (at < layout->placed_count && layout->placed[at].sheet == sheet)
            at++;
    }
    m->first[layout->sheet_count] = at;
}

/* ---------------------------------------------------------------- one pinned sheet */

/* Would this entry do for the pin? A filler in an order's place could leave a sheet of fillers. */
static bool suits(const matcher *m, size_t piece, size_t entry) {
    const tw_piece *pin = &m->pins->problem->pieces[piece];
    const tw_placed *p = &m->layout->placed[entry];
    if (m->used[entry] || m->kind[p->piece] != m->kind[piece] ||
        m->pieces[p->piece].filler != m->pieces[piece].filler)
        return false;
    return !pin->pinned_place ||
           (p->x == pin->pin_x && p->y == pin->pin_y && p->turned == pin->pin_turned);
}

/* Its own place where that suits, else the first that does; SIZE_MAX when none does. */
static size_t find_entry(const matcher *m, size_t piece, int sheet) {
    size_t own = m->where[piece];
    if (own >= m->first[sheet] && own < m->first[sheet + 1] && suits(m, piece, own))
        return own;
    for (size_t i = m->first[sheet]; i < m->first[sheet + 1]; i++)
        if (suits(m, piece, i))
            return i;
    return SIZE_MAX;
}

/* Can this sheet of the layout be the pinned one? */
static bool try_sheet(matcher *m, int at, int sheet) {
    size_t first = m->pins->first[at], end = m->pins->first[at + 1];
    size_t i = first;
    for (; i < end; i++) {
        m->entry[i] = find_entry(m, m->pins->list[i], sheet);
        if (m->entry[i] == SIZE_MAX)
            break;
        m->used[m->entry[i]] = true;
    }
    if (i == end)
        return true;
    while (i-- > first)
        m->used[m->entry[i]] = false;
    return false;
}

/* The sheet of that number before any other, so that little changes. */
static bool find_sheet(matcher *m, int at) {
    int number = tw_pins_number(m->pins, at);
    int sheets = m->layout->sheet_count;
    if (number >= sheets)
        return false;
    for (int i = -1; i < sheets; i++) {
        int sheet = i < 0 ? number : i;
        if (m->taken[sheet] || !try_sheet(m, at, sheet))
            continue;
        m->taken[sheet] = true;
        m->sheet_of[at] = sheet;
        return true;
    }
    return false;
}

/* ---------------------------------------------------------------- making it true */

static void swap_pieces(matcher *m) {
    tw_placed *placed = m->layout->placed;
    for (size_t i = 0; i < m->pins->count; i++) {
        size_t piece = m->pins->list[i], to = m->entry[i], from = m->where[piece];
        size_t other = placed[to].piece;
        placed[from].piece = other;
        placed[to].piece = piece;
        m->where[other] = from;
        m->where[piece] = to;
    }
}

/* Pinned sheets get their numbers, the others those that are left, in their order. */
static tw_code number_sheets(matcher *m, tw_error *error) {
    size_t sheets = (size_t)m->layout->sheet_count;
    int *number = tw_arena_array(m->pins->arena, sheets, sizeof *number);
    bool *given = tw_arena_array(m->pins->arena, sheets, sizeof *given);
    tw_nm *length = tw_arena_array(m->pins->arena, sheets, sizeof *length);
    if (number == NULL || given == NULL || length == NULL)
        return tw_no_memory(error);
    for (int at = 0; at < m->pins->sheets; at++) {
        number[m->sheet_of[at]] = tw_pins_number(m->pins, at);
        given[tw_pins_number(m->pins, at)] = true;
    }
    size_t next = 0;
    for (size_t sheet = 0; sheet < sheets; sheet++) {
        while (!m->taken[sheet] && given[next])
            next++;
        if (!m->taken[sheet])
            number[sheet] = (int)next++;
        length[number[sheet]] = m->layout->sheet_length[sheet];
    }
    memcpy(m->layout->sheet_length, length, sheets * sizeof *length);
    for (size_t i = 0; i < m->layout->placed_count; i++)
        m->layout->placed[i].sheet = number[m->layout->placed[i].sheet];
    return TW_OK;
}

tw_code tw_pins_match(const tw_pins *pins, const tw_layout_problem *plain, tw_layout *layout,
                      bool *matched, tw_error *error) {
    matcher m = {.pins = pins, .layout = layout, .pieces = plain->pieces};
    *matched = false;
    tw_code code = make_room(&m, error);
    if (code == TW_OK)
        code = find_kinds(&m, plain, error);
    if (code != TW_OK)
        return code;
    index_layout(&m);
    for (int at = 0; at < pins->sheets; at++)
        if (!find_sheet(&m, at))
            return TW_OK;
    swap_pieces(&m);
    code = number_sheets(&m, error);
    if (code != TW_OK)
        return code;
    tw_pack_total(pins->problem, layout);
    *matched = true;
    return TW_OK;
}
