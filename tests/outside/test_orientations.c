/*
 * Exif orientations 1 to 8 (CIPA DC-008-2019, 4.6.4, tag 274: which sides of the seen image the
 * stored first row and first column are) on an image of four coloured quarters, as PNG, JPEG
 * and TIFF (TIFF 6.0, the same tag), in prints that lie upright and in prints that lie turned:
 * three renderers see every one the right way round.
 */
#include "flat_image.h"
#include "pdf_page.h"
#include "raster.h"

#define DPI 50

enum { TOP_LEFT, TOP_RIGHT, BOTTOM_LEFT, BOTTOM_RIGHT };
static const unsigned char colours[4][3] = {
    {200, 30, 30}, {30, 140, 30}, {30, 30, 200}, {140, 140, 30}};

/* Which quarter of the seen image each stored quarter is; the standard's words beside it. */
static const int stored[9][4] = {
    {0, 0, 0, 0},
    {TOP_LEFT, TOP_RIGHT, BOTTOM_LEFT, BOTTOM_RIGHT}, /* row 0 top, column 0 left */
    {TOP_RIGHT, TOP_LEFT, BOTTOM_RIGHT, BOTTOM_LEFT}, /* top, right */
    {BOTTOM_RIGHT, BOTTOM_LEFT, TOP_RIGHT, TOP_LEFT}, /* bottom, right */
    {BOTTOM_LEFT, BOTTOM_RIGHT, TOP_LEFT, TOP_RIGHT}, /* bottom, left */
    {TOP_LEFT, BOTTOM_LEFT, TOP_RIGHT, BOTTOM_RIGHT}, /* left, top */
    {TOP_RIGHT, BOTTOM_RIGHT, TOP_LEFT, BOTTOM_LEFT}, /* right, top */
    {BOTTOM_RIGHT, TOP_RIGHT, BOTTOM_LEFT, TOP_LEFT}, /* right, bottom */
    {BOTTOM_LEFT, TOP_LEFT, BOTTOM_RIGHT, TOP_RIGHT}, /* left, bottom */
};

typedef struct kind {
    const char *ending;
    void (*make)(const char *path, const flat_image *what);
} kind;

static const kind png = {"png", flat_png}, jpeg = {"jpg", flat_jpeg}, tiff = {"tif", flat_tiff};

/* Seen as 300 x 400; from 5 on the stored rows are the seen columns. */
static void make_image(int orientation, const kind *as) {
    char name[32];
    flat_image image = {
        orientation < 5 ? 304 : 400, orientation < 5 ? 400 : 304, {{0}}, orientation};
    for (int i = 0; i < 4; i++)
        memcpy(image.corner[i], colours[stored[orientation][i]], 3);
    (void)snprintf(name, sizeof name, "seen-%d.%s", orientation, as->ending);
    as->make(name, &image);
}

/* A roll of the print's width, or of its height: then less paper is used by turning it. */
static cJSON *day(const char *width, const kind *as) {
    char paper[256], orders[512];
    size_t used = 0;
    for (int orientation = 1; orientation <= 8; orientation++) {
        make_image(orientation, as);
        used += (size_t)snprintf(orders + used, sizeof orders - used, "%d,seen-%d.%s,3x4,1\n",
                                 orientation, orientation, as->ending);
    }
    (void)snprintf(paper, sizeof paper,
                   "\"kind\": \"roll\", \"width\": \"%s\", \"length\": \"50ft\", "
                   "\"cutter\": \"hand\", "
                   "\"margins\": {\"side\": \"0in\", \"lead\": \"0in\", \"tail\": \"0in\"}",
                   width);
    write_day("day", paper,
              "{\"name\": \"3x4\", \"size\": \"3x4in\", \"border\": \"1/4in\", \"fit\": \"fill\"}",
              orders, "");
    return compose("day", "out.d");
}

/* ------------------------------------------------ looking */

static int nearest_colour(const raster *r, int x, int y) {
    int best = -1, least = 90 * 90;
    for (int i = 0; i < 4; i++) {
        int apart = 0;
        for (int c = 0; c < 3; c++) {
            int by = pixel_at(r, x, y, c) - colours[i][c];
            apart += by * by;
        }
        if (apart < least) {
            least = apart;
            best = i;
        }
    }
    return best;
}

/* The quarter that is seen where, on the paper, the print lies turned a quarter clockwise. */
static const int lies_turned[4] = {BOTTOM_LEFT, TOP_LEFT, BOTTOM_RIGHT, TOP_RIGHT};

static void assert_upright(const raster *r, const char *who, const cJSON *print, bool turned) {
    const cJSON *picture = member(print, "picture");
    double by = DPI / MM_PER_INCH;
    for (int i = 0; i < 4; i++) {
        double x = number_of(picture, "x") + number_of(picture, "width") * (i % 2 == 0 ? 1 : 3) / 4;
        double y = number_of(picture, "y") + number_of(picture, "height") * (i < 2 ? 1 : 3) / 4;
        int seen = nearest_colour(r, (int)(x * by), (int)(y * by));
        if (seen != (turned ? lies_turned[i] : i))
            fail_msg("%s shows quarter %d of %s%s as quarter %d", who, i, text_of(print, "image"),
                     turned ? ", turned," : "", seen);
    }
}

static int assert_sheet(const cJSON *sheet, bool turned) {
    char file[64];
    const cJSON *print;
    (void)snprintf(file, sizeof file, "out.d/%s", text_of(sheet, "file"));
    for (int with = 0; with < RENDERERS; with++) {
        raster r = render((renderer)with, file, DPI, true);
        cJSON_ArrayForEach(print, member(sheet, "prints")) {
            assert_int_equal(cJSON_IsTrue(member(print, "turned")), turned);
            assert_upright(&r, renderer_names[with], print, turned);
        }
        free(r.pixels);
    }
    return cJSON_GetArraySize(member(sheet, "prints"));
}

static void assert_day(const char *width, const kind *as, bool turned) {
    cJSON *plan = day(width, as);
    const cJSON *sheet;
    int prints = 0;
    cJSON_ArrayForEach(sheet, member(plan, "sheets")) {
        prints += assert_sheet(sheet, turned);
    }
    assert_int_equal(prints, 8);
    cJSON_Delete(plan);
}

static void png_upright(void **state) {
    (void)state;
    assert_day("3in", &png, false);
}

static void png_turned(void **state) {
    (void)state;
    assert_day("4in", &png, true);
}

static void jpeg_upright(void **state) {
    (void)state;
    assert_day("3in", &jpeg, false);
}

static void jpeg_turned(void **state) {
    (void)state;
    assert_day("4in", &jpeg, true);
}

static void tiff_upright(void **state) {
    (void)state;
    assert_day("3in", &tiff, false);
}

static void tiff_turned(void **state) {
    (void)state;
    assert_day("4in", &tiff, true);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(png_upright),  cmocka_unit_test(png_turned),
        cmocka_unit_test(jpeg_upright), cmocka_unit_test(jpeg_turned),
        cmocka_unit_test(tiff_upright), cmocka_unit_test(tiff_turned),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
