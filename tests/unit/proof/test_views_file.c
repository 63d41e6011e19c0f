/* The file of views: one is used for nothing but the image file it was made of, and a file that is
 * none of ours, or is broken, is as if it were not there. */
#include "proof/proof_sample.h"

#include <unistd.h>
#include <zlib.h>

#include "base/limits.h"

enum { W = 9, H = 7, PIXELS = W * H * 3 };

typedef struct one_view {
    tw_image image;
    unsigned char pixels[PIXELS];
    tw_proof_view view;
    path folder, file;
    tw_buffer record;
} one_view;

static void pack(one_view *o, int64_t now) {
    const tw_proof_views at = {.descriptor = -1, .now = now};
    tw_buffer_free(&o->record);
    tw_buffer_start(&o->record, NULL);
    tw_proof_views_pack(&at, &o->view, &o->record);
    assert_false(o->record.failed);
}

static void make_one(one_view *o, const char *folder) {
    *o = (one_view){.image = {.state = {12345, 1000, 11, 3, 4, 1001, 22},
                              .format = TW_PNG,
                              .space = TW_RGB,
                              .width = W,
                              .height = H,
                              .depth = 8,
                              .orientation = 1},
                    .folder = new_folder(folder)};
    o->view = (tw_proof_view){.image = &o->image, W, H, 3, o->pixels, NULL, false};
    o->file = path_in(o->folder.text, TW_VIEWS_FILE);
    for (size_t i = 0; i < PIXELS; i++)
        o->pixels[i] = (unsigned char)(i * 7);
    pack(o, 5000);
    assert_true(o->record.length > PIXELS);
}

/* From a file of these bytes; what is taken must be right. */
static bool is_taken(const one_view *o, const void *bytes, size_t length) {
    unsigned char seen[PIXELS];
    tw_proof_views views;
    tw_proof_view view = o->view;
    if (bytes != NULL)
        write_file(o->file.text, bytes, length);
    view.pixels = seen;
    tw_proof_views_open(&views, NULL, o->folder.text, 5000);
    bool taken = tw_proof_views_take(&views, &view);
    tw_proof_views_close(&views);
    if (taken)
        assert_memory_equal(seen, o->pixels, PIXELS);
    return taken;
}

/* How many views the file there holds; -1: it is none that is read. */
static long held(const one_view *o) {
    tw_proof_views views;
    tw_proof_views_open(&views, NULL, o->folder.text, 5000);
    long count = views.descriptor < 0 ? -1 : (long)views.count;
    tw_proof_views_close(&views);
    return count;
}

/* What a_bit_turned_is_found turns: the program's version, the order of bytes in this machine. */
static void a_record_says_what_made_it(void **state) {
    (void)state;
    const uint16_t order = 0x0102;
    one_view o;
    make_one(&o, "maker");
    assert_memory_equal(o.record.bytes + 8, tw_version(), strlen(tw_version()));
    assert_memory_equal(o.record.bytes + 24, &order, sizeof order);
    tw_buffer_free(&o.record);
}

static void every_part_of_the_key_counts(void **state) {
    (void)state;
#define PART(name)                                                                                 \
    { offsetof(one_view, name), sizeof(((one_view *)NULL)->name) }
    static const struct {
        size_t at, size;
    } parts[] = {
        PART(image.state.size),
        PART(image.state.seconds),
        PART(image.state.nanoseconds),
        PART(image.state.changed_seconds),
        PART(image.state.device),
        PART(image.state.changed_nanoseconds),
        PART(image.state.inode),
        PART(image.format),
        PART(image.space),
        PART(image.width),
        PART(image.height),
        PART(image.depth),
        PART(image.inverted_cmyk),
        PART(image.orientation),
        PART(view.across),
        PART(view.down),
        PART(view.pixel_bytes),
    };
    one_view o;
    make_one(&o, "key");
    assert_true(is_taken(&o, o.record.bytes, o.record.length));
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        bool whole = parts[i].size == 1; /* a bool has one bit */
        for (size_t bit = 0; bit < (whole ? 1 : 8 * parts[i].size); bit++) {
            unsigned char *byte = (unsigned char *)&o + parts[i].at + bit / 8;
            *byte ^= (unsigned char)(1u << bit % 8);
            if (is_taken(&o, NULL, 0))
                fail_msg("part %zu, bit %zu", i, bit);
            *byte ^= (unsigned char)(1u << bit % 8);
        }
    }
    /* across and down exchanged: as many pixels */
    o.view.across = H;
    o.view.down = W;
    assert_false(is_taken(&o, NULL, 0));
    tw_buffer_free(&o.record);
}

