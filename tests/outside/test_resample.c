/*
 * Pictures whose pixels were made for the print, taken out of the PDF by qpdf, against ImageMagick
 * resizing the same file with its own Lanczos (larger: Kaiser) filter in linear light: within one
 * level of 8 bits, as it keeps light in 16 bits between the two directions. The sharpened one
 * against its unsharp mask (whose radius is the Gaussian's standard deviation, too).
 */
#include "make_image.h"
#include "pdf_page.h"

/* A soft cloudy picture, the same each time: nothing in it reaches black or white, where the two
 * would cut their overshoot at different moments. */
#define CLOUDS "convert -seed 7 -size 640x480 plasma:tomato-steelblue -blur 0x1 +level 15%%,85%% "

static const struct {
    const char *what, *make; /* the rest of the command that makes `image` */
    const char *image;
    const char *settings;
    uint32_t width, height;
    int bits;
    const char *raw; /* how ImageMagick names such rows */
} cases[] = {
    {"RGB of 8 bits, fewer", "-depth 8 -strip PNG24:a.png", "a.png",
     "\"resolution\": {\"limit_ppi\": 300}", 300, 225, 8, "rgb"},
    {"RGB of 16 bits, fewer", "-depth 16 -strip PNG48:b.png", "b.png",
     "\"resolution\": {\"limit_ppi\": 211}", 211, 158, 16, "rgb"},
    {"grey of 16 bits, fewer", "-colorspace Gray -depth 16 -strip c.png", "c.png",
     "\"resolution\": {\"limit_ppi\": 97}", 97, 73, 16, "gray"},
    {"RGB of 8 bits, more", "-depth 8 -strip PNG24:d.png", "d.png",
     "\"resolution\": {\"enlarge_to_ppi\": 1000}", 1000, 750, 8, "rgb"},
    {"a palette", "-colors 200 -strip PNG8:e.png", "e.png", "\"resolution\": {\"limit_ppi\": 160}",
     160, 120, 8, "rgb"},
    {"a JPEG", "-quality 92 -sampling-factor 1x1 -strip f.jpg", "f.jpg",
     "\"resolution\": {\"limit_ppi\": 320}", 320, 240, 8, "rgb"},
};

/* The long side 1 in; the object the image became. */
static void compose_image(const char *image, const char *settings, pdf_page *page) {
    char order[128], all[256];
    (void)snprintf(order, sizeof order, "1,%s,small,1\n", image);
    (void)snprintf(all, sizeof all, ", %s", settings);
    write_day("day",
              "\"kind\": \"roll\", \"width\": \"4in\", \"length\": \"9ft\", "
              "\"margins\": {\"side\": \"0in\", \"lead\": \"0in\", \"tail\": \"0in\"}",
              "{\"name\": \"small\", \"picture\": \"1in\", \"border\": \"1/2in\"}", order, all);
    cJSON_Delete(compose("day", "out.d"));
    read_pdf_page("out.d/sheet-01.pdf", page);
    assert_int_equal(page->picture_count, 1);
}

static void assert_form(const char *object, int bits, uint32_t width, uint32_t height) {
    cJSON *json = pdf_json("out.d/sheet-01.pdf");
    const cJSON *image = pdf_object(json, object);
    assert_int_equal(number_of(image, "/BitsPerComponent"), bits);
    assert_int_equal(number_of(image, "/Width"), width);
    assert_int_equal(number_of(image, "/Height"), height);
    cJSON_Delete(json);
}

static int value_at(const unsigned char *bytes, size_t at, int bits) {
    return bits == 16 ? bytes[2 * at] << 8 | bytes[2 * at + 1] : bytes[at] * 257;
}

/* The samples of the PDF against the 16 bits ImageMagick has (its own way to 8 bits cuts off and
 * does not round): each within a level of 8 bits, half of one on average at most. `line` samples
 * are a row; the outermost `left_out` rows and samples of a row are not looked at. */
static void assert_close(const char *what, const char *object, int bits, size_t line,
                         size_t left_out) {
    size_t length, wanted_length;
    double sum = 0;
    shell("qpdf --show-object=%d --filtered-stream-data out.d/sheet-01.pdf >pixels", atoi(object));
    unsigned char *seen = whole_file("pixels", &length);
    unsigned char *wanted = whole_file("wanted", &wanted_length);
    size_t count = wanted_length / 2;
    if (length * 8 != count * (size_t)bits)
        fail_msg("%s: %zu bytes for %zu samples", what, length, count);
    for (size_t i = 0; i < count; i++) {
        size_t x = i % line, y = i / line, rows = count / line;
        int difference = abs(value_at(seen, i, bits) - value_at(wanted, i, 16));
        if (x < left_out || x + left_out >= line || y < left_out || y + left_out >= rows)
            continue;
        if (difference > 257)
            fail_msg("%s: sample %zu is %d, ImageMagick has %d", what, i, value_at(seen, i, bits),
                     value_at(wanted, i, 16));
        sum += difference;
    }
    print_message("%s: %.3f of a level on average\n", what, sum / 257 / (double)count);
    assert_true(sum / 257 / (double)count < 0.5);
    free(seen);
    free(wanted);
}

static void resized_as_imagemagick_does(void **state) {
    static pdf_page page;
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        shell(CLOUDS "%s", cases[i].make);
        compose_image(cases[i].image, cases[i].settings, &page);
        assert_form(page.pictures[0].object, cases[i].bits, cases[i].width, cases[i].height);
        shell("convert %s -colorspace RGB -filter %s -define filter:lobes=%d -resize '%ux%u!' "
              "-colorspace sRGB "
              "-depth 16 -endian MSB %s:wanted",
              cases[i].image,
              cases[i].width < 640 ? "Lanczos" : "Kaiser -define filter:kaiser-beta=6.5",
              cases[i].width < 640 ? 8 : 4, cases[i].width, cases[i].height, cases[i].raw);
        assert_close(cases[i].what, page.pictures[0].object, cases[i].bits, cases[i].width, 0);
    }
}

/* Greys, so that lightness is the sample itself. 640 pixels on 25.4 mm: 0.1 mm are 2.52 pixels. */
static void sharpened_as_imagemagick_does(void **state) {
    static pdf_page page;
    (void)state;
    shell(CLOUDS "-colorspace Gray -depth 8 -strip g.png");
    compose_image("g.png", "\"sharpen\": {\"radius\": \"0.1mm\", \"amount\": 0.8}", &page);
    assert_form(page.pictures[0].object, 8, 640, 480);
    shell("convert g.png -unsharp 0x2.519685+0.8+0 -depth 16 -endian MSB gray:wanted");
    /* at its ends ImageMagick goes on with the last pixel, where the mask here leaves out */
    assert_close("sharpened", page.pictures[0].object, 8, 640, 8);
}

/* The files on the disk are what they were. */
static void files_stay_as_they_are(void **state) {
    static pdf_page page;
    (void)state;
    shell(CLOUDS "-depth 8 -strip PNG24:h.png && cp h.png before.png");
    compose_image("h.png",
                  "\"resolution\": {\"limit_ppi\": 200}, "
                  "\"sharpen\": {\"radius\": \"0.2mm\", \"amount\": 1, \"threshold\": 1}",
                  &page);
    assert_int_equal(try_shell("cmp h.png before.png"), 0);
    assert_form(page.pictures[0].object, 8, 200, 150);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(resized_as_imagemagick_does),
        cmocka_unit_test(sharpened_as_imagemagick_does),
        cmocka_unit_test(files_stay_as_they_are),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
