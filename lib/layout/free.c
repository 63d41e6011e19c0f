/*
 * Free places, found by laying (see free.h): each format is put into the sheets' waste as a print
 * would be, so what is said to fit fits, can be cut and makes no sheet longer.
 */
#include "layout/free.h"

#include "layout/open_sheet.h"
#include "layout/pack.h"
#include "layout/pay.h"

#include <stdlib.h>
#include <string.h>

enum { STEPS_A_TREE = 300, TREES_LEAST = 60, MORE_MOST = 40 };

typedef struct finder {
    tw_arena *arena; /* scratch */
    const tw_layout_problem *day;
    tw_layout_problem with; /* the day's pieces, then the formats */
    const tw_layout *layout;
    const size_t *same;
    size_t count; /* of formats */
    size_t *order;
    tw_free *out;
    int64_t tries;
} finder;

typedef struct ranked {
    tw_wide area;
    size_t format;
} ranked;

static int by_area(const void *left, const void *right) {
    const ranked *a = left, *b = right;
    if (a->area != b->area)
        return a->area > b->area ? -1 : 1;
    return (a->format > b->format) - (a->format < b->format);
}

static tw_code start(finder *f, const tw_piece *formats, tw_error *error) {
    size_t day = f->day->count;
    tw_piece *pieces = tw_arena_array(f->arena, day + f->count, sizeof *pieces);
    ranked *all = tw_arena_array(f->arena, f->count, sizeof *all);
    f->order = tw_arena_array(f->arena, f->count, sizeof *f->order);
    if (pieces == NULL || all == NULL || f->order == NULL)
        return tw_no_memory(error);
    if (day > 0)
        memcpy(pieces, f->day->pieces, day * sizeof *pieces);
    memcpy(pieces + day, formats, f->count * sizeof *pieces);
    for (size_t i = 0; i < f->count; i++)
        all[i] = (ranked){(tw_wide)formats[i].width * (tw_wide)formats[i].height, i};
    qsort(all, f->count, sizeof *all, by_area);
    for (size_t i = 0; i < f->count; i++)
        f->order[i] = all[i].format;
    f->with = *f->day;
    f->with.pieces = pieces;
    f->with.count = day + f->count;
    f->tries = tw_pack_steps(f->day) / STEPS_A_TREE;
    f->tries = f->tries < TREES_LEAST ? TREES_LEAST : f->tries;
    return TW_OK;
}

static tw_code open_sheet(finder *f, int sheet, size_t first, size_t count, tw_arena *arena,
                          tw_open_sheet *open, tw_error *error) {
    tw_code code = tw_open_start(arena, &f->with, &f->layout->placed[first], count,
                                 count + MORE_MOST, f->layout->sheet_length[sheet], open, error);
    open->tries = f->tries;
    return code;
}

/* As many of the format as go in; *put counts. */
static tw_code put_all(finder *f, tw_open_sheet *open, size_t format, size_t *put,
                       tw_error *error) {
    bool laid = true;
    tw_code code = TW_OK;
    while (code == TW_OK && laid) {
        code = tw_open_put(open, f->day->count + format, 3, &laid, error);
        *put += code == TW_OK && laid;
    }
    f->tries = open->tries;
    return code;
}

/* ---------------------------------------------------------------- rows to complete */

typedef struct span {
    tw_nm top, bottom;
} span;

static span span_of(const finder *f, const tw_placed *p) {
    const tw_piece *piece = &f->with.pieces[p->piece];
    return (span){p->y, p->y + (p->turned ? piece->width : piece->height)};
}

/* The row of prints that share its height with this one, straight across the sheet. */
static span row_of(const finder *f, const tw_placed *placed, size_t count, size_t at) {
    span row = span_of(f, &placed[at]);
    for (bool grew = true; grew;) {
        grew = false;
        for (size_t i = 0; i < count; i++) {
            span s = span_of(f, &placed[i]);
            if (s.top >= row.bottom || s.bottom <= row.top ||
                (s.top >= row.top && s.bottom <= row.bottom))
                continue;
            row.top = s.top < row.top ? s.top : row.top;
            row.bottom = s.bottom > row.bottom ? s.bottom : row.bottom;
            grew = true;
        }
    }
    return row;
}

static bool is_in(span s, span row) {
    return s.top >= row.top && s.bottom <= row.bottom;
}

