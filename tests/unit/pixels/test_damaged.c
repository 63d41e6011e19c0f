/*
 * Damaged images that are printed as far as they go: what is intact equals the same rows of the
 * whole file, bit for bit, and the rest is paper white. Files are cut and changed here; the whole
 * ones come from libpng, libjpeg and libtiff.
 */
#include "testing.h"

#include <zlib.h>

#include "image/rows.h"
#include "image/rows_testing.h"
#include "make_image.h"
#include "pixels/pixels.h"
#include "pixels/pixels_testing.h"
#include "settle/damage.h"

enum { WIDTH = 61, HEIGHT = 60 };

typedef struct seen_image {
    tw_arena *arena;
    tw_report report;
    tw_image image;
    read_rows rows; /* as printed */
} seen_image;

static tw_code look(seen_image *seen, const tw_allocator *allocator, const char *path,
                    tw_error *error) {
    tw_rows *rows = NULL;
    *seen = (seen_image){.arena = tw_arena_new(allocator, 0)};
    if (seen->arena == NULL)
        return TW_MEMORY;
    tw_report_start(&seen->report, seen->arena);
    tw_code code = tw_image_read_damaged(seen->arena, path, &seen->image, error);
    if (code == TW_OK)
        code = tw_find_damage(seen->arena, &seen->image, 1, NULL, &seen->report, error);
    if (code != TW_OK || seen->report.errors.count > 0)
        return code;
    code = tw_rows_open(tw_arena_allocator(seen->arena), &seen->image, &rows, error);
    if (code == TW_OK)
        code = read_them(rows, &seen->rows);
    tw_rows_close(rows);
    return code;
}

static void forget(seen_image *seen) {
    free_rows(&seen->rows);
    tw_arena_free(seen->arena);
}

static void see(seen_image *seen, const char *path) {
    tw_error error = {0};
    assert_ok(look(seen, NULL, path, &error), error);
}

static bool is_white_row(const tw_damage *damage, uint32_t y) {
    for (size_t i = 0; i < damage->white_count; i++)
        if (y >= damage->white[i].from && y < damage->white[i].to)
            return true;
    return false;
}

/* Paper white (tw_rows_form): all ones, or no ink and, where there is alpha, opaque. */
static void assert_white(const tw_rows_form *form, const unsigned char *row) {
    for (size_t i = 0; i < form->row_bytes; i++)
        assert_int_equal(row[i], form->space == TW_CMYK ? 0 : 255);
}

/* Rows are those of the whole image, or white where the damage says so, and as many as it says. */
static void assert_intact(const seen_image *seen, const read_rows *whole) {
    const tw_damage *damage = &seen->image.damage;
    size_t bytes = whole->form.row_bytes;
    uint32_t white = 0;
    assert_non_null(damage->words);
    assert_int_equal(seen->rows.form.row_bytes, bytes);
    for (uint32_t y = 0; y < HEIGHT; y++)
        if (is_white_row(damage, y)) {
            assert_white(&whole->form, seen->rows.bytes + y * bytes);
            white++;
        } else {
            assert_memory_equal(seen->rows.bytes + y * bytes, whole->bytes + y * bytes, bytes);
        }
    assert_int_equal(white, damage->white_rows);
}

static void cut(const char *from, const char *to, size_t count) {
    size_t length;
    unsigned char *bytes = read_file(from, &length);
    write_file(to, bytes, count < length ? count : 0);
    free(bytes);
}

static void flip(const char *from, const char *to, size_t at) {
    size_t length;
    unsigned char *bytes = read_file(from, &length);
    bytes[at] ^= 0x5A;
    write_file(to, bytes, length);
    free(bytes);
}

static size_t size_of(const char *path) {
    size_t length;
    free(read_file(path, &length));
    return length;
}

/* ------------------------------------------------ PNG */

static const made_png pngs[] = {
    {.width = WIDTH, .height = HEIGHT, .type = 0, .depth = 16, .data_size = 90, .noise = 1},
    {.width = WIDTH, .height = HEIGHT, .type = 2, .depth = 8, .data_size = 90},
    {.width = WIDTH, .height = HEIGHT, .type = 3, .depth = 4, .data_size = 90},
    {.width = WIDTH, .height = HEIGHT, .type = 6, .depth = 8, .data_size = 90},
    {.width = WIDTH, .height = HEIGHT, .type = 0, .depth = 2, .data_size = 90, .noise = 1},
};

