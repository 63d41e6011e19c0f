/*
 * One offcut laid out: a box of one cut sheet, with what is to be laid on it in the order it is
 * wanted.
 */
#include "layout/parts_sets.h"

tw_stock tw_offcut_stock(const tw_filling *f, size_t offcut) {
    const tw_stock *stock = &f->problem->stock;
    const tw_size *size = &f->supply->offcuts[offcut];
    return (tw_stock){.width = size->width,
                      .length = size->height,
                      .count = 1,
                      .side = stock->side,
                      .lead = stock->lead,
                      .tail = stock->tail,
                      .sheet_most = stock->sheet_most};
}

bool tw_set_may_leave(const tw_filling *f, size_t piece) {
    const tw_piece *p = &f->problem->pieces[piece];
    return p->pin_sheet < 0 && !p->pinned_place && p->alike < 0;
}

/* The place in the list is what serves first; after the layout each has its own priority again. */
static void by_place(const tw_filling *f, const size_t *pieces, size_t count, bool own,
                     tw_piece *out) {
    for (size_t i = 0; i < count; i++) {
        out[i] = f->problem->pieces[pieces[i]];
        if (!own && !out[i].filler)
            out[i].priority = (int64_t)i;
    }
}

tw_code tw_offcut_part(tw_arena *arena, const tw_filling *f, size_t offcut, const size_t *pieces,
                       size_t count, tw_part *out, tw_error *error) {
    tw_piece *copies = tw_arena_array(arena, count, sizeof *copies);
    size_t *list = tw_arena_array(arena, count, sizeof *list);
    if (copies == NULL || list == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < count; i++)
        list[i] = pieces[i];
    *out = (tw_part){.offcut = offcut, .roll = SIZE_MAX, .pieces = list, .problem = *f->problem};
    out->problem.pieces = copies;
    out->problem.count = count;
    out->problem.stock = tw_offcut_stock(f, offcut);
    out->problem.settings.steps = tw_quick_steps(f->problem);
    out->problem.settings.choices = false;
    if (f->stopped)
        out->problem.settings.run = &f->calm;
    by_place(f, pieces, count, false, copies);
    tw_code code = tw_layout_make(arena, &out->problem, &out->layout, error);
    by_place(f, pieces, count, true, copies);
    out->problem.settings.run = f->problem->settings.run;
    return code;
}
