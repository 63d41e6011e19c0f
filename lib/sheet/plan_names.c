/*
 * What each piece of paper is called while it is cut: the page is A, pieces that are cut again
 * B, C ... Z, AA ..., offcuts waste-1 ..., prints their own ids. Names are given in cutting
 * order, so that the guide counts up as the person goes.
 */
#include "sheet/plan_steps.h"

#include <string.h>

/* 0 is A, 25 Z, 26 AA: counting in letters without a zero. */
static char *letters(tw_arena *arena, size_t number) {
    char text[16];
    size_t at = sizeof text - 1;
    text[at] = '\0';
    for (size_t rest = number + 1; rest > 0 && at > 0; rest = (rest - 1) / 26)
        text[--at] = (char)('A' + (rest - 1) % 26);
    return tw_arena_string(arena, text + at);
}

typedef struct naming {
    tw_arena *arena;
    const tw_sheet_cuts *cuts;
    const tw_print *const *placed;
    const char **names;
    size_t pieces, offcuts;
} naming;

static tw_code name_node(naming *work, int node, tw_error *error) {
    if (node < 0 || node >= work->cuts->node_count || work->names[node] != NULL)
        return tw_fail(error, TW_BUG, "cut-tree", "a cut frees piece %d, which is none", node);
    const tw_node *piece = &work->cuts->nodes[node];
    const char *name = NULL;
    if (piece->kind == TW_NODE_PRINT)
        name = work->placed[piece->placed]->id;
    else if (piece->kind == TW_NODE_WASTE)
        name = tw_arena_print(work->arena, "waste-%zu", ++work->offcuts);
    else
        name = letters(work->arena, work->pieces++);
    work->names[node] = name;
    return name == NULL ? tw_no_memory(error) : TW_OK;
}

bool tw_cut_ends_sheet(const tw_sheet_cuts *cuts, const tw_cut *cut) {
    return cut->node == 0 && cut->along == TW_ACROSS &&
           cut->at == tw_rect_bottom(cuts->nodes[0].rect);
}

/* The page is A on the roll and off it; a page that is one print has the print's name. */
static tw_code name_page(naming *work, tw_error *error) {
    int page = work->cuts->nodes[0].low;
    if (page > 0 && page < work->cuts->node_count && work->names[page] == NULL &&
        work->cuts->nodes[page].kind == TW_NODE_CUT) {
        work->names[page] = work->names[0];
        return TW_OK;
    }
    return name_node(work, page, error);
}

static tw_code name_freed(naming *work, const tw_cut *cut, tw_error *error) {
    if (tw_cut_ends_sheet(work->cuts, cut))
        return name_page(work, error);
    if (cut->node < 0 || cut->node >= work->cuts->node_count || work->names[cut->node] == NULL ||
        work->cuts->nodes[cut->node].kind != TW_NODE_CUT)
        return tw_fail(error, TW_BUG, "cut-tree", "step %d cuts a piece not yet freed", cut->step);
    const tw_node *node = &work->cuts->nodes[cut->node];
    tw_code code = name_node(work, node->low, error);
    return code == TW_OK ? name_node(work, node->high, error) : code;
}

tw_code tw_plan_names(tw_arena *arena, const tw_sheet_cuts *cuts, const tw_print *const *placed,
                      const char ***out, tw_error *error) {
    naming work = {.arena = arena, .cuts = cuts, .placed = placed};
    work.names = tw_arena_array(arena, (size_t)cuts->node_count, sizeof *work.names);
    if (work.names == NULL)
        return tw_no_memory(error);
    tw_code code = name_node(&work, 0, error);
    for (int i = 0; code == TW_OK && i < cuts->cut_count; i++)
        code = name_freed(&work, &cuts->cuts[i], error);
    for (int i = 0; code == TW_OK && i < cuts->node_count; i++)
        if (work.names[i] == NULL)
            code = tw_fail(error, TW_BUG, "cut-tree", "no step frees piece %d", i);
    *out = work.names;
    return code;
}
