/*
 * The referee on cuts: each sheet is cut again in the order listed, starting from the page alone.
 * Every cut must run edge to edge of a piece that is in hand by then; what is there in the end
 * must be the prints and waste wide enough to have been cut off.
 */
#include "layout/referee.h"

#include <string.h>

/* A piece of paper while the sheet is cut. */
typedef struct scrap {
    bool there, cut;
    tw_nm left, top, right, bottom;
    int freed_along; /* -1 the page, else the tw_along of the cut that freed it */
    int stage;       /* of the last cut before it that parted prints: odd across, even along */
    size_t prints;
} scrap;

typedef struct replay {
    const tw_judge *judge;
    const tw_sheet_cuts *sheet;
    int number;
    scrap *scraps;
    bool *found; /* prints, from the sheet's first */
} replay;

static tw_nm low_of(const scrap *s, tw_along along) {
    return along == TW_ACROSS ? s->top : s->left;
}

static tw_nm high_of(const scrap *s, tw_along along) {
    return along == TW_ACROSS ? s->bottom : s->right;
}

static bool cut_by_hand(const replay *r) {
    const tw_stock *stock = &r->judge->problem->stock;
    return stock->roll && !stock->machine_cuts;
}

static tw_code judge_measures(const replay *r, const tw_cut *cut, const scrap *s, tw_error *error) {
    tw_along other = cut->along == TW_ACROSS ? TW_ALONG : TW_ACROSS;
    const tw_stock *stock = &r->judge->problem->stock;
    tw_nm end = cut->along == TW_ACROSS ? r->judge->layout->sheet_length[r->number] : stock->width;
    bool own = cut->along == TW_ALONG || !cut_by_hand(r);
    if (cut->from != low_of(s, other) || cut->to != high_of(s, other))
        return tw_fail(error, TW_BUG, TW_WRONG "step %d of sheet %d does not run from edge to edge",
                       cut->step, r->number + 1);
    if (cut->stop != cut->at - low_of(s, cut->along))
        return tw_fail(error, TW_BUG, TW_WRONG "the stop of step %d of sheet %d is not its place",
                       cut->step, r->number + 1);
    if (cut->machine_edge_low != (own && low_of(s, cut->along) == 0) ||
        cut->machine_edge_high != (own && high_of(s, cut->along) == end))
        return tw_fail(error, TW_BUG, TW_WRONG "step %d of sheet %d names the wrong fence edge",
                       cut->step, r->number + 1);
    return TW_OK;
}

static tw_code free_scrap(const replay *r, int node, const scrap *made, tw_error *error) {
    if (node < 0 || node >= r->sheet->node_count || r->scraps[node].there)
        return tw_fail(error, TW_BUG, TW_WRONG "a cut of sheet %d frees piece %d, which is none",
                       r->number + 1, node);
    r->scraps[node] = *made;
    return TW_OK;
}

/* The hand cutter's first: the page comes off the roll. */
static tw_code replay_page(const replay *r, const tw_cut *cut, tw_error *error) {
    scrap page = r->scraps[0];
    const tw_node *node = &r->sheet->nodes[0];
    if (cut->node != 0 || cut->along != TW_ACROSS || cut->at != page.bottom || node->high != -1 ||
        node->along != TW_ACROSS || node->at != cut->at || node->kind != TW_NODE_CUT)
        return tw_fail(error, TW_BUG, TW_WRONG "sheet %d is not first cut from the roll",
                       r->number + 1);
    r->scraps[0].cut = true;
    page.freed_along = TW_ACROSS;
    tw_code code = judge_measures(r, cut, &r->scraps[0], error);
    return code == TW_OK ? free_scrap(r, node->low, &page, error) : code;
}

static tw_code replay_cut(const replay *r, const tw_cut *cut, tw_error *error) {
    if (cut->node < 0 || cut->node >= r->sheet->node_count || !r->scraps[cut->node].there ||
        r->scraps[cut->node].cut)
        return tw_fail(error, TW_BUG, TW_WRONG "step %d of sheet %d cuts a piece not in hand",
                       cut->step, r->number + 1);
    scrap *s = &r->scraps[cut->node];
    const tw_node *node = &r->sheet->nodes[cut->node];
    if (node->kind != TW_NODE_CUT || node->along != cut->along || node->at != cut->at ||
        cut->at <= low_of(s, cut->along) || cut->at >= high_of(s, cut->along))
        return tw_fail(error, TW_BUG, TW_WRONG "step %d of sheet %d does not cut its piece in two",
                       cut->step, r->number + 1);
    s->cut = true;
    scrap low = *s;
    low.cut = false;
    low.freed_along = (int)cut->along;
    scrap high = low;
    *(cut->along == TW_ACROSS ? &low.bottom : &low.right) = cut->at;
    *(cut->along == TW_ACROSS ? &high.top : &high.left) = cut->at;
    tw_code code = judge_measures(r, cut, s, error);
    if (code == TW_OK)
        code = free_scrap(r, node->low, &low, error);
    return code == TW_OK ? free_scrap(r, node->high, &high, error) : code;
}

