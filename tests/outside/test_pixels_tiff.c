/*
 * TIFF pixels in the PDF, bit for bit: of files made by libtiff against the values it was given,
 * and of files made by ImageMagick, another writer, against the plain samples they were made
 * from. qpdf and MuPDF undo the filters of the image's stream (ISO 32000-1, 7.4 and 8.9.5).
 */
#include <math.h>

#include "make_image.h"
#include "pdf_pixels.h"

enum { W = 91, H = 67 };

static void assert_stream(const char *what, const char *image, pixels own) {
    static pdf_page page;
    const char *pdf = "out.d/sheet-01.pdf";
    compose_image(image, &page);
    const char *object = page.pictures[0].object;
    assert_pixels(what, "qpdf", by_qpdf(pdf, object, false), own);
    assert_pixels(what, "MuPDF", by_mupdf(pdf, object), own);
    free(own.bytes);
}

/* ------------------------------------------------ made by libtiff */

static const struct {
    const char *what;
    made_tiff made;
} tiffs[] = {
    {"RGB 8", {.photometric = 2, .depth = 8}},
    {"RGB 16", {.photometric = 2, .depth = 16, .strip = 9}},
    {"RGB 16, big-endian", {.photometric = 2, .depth = 16, .big_endian = true}},
    {"RGB 16, BigTIFF, LZW", {.photometric = 2, .depth = 16, .big = true, .compression = 5}},
    {"RGB 16, tiles, Deflate, predictor",
     {.photometric = 2, .depth = 16, .tile = 32, .compression = 8, .predictor = 2}},
    {"RGB 8, planes, PackBits",
     {.photometric = 2, .depth = 8, .separate = true, .compression = 32773}},
    {"RGB 8, passes through, predictor",
     {.photometric = 2, .depth = 8, .compression = 8, .predictor = 2}},
    {"RGB 16, passes through, predictor",
     {.photometric = 2, .depth = 16, .compression = 8, .predictor = 2, .big_endian = true}},
    {"grey 16, passes through",
     {.photometric = 1, .depth = 16, .compression = 8, .big_endian = true}},
    {"grey 16", {.photometric = 1, .depth = 16, .compression = 5, .predictor = 2}},
    {"grey 8, white is zero", {.photometric = 0, .depth = 8, .compression = 5}},
    {"CMYK 8", {.photometric = 5, .depth = 8, .compression = 5}},
    {"CMYK 16, planes", {.photometric = 5, .depth = 16, .separate = true, .strip = 10}},
    {"palette 8", {.photometric = 3, .depth = 8, .compression = 32773}},
    {"RGB 8, unsaid channel", {.photometric = 2, .depth = 8, .extra = 1}},
};

/* As the PDF must hold it: high byte first, black 0 (no ink 0), colours alone. */
static pixels wanted_of(const made_tiff *made) {
    int channels = made->photometric == 5 ? 4 : made->photometric == 2 ? 3 : 1;
    size_t size = made->depth == 16 ? 2 : 1;
    pixels p = {malloc((size_t)W * H * (size_t)channels * size), 0};
    for (uint32_t y = 0; y < H; y++)
        for (uint32_t x = 0; x < W; x++)
            for (int c = 0; c < channels; c++) {
                uint32_t value = made_tiff_sample(made, x, y, c);
                if (made->photometric == 0)
                    value = 255 - value;
                if (size == 2)
                    p.bytes[p.length++] = (unsigned char)(value >> 8);
                p.bytes[p.length++] = (unsigned char)value;
            }
    return p;
}

static void made_by_libtiff(void **state) {
    (void)state;
    for (size_t n = 0; n < sizeof tiffs / sizeof *tiffs; n++) {
        made_tiff made = tiffs[n].made;
        made.width = W;
        made.height = H;
        make_tiff("image.tif", &made);
        assert_stream(tiffs[n].what, "image.tif", wanted_of(&made));
    }
}

/* ------------------------------------------------ alpha */

/* IEC 61966-2-1, both ways. */
static double to_light(double v) {
    return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
}

static double to_code(double light) {
    return light <= 0.0031308 ? light * 12.92 : 1.055 * pow(light, 1 / 2.4) - 0.055;
}

/* A stored colour on white in light; where alpha is associated it was multiplied as a code value
 * (TIFF 6.0 section 18) and becomes what it was first. */
