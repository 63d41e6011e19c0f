/* One template: finished size or picture size, white border, fit, bleed, signature, window. The
 * file that holds several of them is read in templates.c. */
#include "job/template.h"
#include "base/number.h"

#include <string.h>

#define COUNT(a) (sizeof(a) / sizeof(a)[0])
#define BORDER_MOST (1000 * TW_MM)
#define BLEED_MOST (2 * TW_IN)
#define LIP_MOST (2 * TW_IN)
#define WINDOW_MOST (4 * TW_IN)

static const char *const template_names[] = {
    "name",      "size", "picture", "border", "fit",     "focus",      "turn",    "bleed",
    "signature", "lie",  "window",  "lip",    "keyline", "resolution", "sharpen", "intent"};
static const tw_keys template_keys = {"template", template_names, COUNT(template_names), 1};

static const char *const side_names[] = {"top", "right", "bottom", "left"}; /* TW_TOP... */
static const tw_keys side_keys = {"border", side_names, 4, 4};

static const char *const signature_names[] = {"corner", "width", "height", "inset"};
static const tw_keys signature_keys = {"signature", signature_names, 4, 4};

static const char *const window_names[] = {"overlap", "reveal"};
static const tw_keys window_keys = {"window", window_names, 2, 0};

static bool problem(tw_reader *r, const tw_json_value *at, const char *name, const char *sentence) {
    tw_error e = {0};
    tw_json_fail(at, &e, TW_INPUT, name, "%s", sentence);
    return tw_problem(r, &e);
}

/* Exactly one of two keys: false and a problem when neither or both are there. */
static bool one_of(tw_reader *r, const tw_json_value *object, const char *scope, const char *a,
                   const char *b) {
    bool has_a = tw_json_get(object, a) != NULL, has_b = tw_json_get(object, b) != NULL;
    tw_error e = {0};
    if (has_a != has_b)
        return true;
    tw_json_fail(object, &e, TW_INPUT, "one-of", "%s has %s \"%s\" %s \"%s\"; give exactly one",
                 scope, has_a ? "both" : "neither", a, has_a ? "and" : "nor", b);
    return tw_problem(r, &e);
}

static bool side_fits(tw_nm side) {
    return side >= TW_MM && side <= TW_SIDE_MOST;
}

static void take_size(tw_reader *r, const tw_json_value *value, tw_template *t) {
    const tw_json_value *size = tw_json_get(value, "size");
    tw_error e = {0};
    if (!one_of(r, value, "a template", "size", "picture"))
        return;
    t->by_picture = size == NULL;
    if (t->by_picture) {
        tw_take_length(r, value, "picture", TW_MM, TW_SIDE_MOST, &t->picture);
    } else if (tw_json_size(size, &t->size, &e) != TW_OK) {
        tw_name_key(&e, "size");
        tw_problem(r, &e);
    } else if (!side_fits(t->size.width) || !side_fits(t->size.height)) {
        char wide[TW_LENGTH_TEXT], high[TW_LENGTH_TEXT];
        tw_json_fail(size, &e, TW_INPUT, "out-of-range",
                     "\"size\" is %s by %s; a side may be from 1 mm to 200 in (5080 mm)",
                     tw_length_both(t->size.width, wide), tw_length_both(t->size.height, high));
        tw_problem(r, &e);
        t->size = (tw_size){0, 0};
    }
}

/* One length for all sides, or each of the four by name. */
static void take_border(tw_reader *r, const tw_json_value *value, tw_template *t) {
    const tw_json_value *border = tw_json_get(value, "border");
    tw_nm all = 0;
    if (border != NULL && tw_json_kind_of(border) != TW_JSON_OBJECT) {
        if (tw_take_length(r, value, "border", 0, BORDER_MOST, &all))
            for (int i = 0; i < 4; i++)
                t->border.side[i] = all;
    } else {
        border = tw_take_object(r, value, "border", &side_keys);
        for (int i = 0; i < 4; i++)
            tw_take_length(r, border, side_names[i], 0, BORDER_MOST, &t->border.side[i]);
    }
}

static void no_picture(tw_reader *r, const tw_json_value *at, const tw_template *t) {
    const tw_nm *side = t->border.side;
    bool across = side[TW_LEFT] + side[TW_RIGHT] >= t->size.width;
    tw_nm taken = across ? side[TW_LEFT] + side[TW_RIGHT] : side[TW_TOP] + side[TW_BOTTOM];
    char seen[TW_LENGTH_TEXT], most[TW_LENGTH_TEXT];
    tw_error e = {0};
    tw_json_fail(at, &e, TW_INPUT, "no-picture",
                 "the border leaves no room for a picture: %s take %s of %s",
                 across ? "left and right" : "top and bottom", tw_length_both(taken, seen),
                 tw_length_both(across ? t->size.width : t->size.height, most));
    tw_fail_hint(&e, "make it narrower or the size larger");
    tw_problem(r, &e);
}

static void check_border(tw_reader *r, const tw_json_value *value, const tw_template *t) {
    const tw_nm *side = t->border.side;
    if (t->by_picture || t->size.width == 0)
        return;
    if (side[TW_LEFT] + side[TW_RIGHT] >= t->size.width ||
        side[TW_TOP] + side[TW_BOTTOM] >= t->size.height)
        no_picture(r, tw_json_get(value, "border"), t);
}

