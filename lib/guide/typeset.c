/*
 * Setting text on the guide's pages: lines broken to a width, headings, paragraphs, page breaks.
 * Called by every part of the guide; calls the display list.
 */
#include "guide/pages.h"

#include <string.h>

#include "base/face.h"
#include "base/text.h"

#define ELLIPSIS "\xE2\x80\xA6" /* U+2026 */
#define EM TW_M                 /* at which letters are measured, far finer than any size set */

void tw_guide_check(tw_guide *g, tw_code code) {
    if (g->code == TW_OK)
        g->code = code;
}

tw_nm tw_guide_leading(tw_nm size) {
    return size * 130 / 100;
}

/* ------------------------------------------------ the page */

tw_page *tw_guide_now(tw_guide *g) {
    return g->code == TW_OK && g->count > 0 ? &g->pages[g->count - 1] : NULL;
}

void tw_guide_page(tw_guide *g) {
    if (g->code != TW_OK)
        return;
    tw_page *pages = tw_arena_grow(g->arena, g->pages, g->count, &g->room, sizeof *g->pages);
    if (pages == NULL) {
        tw_guide_check(g, tw_no_memory(g->error));
        return;
    }
    g->pages = pages;
    tw_page *page = &g->pages[g->count++]; /* perhaps one that was dropped: its room is kept */
    page->size = g->paper;
    page->count = 0;
    g->y = g->top;
    if (g->running == NULL)
        return;
    tw_nm size = GUIDE_PT(110);
    const char *line = tw_guide_fit(g, g->running, g->right - g->left, size);
    tw_guide_put(g, g->left, g->y + GUIDE_ABOVE(size), size, TW_ALIGN_LEFT, GUIDE_BOLD, line);
    g->y += tw_guide_leading(size) + 2 * TW_MM;
}

tw_guide_spot tw_guide_here(const tw_guide *g) {
    return (tw_guide_spot){g->count, g->count > 0 ? g->pages[g->count - 1].count : 0, g->y};
}

void tw_guide_back(tw_guide *g, tw_guide_spot spot) {
    if (g->code != TW_OK)
        return;
    g->count = spot.pages;
    g->pages[spot.pages - 1].count = spot.ops;
    g->y = spot.y;
    g->running = NULL;
}

bool tw_guide_ends_short(const tw_guide *g, tw_guide_spot spot) {
    return g->count > spot.pages && g->y - g->top < (g->bottom - g->top) / 4;
}

void tw_guide_sparing(tw_guide *g, void (*part)(tw_guide *g)) {
    const tw_guide_spot here = tw_guide_here(g);
    part(g);
    if (!tw_guide_ends_short(g, here))
        return;
    const size_t pages = g->count;
    tw_guide_back(g, here);
    g->close = true;
    part(g);
    g->close = false;
    if (g->code != TW_OK || g->count < pages)
        return;
    tw_guide_back(g, here);
    part(g);
}

bool tw_guide_need(tw_guide *g, tw_nm height) {
    if (g->code != TW_OK || g->y + height <= g->bottom)
        return false;
    tw_guide_page(g);
    return true;
}

void tw_guide_put(tw_guide *g, tw_nm x, tw_nm baseline, tw_nm size, tw_align align,
                  tw_guide_weight weight, const char *text) {
    tw_page *page = tw_guide_now(g);
    if (page == NULL || text[0] == '\0')
        return;
    tw_guide_check(g, tw_page_text(g->arena, page, TW_ROLE_GUIDE, x, baseline, size, align, 0, text,
                                   g->error));
    if (g->code == TW_OK)
        page->ops[page->count - 1].bold = weight == GUIDE_BOLD;
}

void tw_guide_rule(tw_guide *g, tw_nm x0, tw_nm y0, tw_nm x1, tw_nm y1, tw_nm weight, int grey) {
    tw_page *page = tw_guide_now(g);
    if (page != NULL)
        tw_guide_check(
            g, tw_page_line(g->arena, page, TW_ROLE_GUIDE, x0, y0, x1, y1, weight, grey, g->error));
}

void tw_guide_box(tw_guide *g, tw_rect rect, tw_nm weight, int grey, int fill) {
    tw_page *page = tw_guide_now(g);
    if (page != NULL)
        tw_guide_check(
            g, tw_page_box(g->arena, page, TW_ROLE_GUIDE, rect, weight, grey, fill, g->error));
}

void tw_guide_dash_last(tw_guide *g) {
    tw_page *page = tw_guide_now(g);
    if (page != NULL && page->count > 0)
        page->ops[page->count - 1].dashed = true;
}

void tw_guide_space(tw_guide *g, tw_nm height) {
    g->y += height;
}

/* ------------------------------------------------ breaking lines */

/* The width of the one character at *at, which is moved past it. */
static tw_nm next_width(tw_guide *g, const char **at, tw_nm size) {
    unsigned char first = (unsigned char)**at;
    if (first < GUIDE_ASCII) {
        (*at)++;
        if (g->ascii[first] ==
            0) /* the face is asked once a letter: it reads its tables each time */
            g->ascii[first] = tw_face_width((char[2]){(char)first, 0}, EM);
        return tw_scale(g->ascii[first], size, EM);
    }
    const char *from = *at;
    char one[5] = {0};
    (void)tw_utf8_next(at);
    size_t length = (size_t)(*at - from);
    memcpy(one, from, length < 4 ? length : 4);
    return tw_face_width(one, size);
}