/* ---------------------------------------------------------------- what is there in the end */

static bool same_place(const scrap *s, tw_rect rect) {
    return rect.x == s->left && rect.y == s->top && rect.width == s->right - s->left &&
           rect.height == s->bottom - s->top;
}

static tw_code judge_print(const replay *r, int node, tw_error *error) {
    const tw_judge *j = r->judge;
    size_t placed = r->sheet->nodes[node].placed;
    scrap *s = &r->scraps[node];
    if (placed < j->first[r->number] || placed >= j->first[r->number + 1] ||
        r->found[placed - j->first[r->number]])
        return tw_fail(error, TW_BUG, TW_WRONG "piece %d of sheet %d is no print of it", node,
                       r->number + 1);
    const tw_seen *seen = &j->seen[placed];
    if (seen->left != s->left || seen->top != s->top || seen->right != s->right ||
        seen->bottom != s->bottom)
        return tw_fail(error, TW_BUG,
                       TW_WRONG "the cuts of sheet %d do not free piece %zu as it is",
                       r->number + 1, j->layout->placed[placed].piece);
    r->found[placed - j->first[r->number]] = true;
    s->prints = 1;
    return TW_OK;
}

static tw_code judge_waste(const replay *r, int node, tw_error *error) {
    const scrap *s = &r->scraps[node];
    tw_nm narrowest = r->judge->problem->settings.narrowest_strip;
    char is[TW_LENGTH_TEXT];
    char least[TW_LENGTH_TEXT];
    if (s->freed_along < 0)
        return TW_OK;
    tw_nm wide = high_of(s, (tw_along)s->freed_along) - low_of(s, (tw_along)s->freed_along);
    if (wide < narrowest)
        return tw_fail(error, TW_BUG,
                       TW_WRONG "sheet %d asks for a strip of %s mm; the trimmer holds %s or more",
                       r->number + 1, tw_mm_exact(wide, is), tw_mm_exact(narrowest, least));
    return TW_OK;
}

static tw_code judge_scrap(const replay *r, int node, tw_error *error) {
    const scrap *s = &r->scraps[node];
    const tw_node *n = &r->sheet->nodes[node];
    if (!s->there)
        return tw_fail(error, TW_BUG, TW_WRONG "piece %d of sheet %d is never freed", node,
                       r->number + 1);
    if (!same_place(s, n->rect))
        return tw_fail(error, TW_BUG, TW_WRONG "piece %d of sheet %d is not where it is said", node,
                       r->number + 1);
    if ((n->kind == TW_NODE_CUT) != s->cut)
        return tw_fail(error, TW_BUG, TW_WRONG "piece %d of sheet %d is never cut", node,
                       r->number + 1);
    if (n->kind == TW_NODE_CUT)
        return TW_OK;
    return n->kind == TW_NODE_PRINT ? judge_print(r, node, error) : judge_waste(r, node, error);
}

/* Cuts undone, the last first: each must have freed a print. */
static tw_code judge_use(const replay *r, tw_error *error) {
    for (int i = r->sheet->cut_count; i-- > 0;) {
        const tw_cut *cut = &r->sheet->cuts[i];
        const tw_node *node = &r->sheet->nodes[cut->node];
        scrap *s = &r->scraps[cut->node];
        s->prints = r->scraps[node->low].prints;
        if (node->high >= 0)
            s->prints += r->scraps[node->high].prints;
        if (s->prints == 0)
            return tw_fail(error, TW_BUG, TW_WRONG "step %d of sheet %d frees nothing", cut->step,
                           r->number + 1);
    }
    return TW_OK;
}

/* Three stages part the prints: across, along, across. A cut that only takes waste off is the
 * trimming cut, whenever it is made: one for several prints that are parted later is one less. */
