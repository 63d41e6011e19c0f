/*
 * Plans built by hand for the guide's tests: sheets that are grids of equal prints with a waste
 * strip at the right and at the tail, cut row by row and then print by print.
 */
#ifndef TW_GUIDE_SAMPLE_H
#define TW_GUIDE_SAMPLE_H

#include "base/face.h"
#include "sheet/plan.h"
#include "testing.h"

enum { SAMPLE_SHEETS = 1100, SAMPLE_PAPERS = 3 };

typedef struct sample {
    tw_arena *arena;
    tw_job_data job;
    tw_prints prints;
    tw_plan_data plan;
    tw_paper papers[SAMPLE_PAPERS];
    tw_plan_paper plan_papers[SAMPLE_PAPERS];
    tw_template format;
    tw_order line;
} sample;

static inline void *sample_array(sample *s, size_t count, size_t size) {
    void *array = tw_arena_array(s->arena, count + 1, size);
    assert_non_null(array);
    return array;
}

static inline void sample_start(sample *s, tw_arena *arena) {
    memset(s, 0, sizeof *s);
    s->arena = arena;
    s->job = (tw_job_data){.name = "March day",
                           .date = "2027-03-06",
                           .papers = s->papers,
                           .paper_count = SAMPLE_PAPERS};
    for (int i = 0; i < SAMPLE_PAPERS; i++)
        s->papers[i] = (tw_paper){.name = i == 0   ? "satin-24in"
                                          : i == 1 ? "rag-17in"
                                                   : "a3plus",
                                  .kind = i == 2 ? TW_SHEETS : TW_ROLL,
                                  .width = (i == 0 ? 24 : 17) * TW_IN,
                                  .length = 600 * TW_IN,
                                  .cutter = i == 1 ? TW_CUTTER_HAND : TW_CUTTER_PRINTER,
                                  .dry = i == 0 ? 7200 : 0};
    s->papers[0].media = "Premium satin";
    s->format = (tw_template){.name = "8x10"};
    s->line = (tw_order){.order = "1001", .buyer = "A. Buyer", .title = "Harbour, morning"};
    s->plan = (tw_plan_data){.job = &s->job, .prints = &s->prints, .papers = s->plan_papers};
    s->plan.sheets = sample_array(s, SAMPLE_SHEETS, sizeof *s->plan.sheets);
}

/* The next print of order `order` (NULL: none), `id` as given. */
static inline tw_print *sample_print(sample *s, const char *id, const char *order, tw_size size) {
    tw_print *print = sample_array(s, 1, sizeof *print);
    print->id = id;
    print->order = order;
    print->line = &s->line;
    print->format = &s->format;
    print->fit.size = size;
    return print;
}

typedef struct sample_grid {
    size_t paper;
    int columns, rows;
    tw_size print;
    tw_nm right, tail; /* waste */
    const char *order;
    const char *id; /* a format with one %d, or NULL: order-n */
} sample_grid;

typedef struct sample_tree {
    tw_plan_sheet *sheet;
    tw_sheet_cuts *cuts;
    const sample_grid *grid;
    int pieces, prints;
} sample_tree;

static inline int sample_node(sample_tree *t, tw_node_kind kind, tw_rect rect, const char *name) {
    t->cuts->nodes[t->cuts->node_count] = (tw_node){.kind = kind, .rect = rect};
    t->sheet->piece_names[t->cuts->node_count] = name;
    return t->cuts->node_count++;
}

static inline void sample_cut(sample_tree *t, int node, tw_along along, tw_nm at, int low,
                              int high) {
    tw_node *cut = &t->cuts->nodes[node];
    tw_rect r = cut->rect;
    cut->kind = TW_NODE_CUT;
    cut->along = along;
    cut->at = at;
    cut->low = low;
    cut->high = high;
    t->cuts->cuts[t->cuts->cut_count] =
        (tw_cut){.step = t->cuts->cut_count + 1,
                 .node = node,
                 .along = along,
                 .at = at,
                 .from = along == TW_ALONG ? r.y : r.x,
                 .to = along == TW_ALONG ? tw_rect_bottom(r) : tw_rect_right(r),
                 .stop = at - (along == TW_ALONG ? r.x : r.y)};
    t->cuts->cut_count++;
}

static inline const char *sample_piece(sample *s, sample_tree *t) {
    return tw_arena_print(s->arena, "P%d", ++t->pieces);
}

static inline const char *sample_add_print(sample *s, sample_tree *t, tw_rect trim) {
    const sample_grid *grid = t->grid;
    int n = ++t->prints;
    char id[2000];
    if (grid->id != NULL) {
        size_t length = strlen(grid->id);
        assert_true(length < sizeof id - 16);
        memcpy(id, grid->id, length);
        snprintf(id + length, 16, "-%d", n);
    } else {
        snprintf(id, sizeof id, "%s-%d", grid->order == NULL ? "print" : grid->order, n);
    }
    tw_print *print = sample_print(s, tw_arena_string(s->arena, id), grid->order, grid->print);
    tw_rect picture = tw_rect_spread(trim, -(trim.width < TW_IN ? 0 : TW_IN / 4));
    t->sheet->prints[t->sheet->print_count++] =
        (tw_lying){.print = print, .trim = trim, .picture = picture, .whole = picture};
    return print->id;
}