/* Cut off, and with a chunk whose check sum does not hold: rows down to there are intact. */
static void test_png(void **state) {
    (void)state;
    const char *path = scratch("whole.png"), *broken = scratch("broken.png");
    for (size_t i = 0; i < sizeof pngs / sizeof *pngs; i++)
        for (int way = 0; way < 2; way++) {
            seen_image seen;
            make_png(path, &pngs[i]);
            size_t middle = size_of(path) * 6 / 10;
            read_rows whole = all_rows(path);
            if (way == 0)
                cut(path, broken, middle);
            else
                flip(path, broken, middle);
            see(&seen, broken);
            assert_intact(&seen, &whole);
            assert_int_equal(seen.image.damage.white_count, 1);
            assert_int_equal(seen.image.damage.white[0].to, HEIGHT);
            assert_in_range(seen.image.damage.white_rows, HEIGHT / 5, HEIGHT * 4 / 5);
            assert_false(tw_image_passes(&seen.image));
            forget(&seen);
            free_rows(&whole);
        }
}

/* Every row whose packed bytes are there is had: no block of image data is lost at the cut. */
static void test_png_to_the_last_row(void **state) {
    (void)state;
    made_png made = {.width = WIDTH, .height = HEIGHT, .type = 2, .depth = 8, .noise = 1};
    const char *path = scratch("whole.png"), *broken = scratch("broken.png");
    made.data_size = 1 << 20;
    make_png(path, &made);
    read_rows whole = all_rows(path);
    seen_image seen;
    /* noise hardly packs: all but the last rows need what comes before the last 600 bytes */
    cut(path, broken, size_of(path) - 600);
    see(&seen, broken);
    assert_intact(&seen, &whole);
    assert_in_range(seen.image.damage.white_rows, 1, 600 / (3 * WIDTH) + 2);
    forget(&seen);
    free_rows(&whole);
}

/* The first pixel at or before x and y that a whole pass holds (PNG, W3C, 8.2). */
static void test_interlaced(void **state) {
    static const uint32_t across[] = {0, 8, 4, 4, 2, 2, 1}, down[] = {0, 8, 8, 4, 4, 2, 2};
    (void)state;
    const char *path = scratch("whole.png"), *broken = scratch("broken.png");
    made_png made = {.width = WIDTH, .height = HEIGHT, .type = 2, .depth = 8, .data_size = 30};
    made.interlaced = true;
    made.noise = 1;
    make_png(path, &made);
    read_rows whole = all_rows(path);
    int seen_passes = 0;
    for (int tenth = 1; tenth < 10; tenth++) {
        seen_image seen;
        cut(path, broken, size_of(path) * (size_t)tenth / 10);
        see(&seen, broken);
        uint32_t passes = (uint32_t)seen.image.damage.passes;
        assert_in_range(passes, 1, 6);
        assert_int_equal(seen.image.damage.white_count, 0);
        seen_passes |= 1 << passes;
        uint32_t exact = 0;
        for (uint32_t y = 0; y < HEIGHT; y++) {
            const unsigned char *row = seen.rows.bytes + y * whole.form.row_bytes;
            const unsigned char *own = whole.bytes + y * whole.form.row_bytes;
            const unsigned char *above =
                whole.bytes + (y - y % down[passes]) * whole.form.row_bytes;
            if (memcmp(row, own, whole.form.row_bytes) == 0) {
                exact++;
                continue;
            }
            for (uint32_t x = 0; x < WIDTH; x++)
                assert_memory_equal(row + 3 * x, above + 3 * (x - x % across[passes]), 3);
        }
        assert_true(passes < 6 || exact >= HEIGHT / 2);
        assert_true(tenth < 9 || exact > HEIGHT / 2); /* the seventh has begun */
        forget(&seen);
    }
    assert_true((seen_passes & 1 << 6) != 0 && (seen_passes & (1 << 3 | 1 << 4)) != 0);
    free_rows(&whole);
}

/* ------------------------------------------------ JPEG */

