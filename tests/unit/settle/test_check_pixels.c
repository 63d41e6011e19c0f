/*
 * `check --pixels` behind the command: images decoded whole on all cores. Damage under right check
 * sums, in a JPEG's codes and in a deflated TIFF strip is found, each under its own name, in the
 * images' order; whole images are not.
 */
#include "testing.h"

#include <zlib.h>

#include "make_image.h"
#include "settle/damage.h"

enum { IMAGES = 8 };

typedef struct day {
    tw_arena *arena;
    tw_report report;
    tw_image images[IMAGES];
    char paths[IMAGES][300];
} day;

static void change(const char *path, size_t at, const void *bytes, size_t count) {
    size_t length;
    unsigned char *file = read_file(path, &length);
    memcpy(file + at, bytes, count);
    write_file(path, file, length);
    free(file);
}

/* A byte of a passing PNG's only IDAT, and the CRC put right again. */
static void damage_png(const char *path) {
    size_t length, at = 33;
    unsigned char *file = read_file(path, &length);
    while (memcmp(file + at + 4, "IDAT", 4) != 0)
        at += 12u + (size_t)(file[at + 2] << 8 | file[at + 3]);
    size_t size = (size_t)(file[at + 1] << 16 | file[at + 2] << 8 | file[at + 3]);
    file[at + 8 + size / 2] ^= 0x20;
    uint32_t crc = (uint32_t)crc32(0, file + at + 4, (uInt)size + 4);
    for (size_t i = 0; i < 4; i++)
        file[at + 8 + size + i] = (unsigned char)(crc >> (24 - 8 * i));
    write_file(path, file, length);
    free(file);
}

static void make_day(day *d) {
    made_png png = {.width = 90, .height = 60, .type = 2, .depth = 8, .data_size = 1 << 20};
    made_jpeg jpeg = {.width = 90, .height = 60, .components = 3, .lossless_like = true};
    made_tiff tiff = {.width = 90, .height = 60, .photometric = 2, .depth = 8, .compression = 8};
    d->arena = tw_arena_new(NULL, 0);
    tw_report_start(&d->report, d->arena);
    for (int i = 0; i < IMAGES; i++) {
        tw_error error = {0};
        (void)snprintf(d->paths[i], sizeof d->paths[i], "%s-%d", scratch("image"), i);
        if (i % 3 == 0)
            make_png(d->paths[i], &png);
        else if (i % 3 == 1)
            make_jpeg(d->paths[i], &jpeg);
        else
            make_tiff(d->paths[i], &tiff);
        assert_ok(tw_image_read(d->arena, d->paths[i], &d->images[i], &error), error);
        assert_true(tw_image_passes(&d->images[i]));
    }
}

static void free_day(day *d) {
    for (int i = 0; i < IMAGES; i++)
        (void)remove(d->paths[i]);
    tw_arena_free(d->arena);
}

static tw_code check(day *d, const tw_run *run, tw_error *error) {
    *error = (tw_error){0};
    return tw_check_pixels(d->arena, d->images, IMAGES, run, &d->report, error);
}

static void test_whole_images(void **state) {
    (void)state;
    day d;
    tw_error error;
    make_day(&d);
    assert_ok(check(&d, NULL, &error), error);
    assert_int_equal(d.report.errors.count, 0);
    free_day(&d);
}

static void test_damage_that_structure_does_not_show(void **state) {
    (void)state;
    static const struct {
        int image;
        const char *words;
    } wanted[] = {{1, "the JPEG is damaged in row "},
                  {3, "the PNG cannot be decoded, row "},
                  {5, "the TIFF is damaged in row "}};
    day d;
    tw_error error;
    make_day(&d);
    damage_png(d.paths[3]);
    change(d.paths[1], (size_t)d.images[1].bytes / 2, "\xFF\0\xFF\0\xFF\0\xFF\0\xFF", 10);
    change(d.paths[5], (size_t)(d.images[5].data_at + d.images[5].data_bytes / 2), "abcdefgh", 8);
    for (int i = 0; i < IMAGES; i++) /* as if they were so at first */
        assert_ok(tw_file_look_at(d.paths[i], &d.images[i].state, &error), error);
    assert_ok(check(&d, NULL, &error), error);
    assert_int_equal(d.report.errors.count, 3);
    for (size_t i = 0; i < 3; i++) {
        const tw_error *found = &d.report.errors.items[i];
        assert_int_equal(found->code, TW_DAMAGED);
        assert_string_equal(found->name, "image-damaged");
        assert_string_equal(found->file, d.paths[wanted[i].image]);
        assert_says(*found, wanted[i].words);
    }
    free_day(&d);
}

static bool at_once(void *context) {
    (void)context;
    return true;
}

static void test_cancelled(void **state) {
    (void)state;
    tw_run run = {.cancelled = at_once};
    day d;
    tw_error error;
    make_day(&d);
    assert_int_equal(check(&d, &run, &error), TW_CANCELLED);
    free_day(&d);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_whole_images),
        cmocka_unit_test(test_damage_that_structure_does_not_show),
        cmocka_unit_test(test_cancelled),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
