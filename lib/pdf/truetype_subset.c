/*
 * A face with only the glyphs that are used. Glyphs are numbered anew, so that the tables that
 * have an entry for each glyph shrink as well: a few kB instead of 700.
 */
#include "pdf/truetype.h"

#include "image/source.h"

#include <string.h>

/* Flags of a part in a composite glyph (ISO/IEC 14496-22, 5.3.3.2). */
enum { PART_WORDS = 1, PART_SCALE = 8, PART_MORE = 32, PART_XY_SCALE = 64, PART_2X2 = 128 };

#define TABLES 9

typedef struct subset {
    tw_arena *arena;
    const tw_truetype *face;
    uint16_t *old; /* old glyph of each new one */
    size_t count, room;
    size_t *from; /* start of each new outline in glyf, and its end */
    tw_buffer glyf;
    tw_error *error;
} subset;

static void add32(tw_buffer *out, uint32_t value) {
    unsigned char bytes[4];
    tw_put_big32(bytes, value);
    tw_buffer_add(out, (const char *)bytes, 4);
}

/* The new number of an old glyph, given one when it has none. Parts are looked for behind the
 * characters' own, whose numbers are fixed. */
static tw_code number_of(subset *s, uint16_t glyph, size_t *out) {
    for (size_t i = 0; i < s->count; i++)
        if (s->old[i] == glyph) {
            *out = i;
            return TW_OK;
        }
    uint16_t *old = tw_arena_grow(s->arena, s->old, s->count, &s->room, sizeof *old);
    if (old == NULL)
        return tw_no_memory(s->error);
    s->old = old;
    old[s->count] = glyph;
    *out = s->count++;
    return TW_OK;
}

static size_t part_size(unsigned flags) {
    size_t size = (flags & PART_WORDS) != 0 ? 8 : 6;
    if ((flags & PART_SCALE) != 0)
        return size + 2;
    if ((flags & PART_XY_SCALE) != 0)
        return size + 4;
    return (flags & PART_2X2) != 0 ? size + 8 : size;
}

/* Rename the parts inside a copied composite outline. */
static tw_code renumber(subset *s, unsigned char *outline, size_t length) {
    size_t at = 10, number = 0;
    unsigned flags = PART_MORE;
    if (length < 10 || (outline[0] & 0x80) == 0)
        return TW_OK; /* simple: the contour count is not negative */
    while ((flags & PART_MORE) != 0) {
        if (at + 4 > length)
            return tw_fail(s->error, TW_BUG, "face", "the built-in face has a broken glyph");
        flags = tw_be16(outline + at);
        tw_code code = number_of(s, (uint16_t)tw_be16(outline + at + 2), &number);
        if (code != TW_OK)
            return code;
        tw_put_big16(outline + at + 2, (unsigned)number);
        at += part_size(flags);
    }
    return TW_OK;
}

/* Copies outlines until no composite asks for another part. */
static tw_code take_outlines(subset *s) {
    size_t from_room = 0;
    for (size_t i = 0; i < s->count; i++) {
        tw_table outline = tw_truetype_outline(s->face, s->old[i]);
        size_t at = s->glyf.length;
        s->from = tw_arena_grow(s->arena, s->from, i, &from_room, sizeof *s->from);
        if (s->from == NULL)
            return tw_no_memory(s->error);
        s->from[i] = at;
        tw_buffer_add(&s->glyf, (const char *)s->face->bytes + outline.at, outline.length);
        tw_buffer_add(&s->glyf, "\0\0\0", (4 - outline.length % 4) % 4);
        if (s->glyf.failed)
            return tw_no_memory(s->error);
        if (outline.length > 0) {
            tw_code code = renumber(s, (unsigned char *)s->glyf.bytes + at, outline.length);
            if (code != TW_OK)
                return code;
        }
    }
    return TW_OK;
}

/* Sum of big-endian words, the last one filled with zeros (ISO/IEC 14496-22, 4.4). */
static uint32_t sum_of(const unsigned char *bytes, size_t length) {
    uint32_t sum = 0;
    for (size_t i = 0; i < length; i++)
        sum += (uint32_t)bytes[i] << (24 - 8 * (i % 4));
    return sum;
}

typedef struct piece {
    const char *tag;
    const unsigned char *bytes;
    size_t length;
} piece;

static piece copied(subset *s, const char *tag) {
    tw_table table = tw_truetype_table(s->face, tag);
    unsigned char *copy = (unsigned char *)tw_arena_copy(
        s->arena, (const char *)s->face->bytes + table.at, table.length);
    return (piece){tag, copy, table.length};
}

