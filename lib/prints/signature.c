/*
 * Where the signature area lies, and what may be wrong with its place: a signature must be seen
 * beside the frame's lip and the mat's window, and lie either in the border or on the picture.
 */
#include "prints/making.h"

/* Common practice: what a frame's lip may be off by, and the least air to the picture's edge. */
#define CLEAR (TW_IN / 8)

tw_code tw_signature_place(const tw_template *format, tw_size size, tw_rect *out, tw_error *error) {
    char seen[TW_SIZE_TEXT], inset[TW_LENGTH_TEXT], print[TW_SIZE_TEXT];
    tw_nm by = format->signature_inset;
    tw_size area = {format->signature_width, format->signature_height};
    *out = (tw_rect){0, 0, 0, 0};
    if (format->signature == TW_NO_CORNER)
        return TW_OK;
    bool left = format->signature == TW_TOP_LEFT || format->signature == TW_BOTTOM_LEFT;
    bool top = format->signature == TW_TOP_LEFT || format->signature == TW_TOP_RIGHT;
    tw_rect place = {left ? by : size.width - by - area.width,
                     top ? by : size.height - by - area.height, area.width, area.height};
    if (!tw_rect_inside(place, (tw_rect){0, 0, size.width, size.height})) {
        tw_fail(error, TW_INPUT, "signature-outside",
                "the signature area of template \"%s\" is %s, %s from the corner: it does not lie "
                "inside a print of %s",
                format->name, tw_size_both(area, seen), tw_length_both(by, inset),
                tw_size_both(size, print));
        tw_fail_hint(error, "make the area or its inset smaller");
        return TW_INPUT;
    }
    *out = place;
    return TW_OK;
}

/* The picture as it is seen after cutting. */
static tw_rect seen_picture(const tw_fitted *fit) {
    const tw_nm *bleed = fit->bleed.side;
    return (tw_rect){fit->picture.x + bleed[TW_LEFT], fit->picture.y + bleed[TW_TOP],
                     fit->picture.width - bleed[TW_LEFT] - bleed[TW_RIGHT],
                     fit->picture.height - bleed[TW_TOP] - bleed[TW_BOTTOM]};
}

/* How far `in` lies inside `out` on each side. */
static tw_sides room_in(tw_rect in, tw_rect out) {
    return (tw_sides){{[TW_TOP] = in.y - out.y,
                       [TW_RIGHT] = tw_rect_right(out) - tw_rect_right(in),
                       [TW_BOTTOM] = tw_rect_bottom(out) - tw_rect_bottom(in),
                       [TW_LEFT] = in.x - out.x}};
}

static int least_side(tw_sides sides) {
    int least = 0;
    for (int side = 1; side < 4; side++)
        if (sides.side[side] < sides.side[least])
            least = side;
    return least;
}

/* The air between the signature and the picture's edge, whether it lies in the border or on the
 * picture; an edge that runs to the trim is the lip's business. */
static tw_nm air(const tw_fitted *fit, tw_rect signature) {
    tw_rect picture = seen_picture(fit);
    tw_sides room = room_in(signature, picture);
    tw_nm apart = 0, within = CLEAR;
    for (int side = 0; side < 4; side++) {
        tw_nm opposite = side % 2 == 0 ? signature.height : signature.width;
        /* Beyond this edge of the picture by how much? */
        tw_nm beyond = -room.side[side] - opposite;
        if (beyond > apart)
            apart = beyond;
        if (fit->visible.side[side] > 0 && room.side[side] < within)
            within = room.side[side];
    }
    return tw_rect_inside(signature, picture) ? within : apart;
}

static tw_code check_lip(const tw_line_check *check) {
    const tw_print *print = check->print;
    char seen[TW_LENGTH_TEXT], wanted[TW_LENGTH_TEXT], lip[TW_LENGTH_TEXT], clear[TW_LENGTH_TEXT];
    tw_rect trim = {0, 0, print->fit.size.width, print->fit.size.height};
    tw_sides room = room_in(print->signature, trim);
    int side = least_side(room);
    if (room.side[side] >= print->format->lip + CLEAR)
        return TW_OK;
    return tw_line_warn(check, "signature-under-lip", "give the signature a larger inset",
                        "the signature area lies %s from the %s edge; it should lie at least %s "
                        "from it: the lip of %s and %s",
                        tw_length_both(room.side[side], seen), tw_side_name(side),
                        tw_length_both(print->format->lip + CLEAR, wanted),
                        tw_length_both(print->format->lip, lip), tw_length_both(CLEAR, clear));
}

static tw_code check_picture(const tw_line_check *check) {
    const tw_print *print = check->print;
    char seen[TW_LENGTH_TEXT], wanted[TW_LENGTH_TEXT];
    tw_rect picture = seen_picture(&print->fit);
    bool on = tw_rect_inside(print->signature, picture);
    if (!on && tw_rect_overlap(print->signature, picture))
        return tw_line_warn(check, "signature-straddles",
                            "make the border deeper, or the area smaller",
                            "the signature area of template \"%s\" lies half on the picture and "
                            "half in the border",
                            print->format->name);
    tw_nm gap = air(&print->fit, print->signature);
    if (gap >= CLEAR)
        return TW_OK;
    return tw_line_warn(check, "signature-near-picture",
                        "move the signature area away from the picture's edge",
                        "the signature area lies %s from the picture's edge; %s is the least",
                        tw_length_both(gap, seen), tw_length_both(CLEAR, wanted));
}

/* The mat covers all that lies outside its window, which is centred on the picture. */
static tw_code check_window(const tw_line_check *check) {
    const tw_print *print = check->print;
    const tw_fitted *fit = &print->fit;
    char window[TW_SIZE_TEXT];
    if (!fit->has_window)
        return TW_OK;
    tw_rect picture = seen_picture(fit);
    tw_rect open = tw_rect_spread(picture, (fit->window.width - picture.width) / 2);
    if (tw_rect_inside(print->signature, open))
        return TW_OK;
    return tw_line_warn(check, "signature-under-window",
                        "let the window reveal the border, or sign on the picture",
                        "the signature area of template \"%s\" is not seen whole through the "
                        "mat's window of %s",
                        print->format->name, tw_size_both(fit->window, window));
}

tw_code tw_check_signature(const tw_line_check *check) {
    if (check->print->signature.width == 0)
        return TW_OK;
    tw_code code = check_picture(check);
    if (code == TW_OK)
        code = check_lip(check);
    return code == TW_OK ? check_window(check) : code;
}
