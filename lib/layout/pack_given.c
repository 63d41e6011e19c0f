/*
 * A row whose columns were decided elsewhere: laid exactly, with its true gaps and edges. And a
 * row made already, with fillers laid into its free places.
 */
#include "layout/pack_build.h"

#include <string.h>

static tw_nm larger(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

static tw_nm stacked_height(const tw_builder *b, const tw_option *prints, size_t count) {
    tw_nm height = 0;
    for (size_t i = 0; i < count; i++) {
        const tw_lie *lie = tw_build_lie(b, prints[i].kind, prints[i].way);
        if (i > 0)
            height += tw_gap(
                &b->packer->problem->settings,
                tw_build_lie(b, prints[i - 1].kind, prints[i - 1].way)->bleed.side[TW_BOTTOM],
                lie->bleed.side[TW_TOP]);
        height += lie->height;
    }
    return height;
}

/* As high as the tallest stack, and then so high that no stack leaves a strip too thin to cut. */
static tw_nm agreed_height(const tw_builder *b, const tw_stack *stacks, int count) {
    tw_nm height = 0;
    for (bool grew = true; grew;) {
        grew = false;
        for (int i = 0; i < count; i++) {
            tw_nm stack = stacked_height(b, stacks[i].prints, stacks[i].count);
            tw_nm wanted = larger(height, stack);
            if (!tw_strip_ok(wanted - stack, b->narrowest))
                wanted = stack + b->narrowest;
            grew = grew || wanted > height;
            height = wanted;
        }
    }
    return height;
}

/* The prints of a stack as the next column, not part of the row yet. */
static bool pile(tw_builder *b, const tw_stack *stack) {
    if (b->count == TW_COLUMNS_MOST || stack->count > b->slot_room - b->slot_count)
        return false;
    tw_build_stack *c = &b->columns[b->count];
    *c = (tw_build_stack){.first = b->slot_count};
    bool fits = true;
    for (size_t i = 0; i < stack->count; i++)
        c->width = larger(c->width, stack->prints[i].width);
    for (size_t i = 0; i < stack->count && fits; i++) {
        const tw_option *print = &stack->prints[i];
        const tw_lie *lie = tw_build_lie(b, print->kind, print->way);
        tw_nm gap = i == 0 ? 0
                           : tw_gap(&b->packer->problem->settings, c->bleed_bottom,
                                    lie->bleed.side[TW_TOP]);
        fits = tw_strip_ok(c->width - print->width, b->narrowest);
        tw_build_take(b, c, print, c->height + gap);
    }
    if (!fits)
        tw_build_untake(b, c->first);
    return fits;
}

static bool add_stack(tw_builder *b, const tw_stack *stack) {
    size_t first = b->slot_count;
    if (pile(b, stack) && tw_build_keep(b))
        return true;
    tw_build_untake(b, first);
    return false;
}

tw_code tw_pack_row_of(tw_packer *packer, const tw_stack *stacks, int count, tw_row *out,
                       tw_error *error) {
    tw_slot slots[TW_COLUMNS_MOST];
    tw_builder b = {.packer = packer,
                    .narrowest = packer->problem->settings.narrowest_strip,
                    .slots = slots,
                    .slot_room = TW_COLUMNS_MOST};
    tw_code code = TW_OK;
    b.height = agreed_height(&b, stacks, count);
    for (int i = 0; i < count; i++)
        (void)add_stack(&b, &stacks[i]);
    memset(out, 0, sizeof *out);
    if (b.count > 0)
        code = tw_build_finish(&b, out, error);
    out->times = b.count > 0;
    tw_build_untake(&b, 0);
    return code;
}

/* ---------------------------------------------------------------- free places of a row */

/* The slots of one column from the top, as options. */
static size_t list_column(const tw_builder *b, const tw_row *row, int column, tw_option *prints) {
    size_t count = 0;
    for (size_t i = 0; i < row->count; i++) {
        const tw_slot *slot = &row->slots[i];
        const tw_lie *lie = tw_build_lie(b, slot->kind, slot->way);
        if (slot->column == column)
            prints[count++] = (tw_option){slot->kind, slot->way, lie->width, lie->height};
    }
    return count;
}

/* A column of the row as it was, with fillers under its prints where that changes nothing else. */
static bool add_again(tw_builder *b, const tw_row *row, int column, bool fill) {
    tw_option prints[TW_COLUMNS_MOST];
    tw_stack stack = {prints, list_column(b, row, column, prints)};
    tw_build_stack *c = &b->columns[b->count];
    for (size_t i = 0; i < stack.count; i++)
        b->packer->left[prints[i].kind]++; /* they were counted as placed */
    if (!pile(b, &stack))
        return false;
    if (fill)
        tw_build_under(b, c);
    if (tw_build_keep(b)) {
        b->widths += c->width;
        return true;
    }
    tw_build_untake(b, c->first);
    for (size_t i = 0; i < stack.count; i++)
        b->packer->left[prints[i].kind]--;
    return fill && add_again(b, row, column, false);
}

static bool lay_again(tw_builder *b, const tw_row *row) {
    int columns = 0;
    for (size_t i = 0; i < row->count; i++)
        columns = row->slots[i].column >= columns ? row->slots[i].column + 1 : columns;
    for (int c = 0; c < columns; c++)
        if (!add_again(b, row, c, true))
            return false;
    return true;
}

tw_code tw_pack_fill_row(tw_packer *packer, const tw_row *row, const tw_option *options,
                         size_t count, tw_row *out, tw_error *error) {
    tw_slot slots[TW_COLUMNS_MOST];
    tw_builder b = {.packer = packer,
                    .height = row->height,
                    .narrowest = packer->problem->settings.narrowest_strip,
                    .ends = row,
                    .slots = slots,
                    .slot_room = TW_COLUMNS_MOST};
    tw_code code = TW_OK;
    *out = *row;
    bool columns = row->count > 0 && row->slots[0].column >= 0;
    if (columns && row->count < TW_COLUMNS_MOST && lay_again(&b, row)) {
        for (size_t i = 0; i < count; i++)
            while (tw_build_column(&b, &options[i], true))
                ;
        if (b.slot_count > row->count)
            code = tw_build_finish(&b, out, error);
    }
    out->times = 1;
    tw_build_untake(&b, 0);
    for (size_t i = 0; i < row->count; i++) /* what the row had is still counted as placed */
        packer->left[row->slots[i].kind] = 0;
    return code;
}
