/*
 * Where things lie in the PDF, against numbers worked out by hand and typed here: inches times 72,
 * millimetres times 72 / 25.4 (ISO 32000-1, 8.3.2.3: default user space is 1/72 in), within
 * 0.001 pt, read back through qpdf. Each page is a cut sheet just as large as the print, or as
 * prints with their gaps, so that there is one place for each and no layout to trust.
 */
#include "make_image.h"
#include "pdf_page.h"

#include <math.h>

typedef struct one_case {
    const char *what;
    const char *width, *length; /* of the sheet, and no margins */
    const char *format;         /* the template's members */
    uint32_t wide, high;        /* image */
    double page[2];             /* points */
    double matrix[6];
    double clip[4]; /* left, bottom, right, top; all 0: not clipped */
} one_case;

static const one_case cases[] = {
    /* 8 - 2 x 1/2 = 7 in = 504 pt, 10 - 1 = 9 in = 648 pt, from 1/2 in = 36 pt */
    {"8x10 in, border 1/2 in",
     "8in",
     "10in",
     "\"size\": \"8x10in\", \"border\": \"1/2in\"",
     700,
     900,
     {576, 720},
     {504, 0, 0, 648, 36, 36},
     {0}},
    /* box 7 x 8 1/2; the square is 7 x 7, 3/4 in below the box's top, so 1 3/4 in = 126 pt up */
    {"8x10 in, a square over a deep bottom",
     "8in",
     "10in",
     "\"size\": \"8x10in\", \"border\": {\"top\": \"1/2in\", \"right\": \"1/2in\", "
     "\"bottom\": \"1in\", \"left\": \"1/2in\"}",
     800,
     800,
     {576, 720},
     {504, 0, 0, 504, 36, 126},
     {0}},
    /* box 260 x 360; 3:4 is 260 x 346.667, 26.667 mm up: x 72/25.4 */
    {"300x400 mm, border 20 mm, image 3:4",
     "300mm",
     "400mm",
     "\"size\": \"300x400mm\", \"border\": \"20mm\"",
     900,
     1200,
     {850.393701, 1133.858268},
     {737.007874, 0, 0, 982.677165, 56.692913, 75.590551},
     {0}},
    /* a landscape on a portrait template turns it: 10 x 8, box 9 x 7, 4:3 is 9 x 6.75 */
    {"8x10 in for a 4:3 image",
     "10in",
     "8in",
     "\"size\": \"8x10in\", \"border\": \"1/2in\"",
     1200,
     900,
     {720, 576},
     {648, 0, 0, 486, 36, 45},
     {0}},
    /* upright 8 x 10: 3:4 in 7 x 8 1/2 is 6.375 x 8.5 at 0.8125, 0.5 from its top left; a quarter
     * clockwise its top is right: 8.5 x 6.375 at 1 in from the left, 0.8125 in up */
    {"8x10 in lying turned",
     "10in",
     "8in",
     "\"size\": \"8x10in\", \"border\": {\"top\": \"1/2in\", \"right\": \"1/2in\", "
     "\"bottom\": \"1in\", \"left\": \"1/2in\"}",
     900,
     1200,
     {720, 576},
     {0, -459, 612, 0, 72, 517.5},
     {0}},
    /* 100 + 2 x 3 = 106 mm, 150 + 2 x 3 = 156 mm */
    {"100x150 mm with 3 mm of bleed",
     "106mm",
     "156mm",
     "\"size\": \"100x150mm\", \"bleed\": \"3mm\", \"fit\": \"fill\"",
     1060,
     1560,
     {300.472441, 442.204724},
     {300.472441, 0, 0, 442.204724, 0, 0},
     {0}},
    /* 4 + 2/8 by 6 + 2/8 in, default bleed 1/8 in */
    {"4x6 in with the usual bleed",
     "4 1/4in",
     "6 1/4in",
     "\"size\": \"4x6in\", \"fit\": \"fill\"",
     850,
     1250,
     {306, 450},
     {306, 0, 0, 450, 0, 0},
     {0}},
    /* box 3 x 5 at 1/2; the square covers it as 5 x 5, centred: from 1/2 - 1 = -1/2 in */
    {"4x6 in filled from a square",
     "4in",
     "6in",
     "\"size\": \"4x6in\", \"border\": \"1/2in\", \"fit\": \"fill\"",
     1000,
     1000,
     {288, 432},
     {360, 0, 0, 360, -36, 36},
     {36, 36, 252, 396}},
    /* the point at 0.4 of 5 in = 2 in comes to the box's middle, 2 in: from 0 */
    {"the same with its focus at 0.4",
     "4in",
     "6in",
     "\"size\": \"4x6in\", \"border\": \"1/2in\", \"fit\": \"fill\", \"focus\": [0.4, 0.5]",
     1000,
     1000,
     {288, 432},
     {360, 0, 0, 360, 0, 36},
     {36, 36, 252, 396}},
    /* 150 x 100 mm of 2:3 portrait: turned to 100 x 150, border 10: box 80 x 130; 2:3 covers it as
     * 86.667 x 130, from 10 - 3.333 = 6.667 mm */
    {"10x15 cm filled from 2:3",
     "100mm",
     "150mm",
     "\"size\": \"15x10cm\", \"border\": \"10mm\", \"fit\": \"fill\"",
     800,
     1200,
     {283.464567, 425.196850},
     {245.669291, 0, 0, 368.503937, 18.897638, 28.346457},
     {28.346457, 28.346457, 255.118110, 396.850394}},
    /* by the picture: 12 in and 8 in, 1 in around: 14 x 10 */
    {"a 12 in picture with 1 in around",
     "14in",
     "10in",
     "\"picture\": \"12in\", \"border\": \"1in\"",
     1200,
     800,
     {1008, 720},
     {864, 0, 0, 576, 72, 72},
     {0}},
    /* 300 x 200 and 25 around: 350 x 250 mm */
    {"a 30 cm picture with 25 mm around",
     "35cm",
     "25cm",
     "\"picture\": \"30cm\", \"border\": \"25mm\"",
     1500,
     1000,
     {992.125984, 708.661417},
     {850.393701, 0, 0, 566.929134, 70.866142, 70.866142},
     {0}},
    /* ISO 216: 297 x 420; 267 x 390 in 15 mm */
    {"A3, border 15 mm",
     "297mm",
     "420mm",
     "\"size\": \"A3\", \"border\": \"15mm\"",
     890,
     1300,
     {841.889764, 1190.551181},
     {756.850394, 0, 0, 1105.511811, 42.519685, 42.519685},
     {0}},
    /* the letter page of the examples of ISO 32000-1: 612 x 792 */
    {"8 1/2 x 11 in, border 3/8 in",
     "8 1/2in",
     "11in",
     "\"size\": {\"width\": \"8 1/2in\", \"height\": \"11in\"}, \"border\": \"3/8in\"",
     775,
     1025,
     {612, 792},
     {558, 0, 0, 738, 27, 27},
     {0}},
    /* large, where a float of 24 bits begins to matter: 44 x 60 in and 2 1/4 in around */
    {"44x60 in, border 2 1/4 in",
     "44in",
     "60in",
     "\"size\": \"44x60in\", \"border\": \"2 1/4in\"",
     3160,
     4440,
     {3168, 4320},
     {2844, 0, 0, 3996, 162, 162},
     {0}},
    /* 1117.6 x 2540 mm less 2 x 33.3: 1051 x 2473.4 */
    {"1117.6x2540 mm, border 33.3 mm",
     "1117.6mm",
     "2540mm",
     "\"size\": \"1117.6x2540mm\", \"border\": \"33.3mm\", \"fit\": \"fill\"",
     5255,
     12367,
     {3168, 7200},
     {2979.212598, 0, 0, 7011.212598, 94.393701, 94.393701},
     {0}},
};

