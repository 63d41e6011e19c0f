/* The page tree with what pages inherit (ISO 32000-1, 7.7.3), and the boxes of each page. */
#include "pdfcheck/rules.h"

enum { PAGES_MOST = 100000, LEVELS_MOST = 64 };

typedef struct box {
    bool there;
    int64_t left, bottom, right, top; /* millionths of a unit */
} box;

static box box_of(tw_checkup *c, const tw_pdfin_value *array) {
    int64_t side[4];
    for (size_t i = 0; i < 4; i++) {
        const tw_pdfin_value *number = tw_pdfin_item(c->pdf, array, i);
        if (tw_pdfin_items(array) != 4 || number->kind != TW_PDFIN_NUMBER)
            return (box){false, 0, 0, 0, 0};
        side[i] = number->number / 2; /* so that a difference cannot overflow */
    }
    return (box){true, side[0] < side[2] ? side[0] : side[2], side[1] < side[3] ? side[1] : side[3],
                 side[0] < side[2] ? side[2] : side[0], side[1] < side[3] ? side[3] : side[1]};
}

static bool is_inside(box inner, box outer) {
    return inner.left >= outer.left && inner.bottom >= outer.bottom && inner.right <= outer.right &&
           inner.top <= outer.top;
}

static bool is_fit(int64_t half) {
    return half >= (int64_t)3 * TW_PDFIN_ONE / 2 && half <= (int64_t)14400 * TW_PDFIN_ONE / 2;
}

static void check_size(tw_checkup *c, const char *name, const tw_pdfin_value *array,
                       size_t number) {
    box b = box_of(c, array);
    if (array->kind == TW_PDFIN_NULL)
        return;
    if (!b.there)
        tw_checkup_fail(c, TW_CHECK_PAGE_SIZE, "the %s of page %zu is not four numbers", name,
                        number);
    else if (!is_fit(b.right - b.left) || !is_fit(b.top - b.bottom))
        tw_checkup_fail(c, TW_CHECK_PAGE_SIZE, "the %s of page %zu is %lld x %lld units", name,
                        number, (long long)((b.right - b.left) / (TW_PDFIN_ONE / 2)),
                        (long long)((b.top - b.bottom) / (TW_PDFIN_ONE / 2)));
}

static void check_boxes(tw_checkup *c, const tw_pdf_leaf *page, size_t number) {
    box trim = box_of(c, tw_pdfin_get(c->pdf, page->dict, "TrimBox"));
    box art = box_of(c, tw_pdfin_get(c->pdf, page->dict, "ArtBox"));
    box bleed = box_of(c, tw_pdfin_get(c->pdf, page->dict, "BleedBox"));
    box media = box_of(c, page->media), final = trim.there ? trim : art;
    if (trim.there == art.there)
        tw_checkup_fail(c, TW_CHECK_BOXES, "page %zu has %s", number,
                        trim.there ? "both TrimBox and ArtBox" : "neither TrimBox nor ArtBox");
    else if (!media.there)
        tw_checkup_fail(c, TW_CHECK_BOXES, "page %zu has no MediaBox", number);
    else if (bleed.there && !is_inside(final, bleed))
        tw_checkup_fail(c, TW_CHECK_BOXES, "the BleedBox of page %zu does not hold its %s", number,
                        trim.there ? "TrimBox" : "ArtBox");
    else if (!is_inside(bleed.there ? bleed : final, media))
        tw_checkup_fail(c, TW_CHECK_BOXES, "the MediaBox of page %zu does not hold its %s", number,
                        bleed.there  ? "BleedBox"
                        : trim.there ? "TrimBox"
                                     : "ArtBox");
}

/* With transparency and no PDF/A output intent a page says in which colours it is mixed. */
static void check_group(tw_checkup *c, const tw_pdf_leaf *page, size_t number) {
    const tw_pdfin_value *group = tw_pdfin_get(c->pdf, page->dict, "Group");
    if (c->transparency && !c->archive_intent &&
        tw_pdfin_get(c->pdf, group, "CS")->kind == TW_PDFIN_NULL)
        tw_checkup_fail(c, TW_CHECK_TRANSPARENCY,
                        "there is transparency, and page %zu has no group with a CS", number);
}

static void check_page(tw_checkup *c, const tw_pdf_leaf *page) {
    static const char *const names[] = {"BleedBox", "TrimBox", "ArtBox"};
    size_t number = ++c->report->pages;
    box media = box_of(c, page->media);
    if (number == 1) {
        c->report->width = 2 * (media.right - media.left);
        c->report->height = 2 * (media.top - media.bottom);
    }
    check_size(c, "MediaBox", page->media, number);
    check_size(c, "CropBox", page->crop, number);
    for (size_t i = 0; i < 3; i++)
        check_size(c, names[i], tw_pdfin_get(c->pdf, page->dict, names[i]), number);
    check_boxes(c, page, number);
    check_group(c, page, number);
    tw_checkup_page_colour(c, page, number);
}

static const tw_pdfin_value *or_inherited(tw_checkup *c, const tw_pdfin_value *dict,
                                          const char *key, const tw_pdfin_value *inherited) {
    const tw_pdfin_value *own = tw_pdfin_get(c->pdf, dict, key);
    return own->kind == TW_PDFIN_NULL ? inherited : own;
}

static void walk_tree(tw_checkup *c, const tw_pdfin_value *raw, tw_pdf_leaf above, int level) {
    const tw_pdfin_value *dict = tw_pdfin_follow(c->pdf, raw);
    const tw_pdfin_value *kids = tw_pdfin_get(c->pdf, dict, "Kids");
    tw_pdf_leaf own = {.dict = dict,
                       .media = or_inherited(c, dict, "MediaBox", above.media),
                       .crop = or_inherited(c, dict, "CropBox", above.crop),
                       .resources = or_inherited(c, dict, "Resources", above.resources)};
    if (!tw_pdfin_is_dict(dict) || tw_checkup_seen(c, raw, TW_SEEN_TREE) || level > LEVELS_MOST ||
        c->report->pages >= PAGES_MOST) {
        tw_checkup_fail(c, TW_CHECK_OBJECTS, "the page tree is broken");
        return;
    }
    if (kids->kind != TW_PDFIN_ARRAY)
        check_page(c, &own);
    for (size_t i = 0; i < tw_pdfin_items(kids); i++)
        walk_tree(c, &kids->items[i], own, level + 1);
}

void tw_checkup_pages(tw_checkup *c) {
    static const tw_pdfin_value none = {.kind = TW_PDFIN_NULL};
    tw_pdf_leaf above = {&none, &none, &none, &none};
    walk_tree(c, tw_pdfin_raw(c->root, "Pages"), above, 0);
}