static void test_jpeg(void **state) {
    static const made_jpeg made[] = {
        {.width = WIDTH, .height = HEIGHT, .components = 3},
        {.width = WIDTH, .height = HEIGHT, .components = 1, .lossless_like = true},
        {.width = WIDTH, .height = HEIGHT, .components = 4},
    };
    (void)state;
    const char *path = scratch("whole.jpg"), *broken = scratch("broken.jpg");
    for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
        seen_image seen;
        make_jpeg(path, &made[i]);
        read_rows whole = all_rows(path);
        cut(path, broken, size_of(path) * 8 / 10);
        see(&seen, broken);
        assert_intact(&seen, &whole);
        assert_int_equal(seen.image.damage.white_count, 1);
        assert_in_range(seen.image.damage.white_rows, 4, HEIGHT - 8);
        forget(&seen);
        free_rows(&whole);
    }
}

/* Where the marker `code` stands for the nth time, or the file's end. */
static size_t find_marker(const unsigned char *bytes, size_t length, unsigned code, int nth) {
    size_t at = 2;
    for (; at + 1 < length; at++)
        if (bytes[at] == 0xFF && bytes[at + 1] == code && --nth == 0)
            break;
    return at;
}

/* Rows down to the white ones are what libjpeg itself makes of a file that ends at `count` with an
 * end marker. */
static void assert_as_ended(const unsigned char *bytes, size_t count, const seen_image *seen) {
    const char *path = scratch("ended.jpg");
    unsigned char *ended = malloc(count + 2);
    size_t row_bytes;
    uint32_t height;
    memcpy(ended, bytes, count);
    memcpy(ended + count, "\xFF\xD9", 2);
    write_file(path, ended, count + 2);
    unsigned char *own = read_jpeg_rows(path, &row_bytes, &height);
    assert_memory_equal(seen->rows.bytes, own,
                        row_bytes * (height - seen->image.damage.white_rows));
    free(own);
    free(ended);
}

/* Of several scans: coarser where the later ones are missing; in the midst of the first one the
 * rows it has not come to are white. */
static void test_progressive(void **state) {
    (void)state;
    const char *path = scratch("whole.jpg"), *broken = scratch("broken.jpg");
    made_jpeg made = {.width = WIDTH, .height = HEIGHT, .components = 3, .progressive = true};
    made.height = 200;
    make_jpeg(path, &made);
    size_t length;
    unsigned char *bytes = read_file(path, &length);
    size_t scan = find_marker(bytes, length, 0xDA, 1), table = find_marker(bytes, length, 0xDA, 2);
    while (memcmp(bytes + table, "\xFF\xC4", 2) != 0)
        table--;
    size_t third = find_marker(bytes, length, 0xDA, 3);
    seen_image seen;
    size_t last = third; /* the table before it */
    while (memcmp(bytes + last, "\xFF\xC4", 2) != 0)
        last--;
    const size_t cuts[][2] = {
        {third - 3, last}, {third, third}, {third + 5, third}, {third + 14, third + 14}};
    for (size_t i = 0; i < 4; i++) { /* in a table, before and in a scan's head, in a scan */
        write_file(broken, bytes, cuts[i][0]);
        see(&seen, broken);
        assert_in_range(seen.image.damage.passes, 2, 3);
        assert_int_equal(seen.image.damage.white_count, 0);
        assert_as_ended(bytes, cuts[i][1], &seen);
        forget(&seen);
    }
    write_file(broken, bytes, scan + (table - scan) * 8 / 10);
    see(&seen, broken);
    assert_int_equal(seen.image.damage.passes, 1);
    assert_int_equal(seen.image.damage.white_count, 1);
    assert_in_range(seen.image.damage.white_rows, 32, 150);
    assert_as_ended(bytes, table, &seen); /* with all of that scan */
    for (uint32_t y = seen.image.damage.white[0].from; y < made.height; y++)
        assert_white(&seen.rows.form, seen.rows.bytes + y * seen.rows.form.row_bytes);
    forget(&seen);
    free(bytes);
}

/* ------------------------------------------------ TIFF */

static const made_tiff tiffs[] = {
    {.width = WIDTH, .height = HEIGHT, .photometric = 2, .depth = 8, .compression = 8, .strip = 7},
    {.width = WIDTH,
     .height = HEIGHT,
     .photometric = 2,
     .depth = 16,
     .compression = 8,
     .strip = 7,
     .separate = true,
     .predictor = 2},
    {.width = WIDTH, .height = HEIGHT, .photometric = 5, .depth = 8, .compression = 5, .strip = 7},
    {.width = WIDTH, .height = HEIGHT, .photometric = 2, .depth = 8, .compression = 8, .tile = 16},
    {.width = WIDTH,
     .height = HEIGHT,
     .photometric = 2,
     .depth = 8,
     .compression = 32773,
     .strip = 7,
     .extra = 1,
     .alpha = 1},
};

