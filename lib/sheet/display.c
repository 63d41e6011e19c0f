/*
 * The display list's few ways to add an op. The ops stay in the order they were added: what is
 * added later lies on top.
 */
#include "sheet/display.h"

static tw_op *new_op(tw_arena *arena, tw_page *page, tw_op_kind kind, tw_role role,
                     tw_error *error) {
    tw_op *ops = tw_arena_grow(arena, page->ops, page->count, &page->room, sizeof *ops);
    if (ops == NULL) {
        (void)tw_no_memory(error);
        return NULL;
    }
    page->ops = ops;
    ops[page->count] = (tw_op){.kind = kind, .role = role, .fill = -1};
    return &ops[page->count++];
}

tw_code tw_page_line(tw_arena *arena, tw_page *page, tw_role role, tw_nm x0, tw_nm y0, tw_nm x1,
                     tw_nm y1, tw_nm weight, int grey, tw_error *error) {
    tw_op *op = new_op(arena, page, TW_OP_LINE, role, error);
    if (op == NULL)
        return TW_MEMORY;
    op->x0 = x0;
    op->y0 = y0;
    op->x1 = x1;
    op->y1 = y1;
    op->weight = weight;
    op->grey = grey;
    return TW_OK;
}

tw_code tw_page_box(tw_arena *arena, tw_page *page, tw_role role, tw_rect rect, tw_nm weight,
                    int grey, int fill, tw_error *error) {
    tw_op *op = new_op(arena, page, TW_OP_BOX, role, error);
    if (op == NULL)
        return TW_MEMORY;
    op->rect = rect;
    op->weight = weight;
    op->grey = grey;
    op->fill = fill;
    return TW_OK;
}

tw_code tw_page_text(tw_arena *arena, tw_page *page, tw_role role, tw_nm x, tw_nm y, tw_nm size,
                     tw_align align, int quarter, const char *text, tw_error *error) {
    char *copy = tw_arena_string(arena, text == NULL ? "" : text);
    tw_op *op = copy == NULL ? NULL : new_op(arena, page, TW_OP_TEXT, role, error);
    if (copy == NULL)
        return tw_no_memory(error);
    if (op == NULL)
        return TW_MEMORY;
    op->x0 = x;
    op->y0 = y;
    op->size = size;
    op->align = align;
    op->quarter = quarter;
    op->text = copy;
    return TW_OK;
}

tw_code tw_page_image(tw_arena *arena, tw_page *page, tw_rect rect, tw_rect whole, size_t image,
                      int orientation, bool turned, tw_error *error) {
    tw_op *op = new_op(arena, page, TW_OP_IMAGE, TW_ROLE_PICTURE, error);
    if (op == NULL)
        return TW_MEMORY;
    op->rect = rect;
    op->whole = whole;
    op->image = image;
    op->orientation = orientation;
    op->turned = turned;
    return TW_OK;
}
