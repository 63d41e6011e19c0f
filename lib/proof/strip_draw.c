/* A strip as display-list ops: heading, cells with their captions, wedge and patches. */
#include "proof/strip.h"

#include <string.h>

typedef struct drawing {
    tw_arena *arena;
    const tw_strip *strip;
    tw_page *page;
    tw_error *error;
} drawing;

static tw_code text(const drawing *d, tw_nm x, tw_nm y, const char *words) {
    return tw_page_text(d->arena, d->page, TW_ROLE_GUIDE, x, y, TW_STRIP_EM, TW_ALIGN_LEFT, 0,
                        words, d->error);
}

static tw_code draw_lines(const drawing *d) {
    const tw_strip *s = d->strip;
    tw_code code = TW_OK;
    for (size_t i = 0; i < s->flow.line_count && code == TW_OK; i++)
        code = text(d, s->place.rect.x,
                    s->place.rect.y + (tw_nm)(i + 1) * TW_STRIP_LINE - TW_STRIP_LINE / 4,
                    s->flow.lines[i]);
    return code;
}

/* Details stand in the lower left corner of their cell, on their caption. */
static tw_code draw_cell(const drawing *d, const tw_strip_cell *cell, tw_nm x, tw_nm y) {
    tw_nm side = d->strip->side, base = y + side;
    tw_rect seen = {x, base - cell->size.height, cell->size.width, cell->size.height};
    tw_rect whole = {seen.x + cell->whole.x, seen.y + cell->whole.y, cell->whole.width,
                     cell->whole.height};
    tw_code code = tw_page_image(d->arena, d->page, seen, whole, cell->image, cell->orientation,
                                 false, d->error);
    if (code != TW_OK)
        return code;
    d->page->ops[d->page->count - 1].intent = (int)cell->intent;
    code = text(d, x, base + TW_STRIP_CAPTION * 2 / 5, cell->who);
    return code == TW_OK ? text(d, x, base + TW_STRIP_CAPTION * 4 / 5, cell->what) : code;
}

static tw_code draw_cells(const drawing *d, tw_nm top) {
    const tw_strip *s = d->strip;
    tw_strip_spot *spots = tw_arena_array(d->arena, s->cell_count, sizeof *spots);
    tw_code code = spots == NULL ? tw_no_memory(d->error) : TW_OK;
    if (code == TW_OK)
        (void)tw_strip_spots(s->subjects, s->subject_count, s->flow.columns, spots);
    for (size_t i = 0; i < s->cell_count && code == TW_OK; i++)
        code = draw_cell(d, &s->cells[i], s->place.rect.x + (tw_nm)spots[i].column * s->side,
                         top + (tw_nm)spots[i].row * (s->side + TW_STRIP_CAPTION));
    return code;
}

/* All patches are one image, of which each place shows one; relative, as the strip says. */
static tw_code draw_patch(const drawing *d, size_t index, tw_nm x, tw_nm y) {
    const tw_strip_chart *chart = &d->strip->chart;
    tw_rect seen = {x, y, TW_STRIP_PATCH, TW_STRIP_PATCH};
    tw_rect whole = {x - (tw_nm)index * TW_STRIP_PATCH, y, (tw_nm)chart->count * TW_STRIP_PATCH,
                     TW_STRIP_PATCH};
    const tw_paper *paper = &d->strip->job->papers[d->strip->paper_index];
    tw_code code = tw_page_image(d->arena, d->page, seen, whole, chart->image, 1, false, d->error);
    if (code != TW_OK)
        return code;
    d->page->ops[d->page->count - 1].intent = paper->converts ? TW_RELATIVE : TW_INTENT_UNSET;
    code = tw_page_box(d->arena, d->page, TW_ROLE_KEYLINE, seen, TW_MM / 10, 700, -1, d->error);
    return code == TW_OK
               ? text(d, x, y + TW_STRIP_PATCH + TW_STRIP_LINE * 4 / 5, chart->patches[index].name)
               : code;
}

static tw_code draw_patches(const drawing *d, tw_nm top) {
    const tw_strip_chart *chart = &d->strip->chart;
    size_t columns = d->strip->flow.patch_columns, column = 0, row = 0;
    tw_code code = TW_OK;
    for (size_t i = 0; i < chart->count && code == TW_OK; i++, column++) {
        if (column == columns || (i == chart->wedge && i > 0 && columns < chart->count)) {
            column = 0;
            row++;
        }
        code = draw_patch(d, i, d->strip->place.rect.x + (tw_nm)column * TW_STRIP_PATCH,
                          top + (tw_nm)row * (TW_STRIP_PATCH + TW_STRIP_LINE));
    }
    return code;
}

tw_code tw_strip_draw(tw_arena *arena, const tw_strip *strip, tw_page *page, tw_error *error) {
    const drawing d = {arena, strip, page, error};
    tw_nm top = strip->place.rect.y + (tw_nm)strip->flow.line_count * TW_STRIP_LINE + TW_MM;
    tw_code code = draw_lines(&d);
    if (code == TW_OK)
        code = draw_cells(&d, top);
    if (code != TW_OK)
        return code;
    return draw_patches(&d, top + (tw_nm)strip->flow.rows * (strip->side + TW_STRIP_CAPTION));
}
