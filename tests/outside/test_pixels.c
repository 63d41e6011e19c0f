/*
 * The pixels in the PDF against libpng's and libjpeg's own reading of the image files, bit for
 * bit. qpdf and MuPDF undo the filters of the image's stream (ISO 32000-1, 7.4 and 8.9.5; 16 bits
 * a sample only through these two), poppler's pdfimages takes the image out as a file.
 */
#include "make_image.h"
#include "pdf_pixels.h"

static pixels by_poppler(const char *file, const char *ending) {
    pixels p;
    size_t row_bytes;
    uint32_t height;
    shell("rm -f taken-* && pdfimages -%s '%s' taken", ending[0] == 'j' ? "j" : "png", file);
    if (ending[0] == 'j')
        p.bytes = read_jpeg_rows("taken-000.jpg", &row_bytes, &height);
    else
        p.bytes = read_png_rows("taken-000.png", true, &row_bytes, &height);
    p.length = row_bytes * height;
    return p;
}

/* ------------------------------------------------ comparing */

/* Bits after a row's last sample are anything (PNG, W3C, 7.2); both are cleared. */
static void clear_unused(pixels p, size_t row_bytes, size_t bits) {
    for (size_t at = row_bytes; bits % 8 != 0 && at <= p.length; at += row_bytes)
        p.bytes[at - 1] &= (unsigned char)(0xFF00u >> bits % 8);
}

static void assert_depth(const char *object, int depth, uint32_t width, uint32_t height) {
    cJSON *json = pdf_json("out.d/sheet-01.pdf");
    const cJSON *image = pdf_object(json, object);
    assert_int_equal(number_of(image, "/BitsPerComponent"), depth);
    assert_int_equal(number_of(image, "/Width"), width);
    assert_int_equal(number_of(image, "/Height"), height);
    cJSON_Delete(json);
}

/* ------------------------------------------------ PNG */

static const struct {
    const char *what;
    made_png made;
    int samples;
} pngs[] = {
    {"grey 1", {.width = 131, .height = 77, .type = 0, .depth = 1}, 1},
    {"grey 2", {.width = 131, .height = 77, .type = 0, .depth = 2}, 1},
    {"grey 4", {.width = 131, .height = 77, .type = 0, .depth = 4}, 1},
    {"grey 8", {.width = 131, .height = 77, .type = 0, .depth = 8}, 1},
    {"grey 16", {.width = 131, .height = 77, .type = 0, .depth = 16}, 1},
    {"RGB 8", {.width = 131, .height = 77, .type = 2, .depth = 8}, 3},
    {"RGB 16", {.width = 131, .height = 77, .type = 2, .depth = 16}, 3},
    {"RGB 8, small chunks",
     {.width = 131, .height = 77, .type = 2, .depth = 8, .data_size = 60},
     3},
    {"RGB 16, large", {.width = 1600, .height = 1200, .type = 2, .depth = 16, .noise = 1}, 3},
    {"palette 1", {.width = 131, .height = 77, .type = 3, .depth = 1}, 1},
    {"palette 2", {.width = 131, .height = 77, .type = 3, .depth = 2}, 1},
    {"palette 4", {.width = 131, .height = 77, .type = 3, .depth = 4}, 1},
    {"palette 8", {.width = 131, .height = 77, .type = 3, .depth = 8}, 1},
    {"grey 1, interlaced",
     {.width = 131, .height = 77, .type = 0, .depth = 1, .interlaced = true},
     1},
    {"grey 16, interlaced",
     {.width = 131, .height = 77, .type = 0, .depth = 16, .interlaced = true},
     1},
    {"RGB 8, interlaced",
     {.width = 131, .height = 77, .type = 2, .depth = 8, .interlaced = true},
     3},
    {"RGB 16, interlaced",
     {.width = 131, .height = 77, .type = 2, .depth = 16, .interlaced = true},
     3},
    {"palette 4, interlaced",
     {.width = 131, .height = 77, .type = 3, .depth = 4, .interlaced = true},
     1},
};

static void assert_png(size_t n) {
    static pdf_page page;
    size_t row_bytes;
    uint32_t height;
    const made_png *made = &pngs[n].made;
    make_png("image.png", made);
    compose_image("image.png", &page);
    const char *pdf = "out.d/sheet-01.pdf", *object = page.pictures[0].object;
    pixels own = {read_png_rows("image.png", false, &row_bytes, &height), 0};
    own.length = row_bytes * height;
    size_t bits = (size_t)made->width * (size_t)(pngs[n].samples * made->depth);
    pixels qpdf = by_qpdf(pdf, object, false), mupdf = by_mupdf(pdf, object);
    clear_unused(qpdf, row_bytes, bits);
    clear_unused(mupdf, row_bytes, bits);
    assert_depth(object, made->depth, made->width, made->height);
    assert_pixels(pngs[n].what, "qpdf", qpdf, own);
    assert_pixels(pngs[n].what, "MuPDF", mupdf, own);
    free(own.bytes);
}

