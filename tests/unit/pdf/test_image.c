/*
 * Images in the PDF: where each orientation lands, pixels that come back untouched, one object
 * however often it is drawn, and the colour each is given.
 */
#include "pdf/pdf_testing.h"

static void draw(paperwork *p, size_t image, tw_rect rect, tw_rect whole, int orientation,
                 bool turned) {
    assert_ok(tw_page_image(p->arena, &p->page, rect, whole, image, orientation, turned, &p->error),
              p->error);
}

/* One image drawn once over a square inch. */
static tw_image one_image(paperwork *p, const char *file, const char *out) {
    static tw_image image;
    tw_rect r = {TW_IN, TW_IN, TW_IN, TW_IN};
    image = image_facts(p, file);
    p->facts.images = &image;
    p->facts.image_count = 1;
    draw(p, 0, r, r, image.orientation, false);
    paper_write(p, out);
    return image;
}

/* The text of the first image's dictionary, up to its stream. Free it. */
static char *image_dictionary(const char *path, int *number) {
    size_t length;
    unsigned char *bytes = read_file(path, &length);
    char *copy = NULL;
    for (size_t i = 0; i + 14 < length && copy == NULL; i++)
        if (memcmp(bytes + i, "/Subtype /Image", 15) == 0) {
            size_t from = i, to = i;
            while (memcmp(bytes + from, " 0 obj", 6) != 0)
                from--;
            while (memcmp(bytes + to, "stream", 6) != 0)
                to++;
            while (bytes[from - 1] != '\n')
                from--;
            copy = calloc(1, to - from + 1);
            memcpy(copy, bytes + from, to - from);
        }
    free(bytes);
    assert_non_null(copy);
    *number = atoi(copy);
    return copy;
}

/* ------------------------------------------------ places */

/* The matrix of each Exif orientation (CIPA DC-008, tag 274), upright and lying a quarter turn
 * clockwise, for a picture 2 in wide and 1 in high on the page whose lower left corner is at
 * 72, 288 points. Worked out by hand from where the stored top left pixel and the stored first
 * row are seen; the unit square's v runs up the stored image (ISO 32000-1, 8.9.5.1). */
static void orientations_land_right(void **state) {
    static const double table[2][8][6] = {
        {{144, 0, 0, 72, 72, 288},
         {-144, 0, 0, 72, 216, 288},
         {-144, 0, 0, -72, 216, 360},
         {144, 0, 0, -72, 72, 360},
         {0, -72, -144, 0, 216, 360},
         {0, -72, 144, 0, 72, 360},
         {0, 72, 144, 0, 72, 288},
         {0, 72, -144, 0, 216, 288}},
        {{0, -72, 144, 0, 72, 360},
         {0, 72, 144, 0, 72, 288},
         {0, 72, -144, 0, 216, 288},
         {0, -72, -144, 0, 216, 360},
         {-144, 0, 0, 72, 216, 288},
         {-144, 0, 0, -72, 216, 360},
         {144, 0, 0, -72, 72, 360},
         {144, 0, 0, 72, 72, 288}},
    };
    const char *file = scratch("place.png"), *out = scratch("place.pdf");
    make_png(file, &(made_png){.width = 4, .height = 4, .type = 2, .depth = 8});
    (void)state;
    if (!has_tool("qpdf"))
        return;
    for (int n = 0; n < 16; n++) {
        paperwork p;
        double seen[6];
        tw_rect r = {TW_IN, 5 * TW_IN, 2 * TW_IN, TW_IN};
        paper_start(&p, 10 * TW_IN, 10 * TW_IN);
        tw_image image = image_facts(&p, file);
        p.facts.images = &image;
        p.facts.image_count = 1;
        draw(&p, 0, r, r, n % 8 + 1, n >= 8);
        paper_write(&p, out);
        char *qdf = ask("qpdf --qdf %s -", out, NULL);
        assert_non_null(qdf);
        assert_int_equal(numbers_before(qdf, " Do Q", "cm", seen, 6), 6);
        for (int i = 0; i < 6; i++)
            if (seen[i] - table[n / 8][n % 8][i] > 0.001 ||
                seen[i] - table[n / 8][n % 8][i] < -0.001)
                fail_msg("orientation %d turned %d: %g for %g", n % 8 + 1, n / 8, seen[i],
                         table[n / 8][n % 8][i]);
        assert_null(strstr(qdf, "W n")); /* nothing hangs out, nothing is clipped */
        free(qdf);
        paper_end(&p);
    }
}

