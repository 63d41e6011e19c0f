/*
 * The cut trees of a layout, from the placed prints alone: each sheet is parted, then each part,
 * and so on, until every piece is a print or waste (cuts_choose.c says where and which way). Waste
 * at an end comes off before the part is cut the other way: that never takes more cuts (a tree
 * for the part with its waste, restricted to the part, has at least one leaf less).
 */
#include "layout/cuts.h"

#include <string.h>

/* A node still to be cut, and its trims. */
typedef struct task {
    int node, stage;
    size_t first, count;
} task;

typedef struct cutter {
    tw_arena *arena; /* scratch */
    const tw_layout_problem *problem;
    const tw_layout *layout;
    tw_trim *trims; /* of this sheet */
    size_t trim_count;
    tw_lines lines;
    tw_cuts_scratch ahead;
    task *tasks;
    size_t task_count;
    tw_sheet_cuts *sheet; /* being made: arrays are scratch until it is done */
    int sheet_number;
} cutter;

static tw_trim trim_of(const tw_layout_problem *problem, const tw_layout *layout, size_t placed) {
    const tw_placed *p = &layout->placed[placed];
    const tw_piece *piece = &problem->pieces[p->piece];
    tw_nm width = p->turned ? piece->height : piece->width;
    tw_nm height = p->turned ? piece->width : piece->height;
    return (tw_trim){{p->y, p->x}, {p->y + height, p->x + width}, placed};
}

static tw_hand hand_of(const cutter *c, const task *t) {
    tw_rect r = c->sheet->nodes[t->node].rect;
    return (tw_hand){
        {r.y, r.x}, {r.y + r.height, r.x + r.width}, &c->trims[t->first], t->count, t->stage};
}

static int add_node(cutter *c, const tw_nm low[2], const tw_nm high[2]) {
    tw_node *node = &c->sheet->nodes[c->sheet->node_count];
    *node = (tw_node){.kind = TW_NODE_WASTE,
                      .rect = {low[1], low[0], high[1] - low[1], high[0] - low[0]},
                      .low = -1,
                      .high = -1};
    return c->sheet->node_count++;
}

static bool is_whole(const tw_hand *hand) {
    const tw_trim *t = &hand->trims[0];
    return hand->count == 1 && memcmp(t->low, hand->low, sizeof t->low) == 0 &&
           memcmp(t->high, hand->high, sizeof t->high) == 0;
}

static void add_cut(cutter *c, int number) {
    const tw_node *node = &c->sheet->nodes[number];
    bool across = node->along == TW_ACROSS;
    tw_rect r = node->rect;
    tw_cut *cut = &c->sheet->cuts[c->sheet->cut_count++];
    *cut = (tw_cut){.node = number,
                    .along = node->along,
                    .at = node->at,
                    .from = across ? r.x : r.y,
                    .to = across ? r.x + r.width : r.y + r.height,
                    .stop = node->at - (across ? r.y : r.x)};
}

/* Tasks are taken from the end: the first part shall come first in the tree. */
static void reverse(cutter *c, size_t from) {
    for (size_t i = from, j = c->task_count; i + 1 < j; i++, j--) {
        task t = c->tasks[i];
        c->tasks[i] = c->tasks[j - 1];
        c->tasks[j - 1] = t;
    }
}

/* One after another from the low side: each cut frees a part, the rest stays in hand. */
static void part(cutter *c, const task *t, const tw_hand *hand, tw_along axis) {
    tw_nm low[2] = {hand->low[0], hand->low[1]};
    int in_hand = t->node;
    int stage = tw_cuts_stage(hand, &c->lines, axis);
    size_t waiting = c->task_count;
    for (size_t i = 0; i <= c->lines.count; i++) {
        int part_node = in_hand;
        if (i < c->lines.count) {
            tw_nm high[2] = {hand->high[0], hand->high[1]};
            high[axis] = c->lines.at[i];
            part_node = add_node(c, low, high);
            low[axis] = c->lines.at[i];
            int rest = add_node(c, low, hand->high);
            tw_node *node = &c->sheet->nodes[in_hand];
            node->kind = TW_NODE_CUT;
            node->along = axis;
            node->at = c->lines.at[i];
            node->low = part_node;
            node->high = rest;
            add_cut(c, in_hand);
            in_hand = rest;
        }
        size_t first = c->lines.first[i];
        size_t count = c->lines.first[i + 1] - first;
        if (count > 0)
            c->tasks[c->task_count++] = (task){part_node, stage, t->first + first, count};
    }
    reverse(c, waiting);
}