static piece made_hmtx(subset *s) {
    unsigned char *rows = tw_arena_array(s->arena, s->count, 4);
    size_t tail = 4 * (size_t)s->face->metrics;
    for (size_t i = 0; rows != NULL && i < s->count; i++) {
        size_t glyph = s->old[i], bearing = 4 * glyph + 2;
        if (glyph >= (size_t)s->face->metrics)
            bearing = tail + 2 * (glyph - (size_t)s->face->metrics);
        tw_put_big16(rows + 4 * i, (unsigned)tw_truetype_advance(s->face, s->old[i]));
        if (bearing + 2 <= s->face->hmtx.length)
            memcpy(rows + 4 * i + 2, s->face->bytes + s->face->hmtx.at + bearing, 2);
    }
    return (piece){"hmtx", rows, 4 * s->count};
}

static piece made_loca(subset *s) {
    unsigned char *rows = tw_arena_array(s->arena, s->count + 1, 4);
    for (size_t i = 0; rows != NULL && i <= s->count; i++)
        tw_put_big32(rows + 4 * i, (uint32_t)(i < s->count ? s->from[i] : s->glyf.length));
    return (piece){"loca", rows, 4 * (s->count + 1)};
}

/* The tables in order of their tags, as the directory wants them. */
static bool make_tables(subset *s, piece tables[TABLES]) {
    tables[0] = copied(s, "cvt ");
    tables[1] = copied(s, "fpgm");
    tables[2] = (piece){"glyf", (const unsigned char *)s->glyf.bytes, s->glyf.length};
    tables[3] = copied(s, "head");
    tables[4] = copied(s, "hhea");
    tables[5] = made_hmtx(s);
    tables[6] = made_loca(s);
    tables[7] = copied(s, "maxp");
    tables[8] = copied(s, "prep");
    for (size_t i = 0; i < TABLES; i++)
        if (tables[i].bytes == NULL)
            return false;
    tw_put_big32((unsigned char *)tables[3].bytes + 8, 0); /* checkSumAdjustment, made at the end */
    tw_put_big16((unsigned char *)tables[3].bytes + 50, 1); /* long loca */
    tw_put_big16((unsigned char *)tables[4].bytes + 34, (unsigned)s->count);
    tw_put_big16((unsigned char *)tables[7].bytes + 4, (unsigned)s->count);
    return true;
}

static void put_file(const piece tables[TABLES], tw_buffer *out) {
    size_t at = 12 + 16 * TABLES, head = 0, start = out->length;
    add32(out, 0x00010000);
    add32(out, TABLES << 16 | 128);            /* 16 times the power of two within TABLES */
    add32(out, 3 << 16 | (16 * TABLES - 128)); /* its log, and the rest */
    for (size_t i = 0; i < TABLES; i++) {
        tw_buffer_add(out, tables[i].tag, 4);
        add32(out, sum_of(tables[i].bytes, tables[i].length));
        add32(out, (uint32_t)at);
        add32(out, (uint32_t)tables[i].length);
        head = memcmp(tables[i].tag, "head", 4) == 0 ? at : head;
        at += (tables[i].length + 3) / 4 * 4;
    }
    for (size_t i = 0; i < TABLES; i++) {
        tw_buffer_add(out, (const char *)tables[i].bytes, tables[i].length);
        tw_buffer_add(out, "\0\0\0", (4 - tables[i].length % 4) % 4);
    }
    if (out->failed)
        return;
    unsigned char *bytes = (unsigned char *)out->bytes + start;
    tw_put_big32(bytes + head + 8, 0xB1B0AFBA - sum_of(bytes, out->length - start));
}

tw_code tw_truetype_subset(tw_arena *arena, const tw_truetype *face, const uint16_t *glyphs,
                           size_t count, tw_buffer *out, tw_error *error) {
    subset s = {.arena = arena, .face = face, .error = error};
    piece tables[TABLES];
    tw_code code = TW_OK;
    tw_buffer_start(&s.glyf, tw_arena_allocator(arena));
    for (size_t i = 0; i < count && code == TW_OK; i++) {
        uint16_t *old = tw_arena_grow(arena, s.old, s.count, &s.room, sizeof *old);
        if (old == NULL) {
            code = tw_no_memory(error);
            break;
        }
        s.old = old;
        old[s.count++] = glyphs[i];
    }
    if (code == TW_OK)
        code = take_outlines(&s);
    if (code == TW_OK && !make_tables(&s, tables))
        code = tw_no_memory(error);
    if (code == TW_OK)
        put_file(tables, out);
    if (code == TW_OK && out->failed)
        code = tw_no_memory(error);
    tw_buffer_free(&s.glyf);
    return code;
}