static void what_hangs_out_is_clipped(void **state) {
    paperwork p;
    double n[6];
    const char *file = scratch("clip.png"), *out = scratch("clip.pdf");
    make_png(file, &(made_png){.width = 4, .height = 4, .type = 2, .depth = 8});
    (void)state;
    paper_start(&p, 254 * TW_MM, 254 * TW_MM);
    tw_image image = image_facts(&p, file);
    p.facts.images = &image;
    p.facts.image_count = 1;
    draw(&p, 0, (tw_rect){10 * TW_MM, 20 * TW_MM, 30 * TW_MM, 40 * TW_MM},
         (tw_rect){5 * TW_MM, 20 * TW_MM, 60 * TW_MM, 40 * TW_MM}, 1, false);
    paper_write(&p, out);
    if (has_tool("qpdf")) {
        char *qdf = ask("qpdf --qdf %s -", out, NULL);
        assert_non_null(qdf);
        assert_non_null(strstr(qdf, "28.34646 549.92126 85.03937 113.38583 re W n "));
        assert_int_equal(numbers_before(qdf, " Do Q", "cm", n, 6), 6);
        assert_float_equal(n[0], 170.07874, 0.001); /* 60 mm */
        assert_float_equal(n[4], 14.17323, 0.001);  /* 5 mm */
        free(qdf);
    }
    paper_end(&p);
}

/* ------------------------------------------------ pixels */

static void png_rows_come_back(void **state) {
    static const made_png kinds[] = {
        {.width = 61, .height = 47, .type = 2, .depth = 16},
        {.width = 61, .height = 47, .type = 2, .depth = 8, .data_size = 100},
        {.width = 61, .height = 47, .type = 0, .depth = 16},
        {.width = 61, .height = 47, .type = 0, .depth = 1},
        {.width = 61, .height = 47, .type = 3, .depth = 4},
        {.width = 61, .height = 47, .type = 2, .depth = 16, .interlaced = true},
    };
    const char *file = scratch("rows.png"), *out = scratch("rows.pdf");
    (void)state;
    if (!has_tool("qpdf"))
        return;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        paperwork p;
        char command[200];
        size_t length, row_bytes;
        uint32_t height;
        int number;
        make_png(file, &kinds[i]);
        paper_start(&p, 4 * TW_IN, 4 * TW_IN);
        (void)one_image(&p, file, out);
        char *dictionary = image_dictionary(out, &number);
        snprintf(command, sizeof command, "qpdf --show-object=%d --filtered-stream-data %%s",
                 number);
        char *seen = ask(command, out, &length);
        unsigned char *wanted = read_png_rows(file, false, &row_bytes, &height);
        assert_non_null(seen);
        assert_int_equal(length, row_bytes * height);
        assert_memory_equal(seen, wanted, length);
        free(dictionary);
        free(seen);
        free(wanted);
        paper_end(&p);
    }
}

/* A JPEG's own bytes are the stream. */
static void jpeg_bytes_are_the_stream(void **state) {
    paperwork p;
    char command[200];
    size_t length, file_length;
    int number;
    const char *file = scratch("photo.jpg"), *out = scratch("photo.pdf");
    (void)state;
    make_jpeg(file, &(made_jpeg){.width = 200, .height = 100, .components = 3});
    if (!has_tool("qpdf"))
        return;
    paper_start(&p, 4 * TW_IN, 4 * TW_IN);
    (void)one_image(&p, file, out);
    char *dictionary = image_dictionary(out, &number);
    assert_non_null(strstr(dictionary, "/Filter /DCTDecode"));
    assert_non_null(strstr(dictionary, "/ColorTransform 1"));
    snprintf(command, sizeof command, "qpdf --show-object=%d --raw-stream-data %%s", number);
    char *seen = ask(command, out, &length);
    unsigned char *wanted = read_file(file, &file_length);
    assert_int_equal(length, file_length);
    assert_memory_equal(seen, wanted, length);
    free(dictionary);
    free(seen);
    free(wanted);
    paper_end(&p);
}

/* ------------------------------------------------ dictionaries */

