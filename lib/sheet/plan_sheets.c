/*
 * From a layout to the plan's sheets: every print where it lies, in sheet coordinates, with its
 * picture, signature and borders turned as it is.
 */
#include "sheet/plan_steps.h"

bool tw_sheet_is_cut(const tw_paper *paper, const tw_plan_sheet *sheet) {
    return paper->kind == TW_SHEETS || sheet->offcut > 0;
}

static tw_rect lies(tw_rect upright, const tw_print *print, const tw_placed *at) {
    tw_rect r = at->turned ? tw_rect_turned(upright, print->fit.size) : upright;
    return (tw_rect){r.x + at->x, r.y + at->y, r.width, r.height};
}

static tw_lying lying_of(const tw_print *print, const tw_placed *at) {
    const tw_fitted *fit = &print->fit;
    tw_lying out = {.print = print, .turned = at->turned};
    out.trim = lies((tw_rect){0, 0, fit->size.width, fit->size.height}, print, at);
    out.picture = lies(fit->picture, print, at);
    out.whole = lies(fit->whole, print, at);
    if (print->signature.width > 0)
        out.signature = lies(print->signature, print, at);
    out.visible = at->turned ? tw_sides_turned(fit->visible) : fit->visible;
    out.bleed = at->turned ? tw_sides_turned(fit->bleed) : fit->bleed;
    return out;
}

/* Placed pieces are sorted by sheet; *next moves past this sheet's. */
static tw_code fill_sheet(tw_arena *arena, const tw_paper_work *work, int index, size_t *next,
                          tw_plan_sheet *sheet, tw_error *error) {
    const tw_layout *layout = &work->layout;
    size_t end = *next;
    while (end < layout->placed_count && layout->placed[end].sheet == index)
        end++;
    sheet->print_count = end - *next;
    sheet->prints = tw_arena_array(arena, sheet->print_count, sizeof *sheet->prints);
    if (sheet->prints == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < sheet->print_count; i++) {
        const tw_placed *at = &layout->placed[*next + i];
        sheet->prints[i] = lying_of(work->prints[at->piece], at);
    }
    *next = end;
    return TW_OK;
}

/* Cut trees name a print by its place in layout->placed. */
static const tw_print **by_placed(tw_arena *arena, const tw_paper_work *work) {
    const tw_layout *layout = &work->layout;
    const tw_print **prints = tw_arena_array(arena, layout->placed_count, sizeof *prints);
    for (size_t i = 0; prints != NULL && i < layout->placed_count; i++)
        prints[i] = work->prints[layout->placed[i].piece];
    return prints;
}

tw_code tw_plan_sheets(tw_arena *arena, const tw_paper_work *work, tw_plan_data *plan,
                       tw_error *error) {
    const tw_print **placed = by_placed(arena, work);
    tw_nm width = work->problem.stock.width;
    size_t next = 0;
    if (placed == NULL)
        return tw_no_memory(error);
    for (int i = 0; i < work->layout.sheet_count; i++) {
        tw_plan_sheet *sheet = &plan->sheets[plan->sheet_count];
        *sheet = (tw_plan_sheet){
            .number = (int)plan->sheet_count + 1,
            .of_load = i + 1,
            .roll = work->roll,
            .offcut = work->offcut,
            .paper_index = work->paper_index,
            .size = {width, work->layout.sheet_length[i]},
            .cuts = &work->cuts.sheets[i],
        };
        tw_code code = fill_sheet(arena, work, i, &next, sheet, error);
        if (code == TW_OK)
            code = tw_plan_names(arena, sheet->cuts, placed, &sheet->piece_names, error);
        if (code != TW_OK)
            return code;
        plan->sheet_count++;
    }
    return TW_OK;
}