static double on_white(uint32_t stored, uint32_t alpha, double most, bool associated) {
    double part = alpha / most, colour = stored / most;
    if (associated && alpha > 0)
        colour = floor(stored * most / alpha + 0.5) / most;
    return most * to_code(part * to_light(colour < 1 ? colour : 1) + 1 - part);
}

static uint32_t value_at(const pixels *p, size_t index, int depth) {
    const unsigned char *at = p->bytes + index * (depth == 16 ? 2 : 1);
    return depth == 16 ? (uint32_t)at[0] << 8 | at[1] : *at;
}

static void assert_on_white(const made_tiff *made) {
    static pdf_page page;
    compose_image("image.tif", &page);
    pixels seen = by_qpdf("out.d/sheet-01.pdf", page.pictures[0].object, false);
    double most = made->depth == 16 ? 65535 : 255;
    assert_int_equal(seen.length, (size_t)W * H * 3 * (made->depth == 16 ? 2 : 1));
    for (uint32_t y = 0; y < H; y++)
        for (uint32_t x = 0; x < W; x++)
            for (int c = 0; c < 3; c++) {
                uint32_t alpha = made_tiff_sample(made, x, y, 3);
                double wanted =
                    on_white(made_tiff_sample(made, x, y, c), alpha, most, made->alpha == 1);
                /* half a step of rounding, and what the library's table of light resolves */
                assert_near("on white", value_at(&seen, (y * W + x) * 3 + (size_t)c, made->depth),
                            wanted, 0.51);
            }
    free(seen.bytes);
}

static void alpha_on_paper_white(void **state) {
    (void)state;
    for (int i = 0; i < 8; i++) {
        made_tiff made = {.width = W, .height = H, .photometric = 2, .extra = 1, .strip = 20};
        made.depth = i & 1 ? 16 : 8;
        made.alpha = i & 2 ? 1 : 2;
        made.separate = (i & 4) != 0;
        made.compression = i & 4 ? 8 : 5;
        make_tiff("image.tif", &made);
        assert_on_white(&made);
    }
}

/* ------------------------------------------------ JPEG in TIFF */

/* CMYK, of which ImageMagick is the second reader: no ink is 0 in both. */
static void cmyk_by_jpeg(void **state) {
    made_tiff made = {.width = W, .height = H, .photometric = 5, .depth = 8, .compression = 7};
    (void)state;
    for (uint32_t strip = 0; strip < 17; strip += 16) {
        pixels own;
        made.strip = strip;
        make_tiff("image.tif", &made);
        shell("convert image.tif -depth 8 cmyk:samples");
        own.bytes = whole_file("samples", &own.length);
        assert_int_equal(own.length, (size_t)W * H * 4);
        assert_stream("CMYK, JPEG in TIFF", "image.tif", own);
    }
}

/* ------------------------------------------------ made by ImageMagick */

/* Samples as they come out of a plain 16-bit file, high byte first in both. */
static pixels samples_of(const char *format, int depth) {
    pixels p;
    shell("convert start.png -depth %d -endian MSB %s:samples", depth, format);
    p.bytes = whole_file("samples", &p.length);
    return p;
}

static void made_by_imagemagick(void **state) {
    static const struct {
        const char *options, *format;
        int depth;
    } files[] = {
        {"-compress none", "rgb", 16},
        {"-compress LZW", "rgb", 16},
        {"-compress zip", "rgb", 16},
        {"-compress zip -endian MSB", "rgb", 16},
        {"-compress none -interlace plane", "rgb", 16},
        {"-compress LZW -define tiff:tile-geometry=32x32", "rgb", 16},
        {"-compress zip", "rgb", 8},
        {"-compress RLE", "rgb", 8},
        {"-compress none -define tiff:rows-per-strip=7", "rgb", 8},
        {"-colorspace Gray -compress zip", "gray", 16},
    };
    made_png start = {.width = W, .height = H, .type = 2, .depth = 16};
    (void)state;
    make_png("start.png", &start);
    for (size_t n = 0; n < sizeof files / sizeof *files; n++) {
        if (strcmp(files[n].format, "gray") == 0)
            shell("convert start.png -colorspace Gray -depth 16 start.png");
        pixels own = samples_of(files[n].format, files[n].depth);
        shell("convert start.png -depth %d %s image.tif", files[n].depth, files[n].options);
        assert_stream(files[n].options, "image.tif", own);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(made_by_libtiff),
        cmocka_unit_test(alpha_on_paper_white),
        cmocka_unit_test(cmyk_by_jpeg),
        cmocka_unit_test(made_by_imagemagick),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
