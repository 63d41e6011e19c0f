/*
 * The parallel packing: what comes out is one zlib stream (RFC 1950) that zlib's own inflate
 * takes, holds the rows after PNG's filters are undone (pixels_testing.h), and is the same for any
 * number of threads and any size of the pieces it is pulled in.
 */
#include "testing.h"

#include "pixels/flate.h"
#include "pixels/pixels_testing.h"

typedef struct sample {
    size_t row_bytes, step;
    uint32_t height;
    int kind; /* 0 noise on a slope, 1 flat, 2 a pattern that repeats, 3 all three by turns */
} sample;

static void make_row(const sample *what, uint32_t y, unsigned char *row) {
    uint32_t seed = y * 2654435761u;
    int kind = what->kind == 3 ? (int)(y / 97 % 3) : what->kind;
    for (size_t i = 0; i < what->row_bytes; i++) {
        seed = seed * 1664525u + 1013904223u;
        uint32_t slope = (uint32_t)(i / 40 + y / 3);
        row[i] = (unsigned char)(kind == 1   ? 200
                                 : kind == 2 ? i % 61 * (y % 5)
                                             : slope + (seed >> 24) % 13);
    }
}

static pulled_image pack(const sample *what, size_t threads, size_t room) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    pulled_image out = {.row_bytes = what->row_bytes};
    tw_error error = {0};
    tw_flate *flate;
    unsigned char *row = malloc(what->row_bytes), *piece = malloc(room);
    size_t got = 0;
    assert_ok(tw_flate_new_on(&allocator, what->row_bytes, what->step, threads, &flate, &error),
              error);
    for (uint32_t y = 0; y <= what->height;) {
        assert_ok(tw_flate_pull(flate, piece, room, &got, &error), error);
        add_bytes(&out, piece, got);
        if (got > 0)
            continue;
        if (y++ == what->height) {
            tw_flate_end(flate);
            break;
        }
        make_row(what, y - 1, row);
        assert_ok(tw_flate_row(flate, row, &error), error);
    }
    do {
        assert_ok(tw_flate_pull(flate, piece, room, &got, &error), error);
        add_bytes(&out, piece, got);
    } while (got > 0);
    tw_flate_free(flate);
    assert_no_leak(memory);
    free(row);
    free(piece);
    out.form.width = (uint32_t)(what->row_bytes / (what->step == 0 ? 1 : what->step));
    out.form.height = what->height;
    out.form.channels = what->step == 0 ? 1 : (int)what->step;
    out.form.bits = 8;
    return out;
}

static const sample samples[] = {
    {3, 3, 1, 0},      {1, 1, 5, 0},      {300, 3, 10, 0},   {3000, 6, 400, 0},
    {3000, 3, 400, 1}, {3000, 3, 200, 2}, {7000, 6, 330, 3}, {600000, 8, 3, 0},
    {2048, 0, 600, 2}, {524287, 1, 2, 0}, {1023, 1, 512, 3},
};

static void test_rows_come_back(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof samples / sizeof *samples; i++) {
        const sample *what = &samples[i];
        pulled_image packed = pack(what, 2, 100000);
        unsigned char *rows = undo_flate(&packed), *wanted = malloc(what->row_bytes);
        for (uint32_t y = 0; y < what->height; y++) {
            make_row(what, y, wanted);
            assert_memory_equal(rows + y * what->row_bytes, wanted, what->row_bytes);
        }
        assert_true((int64_t)packed.length <= tw_flate_bound(what->row_bytes, what->height));
        free(rows);
        free(wanted);
        free_pulled(&packed);
    }
}

static void test_same_bytes_on_any_number_of_threads(void **state) {
    static const size_t threads[] = {1, 3, 16}, rooms[] = {1, 1 << 20, 777};
    (void)state;
    for (size_t i = 2; i < sizeof samples / sizeof *samples; i++) {
        pulled_image first = pack(&samples[i], 2, 4096);
        for (size_t k = 0; k < 3; k++) {
            bool large = first.length > 100000;
            pulled_image other = pack(&samples[i], threads[k], large && k == 0 ? 4000 : rooms[k]);
            assert_int_equal(other.length, first.length);
            assert_memory_equal(other.bytes, first.bytes, first.length);
            free_pulled(&other);
        }
        free_pulled(&first);
    }
}

/* Let go of at any time: threads end, nothing leaks. */
static void test_closed_midway(void **state) {
    (void)state;
    for (uint32_t rows = 0; rows < 500; rows += 120) {
        test_memory memory = {0};
        tw_allocator allocator = test_allocator(&memory);
        sample what = {6000, 6, 1000, 0};
        unsigned char row[6000], piece[5000];
        tw_error error = {0};
        tw_flate *flate;
        size_t got = 1;
        assert_ok(tw_flate_new_on(&allocator, 6000, 6, 3, &flate, &error), error);
        for (uint32_t y = 0; y < rows; y++) {
            make_row(&what, y, row);
            for (got = 1; got > 0;)
                assert_ok(tw_flate_pull(flate, piece, sizeof piece, &got, &error), error);
            assert_ok(tw_flate_row(flate, row, &error), error);
        }
        tw_flate_free(flate);
        assert_no_leak(memory);
    }
}

/* A photograph's smooth parts pack far better filtered than not. */
static void test_it_packs(void **state) {
    (void)state;
    pulled_image noise = pack(&samples[3], 2, 1 << 20), flat = pack(&samples[4], 2, 1 << 20);
    size_t raw = samples[3].row_bytes * samples[3].height;
    assert_true(noise.length < raw * 2 / 3);
    assert_true(flat.length < raw / 200);
    free_pulled(&noise);
    free_pulled(&flat);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rows_come_back),
        cmocka_unit_test(test_same_bytes_on_any_number_of_threads),
        cmocka_unit_test(test_closed_midway),
        cmocka_unit_test(test_it_packs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
