/*
 * Device colours (ISO 19005-2, 6.2.4.3): a page may paint in DeviceGray, DeviceRGB or DeviceCMYK
 * only where its resources replace that space by a default one, or the PDF/A output intent is
 * for it. Content streams are read for their colour operators, forms and images with them.
 */
#include "pdfcheck/rules.h"

#include <string.h>

enum { GREY = 1, RGB = 2, CMYK = 4, DEPTH_MOST = 12, STEPS_MOST = 100000000 };

typedef struct painting {
    tw_checkup *c;
    size_t page;
    unsigned covered; /* device spaces that are defined here */
    int depth;
} painting;

/* A page can name the same things over and over: there is an end to it. */
static bool spend(tw_checkup *c, size_t steps) {
    c->steps += steps;
    if (c->steps > STEPS_MOST)
        tw_checkup_fail(c, TW_CHECK_DEVICE_COLOUR,
                        "its pages hold more than can be looked through");
    return c->steps <= STEPS_MOST;
}

static unsigned device_of(const tw_pdfin_value *name) {
    if (tw_pdfin_is_name(name, "DeviceGray") || tw_pdfin_is_name(name, "G"))
        return GREY;
    if (tw_pdfin_is_name(name, "DeviceRGB") || tw_pdfin_is_name(name, "RGB"))
        return RGB;
    return tw_pdfin_is_name(name, "DeviceCMYK") || tw_pdfin_is_name(name, "CMYK") ? CMYK : 0;
}

static void use(const painting *p, unsigned space) {
    unsigned bad = space & ~p->covered;
    if (bad != 0)
        tw_checkup_fail(p->c, TW_CHECK_DEVICE_COLOUR, "page %zu paints in %s", p->page,
                        bad & GREY  ? "DeviceGray"
                        : bad & RGB ? "DeviceRGB"
                                    : "DeviceCMYK");
}

/* A colour space by name or array: itself, or what an indexed one, a pattern or inks stand for. */
static void use_space(const painting *p, const tw_pdfin_value *space, int depth) {
    tw_pdfin *pdf = p->c->pdf;
    const tw_pdfin_value *family = tw_pdfin_item(pdf, space, 0);
    if (space->kind == TW_PDFIN_NAME)
        use(p, device_of(space));
    if (space->kind != TW_PDFIN_ARRAY || depth > DEPTH_MOST)
        return;
    use(p, device_of(family));
    if (tw_pdfin_is_name(family, "Indexed") || tw_pdfin_is_name(family, "I") ||
        tw_pdfin_is_name(family, "Pattern"))
        use_space(p, tw_pdfin_item(pdf, space, 1), depth + 1);
    else if (tw_pdfin_is_name(family, "Separation") || tw_pdfin_is_name(family, "DeviceN"))
        use_space(p, tw_pdfin_item(pdf, space, 2), depth + 1);
}

/* ------------------------------------------------ content */

/* A name that the resources define, else itself. */
static const tw_pdfin_value *named_space(const painting *p, const tw_pdfin_value *resources,
                                         const tw_pdfin_value *name) {
    tw_pdfin *pdf = p->c->pdf;
    const tw_pdfin_value *spaces = tw_pdfin_get(pdf, resources, "ColorSpace");
    if (name->text == NULL || !spend(p->c, spaces->length))
        return name;
    const tw_pdfin_value *found = tw_pdfin_get(pdf, spaces, name->text);
    return found->kind == TW_PDFIN_NULL ? name : found;
}

static bool is_word(const tw_pdfin_value *word, const char *name) {
    size_t length = strlen(name);
    return word->kind == TW_PDFIN_WORD && word->length == length &&
           memcmp(word->text, name, length) == 0;
}