static void dictionaries_say_what_streams_hold(void **state) {
    paperwork p;
    int number;
    const char *file = scratch("kind.img"), *out = scratch("kind.pdf");
    (void)state;
    paper_start(&p, 4 * TW_IN, 4 * TW_IN);
    make_png(file, &(made_png){.width = 30, .height = 20, .type = 2, .depth = 16});
    (void)one_image(&p, file, out);
    char *d = image_dictionary(out, &number);
    assert_non_null(strstr(d, "/Width 30\n/Height 20\n/BitsPerComponent 16\n"));
    assert_non_null(strstr(d, "/Filter /FlateDecode\n/DecodeParms <</Predictor 15 /Colors 3 "
                              "/BitsPerComponent 16 /Columns 30>>"));
    assert_null(strstr(d, "/Decode ["));
    free(d);
    paper_end(&p);

    paper_start(&p, 4 * TW_IN, 4 * TW_IN);
    make_png(file, &(made_png){.width = 30, .height = 20, .type = 3, .depth = 2});
    (void)one_image(&p, file, out);
    d = image_dictionary(out, &number);
    assert_non_null(strstr(d, "/ColorSpace [/Indexed [/ICCBased "));
    assert_non_null(strstr(d, " 3 <")); /* four colours */
    assert_non_null(strstr(d, "/Colors 1 /BitsPerComponent 2 /Columns 30>>"));
    free(d);
    paper_end(&p);
}

/* An Adobe CMYK JPEG holds its inks turned over (ISO 32000-1 leaves it to /Decode); without a
 * profile nothing is known of the inks, so they stay the device's. */
static void cmyk_is_turned_over(void **state) {
    paperwork p;
    int number;
    const char *file = scratch("inks.jpg"), *out = scratch("inks.pdf");
    (void)state;
    make_jpeg(file, &(made_jpeg){.width = 32, .height = 32, .components = 4});
    paper_start(&p, 4 * TW_IN, 4 * TW_IN);
    (void)one_image(&p, file, out);
    char *d = image_dictionary(out, &number);
    assert_non_null(strstr(d, "/ColorSpace /DeviceCMYK\n"));
    assert_non_null(strstr(d, "/Decode [1 0 1 0 1 0 1 0]\n"));
    free(d);
    paper_end(&p);
}

/* ------------------------------------------------ once each */

static size_t count_of(const char *path, const char *words) {
    size_t length, count = 0, size = strlen(words);
    unsigned char *bytes = read_file(path, &length);
    for (size_t i = 0; i + size <= length; i++)
        count += memcmp(bytes + i, words, size) == 0;
    free(bytes);
    return count;
}

static void images_and_profiles_are_stored_once(void **state) {
    paperwork p;
    tw_image images[4];
    size_t length;
    unsigned char *icc = make_icc("mntr", "RGB ", 2, "Wide", &length);
    const char *out = scratch("once.pdf");
    const char *const names[] = {scratch("a.png"), scratch("b.png"), scratch("c.png"),
                                 scratch("d.png")};
    made_png plain = {.width = 9, .height = 9, .type = 2, .depth = 8}, tagged = plain;
    tagged.profile = icc;
    tagged.profile_length = (uint32_t)length;
    (void)state;
    make_png(names[0], &plain);
    make_png(names[1], &plain);
    make_png(names[2], &tagged);
    make_png(names[3], &tagged);
    paper_start(&p, 4 * TW_IN, 4 * TW_IN);
    for (size_t i = 0; i < 4; i++)
        images[i] = image_facts(&p, names[i]);
    p.facts.images = images;
    p.facts.image_count = 4;
    for (size_t i = 0; i < 12; i++) {
        tw_rect r = {(tw_nm)i * TW_MM, 0, TW_MM, TW_MM};
        draw(&p, i % 4, r, r, 1, false);
    }
    paper_write(&p, out);
    assert_int_equal(count_of(out, "/Subtype /Image"), 4);
    assert_int_equal(count_of(out, " Do Q"), 12);
    /* the tags' own, sRGB for the others, a grey for what is DeviceGray */
    assert_int_equal(count_of(out, "acsp"), 3);
    assert_int_equal(count_of(out, "/N 3\n/Alternate /DeviceRGB"), 2);
    assert_int_equal(count_of(out, "sRGB IEC61966-2-1"), 1);
    free(icc);
    paper_end(&p);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(orientations_land_right),
        cmocka_unit_test(what_hangs_out_is_clipped),
        cmocka_unit_test(png_rows_come_back),
        cmocka_unit_test(jpeg_bytes_are_the_stream),
        cmocka_unit_test(dictionaries_say_what_streams_hold),
        cmocka_unit_test(cmyk_is_turned_over),
        cmocka_unit_test(images_and_profiles_are_stored_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
