/*
 * Laying one print more into a sheet's waste: where it fits, then whether the sheet can still be
 * cut (see open_sheet.h). No cleverness about cuts here: the cut tree is simply made again.
 */
#include "layout/open_sheet.h"

#include <stdlib.h>
#include <string.h>

enum { SPOTS_MOST = 64, SPOTS_TRIED = 12, TRIES = 600, STAGES_MOST = 3 };

/* ---------------------------------------------------------------- cutting it */

typedef struct tree {
    const tw_sheet_cuts *cuts;
    bool *holds; /* of each node: a print is in it */
    int *stage;  /* of each node: of the last cut before it that parted prints */
} tree;

/* Nodes come after the node they are cut from, so backwards means from the inside out. */
static void find_prints(const tree *t) {
    for (int i = t->cuts->node_count; i-- > 0;) {
        const tw_node *node = &t->cuts->nodes[i];
        t->holds[i] = node->kind == TW_NODE_PRINT;
        if (node->kind == TW_NODE_CUT)
            t->holds[i] = t->holds[node->low] || (node->high >= 0 && t->holds[node->high]);
    }
}

/* Across, along, across; cuts that only take waste off are free. */
static bool few_stages(const tree *t) {
    for (int i = 0; i < t->cuts->node_count; i++) {
        const tw_node *node = &t->cuts->nodes[i];
        if (node->kind != TW_NODE_CUT)
            continue;
        int stage = t->stage[i];
        bool parts = node->high >= 0 && t->holds[node->low] && t->holds[node->high];
        if (parts) {
            stage = stage == 0 ? 1 : stage;
            stage += (stage % 2 == 1) != (node->along == TW_ACROSS);
        }
        if (stage > STAGES_MOST)
            return false;
        t->stage[node->low] = stage;
        if (node->high >= 0)
            t->stage[node->high] = stage;
    }
    return true;
}

static int by_area(const void *left, const void *right) {
    const tw_rect *a = left, *b = right;
    tw_wide area_a = (tw_wide)a->width * (tw_wide)a->height;
    tw_wide area_b = (tw_wide)b->width * (tw_wide)b->height;
    if (area_a != area_b)
        return area_a > area_b ? -1 : 1;
    if (a->y != b->y)
        return a->y < b->y ? -1 : 1;
    return (a->x > b->x) - (a->x < b->x);
}

static void list_waste(tw_open_sheet *open, const tw_sheet_cuts *cuts) {
    open->waste_count = 0;
    for (int i = 0; i < cuts->node_count && open->waste_count < open->waste_room; i++)
        if (cuts->nodes[i].kind == TW_NODE_WASTE)
            open->waste[open->waste_count++] = cuts->nodes[i].rect;
    if (open->waste_count > 0)
        qsort(open->waste, open->waste_count, sizeof *open->waste, by_area);
}

static tw_code look_at_tree(tw_arena *arena, tw_open_sheet *open, const tw_sheet_cuts *cuts,
                            tw_error *error) {
    size_t nodes = (size_t)cuts->node_count;
    tree t = {cuts, tw_arena_array(arena, nodes, sizeof *t.holds),
              tw_arena_array(arena, nodes, sizeof *t.stage)};
    if (t.holds == NULL || t.stage == NULL)
        return tw_no_memory(error);
    find_prints(&t);
    open->cuttable = open->problem->settings.stages != STAGES_MOST || few_stages(&t);
    if (open->cuttable)
        list_waste(open, cuts);
    return TW_OK;
}

/* An empty page is waste as a whole. */
static void look_at_blank(tw_open_sheet *open) {
    open->waste[0] = (tw_rect){0, 0, open->problem->stock.width, open->length};
    open->waste_count = 1;
    open->cuttable = true;
}

/* Makes the cut tree of the sheet as it is, into memory of its own. */
static tw_code look(tw_open_sheet *open, tw_error *error) {
    static const tw_trimmer_limits no_limits = {0, 0};
    const tw_run *run = open->problem->settings.run;
    tw_layout layout = {.placed = open->placed,
                        .placed_count = open->count,
                        .sheet_length = &open->length,
                        .sheet_count = 1};
    tw_cuts cuts;
    tw_error why = {0};
    open->cuttable = false;
    if (open->count == 0) {
        look_at_blank(open);
        return TW_OK;
    }
    tw_arena *arena = tw_arena_new(run == NULL ? NULL : run->allocator, 0);
    if (arena == NULL)
        return tw_no_memory(error);
    open->tries--;
    tw_code code = tw_cuts_make(arena, open->problem, &layout, &no_limits, &cuts, &why);
    if (code == TW_OK)
        code = look_at_tree(arena, open, &cuts.sheets[0], &why);
    tw_arena_free(arena);
    if (code == TW_BUG) /* no way to cut it: that is the answer */
        return TW_OK;
    if (code != TW_OK && error != NULL)
        *error = why;
    return code;
}

/* ---------------------------------------------------------------- where it may lie */

