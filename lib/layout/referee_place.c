/*
 * The referee on places: each print inside its sheet and as far from the edges as its ink asks,
 * no two closer than gutter and bleed allow, each page as long as the paper allows.
 */
#include "layout/referee.h"

#include <stdlib.h>

static const char *const edge_names[] = {"leading edge", "right edge", "trailing edge",
                                         "left edge"};

/* Nothing, or enough to clamp. */
static tw_nm clampable(tw_nm distance, tw_nm narrowest) {
    return distance > 0 && distance < narrowest ? narrowest : distance;
}

/* Turned a quarter clockwise, the upright left side lies at the top, the top at the right. */
tw_seen tw_judge_see(const tw_layout_problem *problem, const tw_piece *piece, bool turned, tw_nm x,
                     tw_nm y) {
    static const int from[2][4] = {{TW_TOP, TW_RIGHT, TW_BOTTOM, TW_LEFT},
                                   {TW_LEFT, TW_TOP, TW_RIGHT, TW_BOTTOM}};
    const tw_stock *stock = &problem->stock;
    const tw_layout_settings *settings = &problem->settings;
    const tw_nm margin[4] = {stock->lead, stock->side, stock->tail, stock->side};
    const tw_nm blank[4] = {settings->strip_lead, stock->roll ? stock->edge_trim : 0,
                            settings->strip_tail, stock->roll ? stock->edge_trim : 0};
    tw_seen s = {.left = x, .top = y};
    s.right = x + (turned ? piece->height : piece->width);
    s.bottom = y + (turned ? piece->width : piece->height);
    for (int edge = 0; edge < 4; edge++) {
        int side = from[turned][edge];
        tw_nm ink = margin[edge] - piece->visible.side[side];
        tw_nm need = ink > blank[edge] ? ink : blank[edge];
        s.need[edge] = need <= 0 ? 0 : clampable(need, settings->narrowest_strip);
        s.bleed[edge] = piece->bleed.side[side];
    }
    return s;
}

static tw_code judge_edges(const tw_judge *j, size_t i, tw_error *error) {
    const tw_placed *p = &j->layout->placed[i];
    const tw_seen *s = &j->seen[i];
    char is[TW_LENGTH_TEXT];
    char need[TW_LENGTH_TEXT];
    const tw_nm distance[4] = {s->top, j->problem->stock.width - s->right,
                               j->layout->sheet_length[p->sheet] - s->bottom, s->left};
    for (int edge = 0; edge < 4; edge++) {
        if (distance[edge] < 0)
            return tw_fail(error, TW_BUG, TW_WRONG "piece %zu lies over the %s of sheet %d",
                           p->piece, edge_names[edge], p->sheet + 1);
        if (distance[edge] < s->need[edge])
            return tw_fail(error, TW_BUG,
                           TW_WRONG "piece %zu lies %s mm from the %s of sheet %d and needs %s mm",
                           p->piece, tw_mm_exact(distance[edge], is), edge_names[edge],
                           p->sheet + 1, tw_mm_exact(s->need[edge], need));
    }
    return TW_OK;
}

static tw_code judge_piece(const tw_judge *j, size_t i, tw_error *error) {
    const tw_placed *p = &j->layout->placed[i];
    const tw_piece *piece = &j->problem->pieces[p->piece];
    if (p->turned && (!piece->may_turn || !j->problem->settings.turn))
        return tw_fail(error, TW_BUG, TW_WRONG "piece %zu is turned and must not be", p->piece);
    if (!p->turned && piece->must_turn)
        return tw_fail(error, TW_BUG, TW_WRONG "piece %zu must lie turned", p->piece);
    if (piece->pin_sheet >= 0 && p->sheet != piece->pin_sheet)
        return tw_fail(error, TW_BUG, TW_WRONG "piece %zu lies on sheet %d, pinned to sheet %d",
                       p->piece, p->sheet + 1, piece->pin_sheet + 1);
    if (piece->pinned_place &&
        (p->x != piece->pin_x || p->y != piece->pin_y || p->turned != piece->pin_turned))
        return tw_fail(error, TW_BUG, TW_WRONG "piece %zu is not where it is pinned", p->piece);
    j->seen[i] = tw_judge_see(j->problem, piece, p->turned, p->x, p->y);
    return judge_edges(j, i, error);
}

