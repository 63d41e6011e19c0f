/*
 * TIFF: cut and changed, every packing, depth, photometric, arrangement, byte order, and BigTIFF;
 * facts and rows (see hostile_testing.h). The makers of these put the directory last (TIFF 6.0,
 * section 2, lets it lie anywhere), so a cut one is never taken. A changed one may be: only
 * Deflate has a check sum.
 */
#include "testing.h"

#include "image/rows_hostile.h"

enum { W = 19, H = 17 };

static hostile reader(void) {
    return (hostile){
        .read = hostile_rows, .path = scratch("broken.tif"), .most = 300u << 20, .seed = 3};
}

static void check_kind(hostile *h, const made_tiff *kind) {
    size_t length;
    const char *path = scratch("sample.tif");
    made_tiff made = *kind;
    made.width = W;
    made.height = H;
    if (made.tile == 0) /* JPEG's come by sixteen rows */
        made.strip = made.compression == 7 ? 16 : 6;
    make_tiff(path, &made);
    unsigned char *bytes = read_file(path, &length);
    assert_int_equal(hostile_survive(h, bytes, length), TW_OK);
    int taken = hostile_cut(h, bytes, length);
    if (kind->pages > 1) /* the first picture is printed, and it is whole */
        assert_in_range(taken, 1, CUTS - 1);
    else
        assert_int_equal(taken, 0);
    assert_in_range(hostile_flip(h, bytes, length), 1, FLIPS - 1);
    free(bytes);
}

static void test_every_packing(void **state) {
    static const int packings[][2] = {{1, 0}, {5, 0}, {5, 2}, {8, 0}, {8, 2}, {32773, 0}};
    hostile h = reader();
    (void)state;
    for (size_t i = 0; i < sizeof packings / sizeof *packings; i++)
        for (int way = 0; way < 4; way++)
            check_kind(&h, &(made_tiff){.photometric = 2,
                                        .depth = (way & 1) != 0 ? 16 : 8,
                                        .compression = packings[i][0],
                                        .predictor = packings[i][1],
                                        .big_endian = (way & 1) != 0,
                                        .tile = (way & 2) != 0 ? 16 : 0});
    hostile_say(&h);
}

static void test_jpeg_inside(void **state) {
    static const made_tiff kinds[] = {
        {.photometric = 6, .depth = 8, .compression = 7},
        {.photometric = 2, .depth = 8, .compression = 7},
        {.photometric = 1, .depth = 8, .compression = 7, .tile = 16},
    };
    hostile h = reader();
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        check_kind(&h, &kinds[i]);
    hostile_say(&h);
}

static void test_every_photometric(void **state) {
    static const made_tiff kinds[] = {
        {.photometric = 0, .depth = 1, .compression = 32773},
        {.photometric = 1, .depth = 4, .compression = 5},
        {.photometric = 0, .depth = 16},
        {.photometric = 1, .depth = 8, .extra = 3, .alpha = 2},
        {.photometric = 3, .depth = 8},
        {.photometric = 3, .depth = 4, .compression = 5},
        {.photometric = 5, .depth = 8, .compression = 5},
        {.photometric = 5, .depth = 16, .separate = true},
        {.photometric = 2, .depth = 8, .extra = 1, .alpha = 2},
        {.photometric = 2, .depth = 16, .extra = 1, .alpha = 1},
    };
    hostile h = reader();
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        check_kind(&h, &kinds[i]);
    hostile_say(&h);
}

static void test_arrangements(void **state) {
    static const made_tiff kinds[] = {
        {.photometric = 2, .depth = 8, .separate = true},
        {.photometric = 2, .depth = 8, .separate = true, .compression = 8, .tile = 16},
        {.photometric = 2, .depth = 16, .big = true},
        {.photometric = 2, .depth = 16, .big = true, .big_endian = true, .tile = 16},
        {.photometric = 2,
         .depth = 8,
         .orientation = 6,
         .unit = 2,
         .density_x = 300,
         .density_y = 300,
         .pages = 2},
    };
    hostile h = reader();
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        check_kind(&h, &kinds[i]);
    hostile_say(&h);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_packing),
        cmocka_unit_test(test_jpeg_inside),
        cmocka_unit_test(test_every_photometric),
        cmocka_unit_test(test_arrangements),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