typedef struct spot {
    tw_nm x, y;
    bool turned;
    tw_nm left_over; /* beside it one way, the lesser */
    tw_wide area;    /* of the waste it lies in */
} spot;

typedef struct seen {
    tw_nm low[2], high[2]; /* 0 y, 1 x, as tw_along */
    tw_sides bleed;
} seen;

static seen see(const tw_open_sheet *open, const tw_placed *p) {
    const tw_piece *piece = &open->problem->pieces[p->piece];
    seen s = {.low = {p->y, p->x},
              .bleed = p->turned ? tw_sides_turned(piece->bleed) : piece->bleed};
    s.high[0] = p->y + (p->turned ? piece->width : piece->height);
    s.high[1] = p->x + (p->turned ? piece->height : piece->width);
    return s;
}

static const int low_side[2] = {TW_TOP, TW_LEFT};
static const int high_side[2] = {TW_BOTTOM, TW_RIGHT};

/* Where a print of this lie may begin and end inside the waste, given the page's edges and those
 * neighbours that lie straight beside the waste. */
static void limits_in(const tw_open_sheet *open, const tw_rect *r, const tw_lie *lie, tw_nm low[2],
                      tw_nm high[2]) {
    const tw_layout_settings *settings = &open->problem->settings;
    const tw_nm from[2] = {r->y, r->x};
    const tw_nm to[2] = {tw_rect_bottom(*r), tw_rect_right(*r)};
    const tw_nm page[2] = {open->length, open->problem->stock.width};
    for (int axis = 0; axis < 2; axis++) {
        tw_nm keep_low = lie->keep.side[low_side[axis]] - from[axis];
        tw_nm keep_high = lie->keep.side[high_side[axis]] - (page[axis] - to[axis]);
        low[axis] = from[axis] + tw_raised(keep_low, settings->narrowest_strip);
        high[axis] = to[axis] - tw_raised(keep_high, settings->narrowest_strip);
    }
    for (size_t i = 0; i < open->count; i++) {
        seen s = see(open, &open->placed[i]);
        for (int axis = 0; axis < 2; axis++) {
            int other = 1 - axis;
            if (s.low[other] >= to[other] || s.high[other] <= from[other])
                continue; /* not straight beside it */
            tw_nm under =
                tw_gap(settings, s.bleed.side[high_side[axis]], lie->bleed.side[low_side[axis]]);
            tw_nm over =
                tw_gap(settings, lie->bleed.side[high_side[axis]], s.bleed.side[low_side[axis]]);
            if (s.high[axis] <= from[axis]) {
                tw_nm strip =
                    tw_raised(s.high[axis] + under - from[axis], settings->narrowest_strip);
                low[axis] = from[axis] + strip > low[axis] ? from[axis] + strip : low[axis];
            } else if (s.low[axis] >= to[axis]) {
                tw_nm strip = tw_raised(to[axis] - (s.low[axis] - over), settings->narrowest_strip);
                high[axis] = to[axis] - strip < high[axis] ? to[axis] - strip : high[axis];
            }
        }
    }
}

static bool strips_ok(const tw_open_sheet *open, tw_nm at, tw_nm size, tw_nm from, tw_nm to) {
    tw_nm narrowest = open->problem->settings.narrowest_strip;
    return tw_strip_ok(at - from, narrowest) && tw_strip_ok(to - at - size, narrowest);
}

/* The gap to every neighbour, also those that lie aslant; and the page's edges. */
static bool keeps_away(const tw_open_sheet *open, const tw_placed *p, const tw_lie *lie) {
    const tw_layout_settings *settings = &open->problem->settings;
    const tw_nm page[2] = {open->length, open->problem->stock.width};
    seen a = see(open, p);
    for (int axis = 0; axis < 2; axis++)
        if (a.low[axis] < lie->keep.side[low_side[axis]] ||
            page[axis] - a.high[axis] < lie->keep.side[high_side[axis]])
            return false;
    for (size_t i = 0; i < open->count; i++) {
        seen b = see(open, &open->placed[i]);
        bool apart = false;
        for (int axis = 0; axis < 2 && !apart; axis++) {
            const int high = high_side[axis], low = low_side[axis];
            apart = b.low[axis] - a.high[axis] >=
                        tw_gap(settings, a.bleed.side[high], b.bleed.side[low]) ||
                    a.low[axis] - b.high[axis] >=
                        tw_gap(settings, b.bleed.side[high], a.bleed.side[low]);
        }
        if (!apart)
            return false;
    }
    return true;
}

/* An image that the sheet holds already is in its file once. */
static bool bytes_ok(const tw_open_sheet *open, size_t piece) {
    const tw_piece *pieces = open->problem->pieces;
    int64_t left = open->problem->settings.sheet_bytes_most;
    if (left <= 0)
        return true;
    for (size_t i = 0; i < open->count; i++) {
        const tw_piece *one = &pieces[open->placed[i].piece];
        bool again = one->image >= 0 && one->image == pieces[piece].image;
        for (size_t k = 0; k < i && !again; k++)
            again = one->image >= 0 && pieces[open->placed[k].piece].image == one->image;
        left -= again ? 0 : one->bytes;
    }
    return pieces[piece].bytes <= left;
}

