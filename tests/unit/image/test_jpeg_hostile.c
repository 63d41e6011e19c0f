/*
 * JPEG: cut and changed, every space and coding, with restarts, a profile in parts, Exif; facts
 * and rows (see hostile_testing.h). A cut one is never taken: its end mark is missing (ITU-T T.81
 * B.2.1). A changed one may be: nothing in it is checked, and other values are another picture.
 */
#include "testing.h"

#include "image/rows_hostile.h"

enum { W = 37, H = 21 };

static hostile reader(void) {
    return (hostile){
        .read = hostile_rows, .path = scratch("broken.jpg"), .most = 8u << 20, .seed = 2};
}

static void check_kind(hostile *h, const made_jpeg *kind) {
    size_t length;
    const char *path = scratch("sample.jpg");
    made_jpeg made = *kind;
    made.width = W;
    made.height = H;
    make_jpeg(path, &made);
    unsigned char *bytes = read_file(path, &length);
    assert_int_equal(hostile_survive(h, bytes, length), TW_OK);
    if (kind->after != NULL)
        length -= strlen(kind->after); /* what follows the end may go */
    assert_int_equal(hostile_cut(h, bytes, length), 0);
    assert_in_range(hostile_flip(h, bytes, length), 1, FLIPS - 1);
    free(bytes);
}

static void test_every_space_and_coding(void **state) {
    static const made_jpeg spaces[] = {
        {.components = 1},
        {.components = 3},
        {.components = 3, .stored_rgb = true},
        {.components = 3, .lossless_like = true},
        {.components = 4},
        {.components = 4, .ycck = true},
        {.components = 4, .no_adobe = true},
    };
    hostile h = reader();
    (void)state;
    for (size_t i = 0; i < sizeof spaces / sizeof *spaces; i++)
        for (int coding = 0; coding < 4; coding++) {
            made_jpeg made = spaces[i];
            made.progressive = (coding & 1) != 0;
            made.arithmetic = (coding & 2) != 0;
            check_kind(&h, &made);
        }
    hostile_say(&h);
}

static void test_what_stands_beside(void **state) {
    size_t exif_length, icc_length;
    unsigned char *exif = make_exif(false, 6, 300, 1, 2, &exif_length);
    unsigned char *icc = make_icc("mntr", "RGB ", 2, "a profile", &icc_length);
    hostile h = reader();
    (void)state;
    check_kind(&h, &(made_jpeg){.components = 3, .restart = 1});
    check_kind(&h, &(made_jpeg){.components = 3, .after = "more"});
    check_kind(&h, &(made_jpeg){.components = 3,
                                .exif = exif,
                                .exif_length = exif_length,
                                .profile = icc,
                                .profile_length = icc_length,
                                .profile_parts = 3});
    free(exif);
    free(icc);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_space_and_coding),
        cmocka_unit_test(test_what_stands_beside),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
