/* Looks at images: the points of an even grid are the decoder's own pixels there, whatever rows are
 * passed over on the way; a JPEG decoded small shows the means of its pixels. */
#include "testing.h"

#include "image/rows_testing.h"
#include "make_image.h"

#include "base/arena.h"
#include "colour/paper_white.h"
#include "colour/sample.h"
#include "colour/tone.h"
#include "image/image.h"

enum { W = 301, H = 203, ACROSS = 20, DOWN = 13 };

typedef struct seen {
    unsigned char pixels[DOWN][ACROSS][8];
    int times[DOWN][ACROSS];
    size_t pixel_bytes;
} seen;

static void keep(void *context, const unsigned char *pixels, size_t count,
                 const tw_sample_place *places) {
    seen *s = context;
    for (size_t i = 0; i < count; i++) {
        assert_true(places[i].x < ACROSS && places[i].y < DOWN);
        s->times[places[i].y][places[i].x]++;
        memcpy(s->pixels[places[i].y][places[i].x], pixels + i * s->pixel_bytes, s->pixel_bytes);
    }
}

static tw_code look(const tw_allocator *allocator, const char *path, size_t pixel_bytes, seen *out,
                    tw_error *error) {
    tw_image image;
    tw_arena *arena = tw_arena_new(allocator, 0);
    *out = (seen){.pixel_bytes = pixel_bytes};
    tw_code code = arena == NULL ? TW_MEMORY : tw_image_read(arena, path, &image, error);
    if (code == TW_OK)
        code = tw_sample_image(allocator, &image, ACROSS, DOWN, keep, out, error);
    tw_arena_free(arena);
    return code;
}

/* Where a strip begins in the part of the image a point stands for, its first row that is nearest
 * to the middle; else the middle. Found by looking at every row. */
static size_t row_of(size_t y, size_t strip) {
    size_t middle = (2 * y + 1) * H / (2 * DOWN), best = middle, least = H;
    for (size_t row = y * H / DOWN; strip > 1 && row < (y + 1) * H / DOWN; row++) {
        size_t off = row < middle ? middle - row : row - middle;
        if (row % strip == 0 && off < least) {
            best = row;
            least = off;
        }
    }
    return best;
}

static void assert_points(const char *what, const char *path, size_t strip) {
    tw_error error = {0};
    seen s;
    read_rows all = all_rows(path);
    size_t pixel = all.form.pixel_bytes;
    assert_ok(look(NULL, path, pixel, &s, &error), error);
    for (size_t y = 0; y < DOWN; y++)
        for (size_t x = 0; x < ACROSS; x++) {
            size_t row = row_of(y, strip), column = (2 * x + 1) * W / (2 * ACROSS);
            const unsigned char *wanted = all.bytes + row * all.form.row_bytes + column * pixel;
            assert_int_equal(s.times[y][x], 1);
            for (size_t i = 0; i < pixel; i++) {
                uint16_t wide;
                memcpy(&wide, s.pixels[y][x] + i / 2 * 2, 2);
                unsigned got = all.form.bits == 8 ? s.pixels[y][x][i]
                               : i % 2 == 0       ? wide >> 8
                                                  : wide & 255;
                if (got != wanted[i])
                    fail_msg("%s: point %zu, %zu, byte %zu is %u, and %u is right", what, x, y, i,
                             got, wanted[i]);
            }
        }
    free_rows(&all);
}

static void test_tiffs(void **state) {
    static const made_tiff kinds[] = {
        {.photometric = 2, .depth = 16},
        {.photometric = 2, .depth = 8, .strip = 1},
        {.photometric = 2, .depth = 16, .strip = 7, .separate = true},
        {.photometric = 2, .depth = 16, .strip = 5, .compression = 8, .predictor = 2},
        {.photometric = 2, .depth = 8, .strip = 50, .compression = 8},
        {.photometric = 2, .depth = 8, .compression = 8, .separate = true},
        {.photometric = 2, .depth = 16, .strip = 3, .compression = 5, .predictor = 2},
        {.photometric = 2, .depth = 8, .strip = 40, .compression = 5, .separate = true},
        {.photometric = 2, .depth = 8, .strip = 9, .compression = 32773},
        {.photometric = 2, .depth = 8, .tile = 16, .compression = 5},
        {.photometric = 2, .depth = 16, .tile = 32, .separate = true},
        {.photometric = 0, .depth = 8, .strip = 4},
        {.photometric = 3, .depth = 4, .strip = 6, .compression = 5},
        {.photometric = 5, .depth = 16, .strip = 11, .compression = 8},
        {.photometric = 6, .depth = 8, .strip = 16, .compression = 7},
        {.photometric = 6, .depth = 8, .tile = 32, .compression = 7},
    };
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        char what[20];
        made_tiff made = kinds[i];
        const char *path = scratch("look.tif");
        made.width = W;
        made.height = H;
        make_tiff(path, &made);
        snprintf(what, sizeof what, "TIFF %zu", i);
        assert_points(what, path, made.tile > 0 ? 0 : made.strip > 0 ? made.strip : H);
    }
}