static void use_operator(const painting *p, const tw_pdfin_value *resources,
                         const tw_pdfin_value *word, const tw_pdfin_value *last) {
    if (is_word(word, "g") || is_word(word, "G"))
        use(p, GREY);
    else if (is_word(word, "rg") || is_word(word, "RG"))
        use(p, RGB);
    else if (is_word(word, "k") || is_word(word, "K"))
        use(p, CMYK);
    else if ((is_word(word, "cs") || is_word(word, "CS")) && last->kind == TW_PDFIN_NAME)
        use_space(p, named_space(p, resources, last), 0);
}

/* The bytes of an inline image end at "EI" between white space (8.9.7). */
static size_t behind_inline(const char *bytes, size_t length, size_t at) {
    for (size_t i = at; i + 3 <= length; i++)
        if (memcmp(bytes + i, "EI", 2) == 0 && strchr(" \t\r\n", bytes[i + 2]) != NULL && i > at &&
            strchr(" \t\r\n", bytes[i - 1]) != NULL)
            return i + 2;
    return length;
}

static void read_content(const painting *p, const tw_pdfin_value *resources, const char *bytes,
                         size_t length) {
    tw_pdfin_value value, last = {.kind = TW_PDFIN_NULL};
    size_t at = 0;
    bool in_image = false;
    while (tw_pdfin_next(p->c->pdf, bytes, length, &at, &value)) {
        if (in_image && value.kind != TW_PDFIN_WORD && last.kind == TW_PDFIN_NAME &&
            (tw_pdfin_is_name(&last, "CS") || tw_pdfin_is_name(&last, "ColorSpace")))
            use_space(p, value.kind == TW_PDFIN_NAME ? named_space(p, resources, &value) : &value,
                      0);
        if (is_word(&value, "BI"))
            in_image = true;
        if (is_word(&value, "ID")) {
            in_image = false;
            at = behind_inline(bytes, length, at);
        } else if (value.kind == TW_PDFIN_WORD) {
            use_operator(p, resources, &value, &last);
        }
        last = value;
    }
    if (at < length)
        tw_checkup_fail(p->c, TW_CHECK_DEVICE_COLOUR, "the content of page %zu cannot be read",
                        p->page);
}

/* All content streams of a page are one (7.8.2). */
static void add_stream(const painting *p, const tw_pdfin_value *stream, tw_buffer *all) {
    tw_buffer one;
    const char *why;
    if (!spend(p->c, 1))
        return;
    if (!tw_pdfin_unpack(p->c->pdf, stream, &one, &why)) {
        tw_checkup_fail(p->c, TW_CHECK_DEVICE_COLOUR,
                        "the content of page %zu cannot be looked into: it %s", p->page, why);
        return;
    }
    if (all->length + one.length <= TW_PDFIN_STREAM_MOST && one.length > 0) {
        tw_buffer_add(all, one.bytes, one.length);
        tw_buffer_add(all, "\n", 1);
    }
    tw_buffer_free(&one);
}

/* ------------------------------------------------ forms and images */

static unsigned covered_by(tw_checkup *c, const tw_pdfin_value *resources) {
    const tw_pdfin_value *spaces = tw_pdfin_get(c->pdf, resources, "ColorSpace");
    unsigned covered = 0;
    if (tw_pdfin_get(c->pdf, spaces, "DefaultGray")->kind == TW_PDFIN_ARRAY)
        covered |= GREY;
    if (tw_pdfin_get(c->pdf, spaces, "DefaultRGB")->kind == TW_PDFIN_ARRAY)
        covered |= RGB;
    if (tw_pdfin_get(c->pdf, spaces, "DefaultCMYK")->kind == TW_PDFIN_ARRAY)
        covered |= CMYK;
    if (c->archive_channels > 0)
        covered |= GREY;
    if (c->archive_channels == 3)
        covered |= RGB;
    return c->archive_channels == 4 ? covered | CMYK : covered;
}

static void paint_resources(painting p, const tw_pdfin_value *resources);