static void compose_case(const one_case *c) {
    char paper[256], format[512];
    make_png("image.png", &(made_png){.width = c->wide, .height = c->high, .type = 0, .depth = 1});
    (void)snprintf(paper, sizeof paper,
                   "\"kind\": \"sheets\", \"width\": \"%s\", \"length\": \"%s\", \"count\": 1, "
                   "\"margins\": {\"side\": \"0in\", \"lead\": \"0in\", \"tail\": \"0in\"}",
                   c->width, c->length);
    (void)snprintf(format, sizeof format, "{\"name\": \"one\", %s}", c->format);
    /* else a strip of 3 mm is too thin to be cut off */
    write_day("day", paper, format, "1,image.png,one,1\n",
              ", \"trimmer\": {\"narrowest_strip\": \"1mm\"}");
    cJSON_Delete(compose("day", "out.d"));
}

static void assert_boxes(const pdf_page *page, double width, double height) {
    assert_box("MediaBox", page->media, 0, 0, width, height);
    assert_box("CropBox", page->crop, 0, 0, width, height);
    assert_box("BleedBox", page->bleed, 0, 0, width, height);
    assert_box("TrimBox", page->trim, 0, 0, width, height);
}

static void assert_case(const one_case *c, const pdf_page *page) {
    const pdf_picture *picture = &page->pictures[0];
    char what[160];
    assert_boxes(page, c->page[0], c->page[1]);
    assert_int_equal(page->picture_count, 1);
    for (int i = 0; i < 6; i++) {
        (void)snprintf(what, sizeof what, "%s: number %d of the matrix", c->what, i + 1);
        assert_near(what, picture->matrix[i], c->matrix[i], POINT_ERROR);
    }
    assert_int_equal(picture->clipped, c->clip[2] > 0);
    if (picture->clipped)
        assert_box(c->what, picture->clip, c->clip[0], c->clip[1], c->clip[2], c->clip[3]);
}

