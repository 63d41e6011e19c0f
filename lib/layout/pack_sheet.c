/*
 * Rows onto sheets, and prints into the rows' slots. On a roll the rows, tallest first, are
 * parted into sheets by dynamic programming: least paper, then fewest cuts across, or the other
 * way round, then fewest sheets. Cut sheets are filled first fit. The prints served first lie on
 * the first sheets.
 */
#include "layout/pack.h"

#include <stdlib.h>
#include <string.h>

enum { ROWS_OF_SHEET_MOST = 512 };

typedef struct stacker {
    tw_arena *arena;
    const tw_layout_problem *problem;
    const tw_kinds *kinds;
    tw_pack_part part;
    const tw_row **rows; /* every row, equal ones too, in the order they are stacked */
    size_t count;
    size_t *first; /* of each sheet's rows; sheets + 1 of them */
    int sheets;
    size_t *stamp; /* by image: the group it was last seen in; NULL when bytes do not matter */
    size_t images;
} stacker;

static tw_nm larger(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

/* ---------------------------------------------------------------- a group of rows */

/* Rows below one another, grown upwards one row at a time. */
typedef struct group {
    tw_page_need need;
    size_t rows, prints;
    int64_t cuts; /* between rows */
    int64_t bytes;
} group;

static tw_nm row_gap(const stacker *s, const tw_row *above, const tw_row *below) {
    return tw_gap(&s->problem->settings, above->over_bottom, below->over_top);
}

/* An image that the group holds already is in its file once. */
static int64_t added_bytes(const stacker *s, const tw_row *row, size_t stamp) {
    int64_t bytes = 0;
    if (s->stamp == NULL)
        return 0;
    for (size_t i = 0; i < row->count; i++) {
        const tw_kind *kind = &s->kinds->items[row->slots[i].kind];
        if (kind->image >= 0 && s->stamp[kind->image] == stamp)
            continue;
        if (kind->image >= 0)
            s->stamp[kind->image] = stamp;
        bytes += kind->bytes;
    }
    return bytes;
}

static void grow_up(const stacker *s, group *g, const tw_row *row, const tw_row *below,
                    size_t stamp) {
    tw_nm narrowest = s->problem->settings.narrowest_strip;
    tw_nm gap = below == NULL ? 0 : row_gap(s, row, below);
    tw_nm under = g->need.inner + gap;
    g->need.lead = larger(row->lead, tw_raised(g->need.lead - row->height - gap, narrowest));
    g->need.tail = larger(g->need.tail, tw_raised(row->tail - under, narrowest));
    g->need.inner = under + row->height;
    g->cuts += (below != NULL) + (gap > 0);
    g->bytes += added_bytes(s, row, stamp);
    g->rows++;
    g->prints += row->count;
    g->need.single = g->prints == 1;
}

static tw_nm group_page(const stacker *s, const group *g, tw_nm *start, tw_nm *rest) {
    if (s->stamp != NULL && g->bytes > s->problem->settings.sheet_bytes_most)
        return -1;
    return tw_page_length(s->problem, &g->need, start, rest);
}

/* ---------------------------------------------------------------- a roll */

/* The best way to part the first so many rows. */
typedef struct parted {
    tw_nm paper;
    int64_t cuts;
    size_t sheets, from;
} parted;

static bool better(const parted *a, const parted *b, tw_pack_part part) {
    if (part == TW_PART_CUTS && a->cuts != b->cuts)
        return a->cuts < b->cuts;
    if (a->paper != b->paper)
        return a->paper < b->paper;
    return a->cuts != b->cuts ? a->cuts < b->cuts : a->sheets < b->sheets;
}

static void part_before(const stacker *s, parted *best, size_t end) {
    const tw_stock *stock = &s->problem->stock;
    group g = {0};
    best[end].sheets = SIZE_MAX;
    for (size_t from = end; from-- > 0 && g.rows < ROWS_OF_SHEET_MOST;) {
        tw_nm start;
        tw_nm rest;
        grow_up(s, &g, s->rows[from], from + 1 < end ? s->rows[from + 1] : NULL, end);
        tw_nm page = group_page(s, &g, &start, &rest);
        if (page < 0)
            break;
        parted now = {best[from].paper + page + stock->lost_each_sheet,
                      best[from].cuts + g.cuts + (start > 0) + (rest > 0) + !stock->machine_cuts,
                      best[from].sheets + 1, from};
        if (best[end].sheets == SIZE_MAX || better(&now, &best[end], s->part))
            best[end] = now;
    }
}

static tw_code part_roll(stacker *s, tw_error *error) {
    parted *best = tw_arena_array(s->arena, s->count + 1, sizeof *best);
    if (best == NULL)
        return tw_no_memory(error);
    for (size_t end = 1; end <= s->count; end++)
        part_before(s, best, end);
    s->sheets = (int)best[s->count].sheets;
    s->first = tw_arena_array(s->arena, (size_t)s->sheets + 1, sizeof *s->first);
    if (s->first == NULL)
        return tw_no_memory(error);
    size_t end = s->count;
    for (int sheet = s->sheets; sheet >= 0; sheet--) {
        s->first[sheet] = end;
        end = best[end].from;
    }
    return TW_OK;
}

/* ---------------------------------------------------------------- cut sheets */

/* Rows of an open sheet are a chain, the last one first. */
typedef struct open_sheet {
    size_t last, rows;
    tw_nm inner;
} open_sheet;

static bool joins(const stacker *s, const open_sheet *sheet, const size_t *before, size_t row,
                  size_t stamp) {
    group g = {0};
    tw_nm start;
    tw_nm rest;
    if (sheet->inner + s->rows[row]->height > s->problem->stock.length)
        return false;
    grow_up(s, &g, s->rows[row], NULL, stamp);
    size_t below = row;
    for (size_t at = sheet->last; at != SIZE_MAX; at = before[at]) {
        grow_up(s, &g, s->rows[at], s->rows[below], stamp);
        below = at;
    }
    return group_page(s, &g, &start, &rest) >= 0;
}

static int fill_open(const stacker *s, open_sheet *open, size_t *before) {
    int sheets = 0;
    size_t stamp = 0;
    if (s->stamp != NULL && s->images > 0) /* those of an earlier filling are stale */
        memset(s->stamp, 0, s->images * sizeof *s->stamp);
    for (size_t row = 0; row < s->count; row++) {
        int at = 0;
        while (at < sheets && !joins(s, &open[at], before, row, ++stamp))
            at++;
        if (at == sheets)
            open[sheets++] = (open_sheet){SIZE_MAX, 0, 0};
        before[row] = open[at].last;
        open[at].last = row;
        open[at].rows++;
        open[at].inner += s->rows[row]->height;
    }
    return sheets;
}

static tw_code fill_sheets(stacker *s, tw_error *error) {
    open_sheet *open = tw_arena_array(s->arena, s->count, sizeof *open);
    size_t *before = tw_arena_array(s->arena, s->count, sizeof *before);
    const tw_row **rows = tw_arena_array(s->arena, s->count, sizeof(tw_row *));
    s->first = tw_arena_array(s->arena, s->count + 1, sizeof *s->first);
    if (open == NULL || before == NULL || rows == NULL || s->first == NULL)
        return tw_no_memory(error);
    s->sheets = fill_open(s, open, before);
    size_t at = 0;
    for (int sheet = 0; sheet < s->sheets; sheet++) {
        s->first[sheet] = at;
        at += open[sheet].rows;
        size_t to = at;
        for (size_t row = open[sheet].last; row != SIZE_MAX; row = before[row])
            rows[--to] = s->rows[row];
    }
    s->first[s->sheets] = at;
    s->rows = rows;
    return TW_OK;
}

/* ---------------------------------------------------------------- sheets of given lengths */

static tw_nm page_of(const stacker *s, int sheet, tw_nm *start) {
    group g = {0};
    tw_nm rest = 0;
    size_t end = s->first[sheet + 1];
    for (size_t row = end; row-- > s->first[sheet];)
        grow_up(s, &g, s->rows[row], row + 1 < end ? s->rows[row + 1] : NULL, 0);
    return tw_page_length(s->problem, &g.need, start, &rest);
}

static tw_nm all_pages(const stacker *s) {
    tw_nm sum = 0;
    for (int sheet = 0; sheet < s->sheets; sheet++) {
        tw_nm start = 0;
        sum += page_of(s, sheet, &start) + s->problem->stock.lost_each_sheet;
    }
    return sum;
}

/* Parting the rows in one order seldom fills sheets of given lengths: each length is also filled
 * first fit, as if the paper were cut sheets of it, and the least paper of all that is taken. A
 * sheet not filled may then get a shorter length. */
static tw_code fill_lengths(stacker *s, tw_error *error) {
    const tw_stock *stock = &s->problem->stock;
    tw_code code = TW_OK;
    for (int i = 0; code == TW_OK && i < stock->sheet_length_count; i++) {
        tw_layout_problem boxed = *s->problem;
        stacker filled = *s;
        boxed.stock.roll = false;
        boxed.stock.length = stock->sheet_lengths[i];
        filled.problem = &boxed;
        code = fill_sheets(&filled, error);
        filled.problem = s->problem;
        if (code == TW_OK && all_pages(&filled) < all_pages(s))
            *s = filled;
    }
    return code;
}

/* ---------------------------------------------------------------- the layout */

static int by_height(const void *left, const void *right) {
    const tw_row *a = *(const tw_row *const *)left;
    const tw_row *b = *(const tw_row *const *)right;
    if (a->height != b->height)
        return a->height > b->height ? -1 : 1;
    return (a > b) - (a < b); /* one array: the order they were made in */
}

static tw_code list_rows(stacker *s, const tw_rows *rows, tw_error *error) {
    s->rows = tw_arena_array(s->arena, rows->total, sizeof(tw_row *));
    if (s->rows == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < rows->count; i++)
        for (size_t k = 0; k < rows->items[i].times; k++)
            s->rows[s->count++] = &rows->items[i];
    qsort(s->rows, s->count, sizeof(tw_row *), by_height);
    return TW_OK;
}

static tw_code start_stamps(stacker *s, tw_error *error) {
    int most = -1;
    if (!s->kinds->by_bytes)
        return TW_OK;
    for (size_t i = 0; i < s->kinds->count; i++)
        most = s->kinds->items[i].image > most ? s->kinds->items[i].image : most;
    s->images = (size_t)most + 1;
    s->stamp = tw_arena_array(s->arena, s->images, sizeof *s->stamp);
    return s->stamp == NULL ? tw_no_memory(error) : TW_OK;
}

static void put_row(const stacker *s, const tw_row *row, tw_nm y, int sheet, size_t *next,
                    tw_layout *out) {
    for (size_t i = 0; i < row->count; i++) {
        const tw_slot *slot = &row->slots[i];
        const tw_kind *kind = &s->kinds->items[slot->kind];
        out->placed[out->placed_count++] =
            (tw_placed){.piece = s->kinds->order[kind->first + next[slot->kind]++],
                        .sheet = sheet,
                        .x = slot->x,
                        .y = y + slot->y,
                        .turned = slot->way == 1};
    }
}

static void put_sheet(const stacker *s, int sheet, size_t *next, tw_layout *out) {
    tw_nm start = 0;
    size_t first = s->first[sheet];
    size_t end = s->first[sheet + 1];
    out->sheet_length[sheet] = page_of(s, sheet, &start);
    tw_nm y = start;
    for (size_t row = first; row < end; row++) {
        put_row(s, s->rows[row], y, sheet, next, out);
        y += s->rows[row]->height;
        if (row + 1 < end)
            y += row_gap(s, s->rows[row], s->rows[row + 1]);
    }
}

static tw_code put_all(const stacker *s, tw_layout *out, tw_error *error) {
    size_t *next = tw_arena_array(s->arena, s->kinds->count, sizeof *next);
    memset(out, 0, sizeof *out);
    out->placed = tw_arena_array(s->arena, s->kinds->order_count, sizeof *out->placed);
    out->sheet_length = tw_arena_array(s->arena, (size_t)s->sheets, sizeof *out->sheet_length);
    if (next == NULL || out->placed == NULL || out->sheet_length == NULL)
        return tw_no_memory(error);
    out->sheet_count = s->sheets;
    for (int sheet = 0; sheet < s->sheets; sheet++)
        put_sheet(s, sheet, next, out);
    tw_pack_total(s->problem, out);
    return TW_OK;
}

tw_code tw_pack_sheets(tw_arena *arena, const tw_layout_problem *problem, const tw_kinds *kinds,
                       const tw_rows *rows, tw_pack_part part, tw_layout *out, tw_error *error) {
    stacker s = {.arena = arena, .problem = problem, .kinds = kinds, .part = part};
    tw_code code = list_rows(&s, rows, error);
    if (code == TW_OK)
        code = start_stamps(&s, error);
    if (code == TW_OK)
        code = problem->stock.roll ? part_roll(&s, error) : fill_sheets(&s, error);
    if (code == TW_OK && problem->stock.roll && part == TW_PART_PAPER)
        code = fill_lengths(&s, error);
    return code == TW_OK ? put_all(&s, out, error) : code;
}
