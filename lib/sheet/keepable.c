/*
 * Offcuts worth keeping: waste of the cut trees that is large enough for a print once the ink in
 * it (marks, ticks, small print, bleed) is trimmed off. They are what a later day can list as the
 * paper's offcuts.
 */
#include <stdlib.h>

#include "sheet/draw.h"
#include "sheet/plan_steps.h"

__extension__ typedef __int128 area;

static area area_of(tw_rect r) {
    return r.width <= 0 || r.height <= 0 ? 0 : (area)r.width * r.height;
}

/* What an op may ink, as a rectangle no smaller than that. */
static tw_rect ink_of(const tw_op *op) {
    if (op->kind == TW_OP_TEXT)
        return tw_text_box(op->x0, op->y0, op->size, op->quarter, op->text);
    if (op->kind != TW_OP_LINE)
        return tw_rect_spread(op->rect, (op->weight + 1) / 2);
    tw_rect line = {op->x0 < op->x1 ? op->x0 : op->x1, op->y0 < op->y1 ? op->y0 : op->y1,
                    op->x0 < op->x1 ? op->x1 - op->x0 : op->x0 - op->x1,
                    op->y0 < op->y1 ? op->y1 - op->y0 : op->y0 - op->y1};
    return tw_rect_spread(line, (op->weight + 1) / 2);
}

/* The largest of the four parts beside the ink. */
static tw_rect beside(tw_rect r, tw_rect ink) {
    const tw_rect parts[4] = {
        {r.x, r.y, ink.x - r.x, r.height},
        {tw_rect_right(ink), r.y, tw_rect_right(r) - tw_rect_right(ink), r.height},
        {r.x, r.y, r.width, ink.y - r.y},
        {r.x, tw_rect_bottom(ink), r.width, tw_rect_bottom(r) - tw_rect_bottom(ink)},
    };
    tw_rect best = {0};
    for (int i = 0; i < 4; i++)
        if (area_of(parts[i]) > area_of(best))
            best = parts[i];
    return best;
}

/* Ink lies at the edges of waste mostly, so cutting off one side after another loses little. */
tw_rect tw_waste_clean(tw_rect r, const tw_page *page) {
    for (size_t i = 0; i < page->count && area_of(r) > 0; i++) {
        tw_rect ink = ink_of(&page->ops[i]);
        if (tw_rect_overlap(r, ink))
            r = beside(r, ink);
    }
    return r;
}

bool tw_worth_keeping(tw_nm width, tw_nm height) {
    tw_nm shorter = width < height ? width : height;
    tw_nm longer = width < height ? height : width;
    return shorter >= 5 * TW_IN && longer >= 7 * TW_IN;
}

static size_t list_sheet(const tw_plan_sheet *sheet, size_t index, tw_keep *out) {
    size_t count = 0;
    for (int i = 0; i < sheet->cuts->node_count; i++) {
        const tw_node *node = &sheet->cuts->nodes[i];
        if (node->kind != TW_NODE_WASTE)
            continue;
        tw_rect rect = tw_waste_clean(node->rect, &sheet->page);
        if (!tw_worth_keeping(rect.width, rect.height))
            continue;
        if (out != NULL)
            out[count] = (tw_keep){index, sheet->piece_names[i], rect};
        count++;
    }
    return count;
}

/* The largest first; of equals the earlier sheet's. */
static int by_area(const void *left, const void *right) {
    const tw_keep *a = left, *b = right;
    if (area_of(a->rect) != area_of(b->rect))
        return area_of(a->rect) > area_of(b->rect) ? -1 : 1;
    if (a->sheet != b->sheet)
        return a->sheet < b->sheet ? -1 : 1;
    if (a->rect.y != b->rect.y)
        return a->rect.y < b->rect.y ? -1 : 1;
    return (a->rect.x > b->rect.x) - (a->rect.x < b->rect.x);
}

tw_code tw_plan_keepable(tw_arena *arena, tw_plan_data *plan, tw_error *error) {
    size_t most = 0;
    for (size_t i = 0; i < plan->sheet_count; i++)
        most += list_sheet(&plan->sheets[i], i, NULL);
    plan->keeps = tw_arena_array(arena, most, sizeof *plan->keeps);
    if (plan->keeps == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < plan->sheet_count; i++)
        plan->keep_count += list_sheet(&plan->sheets[i], i, plan->keeps + plan->keep_count);
    if (plan->keep_count > 1)
        qsort(plan->keeps, plan->keep_count, sizeof *plan->keeps, by_area);
    return TW_OK;
}