/* ---------------------------------------------------------------- neighbours */

static tw_nm gap_needed(const tw_judge *j, tw_nm bleed_a, tw_nm bleed_b) {
    tw_nm gap = bleed_a + bleed_b;
    if (gap < j->problem->settings.gutter)
        gap = j->problem->settings.gutter;
    return clampable(gap, j->problem->settings.narrowest_strip);
}

/* Two prints are apart when a straight strip as wide as their gap lies between them. `a` begins no
 * further down the sheet than `b`. */
static bool apart(const tw_judge *j, const tw_seen *a, const tw_seen *b) {
    return b->left - a->right >= gap_needed(j, a->bleed[1], b->bleed[3]) ||
           a->left - b->right >= gap_needed(j, b->bleed[1], a->bleed[3]) ||
           b->top - a->bottom >= gap_needed(j, a->bleed[2], b->bleed[0]);
}

/* No gap on the sheet is wider than this. */
static tw_nm widest_gap(const tw_judge *j, size_t first, size_t end) {
    tw_nm bleed = 0;
    for (size_t i = first; i < end; i++)
        for (int edge = 0; edge < 4; edge++)
            if (j->seen[i].bleed[edge] > bleed)
                bleed = j->seen[i].bleed[edge];
    return gap_needed(j, bleed, bleed);
}

/* Down the sheet (prints are sorted by their top): each against those not yet well above it. */
static tw_code judge_gaps(const tw_judge *j, int sheet, size_t *open, tw_error *error) {
    size_t count = 0;
    tw_nm reach = widest_gap(j, j->first[sheet], j->first[sheet + 1]);
    for (size_t i = j->first[sheet]; i < j->first[sheet + 1]; i++) {
        size_t kept = 0;
        for (size_t k = 0; k < count; k++) {
            const tw_seen *above = &j->seen[open[k]];
            if (above->bottom + reach <= j->seen[i].top)
                continue;
            if (!apart(j, above, &j->seen[i]))
                return tw_fail(error, TW_BUG,
                               TW_WRONG "pieces %zu and %zu overlap or lie too close on sheet %d",
                               j->layout->placed[open[k]].piece, j->layout->placed[i].piece,
                               sheet + 1);
            open[kept++] = open[k];
        }
        open[kept++] = i;
        count = kept;
    }
    return TW_OK;
}

/* ---------------------------------------------------------------- pages */

static bool is_listed(const tw_stock *stock, tw_nm length) {
    for (int i = 0; i < stock->sheet_length_count; i++)
        if (stock->sheet_lengths[i] == length)
            return true;
    return stock->sheet_length_count == 0;
}

static tw_code judge_page(const tw_judge *j, int sheet, tw_error *error) {
    const tw_stock *stock = &j->problem->stock;
    tw_nm length = j->layout->sheet_length[sheet];
    size_t prints = j->first[sheet + 1] - j->first[sheet];
    char is[TW_LENGTH_TEXT];
    if (!stock->roll && length != stock->length)
        return tw_fail(error, TW_BUG, TW_WRONG "sheet %d is %s mm long, not the whole sheet",
                       sheet + 1, tw_mm_exact(length, is));
    if (!stock->roll)
        return TW_OK;
    if (!is_listed(stock, length))
        return tw_fail(error, TW_BUG,
                       TW_WRONG "sheet %d is %s mm long, which is not one of the lengths asked for",
                       sheet + 1, tw_mm_exact(length, is));
    if (length < stock->shortest_sheet)
        return tw_fail(error, TW_BUG, TW_WRONG "sheet %d is %s mm long, under the shortest",
                       sheet + 1, tw_mm_exact(length, is));
    if ((stock->longest_sheet > 0 && prints > 1 && length > stock->longest_sheet) ||
        (stock->sheet_most > 0 && length > stock->sheet_most))
        return tw_fail(error, TW_BUG, TW_WRONG "sheet %d is %s mm long, over the longest",
                       sheet + 1, tw_mm_exact(length, is));
    return TW_OK;
}