/* A strip or row of tiles with wrong bytes is white, those after it are not. */
static void test_tiff_strips(void **state) {
    (void)state;
    const char *path = scratch("whole.tif"), *broken = scratch("broken.tif");
    int damaged = 0;
    for (size_t i = 0; i < sizeof tiffs / sizeof *tiffs; i++) {
        make_tiff(path, &tiffs[i]);
        read_rows whole = all_rows(path);
        for (int tenth = 2; tenth < 8; tenth++) {
            seen_image seen;
            flip(path, broken, size_of(path) * (size_t)tenth / 10);
            see(&seen, broken);
            /* LZW and PackBits have no check sum: a change need not show */
            if (seen.image.damage.words != NULL && seen.image.damage.white_count > 0) {
                uint32_t block = seen.image.tiff.block_height;
                assert_intact(&seen, &whole);
                assert_int_equal(seen.image.damage.white[0].from % block, 0);
                assert_true(seen.image.damage.white_rows <= block);
                damaged++;
            } else {
                assert_int_not_equal(tiffs[i].compression, 8);
            }
            forget(&seen);
        }
        free_rows(&whole);
    }
    assert_true(damaged >= 18);
}

static void put(unsigned char *entry, unsigned tag, unsigned type, uint32_t count, uint32_t value) {
    unsigned char made[12] = {(unsigned char)(tag >> 8), (unsigned char)tag, 0,
                              (unsigned char)type};
    for (int i = 0; i < 4; i++) {
        made[4 + i] = (unsigned char)(count >> (24 - 8 * i));
        made[8 + i] = (unsigned char)((type == 3 ? value << 16 : value) >> (24 - 8 * i));
    }
    memcpy(entry, made, sizeof made);
}

/* Grey, its directory before its only strip (TIFF 6.0 section 2), as what a cut leaves has it. */
static void make_tiff_with_data_last(const char *path, bool deflated) {
    enum { DATA = 8 + 2 + 8 * 12 + 4 };
    static unsigned char file[DATA + 2 * WIDTH * HEIGHT], rows[WIDTH * HEIGHT];
    uLongf length = sizeof file - DATA;
    for (size_t i = 0; i < sizeof rows; i++)
        rows[i] = (unsigned char)made_sample((uint32_t)i % WIDTH, (uint32_t)i / WIDTH, 0, 8);
    memset(file, 0, sizeof file);
    memcpy(file, "MM\0*\0\0\0\x08\0\x08", 10);
    if (deflated)
        assert_int_equal(compress(file + DATA, &length, rows, sizeof rows), Z_OK);
    else
        memcpy(file + DATA, rows, length = sizeof rows);
    put(file + 10, 256, 3, 1, WIDTH);
    put(file + 22, 257, 3, 1, HEIGHT);
    put(file + 34, 258, 3, 1, 8);
    put(file + 46, 259, 3, 1, deflated ? 8 : 1);
    put(file + 58, 262, 3, 1, 1);
    put(file + 70, 273, 4, 1, DATA);
    put(file + 82, 278, 3, 1, HEIGHT);
    put(file + 94, 279, 4, 1, (uint32_t)length);
    write_file(path, file, DATA + length);
}

static void test_tiff_cut(void **state) {
    (void)state;
    const char *path = scratch("whole.tif"), *broken = scratch("broken.tif");
    for (int deflated = 0; deflated < 2; deflated++) {
        seen_image seen;
        make_tiff_with_data_last(path, deflated == 1);
        read_rows whole = all_rows(path);
        cut(path, broken, size_of(path) * 6 / 10);
        see(&seen, broken);
        assert_intact(&seen, &whole);
        assert_int_equal(seen.image.damage.white_count, 1);
        assert_in_range(seen.image.damage.white_rows, HEIGHT / 5, HEIGHT * 3 / 5);
        forget(&seen);
        free_rows(&whole);
    }
}

/* ------------------------------------------------ all of them */

