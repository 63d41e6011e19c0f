/*
 * PNG pixels: what the roads give, inflated and unfiltered here, equals libpng's own decode bit
 * for bit. Sources: PNG (W3C, second edition) clauses 8 to 10; ISO 32000-1 7.4.4 Tables 8 and 10
 * (the predictor is read from each row, 10 to 15 decode alike).
 */
#include "testing.h"

#include "make_image.h"
#include "pixels/pixels_testing.h"

static const int kinds[][2] = {{0, 1}, {0, 2}, {0, 4}, {0, 8}, {0, 16}, {2, 8}, {2, 16}, {3, 1},
                               {3, 2}, {3, 4}, {3, 8}, {4, 8}, {4, 16}, {6, 8}, {6, 16}};
enum { KINDS = sizeof kinds / sizeof *kinds };

/* Without transparency every sample comes out as it is stored. */
static void check_equal(const made_png *what) {
    const char *path = scratch("equal.png");
    make_png(path, what);
    pulled_image pulled = pull_image(path, 5000);
    size_t row_bytes;
    uint32_t height;
    unsigned char *wanted = read_png_rows(path, false, &row_bytes, &height);
    unsigned char *seen = undo_flate(&pulled);
    assert_int_equal(pulled.form.bits, what->depth);
    assert_int_equal(pulled.form.channels, what->type == 2 ? 3 : 1);
    assert_int_equal(pulled.row_bytes, row_bytes);
    assert_int_equal(pulled.form.untouched, !what->interlaced);
    assert_int_equal(pulled.form.palette_size, what->type == 3 ? 1 << what->depth : 0);
    assert_false(pulled.form.dct);
    assert_memory_equal(seen, wanted, row_bytes * height);
    free(wanted);
    free(seen);
    free_pulled(&pulled);
}

static void test_every_kind_comes_out_bit_for_bit(void **state) {
    static const uint32_t sizes[][2] = {{1, 1}, {2, 5}, {5, 2}, {7, 9}, {33, 3}, {131, 67}};
    (void)state;
    for (size_t k = 0; k < KINDS; k++)
        for (size_t s = 0; s < sizeof sizes / sizeof *sizes; s++)
            for (int interlaced = 0; interlaced < 2; interlaced++) {
                made_png what = {.width = sizes[s][0],
                                 .height = sizes[s][1],
                                 .type = kinds[k][0],
                                 .depth = kinds[k][1],
                                 .interlaced = interlaced == 1};
                if ((what.type & 4) == 0)
                    check_equal(&what);
            }
}

/* The payload passes as it is, however it is cut into chunks and pulled. */
static void test_payload_is_untouched(void **state) {
    static const size_t cuts[] = {1, 7, 100, 1 << 20};
    static const size_t rooms[] = {1, 13, 4096, 1 << 20};
    (void)state;
    for (size_t i = 0; i < 4; i++)
        for (size_t k = 0; k < 4; k++) {
            made_png what = {.width = 90, .height = 40, .type = 2, .depth = 8, .noise = 1};
            what.data_size = cuts[i] < 6 ? 6 : cuts[i];
            const char *path = scratch("payload.png");
            make_png(path, &what);
            pulled_image pulled = pull_image(path, rooms[k]);
            size_t length, payload_length;
            unsigned char *bytes = read_file(path, &length);
            unsigned char *payload = join_payload(bytes, length, &payload_length);
            assert_int_equal(pulled.length, payload_length);
            assert_int_equal(pulled.bound, payload_length);
            assert_memory_equal(pulled.bytes, payload, payload_length);
            free(payload);
            free(bytes);
            free_pulled(&pulled);
        }
}

static void test_palette_is_given(void **state) {
    (void)state;
    made_png what = {.width = 20, .height = 9, .type = 3, .depth = 4};
    const char *path = scratch("palette.png");
    make_png(path, &what);
    pulled_image pulled = pull_image(path, 100);
    assert_int_equal(pulled.form.palette_size, 16);
    for (int i = 0; i < 16; i++) { /* the colours that make_png.c writes */
        assert_int_equal(pulled.form.palette[3 * i], (i * 37) & 255);
        assert_int_equal(pulled.form.palette[3 * i + 1], 255 - i);
        assert_int_equal(pulled.form.palette[3 * i + 2], (i * i) & 255);
    }
    free_pulled(&pulled);
}

/* The bound holds, and it is not far off, for the roads that pack again. */
static void test_bound_holds(void **state) {
    (void)state;
    for (size_t k = 0; k < KINDS; k++) {
        made_png what = {.width = 201,
                         .height = 55,
                         .type = kinds[k][0],
                         .depth = kinds[k][1],
                         .interlaced = true,
                         .noise = 1};
        const char *path = scratch("bound.png");
        make_png(path, &what);
        pulled_image pulled = pull_image(path, 4096);
        int64_t raw = (int64_t)(pulled.row_bytes + 1) * what.height;
        assert_true((int64_t)pulled.length <= pulled.bound);
        assert_true(pulled.bound <= raw + raw / 1000 + 64);
        free_pulled(&pulled);
    }
}

/* Same bytes whatever the room pulled with: no state of the caller reaches the output. */
static void test_packing_does_not_depend_on_room(void **state) {
    (void)state;
    made_png what = {.width = 300, .height = 80, .type = 6, .depth = 8, .interlaced = true};
    const char *path = scratch("room.png");
    make_png(path, &what);
    pulled_image first = pull_image(path, 1 << 20);
    for (size_t room = 1; room < 3000; room = room * 3 + 1) {
        pulled_image again = pull_image(path, room);
        assert_int_equal(again.length, first.length);
        assert_memory_equal(again.bytes, first.bytes, first.length);
        free_pulled(&again);
    }
    free_pulled(&first);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_kind_comes_out_bit_for_bit),
        cmocka_unit_test(test_payload_is_untouched),
        cmocka_unit_test(test_palette_is_given),
        cmocka_unit_test(test_bound_holds),
        cmocka_unit_test(test_packing_does_not_depend_on_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