static tw_code cut_node(cutter *c, const task *t, tw_error *error) {
    tw_hand hand = hand_of(c, t);
    if (is_whole(&hand)) {
        c->sheet->nodes[t->node].kind = TW_NODE_PRINT;
        c->sheet->nodes[t->node].placed = hand.trims[0].placed;
        return TW_OK;
    }
    tw_along axis = tw_cuts_choose(&c->ahead, &hand, &c->lines);
    if (c->lines.count > 0) {
        part(c, t, &hand, axis);
        return TW_OK;
    }
    return tw_fail(error, TW_BUG, "layout-bug",
                   "sheet %d cannot be cut from edge to edge: %zu prints cannot be parted",
                   c->sheet_number + 1, hand.count);
}

/* The hand cutter's first cut frees the page from the roll: node 0 is the page with what follows
 * it, node 1 the page. */
static void free_page(cutter *c) {
    tw_rect page = c->sheet->nodes[0].rect;
    tw_node *node = &c->sheet->nodes[0];
    tw_nm low[2] = {0, 0};
    tw_nm high[2] = {page.height, page.width};
    node->kind = TW_NODE_CUT;
    node->along = TW_ACROSS;
    node->at = page.height;
    node->low = add_node(c, low, high);
    node->high = -1;
    add_cut(c, 0);
}

static tw_code grow_tree(cutter *c, tw_error *error) {
    const tw_stock *stock = &c->problem->stock;
    tw_nm low[2] = {0, 0};
    tw_nm high[2] = {c->layout->sheet_length[c->sheet_number], stock->width};
    int root = add_node(c, low, high);
    if (stock->roll && !stock->machine_cuts) {
        free_page(c);
        root = 1;
    }
    c->task_count = 0;
    if (c->trim_count > 0)
        c->tasks[c->task_count++] = (task){root, 0, 0, c->trim_count};
    while (c->task_count > 0) {
        task t = c->tasks[--c->task_count];
        tw_code code = cut_node(c, &t, error);
        if (code != TW_OK)
            return code;
    }
    return TW_OK;
}

/* On a roll no longer than it is wide; a cut sheet is small enough for either way. */
static tw_nm longest_along(const tw_stock *stock) {
    return !stock->roll && stock->length > stock->width ? stock->length : stock->width;
}

/* A print is freed by four cuts at most, and each cut frees at most one piece of waste more. */
static tw_code make_room(cutter *c, size_t trims, tw_error *error) {
    size_t cuts = 4 * trims + 2;
    c->trims = tw_arena_array(c->arena, trims, sizeof *c->trims);
    c->tasks = tw_arena_array(c->arena, trims + 1, sizeof *c->tasks);
    c->lines.at = tw_arena_array(c->arena, 2 * trims + 2, sizeof *c->lines.at);
    c->lines.first = tw_arena_array(c->arena, 2 * trims + 4, sizeof *c->lines.first);
    c->sheet->nodes = tw_arena_array(c->arena, 2 * cuts + 1, sizeof *c->sheet->nodes);
    c->sheet->cuts = tw_arena_array(c->arena, cuts, sizeof *c->sheet->cuts);
    bool all = c->trims != NULL && c->tasks != NULL && c->lines.at != NULL &&
               c->lines.first != NULL && c->sheet->nodes != NULL && c->sheet->cuts != NULL;
    c->ahead.narrowest = c->problem->settings.narrowest_strip;
    c->ahead.staged = c->problem->settings.stages == 3;
    c->ahead.longest_along = longest_along(&c->problem->stock);
    if (c->problem->settings.strip_lead > 0 || c->problem->settings.strip_tail > 0)
        c->ahead.page_end = c->layout->sheet_length[c->sheet_number];
    return all ? tw_cuts_start(c->arena, trims, &c->ahead, error) : tw_no_memory(error);
}

static void mark_limits(const cutter *c, const tw_trimmer_limits *limits) {
    const tw_stock *stock = &c->problem->stock;
    bool own_ends = stock->machine_cuts || !stock->roll;
    for (int i = 0; i < c->sheet->cut_count; i++) {
        tw_cut *cut = &c->sheet->cuts[i];
        tw_rect r = c->sheet->nodes[cut->node].rect;
        tw_rect page = c->sheet->nodes[0].rect;
        bool across = cut->along == TW_ACROSS;
        cut->knife = limits->longest_cut > 0 && cut->to - cut->from > limits->longest_cut;
        cut->to_mark = limits->farthest_stop > 0 && cut->stop > limits->farthest_stop;
        cut->machine_edge_low = across ? own_ends && r.y == 0 : r.x == 0;
        cut->machine_edge_high =
            across ? own_ends && r.y + r.height == page.height : r.x + r.width == page.width;
    }
}

