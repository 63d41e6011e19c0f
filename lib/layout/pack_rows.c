/*
 * All the rows: the tallest print left leads the next row, which is made as often as the prints
 * suffice. Equal prints thus come in equal rows, and a day of few sizes needs few decisions.
 */
#include "layout/pack.h"

#include <stdlib.h>
#include <string.h>

static int compare(int64_t a, int64_t b) {
    return (a > b) - (a < b);
}

static int by_rank(const tw_option *a, const tw_option *b) {
    int order = a->kind < b->kind ? -1 : a->kind > b->kind;
    return order == 0 ? compare(a->way, b->way) : order;
}

static int by_height(const void *left, const void *right) {
    const tw_option *a = left;
    const tw_option *b = right;
    int order = compare(b->height, a->height);
    if (order == 0)
        order = compare(b->width, a->width);
    return order == 0 ? by_rank(a, b) : order;
}

static int by_width(const void *left, const void *right) {
    const tw_option *a = left;
    const tw_option *b = right;
    int order = compare(b->width, a->width);
    if (order == 0)
        order = compare(b->height, a->height);
    return order == 0 ? by_rank(a, b) : order;
}

tw_code tw_pack_start(tw_packer *packer, tw_error *error) {
    size_t most = 2 * packer->kinds->count;
    packer->tall = tw_arena_array(packer->arena, most, sizeof *packer->tall);
    packer->wide = tw_arena_array(packer->arena, most, sizeof *packer->wide);
    packer->left = tw_arena_array(packer->arena, packer->kinds->count, sizeof *packer->left);
    if (packer->tall == NULL || packer->wide == NULL || packer->left == NULL)
        return tw_no_memory(error);
    packer->option_count = 0;
    for (size_t i = 0; i < packer->kinds->count; i++) {
        packer->left[i] = packer->kinds->items[i].count;
        for (int way = 0; way < 2; way++) {
            const tw_lie *lie = &packer->kinds->items[i].lie[way];
            if (lie->may)
                packer->tall[packer->option_count++] = (tw_option){i, way, lie->width, lie->height};
        }
    }
    memcpy(packer->wide, packer->tall, packer->option_count * sizeof *packer->wide);
    if (packer->option_count > 0) {
        qsort(packer->tall, packer->option_count, sizeof *packer->tall, by_height);
        qsort(packer->wide, packer->option_count, sizeof *packer->wide, by_width);
    }
    return TW_OK;
}

static const tw_lie *other_way(const tw_packer *packer, const tw_option *option) {
    const tw_lie *lie = &packer->kinds->items[option->kind].lie[1 - option->way];
    return lie->may ? lie : NULL;
}

/* Does this option lead under this rule, or does the kind's other way? */
static bool may_lead(const tw_packer *packer, const tw_option *option, tw_pack_lead lead) {
    const tw_lie *other = other_way(packer, option);
    if (other == NULL)
        return true;
    bool lower =
        option->height < other->height || (option->height == other->height && option->way == 0);
    return lead == TW_LEAD_LOW ? lower : !lower;
}

/* More of its height used: area / height, compared without division. Areas in units of 2^20 nm2
 * keep the product within 128 bits. */
static bool fuller(const tw_row *a, const tw_row *b) {
    return (a->area >> 20) * (tw_wide)b->height > (b->area >> 20) * (tw_wide)a->height;
}

/* The row's cuts: between its columns, and where waste is at its sides. */
static size_t row_cuts(const tw_packer *packer, const tw_row *row) {
    tw_nm low = packer->problem->stock.width, high = 0;
    int columns = 0;
    for (size_t i = 0; i < row->count; i++) {
        const tw_slot *slot = &row->slots[i];
        tw_nm right = slot->x + packer->kinds->items[slot->kind].lie[slot->way].width;
        low = slot->x < low ? slot->x : low;
        high = right > high ? right : high;
        columns = slot->column >= columns ? slot->column + 1 : columns;
    }
    return (size_t)columns - 1 + (low > 0) + (high < packer->problem->stock.width);
}

