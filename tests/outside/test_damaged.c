/*
 * Damaged images printed as far as they go: the samples in the PDF, taken out by qpdf and MuPDF,
 * are those of the whole file as libpng, libjpeg and libtiff read it, down to where plan.json says
 * that rows are white, and white there.
 */
#include "make_image.h"
#include "pdf_pixels.h"

enum { W = 91, H = 80 };

static void shorten(const char *name, size_t part) {
    size_t length;
    unsigned char *bytes = whole_file(name, &length);
    write_file(name, bytes, length * part / 100);
    free(bytes);
}

static void change(const char *name, size_t part) {
    size_t length;
    unsigned char *bytes = whole_file(name, &length);
    bytes[length * part / 100] ^= 0x5A;
    write_file(name, bytes, length);
    free(bytes);
}

/* The only picture of the day, and which of its rows are white. */
static const cJSON *compose_damaged(const char *image, pdf_page *page, cJSON **plan) {
    char order[128];
    (void)snprintf(order, sizeof order, "1,%s,small,1\n", image);
    write_day("day",
              "\"kind\": \"roll\", \"width\": \"4in\", \"length\": \"9ft\", "
              "\"margins\": {\"side\": \"0in\", \"lead\": \"0in\", \"tail\": \"0in\"}",
              "{\"name\": \"small\", \"picture\": \"1in\", \"border\": \"1/2in\"}", order, "");
    *plan = compose("day --accept-damaged", "out.d");
    read_pdf_page("out.d/sheet-01.pdf", page);
    assert_int_equal(page->picture_count, 1);
    const cJSON *print = item(member(item(member(*plan, "sheets"), 0), "prints"), 0);
    return member(member(member(print, "pixels"), "damaged"), "white_rows");
}

/* `own`: all rows of the whole image. Rows said to be white become `white` in it. */
static void check(const char *image, pixels own, size_t row_bytes, int white, int least, int most) {
    static pdf_page page;
    cJSON *plan;
    const char *pdf = "out.d/sheet-01.pdf";
    const cJSON *spans = compose_damaged(image, &page, &plan);
    int rows = 0;
    for (int i = 0; i < cJSON_GetArraySize(spans); i++) {
        int from = (int)item(item(spans, i), 0)->valuedouble;
        int to = (int)item(item(spans, i), 1)->valuedouble + 1;
        memset(own.bytes + (size_t)from * row_bytes, white, (size_t)(to - from) * row_bytes);
        rows += to - from;
    }
    assert_in_range(rows, least, most);
    const char *object = page.pictures[0].object;
    assert_pixels(image, "qpdf", by_qpdf(pdf, object, false), own);
    assert_pixels(image, "MuPDF", by_mupdf(pdf, object), own);
    free(own.bytes);
    cJSON_Delete(plan);
}

static void png(void **state) {
    made_png made = {.width = W, .height = H, .type = 2, .data_size = 300};
    size_t row_bytes;
    uint32_t height;
    (void)state;
    for (int i = 0; i < 4; i++) {
        made.depth = i % 2 == 0 ? 8 : 16;
        make_png("image.png", &made);
        pixels own = {read_png_rows("image.png", false, &row_bytes, &height), 0};
        own.length = row_bytes * height;
        if (i < 2)
            shorten("image.png", 60);
        else
            change("image.png", 60);
        check("image.png", own, row_bytes, 255, 10, 60);
    }
}

static void jpeg(void **state) {
    size_t row_bytes;
    uint32_t height;
    (void)state;
    for (int components = 1; components <= 4; components += components == 1 ? 2 : 1) {
        made_jpeg made = {.width = W, .height = H, .components = components};
        made.no_adobe = components == 4; /* 0 is no ink in it as it is */
        make_jpeg("image.jpg", &made);
        pixels own = {read_jpeg_rows("image.jpg", &row_bytes, &height), 0};
        own.length = row_bytes * height;
        shorten("image.jpg", 70);
        check("image.jpg", own, row_bytes, components == 4 ? 0 : 255, 8, 70);
    }
}

static void tiff(void **state) {
    (void)state;
    for (int i = 0; i < 4; i++) {
        made_tiff made = {.width = W, .height = H, .depth = 8, .strip = 8, .compression = 8};
        made.photometric = i < 2 ? 2 : 5;
        made.predictor = 1 + i % 2;
        int channels = i < 2 ? 3 : 4;
        make_tiff("image.tif", &made);
        pixels own = {malloc((size_t)W * H * (size_t)channels), 0};
        for (uint32_t at = 0; at < W * H; at++)
            for (int c = 0; c < channels; c++)
                own.bytes[own.length++] = (unsigned char)made_tiff_sample(&made, at % W, at / W, c);
        change("image.tif", 50);
        check("image.tif", own, (size_t)W * (size_t)channels, channels == 4 ? 0 : 255, 8, 8);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(png),
        cmocka_unit_test(jpeg),
        cmocka_unit_test(tiff),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