static int by_image(const void *left, const void *right) {
    const tw_piece *a = *(const tw_piece *const *)left;
    const tw_piece *b = *(const tw_piece *const *)right;
    if (a->image != b->image)
        return a->image < b->image ? -1 : 1;
    return (a->bytes < b->bytes) - (a->bytes > b->bytes); /* most first */
}

/* An image used more than once on a sheet is in its file once. */
static tw_code judge_bytes(const tw_judge *j, int sheet, const tw_piece **on_sheet,
                           tw_error *error) {
    int64_t bytes = 0;
    size_t count = 0;
    for (size_t i = j->first[sheet]; i < j->first[sheet + 1]; i++)
        on_sheet[count++] = &j->problem->pieces[j->layout->placed[i].piece];
    qsort(on_sheet, count, sizeof(tw_piece *), by_image);
    for (size_t i = 0; i < count; i++)
        if (on_sheet[i]->image < 0 || i == 0 || on_sheet[i]->image != on_sheet[i - 1]->image)
            bytes += on_sheet[i]->bytes;
    if (bytes > j->problem->settings.sheet_bytes_most)
        return tw_fail(error, TW_BUG, TW_WRONG "sheet %d holds %lld bytes and may hold %lld",
                       sheet + 1, (long long)bytes,
                       (long long)j->problem->settings.sheet_bytes_most);
    return TW_OK;
}

/* ---------------------------------------------------------------- sets */

static int by_set(const void *left, const void *right) {
    const tw_judge_way *a = left;
    const tw_judge_way *b = right;
    return a->set != b->set ? (a->set > b->set) - (a->set < b->set) : a->turned - b->turned;
}

tw_code tw_judge_ways(tw_judge_way *all, size_t count, const char *where, tw_error *error) {
    if (count > 0)
        qsort(all, count, sizeof *all, by_set);
    for (size_t i = 1; i < count; i++)
        if (all[i].set == all[i - 1].set && all[i].turned != all[i - 1].turned)
            return tw_fail(error, TW_BUG, TW_WRONG "the pieces of set %d do not lie the same way%s",
                           all[i].set, where);
    return TW_OK;
}

static tw_code judge_sets(const tw_judge *j, tw_error *error) {
    size_t count = 0;
    tw_judge_way *all = tw_arena_array(j->arena, j->layout->placed_count, sizeof *all);
    if (all == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < j->layout->placed_count; i++) {
        const tw_placed *p = &j->layout->placed[i];
        if (j->problem->pieces[p->piece].alike >= 0)
            all[count++] = (tw_judge_way){j->problem->pieces[p->piece].alike, p->turned};
    }
    return tw_judge_ways(all, count, "", error);
}

tw_code tw_judge_places(const tw_judge *j, tw_error *error) {
    tw_code code = TW_OK;
    size_t *open = tw_arena_array(j->arena, j->layout->placed_count, sizeof *open);
    const tw_piece **on_sheet =
        tw_arena_array(j->arena, j->layout->placed_count, sizeof(tw_piece *));
    if (open == NULL || on_sheet == NULL)
        return tw_no_memory(error);
    for (int sheet = 0; sheet < j->layout->sheet_count && code == TW_OK; sheet++)
        code = judge_page(j, sheet, error);
    for (size_t i = 0; i < j->layout->placed_count && code == TW_OK; i++)
        code = judge_piece(j, i, error);
    for (int sheet = 0; sheet < j->layout->sheet_count && code == TW_OK; sheet++) {
        code = judge_gaps(j, sheet, open, error);
        if (code == TW_OK && j->problem->settings.sheet_bytes_most > 0)
            code = judge_bytes(j, sheet, on_sheet, error);
    }
    return code == TW_OK ? judge_sets(j, error) : code;
}
