/*
 * The PDFs as poppler, MuPDF and Ghostscript paint them at 600 dpi: every picture's edges and
 * every crop mark's middle lie within one pixel of where plan.json says (600 dots an inch,
 * ISO 32000-1 8.3.2.3 for the units). Flat dark pictures on white, so that edges are sharp.
 */
#include "flat_image.h"
#include "pdf_page.h"
#include "raster.h"

#include <math.h>

#define DPI 600
#define DARK 160 /* below: ink */

static double pixels(double mm) {
    return mm / MM_PER_INCH * DPI;
}

/* ------------------------------------------------ pictures */

/* From a place in the picture outward until there is no ink: where that edge is. */
static int edge_from(const raster *r, int x, int y, int right, int down) {
    while (x >= 0 && y >= 0 && x < r->width && y < r->height && pixel_at(r, x, y, 0) < DARK) {
        x += right;
        y += down;
    }
    return right != 0 ? x + (right < 0) : y + (down < 0);
}

typedef struct span {
    double from, to;
} span;

/* On three lines across the picture, both edges. */
static void assert_edges(const raster *r, const char *who, const char *id, span across, span along,
                         bool level) {
    char what[160];
    int middle = (int)((across.from + across.to) / 2);
    for (int part = 1; part <= 3; part++) {
        int line = (int)(along.from + (along.to - along.from) * part / 4);
        int x = level ? middle : line, y = level ? line : middle;
        int low = edge_from(r, x, y, level ? -1 : 0, level ? 0 : -1);
        int high = edge_from(r, x, y, level ? 1 : 0, level ? 0 : 1);
        (void)snprintf(what, sizeof what, "%s, print %s, %s edge", who, id, level ? "left" : "top");
        assert_near(what, low, across.from, 1);
        (void)snprintf(what, sizeof what, "%s, print %s, %s edge", who, id,
                       level ? "right" : "bottom");
        assert_near(what, high, across.to, 1);
    }
}

static void assert_picture(const raster *r, const char *who, const cJSON *print) {
    const cJSON *picture = member(print, "picture");
    const char *id = text_of(print, "id");
    span x = {pixels(number_of(picture, "x")), 0}, y = {pixels(number_of(picture, "y")), 0};
    x.to = x.from + pixels(number_of(picture, "width"));
    y.to = y.from + pixels(number_of(picture, "height"));
    assert_edges(r, who, id, x, y, true);
    assert_edges(r, who, id, y, x, false);
}

/* ------------------------------------------------ marks */

/* The middle of the ink within a few pixels of `near`, across a line. */
static double middle_of_ink(const raster *r, int line, double near, bool upright) {
    int first = -1, last = -1;
    for (int i = (int)near - 7; i <= (int)near + 7; i++)
        if (pixel_at(r, upright ? i : line, upright ? line : i, 0) < DARK) {
            first = first < 0 ? i : first;
            last = i;
        }
    if (first < 0)
        fail_msg("no ink near %.1f on line %d", near, line);
    return (first + last + 1) / 2.0;
}

/* Whether a place, in mm, is a trimmed edge of a print of the plan. */
static bool is_trim(const cJSON *sheet, bool upright, double place, double *edge) {
    const cJSON *prints = member(sheet, "prints");
    for (int i = 0; i < 2 * cJSON_GetArraySize(prints); i++) {
        const cJSON *print = item(prints, i / 2);
        *edge = number_of(print, upright ? "x" : "y");
        if (i % 2 == 1)
            *edge += number_of(print, upright ? "width" : "height");
        if (fabs(*edge - place) < 0.01)
            return true;
    }
    return false;
}