/* Those whose pixels are not the file's alone. */
static void some_are_never_kept(void **state) {
    (void)state;
    one_view o;
    make_one(&o, "never");
    write_file(o.file.text, o.record.bytes, o.record.length);
    for (int i = 0; i < 4; i++) {
        o.image.alpha = i == 1;
        o.image.transparent_key = i == 2;
        o.image.damage.words = i == 3 ? "damaged" : NULL;
        pack(&o, 5000);
        assert_int_equal(o.record.length > 0, i == 0);
        assert_int_equal(is_taken(&o, NULL, 0), i == 0);
    }
    tw_buffer_free(&o.record);
}

/* Written or otherwise touched within the two seconds before: once more would not show. */
static void what_was_just_touched_is_not_kept(void **state) {
    (void)state;
    static const struct {
        int64_t written, changed;
        bool kept;
    } rows[] = {
        {1000, 1000, true},  {4997, 4997, true},   {4998, 4998, false},   {4997, 4998, false},
        {4998, 4997, false}, {5000, 5000, false},  {1000, 5001, false},   {9000, 1000, false},
        {-50, -50, true},    {INT64_MIN, 0, true}, {INT64_MAX, 0, false},
    };
    one_view o;
    make_one(&o, "racy");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        o.image.state.seconds = rows[i].written;
        o.image.state.changed_seconds = rows[i].changed;
        pack(&o, 5000);
        if ((o.record.length > 0) != rows[i].kept)
            fail_msg("row %zu", i);
    }
    tw_buffer_free(&o.record);
}

/* ------------------------------------------------ a file that is none */

static void a_file_cut_anywhere_is_not_used(void **state) {
    (void)state;
    one_view o;
    make_one(&o, "cut");
    size_t length = o.record.length;
    for (size_t most = 0; most < length; most++)
        if (is_taken(&o, o.record.bytes, most))
            fail_msg("taken of %zu bytes of %zu", most, length);
    assert_true(is_taken(&o, o.record.bytes, length));
    tw_buffer_add(&o.record, "", 1);
    assert_false(is_taken(&o, o.record.bytes, length + 1));
    tw_buffer_free(&o.record);
}

/* Before or behind another record: each stands for itself, but the file must end with one. */
static void a_file_of_several_cut_anywhere_is_not_used(void **state) {
    (void)state;
    one_view o;
    make_one(&o, "several");
    size_t length = o.record.length;
    for (int before = 0; before < 2; before++) {
        tw_buffer two;
        tw_buffer_start(&two, NULL);
        for (int i = 0; i < 2; i++) {
            o.image.state.inode += i != before;
            pack(&o, 5000);
            o.image.state.inode -= i != before;
            tw_buffer_add(&two, o.record.bytes, length);
        }
        for (size_t most = length + 1; most < 2 * length; most++)
            if (is_taken(&o, two.bytes, most) || held(&o) != 0)
                fail_msg("used of %zu bytes of two records", most);
        assert_true(is_taken(&o, two.bytes, 2 * length));
        assert_int_equal(held(&o), 2);
        two.bytes[0] ^= 1; /* another program's: nothing of it is read */
        assert_false(is_taken(&o, two.bytes, 2 * length));
        assert_int_equal(held(&o), 0);
        tw_buffer_free(&two);
    }
    tw_buffer_free(&o.record);
}