/* Before and after: placed[0..count) lay there, those behind it are of the format and new. */
static void weigh_row(finder *f, const tw_open_sheet *open, size_t count, size_t format, span row) {
    size_t had = 0, more = 0;
    for (size_t i = 0; i < count; i++) {
        if (!is_in(span_of(f, &open->placed[i]), row))
            continue;
        if (f->same[open->placed[i].piece] != format)
            return; /* not a row of one format */
        had++;
    }
    for (size_t i = count; i < open->count; i++)
        more += is_in(span_of(f, &open->placed[i]), row);
    if (had == 0 || more == 0)
        return;
    int64_t paper = tw_pay_paper(&f->day->stock, row.bottom - row.top);
    int64_t saves = paper / (int64_t)had - paper / (int64_t)(had + more);
    tw_free *out = &f->out[format];
    if (saves > out->saves) {
        out->saves = saves;
        out->more = more;
        out->had = had;
    }
}

static tw_code try_rows(finder *f, int sheet, size_t first, size_t count, size_t format,
                        tw_error *error) {
    tw_open_sheet open;
    size_t put = 0;
    bool there = false;
    for (size_t i = first; i < first + count; i++)
        there = there || f->same[f->layout->placed[i].piece] == format;
    if (!there || f->day->stock.price <= 0 || f->tries <= 0)
        return TW_OK;
    tw_arena *scratch = tw_arena_new(tw_arena_allocator(f->arena), 0);
    if (scratch == NULL)
        return tw_no_memory(error);
    tw_code code = open_sheet(f, sheet, first, count, scratch, &open, error);
    if (code == TW_OK)
        code = put_all(f, &open, format, &put, error);
    for (size_t i = 0; code == TW_OK && put > 0 && i < count; i++)
        if (f->same[open.placed[i].piece] == format)
            weigh_row(f, &open, count, format, row_of(f, open.placed, count, i));
    tw_arena_free(scratch);
    return code;
}

/* ---------------------------------------------------------------- all sheets */

static tw_code look_at(finder *f, int sheet, size_t first, size_t count, tw_error *error) {
    tw_open_sheet open;
    const tw_stock *stock = &f->day->stock;
    if (stock->roll && stock->longest_sheet > 0 &&
        f->layout->sheet_length[sheet] > stock->longest_sheet)
        return TW_OK; /* it holds one print and no other */
    tw_arena *scratch = tw_arena_new(tw_arena_allocator(f->arena), 0);
    if (scratch == NULL)
        return tw_no_memory(error);
    tw_code code = open_sheet(f, sheet, first, count, scratch, &open, error);
    for (size_t i = 0; code == TW_OK && i < f->count; i++)
        code = put_all(f, &open, f->order[i], &f->out[f->order[i]].places, error);
    tw_arena_free(scratch);
    for (size_t i = 0; code == TW_OK && i < f->count; i++)
        code = try_rows(f, sheet, first, count, f->order[i], error);
    return code;
}

static tw_code look_at_all(finder *f, tw_error *error) {
    size_t first = 0;
    tw_code code = TW_OK;
    for (int sheet = 0; code == TW_OK && sheet < f->layout->sheet_count; sheet++) {
        size_t count = 0;
        while (first + count < f->layout->placed_count &&
               f->layout->placed[first + count].sheet == sheet)
            count++;
        if (f->tries > 0)
            code = look_at(f, sheet, first, count, error);
        first += count;
    }
    for (size_t i = 0; f->tries <= 0 && i < f->count; i++)
        f->out[i].cut_short = true;
    return code;
}

tw_code tw_free_places(tw_arena *arena, const tw_layout_problem *problem, const tw_layout *layout,
                       const tw_piece *formats, size_t count, const size_t *same, tw_free *out,
                       tw_error *error) {
    finder f = {.day = problem, .layout = layout, .same = same, .count = count, .out = out};
    if (count == 0 || layout->sheet_count == 0)
        return TW_OK;
    f.arena = tw_arena_new(tw_arena_allocator(arena), 0);
    if (f.arena == NULL)
        return tw_no_memory(error);
    tw_code code = start(&f, formats, error);
    if (code == TW_OK)
        code = look_at_all(&f, error);
    tw_arena_free(f.arena);
    return code;
}