/* As it stands in the PDF (ISO 32000-1 7.4.4.4). */
static void test_road(void **state) {
    (void)state;
    const char *path = scratch("whole.png"), *broken = scratch("broken.png");
    seen_image seen;
    tw_error error = {0};
    tw_pixels *pixels = NULL;
    unsigned char buffer[1000];
    size_t got = 1;
    make_png(path, &pngs[1]);
    cut(path, broken, size_of(path) / 2);
    see(&seen, broken);
    pulled_image out = {.row_bytes = 3 * WIDTH};
    assert_ok(tw_pixels_open(NULL, &seen.image, &pixels, &out.form, &error), error);
    while (got > 0) {
        assert_ok(tw_pixels_pull(pixels, buffer, sizeof buffer, &got, &error), error);
        add_bytes(&out, buffer, got);
    }
    tw_pixels_close(pixels);
    unsigned char *rows = undo_flate(&out);
    assert_memory_equal(rows, seen.rows.bytes, seen.rows.length);
    assert_string_equal(out.form.road, "damaged: decoded and packed again");
    assert_true((int64_t)out.length <= tw_pixels_bound(&seen.image));
    free(rows);
    free_pulled(&out);
    forget(&seen);
}

static void test_nothing_left(void **state) {
    (void)state;
    const char *path = scratch("whole"), *broken = scratch("broken");
    made_png png = {.width = WIDTH, .height = HEIGHT, .type = 2, .depth = 8, .data_size = 1 << 20};
    made_jpeg jpeg = {.width = WIDTH, .height = HEIGHT, .components = 3};
    for (int i = 0; i < 2; i++) {
        seen_image seen;
        if (i == 0) {
            make_png(path, &png);
            flip(path, broken, size_of(path) / 2); /* in its only chunk of image data */
        } else {
            make_jpeg(path, &jpeg);
            cut(path, broken, 640);
        }
        see(&seen, broken);
        assert_int_equal(seen.report.errors.count, 1);
        assert_says(seen.report.errors.items[0], "; no row of it is known to be intact");
        assert_string_equal(seen.report.errors.items[0].file, broken);
        forget(&seen);
    }
}

/* Not asked for, damage stays an error, and a whole image says nothing. */
static void test_whole_and_not_accepted(void **state) {
    (void)state;
    const char *path = scratch("whole.png"), *broken = scratch("broken.png");
    seen_image seen;
    tw_error error = {0};
    make_png(path, &pngs[1]);
    see(&seen, path);
    assert_null(seen.image.damage.words);
    assert_true(tw_image_passes(&seen.image));
    cut(path, broken, size_of(path) / 2);
    assert_int_equal(tw_image_read(seen.arena, broken, &seen.image, &error), TW_DAMAGED);
    cut(path, broken, 40); /* before the pixels */
    assert_int_equal(tw_image_read_damaged(seen.arena, broken, &seen.image, &error), TW_DAMAGED);
    forget(&seen);
}

static void test_no_memory_at_any_point(void **state) {
    (void)state;
    const char *path = scratch("whole"), *broken = scratch("broken");
    for (int i = 0; i < 2; i++) {
        tw_code code = TW_MEMORY;
        i == 0 ? make_png(path, &pngs[1]) : make_tiff(path, &tiffs[0]);
        flip(path, broken, size_of(path) / 2);
        for (long at = 1; code != TW_OK; at++) {
            test_memory memory = {.fail_at = at};
            tw_allocator allocator = test_allocator(&memory);
            seen_image seen;
            tw_error error = {0};
            code = look(&seen, &allocator, broken, &error);
            if (code != TW_OK && code != TW_MEMORY)
                fail_msg("%d at %ld: %s / %s", code, at, error.message, seen.rows.error.message);
            forget(&seen);
            assert_no_leak(memory);
            assert_true(at < 400);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_png),
        cmocka_unit_test(test_png_to_the_last_row),
        cmocka_unit_test(test_interlaced),
        cmocka_unit_test(test_jpeg),
        cmocka_unit_test(test_progressive),
        cmocka_unit_test(test_tiff_strips),
        cmocka_unit_test(test_tiff_cut),
        cmocka_unit_test(test_road),
        cmocka_unit_test(test_nothing_left),
        cmocka_unit_test(test_whole_and_not_accepted),
        cmocka_unit_test(test_no_memory_at_any_point),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
