/*
 * A test strip against the print it stands for: the samples of a detail, taken out of both PDFs by
 * qpdf, are the same bytes; they stand at the same pitch and at the place the report says, by both
 * content streams (ISO 32000-1, 8.3 and 8.9.5); and poppler draws both alike.
 */
#include <math.h>

#include "pdf_pixels.h"
#include "raster.h"

#define DPI 300

static const struct {
    const char *what, *make; /* the rest of the command that makes `image` */
    const char *image, *profile, *settings;
    size_t pixel_bytes;
} cases[] = {
    {"converted to four inks", "-depth 8 -strip PNG24:a.png", "a.png",
     ", \"profile\": \"ghostscript/default_cmyk.icc\"", "", 4},
    {"resampled, sharpened, converted", "-depth 8 -strip PNG24:b.png", "b.png",
     ", \"profile\": \"ghostscript/default_cmyk.icc\"",
     ", \"resolution\": {\"limit_ppi\": 211}, \"sharpen\": {\"radius\": \"0.1mm\", \"amount\": "
     "0.8}",
     4},
    {"16 bits as they are", "-depth 16 -strip PNG48:c.png", "c.png", "", "", 6},
    {"a turned JPEG",
     "-quality 92 d.jpg && exiftool -q -overwrite_original -n -Orientation=6 d.jpg", "d.jpg",
     ", \"profile\": \"ghostscript/default_cmyk.icc\"", "", 4},
};

typedef struct drawn {
    pdf_picture picture;
    size_t width, height; /* pixels */
    pixels samples;
} drawn;

static drawn draw_of(const char *file, const pdf_page *page, size_t index) {
    drawn d = {.picture = page->pictures[index]};
    cJSON *json = pdf_json(file);
    const cJSON *image = pdf_object(json, d.picture.object);
    d.width = (size_t)number_of(image, "/Width");
    d.height = (size_t)number_of(image, "/Height");
    cJSON_Delete(json);
    d.samples = by_qpdf(file, d.picture.object, false);
    return d;
}

static bool is_at(const drawn *part, const drawn *whole, size_t x, size_t y, size_t bytes) {
    for (size_t row = 0; row < part->height; row++)
        if (memcmp(part->samples.bytes + row * part->width * bytes,
                   whole->samples.bytes + ((y + row) * whole->width + x) * bytes,
                   part->width * bytes) != 0)
            return false;
    return true;
}

/* Where the part's samples are those of the whole, bit for bit. */
static void find(const char *what, const drawn *part, const drawn *whole, size_t bytes, size_t *x,
                 size_t *y) {
    assert_int_equal(part->samples.length, part->width * part->height * bytes);
    assert_int_equal(whole->samples.length, whole->width * whole->height * bytes);
    for (*y = 0; *y + part->height <= whole->height; ++*y)
        for (*x = 0; *x + part->width <= whole->width; ++*x)
            if (is_at(part, whole, *x, *y, bytes))
                return;
    fail_msg("%s: the strip's samples are nowhere in the print's", what);
}

/* A corner of the stored pixels on the page, in points. */
static void corner(const drawn *d, double column, double row, double *x, double *y) {
    double u = column / (double)d->width, v = 1 - row / (double)d->height;
    const double *m = d->picture.matrix;
    *x = m[0] * u + m[2] * v + m[4];
    *y = m[1] * u + m[3] * v + m[5];
}

static void assert_same_pitch(const char *what, const drawn *part, const drawn *whole) {
    for (int i = 0; i < 4; i++) {
        double a = part->picture.matrix[i] / (double)(i < 2 ? part->width : part->height);
        double b = whole->picture.matrix[i] / (double)(i < 2 ? whole->width : whole->height);
        assert_near(what, a, b, 0.0000002); /* points a pixel; a detail has some hundred */
    }
}

/* The part's first pixel lies from its detail's corner as it lies from that place in the print. */
static void assert_same_place(const char *what, const drawn *part, const drawn *whole, size_t x,
                              size_t y, double left, double top) {
    double px, py, wx, wy;
    corner(part, 0, 0, &px, &py);
    corner(whole, (double)x, (double)y, &wx, &wy);
    assert_near(what, px - part->picture.clip.left, wx - left, 2 * POINT_ERROR);
    assert_near(what, py - part->picture.clip.top, wy - top, 2 * POINT_ERROR);
}

/* ------------------------------------------------ as poppler draws it */

/* Mean difference of a detail, moved by so much, from the same on the sheet. */
static double differs(const raster *strip, const raster *sheet, int sx, int sy, int wx, int wy,
                      int side) {
    double sum = 0;
    for (int y = 0; y < side; y++)
        for (int x = 0; x < side; x++)
            for (int c = 0; c < 3; c++)
                sum += abs(pixel_at(strip, sx + x, sy + y, c) - pixel_at(sheet, wx + x, wy + y, c));
    return sum / side / side / 3;
}