/* The lines of the page that carry on a trimmed edge; returns whether this one is. */
static bool assert_mark(const raster *r, const char *who, const cJSON *sheet, pdf_line l) {
    double height = number_of(sheet, "length"), mm = MM_PER_INCH / POINTS_PER_INCH, edge;
    bool upright = fabs(l.x0 - l.x1) < POINT_ERROR;
    double place = upright ? l.x0 * mm : height - l.y0 * mm;
    double middle = upright ? height - (l.y0 + l.y1) / 2 * mm : (l.x0 + l.x1) / 2 * mm;
    char what[160];
    if (!is_trim(sheet, upright, place, &edge))
        return false;
    (void)snprintf(what, sizeof what, "%s, mark at %s %.3f mm", who, upright ? "x" : "y", edge);
    assert_near(what, middle_of_ink(r, (int)pixels(middle), pixels(edge), upright), pixels(edge),
                1);
    return true;
}

/* ------------------------------------------------ the day */

/* Different greys, shapes and units; turned ones; borders and bleed. Every sheet is 8 in long, so
 * that no renderer has a part of a pixel to round. */
static cJSON *day(void) {
    static const flat_image wide = {600, 450, {{90}, {90}, {90}, {90}}, 0};
    static const flat_image high = {
        450, 600, {{20, 60, 20}, {20, 60, 20}, {20, 60, 20}, {20, 60, 20}}, 6};
    flat_png("wide.png", &wide);
    flat_png("high.png", &high);
    write_day(
        "day",
        "\"kind\": \"roll\", \"width\": \"7in\", \"length\": \"20ft\", "
        "\"shortest_sheet\": \"8in\", \"longest_sheet\": \"8in\", "
        "\"margins\": {\"side\": \"1/8in\", \"lead\": \"1/8in\", \"tail\": \"1/8in\"}",
        "{\"name\": \"inch\", \"size\": \"3x4in\", \"border\": \"1/2in\", \"fit\": \"fill\"}, "
        "{\"name\": \"mm\", \"size\": \"57x83mm\", \"bleed\": \"3mm\", \"fit\": \"fill\"}, "
        "{\"name\": \"odd\", \"picture\": \"73.7mm\", \"border\": \"7.3mm\"}",
        "1,wide.png,inch,2\n1,high.png,inch,1\n2,wide.png,mm,2\n2,high.png,mm,1\n"
        "3,high.png,odd,1\n",
        ", \"layout\": {\"gutter\": \"1/2in\"}");
    return compose("day", "out.d");
}

static void assert_sheet(const cJSON *sheet, renderer with, int *marks) {
    static pdf_page page;
    char file[64];
    const cJSON *prints = member(sheet, "prints");
    (void)snprintf(file, sizeof file, "out.d/%s", text_of(sheet, "file"));
    read_pdf_page(file, &page);
    raster r = render(with, file, DPI, false);
    assert_int_equal(r.width, 7 * DPI);
    assert_int_equal(r.height, 8 * DPI);
    for (int i = 0; i < cJSON_GetArraySize(prints); i++)
        assert_picture(&r, renderer_names[with], item(prints, i));
    for (size_t i = 0; i < page.line_count; i++)
        *marks += assert_mark(&r, renderer_names[with], sheet, page.lines[i]);
    free(r.pixels);
}

static void assert_rendered(renderer with) {
    cJSON *plan = day();
    const cJSON *sheets = member(plan, "sheets");
    int marks = 0, drawn = 0;
    for (int i = 0; i < cJSON_GetArraySize(sheets); i++) {
        assert_sheet(item(sheets, i), with, &marks);
        drawn += (int)number_of(member(item(sheets, i), "marks"), "drawn");
    }
    assert_true(drawn >= 8 && marks >= drawn); /* ticks lie on trimmed edges too */
    cJSON_Delete(plan);
}

static void poppler(void **state) {
    (void)state;
    assert_rendered(POPPLER);
}

static void mupdf(void **state) {
    (void)state;
    assert_rendered(MUPDF);
}

static void ghostscript(void **state) {
    (void)state;
    assert_rendered(GHOSTSCRIPT);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(poppler),
        cmocka_unit_test(mupdf),
        cmocka_unit_test(ghostscript),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