static void put_check_sum(unsigned char *record, size_t length) {
    size_t key = length - PIXELS - 4;
    uLong sum = crc32(crc32(0, record, (uInt)key), record + key + 4, PIXELS);
    tw_put_big32(record + key, (uint32_t)sum);
}

/* Any bit turned: of the pixels and the check sum, that does not hold; of the key, it is another's,
 * though the check sum hold. The key holds the program's version and the machine's byte order. */
static void a_bit_turned_is_found(void **state) {
    (void)state;
    one_view o;
    make_one(&o, "bits");
    size_t length = o.record.length, key = length - PIXELS - 4;
    unsigned char *bytes = (unsigned char *)o.record.bytes;
    put_check_sum(bytes, length);
    assert_true(is_taken(&o, bytes, length));
    for (size_t bit = 0; bit < 8 * length; bit++) {
        bytes[bit / 8] ^= (unsigned char)(1u << bit % 8);
        if (is_taken(&o, bytes, length))
            fail_msg("bit %zu of byte %zu", bit % 8, bit / 8);
        if (bit / 8 < key) {
            put_check_sum(bytes, length);
            if (is_taken(&o, bytes, length))
                fail_msg("bit %zu of byte %zu, mended", bit % 8, bit / 8);
        }
        bytes[bit / 8] ^= (unsigned char)(1u << bit % 8);
        put_check_sum(bytes, length);
    }
    assert_true(is_taken(&o, bytes, length));
    tw_buffer_free(&o.record);
}

static void too_long_a_file_is_not_used(void **state) {
    (void)state;
    one_view o;
    make_one(&o, "long");
    write_file(o.file.text, o.record.bytes, o.record.length);
    if (truncate(o.file.text, INT64_C(1) << 40) == 0) /* holes only */
        assert_false(is_taken(&o, NULL, 0));
    /* More records than there are prints in a day, each of them sound and without pixels. */
    tw_buffer many;
    tw_buffer_start(&many, NULL);
    o.view.across = 0;
    pack(&o, 5000);
    for (size_t i = 0; i <= TW_PRINTS_MOST; i++)
        tw_buffer_add(&many, o.record.bytes, o.record.length);
    write_file(o.file.text, many.bytes, many.length);
    for (size_t over = 0; over < 2; over++) {
        size_t length = many.length - over * o.record.length;
        assert_int_equal(truncate(o.file.text, (off_t)length), 0);
        assert_int_equal(held(&o), over == 0 ? 0 : TW_PRINTS_MOST);
    }
    tw_buffer_free(&many);
    tw_buffer_free(&o.record);
}

/* Not followed, not waited for. */
static void only_a_regular_file_is_read(void **state) {
    (void)state;
    one_view o;
    make_one(&o, "other");
    path elsewhere = path_in(scratch(""), "elsewhere");
    write_file(elsewhere.text, o.record.bytes, o.record.length);
    assert_int_equal(symlink(elsewhere.text, o.file.text), 0);
    assert_int_equal(held(&o), -1);
    assert_true(unlink(o.file.text) == 0 && link(elsewhere.text, o.file.text) == 0);
    assert_int_equal(held(&o), 1);
    assert_true(unlink(o.file.text) == 0 && mkfifo(o.file.text, 0600) == 0);
    assert_int_equal(held(&o), -1);
    assert_true(unlink(o.file.text) == 0 && mkdir(o.file.text, 0700) == 0);
    assert_int_equal(held(&o), -1);
    assert_int_equal(rmdir(o.file.text), 0);
    assert_int_equal(held(&o), -1);
    tw_buffer_free(&o.record);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_record_says_what_made_it),
        cmocka_unit_test(every_part_of_the_key_counts),
        cmocka_unit_test(some_are_never_kept),
        cmocka_unit_test(what_was_just_touched_is_not_kept),
        cmocka_unit_test(a_file_cut_anywhere_is_not_used),
        cmocka_unit_test(a_file_of_several_cut_anywhere_is_not_used),
        cmocka_unit_test(a_bit_turned_is_found),
        cmocka_unit_test(too_long_a_file_is_not_used),
        cmocka_unit_test(only_a_regular_file_is_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
