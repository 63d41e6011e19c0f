/*
 * The face's tables, and the subset made of them: the built-in face against values read off
 * DejaVu Sans 2.37, and broken faces that must be refused or read without harm.
 */
#include "pdf/truetype.h"
#include "testing.h"

#include "base/face.h"

static tw_truetype built_in(void) {
    tw_truetype face;
    size_t length;
    const unsigned char *bytes = tw_face_bytes(&length);
    assert_true(tw_truetype_open(bytes, length, &face));
    return face;
}

/* 2048 units an em; A is 1401 wide, the space 651 (hmtx). */
static void glyphs_and_widths(void **state) {
    tw_truetype face = built_in();
    char name[64];
    (void)state;
    assert_int_equal(face.units, 2048);
    assert_int_equal(tw_truetype_advance(&face, tw_truetype_glyph(&face, 'A')), 1401);
    assert_int_equal(tw_truetype_advance(&face, tw_truetype_glyph(&face, ' ')), 651);
    assert_int_equal(tw_truetype_glyph(&face, 0x65E5), 0);
    assert_int_equal(tw_truetype_glyph(&face, 0x10FFFF), 0);
    assert_int_not_equal(tw_truetype_glyph(&face, 0x1D538), 0); /* by format 12 */
    tw_truetype_name(&face, name);
    assert_string_equal(name, "DejaVuSans");
}

/* The two readers of the same face (base/face.c knows nothing of this one) agree. */
static void agrees_with_the_other_reader(void **state) {
    tw_truetype face = built_in();
    (void)state;
    for (uint32_t c = 0x20; c < 0x20000; c++) {
        char text[5] = "";
        if (c >= 0xD800 && c < 0xE000)
            continue;
        uint16_t glyph = tw_truetype_glyph(&face, c);
        if ((glyph != 0) != tw_face_has(c))
            fail_msg("U+%04X", (unsigned)c);
        (void)tw_utf8_put(c, text);
        if (glyph != 0)
            assert_int_equal(tw_face_width(text, 2048), tw_truetype_advance(&face, glyph));
    }
}

static void a_subset_is_a_face(void **state) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_arena *arena = tw_arena_new(&allocator, 0);
    tw_truetype face = built_in(), made;
    tw_error error;
    tw_buffer out;
    /* .notdef, A, a composite (A with ring and acute), and A a second time */
    uint16_t glyphs[] = {0, tw_truetype_glyph(&face, 'A'), tw_truetype_glyph(&face, 0x1FA),
                         tw_truetype_glyph(&face, 'A')};
    (void)state;
    tw_buffer_start(&out, &allocator);
    assert_ok(tw_truetype_subset(arena, &face, glyphs, 4, &out, &error), error);
    assert_true(out.length < 20000);
    assert_true(tw_truetype_table(&face, "cmap").length > 0);
    made = (tw_truetype){.bytes = (unsigned char *)out.bytes, .length = out.length};
    tw_table maxp = tw_truetype_table(&made, "maxp"), head = tw_truetype_table(&made, "head");
    tw_table hmtx = tw_truetype_table(&made, "hmtx"), loca = tw_truetype_table(&made, "loca");
    unsigned count = tw_be16(made.bytes + maxp.at + 4);
    assert_true(count > 4); /* the composite's parts came along */
    assert_int_equal(hmtx.length, 4 * count);
    assert_int_equal(loca.length, 4 * (count + 1));
    assert_int_equal(tw_be16(made.bytes + hmtx.at + 4), 1401);
    assert_int_equal(tw_be16(made.bytes + head.at + 50), 1);
    /* the outline of A is the very same */
    tw_table old = tw_truetype_outline(&face, glyphs[1]);
    size_t at = tw_truetype_table(&made, "glyf").at + tw_be32(made.bytes + loca.at + 4);
    assert_memory_equal(made.bytes + at, face.bytes + old.at, old.length);
    /* the whole file's sum (ISO/IEC 14496-22, 5.2.1, head) */
    uint32_t sum = 0;
    for (size_t i = 0; i + 4 <= out.length; i += 4)
        sum += tw_be32(made.bytes + i);
    assert_int_equal(sum, 0xB1B0AFBA);
    tw_buffer_free(&out);
    tw_arena_free(arena);
    assert_no_leak(memory);
}

static void broken_faces_do_no_harm(void **state) {
    size_t length;
    const unsigned char *bytes = tw_face_bytes(&length);
    unsigned char *copy = malloc(length);
    uint32_t seed = 7;
    tw_truetype face;
    (void)state;
    assert_false(tw_truetype_open(NULL, 0, &face));
    assert_false(tw_truetype_open(bytes, 11, &face));
    assert_false(tw_truetype_open(bytes, 400, &face)); /* tables reach past the end */
    for (int round = 0; round < 300; round++) {
        memcpy(copy, bytes, length);
        for (int i = 0; i < 20; i++) {
            seed = seed * 1664525 + 1013904223;
            copy[seed % (round % 2 == 0 ? 400 : length)] = (unsigned char)(seed >> 13);
        }
        if (!tw_truetype_open(copy, length, &face))
            continue;
        for (uint32_t c = 'A'; c < 0x500; c += 37) {
            uint16_t glyph = tw_truetype_glyph(&face, c);
            (void)tw_truetype_advance(&face, glyph);
            tw_table outline = tw_truetype_outline(&face, glyph);
            assert_true(outline.at + outline.length <= length);
        }
    }
    free(copy);
}

static void memory_may_run_out_anywhere(void **state) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    tw_truetype face = built_in();
    uint16_t glyphs[] = {0, tw_truetype_glyph(&face, 0x1FA)};
    tw_code code = TW_MEMORY;
    (void)state;
    for (long n = 1; code == TW_MEMORY && n < 1000; n++) {
        tw_error error;
        tw_buffer out;
        tw_arena *arena = tw_arena_new(&allocator, 0);
        memory.fail_at = memory.asked + n;
        tw_buffer_start(&out, &allocator);
        code = tw_truetype_subset(arena, &face, glyphs, 2, &out, &error);
        memory.fail_at = 0;
        tw_buffer_free(&out);
        tw_arena_free(arena);
        assert_no_leak(memory);
        assert_true(n > 1 || code == TW_MEMORY);
    }
    assert_int_equal(code, TW_OK);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(glyphs_and_widths),
        cmocka_unit_test(agrees_with_the_other_reader),
        cmocka_unit_test(a_subset_is_a_face),
        cmocka_unit_test(broken_faces_do_no_harm),
        cmocka_unit_test(memory_may_run_out_anywhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
