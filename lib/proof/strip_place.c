/*
 * Where a strip goes: into the day's waste, on the earliest sheet of its paper that has room, so
 * that it answers soonest; else onto a kept offcut or a cut sheet that is left; else onto the roll,
 * and what that costs is said.
 */
#include "job/job.h"
#include "proof/strip.h"

#define CLEAR (TW_IN / 16) /* from the edges of a waste piece: cuts are off by as much */

typedef struct placing {
    tw_arena *arena;
    const tw_plan_data *plan;
    const tw_paper *paper;
    tw_strip *strip;
    tw_error *error;
} placing;

__extension__ typedef __int128 area;

static area area_of(tw_nm width, tw_nm height) {
    return (area)width * height;
}

/* Lays the strip out for a place and takes it when it holds it. */
static tw_code fits(const placing *p, tw_rect room, tw_strip_flow *flow, bool *yes) {
    tw_code code = TW_OK;
    *yes = tw_strip_flow_make(p->arena, p->strip, room.width, flow, &code) &&
           flow->size.height <= room.height;
    return code == TW_OK ? TW_OK : tw_no_memory(p->error);
}

/* ------------------------------------------------ waste */

static tw_rect common(tw_rect a, tw_rect b) {
    tw_nm x = a.x > b.x ? a.x : b.x, y = a.y > b.y ? a.y : b.y;
    tw_nm right = tw_rect_right(a), low = tw_rect_bottom(a);
    right = right < tw_rect_right(b) ? right : tw_rect_right(b);
    low = low < tw_rect_bottom(b) ? low : tw_rect_bottom(b);
    return (tw_rect){x, y, right - x, low - y};
}

static tw_rect ink_of(const tw_paper *paper, tw_size page) {
    return (tw_rect){paper->side, paper->lead, page.width - 2 * paper->side,
                     page.height - paper->lead - paper->tail};
}

/* What is not worth keeping first, then the smaller piece. */
static bool is_better(bool keep, tw_rect room, const tw_strip_place *had, area had_area) {
    if (keep != had->worth_keeping)
        return !keep;
    return area_of(room.width, room.height) < had_area;
}

static tw_code try_sheet(const placing *p, size_t index, bool *found) {
    const tw_plan_sheet *sheet = &p->plan->sheets[index];
    tw_rect ink = ink_of(p->paper, sheet->size);
    area taken = 0;
    for (int i = 0; i < sheet->cuts->node_count; i++) {
        const tw_node *node = &sheet->cuts->nodes[i];
        tw_strip_flow flow;
        bool yes = false;
        if (node->kind != TW_NODE_WASTE)
            continue;
        tw_rect clean = tw_waste_clean(node->rect, &sheet->page);
        bool keep = tw_worth_keeping(clean.width, clean.height);
        tw_rect room = common(tw_rect_spread(clean, -CLEAR), ink);
        tw_code code = fits(p, room, &flow, &yes);
        if (code != TW_OK)
            return code;
        if (!yes || (*found && !is_better(keep, room, &p->strip->place, taken)))
            continue;
        *found = true;
        taken = area_of(room.width, room.height);
        p->strip->flow = flow;
        p->strip->place =
            (tw_strip_place){.where = TW_STRIP_IN_WASTE,
                             .sheet = index,
                             .piece = sheet->piece_names[i],
                             .worth_keeping = keep,
                             .page = sheet->size,
                             .rect = {room.x, room.y, flow.size.width, flow.size.height}};
    }
    return TW_OK;
}

static tw_code try_waste(const placing *p, bool *found) {
    tw_code code = TW_OK;
    for (size_t i = 0; i < p->plan->sheet_count && !*found && code == TW_OK; i++)
        if (p->plan->sheets[i].paper_index == p->strip->paper_index)
            code = try_sheet(p, i, found);
    return code;
}

/* ------------------------------------------------ single sheets */

/* How many of this kept piece (0: of the box) the day has taken. */
static int64_t used_of(const placing *p, int offcut) {
    int64_t used = 0;
    for (size_t i = 0; i < p->plan->sheet_count; i++) {
        const tw_plan_sheet *sheet = &p->plan->sheets[i];
        used += sheet->paper_index == p->strip->paper_index && sheet->offcut == offcut;
    }
    return used;
}

static tw_code try_page(const placing *p, tw_size page, tw_strip_place place, bool *found) {
    tw_strip_flow flow;
    bool yes = false;
    tw_rect ink = ink_of(p->paper, page);
    tw_code code = fits(p, ink, &flow, &yes);
    if (code != TW_OK || !yes)
        return code;
    *found = true;
    place.page = page;
    place.rect = (tw_rect){ink.x, ink.y, flow.size.width, flow.size.height};
    p->strip->flow = flow;
    p->strip->place = place;
    return TW_OK;
}