/* Where a line that starts at `text` ends: after the last word that fits, inside a word only
 * when it alone is too wide, always at least one character on. */
static const char *line_end(tw_guide *g, const char *text, tw_nm width, tw_nm size) {
    const char *at = text, *blank = NULL;
    tw_nm used = 0;
    while (*at != '\0' && *at != '\n') {
        const char *before = at;
        if (*at == ' ')
            blank = at;
        used += next_width(g, &at, size);
        if (used > width && before != text)
            return blank != NULL && blank != text ? blank : before;
    }
    return at;
}

static const char *copied(tw_guide *g, const char *text, size_t length) {
    while (length > 0 && text[length - 1] == ' ')
        length--;
    const char *copy = g->code == TW_OK ? tw_arena_copy(g->arena, text, length) : NULL;
    if (copy == NULL)
        tw_guide_check(g, tw_no_memory(g->error));
    return copy == NULL ? "" : copy;
}

/* As much of one line as fits before an ellipsis. */
static const char *shortened(tw_guide *g, const char *text, tw_nm width, tw_nm size) {
    tw_nm left = width - tw_face_width(ELLIPSIS, size);
    const char *at = text;
    while (*at != '\0' && *at != '\n') {
        const char *before = at;
        left -= next_width(g, &at, size);
        if (left < 0) {
            at = before;
            break;
        }
    }
    const char *kept = copied(g, text, (size_t)(at - text));
    return tw_guide_say(g, "%s" ELLIPSIS, kept);
}

const char *tw_guide_fit(tw_guide *g, const char *text, tw_nm width, tw_nm size) {
    const char *at = text;
    tw_nm used = 0;
    while (*at != '\0' && *at != '\n' && used <= width)
        used += next_width(g, &at, size);
    if (used <= width && *at == '\0')
        return text;
    return shortened(g, text, width, size);
}

size_t tw_guide_wrap(tw_guide *g, const char *text, tw_nm width, tw_nm size, const char **lines,
                     size_t most) {
    size_t count = 0;
    for (const char *at = text; *at != '\0' && count < most && g->code == TW_OK;) {
        const char *end = line_end(g, at, width, size);
        const char *next = end;
        while (*next == ' ')
            next++;
        if (*next == '\n')
            next++;
        bool last = count + 1 == most && *next != '\0';
        lines[count++] = last ? shortened(g, at, width, size) : copied(g, at, (size_t)(end - at));
        at = next;
    }
    return count;
}

/* ------------------------------------------------ running text */

void tw_guide_heading(tw_guide *g, int level, const char *text, tw_nm follow) {
    static const int sizes[] = {220, 140, 115};
    tw_nm size = GUIDE_PT(sizes[level - 1]);
    const char *lines[4];
    size_t count = tw_guide_wrap(g, text, g->right - g->left, size, lines, 4);
    tw_nm height = (tw_nm)count * tw_guide_leading(size) + 2 * TW_MM;
    (void)tw_guide_need(g, height + 5 * TW_MM + follow);
    if (g->y > g->top)
        g->y += (g->close ? 2 : level == 3 ? 3 : 5) * TW_MM;
    for (size_t i = 0; i < count; i++, g->y += tw_guide_leading(size))
        tw_guide_put(g, g->left, g->y + GUIDE_ABOVE(size), size, TW_ALIGN_LEFT, GUIDE_BOLD,
                     lines[i]);
    if (level < 3)
        tw_guide_rule(g, g->left, g->y, g->right, g->y, GUIDE_PT(level == 1 ? 15 : 8), 0);
    g->y += level < 3 ? 2 * TW_MM : TW_MM / 2;
}

/* Lines of one size, however many: two at least stay together. */
static void set_lines(tw_guide *g, const char *text, tw_nm indent, tw_nm size) {
    const tw_nm leading = tw_guide_leading(size), width = g->right - g->left - indent;
    bool first = true;
    for (const char *at = text; *at != '\0' && g->code == TW_OK; first = false) {
        const char *end = line_end(g, at, width, size);
        bool alone = *end == '\0';
        (void)tw_guide_need(g, first && !alone ? 2 * leading : leading);
        tw_guide_put(g, g->left + indent, g->y + GUIDE_ABOVE(size), size, TW_ALIGN_LEFT,
                     GUIDE_PLAIN, copied(g, at, (size_t)(end - at)));
        if (first && indent > 0)
            tw_guide_put(g, g->left, g->y + GUIDE_ABOVE(size), size, TW_ALIGN_LEFT, GUIDE_PLAIN,
                         "\xE2\x80\x93"); /* U+2013 */
        g->y += leading;
        for (at = end; *at == ' ' || *at == '\n';)
            at++;
    }
}

void tw_guide_paragraph(tw_guide *g, const char *text) {
    set_lines(g, text, 0, GUIDE_BODY);
    g->y += g->close ? TW_MM : 3 * TW_MM / 2;
}

void tw_guide_small(tw_guide *g, const char *text) {
    set_lines(g, text, 0, GUIDE_CELL);
    g->y += TW_MM;
}

void tw_guide_point(tw_guide *g, const char *text) {
    set_lines(g, text, 5 * TW_MM, GUIDE_BODY);
    g->y += TW_MM / 2;
}
