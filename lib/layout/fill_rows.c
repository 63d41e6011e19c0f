/*
 * Rows of fillers: a sheet more, of prints that may sell only, where enough of it is used and what
 * they are worth is more than its paper. Each row is as high as one of the fillers asks for.
 */
#include "layout/fill.h"

#include "layout/pack.h"
#include "layout/pay.h"

#include <string.h>

enum { LEADERS_TRIED = 24, ROWS_MOST = 1000 };

/* A row that may be added. */
typedef struct row {
    tw_open_sheet open;
    int64_t gain; /* thousandths of a minor unit: worth less paper */
    bool found;
} row;

static tw_nm paper_of(const tw_filling *f, tw_nm page) {
    return page + (f->problem->stock.roll ? f->problem->stock.lost_each_sheet : 0);
}

/* A day that has no sheet yet is no day: a paper is not loaded for fillers. */
static bool has_room(const tw_filling *f, tw_nm page) {
    const tw_stock *stock = &f->problem->stock;
    if (f->layout->sheet_count == 0)
        return false;
    return stock->roll ? f->layout->used + paper_of(f, page) <= stock->length
                       : f->layout->sheet_count < stock->count;
}

/* At least this share of the paper it takes must be prints. */
static bool is_used_enough(const tw_filling *f, const tw_open_sheet *open) {
    tw_wide area = 0;
    tw_wide paper = (tw_wide)paper_of(f, open->length) * (tw_wide)f->problem->stock.width;
    for (size_t i = 0; i < open->count; i++) {
        const tw_piece *piece = &f->problem->pieces[open->placed[i].piece];
        area += (tw_wide)piece->width * (tw_wide)piece->height;
    }
    return area >= paper / 1000000 * f->problem->settings.add_row_at;
}

static int64_t gain_of(const tw_filling *f, const tw_open_sheet *open) {
    tw_wide worth = 0;
    for (size_t i = 0; i < open->count; i++)
        worth += f->problem->pieces[open->placed[i].piece].worth;
    worth = worth * 1000 - tw_pay_paper(&f->problem->stock, paper_of(f, open->length));
    return worth > INT64_MAX / 4 ? INT64_MAX / 4 : (int64_t)worth;
}

static tw_nm page_for(const tw_filling *f, const tw_lie *lie) {
    tw_nm start, rest;
    tw_page_need need = {lie->keep.side[TW_TOP], lie->height, lie->keep.side[TW_BOTTOM], false};
    return tw_page_length(f->problem, &need, &start, &rest);
}

/* A row led by this kind so lying, with what else it takes; f->fillers is as before. */
static tw_code make_row(tw_filling *f, size_t kind, int way, size_t waiting, row *out,
                        tw_error *error) {
    tw_nm page = page_for(f, &f->kinds.items[kind].lie[way]);
    size_t put = 0;
    out->found = false;
    if (page < 0 || !has_room(f, page))
        return TW_OK;
    tw_code code = tw_open_start(f->arena, f->problem, NULL, 0, waiting, page, &out->open, error);
    if (code != TW_OK)
        return code;
    out->open.tries = f->tries < out->open.tries ? f->tries : out->open.tries;
    int64_t before = out->open.tries;
    unsigned char *kept = tw_arena_array(f->arena, f->problem->count, 1);
    if (kept == NULL)
        return tw_no_memory(error);
    memcpy(kept, f->fillers, f->problem->count);
    code = tw_fill_kind(f, &out->open, kind, (unsigned char)(1 << way), &put, error);
    if (code == TW_OK && put > 0)
        code = tw_fill_sheet(f, &out->open, error);
    memcpy(f->fillers, kept, f->problem->count);
    f->tries -= before - out->open.tries;
    out->gain = gain_of(f, &out->open);
    out->found = code == TW_OK && put > 0 && out->gain > 0 && is_used_enough(f, &out->open);
    return code;
}

static tw_code best_row(tw_filling *f, size_t waiting, row *best, tw_error *error) {
    tw_code code = TW_OK;
    int tried = 0;
    best->found = false;
    for (size_t k = 0; k < f->kinds.count && tried < LEADERS_TRIED; k++)
        for (int way = 0; way < 2; way++) {
            size_t kind = f->order[k];
            row now;
            if (!f->kinds.items[kind].lie[way].may || f->tries <= 0)
                continue;
            tried++;
            code = make_row(f, kind, way, waiting, &now, error);
            if (code != TW_OK)
                return code;
            if (now.found && (!best->found || now.gain > best->gain))
                *best = now;
        }
    return TW_OK;
}

static void add_row(tw_filling *f, const row *r) {
    tw_layout *layout = f->layout;
    for (size_t i = 0; i < r->open.count; i++) {
        tw_placed p = r->open.placed[i];
        p.sheet = layout->sheet_count;
        layout->placed[layout->placed_count++] = p;
        f->fillers[p.piece] = 0;
    }
    layout->used += paper_of(f, r->open.length);
    layout->sheet_length[layout->sheet_count++] = r->open.length;
}

tw_code tw_fill_rows(tw_filling *f, tw_error *error) {
    tw_code code = TW_OK;
    if (f->problem->stock.price <= 0)
        return TW_OK; /* nobody knows what the paper of a row costs */
    for (int n = 0; code == TW_OK && n < ROWS_MOST && f->tries > 0; n++) {
        size_t waiting = 0;
        row best = {0};
        for (size_t i = 0; i < f->problem->count; i++)
            waiting += f->fillers[i] != 0;
        code = waiting == 0 ? TW_OK : best_row(f, waiting, &best, error);
        if (code != TW_OK || waiting == 0 || !best.found)
            return code;
        add_row(f, &best);
    }
    return code;
}