static void test_pngs(void **state) {
    static const made_png kinds[] = {
        {.type = 2, .depth = 8},  {.type = 2, .depth = 16},
        {.type = 0, .depth = 2},  {.type = 3, .depth = 8},
        {.type = 0, .depth = 16}, {.type = 2, .depth = 16, .interlaced = true},
    };
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        char what[20];
        made_png made = kinds[i];
        const char *path = scratch("look.png");
        made.width = W;
        made.height = H;
        make_png(path, &made);
        snprintf(what, sizeof what, "PNG %zu", i);
        assert_points(what, path, 0);
    }
}

/* Points of a transparent picture are on paper white: the same as of all rows laid on it. */
static void test_transparent(void **state) {
    (void)state;
    const char *path = scratch("clear.tif");
    made_tiff made = {.width = W, .height = H, .photometric = 2, .depth = 16, .extra = 1};
    for (made.alpha = 1; made.alpha <= 2; made.alpha++) {
        tw_error error = {0};
        tw_image image;
        tw_rows *rows = NULL, *laid = NULL;
        tw_tone *tone = NULL;
        static unsigned char row[W * 8];
        seen s;
        make_tiff(path, &made);
        tw_arena *arena = tw_arena_new(NULL, 0);
        assert_ok(tw_image_read(arena, path, &image, &error), error);
        assert_ok(tw_rows_open(NULL, &image, &rows, &error), error);
        assert_ok(tw_tone_new(NULL, &image, 16, &tone, &error), error);
        assert_ok(tw_paper_rows(NULL, rows, tone, &laid, &error), error);
        assert_ok(look(NULL, path, 6, &s, &error), error);
        for (size_t y = 0, next = 0; y < H; y++) {
            assert_ok(tw_rows_next(laid, row, &error), error);
            if (next == DOWN || y != row_of(next, H))
                continue;
            for (size_t x = 0; x < ACROSS; x++)
                for (size_t c = 0; c < 3; c++) {
                    uint16_t got;
                    const unsigned char *at = row + (2 * x + 1) * W / (2 * ACROSS) * 6 + 2 * c;
                    memcpy(&got, s.pixels[next][x] + 2 * c, 2);
                    assert_int_equal(got, at[0] << 8 | at[1]);
                }
            next++;
        }
        tw_rows_close(laid);
        tw_tone_free(NULL, tone);
        tw_arena_free(arena);
    }
}

/* 304 x 208 at an eighth is 38 x 26, enough for the grid: each point is near the mean of the 8 x 8
 * pixels it stands for (the mean of a block is its first coefficient: ITU-T T.81 A.3.3). */
static void test_jpeg_is_decoded_small(void **state) {
    (void)state;
    const char *path = scratch("look.jpg");
    const made_jpeg made = {.width = 304, .height = 208, .components = 1, .lossless_like = true};
    tw_error error = {0};
    seen s;
    make_jpeg(path, &made);
    read_rows all = all_rows(path);
    assert_ok(look(NULL, path, 1, &s, &error), error);
    for (size_t y = 0; y < DOWN; y++)
        for (size_t x = 0; x < ACROSS; x++) {
            size_t column = (2 * x + 1) * 38 / (2 * ACROSS), row = (2 * y + 1) * 26 / (2 * DOWN);
            unsigned sum = 0;
            for (size_t i = 0; i < 64; i++)
                sum += all.bytes[(row * 8 + i / 8) * 304 + column * 8 + i % 8];
            assert_int_equal(s.times[y][x], 1);
            assert_in_range(s.pixels[y][x][0], sum / 64 < 2 ? 0 : sum / 64 - 2, sum / 64 + 2);
        }
    free_rows(&all);
}

static void test_no_memory_at_any_point(void **state) {
    (void)state;
    const char *path = scratch("sample.tif");
    made_tiff made = {.width = W, .height = H, .photometric = 2, .depth = 8, .compression = 8};
    made.extra = 1;
    made.alpha = 2;
    make_tiff(path, &made);
    tw_code code = TW_MEMORY;
    for (long at = 1; code != TW_OK; at++) {
        test_memory memory = {.fail_at = at};
        tw_allocator allocator = test_allocator(&memory);
        seen s;
        code = look(&allocator, path, 3, &s, NULL);
        assert_true(code == TW_OK || code == TW_MEMORY);
        assert_no_leak(memory);
        assert_true(at < 100);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_tiffs),
        cmocka_unit_test(test_pngs),
        cmocka_unit_test(test_transparent),
        cmocka_unit_test(test_jpeg_is_decoded_small),
        cmocka_unit_test(test_no_memory_at_any_point),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
