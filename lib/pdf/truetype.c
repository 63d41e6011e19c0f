/* Reading a TrueType face: table directory, cmap formats 4 and 12, metrics, outlines' places. */
#include "pdf/truetype.h"

#include <string.h>

unsigned tw_be16(const unsigned char *bytes) {
    return (unsigned)bytes[0] << 8 | bytes[1];
}

uint32_t tw_be32(const unsigned char *bytes) {
    return (uint32_t)tw_be16(bytes) << 16 | tw_be16(bytes + 2);
}

tw_table tw_truetype_table(const tw_truetype *face, const char *tag) {
    unsigned count = tw_be16(face->bytes + 4);
    for (unsigned i = 0; i < count && 12 + 16 * (size_t)(i + 1) <= face->length; i++) {
        const unsigned char *entry = face->bytes + 12 + 16 * (size_t)i;
        tw_table table = {tw_be32(entry + 8), tw_be32(entry + 12)};
        if (memcmp(entry, tag, 4) == 0 && table.at <= face->length &&
            table.length <= face->length - table.at)
            return table;
    }
    return (tw_table){0, 0};
}

static bool tables_found(tw_truetype *face) {
    face->head = tw_truetype_table(face, "head");
    face->hhea = tw_truetype_table(face, "hhea");
    face->maxp = tw_truetype_table(face, "maxp");
    face->hmtx = tw_truetype_table(face, "hmtx");
    face->loca = tw_truetype_table(face, "loca");
    face->glyf = tw_truetype_table(face, "glyf");
    face->cmap = tw_truetype_table(face, "cmap");
    face->name = tw_truetype_table(face, "name");
    return face->head.length >= 54 && face->hhea.length >= 36 && face->maxp.length >= 32 &&
           face->glyf.length > 0 && face->cmap.length >= 4;
}

bool tw_truetype_open(const unsigned char *bytes, size_t length, tw_truetype *out) {
    *out = (tw_truetype){.bytes = bytes, .length = length};
    if (bytes == NULL || length < 12 || !tables_found(out))
        return false;
    out->units = (int)tw_be16(bytes + out->head.at + 18);
    out->long_loca = tw_be16(bytes + out->head.at + 50) != 0;
    out->glyphs = (int)tw_be16(bytes + out->maxp.at + 4);
    out->metrics = (int)tw_be16(bytes + out->hhea.at + 34);
    return out->units > 0 && out->glyphs > 0 && out->metrics > 0 &&
           out->hmtx.length >= 4 * (size_t)out->metrics &&
           out->loca.length >= (size_t)(out->long_loca ? 4 : 2) * ((size_t)out->glyphs + 1);
}

/* Format 4: segments of the basic plane; the arrays lie one after another. */
static uint16_t glyph_in_4(const unsigned char *map, size_t length, uint32_t character) {
    size_t segments = length >= 16 ? tw_be16(map + 6) / 2 : 0;
    if (character > 0xFFFF || 16 + 8 * segments > length)
        return 0;
    for (size_t i = 0; i < segments; i++) {
        const unsigned char *end = map + 14 + 2 * i, *start = end + 2 * segments + 2;
        const unsigned char *delta = start + 2 * segments, *range = delta + 2 * segments;
        if (tw_be16(end) < character)
            continue;
        if (tw_be16(start) > character)
            return 0;
        if (tw_be16(range) == 0)
            return (uint16_t)(character + tw_be16(delta));
        size_t at =
            (size_t)(range - map) + tw_be16(range) + 2 * (size_t)(character - tw_be16(start));
        unsigned glyph = at + 2 <= length ? tw_be16(map + at) : 0;
        return (uint16_t)(glyph == 0 ? 0 : glyph + tw_be16(delta));
    }
    return 0;
}

/* Format 12: groups over all of Unicode. */
static uint16_t glyph_in_12(const unsigned char *map, size_t length, uint32_t character) {
    size_t groups = length >= 16 ? tw_be32(map + 12) : 0;
    for (size_t i = 0; i < groups && 16 + 12 * (i + 1) <= length; i++) {
        const unsigned char *group = map + 16 + 12 * i;
        if (character >= tw_be32(group) && character <= tw_be32(group + 4))
            return (uint16_t)(tw_be32(group + 8) + character - tw_be32(group));
    }
    return 0;
}

uint16_t tw_truetype_glyph(const tw_truetype *face, uint32_t character) {
    const unsigned char *cmap = face->bytes + face->cmap.at;
    unsigned count = tw_be16(cmap + 2);
    uint16_t found = 0;
    for (unsigned i = 0; i < count && 4 + 8 * (size_t)(i + 1) <= face->cmap.length; i++) {
        const unsigned char *record = cmap + 4 + 8 * (size_t)i;
        size_t at = tw_be32(record + 4);
        unsigned platform = tw_be16(record);
        if ((platform != 0 && platform != 3) || at + 4 > face->cmap.length)
            continue;
        unsigned format = tw_be16(cmap + at);
        size_t room = face->cmap.length - at;
        uint16_t glyph = format == 4    ? glyph_in_4(cmap + at, room, character)
                         : format == 12 ? glyph_in_12(cmap + at, room, character)
                                        : 0;
        if (glyph != 0 && glyph < face->glyphs)
            found = found == 0 ? glyph : found;
    }
    return found;
}

int tw_truetype_advance(const tw_truetype *face, uint16_t glyph) {
    int row = glyph < face->metrics ? glyph : face->metrics - 1;
    return (int)tw_be16(face->bytes + face->hmtx.at + 4 * (size_t)row);
}

tw_table tw_truetype_outline(const tw_truetype *face, uint16_t glyph) {
    const unsigned char *loca = face->bytes + face->loca.at;
    size_t from, to;
    if (glyph >= face->glyphs)
        return (tw_table){0, 0};
    if (face->long_loca) {
        from = tw_be32(loca + 4 * (size_t)glyph);
        to = tw_be32(loca + 4 * (size_t)glyph + 4);
    } else {
        from = 2 * (size_t)tw_be16(loca + 2 * (size_t)glyph);
        to = 2 * (size_t)tw_be16(loca + 2 * (size_t)glyph + 2);
    }
    if (to < from || to > face->glyf.length)
        return (tw_table){0, 0};
    return (tw_table){face->glyf.at + from, to - from};
}

/* Take the printable ASCII of a name record; UTF-16BE has a zero before each letter. */
static void take_name(const unsigned char *bytes, size_t length, char out[64]) {
    size_t put = 0;
    for (size_t i = 0; i < length && put < 63; i++)
        if (bytes[i] > 32 && bytes[i] < 127 && strchr("[](){}<>/%", bytes[i]) == NULL)
            out[put++] = (char)bytes[i];
    out[put] = '\0';
}

void tw_truetype_name(const tw_truetype *face, char out[64]) {
    const unsigned char *name = face->bytes + face->name.at;
    unsigned count = face->name.length >= 6 ? tw_be16(name + 2) : 0;
    memcpy(out, "Face", sizeof "Face");
    for (unsigned i = 0; i < count && 6 + 12 * (size_t)(i + 1) <= face->name.length; i++) {
        const unsigned char *record = name + 6 + 12 * (size_t)i;
        size_t at = tw_be16(name + 4) + (size_t)tw_be16(record + 10);
        size_t length = tw_be16(record + 8);
        if (tw_be16(record + 6) != 6 || length == 0 || at + length > face->name.length)
            continue;
        take_name(name + at, length, out);
        return;
    }
}
