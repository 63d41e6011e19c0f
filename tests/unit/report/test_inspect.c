/*
 * inspect on files made by libpng and libjpeg: every fact against what was put in. Sources: Exif
 * 2.3 orientation (TIFF tag 274), PNG pHYs per metre, ICC.1 header fields, arithmetic by hand.
 */
#include "testing.h"

#include "make_image.h"
#include "report/report.h"

typedef struct bench {
    test_memory memory;
    tw_allocator allocator;
    tw_arena *arena;
    tw_buffer text, json;
    tw_error error;
    tw_code code;
} bench;

static void look(bench *b, const char *path, long fail_at) {
    memset(b, 0, sizeof *b);
    b->allocator = test_allocator(&b->memory);
    b->arena = tw_arena_new(&b->allocator, 0);
    assert_non_null(b->arena);
    b->memory.asked = 0;
    b->memory.fail_at = fail_at;
    tw_buffer_start(&b->text, &b->allocator);
    tw_buffer_start(&b->json, &b->allocator);
    b->code = tw_inspect_file(b->arena, path, &b->text, &b->json, &b->error);
}

static void done(bench *b) {
    tw_buffer_free(&b->text);
    tw_buffer_free(&b->json);
    tw_arena_free(b->arena);
    assert_no_leak(b->memory);
}

static void holds(const char *text, const char *words) {
    if (text == NULL || strstr(text, words) == NULL)
        fail_msg("\"%s\" is not in:\n%s", words, text == NULL ? "nothing" : text);
}

/* The JSON is read back by the project's own strict reader. */
static void is_json(const bench *b) {
    tw_json *document = NULL;
    tw_error error = {0};
    assert_ok(tw_json_parse(NULL, "inspect", b->json.bytes, b->json.length, &document, &error),
              error);
    assert_int_equal(tw_json_kind_of(tw_json_root(document)), TW_JSON_OBJECT);
    tw_json_free(document);
}

/* 600 x 480 at 300, 240, 180 ppi: 2 x 1.6, 2.5 x 2, 3 1/3 x 2 2/3 in. 11811 per metre is
 * 299.9994 ppi. */
static void png_facts(void **state) {
    (void)state;
    made_png what = {.width = 600,
                     .height = 480,
                     .type = 2,
                     .depth = 16,
                     .density_x = 11811,
                     .density_y = 11811};
    const char *path = scratch("plain.png");
    make_png(path, &what);
    bench b;
    look(&b, path, 0);
    assert_ok(b.code, b.error);
    holds(b.text.bytes, "PNG, RGB, 16 bits a channel, 3 channels\n");
    holds(b.text.bytes, "600 x 480 as stored, 600 x 480 upright\n");
    holds(b.text.bytes, "1: upright as stored\n");
    holds(b.text.bytes, "299.999 pixels an inch");
    holds(b.text.bytes, "at 300 ppi    2 in x 1 19/32 in (50.8 x 40.6 mm)\n");
    holds(b.text.bytes, "at 240 ppi    2 1/2 in x 2 in (63.5 x 50.8 mm)\n");
    holds(b.text.bytes, "at 180 ppi    3 11/32 in x 2 21/32 in (84.7 x 67.7 mm)\n");
    holds(b.text.bytes, "untagged: sRGB is assumed\n");
    holds(b.text.bytes, "passes through untouched: neither interlaced nor transparent\n");
    is_json(&b);
    holds(b.json.bytes, "\"kind\": \"image\"");
    holds(b.json.bytes, "{\"ppi\": 300, \"width\": 50.8, \"height\": 40.64}");
    holds(b.json.bytes, "\"density\": {\"x\": 299.999, \"y\": 299.999, \"unit\": \"ppi\"}");
    holds(b.json.bytes, "\"depth\": 16, \"channels\": 3, \"space\": \"RGB\"");
    holds(b.json.bytes, "\"profile\": null");
    done(&b);
}

static void png_that_is_decoded(void **state) {
    (void)state;
    made_png what = {
        .width = 40, .height = 30, .type = 6, .depth = 8, .interlaced = true, .srgb = true};
    const char *path = scratch("glass.png");
    make_png(path, &what);
    bench b;
    look(&b, path, 0);
    assert_ok(b.code, b.error);
    holds(b.text.bytes, "PNG, RGB, partly transparent, interlaced, 8 bits a channel, 4 channels\n");
    holds(b.text.bytes, "density       not said\n");
    holds(b.text.bytes, "sRGB, as the file says\n");
    holds(b.text.bytes, "interlaced and partly transparent: decoded, laid on paper white");
    holds(b.json.bytes, "\"transparent\": true, \"interlaced\": true");
    holds(b.json.bytes, "\"untouched\": false");
    holds(b.json.bytes, "\"density\": null");
    is_json(&b);
    done(&b);
}