static void pictures(void **state) {
    static pdf_page page;
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        compose_case(&cases[i]);
        read_pdf_page("out.d/sheet-01.pdf", &page);
        assert_case(&cases[i], &page);
    }
}

/* ------------------------------------------------ marks */

typedef struct wanted_mark {
    double x0, y0, x1, y1; /* points, y up */
} wanted_mark;

static void assert_marks(const pdf_page *page, const wanted_mark *marks, size_t count) {
    for (size_t i = 0; i < count; i++) {
        const wanted_mark *m = &marks[i];
        int found = lines_between(page, m->x0, m->y0, m->x1, m->y1);
        if (found != 1)
            fail_msg("%d marks from %.3f, %.3f to %.3f, %.3f", found, m->x0, m->y0, m->x1, m->y1);
    }
    for (size_t i = 0; i < page->line_count; i++) {
        assert_near("weight", page->lines[i].weight, 0.25, POINT_ERROR);
        assert_near("black", page->lines[i].grey, 0, 0);
    }
}

static void four(const char *paper, const char *format, const char *settings, pdf_page *page,
                 double drawn) {
    make_png("image.png", &(made_png){.width = 650, .height = 850, .type = 0, .depth = 1});
    write_day("day", paper, format, "1,image.png,one,4\n", settings);
    cJSON *plan = compose("day", "out.d");
    const cJSON *sheets = member(plan, "sheets");
    assert_int_equal(cJSON_GetArraySize(sheets), 1);
    assert_near("marks drawn", number_of(member(item(sheets, 0), "marks"), "drawn"), drawn, 0);
    cJSON_Delete(plan);
    read_pdf_page("out.d/sheet-01.pdf", page);
}

/*
 * Inches. Four prints of 3 x 4 with 1/8 bleed and 1 between, margins of 1/4 at the sides, 1/8
 * before and 1/4 behind: 1/4+1/8+3+1+3+1/8+1/4 = 7 3/4 by 1/8+1/8+4+1+4+1/8+1/4 = 9 5/8.
 * Trims: across 3/8..3 3/8 and 4 3/8..7 3/8; down 1/4..4 1/4 and 5 1/4..9 1/4. Marks begin 1/8
 * from the trim and are 1/4 long; those towards the paper's edges have no room and are dropped.
 */
static void marks_in_inches(void **state) {
    static const double across[] = {27, 243, 315, 531}; /* 3/8 3 3/8 4 3/8 7 3/8 in */
    static const double up[] = {27, 315, 387, 675};     /* 9 5/8 less 9 1/4 5 1/4 4 1/4 1/4 in */
    wanted_mark marks[16];
    static pdf_page page;
    size_t n = 0;
    (void)state;
    four("\"kind\": \"sheets\", \"width\": \"7 3/4in\", \"length\": \"9 5/8in\", \"count\": 1, "
         "\"margins\": {\"side\": \"1/4in\", \"lead\": \"1/8in\", \"tail\": \"1/4in\"}",
         "{\"name\": \"one\", \"size\": \"3x4in\", \"bleed\": \"1/8in\", \"fit\": \"fill\", "
         "\"lie\": \"upright\"}",
         ", \"layout\": {\"gutter\": \"1in\"}", &page, 16);
    assert_boxes(&page, 558, 693);
    for (int i = 0; i < 4; i++) {
        /* 3 1/2..3 3/4 and 4..4 1/4 in from the left */
        marks[n++] = (wanted_mark){252, up[i], 270, up[i]};
        marks[n++] = (wanted_mark){288, up[i], 306, up[i]};
        /* 4 3/8..4 5/8 and 4 7/8..5 1/8 in from the top */
        marks[n++] = (wanted_mark){across[i], 378, across[i], 360};
        marks[n++] = (wanted_mark){across[i], 342, across[i], 324};
    }
    assert_marks(&page, marks, n);
}