static tw_code copy_out(tw_arena *arena, const tw_sheet_cuts *from, tw_sheet_cuts *to,
                        tw_error *error) {
    size_t nodes = (size_t)from->node_count;
    size_t cuts = (size_t)from->cut_count;
    *to = *from;
    to->nodes = tw_arena_array(arena, nodes, sizeof *to->nodes);
    to->cuts = tw_arena_array(arena, cuts, sizeof *to->cuts);
    if (to->nodes == NULL || to->cuts == NULL)
        return tw_no_memory(error);
    memcpy(to->nodes, from->nodes, nodes * sizeof *to->nodes);
    if (cuts > 0)
        memcpy(to->cuts, from->cuts, cuts * sizeof *to->cuts);
    return TW_OK;
}

/* One sheet's cuts, and how the trimmer was left. */
typedef struct way {
    tw_sheet_cuts sheet;
    tw_nm stop;
    int64_t changes;
} way;

/* Its prints are layout->placed[first] and so on. */
static tw_code cut_one_way(const cutter *day, size_t first, const tw_trimmer_limits *limits,
                           bool along, way *out, tw_error *error) {
    cutter c = *day;
    c.sheet = &out->sheet;
    tw_code code = make_room(&c, c.trim_count, error);
    if (code != TW_OK)
        return code;
    for (size_t i = 0; i < c.trim_count; i++)
        c.trims[i] = trim_of(c.problem, c.layout, first + i);
    c.ahead.prefer_along = along;
    code = grow_tree(&c, error);
    if (code != TW_OK)
        return code;
    mark_limits(&c, limits);
    return tw_cuts_order(c.arena, &out->sheet, &out->stop, &out->changes, error);
}

/* A cut sheet is small enough for either way first: the one that leaves the stop alone more often
 * is taken. A roll is cut across first. */
static tw_code cut_sheet(const cutter *c, size_t first, const tw_trimmer_limits *limits,
                         tw_nm *stop, tw_cuts *out, tw_arena *arena, tw_error *error) {
    way best = {.stop = *stop};
    way along = {.stop = *stop};
    tw_code code = cut_one_way(c, first, limits, false, &best, error);
    if (code == TW_OK && !c->problem->stock.roll && best.changes > 0) {
        code = cut_one_way(c, first, limits, true, &along, error);
        if (along.sheet.cut_count <= best.sheet.cut_count && along.changes < best.changes)
            best = along;
    }
    if (code != TW_OK)
        return code;
    *stop = best.stop;
    out->stop_changes += best.changes;
    out->hand_cuts += best.sheet.cut_count;
    return copy_out(arena, &best.sheet, &out->sheets[c->sheet_number], error);
}

static tw_code cut_sheets(const cutter *day, const tw_trimmer_limits *limits, tw_cuts *out,
                          tw_arena *arena, tw_error *error) {
    tw_code code = TW_OK;
    tw_nm stop = -1;
    size_t first = 0;
    cutter c = *day;
    const tw_layout *layout = day->layout;
    for (int sheet = 0; sheet < layout->sheet_count && code == TW_OK; sheet++) {
        size_t end = first;
        while (end < layout->placed_count && layout->placed[end].sheet == sheet)
            end++;
        c.arena = tw_arena_new(tw_arena_allocator(arena), 0);
        if (c.arena == NULL)
            return tw_no_memory(error);
        c.sheet_number = sheet;
        c.trim_count = end - first;
        code = cut_sheet(&c, first, limits, &stop, out, arena, error);
        tw_arena_free(c.arena);
        first = end;
    }
    return code;
}

tw_code tw_cuts_make(tw_arena *arena, const tw_layout_problem *problem, const tw_layout *layout,
                     const tw_trimmer_limits *limits, tw_cuts *out, tw_error *error) {
    cutter day = {.problem = problem, .layout = layout};
    memset(out, 0, sizeof *out);
    out->sheets = tw_arena_array(arena, (size_t)layout->sheet_count, sizeof *out->sheets);
    if (out->sheets == NULL)
        return tw_no_memory(error);
    return cut_sheets(&day, limits, out, arena, error);
}
