/*
 * The built-in face. Widths and coverage of DejaVu Sans 2.37 are checked against two readers of
 * fonts that are not ours: Ghostscript 10.00 (glyphshow and currentpoint in a 2048 unit em) and
 * fontconfig 2.14 (fc-query's charset). They hold only while that face is the one built in.
 */
#include "base/face.h"

#include "testing.h"

#include "base/embedded.h"
#include "base/text.h"

enum { EM = 2048, DEJAVU_LENGTH = 759720 };

static void the_file_is_a_truetype_font(void **state) {
    (void)state;
    size_t length;
    const unsigned char *bytes = tw_face_bytes(&length);
    assert_int_equal(length, tw_face_file[0].length);
    assert_true(length > 10000);
    assert_memory_equal(bytes, "\0\1\0\0", 4); /* OpenType: sfnt version of TrueType outlines */
    assert_int_equal(bytes[length], 0);
}

/* Latin with accents, Greek and Cyrillic are promised; so are the box and signs the guide uses. */
static void it_has_the_promised_letters(void **state) {
    (void)state;
    static const uint32_t wanted[] = {' ',   'A',   'z',    0xE9,   0xDF,   0x141,  0x17E,
                                      0x391, 0x3C9, 0x416,  0x44F,  0x20AC, 0x2019, 0x25A1,
                                      0xD7,  0xBD,  0x2192, 0x2191, 0x2014, 0x2193};
    for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
        if (!tw_face_has(wanted[i]))
            fail_msg("U+%04X", (unsigned)wanted[i]);
}

static void skip_unless_dejavu(void) {
    size_t length;
    tw_face_bytes(&length);
    if (length != DEJAVU_LENGTH)
        skip();
}

/* fc-query --format='%{charset}' on the same file: 5918 characters, their sum 130203720. */
static void it_has_the_characters_fontconfig_lists(void **state) {
    (void)state;
    uint64_t count = 0, sum = 0;
    skip_unless_dejavu();
    for (uint32_t c = 0; c <= 0x110000; c++)
        if (tw_face_has(c)) {
            count++;
            sum += c;
        }
    assert_int_equal(count, 5918);
    assert_int_equal(sum, 130203720);
    assert_false(tw_face_has(0xFFFFFFFF));
}

/* Ghostscript: space 651, A 1401, W 2025, i 569, zero 1303, eacute 1260, Omega 1565, afii10024
 * 2206, Euro 1303, H22073 (the box) 1935, onehalf 1985, arrowright 1716, fi 1290. */
static void widths_are_ghostscripts(void **state) {
    (void)state;
    static const struct {
        const char *text;
        int width;
    } rows[] = {
        {" ", 651},
        {"A", 1401},
        {"W", 2025},
        {"i", 569},
        {"0", 1303},
        {"\xC3\xA9", 1260},
        {"\xCE\xA9", 1565},
        {"\xD0\x96", 2206},
        {"\xE2\x82\xAC", 1303},
        {"\xE2\x96\xA1", 1935},
        {"\xC2\xBD", 1985},
        {"\xE2\x86\x92", 1716},
        {"\xEF\xAC\x81", 1290},
        {"\xE6\x97\xA5", 1935}, /* lacking: as wide as the box */
        {"A W", 1401 + 651 + 2025},
        {"", 0},
    };
    skip_unless_dejavu();
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_int_equal(tw_face_width(rows[i].text, EM), rows[i].width);
}

static void widths_scale_with_the_size(void **state) {
    (void)state;
    tw_nm small = tw_face_width("Sunrise over the harbour", 1000000),
          large = tw_face_width("Sunrise over the harbour", 1000000000);
    assert_true(small > 0);
    assert_in_range((large + 500) / 1000, small - 1, small + 1);
    assert_int_equal(tw_face_width("A", 0), 0);
}

static void text_that_is_not_utf8_ends_there(void **state) {
    (void)state;
    assert_int_equal(tw_face_width("AA\xC3", EM), tw_face_width("AA", EM));
    assert_int_equal(tw_face_width("\xFF"
                                   "AA",
                                   EM),
                     0);
}

/* A copy of the face in memory of exactly its length, for a sanitizer to watch its end. */
static unsigned char *copy_of_face(size_t *length) {
    const unsigned char *bytes = tw_face_bytes(length);
    unsigned char *copy = malloc(*length);
    assert_non_null(copy);
    return memcpy(copy, bytes, *length);
}