/* Whole pixels of the renderer lie a fraction apart: the best of the near ones, and much nearer
 * than what stands a few pixels off. */
static void assert_drawn_alike(const char *what, const drawn *part, const pdf_page *strip_page,
                               double left, double top, const pdf_page *sheet_page) {
    raster strip = render(POPPLER, "strip.d/strip-01-paper.pdf", DPI, true);
    raster sheet = render(POPPLER, "out.d/sheet-01.pdf", DPI, true);
    double best = 256;
    int side = (int)((part->picture.clip.right - part->picture.clip.left) / 72 * DPI) - 12;
    int sx = (int)(part->picture.clip.left / 72 * DPI) + 6;
    int sy = (int)((strip_page->media.top - part->picture.clip.top) / 72 * DPI) + 6;
    int wx = (int)(left / 72 * DPI) + 6, wy = (int)((sheet_page->media.top - top) / 72 * DPI) + 6;
    for (int dy = -2; dy <= 2; dy++)
        for (int dx = -2; dx <= 2; dx++)
            best = fmin(best, differs(&strip, &sheet, sx, sy, wx + dx, wy + dy, side));
    double far = differs(&strip, &sheet, sx, sy, wx + 9, wy + 9, side);
    print_message("%s: drawn %.2f levels apart, %.2f a few pixels off\n", what, best, far);
    assert_true(best < 4 && best < far / 2);
    free(strip.pixels);
    free(sheet.pixels);
}

/* ------------------------------------------------ one print */

static int cell_of_the_print(const cJSON *detail) {
    const cJSON *cells = member(detail, "cells");
    for (int i = 0; i < cJSON_GetArraySize(cells); i++)
        if (cJSON_IsTrue(member(item(cells, i), "as_print")))
            return i;
    fail_msg("no cell is as the print");
    return 0;
}

static void look_at(size_t i) {
    static pdf_page sheet, strip;
    char paper[512];
    size_t x = 0, y = 0;
    (void)snprintf(paper, sizeof paper,
                   "\"kind\": \"roll\", \"width\": \"7in\", \"length\": \"9ft\", "
                   "\"margins\": {\"side\": \"1/4in\", \"lead\": \"1/4in\", \"tail\": \"1/4in\"}%s",
                   cases[i].profile);
    char order[64];
    (void)snprintf(order, sizeof order, "1,%s,five,1\n", cases[i].image);
    write_day(
        "day", paper,
        "{\"name\": \"five\", \"picture\": \"5in\", \"border\": \"1in\", \"lie\": \"upright\"}",
        order, cases[i].settings);
    cJSON *plan = compose("day", "out.d");
    shell("'%s' proof --strip --detail 1in day -o strip.d", TRIMWELL_COMMAND);
    cJSON *json = read_json("strip.d/strip.json");
    const cJSON *detail = item(member(item(member(json, "strips"), 0), "details"), 0);
    const cJSON *print = item(member(item(member(plan, "sheets"), 0), "prints"), 0);
    assert_string_equal(text_of(item(member(json, "strips"), 0), "place"), "roll");
    read_pdf_page("out.d/sheet-01.pdf", &sheet);
    read_pdf_page("strip.d/strip-01-paper.pdf", &strip);
    assert_int_equal(strip.picture_count, 3);
    drawn whole = draw_of("out.d/sheet-01.pdf", &sheet, 0);
    drawn part = draw_of("strip.d/strip-01-paper.pdf", &strip, (size_t)cell_of_the_print(detail));
    double left = (number_of(print, "x") + number_of(detail, "x")) / MM_PER_INCH * POINTS_PER_INCH;
    double top = sheet.media.top -
                 (number_of(print, "y") + number_of(detail, "y")) / MM_PER_INCH * POINTS_PER_INCH;
    find(cases[i].what, &part, &whole, cases[i].pixel_bytes, &x, &y);
    assert_same_pitch(cases[i].what, &part, &whole);
    assert_same_place(cases[i].what, &part, &whole, x, y, left, top);
    assert_drawn_alike(cases[i].what, &part, &strip, left, top, &sheet);
    free(whole.samples.bytes);
    free(part.samples.bytes);
    cJSON_Delete(plan);
    cJSON_Delete(json);
}

/* A cloudy picture with grain, so that no part of it is like another. */
static void a_detail_is_the_prints_own(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        shell("convert -seed 7 -size 1500x1200 plasma:tomato-steelblue -attenuate 0.3 "
              "+noise Gaussian %s",
              cases[i].make);
        look_at(i);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_detail_is_the_prints_own)};
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
