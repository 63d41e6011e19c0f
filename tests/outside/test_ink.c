/*
 * No ink on what is sold: on random print days, everything the PDF paints but the pictures (lines
 * by the content stream through qpdf, words by poppler's pdftotext) lies outside every print of
 * plan.json and its bleed, and inside the paper's margins; each picture lies where plan.json says,
 * within 0.001 pt. Printer's marks belong outside the finished page: ISO 32000-1, 14.11.3.
 */
#include "pdf_page.h"
#include "random_day.h"

#include <math.h>

static const double pt = POINTS_PER_INCH / MM_PER_INCH; /* points a mm */

/* Of plan.json, in points with y up. */
static pdf_box box_of(const cJSON *object, double height) {
    double x = number_of(object, "x") * pt, y = number_of(object, "y") * pt;
    double right = x + number_of(object, "width") * pt;
    double bottom = y + number_of(object, "height") * pt;
    return (pdf_box){x, height - bottom, right, height - y};
}

static bool overlap(pdf_box a, pdf_box b) {
    return a.left < b.right - POINT_ERROR && b.left < a.right - POINT_ERROR &&
           a.bottom < b.top - POINT_ERROR && b.bottom < a.top - POINT_ERROR;
}

static bool inside(pdf_box a, pdf_box b) {
    return a.left >= b.left - POINT_ERROR && a.right <= b.right + POINT_ERROR &&
           a.bottom >= b.bottom - POINT_ERROR && a.top <= b.top + POINT_ERROR;
}

/* ------------------------------------------------ pictures */

/* What the unit square becomes. */
static pdf_box box_of_matrix(const double *m) {
    double x0 = m[4] + fmin(0, m[0]) + fmin(0, m[2]), y0 = m[5] + fmin(0, m[1]) + fmin(0, m[3]);
    return (pdf_box){x0, y0, x0 + fabs(m[0]) + fabs(m[2]), y0 + fabs(m[1]) + fabs(m[3])};
}

static bool is_drawn(const pdf_page *page, pdf_box picture, pdf_box whole) {
    for (size_t i = 0; i < page->picture_count; i++) {
        const pdf_picture *p = &page->pictures[i];
        pdf_box all = box_of_matrix(p->matrix), seen = p->clipped ? p->clip : all;
        if (inside(all, whole) && inside(whole, all) && inside(seen, picture) &&
            inside(picture, seen))
            return true;
    }
    return false;
}

static void assert_pictures(const cJSON *sheet, const pdf_page *page) {
    const cJSON *print, *prints = member(sheet, "prints");
    double height = number_of(sheet, "length") * pt;
    assert_int_equal(page->picture_count, cJSON_GetArraySize(prints));
    cJSON_ArrayForEach(print, prints) {
        if (!is_drawn(page, box_of(member(print, "picture"), height),
                      box_of(member(print, "whole"), height)))
            fail_msg("print %s is not drawn in its place", text_of(print, "id"));
    }
}

/* ------------------------------------------------ lines and words */

static pdf_box box_of_line(const pdf_line *l) {
    bool upright = l->x0 == l->x1;
    double half = l->weight / 2, beside = upright ? half : 0, over = upright ? 0 : half;
    return (pdf_box){fmin(l->x0, l->x1) - beside, fmin(l->y0, l->y1) - over,
                     fmax(l->x0, l->x1) + beside, fmax(l->y0, l->y1) + over};
}

static void assert_waste(const cJSON *sheet, const paper_rules *rules, pdf_box ink,
                         const char *what) {
    const cJSON *print;
    double width = number_of(sheet, "width") * pt, height = number_of(sheet, "length") * pt;
    pdf_box margins = {(double)rules->side / 1e6 * pt, (double)rules->tail / 1e6 * pt,
                       width - (double)rules->side / 1e6 * pt,
                       height - (double)rules->lead / 1e6 * pt};
    if (!inside(ink, margins))
        fail_msg("%s at %.3f, %.3f lies in the paper's margin", what, ink.left, ink.bottom);
    cJSON_ArrayForEach(print, member(sheet, "prints")) {
        if (overlap(ink, box_of(print, height)) ||
            overlap(ink, box_of(member(print, "picture"), height)))
            fail_msg("%s at %.3f, %.3f lies on print %s", what, ink.left, ink.bottom,
                     text_of(print, "id"));
    }
}

/* <word xMin="" yMin="" xMax="" yMax="">, y down: box by ascent and descent of the face. */
static size_t assert_words(const cJSON *sheet, const paper_rules *rules, const char *file) {
    size_t length, count = 0;
    double height = number_of(sheet, "length") * pt;
    shell("pdftotext -bbox '%s' words.html", file);
    unsigned char *text = whole_file("words.html", &length);
    const char *at = (const char *)text;
    for (; (at = strstr(at, "<word ")) != NULL; at++, count++) {
        pdf_box w;
        assert_int_equal(sscanf(at, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"",
                                &w.left, &w.bottom, &w.right, &w.top),
                         4);
        assert_waste(sheet, rules, (pdf_box){w.left, height - w.top, w.right, height - w.bottom},
                     "a word");
    }
    free(text);
    return count;
}

/* ------------------------------------------------ days */

typedef struct seen {
    size_t lines, words;
} seen;

static void assert_sheet(const cJSON *sheet, const paper_rules *rules, seen *all) {
    static pdf_page page;
    char file[64];
    (void)snprintf(file, sizeof file, "out.d/%s", text_of(sheet, "file"));
    read_pdf_page(file, &page);
    assert_pictures(sheet, &page);
    for (size_t i = 0; i < page.line_count; i++)
        assert_waste(sheet, rules, box_of_line(&page.lines[i]), "a line");
    all->lines += page.line_count;
    all->words += assert_words(sheet, rules, file);
}

static void random_days(void **state) {
    static random_day d;
    seen all = {0, 0};
    (void)state;
    make_day_images();
    for (uint64_t seed = 101; seed <= 108; seed++) {
        const cJSON *sheet;
        print_message("day of seed %u\n", (unsigned)seed);
        make_random_day(seed, &d);
        cJSON *plan = compose("day", "out.d");
        cJSON_ArrayForEach(sheet, member(plan, "sheets")) {
            assert_sheet(sheet, &d.rules, &all);
        }
        cJSON_Delete(plan);
    }
    print_message("%zu lines, %zu words\n", all.lines, all.words);
    assert_true(all.lines > 100 && all.words > 50);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(random_days)};
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