/*
 * Millimetres. Four of 65 x 85 with 3 of bleed and 8 between, 4 at each edge: 4+3+65+8+65+3+4 = 152
 * by 4+3+85+8+85+3+4 = 192. Marks begin 3 from the trim and would be 6 long, but 3 mm before the
 * neighbour its bleed begins: 2 mm stay, and those of both sides fall on one another.
 * Trims: across 7..72, 80..145; down 7..92, 100..185.
 */
static void marks_in_millimetres(void **state) {
    static const double across[] = {19.842520, 204.094488, 226.771654, 411.023622};
    static const double up[] = {19.842520, 260.787402, 283.464567, 524.409449};
    wanted_mark marks[8];
    static pdf_page page;
    size_t n = 0;
    (void)state;
    four("\"kind\": \"sheets\", \"width\": \"152mm\", \"length\": \"192mm\", \"count\": 1, "
         "\"margins\": {\"side\": \"4mm\", \"lead\": \"4mm\", \"tail\": \"4mm\"}",
         "{\"name\": \"one\", \"size\": \"65x85mm\", \"bleed\": \"3mm\", \"fit\": \"fill\", "
         "\"lie\": \"upright\"}",
         ", \"layout\": {\"gutter\": \"8mm\"}, \"marks\": {\"length\": \"6mm\"}", &page, 8);
    assert_boxes(&page, 430.866142, 544.251969);
    for (int i = 0; i < 4; i++) {
        /* 75..77 mm from the left; 95..97 mm from the top = 97..95 mm up */
        marks[n++] = (wanted_mark){212.598425, up[i], 218.267717, up[i]};
        marks[n++] = (wanted_mark){across[i], 274.960630, across[i], 269.291339};
    }
    assert_marks(&page, marks, n);
}

/* Lines across the page that are this long. */
static int lines_of_length(const pdf_page *page, double length) {
    int found = 0;
    for (size_t i = 0; i < page->line_count; i++) {
        const pdf_line *l = &page->lines[i];
        found += l->y0 == l->y1 && fabs(fabs(l->x1 - l->x0) - length) <= POINT_ERROR;
    }
    return found;
}

/* Three 8x10 fill a 24 in roll that is asked for 12 in sheets: 2 in of waste at the tail. Below
 * the two edges between prints a mark from 10 1/16 to 10 5/16 in, which is 12 in less that up.
 * The bars to measure the print by: 500 mm = 500 x 72 / 25.4 points, 20 in = 1440. */
static void marks_at_the_tail(void **state) {
    static const wanted_mark marks[] = {{576, 139.5, 576, 121.5}, {1152, 139.5, 1152, 121.5}};
    static pdf_page page;
    (void)state;
    make_png("image.png", &(made_png){.width = 700, .height = 900, .type = 0, .depth = 1});
    write_day("day",
              "\"kind\": \"roll\", \"width\": \"24in\", \"length\": \"50ft\", "
              "\"shortest_sheet\": \"12in\", "
              "\"margins\": {\"side\": \"1/4in\", \"lead\": \"1/8in\", \"tail\": \"1/8in\"}",
              "{\"name\": \"8x10\", \"size\": \"8x10in\", \"border\": \"1/2in\"}",
              "1,image.png,8x10,3\n", "");
    cJSON *plan = compose("day", "out.d");
    assert_near("marks drawn", number_of(member(item(member(plan, "sheets"), 0), "marks"), "drawn"),
                2, 0);
    cJSON_Delete(plan);
    read_pdf_page("out.d/sheet-01.pdf", &page);
    assert_boxes(&page, 1728, 864);
    assert_marks(&page, marks, 2);
    /* the waste takes the longest bars there are */
    assert_int_equal(lines_of_length(&page, 1417.322835), 1);
    assert_int_equal(lines_of_length(&page, 1440), 1);
    shell("pdftotext -raw out.d/sheet-01.pdf - | grep -qx '500 mm'");
    shell("pdftotext -raw out.d/sheet-01.pdf - | grep -qx '20 in'");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pictures),
        cmocka_unit_test(marks_in_inches),
        cmocka_unit_test(marks_in_millimetres),
        cmocka_unit_test(marks_at_the_tail),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
