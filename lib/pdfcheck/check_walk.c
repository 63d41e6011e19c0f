/*
 * Rules for every dictionary and stream, wherever it is: each object is looked at once, and
 * references are not followed, so that a file's size bounds the work.
 */
#include "pdfcheck/rules.h"

#include <string.h>

typedef struct place {
    tw_checkup *c;
    long long object; /* for messages */
} place;

static const tw_pdfin_value *get(const place *p, const tw_pdfin_value *dict, const char *key) {
    return tw_pdfin_get(p->c->pdf, dict, key);
}

static bool has(const tw_pdfin_value *dict, const char *key) {
    return tw_pdfin_raw(dict, key)->kind != TW_PDFIN_NULL;
}

static bool is_one_of(const tw_pdfin_value *value, const char *const *names) {
    for (size_t i = 0; names[i] != NULL; i++)
        if (tw_pdfin_is_name(value, names[i]))
            return true;
    return false;
}

/* ------------------------------------------------ streams */

static void check_filter(const place *p, const tw_pdfin_value *filter) {
    static const char *const bad[] = {"LZWDecode", "LZW", "Crypt", NULL};
    char room[64];
    if (is_one_of(filter, bad))
        tw_checkup_fail(p->c, TW_CHECK_FILTERS, "object %lld is packed by %s", p->object,
                        tw_checkup_word(filter, room));
}

static void check_stream(const place *p, const tw_pdfin_value *stream) {
    const tw_pdfin_value *filter = get(p, stream, "Filter");
    check_filter(p, filter);
    for (size_t i = 0; i < tw_pdfin_items(filter); i++)
        check_filter(p, tw_pdfin_item(p->c->pdf, filter, i));
    if (has(stream, "F") || has(stream, "FFilter") || has(stream, "FDecodeParms"))
        tw_checkup_fail(p->c, TW_CHECK_STREAMS, "the bytes of object %lld are in another file",
                        p->object);
    else if (!tw_pdfin_ends_right(p->c->pdf, stream))
        tw_checkup_fail(p->c, TW_CHECK_STREAMS, "object %lld does not end where it says",
                        p->object);
}

/* ------------------------------------------------ graphics */

static void check_image(const place *p, const tw_pdfin_value *image) {
    const tw_pdfin_value *smooth = get(p, image, "Interpolate");
    const char *what = has(image, "Alternates")                               ? "alternates"
                       : has(image, "OPI")                                    ? "an OPI entry"
                       : smooth->kind == TW_PDFIN_BOOL && smooth->number != 0 ? "interpolation"
                                                                              : NULL;
    if (what != NULL)
        tw_checkup_fail(p->c, TW_CHECK_IMAGES, "image object %lld has %s", p->object, what);
    if (tw_pdfin_is_dict(get(p, image, "SMask")))
        p->c->transparency = true;
}

static void check_form(const place *p, const tw_pdfin_value *form) {
    const char *what = has(form, "Ref")   ? "takes in a page of another file"
                       : has(form, "OPI") ? "has an OPI entry"
                       : has(form, "PS") || tw_pdfin_is_name(get(p, form, "Subtype2"), "PS")
                           ? "has PostScript"
                           : NULL;
    if (what != NULL)
        tw_checkup_fail(p->c, TW_CHECK_FORMS, "form object %lld %s", p->object, what);
    if (tw_pdfin_is_dict(get(p, form, "Group")))
        p->c->transparency = true;
}

static void check_xobject(const place *p, const tw_pdfin_value *stream) {
    const tw_pdfin_value *kind = get(p, stream, "Subtype");
    if (tw_pdfin_is_name(kind, "Image"))
        check_image(p, stream);
    else if (tw_pdfin_is_name(kind, "Form"))
        check_form(p, stream);
    else if (tw_pdfin_is_name(kind, "PS"))
        tw_checkup_fail(p->c, TW_CHECK_FORMS, "object %lld is PostScript", p->object);
}

static bool is_opaque(const tw_pdfin_value *alpha) {
    return alpha->kind != TW_PDFIN_NUMBER || alpha->number >= TW_PDFIN_ONE;
}

/* ISO 32000-1, Tables 136 and 137. */
static void check_blend_mode(const place *p, const tw_pdfin_value *mode) {
    static const char *const known[] = {
        "Normal",    "Compatible", "Multiply",   "Screen",    "Overlay",    "Darken",
        "Lighten",   "ColorDodge", "ColorBurn",  "HardLight", "SoftLight",  "Difference",
        "Exclusion", "Hue",        "Saturation", "Color",     "Luminosity", NULL};
    char room[64];
    if (mode->kind != TW_PDFIN_NAME)
        return;
    if (!is_one_of(mode, known))
        tw_checkup_fail(p->c, TW_CHECK_TRANSPARENCY, "object %lld has the unknown blend mode %s",
                        p->object, tw_checkup_word(mode, room));
    if (!tw_pdfin_is_name(mode, "Normal") && !tw_pdfin_is_name(mode, "Compatible"))
        p->c->transparency = true;
}

