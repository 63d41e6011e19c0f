/*
 * One row: columns side by side, each a stack of prints no wider than the column. The leader
 * gives the row its height; the rest is what fits beside it, in the order asked for.
 */
#include "layout/pack_build.h"

#include <string.h>

enum { LOOKED_AT_MOST = 1024, FULL_MOST = 512, CROWDED = 12 };

static tw_nm larger(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

const tw_lie *tw_build_lie(const tw_builder *b, size_t kind, int way) {
    return &b->packer->kinds->items[kind].lie[way];
}

/* ---------------------------------------------------------------- a column */

void tw_build_take(tw_builder *b, tw_build_stack *c, const tw_option *option, tw_nm y) {
    const tw_lie *lie = tw_build_lie(b, option->kind, option->way);
    tw_nm beside = c->width - lie->width; /* the print lies at the column's left */
    b->slots[b->slot_count++] = (tw_slot){option->kind, 0, y, option->way, b->count};
    b->packer->left[option->kind]--;
    if (b->slot_count - 1 == c->first)
        c->bleed_top = lie->bleed.side[TW_TOP];
    c->keep_top = larger(c->keep_top, tw_raised(lie->keep.side[TW_TOP] - y, b->narrowest));
    c->keep_bottom =
        larger(lie->keep.side[TW_BOTTOM], c->keep_bottom - (y + lie->height - c->height));
    c->height = y + lie->height;
    c->bleed_bottom = lie->bleed.side[TW_BOTTOM];
    c->keep_left = larger(c->keep_left, lie->keep.side[TW_LEFT]);
    c->bleed_left = larger(c->bleed_left, lie->bleed.side[TW_LEFT]);
    c->keep_right =
        larger(c->keep_right, tw_raised(lie->keep.side[TW_RIGHT] - beside, b->narrowest));
    c->bleed_right = larger(c->bleed_right, lie->bleed.side[TW_RIGHT] - beside);
}

void tw_build_untake(tw_builder *b, size_t to) {
    while (b->slot_count > to)
        b->packer->left[b->slots[--b->slot_count].kind]++;
}

/* How many of an option can be stacked from y on, with `bleed` above; *first is where. What is
 * left under them must be nothing or wide enough to cut off. */
static size_t stack_count(const tw_builder *b, const tw_option *option, tw_nm y, tw_nm bleed,
                          tw_nm *first, tw_nm *pitch) {
    const tw_lie *lie = tw_build_lie(b, option->kind, option->way);
    const tw_layout_settings *settings = &b->packer->problem->settings;
    tw_nm top = lie->bleed.side[TW_TOP];
    *first = y == 0 ? 0 : y + tw_gap(settings, bleed, top);
    *pitch = lie->height + tw_gap(settings, lie->bleed.side[TW_BOTTOM], top);
    tw_nm free = b->height - *first - lie->height;
    if (free < 0)
        return 0;
    size_t count = (size_t)(free / *pitch) + 1;
    if (count > b->packer->left[option->kind])
        count = b->packer->left[option->kind];
    if (count > b->slot_room - b->slot_count)
        count = b->slot_room - b->slot_count;
    while (count > 0 && !tw_strip_ok(free - (tw_nm)(count - 1) * *pitch, b->narrowest))
        count--;
    return count;
}

static void stack(tw_builder *b, tw_build_stack *c, const tw_option *option, size_t most) {
    tw_nm y;
    tw_nm pitch;
    size_t count = stack_count(b, option, c->height, c->bleed_bottom, &y, &pitch);
    if (count > most)
        count = tw_strip_ok(b->height - y - option->height, b->narrowest) ? most : 0;
    for (size_t i = 0; i < count; i++)
        tw_build_take(b, c, option, y + (tw_nm)i * pitch);
}

/* The first option, tallest first, that is no taller than `height`. */
static size_t first_no_taller(const tw_packer *packer, tw_nm height) {
    size_t low = 0;
    size_t high = packer->option_count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (packer->tall[middle].height > height)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* Left over above 0 and under what can be cut off: this option, lying singly, is no use here. */
static bool leaves_too_little(const tw_builder *b, const tw_option *option, tw_nm room) {
    return !tw_strip_ok(room - option->height, b->narrowest);
}

/* Smaller prints under the column's own. */
void tw_build_under(tw_builder *b, tw_build_stack *c) {
    const tw_packer *packer = b->packer;
    size_t looked = 0;
    size_t i = first_no_taller(packer, b->height - c->height);
    while (i < packer->option_count && looked++ < LOOKED_AT_MOST) {
        const tw_option *option = &packer->tall[i++];
        tw_nm room = b->height - c->height;
        if (packer->left[option->kind] == 0 || option->width > c->width || option->height > room ||
            !tw_strip_ok(c->width - option->width, b->narrowest))
            continue;
        if (leaves_too_little(b, option, room))
            i = first_no_taller(packer, room - b->narrowest);
        else
            stack(b, c, option, SIZE_MAX);
    }
}

/* ---------------------------------------------------------------- the row's width */

static tw_nm gap_between(const tw_builder *b, const tw_build_stack *left,
                         const tw_build_stack *right) {
    return tw_gap(&b->packer->problem->settings, left->bleed_right, right->bleed_left);
}

/* A leftover too thin to cut off joins the waste at the left or the first gap. */
static bool settle(tw_nm *x, int count, tw_nm rest, tw_nm keep_left, const tw_nm *gaps) {
    int from = 0;
    if (keep_left == 0) {
        for (from = 1; from < count && gaps[from] == 0; from++)
            ;
        if (from >= count)
            return false;
    }
    for (int i = from; i < count; i++)
        x[i] += rest;
    return true;
}

/* A column further in may still have to keep from the edge more than those beside it take up. */
static bool all_keep(const tw_builder *b, const int *order, int count, const tw_nm *x) {
    for (int i = 0; i < count; i++) {
        const tw_build_stack *c = &b->columns[order[i]];
        if (x[i] < c->keep_left ||
            b->packer->problem->stock.width - x[i] - c->width < c->keep_right)
            return false;
    }
    return true;
}

/* Where the columns lie; false when they do not fit the paper's width in this order. */
static bool lie_across(const tw_builder *b, const int *order, int count, tw_nm *x) {
    const tw_build_stack *last = &b->columns[order[count - 1]];
    tw_nm gaps[TW_COLUMNS_MOST] = {0};
    tw_nm at = b->columns[order[0]].keep_left;
    for (int i = 0; i < count; i++) {
        const tw_build_stack *c = &b->columns[order[i]];
        if (i > 0)
            gaps[i] = gap_between(b, &b->columns[order[i - 1]], c);
        at += gaps[i];
        x[i] = at;
        at += c->width;
    }
    tw_nm rest = b->packer->problem->stock.width - at - last->keep_right;
    if (rest < 0 || !all_keep(b, order, count, x))
        return false;
    if (tw_strip_ok(rest + last->keep_right, b->narrowest))
        return true;
    return settle(x, count, rest, b->columns[order[0]].keep_left, gaps);
}

/* ---------------------------------------------------------------- the row's ends */

static void measure_ends(const tw_builder *b, tw_row *row) {
    row->lead = row->tail = row->over_top = row->over_bottom = 0;
    for (int i = 0; i < b->count; i++) {
        const tw_build_stack *c = &b->columns[i];
        tw_nm under = b->height - c->height;
        row->lead = larger(row->lead, c->keep_top);
        row->tail = larger(row->tail, tw_raised(c->keep_bottom - under, b->narrowest));
        row->over_top = larger(row->over_top, c->bleed_top);
        row->over_bottom = larger(row->over_bottom, c->bleed_bottom - under);
    }
}

bool tw_build_has_page(const tw_builder *b) {
    tw_row row;
    tw_nm start;
    tw_nm rest;
    measure_ends(b, &row);
    tw_page_need need = {row.lead, b->height, row.tail, b->slot_count == 1};
    if (b->ends != NULL &&
        (row.lead > b->ends->lead || row.tail > b->ends->tail || row.over_top > b->ends->over_top ||
         row.over_bottom > b->ends->over_bottom))
        return false;
    return tw_page_length(b->packer->problem, &need, &start, &rest) >= 0;
}

static bool image_before(const tw_builder *b, size_t slot) {
    const tw_kind *kinds = b->packer->kinds->items;
    int image = kinds[b->slots[slot].kind].image;
    for (size_t i = 0; i < slot && image >= 0; i++)
        if (kinds[b->slots[i].kind].image == image)
            return true;
    return false;
}

static bool bytes_fit(const tw_builder *b) {
    int64_t left = b->packer->problem->settings.sheet_bytes_most;
    if (!b->packer->kinds->by_bytes)
        return true;
    for (size_t i = 0; i < b->slot_count; i++) {
        if (image_before(b, i))
            continue;
        left -= b->packer->kinds->items[b->slots[i].kind].bytes;
        if (left < 0)
            return false;
    }
    return true;
}

/* ---------------------------------------------------------------- adding columns */

static bool place_last(tw_builder *b, int at) {
    tw_nm x[TW_COLUMNS_MOST];
    int order[TW_COLUMNS_MOST];
    memcpy(order, b->order, (size_t)at * sizeof *order);
    order[at] = b->count - 1;
    memcpy(&order[at + 1], &b->order[at], (size_t)(b->count - 1 - at) * sizeof *order);
    if (!lie_across(b, order, b->count, x))
        return false;
    memcpy(b->order, order, (size_t)b->count * sizeof *order);
    return true;
}

/* From the right end on; in a crowded row only at its ends. A print that bleeds often fits between
 * bordered ones, which may lie on the paper's edge as it may not. */
static bool find_place(tw_builder *b) {
    for (int at = b->count - 1; at >= 0; at--)
        if ((b->count <= CROWDED || at == 0 || at == b->count - 1) && place_last(b, at))
            return true;
    return false;
}

bool tw_build_keep(tw_builder *b) {
    b->count++;
    bool fits = find_place(b) && tw_build_has_page(b) && bytes_fit(b);
    if (!fits)
        b->count--;
    return fits;
}

static bool add_column(tw_builder *b, const tw_option *option, size_t most, bool fill) {
    if (b->count == TW_COLUMNS_MOST || b->slot_count == b->slot_room)
        return false;
    int before[TW_COLUMNS_MOST];
    memcpy(before, b->order, (size_t)b->count * sizeof *before);
    tw_build_stack *c = &b->columns[b->count];
    *c = (tw_build_stack){.width = option->width, .first = b->slot_count};
    stack(b, c, option, most);
    if (fill && b->slot_count > c->first)
        tw_build_under(b, c);
    if (b->slot_count > c->first && tw_build_keep(b)) {
        b->widths += option->width;
        return true;
    }
    tw_build_untake(b, c->first);
    memcpy(b->order, before, (size_t)b->count * sizeof *before);
    return false;
}

/* First with smaller prints under it, then bare, then a single print (bytes, a lone long one). */
bool tw_build_column(tw_builder *b, const tw_option *option, bool fill) {
    if (option->height > b->height || b->packer->left[option->kind] == 0 ||
        b->widths + option->width > b->packer->problem->stock.width)
        return false;
    return (fill && add_column(b, option, SIZE_MAX, true)) ||
           add_column(b, option, SIZE_MAX, false) || add_column(b, option, 1, false);
}

static void fill_in_order(tw_builder *b, const tw_option *options, size_t from) {
    size_t looked = 0;
    for (size_t i = from; i < b->packer->option_count && looked < LOOKED_AT_MOST; i++) {
        const tw_option *option = &options[i];
        if (b->packer->left[option->kind] == 0 || option->height > b->height ||
            leaves_too_little(b, option, b->height))
            continue;
        looked++;
        while (tw_build_column(b, option, true))
            ;
    }
}

/* Of an option's stack in this row: how much of the row's height it fills. */
static tw_nm stack_height(const tw_builder *b, const tw_option *option) {
    tw_nm first;
    tw_nm pitch;
    size_t count = stack_count(b, option, 0, 0, &first, &pitch);
    return (tw_nm)count * option->height;
}

static void fill_fullest(tw_builder *b) {
    bool refused[2 * FULL_MOST] = {false};
    const tw_packer *packer = b->packer;
    for (;;) {
        size_t best = SIZE_MAX;
        tw_nm best_height = 0;
        for (size_t i = 0; i < packer->option_count; i++) {
            const tw_option *option = &packer->wide[i];
            if (refused[i] || packer->left[option->kind] == 0 || option->height > b->height)
                continue;
            tw_nm height = stack_height(b, option);
            if (height > best_height) {
                best = i;
                best_height = height;
            }
        }
        if (best == SIZE_MAX)
            return;
        refused[best] = !tw_build_column(b, &packer->wide[best], true);
    }
}

/* Beside it only what is as high: no cut but those between the columns. */
static void fill_level(tw_builder *b) {
    const tw_packer *packer = b->packer;
    for (size_t i = first_no_taller(packer, b->height); i < packer->option_count; i++) {
        if (packer->tall[i].height < b->height)
            return;
        while (tw_build_column(b, &packer->tall[i], false))
            ;
    }
}

static void fill_row(tw_builder *b, const tw_option *leader, tw_pack_fill fill) {
    const tw_packer *packer = b->packer;
    if (fill == TW_FILL_SAME)
        while (tw_build_column(b, leader, false))
            ;
    else if (fill == TW_FILL_LEVEL)
        fill_level(b);
    else if (fill == TW_FILL_FULL && packer->option_count <= FULL_MOST)
        fill_fullest(b);
    else if (fill == TW_FILL_WIDE)
        fill_in_order(b, packer->wide, 0);
    else
        fill_in_order(b, packer->tall, first_no_taller(packer, b->height));
}

/* ---------------------------------------------------------------- the row */

static void set_positions(tw_builder *b) {
    tw_nm x[TW_COLUMNS_MOST];
    tw_nm of_column[TW_COLUMNS_MOST];
    (void)lie_across(b, b->order, b->count, x);
    for (int i = 0; i < b->count; i++)
        of_column[b->order[i]] = x[i];
    for (size_t i = 0; i < b->slot_count; i++)
        b->slots[i].x = of_column[b->slots[i].column];
}

/* How often the pieces suffice for this row, and the area it holds. */
static void count_times(const tw_builder *b, tw_row *row) {
    row->times = SIZE_MAX;
    row->area = 0;
    for (size_t i = 0; i < b->slot_count; i++) {
        const tw_slot *slot = &b->slots[i];
        const tw_lie *lie = tw_build_lie(b, slot->kind, slot->way);
        size_t uses = 0;
        for (size_t j = 0; j < b->slot_count; j++)
            uses += b->slots[j].kind == slot->kind;
        size_t times = (b->packer->left[slot->kind] + uses) / uses;
        row->times = times < row->times ? times : row->times;
        row->area += (tw_wide)lie->width * (tw_wide)lie->height;
    }
}

tw_code tw_build_finish(tw_builder *b, tw_row *out, tw_error *error) {
    set_positions(b);
    measure_ends(b, out);
    count_times(b, out);
    out->height = b->height;
    out->count = b->slot_count;
    out->slots = tw_arena_array(b->packer->arena, b->slot_count, sizeof *out->slots);
    if (out->slots == NULL)
        return tw_no_memory(error);
    memcpy(out->slots, b->slots, b->slot_count * sizeof *out->slots);
    return TW_OK;
}

tw_code tw_pack_row(tw_packer *packer, const tw_option *leader, tw_pack_fill fill, tw_row *out,
                    tw_error *error) {
    tw_slot slots[TW_COLUMNS_MOST];
    tw_builder b = {.packer = packer,
                    .height = leader->height,
                    .narrowest = packer->problem->settings.narrowest_strip,
                    .slots = slots,
                    .slot_room = TW_COLUMNS_MOST};
    tw_code code = TW_OK;
    if (!add_column(&b, leader, 1, false))
        return tw_fail(error, TW_BUG, "layout-bug", "a print that fits its paper found no row");
    fill_row(&b, leader, fill);
    code = tw_build_finish(&b, out, error);
    tw_build_untake(&b, 0);
    return code;
}