/* Where the cmap subtable of this format begins (OpenType, cmap: 8 bytes a record). */
static size_t find_subtable(const unsigned char *bytes, unsigned format) {
    size_t cmap = 0;
    for (size_t at = 12; cmap == 0; at += 16)
        if (memcmp(bytes + at, "cmap", 4) == 0)
            cmap = (size_t)bytes[at + 9] << 16 | (size_t)bytes[at + 10] << 8 | bytes[at + 11];
    for (size_t at = cmap + 4; at < cmap + 4 + 8u * bytes[cmap + 3]; at += 8) {
        size_t found = cmap + ((size_t)bytes[at + 6] << 8 | bytes[at + 7]);
        if (bytes[found + 1] == format)
            return found;
    }
    return 0;
}

/* The face lists its characters twice, as format 12 and as format 4. With the first one named
 * away the second is read: below U+10000 both must tell the same. */
static void formats_4_and_12_agree(void **state) {
    (void)state;
    size_t length, format12;
    skip_unless_dejavu();
    unsigned char *copy = copy_of_face(&length);
    while ((format12 = find_subtable(copy, 12)) != 0)
        copy[format12 + 1] = 99;
    for (uint32_t c = 0; c < 0xFFFF; c++) {
        char text[5] = "";
        bool has = tw_face_has(c);
        if (has != tw_font_has(copy, length, c))
            fail_msg("U+%04X", (unsigned)c);
        tw_utf8_put(c, text);
        if (has && tw_font_width(copy, length, text, EM) != tw_face_width(text, EM))
            fail_msg("width of U+%04X", (unsigned)c);
    }
    assert_true(tw_face_has(0x1D7D8)); /* MATHEMATICAL DOUBLE-STRUCK DIGIT ZERO */
    assert_false(tw_font_has(copy, length, 0x1D7D8));
    assert_false(tw_font_has(copy, length, 0x10041)); /* not mistaken for U+0041 */
    free(copy);
}

/* OpenType, hmtx: where hhea tells fewer widths than there are glyphs, the rest share the last. */
static void later_glyphs_share_the_last_width(void **state) {
    (void)state;
    size_t length, hhea = 0, hmtx = 0;
    unsigned char *copy = copy_of_face(&length);
    for (size_t at = 12; hhea == 0 || hmtx == 0; at += 16) {
        size_t place = (size_t)copy[at + 9] << 16 | (size_t)copy[at + 10] << 8 | copy[at + 11];
        if (memcmp(copy + at, "hhea", 4) == 0)
            hhea = place;
        else if (memcmp(copy + at, "hmtx", 4) == 0)
            hmtx = place;
    }
    copy[hhea + 34] = 0; /* numberOfHMetrics */
    copy[hhea + 35] = 2;
    copy[hmtx + 4] = 0x03; /* the advance of glyph 1 */
    copy[hmtx + 5] = 0x21;
    assert_int_equal(tw_font_width(copy, length, "A", 2048), 0x321);
    assert_int_equal(tw_font_width(copy, length, "AW", EM), 2 * 0x321);
    free(copy);
}

static void ask_font(const unsigned char *bytes, size_t length) {
    static const uint32_t asked[] = {0, 'A', 0x416, 0x25A1, 0xFFFF, 0x1D7D8, 0xFFFFFFFF};
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++)
        tw_font_has(bytes, length, asked[i]);
    tw_font_width(bytes, length, "A\xD0\x96\xE6\x97\xA5", EM);
}

/* Cut short anywhere in its tables, or with any byte of its directory and cmap made large, a
 * font is never read past its end. */
static void damaged_fonts(void **state) {
    (void)state;
    size_t length;
    unsigned char *copy = copy_of_face(&length);
    for (size_t cut = 0; cut < length; cut += cut < 600 ? 1 : 4999) {
        unsigned char *exact = malloc(cut + (cut == 0));
        memcpy(exact, copy, cut);
        ask_font(exact, cut);
        free(exact);
    }
    size_t places[] = {0, find_subtable(copy, 4), find_subtable(copy, 12)};
    for (size_t place = 0; place < 3; place++)
        for (size_t at = places[place]; at < places[place] + 400; at++) {
            unsigned char before = copy[at];
            static const unsigned char values[] = {0x00, 0x7F, 0x80, 0xFF};
            for (size_t i = 0; i < sizeof values; i++) {
                copy[at] = values[i];
                ask_font(copy, length);
            }
            copy[at] = before;
        }
    assert_int_equal(tw_font_width(copy, 0, "A", EM), 0);
    free(copy);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_file_is_a_truetype_font),
        cmocka_unit_test(it_has_the_promised_letters),
        cmocka_unit_test(it_has_the_characters_fontconfig_lists),
        cmocka_unit_test(widths_are_ghostscripts),
        cmocka_unit_test(widths_scale_with_the_size),
        cmocka_unit_test(text_that_is_not_utf8_ends_there),
        cmocka_unit_test(formats_4_and_12_agree),
        cmocka_unit_test(later_glyphs_share_the_last_width),
        cmocka_unit_test(damaged_fonts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
