/*
 * A TrueType face in memory (ISO/IEC 14496-22): which glyph a character has, how wide it is, and
 * a new face with only the glyphs that are used, for embedding. No PDF in here.
 */
#ifndef TW_PDF_TRUETYPE_H
#define TW_PDF_TRUETYPE_H

#include "base/error.h"
#include "base/text.h"

typedef struct tw_table {
    size_t at, length;
} tw_table;

typedef struct tw_truetype {
    const unsigned char *bytes;
    size_t length;
    tw_table head, hhea, maxp, hmtx, loca, glyf, cmap, name;
    int units; /* per em */
    int glyphs;
    int metrics; /* long entries of hmtx */
    bool long_loca;
} tw_truetype;

/* False when the bytes are not a face this reads (missing or short tables). */
bool tw_truetype_open(const unsigned char *bytes, size_t length, tw_truetype *out);
/* Glyph of a character, 0 = none. */
uint16_t tw_truetype_glyph(const tw_truetype *face, uint32_t character);
/* Advance in units of the em. */
int tw_truetype_advance(const tw_truetype *face, uint16_t glyph);
/* PostScript name (name table, id 6), ASCII; "Face" when there is none. */
void tw_truetype_name(const tw_truetype *face, char out[64]);
/* A table by its four letters; length 0 when absent. */
tw_table tw_truetype_table(const tw_truetype *face, const char *tag);
/* Where a glyph's outline lies in the file; length 0 = empty or out of bounds. */
tw_table tw_truetype_outline(const tw_truetype *face, uint16_t glyph);

unsigned tw_be16(const unsigned char *bytes);
uint32_t tw_be32(const unsigned char *bytes);

/* A face whose glyph number i is the old glyphs[i]; glyphs[0] should be 0. Parts of composite
 * glyphs are added behind. What a PDF needs and no more (ISO 32000-1, 9.9): glyf head hhea hmtx
 * loca maxp, and cvt fpgm prep for the hints. */
TW_USE_RESULT tw_code tw_truetype_subset(tw_arena *arena, const tw_truetype *face,
                                         const uint16_t *glyphs, size_t count, tw_buffer *out,
                                         tw_error *error);

#endif