/* Fewer of them for each print; the fuller row where that is equal. */
static bool fewer_cuts(const tw_packer *packer, const tw_row *a, const tw_row *b) {
    size_t cuts_a = row_cuts(packer, a) * b->count;
    size_t cuts_b = row_cuts(packer, b) * a->count;
    return cuts_a != cuts_b ? cuts_a < cuts_b : fuller(a, b);
}

static tw_code make_row(tw_packer *packer, const tw_option *leader, tw_pack_way way, tw_row *out,
                        tw_error *error) {
    const tw_lie *other = other_way(packer, leader);
    tw_code code = tw_pack_row(packer, leader, way.fill, out, error);
    if (code != TW_OK)
        return code;
    if (way.lead == TW_LEAD_LOW || way.lead == TW_LEAD_TALL || other == NULL)
        return TW_OK;
    tw_option turned = {leader->kind, 1 - leader->way, other->width, other->height};
    tw_row row = {0};
    code = tw_pack_row(packer, &turned, way.fill, &row, error);
    if (code != TW_OK)
        return code;
    if (way.lead == TW_LEAD_FEW ? fewer_cuts(packer, &row, out) : fuller(&row, out))
        *out = row;
    return TW_OK;
}

static size_t still_left(const tw_packer *packer, tw_option *options) {
    size_t to = 0;
    for (size_t i = 0; i < packer->option_count; i++)
        if (packer->left[options[i].kind] > 0)
            options[to++] = options[i];
    return to;
}

/* Options of prints all placed leave the lists, so that looking through them stays quick. */
static void drop_spent(tw_packer *packer) {
    size_t count = still_left(packer, packer->tall);
    (void)still_left(packer, packer->wide);
    packer->option_count = count;
    packer->spent = 0;
}

tw_code tw_pack_keep_row(tw_packer *packer, tw_rows *rows, const tw_row *row, tw_error *error) {
    tw_row *grown =
        tw_arena_grow(packer->arena, rows->items, rows->count, &rows->room, sizeof *rows->items);
    if (grown == NULL)
        return tw_no_memory(error);
    rows->items = grown;
    rows->items[rows->count++] = *row;
    rows->total += row->times;
    for (size_t i = 0; i < row->count; i++) {
        packer->left[row->slots[i].kind] -= row->times;
        packer->spent += packer->left[row->slots[i].kind] == 0;
    }
    if (2 * packer->spent > packer->option_count)
        drop_spent(packer);
    return TW_OK;
}

static tw_code lead_rows(tw_packer *packer, const tw_option *leader, tw_pack_way way, tw_rows *out,
                         tw_error *error) {
    tw_code code = TW_OK;
    while (code == TW_OK && packer->left[leader->kind] > 0 && may_lead(packer, leader, way.lead)) {
        tw_row row = {0};
        if (tw_run_cancelled(packer->problem->settings.run))
            return tw_fail(error, TW_CANCELLED, "cancelled", "stopped while laying out");
        code = make_row(packer, leader, way, &row, error);
        if (code == TW_OK)
            code = tw_pack_keep_row(packer, out, &row, error);
    }
    return code;
}

tw_code tw_pack_rows(tw_packer *packer, tw_pack_way way, tw_rows *out, tw_error *error) {
    tw_code code = TW_OK;
    size_t count = packer->option_count;
    tw_option *leaders = tw_arena_array(packer->arena, count, sizeof *leaders);
    if (leaders == NULL)
        return tw_no_memory(error);
    if (count > 0)
        memcpy(leaders, packer->tall, count * sizeof *leaders);
    for (size_t i = 0; i < count && code == TW_OK; i++)
        code = lead_rows(packer, &leaders[i], way, out, error);
    return code;
}