/* Which road, and why. */
static void tiff_roads(void **state) {
    (void)state;
    static const struct {
        made_tiff made;
        const char *kind, *road;
    } table[] = {
        {{.photometric = 2, .depth = 8, .compression = 8},
         "TIFF, RGB, 8 bits a channel, 3 channels\n",
         "passes through untouched: one stream of a kind that a PDF holds, too\n"},
        {{.photometric = 2, .depth = 16, .compression = 8},
         "TIFF, RGB, 16 bits a channel, 3 channels\n",
         "its 16-bit samples have the low byte first: unpacked and packed again\n"},
        {{.photometric = 1, .depth = 8, .compression = 5, .pages = 2},
         "pages         2 in the file: the first is printed\n",
         "packed by LZW: unpacked and packed again\n"},
        {{.photometric = 5, .depth = 8, .tile = 16},
         "TIFF, CMYK",
         "not packed, in tiles: packed\n"},
        {{.photometric = 3, .depth = 8, .compression = 32773},
         "TIFF, RGB from a palette, 8 bits a channel, 1 channel\n",
         "packed by PackBits: unpacked and packed again\n"},
    };
    const char *path = scratch("photo.tif");
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        made_tiff made = table[i].made;
        bench b;
        made.width = made.height = 30;
        make_tiff(path, &made);
        look(&b, path, 0);
        assert_ok(b.code, b.error);
        holds(b.text.bytes, table[i].kind);
        holds(b.text.bytes, table[i].road);
        holds(b.json.bytes, "\"format\": \"tiff\"");
        is_json(&b);
        done(&b);
    }
}

/* 300 pixels an inch across, 600 down: 600 x 480 are 2 x 0.8 in at 300 ppi. */
static void pixels_that_are_not_square(void **state) {
    (void)state;
    made_png what = {.width = 600, .height = 480, .type = 2, .depth = 8, .srgb = true};
    what.density_x = 11811;
    what.density_y = 23622;
    const char *path = scratch("uneven.png");
    make_png(path, &what);
    bench b;
    look(&b, path, 0);
    assert_ok(b.code, b.error);
    holds(b.text.bytes, "299.999 x 599.999 pixels an inch: not square, each axis differs");
    holds(b.json.bytes, "\"sizes\": [{\"ppi\": 300, \"width\": 50.8, \"height\": 20.32}");
    is_json(&b);
    done(&b);
}

/* Exif orientation 6: the top row of the stored pixels is the right-hand column as seen. */
static void jpeg_facts(void **state) {
    (void)state;
    size_t exif_length, profile_length;
    unsigned char *exif = make_exif(true, 6, 240, 1, 2, &exif_length);
    unsigned char *profile = make_icc("mntr", "RGB ", 4, "Lake RGB", &profile_length);
    made_jpeg what = {.width = 50,
                      .height = 20,
                      .components = 3,
                      .progressive = true,
                      .no_jfif = true,
                      .exif = exif,
                      .exif_length = exif_length,
                      .profile = profile,
                      .profile_length = profile_length};
    const char *path = scratch("turned.jpg");
    make_jpeg(path, &what);
    bench b;
    look(&b, path, 0);
    assert_ok(b.code, b.error);
    holds(b.text.bytes, "JPEG, RGB, progressive, 8 bits a channel, 3 channels\n");
    holds(b.text.bytes, "50 x 20 as stored, 20 x 50 upright\n");
    holds(b.text.bytes, "6: shown turned by 90 degrees clockwise\n");
    holds(b.text.bytes, "colour        its own profile\n");
    holds(b.text.bytes, "profile       Lake RGB\n");
    holds(b.text.bytes, "mntr (display device)\n");
    holds(b.text.bytes, "RGB to XYZ, version 4.");
    holds(b.text.bytes, "passes through untouched: a JPEG goes in as it is\n");
    holds(b.json.bytes, "\"description\": \"Lake RGB\"");
    holds(b.json.bytes, "\"upright_width\": 20, \"upright_height\": 50");
    is_json(&b);
    done(&b);
    free(exif);
    free(profile);
}

static void colour_in_words(void **state) {
    (void)state;
    bench b;
    made_jpeg grey = {.width = 8, .height = 8, .components = 1};
    const char *path = scratch("grey.jpg");
    make_jpeg(path, &grey);
    look(&b, path, 0);
    assert_ok(b.code, b.error);
    holds(b.text.bytes, "untagged: grey with sRGB's curve is assumed\n");
    holds(b.text.bytes, "baseline, 8 bits a channel, 1 channel\n");
    done(&b);
    made_jpeg four = {.width = 8, .height = 8, .components = 4};
    path = scratch("four.jpg");
    make_jpeg(path, &four);
    look(&b, path, 0);
    assert_ok(b.code, b.error);
    holds(b.text.bytes, "untagged: the device's own CMYK, nothing can be assumed\n");
    done(&b);
    size_t length;
    unsigned char *wrong = make_icc("mntr", "GRAY", 2, "A grey", &length);
    made_jpeg odd = {
        .width = 8, .height = 8, .components = 3, .profile = wrong, .profile_length = length};
    path = scratch("odd.jpg");
    make_jpeg(path, &odd);
    look(&b, path, 0);
    assert_ok(b.code, b.error);
    holds(b.text.bytes, "sRGB is assumed; its own profile cannot be used: ");
    assert_null(strstr(b.text.bytes, "A grey"));
    done(&b);
    free(wrong);
}