static void add_spot(const tw_open_sheet *open, const tw_rect *r, const tw_lie *lie, bool turned,
                     spot *spots, size_t *count) {
    tw_nm low[2], high[2];
    const tw_nm size[2] = {lie->height, lie->width};
    if (lie->width > r->width || lie->height > r->height)
        return;
    limits_in(open, r, lie, low, high);
    tw_nm over_y = high[0] - low[0] - size[0];
    tw_nm over_x = high[1] - low[1] - size[1];
    if (over_x < 0 || over_y < 0)
        return;
    for (int corner = 0; corner < 4 && *count < SPOTS_MOST; corner++) {
        tw_nm y = (corner & 2) != 0 ? high[0] - size[0] : low[0];
        tw_nm x = (corner & 1) != 0 ? high[1] - size[1] : low[1];
        if (strips_ok(open, y, size[0], r->y, tw_rect_bottom(*r)) &&
            strips_ok(open, x, size[1], r->x, tw_rect_right(*r)))
            spots[(*count)++] = (spot){x, y, turned, over_x < over_y ? over_x : over_y,
                                       (tw_wide)r->width * (tw_wide)r->height};
    }
}

static int by_fit(const void *left, const void *right) {
    const spot *a = left, *b = right;
    if (a->left_over != b->left_over)
        return a->left_over < b->left_over ? -1 : 1;
    if (a->area != b->area)
        return a->area < b->area ? -1 : 1;
    if (a->y != b->y)
        return a->y < b->y ? -1 : 1;
    if (a->x != b->x)
        return a->x < b->x ? -1 : 1;
    return (int)a->turned - (int)b->turned;
}

static size_t list_spots(const tw_open_sheet *open, size_t piece, unsigned char ways,
                         spot spots[SPOTS_MOST]) {
    size_t count = 0;
    for (int way = 0; way < 2; way++) {
        tw_lie lie = tw_piece_lie(open->problem, &open->problem->pieces[piece], way == 1);
        for (size_t i = 0; lie.may && (ways & (1 << way)) != 0 && i < open->waste_count; i++)
            add_spot(open, &open->waste[i], &lie, way == 1, spots, &count);
    }
    if (count > 0)
        qsort(spots, count, sizeof *spots, by_fit);
    return count;
}

/* ---------------------------------------------------------------- from outside */

tw_code tw_open_start(tw_arena *arena, const tw_layout_problem *problem, const tw_placed *placed,
                      size_t count, size_t most, tw_nm length, tw_open_sheet *out,
                      tw_error *error) {
    *out = (tw_open_sheet){.problem = problem, .length = length, .tries = TRIES};
    out->room = most > count ? most : count;
    out->waste_room = 4 * out->room + 2; /* each of a print's four cuts frees one at most */
    out->placed = tw_arena_array(arena, out->room, sizeof *out->placed);
    out->waste = tw_arena_array(arena, out->waste_room, sizeof *out->waste);
    if (out->placed == NULL || out->waste == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < count; i++) {
        out->placed[i] = placed[i];
        out->placed[i].sheet = 0;
    }
    out->count = count;
    return look(out, error);
}

tw_code tw_open_lengthen(tw_open_sheet *open, tw_nm length, tw_error *error) {
    open->length = length;
    return look(open, error);
}

tw_nm tw_open_bottom(const tw_open_sheet *open) {
    tw_nm bottom = 0;
    for (size_t i = 0; i < open->count; i++) {
        seen s = see(open, &open->placed[i]);
        bottom = s.high[0] > bottom ? s.high[0] : bottom;
    }
    return bottom;
}

tw_code tw_open_put(tw_open_sheet *open, size_t piece, unsigned char ways, bool *put,
                    tw_error *error) {
    spot spots[SPOTS_MOST];
    tw_code code = TW_OK;
    *put = false;
    if (!open->cuttable || open->count == open->room || !bytes_ok(open, piece))
        return TW_OK;
    size_t count = list_spots(open, piece, ways, spots);
    size_t tried = 0;
    for (size_t i = 0; i < count && tried < SPOTS_TRIED && open->tries > 0; i++) {
        tw_placed p = {piece, 0, spots[i].x, spots[i].y, spots[i].turned};
        tw_lie lie = tw_piece_lie(open->problem, &open->problem->pieces[piece], p.turned);
        if (!keeps_away(open, &p, &lie))
            continue;
        open->placed[open->count++] = p;
        tried++;
        code = look(open, error);
        if (code != TW_OK || open->cuttable) {
            *put = code == TW_OK;
            return code;
        }
        open->count--;
    }
    return tried > 0 ? look(open, error) : code; /* its waste as it was */
}
