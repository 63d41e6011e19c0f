/*
 * The built-in face: which characters it has and how wide they are, read from its own tables
 * (OpenType specification: cmap formats 4 and 12, head, hhea, hmtx). Every offset is checked
 * against the file's length, though the file is ours: another face may be built in.
 */
#include "base/face.h"

#include <string.h>

#include "base/embedded.h"
#include "base/text.h"

static const uint32_t BOX = 0x25A1; /* WHITE SQUARE, drawn for what the face lacks */

/* A stretch of the file. */
typedef struct table {
    const unsigned char *bytes;
    size_t length;
} table;

typedef struct face {
    table hmtx, cmap; /* cmap: the chosen subtable */
    uint32_t units;   /* a whole em */
    uint32_t widths;  /* entries of hmtx that have one; later glyphs share the last */
} face;

static uint32_t u16(table t, size_t at) {
    return at + 2 <= t.length ? (uint32_t)t.bytes[at] << 8 | t.bytes[at + 1] : 0;
}

static uint32_t u32(table t, size_t at) {
    return u16(t, at) << 16 | u16(t, at + 2);
}

/* From `at` on, at most `length` bytes and never past the end. */
static table part_of(table t, size_t at, size_t length) {
    if (at > t.length)
        return (table){t.bytes, 0};
    size_t left = t.length - at;
    return (table){t.bytes + at, length < left ? length : left};
}

static table find_table(table file, const char tag[4]) {
    for (uint32_t i = 0; i < u16(file, 4); i++) {
        table record = part_of(file, 12 + 16 * (size_t)i, 16);
        if (record.length == 16 && memcmp(record.bytes, tag, 4) == 0)
            return part_of(file, u32(record, 8), u32(record, 12));
    }
    return (table){file.bytes, 0};
}

/* The Unicode subtable: format 12 where there is one, else format 4. */
static table find_cmap(table cmap) {
    table best = {cmap.bytes, 0};
    for (uint32_t i = 0; i < u16(cmap, 2); i++) {
        size_t record = 4 + 8 * (size_t)i;
        uint32_t platform = u16(cmap, record), encoding = u16(cmap, record + 2);
        table subtable = part_of(cmap, u32(cmap, record + 4), SIZE_MAX);
        bool unicode = platform == 0 || (platform == 3 && (encoding == 1 || encoding == 10));
        if (unicode && u16(subtable, 0) == 12)
            return subtable;
        if (unicode && u16(subtable, 0) == 4)
            best = subtable;
    }
    return best;
}

static face open_face(const unsigned char *bytes, size_t length) {
    table file = {bytes, length};
    face opened = {.hmtx = find_table(file, "hmtx"),
                   .cmap = find_cmap(find_table(file, "cmap")),
                   .units = u16(find_table(file, "head"), 18),
                   .widths = u16(find_table(file, "hhea"), 34)};
    return opened;
}

/* Format 4: segments sorted by their last character, which is searched for by halving. */
static uint32_t glyph_format4(table t, uint32_t character) {
    uint32_t count = u16(t, 6) / 2, low = 0, high = count;
    while (low < high) {
        uint32_t middle = (low + high) / 2;
        if (u16(t, 14 + 2 * (size_t)middle) < character)
            low = middle + 1;
        else
            high = middle;
    }
    size_t ends = 14, starts = ends + 2 * (size_t)count + 2, deltas = starts + 2 * (size_t)count,
           ranges = deltas + 2 * (size_t)count, here = ranges + 2 * (size_t)low;
    uint32_t start = u16(t, starts + 2 * (size_t)low), delta = u16(t, deltas + 2 * (size_t)low);
    if (low == count || character < start)
        return 0;
    uint32_t range = u16(t, here);
    if (range == 0)
        return (character + delta) & 0xFFFF;
    /* idRangeOffset counts bytes from its own place */
    uint32_t glyph = u16(t, here + range + 2 * (size_t)(character - start));
    return glyph == 0 ? 0 : (glyph + delta) & 0xFFFF;
}

/* Format 12: groups of first character, last character, first glyph. */
static uint32_t glyph_format12(table t, uint32_t character) {
    uint32_t low = 0, high = u32(t, 12);
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        size_t group = 16 + 12 * (size_t)middle;
        if (character < u32(t, group))
            high = middle;
        else if (character > u32(t, group + 4))
            low = middle + 1;
        else
            return u32(t, group + 8) + (character - u32(t, group));
    }
    return 0;
}

static uint32_t glyph_of(const face *in, uint32_t character) {
    return u16(in->cmap, 0) == 12 ? glyph_format12(in->cmap, character)
                                  : glyph_format4(in->cmap, character);
}

static uint32_t advance_of(const face *in, uint32_t character) {
    uint32_t glyph = glyph_of(in, character);
    if (glyph == 0)
        glyph = glyph_of(in, BOX);
    if (glyph >= in->widths && in->widths > 0)
        glyph = in->widths - 1;
    return u16(in->hmtx, 4 * (size_t)glyph);
}

const unsigned char *tw_face_bytes(size_t *length) {
    *length = tw_face_file[0].length;
    return tw_face_file[0].bytes;
}

bool tw_font_has(const unsigned char *bytes, size_t length, uint32_t character) {
    face in = open_face(bytes, length);
    return glyph_of(&in, character) != 0;
}

tw_nm tw_font_width(const unsigned char *bytes, size_t length, const char *text, tw_nm size) {
    face in = open_face(bytes, length);
    const char *end = text + tw_utf8_valid(text, strlen(text));
    int64_t units = 0;
    while (text < end)
        units += advance_of(&in, tw_utf8_next(&text));
    return in.units == 0 ? 0 : tw_scale(units, size, in.units);
}

bool tw_face_has(uint32_t character) {
    return tw_font_has(tw_face_file[0].bytes, tw_face_file[0].length, character);
}

tw_nm tw_face_width(const char *text, tw_nm size) {
    return tw_font_width(tw_face_file[0].bytes, tw_face_file[0].length, text, size);
}