static void profile_files(void **state) {
    (void)state;
    static const struct {
        const char *device_class, *space, *text, *json;
    } cases[] = {
        {"prtr", "CMYK",
         "output intent cannot be one: the profile has no usable tables: no transform can be made "
         "of it\n",
         "\"output_intent\": false, \"unfit\": \"the profile has no usable tables"},
        {"mntr", "RGB ", "cannot be one: only an output profile", "\"output_intent\": false"},
        {"scnr", "GRAY",
         "as a paper    cannot be one: the profile is of class \"scnr\"; a paper's profile must be "
         "of class prtr (or mntr or spac)\n",
         "\"output_intent\": false"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        size_t length;
        unsigned char *icc =
            make_icc(cases[i].device_class, cases[i].space, 2, "Fine \"paper\"", &length);
        const char *path = scratch("one.icc");
        write_file(path, icc, length);
        bench b;
        look(&b, path, 0);
        assert_ok(b.code, b.error);
        holds(b.text.bytes, "kind          ICC profile\n");
        holds(b.text.bytes, "profile       Fine \"paper\"\n");
        holds(b.text.bytes, cases[i].text);
        holds(b.json.bytes, cases[i].json);
        holds(b.json.bytes, "\"kind\": \"profile\"");
        holds(b.json.bytes, "\"description\": \"Fine \\\"paper\\\"\"");
        is_json(&b);
        done(&b);
        write_file(path, icc, length - 1); /* the header's size no longer holds */
        look(&b, path, 0);
        assert_int_equal(b.code, TW_INPUT);
        assert_string_equal(b.error.file, path);
        done(&b);
        free(icc);
    }
}

static void what_cannot_be_looked_at(void **state) {
    (void)state;
    bench b;
    look(&b, scratch("missing.png"), 0);
    assert_int_equal(b.code, TW_INPUT);
    done(&b);
    look(&b, "/", 0);
    assert_int_equal(b.code, TW_INPUT);
    assert_says(b.error, "not a regular file");
    done(&b);
    const char *path = scratch("text.png");
    write_file(path, "just some words, longer than a header of forty bytes", 52);
    look(&b, path, 0);
    assert_int_equal(b.code, TW_INPUT);
    assert_says(b.error, "no PNG, JPEG or TIFF");
    done(&b);
}

/* A name can hold what a terminal obeys: it reaches neither form of the answer. */
static void names_are_made_safe(void **state) {
    (void)state;
    made_png what = {.width = 4, .height = 4, .type = 0, .depth = 8};
    const char *path = scratch("bell\x07 \x1B[31m\xC3\xA9.png");
    make_png(path, &what);
    bench b;
    look(&b, path, 0);
    assert_ok(b.code, b.error);
    holds(b.text.bytes, "bell? ?[31m\xC3\xA9.png: ");
    assert_null(strchr(b.json.bytes, '\x1B'));
    is_json(&b);
    done(&b);
}

static void no_memory_is_said(void **state) {
    (void)state;
    size_t length;
    unsigned char *icc = make_icc("mntr", "RGB ", 2, "Lake RGB", &length);
    made_jpeg what = {
        .width = 8, .height = 8, .components = 3, .profile = icc, .profile_length = length};
    const char *path = scratch("memory.jpg");
    make_jpeg(path, &what);
    long fail_at = 1;
    for (bool fine = false; !fine; fail_at++) {
        bench b;
        look(&b, path, fail_at);
        fine = b.code == TW_OK;
        if (fine)
            assert_true(b.memory.asked < fail_at); /* it was fine because nothing failed */
        else
            assert_int_equal(b.code, TW_MEMORY);
        done(&b);
    }
    assert_true(fail_at > 4);
    free(icc);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pixels_that_are_not_square),
        cmocka_unit_test(png_facts),
        cmocka_unit_test(png_that_is_decoded),
        cmocka_unit_test(tiff_roads),
        cmocka_unit_test(jpeg_facts),
        cmocka_unit_test(colour_in_words),
        cmocka_unit_test(profile_files),
        cmocka_unit_test(what_cannot_be_looked_at),
        cmocka_unit_test(names_are_made_safe),
        cmocka_unit_test(no_memory_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