/* Cut one row (a node) into its prints and the waste at its right. */
static inline void sample_row(sample *s, sample_tree *t, int row) {
    const sample_grid *grid = t->grid;
    for (int c = 0, in_hand = row; c < grid->columns; c++) {
        tw_rect r = t->cuts->nodes[in_hand].rect;
        tw_rect print = {r.x, r.y, grid->print.width, r.height};
        tw_rect rest = {r.x + print.width, r.y, r.width - print.width, r.height};
        const char *id = sample_add_print(s, t, print);
        if (rest.width == 0) {
            t->cuts->nodes[in_hand].kind = TW_NODE_PRINT;
            t->sheet->piece_names[in_hand] = id;
            return;
        }
        bool last = c + 1 == grid->columns;
        int low = sample_node(t, TW_NODE_PRINT, print, id);
        int high = sample_node(t, last ? TW_NODE_WASTE : TW_NODE_CUT, rest,
                               last ? "waste" : sample_piece(s, t));
        sample_cut(t, in_hand, TW_ALONG, rest.x, low, high);
        in_hand = high;
    }
}

static inline tw_plan_sheet *sample_sheet(sample *s, const sample_grid *grid) {
    tw_plan_sheet *sheet = &s->plan.sheets[s->plan.sheet_count++];
    size_t most = (size_t)(grid->columns * 2 + 2) * (size_t)grid->rows + 4;
    sample_tree t = {sheet, sample_array(s, 1, sizeof *t.cuts), grid, 0, 0};
    *sheet =
        (tw_plan_sheet){.number = (int)s->plan.sheet_count,
                        .of_load = (int)s->plan.sheet_count,
                        .paper_index = grid->paper,
                        .file = tw_arena_print(s->arena, "sheet-%02zu.pdf", s->plan.sheet_count),
                        .cuts = t.cuts};
    sheet->size = (tw_size){grid->columns * grid->print.width + grid->right,
                            grid->rows * grid->print.height + grid->tail};
    sheet->prints = sample_array(s, most, sizeof *sheet->prints);
    sheet->piece_names = sample_array(s, most, sizeof *sheet->piece_names);
    t.cuts->nodes = sample_array(s, most, sizeof *t.cuts->nodes);
    t.cuts->cuts = sample_array(s, most, sizeof *t.cuts->cuts);
    int rest =
        sample_node(&t, TW_NODE_CUT, (tw_rect){0, 0, sheet->size.width, sheet->size.height}, "A");
    for (int r = 0; r < grid->rows; r++) {
        tw_rect all = t.cuts->nodes[rest].rect;
        tw_rect row = {0, all.y, all.width, grid->print.height};
        tw_rect below = {0, all.y + row.height, all.width, all.height - row.height};
        if (below.height == 0) {
            sample_row(s, &t, rest);
            break;
        }
        int low = sample_node(&t, TW_NODE_CUT, row, sample_piece(s, &t));
        bool last = r + 1 == grid->rows;
        int high = sample_node(&t, last ? TW_NODE_WASTE : TW_NODE_CUT, below,
                               last ? "waste" : sample_piece(s, &t));
        sample_cut(&t, rest, TW_ACROSS, below.y, low, high);
        sample_row(s, &t, low);
        rest = high;
    }
    return sheet;
}

/* Totals and papers, once all sheets are there. */
static inline void sample_finish(sample *s) {
    for (size_t p = 0; p < SAMPLE_PAPERS; p++) {
        tw_totals totals = {0};
        for (size_t i = 0; i < s->plan.sheet_count; i++)
            if (s->plan.sheets[i].paper_index == p) {
                totals.sheets++;
                totals.length += s->plan.sheets[i].size.height;
                totals.hand_cuts += s->plan.sheets[i].cuts->cut_count;
            }
        if (totals.sheets > 0)
            s->plan_papers[s->plan.paper_count++] =
                (tw_plan_paper){.paper_index = p, .totals = totals};
        s->plan.totals.sheets += totals.sheets;
        s->plan.totals.length += totals.length;
        s->plan.totals.hand_cuts += totals.hand_cuts;
    }
}

/* Everything written on a page, one blank between lines; with the arena's memory. */
static inline const char *sample_text(tw_arena *arena, const tw_page *page) {
    size_t length = 1;
    for (size_t i = 0; i < page->count; i++)
        length += page->ops[i].kind == TW_OP_TEXT ? strlen(page->ops[i].text) + 1 : 0;
    char *text = tw_arena_take(arena, length);
    assert_non_null(text);
    size_t used = 0;
    for (size_t i = 0; i < page->count; i++)
        if (page->ops[i].kind == TW_OP_TEXT) {
            size_t step = strlen(page->ops[i].text);
            memcpy(text + used, page->ops[i].text, step);
            used += step;
            text[used++] = ' ';
        }
    text[used] = '\0';
    return text;
}

/* Does any page say this? Lines are joined by blanks. */
static inline bool sample_says(tw_arena *arena, const tw_page *pages, size_t count,
                               const char *words) {
    for (size_t i = 0; i < count; i++)
        if (strstr(sample_text(arena, &pages[i]), words) != NULL)
            return true;
    return false;
}

#define assert_guide_says(words)                                                                   \
    do {                                                                                           \
        if (!sample_says(arena, pages, count, words))                                              \
            fail_msg("the guide does not say \"%s\"", words);                                      \
    } while (0)

#endif
