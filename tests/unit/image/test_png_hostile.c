/*
 * PNG: cut and changed, every colour type, depth and interlace, with transparency by key, a
 * profile, Exif; facts and rows (see hostile_testing.h). A PNG has a check sum over every byte of
 * it, so nothing that is cut or changed may be taken (PNG, W3C, 5.3: the CRC of each chunk).
 */
#include "testing.h"

#include "image/rows_hostile.h"

enum { W = 13, H = 11 };

static void check_kind(hostile *h, const made_png *kind) {
    size_t length;
    const char *path = scratch("sample.png");
    made_png made = *kind;
    made.width = W;
    made.height = H;
    make_png(path, &made);
    unsigned char *bytes = read_file(path, &length);
    assert_int_equal(hostile_survive(h, bytes, length), TW_OK);
    assert_int_equal(hostile_cut(h, bytes, length), 0);
    assert_int_equal(hostile_flip(h, bytes, length), 0);
    free(bytes);
}

static hostile reader(void) {
    return (hostile){
        .read = hostile_rows, .path = scratch("broken.png"), .most = 8u << 20, .seed = 1};
}

static void test_every_type(void **state) {
    static const int kinds[][2] = {{0, 1}, {0, 2}, {0, 4}, {0, 8}, {0, 16}, {2, 8}, {2, 16}, {3, 1},
                                   {3, 2}, {3, 4}, {3, 8}, {4, 8}, {4, 16}, {6, 8}, {6, 16}};
    hostile h = reader();
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        for (int interlaced = 0; interlaced < 2; interlaced++)
            check_kind(&h, &(made_png){.type = kinds[i][0],
                                       .depth = kinds[i][1],
                                       .interlaced = interlaced == 1});
    hostile_say(&h);
}

static void test_transparency(void **state) {
    static const made_png kinds[] = {
        {.type = 0, .depth = 8, .transparent = true}, {.type = 0, .depth = 16, .transparent = true},
        {.type = 2, .depth = 8, .transparent = true}, {.type = 2, .depth = 16, .transparent = true},
        {.type = 3, .depth = 4, .transparent = true}, {.type = 3, .depth = 8, .transparent = true},
    };
    hostile h = reader();
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        check_kind(&h, &kinds[i]);
}

static void test_what_stands_beside(void **state) {
    size_t exif_length, icc_length;
    unsigned char *exif = make_exif(true, 6, 300, 1, 2, &exif_length);
    unsigned char *icc = make_icc("mntr", "RGB ", 4, "a profile", &icc_length);
    hostile h = reader();
    (void)state;
    check_kind(&h, &(made_png){.type = 2, .depth = 8, .data_size = 60, .noise = 1, .srgb = true});
    check_kind(&h, &(made_png){.type = 2,
                               .depth = 8,
                               .gamma = 45455,
                               .density_x = 11811,
                               .density_y = 11811,
                               .exif = exif,
                               .exif_length = (uint32_t)exif_length});
    check_kind(&h,
               &(made_png){
                   .type = 2, .depth = 16, .profile = icc, .profile_length = (uint32_t)icc_length});
    free(exif);
    free(icc);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_type),
        cmocka_unit_test(test_transparency),
        cmocka_unit_test(test_what_stands_beside),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