/* A graphics state says TR or TR2 for curves; a soft mask's own TR is another thing, and has S. */
static void check_graphics_state(const place *p, const tw_pdfin_value *dict) {
    const tw_pdfin_value *mode = get(p, dict, "BM"), *curve = get(p, dict, "TR2");
    if (tw_pdfin_is_name(get(p, dict, "Type"), "ExtGState") || has(dict, "TR2") || has(dict, "BM"))
        if (has(dict, "TR") || (has(dict, "TR2") && !tw_pdfin_is_name(curve, "Default")) ||
            has(dict, "HTP"))
            tw_checkup_fail(p->c, TW_CHECK_TRANSFER, "the graphics state in object %lld has one",
                            p->object);
    check_blend_mode(p, mode);
    for (size_t i = 0; i < tw_pdfin_items(mode); i++)
        check_blend_mode(p, tw_pdfin_item(p->c->pdf, mode, i));
    if (!is_opaque(get(p, dict, "ca")) ||
        (!is_opaque(get(p, dict, "CA")) && !tw_pdfin_is_name(get(p, dict, "Type"), "Annot")) ||
        (tw_pdfin_is_dict(get(p, dict, "SMask")) && !has(dict, "Width")))
        p->c->transparency = true;
}

/* ------------------------------------------------ fonts, annotations, actions */

static void check_font(const place *p, const tw_pdfin_value *font) {
    static const char *const programs[] = {"Type1",        "MMType1",      "TrueType",
                                           "CIDFontType0", "CIDFontType2", NULL};
    const tw_pdfin_value *descriptor = get(p, font, "FontDescriptor");
    char room[64];
    if (!is_one_of(get(p, font, "Subtype"), programs))
        return; /* Type0 has its font below, Type3 is drawn */
    if (get(p, descriptor, "FontFile")->kind == TW_PDFIN_STREAM ||
        get(p, descriptor, "FontFile2")->kind == TW_PDFIN_STREAM ||
        get(p, descriptor, "FontFile3")->kind == TW_PDFIN_STREAM)
        return;
    tw_checkup_fail(p->c, TW_CHECK_FONTS, "font \"%s\" is not embedded",
                    tw_checkup_word(get(p, font, "BaseFont"), room));
}

static void check_annotation(const place *p, const tw_pdfin_value *annotation) {
    static const char *const bad[] = {"Sound", "Movie", "Screen", "3D", "RichMedia", NULL};
    const tw_pdfin_value *kind = get(p, annotation, "Subtype");
    char room[64];
    if (is_one_of(kind, bad))
        tw_checkup_fail(p->c, TW_CHECK_ANNOTATIONS, "object %lld is a %s annotation", p->object,
                        tw_checkup_word(kind, room));
}

static void check_action(const place *p, const tw_pdfin_value *dict) {
    static const char *const bad[] = {"JavaScript", "Launch",     "Sound",       "Movie",
                                      "ResetForm",  "ImportData", "SetOCGState", "Rendition",
                                      "Trans",      "GoTo3DView", NULL};
    const tw_pdfin_value *kind = get(p, dict, "S");
    char room[64];
    if (is_one_of(kind, bad))
        tw_checkup_fail(p->c, TW_CHECK_ACTIONS, "object %lld is a %s action", p->object,
                        tw_checkup_word(kind, room));
    else if (has(dict, "JS") || has(dict, "JavaScript"))
        tw_checkup_fail(p->c, TW_CHECK_ACTIONS, "object %lld has a script", p->object);
    else if (has(dict, "AA"))
        tw_checkup_fail(p->c, TW_CHECK_ACTIONS, "object %lld has actions for events (AA)",
                        p->object);
}

/* ------------------------------------------------ the walk */

static void check_dict(const place *p, const tw_pdfin_value *dict) {
    const tw_pdfin_value *type = get(p, dict, "Type");
    if (dict->kind == TW_PDFIN_STREAM) {
        check_stream(p, dict);
        check_xobject(p, dict);
    }
    if (tw_pdfin_is_name(type, "Font"))
        check_font(p, dict);
    if (tw_pdfin_is_name(type, "Annot") || (has(dict, "Rect") && has(dict, "Subtype")))
        check_annotation(p, dict);
    check_graphics_state(p, dict);
    check_action(p, dict);
}

/* As deep as the parser allows. */
static void walk(const place *p, const tw_pdfin_value *value) {
    if (tw_pdfin_is_dict(value))
        check_dict(p, value);
    else if (value->kind != TW_PDFIN_ARRAY)
        return;
    if (tw_pdfin_items(value) == 2 && tw_pdfin_is_name(&value->items[0], "ICCBased"))
        tw_checkup_icc_based(p->c, value);
    for (size_t i = 0; i < value->length; i++)
        walk(p, &value->items[i]);
}

static void check_layers(tw_checkup *c, const tw_pdfin_value *configuration) {
    if (tw_pdfin_raw(configuration, "AS")->kind != TW_PDFIN_NULL)
        tw_checkup_fail(c, TW_CHECK_LAYERS, "an optional content configuration has AS");
}

void tw_checkup_walk(tw_checkup *c) {
    const tw_pdfin_value *layers = tw_pdfin_get(c->pdf, c->root, "OCProperties");
    const tw_pdfin_value *more = tw_pdfin_get(c->pdf, layers, "Configs");
    for (size_t i = 1; i < tw_pdfin_object_count(c->pdf); i++) {
        place p = {c, (long long)i};
        walk(&p, tw_pdfin_object(c->pdf, (int64_t)i));
    }
    place trailer = {c, 0};
    if (tw_pdfin_trailer(c->pdf)->kind == TW_PDFIN_DICT)
        walk(&trailer, tw_pdfin_trailer(c->pdf));
    check_layers(c, tw_pdfin_get(c->pdf, layers, "D"));
    for (size_t i = 0; i < tw_pdfin_items(more); i++)
        check_layers(c, tw_pdfin_item(c->pdf, more, i));
}
