/*
 * The cut guide: the flow. The plan goes in, pages as display lists come out; the PDF writer
 * makes cut-guide.pdf of them. First the day (totals, what was left out), then the setup card,
 * measuring, drying and cautions, then every sheet with its drawing and cuts, then the piles.
 */
#include "guide/pages.h"

#include "base/face.h"
#include "guide/guide.h"

#define FOOTER GUIDE_PT(90)

static void start(tw_guide *g, tw_arena *arena, const tw_plan_data *plan, tw_size paper,
                  tw_error *error) {
    *g = (tw_guide){.arena = arena,
                    .plan = plan,
                    .paper = paper,
                    .left = GUIDE_MARGIN,
                    .right = paper.width - GUIDE_MARGIN,
                    .top = GUIDE_MARGIN,
                    .bottom = paper.height - GUIDE_MARGIN - 8 * TW_MM,
                    .error = error};
    tw_guide_page(g);
}

/* The footers say how many pages there are, so they come last. */
static void put_footers(tw_guide *g) {
    const char *name = tw_guide_name(g, g->plan->job->name);
    tw_nm baseline = g->paper.height - GUIDE_MARGIN - GUIDE_BELOW(FOOTER);
    for (size_t i = 0; i < g->count && g->code == TW_OK; i++) {
        const char *number = tw_guide_say(g, " \xC2\xB7 page %zu of %zu", i + 1, g->count);
        tw_nm room = g->right - g->left - tw_face_width("Cut guide \xC2\xB7 ", FOOTER) -
                     tw_face_width(number, FOOTER) - TW_MM;
        const char *job = tw_guide_fit(g, name, room, FOOTER);
        const char *line = tw_guide_say(g, "Cut guide \xC2\xB7 %s%s", job, number);
        tw_page *page = &g->pages[i];
        tw_guide_check(g,
                       tw_page_line(g->arena, page, TW_ROLE_GUIDE, g->left, g->bottom + 3 * TW_MM,
                                    g->right, g->bottom + 3 * TW_MM, GUIDE_PT(5), 500, g->error));
        if (g->code == TW_OK)
            tw_guide_check(g, tw_page_text(g->arena, page, TW_ROLE_GUIDE, g->left, baseline, FOOTER,
                                           TW_ALIGN_LEFT, 0, line, g->error));
    }
}

/* What is read before the first sheet is printed. */
static void put_front(tw_guide *g) {
    tw_guide_first(g);
    tw_guide_setup(g);
    tw_guide_cautions(g);
}

tw_code tw_guide_make(tw_arena *arena, const tw_plan_data *plan, tw_size paper, tw_page **pages,
                      size_t *count, tw_error *error) {
    tw_guide g;
    start(&g, arena, plan, paper, error);
    tw_guide_sparing(&g, put_front);
    for (size_t i = 0; i < plan->sheet_count && g.code == TW_OK; i++)
        tw_guide_sheet(&g, i);
    tw_guide_sparing(&g, tw_guide_piles);
    put_footers(&g);
    if (g.code != TW_OK)
        return g.code;
    *pages = g.pages;
    *count = g.count;
    return TW_OK;
}