static void paint_form(painting p, const tw_pdfin_value *form, const tw_pdfin_value *above) {
    tw_buffer all;
    const tw_pdfin_value *own = tw_pdfin_get(p.c->pdf, form, "Resources");
    const tw_pdfin_value *resources = tw_pdfin_is_dict(own) ? own : above;
    tw_buffer_start(&all, tw_arena_allocator(p.c->arena));
    p.covered = covered_by(p.c, resources);
    p.depth++;
    add_stream(&p, form, &all);
    p.c->no_memory = p.c->no_memory || all.failed;
    if (all.length > 0)
        read_content(&p, resources, all.bytes, all.length);
    tw_buffer_free(&all);
    if (resources == own)
        paint_resources(p, resources);
}

/* Each object once: the first page that uses it answers for it. */
static void paint_object(painting p, const tw_pdfin_value *raw, const tw_pdfin_value *resources) {
    const tw_pdfin_value *object = tw_pdfin_follow(p.c->pdf, raw);
    if (object->kind != TW_PDFIN_STREAM || tw_checkup_seen(p.c, raw, TW_SEEN_FORM) ||
        p.depth > DEPTH_MOST)
        return;
    const tw_pdfin_value *kind = tw_pdfin_get(p.c->pdf, object, "Subtype");
    const tw_pdfin_value *pattern = tw_pdfin_get(p.c->pdf, object, "PatternType");
    if (tw_pdfin_is_name(kind, "Image"))
        use_space(&p, tw_pdfin_get(p.c->pdf, object, "ColorSpace"), 0);
    else if (tw_pdfin_is_name(kind, "Form") || pattern->kind == TW_PDFIN_NUMBER)
        paint_form(p, object, resources);
}

static void paint_shading(const painting *p, const tw_pdfin_value *raw) {
    const tw_pdfin_value *shading = tw_pdfin_follow(p->c->pdf, raw);
    const tw_pdfin_value *inner = tw_pdfin_get(p->c->pdf, shading, "Shading"); /* of a pattern */
    use_space(p, tw_pdfin_get(p->c->pdf, shading, "ColorSpace"), 0);
    use_space(p, tw_pdfin_get(p->c->pdf, inner, "ColorSpace"), 0);
}

static void paint_resources(painting p, const tw_pdfin_value *resources) {
    const tw_pdfin_value *objects = tw_pdfin_get(p.c->pdf, resources, "XObject");
    const tw_pdfin_value *patterns = tw_pdfin_get(p.c->pdf, resources, "Pattern");
    const tw_pdfin_value *shadings = tw_pdfin_get(p.c->pdf, resources, "Shading");
    if (!spend(p.c, objects->length + patterns->length + shadings->length))
        return;
    for (size_t i = 1; tw_pdfin_is_dict(objects) && i < objects->length; i += 2)
        paint_object(p, &objects->items[i], resources);
    for (size_t i = 1; tw_pdfin_is_dict(patterns) && i < patterns->length; i += 2) {
        paint_object(p, &patterns->items[i], resources);
        paint_shading(&p, &patterns->items[i]);
    }
    for (size_t i = 1; tw_pdfin_is_dict(shadings) && i < shadings->length; i += 2)
        paint_shading(&p, &shadings->items[i]);
}

void tw_checkup_page_colour(tw_checkup *c, const tw_pdf_leaf *page, size_t number) {
    const tw_pdfin_value *content = tw_pdfin_get(c->pdf, page->dict, "Contents");
    painting p = {.c = c, .page = number, .covered = covered_by(c, page->resources)};
    tw_buffer all;
    tw_buffer_start(&all, tw_arena_allocator(c->arena));
    if (content->kind == TW_PDFIN_STREAM)
        add_stream(&p, content, &all);
    for (size_t i = 0; i < tw_pdfin_items(content); i++)
        add_stream(&p, tw_pdfin_item(c->pdf, content, i), &all);
    c->no_memory = c->no_memory || all.failed;
    if (all.length > 0)
        read_content(&p, page->resources, all.bytes, all.length);
    tw_buffer_free(&all);
    paint_resources(p, page->resources);
}