static tw_code judge_stages(const replay *r, tw_error *error) {
    for (int i = 0; i < r->sheet->cut_count; i++) {
        const tw_cut *cut = &r->sheet->cuts[i];
        const tw_node *node = &r->sheet->nodes[cut->node];
        int stage = r->scraps[cut->node].stage;
        bool parts =
            node->high >= 0 && r->scraps[node->low].prints > 0 && r->scraps[node->high].prints > 0;
        if (parts) {
            stage = stage == 0 ? 1 : stage;
            stage += (stage % 2 == 1) != (cut->along == TW_ACROSS);
        }
        if (parts && stage > 3)
            return tw_fail(error, TW_BUG,
                           TW_WRONG "step %d of sheet %d needs more than three stages and a trim",
                           cut->step, r->number + 1);
        r->scraps[node->low].stage = stage;
        if (node->high >= 0)
            r->scraps[node->high].stage = stage;
    }
    return TW_OK;
}

/* ---------------------------------------------------------------- sheets */

static tw_code start(replay *r, tw_error *error) {
    const tw_judge *j = r->judge;
    if (r->sheet->node_count < 1 || r->sheet->cut_count < 0) {
        tw_fail(error, TW_BUG, TW_WRONG "sheet %d has no cut tree", r->number + 1);
        return TW_BUG;
    }
    r->scraps = tw_arena_array(j->arena, (size_t)r->sheet->node_count, sizeof *r->scraps);
    r->found = tw_arena_array(j->arena, j->first[r->number + 1] - j->first[r->number], 1);
    if (r->scraps == NULL || r->found == NULL) {
        tw_no_memory(error);
        return TW_MEMORY;
    }
    r->scraps[0] = (scrap){.there = true,
                           .right = j->problem->stock.width,
                           .bottom = j->layout->sheet_length[r->number],
                           .freed_along = -1};
    return TW_OK;
}

static tw_code judge_end(const replay *r, tw_error *error) {
    const tw_judge *j = r->judge;
    tw_code code = TW_OK;
    for (int node = 0; node < r->sheet->node_count && code == TW_OK; node++)
        code = judge_scrap(r, node, error);
    for (size_t i = j->first[r->number]; i < j->first[r->number + 1] && code == TW_OK; i++)
        if (!r->found[i - j->first[r->number]])
            code = tw_fail(error, TW_BUG, TW_WRONG "piece %zu is not freed by the cuts of sheet %d",
                           j->layout->placed[i].piece, r->number + 1);
    if (code == TW_OK)
        code = judge_use(r, error);
    bool staged = r->judge->problem->settings.stages == 3;
    return code == TW_OK && staged ? judge_stages(r, error) : code;
}

static tw_code judge_sheet(replay *r, tw_error *error) {
    tw_code code = start(r, error);
    if (code == TW_OK && cut_by_hand(r) && r->sheet->cut_count == 0)
        code =
            tw_fail(error, TW_BUG, TW_WRONG "sheet %d is never cut from the roll", r->number + 1);
    for (int i = 0; i < r->sheet->cut_count && code == TW_OK; i++) {
        const tw_cut *cut = &r->sheet->cuts[i];
        if (cut->step != i + 1)
            code = tw_fail(error, TW_BUG, TW_WRONG "step %d of sheet %d is numbered %d", i + 1,
                           r->number + 1, cut->step);
        else if (i == 0 && cut_by_hand(r))
            code = replay_page(r, cut, error);
        else
            code = replay_cut(r, cut, error);
    }
    return code == TW_OK ? judge_end(r, error) : code;
}

/* The stop stays where it was set until a cut needs another place; a cut with the knife or to the
 * mark needs none. */
static tw_code judge_counts(const tw_judge *j, tw_error *error) {
    int64_t cuts = 0;
    int64_t changes = 0;
    tw_nm stop = -1;
    for (int sheet = 0; sheet < j->layout->sheet_count; sheet++) {
        const tw_sheet_cuts *of = &j->cuts->sheets[sheet];
        cuts += of->cut_count;
        for (int i = 0; i < of->cut_count; i++) {
            if (of->cuts[i].knife || of->cuts[i].to_mark || of->cuts[i].stop == stop)
                continue;
            stop = of->cuts[i].stop;
            changes++;
        }
    }
    if (cuts != j->cuts->hand_cuts || changes != j->cuts->stop_changes)
        return tw_fail(error, TW_BUG,
                       TW_WRONG "it counts %lld hand cuts and %lld stops; there are %lld and %lld",
                       (long long)j->cuts->hand_cuts, (long long)j->cuts->stop_changes,
                       (long long)cuts, (long long)changes);
    return TW_OK;
}

tw_code tw_judge_cuts(const tw_judge *j, tw_error *error) {
    tw_code code = TW_OK;
    for (int sheet = 0; sheet < j->layout->sheet_count && code == TW_OK; sheet++) {
        replay r = {.judge = j, .sheet = &j->cuts->sheets[sheet], .number = sheet};
        code = judge_sheet(&r, error);
    }
    return code == TW_OK ? judge_counts(j, error) : code;
}
