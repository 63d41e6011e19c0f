/*
 * Warnings about a print's visible border: against the frame's lip, the eye, the paper's margin,
 * and its own other sides. What counts is what shows after the image was fitted.
 */
#include "prints/making.h"

/* Common practice: a cut that is off by a millimetre shows in a thinner border than this... */
#define THIN (TW_IN * 3 / 8)
/* ...and borders further apart than this look like a mistake. */
#define UNEVEN (TW_IN / 4)

static int narrowest(const tw_fitted *fit) {
    int least = 0;
    for (int side = 1; side < 4; side++)
        if (fit->visible.side[side] < fit->visible.side[least])
            least = side;
    return least;
}

static tw_nm shown(const tw_fitted *fit, int side) {
    return fit->visible.side[side] > 0 ? fit->visible.side[side] : 0;
}

static tw_code check_lip(const tw_line_check *check) {
    const tw_fitted *fit = &check->print->fit;
    char seen[TW_LENGTH_TEXT], lip[TW_LENGTH_TEXT];
    int side = narrowest(fit);
    if (shown(fit, side) >= check->print->format->lip)
        return TW_OK;
    return tw_line_warn(check, "lip-over-border",
                        "make the border wider, or expect the frame to hide part of the picture",
                        "the %s border shows %s, and the lip of the frame hides %s",
                        tw_side_name(side), tw_length_both(shown(fit, side), seen),
                        tw_length_both(check->print->format->lip, lip));
}

/* A side without any border is meant so; one with a little is where a cut that is off shows. */
static tw_code check_thin(const tw_line_check *check) {
    const tw_fitted *fit = &check->print->fit;
    char seen[TW_LENGTH_TEXT], least[TW_LENGTH_TEXT];
    int thin = -1;
    for (int side = 0; side < 4; side++)
        if (fit->visible.side[side] > 0 && fit->visible.side[side] < THIN &&
            (thin < 0 || fit->visible.side[side] < fit->visible.side[thin]))
            thin = side;
    if (thin < 0)
        return TW_OK;
    const char *hint = check->print->format->border.side[thin] == 0
                           ? "the image is not of the template's shape: fit \"fill\" leaves no "
                             "white"
                           : "make the border wider";
    return tw_line_warn(check, "thin-border", hint,
                        "the %s border shows %s; under %s a cut that is slightly off is seen",
                        tw_side_name(thin), tw_length_both(fit->visible.side[thin], seen),
                        tw_length_both(THIN, least));
}

/* The border a print shows at the sheet's side when it lies so. */
static tw_nm at_side(const tw_fitted *fit, int side, bool turned) {
    return (turned ? tw_sides_turned(fit->visible) : fit->visible).side[side];
}

/* The most that a border, there but narrower than the margin, makes the print keep from an edge
 * of its paper, over the ways it may lie. Returns the sheet's side, or -1. */
static int short_of_margin(const tw_line_check *check, bool *turned, tw_nm *keeps) {
    const tw_paper *paper = &check->job->papers[check->line->paper_index];
    tw_nm margin[4] = {paper->lead, paper->side, paper->tail, paper->side};
    bool may_turn = tw_line_may_turn(check->job, check->line);
    int found = -1;
    *keeps = 0;
    for (int way = 0; way <= (may_turn ? 1 : 0); way++)
        for (int side = 0; side < 4; side++) {
            tw_nm border = at_side(&check->print->fit, side, way == 1);
            if (border <= 0 || margin[side] - border <= *keeps)
                continue;
            *keeps = margin[side] - border;
            *turned = way == 1;
            found = side;
        }
    return found;
}

static tw_code check_margin(const tw_line_check *check) {
    static const char *const edges[] = {"leading", "right", "trailing", "left"};
    const tw_paper *paper = &check->job->papers[check->line->paper_index];
    char seen[TW_LENGTH_TEXT], margin[TW_LENGTH_TEXT], keep[TW_LENGTH_TEXT];
    bool turned = false;
    tw_nm keeps;
    int side = short_of_margin(check, &turned, &keeps);
    if (side < 0)
        return TW_OK;
    tw_nm border = at_side(&check->print->fit, side, turned);
    return tw_line_warn(
        check, "border-inside-margin", "a border as wide as the margin uses the paper's own edge",
        "a border shows %s and paper \"%s\" has a margin of %s at its %s edge: a "
        "print that lies there %skeeps %s from it",
        tw_length_both(border, seen), paper->name, tw_length_both(border + keeps, margin),
        edges[side], turned ? "turned " : "", tw_length_both(keeps, keep));
}

/* A deeper bottom is usual (optical centring, the signature), so the sides are held against the
 * top. */
static tw_code check_even(const tw_line_check *check) {
    const tw_fitted *fit = &check->print->fit;
    char first[TW_LENGTH_TEXT], second[TW_LENGTH_TEXT], most[TW_LENGTH_TEXT];
    tw_nm left = shown(fit, TW_LEFT), right = shown(fit, TW_RIGHT), top = shown(fit, TW_TOP);
    tw_nm side = left > right ? left : right;
    tw_nm apart = side > top ? side - top : top - side;
    if (apart <= UNEVEN)
        return TW_OK;
    return tw_line_warn(
        check, "uneven-border", "choose a template of the image's shape, or fit \"fill\"",
        "the border shows %s at the sides and %s at the top; over %s apart looks "
        "uneven",
        tw_length_both(side, first), tw_length_both(top, second), tw_length_both(UNEVEN, most));
}

tw_code tw_check_borders(const tw_line_check *check) {
    tw_code code = check_lip(check);
    if (code == TW_OK)
        code = check_thin(check);
    if (code == TW_OK)
        code = check_margin(check);
    return code == TW_OK ? check_even(check) : code;
}