static bool take_part(tw_reader *r, const tw_json_value *value, int64_t *out) {
    double part = 0;
    tw_error e = {0};
    if (tw_json_number(value, &part, &e) != TW_OK)
        return tw_problem(r, &e);
    if (!(part >= 0 && part <= 1)) {
        tw_json_fail(value, &e, TW_INPUT, "out-of-range",
                     "a \"focus\" number is %s; it may be from 0 to 1",
                     tw_double_text(part, 6, (char[TW_DOUBLE_TEXT]){0}));
        return tw_problem(r, &e);
    }
    *out = (int64_t)(part * 1e6 + 0.5);
    return true;
}

static void take_fit(tw_reader *r, const tw_json_value *value, tw_template *t) {
    static const char *const fits[] = {"inside", "fill"};
    const tw_json_value *focus = tw_json_get(value, "focus");
    size_t fit = 0;
    if (tw_take_choice(r, value, "fit", fits, COUNT(fits), &fit))
        t->fit = fit == 0 ? TW_FIT_INSIDE : TW_FIT_FILL;
    if (focus == NULL)
        return;
    if (t->fit != TW_FIT_FILL)
        problem(r, focus, "focus-without-fill",
                "\"focus\" says what stays when an image is cropped; it needs \"fit\": \"fill\"");
    if (tw_json_kind_of(focus) != TW_JSON_ARRAY || tw_json_count(focus) != 2) {
        problem(r, focus, "wrong-kind",
                "\"focus\" is two numbers from 0 to 1, across and down, such as [0.5, 0.4]");
        return;
    }
    take_part(r, tw_json_item(focus, 0), &t->focus_x);
    take_part(r, tw_json_item(focus, 1), &t->focus_y);
}

static void take_lying(tw_reader *r, const tw_json_value *value, tw_template *t) {
    static const char *const turns[] = {"auto", "never"}, *const lies[] = {"either", "upright"};
    size_t which = 0;
    if (tw_take_choice(r, value, "turn", turns, COUNT(turns), &which))
        t->turn_auto = which == 0;
    if (tw_take_choice(r, value, "lie", lies, COUNT(lies), &which))
        t->lie_upright = which == 1;
}

/* The area must lie on the print at all; whether it lies well is for `check` to warn about. */
static void take_signature(tw_reader *r, const tw_json_value *value, tw_template *t) {
    static const char *const corners[] = {"top-left", "top-right", "bottom-right", "bottom-left"};
    const tw_json_value *area = tw_take_object(r, value, "signature", &signature_keys);
    tw_nm wide = t->size.width > 0 ? t->size.width : TW_SIDE_MOST;
    tw_nm high = t->size.height > 0 ? t->size.height : TW_SIDE_MOST;
    size_t corner = 0;
    if (tw_take_choice(r, area, "corner", corners, COUNT(corners), &corner))
        t->signature = (tw_corner)(TW_TOP_LEFT + (int)corner);
    tw_take_length(r, area, "width", TW_MM, wide, &t->signature_width);
    tw_take_length(r, area, "height", TW_MM, high, &t->signature_height);
    tw_take_length(r, area, "inset", 0, TW_SIDE_MOST, &t->signature_inset);
    if (t->signature_inset + t->signature_width > wide ||
        t->signature_inset + t->signature_height > high)
        problem(r, area, "signature-outside",
                "the signature area with its inset reaches past the print; make it smaller");
}

static void take_window(tw_reader *r, const tw_json_value *value, tw_template *t) {
    const tw_json_value *window = tw_take_object(r, value, "window", &window_keys);
    if (window == NULL || !one_of(r, window, "a window", "overlap", "reveal"))
        return;
    if (tw_take_length(r, window, "overlap", 0, WINDOW_MOST, &t->window_by))
        t->window = TW_WINDOW_OVERLAP;
    if (tw_take_length(r, window, "reveal", 0, WINDOW_MOST, &t->window_by))
        t->window = TW_WINDOW_REVEAL;
}

void tw_template_defaults(tw_template *t) {
    memset(t, 0, sizeof *t);
    t->fit = TW_FIT_INSIDE;
    t->focus_x = t->focus_y = 500000;
    t->turn_auto = true;
}

bool tw_template_read(tw_reader *r, const tw_json_value *value, tw_template *out) {
    size_t before = r->problems;
    tw_template_defaults(out);
    out->place = tw_place_of(r, value);
    if (!tw_read_keys(r, value, &template_keys))
        return false;
    tw_take_name(r, value, "name", &out->name);
    take_size(r, value, out);
    take_border(r, value, out);
    check_border(r, value, out);
    take_fit(r, value, out);
    take_lying(r, value, out);
    out->has_bleed = tw_take_length(r, value, "bleed", 0, BLEED_MOST, &out->bleed);
    tw_take_length(r, value, "lip", 0, LIP_MOST, &out->lip);
    take_signature(r, value, out);
    take_window(r, value, out);
    tw_take_bool(r, value, "keyline", &out->keyline);
    tw_targets_read(r, value, &out->resolution);
    tw_sharpen_read(r, value, &out->sharpen);
    tw_intent_take(r, value, &out->intent);
    return r->problems == before && !tw_stopped(r);
}
