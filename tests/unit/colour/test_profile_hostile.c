/*
 * Colour profiles, cut and changed (see hostile_testing.h): as bytes that came with an image or
 * stand beside a paper, read, judged, and where they are taken, used for a transform each way.
 */
#include "testing.h"

#include "colour/colour.h"
#include "colour/srgb_profile.h"
#include "hostile_testing.h"
#include "image/icc_head.h"

/* 256 MiB are lcms2's limit here (lcms.h), and the little around it. */
#define MOST ((256u + 2u) << 20)

static tw_code convert(const tw_allocator *allocator, tw_icc from, tw_icc to, tw_error *error) {
    static const unsigned char pixels[] = {0, 0, 0, 0, 255, 128, 64, 32, 255, 255, 255, 255};
    const tw_colour_way way = {from, to, TW_PERCEPTUAL, true, 8};
    uint16_t samples[3 * 4];
    tw_lab lab[3];
    tw_colour *colour = NULL;
    tw_code code = tw_colour_open(allocator, &way, &colour, error);
    if (code != TW_OK)
        return code;
    tw_colour_run(colour, pixels, to.bytes == NULL ? (void *)lab : (void *)samples, 3);
    tw_colour_close(colour);
    return TW_OK;
}

static tw_code from_it(const tw_allocator *allocator, const char *path, const unsigned char *bytes,
                       size_t length, tw_error *error) {
    (void)path;
    tw_profile profile;
    const tw_icc icc = {bytes, length}, lab = {NULL, 0};
    tw_arena *arena = tw_arena_new(allocator, 0);
    tw_code code = tw_profile_read(arena, bytes, length, &profile, error);
    if (code == TW_OK)
        code = tw_icc_check(allocator, icc, TW_ICC_SOURCE, 0, "it", error);
    if (code == TW_OK)
        code = convert(allocator, icc, lab, error);
    tw_arena_free(arena);
    return code;
}

static tw_code to_it(const tw_allocator *allocator, const char *path, const unsigned char *bytes,
                     size_t length, tw_error *error) {
    (void)path;
    const tw_icc icc = {bytes, length};
    tw_icc_facts facts;
    tw_code code = tw_icc_check(allocator, icc, TW_ICC_PAPER, 0, "it", error);
    if (code == TW_OK)
        code = tw_icc_ends_read(allocator, icc, &facts, error);
    return code == TW_OK ? convert(allocator, icc, icc, error) : code;
}

static tw_code its_facts(const tw_allocator *allocator, const char *path,
                         const unsigned char *bytes, size_t length, tw_error *error) {
    (void)path;
    tw_profile profile;
    tw_arena *arena = tw_arena_new(allocator, 0);
    tw_code code = tw_profile_read(arena, bytes, length, &profile, error);
    tw_arena_free(arena);
    return code;
}

/* A profile says its own length (ICC.1, 7.2.2), so none that is cut is taken. */
static void check(hostile *h, const void *whole, size_t length) {
    unsigned char *bytes = malloc(length);
    memcpy(bytes, whole, length);
    assert_int_equal(hostile_survive(h, bytes, length), TW_OK);
    assert_int_equal(hostile_cut(h, bytes, length), 0);
    assert_in_range(hostile_flip(h, bytes, length), 1, FLIPS - 1);
    free(bytes);
    hostile_say(h);
}

static void check_file(hostile *h, const char *path) {
    size_t length;
    unsigned char *bytes = read_file(path, &length);
    check(h, bytes, length);
    free(bytes);
}

static void test_facts(void **state) {
    (void)state;
    for (int version = 2; version <= 4; version += 2) {
        size_t length;
        unsigned char *icc = make_icc("prtr", "CMYK", version, "a paper", &length);
        check(&(hostile){.read = its_facts, .most = MOST, .seed = 4}, icc, length);
        free(icc);
    }
}

static void test_built_here(void **state) {
    (void)state;
    for (int grey = 0; grey < 2; grey++) {
        tw_buffer buffer;
        tw_buffer_start(&buffer, NULL);
        if (grey == 0)
            tw_srgb_profile(&buffer);
        else
            tw_srgb_grey_profile(&buffer);
        assert_false(buffer.failed);
        check(&(hostile){.read = from_it, .most = MOST, .seed = 5}, buffer.bytes, buffer.length);
        tw_buffer_free(&buffer);
    }
}

static void test_small_ones(void **state) {
    static const char *const names[] = {"grey", "tables"};
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char path[1000];
        (void)snprintf(path, sizeof path, TRIMWELL_SOURCE "/tests/fuzz/corpus/colour/%s", names[i]);
        check_file(&(hostile){.read = from_it, .most = MOST, .seed = 6}, path);
    }
}

/* With tables for each intent and way, near a megabyte each, so fewer changes, at the start, where
 * what they are made of stands; the small ones are changed everywhere. */
static void test_of_papers(void **state) {
    static const char *const names[] = {"satin", "satin-v4", "cmyk"};
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char path[1000];
        (void)snprintf(path, sizeof path, TRIMWELL_BUILD "/profiles/%s.icc", names[i]);
        check_file(&(hostile){.read = to_it, .most = MOST, .seed = 7, .head = 900, .flips = 200},
                   path);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_facts),
        cmocka_unit_test(test_built_here),
        cmocka_unit_test(test_small_ones),
        cmocka_unit_test(test_of_papers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