static void png_streams(void **state) {
    (void)state;
    for (size_t n = 0; n < sizeof pngs / sizeof *pngs; n++)
        assert_png(n);
}

/* As files: colours of palettes too. pdfimages keeps 8 bits of 16, makes RGB of greys that have a
 * profile and takes any two colours for black and white: those are left to the streams. */
static void png_files(void **state) {
    static pdf_page page;
    size_t row_bytes;
    uint32_t height;
    (void)state;
    for (size_t n = 0; n < sizeof pngs / sizeof *pngs; n++) {
        const made_png *made = &pngs[n].made;
        if (made->depth == 16 || made->depth == 1 || made->type == 0)
            continue;
        make_png("image.png", made);
        compose_image("image.png", &page);
        pixels own = {read_png_rows("image.png", true, &row_bytes, &height), 0};
        own.length = row_bytes * height;
        assert_pixels(pngs[n].what, "poppler", by_poppler("out.d/sheet-01.pdf", "png"), own);
        free(own.bytes);
    }
}

/* ------------------------------------------------ JPEG */

static const struct {
    const char *what;
    made_jpeg made;
} jpegs[] = {
    {"grey", {.width = 131, .height = 77, .components = 1}},
    {"YCbCr", {.width = 131, .height = 77, .components = 3}},
    {"YCbCr, full colour", {.width = 131, .height = 77, .components = 3, .lossless_like = true}},
    {"stored RGB", {.width = 131, .height = 77, .components = 3, .stored_rgb = true}},
    {"CMYK", {.width = 131, .height = 77, .components = 4}},
    {"YCCK", {.width = 131, .height = 77, .components = 4, .ycck = true}},
    {"progressive grey", {.width = 131, .height = 77, .components = 1, .progressive = true}},
    {"progressive YCbCr", {.width = 131, .height = 77, .components = 3, .progressive = true}},
    {"progressive CMYK", {.width = 131, .height = 77, .components = 4, .progressive = true}},
    {"restarts", {.width = 131, .height = 77, .components = 3, .restart = 3}},
};

static void jpeg_pixels(void **state) {
    static pdf_page page;
    size_t row_bytes;
    uint32_t height;
    (void)state;
    for (size_t n = 0; n < sizeof jpegs / sizeof *jpegs; n++) {
        make_jpeg("image.jpg", &jpegs[n].made);
        compose_image("image.jpg", &page);
        const char *pdf = "out.d/sheet-01.pdf", *object = page.pictures[0].object;
        pixels own = {read_jpeg_rows("image.jpg", &row_bytes, &height), 0};
        own.length = row_bytes * height;
        assert_depth(object, 8, jpegs[n].made.width, jpegs[n].made.height);
        assert_pixels(jpegs[n].what, "qpdf", by_qpdf(pdf, object, true), own);
        assert_pixels(jpegs[n].what, "MuPDF", by_mupdf(pdf, object), own);
        assert_pixels(jpegs[n].what, "poppler", by_poppler(pdf, "jpg"), own);
        free(own.bytes);
    }
}

/* Arithmetic coding is no part of DCTDecode (ISO 32000-1 7.4.8): decoded, as libjpeg does it. */
static void arithmetic_jpegs(void **state) {
    static const made_jpeg kinds[] = {
        {.width = 131, .height = 77, .components = 3, .arithmetic = true},
        {.width = 131, .height = 77, .components = 1, .arithmetic = true, .progressive = true},
        {.width = 131, .height = 77, .components = 4, .arithmetic = true, .ycck = true},
    };
    static pdf_page page;
    (void)state;
    for (size_t n = 0; n < sizeof kinds / sizeof *kinds; n++) {
        size_t row_bytes;
        uint32_t height;
        make_jpeg("image.jpg", &kinds[n]);
        compose_image("image.jpg", &page);
        const char *pdf = "out.d/sheet-01.pdf", *object = page.pictures[0].object;
        pixels own = {read_jpeg_rows("image.jpg", &row_bytes, &height), 0};
        own.length = row_bytes * height;
        for (size_t i = 0; kinds[n].components == 4 && i < own.length; i++)
            own.bytes[i] = (unsigned char)~own.bytes[i]; /* stored as 255 - ink */
        assert_pixels("arithmetic", "qpdf", by_qpdf(pdf, object, false), own);
        assert_pixels("arithmetic", "MuPDF", by_mupdf(pdf, object), own);
        free(own.bytes);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(png_streams),
        cmocka_unit_test(png_files),
        cmocka_unit_test(jpeg_pixels),
        cmocka_unit_test(arithmetic_jpegs),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