/* The smallest kept piece that holds it. */
static tw_code try_offcuts(const placing *p, bool *found) {
    area taken = 0;
    for (size_t i = 0; i < p->paper->offcut_count; i++) {
        const tw_offcut *offcut = &p->paper->offcuts[i];
        bool held = false;
        tw_strip_flow flow = p->strip->flow;
        tw_strip_place place = p->strip->place;
        if (used_of(p, (int)i + 1) >= offcut->count)
            continue;
        tw_code code =
            try_page(p, (tw_size){offcut->width, offcut->length},
                     (tw_strip_place){.where = TW_STRIP_ON_OFFCUT, .offcut = (int)i + 1}, &held);
        if (code != TW_OK)
            return code;
        area size = area_of(offcut->width, offcut->length);
        if (held && *found && size >= taken) {
            p->strip->flow = flow;
            p->strip->place = place;
        } else if (held) {
            taken = size;
            *found = true;
        }
    }
    return TW_OK;
}

/* `price` buys `whole` of which `part` is used. */
static void set_cost(const tw_paper *paper, int64_t part, int64_t whole, tw_strip_place *place) {
    place->priced = paper->has_price && whole > 0;
    place->cost = paper->price;
    if (place->priced)
        place->cost.minor = tw_scale(paper->price.minor, part, whole);
}

static tw_code try_cut_sheet(const placing *p, bool *found) {
    if (p->paper->kind != TW_SHEETS || used_of(p, 0) >= p->paper->count)
        return TW_OK;
    tw_strip_place place = {.where = TW_STRIP_ON_SHEET};
    set_cost(p->paper, 1, p->paper->count, &place);
    return try_page(p, (tw_size){p->paper->width, p->paper->length}, place, found);
}

/* ------------------------------------------------ the roll */

/* What is left after the day, on the roll that has most. */
static tw_nm left_on_roll(const placing *p) {
    for (size_t i = 0; i < p->plan->paper_count; i++) {
        const tw_plan_paper *at = &p->plan->papers[i];
        tw_nm most = 0;
        if (at->paper_index != p->strip->paper_index)
            continue;
        for (size_t n = 0; n < at->roll_count; n++)
            most = at->rolls[n].rest > most ? at->rolls[n].rest : most;
        return at->roll_count > 0 ? most - p->paper->lost_core_end
                                  : p->paper->length - at->totals.length;
    }
    return p->paper->length;
}

static tw_code try_roll(const placing *p, bool *found) {
    const tw_paper *paper = p->paper;
    tw_size page = {paper->width, 0};
    tw_strip_flow flow;
    tw_code code = TW_OK;
    if (paper->kind != TW_ROLL ||
        !tw_strip_flow_make(p->arena, p->strip, paper->width - 2 * paper->side, &flow, &code))
        return code == TW_OK ? TW_OK : tw_no_memory(p->error);
    page.height = paper->lead + flow.size.height + paper->tail;
    if (page.height < paper->shortest_sheet)
        page.height = paper->shortest_sheet;
    tw_strip_place place = {.where = TW_STRIP_ON_ROLL,
                            .used = page.height + paper->lost_each_sheet};
    if (!tw_paper_takes(paper, page.height) || place.used > left_on_roll(p))
        return TW_OK;
    set_cost(paper, place.used, paper->length, &place);
    return try_page(p, page, place, found);
}

static tw_code nowhere(const placing *p) {
    tw_code code = tw_fail(p->error, TW_INPUT, "strip-too-large",
                           "the test strip of %zu details finds no place on paper \"%s\": not in "
                           "the day's waste, on no kept offcut, and on no sheet that is left",
                           p->strip->cell_count, p->paper->name);
    tw_fail_at(p->error, p->paper->place.file, p->paper->place.line, 0);
    tw_fail_hint(p->error, "--detail 1in makes smaller details; without --wedge and --patches it "
                           "is shorter");
    return code;
}

tw_code tw_strip_place_find(tw_arena *arena, const tw_plan_data *plan, tw_strip *strip,
                            tw_error *error) {
    static tw_code (*const tries[])(const placing *, bool *) = {try_waste, try_offcuts,
                                                                try_cut_sheet, try_roll};
    const placing p = {arena, plan, &plan->job->papers[strip->paper_index], strip, error};
    bool found = false;
    tw_code code = TW_OK;
    for (size_t i = 0; i < sizeof tries / sizeof tries[0] && !found && code == TW_OK; i++)
        code = tries[i](&p, &found);
    return code == TW_OK && !found ? nowhere(&p) : code;
}
