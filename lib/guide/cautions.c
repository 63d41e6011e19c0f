/*
 * What holds for the whole day: where the marks are, measuring before cutting, drying, and the
 * cautions at the blades.
 */
#include "guide/pages.h"

static void put_marks(tw_guide *g) {
    static const char *const words[] = {
        [TW_MARKS_WASTE] = "Marks and numbered ticks stand in the waste only, never on a print.",
        [TW_MARKS_LINE] = "Marks stand in the waste; where there is none, short grey ticks lie on "
                          "the cut line inside what the frame hides.",
        [TW_MARKS_STRIP] = "Marks stand in the waste and in strips added at the leading and the "
                           "trailing end of each sheet.",
        [TW_MARKS_NONE] = "No marks are printed: set every cut by the stop.",
    };
    tw_guide_heading(g, 2, "Marks and measures", 20 * TW_MM);
    tw_guide_paragraph(g, words[g->plan->job->marks.place]);
    tw_guide_paragraph(
        g, "Where mark and stop differ by more than 0.5 mm, cut to the mark; cuts without a mark "
           "are set by the stop. They are listed at their sheet and dashed in its drawing.");
}

static void put_measuring(tw_guide *g) {
    tw_guide_heading(g, 2, "Measure before you cut", 20 * TW_MM);
    tw_guide_paragraph(
        g, "Measure the scale bars of the first sheet, across and along, each with a steel rule. "
           "200 mm must read between 199.5 and 200.5 mm. If one does not, stop and find what "
           "scales: the driver's scale, fitting to the page, or borderless enlargement across; "
           "the feed adjustment for this paper along.");
    tw_guide_paragraph(g, "A sheet without a scale bar names a picture to measure instead.");
}

static const char *wait_text(tw_guide *g, int64_t seconds, const char *before) {
    char text[TW_LENGTH_TEXT];
    if (seconds == 0)
        return tw_guide_say(g, "not given in the paper file, %s", before);
    return tw_guide_say(g, "%s, %s", tw_duration_text(seconds, text), before);
}

static void put_drying(tw_guide *g) {
    static const tw_guide_column columns[] = {
        {"Paper", 40 * TW_MM, true}, {"Dry", 82 * TW_MM, true}, {"Cure", 0, true}};
    tw_guide_heading(g, 2, "Let dry before handling", 25 * TW_MM);
    tw_guide_table table = tw_guide_table_start(columns, 3);
    for (size_t i = 0; i < g->plan->paper_count; i++) {
        const tw_paper *paper = tw_guide_paper(g, g->plan->papers[i].paper_index);
        const char *cells[] = {tw_guide_short(g, paper->name),
                               wait_text(g, paper->dry, "before cutting, handling and stacking"),
                               wait_text(g, paper->cure, "before sleeving and framing")};
        tw_guide_row(g, &table, cells, NULL);
    }
}

static void put_blades(tw_guide *g) {
    tw_guide_heading(g, 2, "At the blades", 35 * TW_MM);
    tw_guide_point(g, "Guard on. Keep the off hand outside the line of the cut.");
    tw_guide_point(g, "Knife: safety straightedge, and a cut-resistant glove on the holding "
                      "hand. Cut away from yourself.");
    tw_guide_point(g, "Blade parked or closed whenever it is not cutting.");
    tw_guide_point(g, "Used blades go into a sharps tin, not into the waste paper.");
    tw_guide_paragraph(g, "Follow the maker's instructions and your workplace's rules; they come "
                          "before this page.");
}

/* Pictures that are not what was photographed: nobody should find out after cutting. */
static void put_damaged(tw_guide *g) {
    const tw_prints *prints = g->plan->prints;
    bool began = false;
    for (size_t i = 0; i < prints->image_count; i++) {
        const tw_image *image = &prints->images[i];
        char text[TW_DAMAGE_TEXT];
        if (image->damage.words == NULL || tw_image_again(prints->images, i))
            continue;
        if (!began)
            tw_guide_heading(g, 2, "Damaged images", 30 * TW_MM);
        if (!began)
            tw_guide_paragraph(g, "These files are damaged and are printed as far as they go. Look "
                                  "at the prints before they are signed or sent.");
        began = true;
        tw_guide_point(g, tw_guide_say(g, "%s: %s.", tw_guide_name(g, image->name),
                                       tw_damage_text(image, text)));
    }
}

void tw_guide_cautions(tw_guide *g) {
    put_damaged(g);
    put_marks(g);
    put_measuring(g);
    put_drying(g);
    put_blades(g);
}
