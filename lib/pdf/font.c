/*
 * The one face in a PDF: a Type 0 font with a subset of the built-in face, its character codes
 * numbered in the order of first use, and a ToUnicode map that gives every text back.
 *
 * libharu's own UTF-8 font is not used: its ToUnicode map is invalid, and it carries a 128 KiB
 * map and the widths of all characters in every file.
 */
#include "pdf/document.h"

#include "base/face.h"

#include <string.h>

#define BOX 0x25A1u /* stands for what the face lacks */

static tw_code face_failure(tw_pdf *pdf) {
    tw_error failure;
    memset(&failure, 0, sizeof failure);
    (void)tw_fail(&failure, TW_BUG, "face", "the built-in face cannot be read");
    return tw_pdf_keep(pdf, &failure);
}

static tw_code make_font(tw_pdf *pdf) {
    tw_pdf_font *font = &pdf->font;
    size_t length = 0;
    const unsigned char *bytes = tw_face_bytes(&length);
    if (!tw_truetype_open(bytes, length, &font->face))
        return face_failure(pdf);
    font->dict = HPDF_Dict_New(pdf->doc->mmgr);
    if (font->dict == NULL || HPDF_Xref_Add(pdf->doc->xref, font->dict) != HPDF_OK)
        return tw_pdf_no_memory(pdf);
    font->dict->header.obj_class |= HPDF_OSUBCLASS_FONT;
    return TW_OK;
}

const char *tw_pdf_font_name(tw_pdf *pdf, HPDF_Page page) {
    if (pdf->font.dict == NULL && make_font(pdf) != TW_OK)
        return NULL;
    return HPDF_Page_GetLocalFontName(page, pdf->font.dict);
}

/* The character's code in this document, from 1; 0 = not used yet. */
static size_t known_code(const tw_pdf_font *font, uint32_t character) {
    for (size_t i = 0; i < font->count; i++)
        if (font->characters[i] == character)
            return i + 1;
    return 0;
}

/* A code of its own for a character; 0 after a failure. */
static size_t new_code(tw_pdf *pdf, uint32_t character) {
    tw_pdf_font *font = &pdf->font;
    uint32_t *characters =
        tw_arena_grow(pdf->arena, font->characters, font->count, &font->room, sizeof *characters);
    if (characters == NULL) {
        (void)tw_pdf_no_memory(pdf);
        return 0;
    }
    font->characters = characters;
    characters[font->count++] = character;
    return font->count;
}

void tw_pdf_encode(tw_pdf *pdf, const char *text, tw_buffer *out) {
    const char *at = text;
    while (*at != '\0') {
        uint32_t character = tw_utf8_next(&at);
        size_t code = known_code(&pdf->font, character); /* first: a face is slow to search */
        if (code == 0 && tw_truetype_glyph(&pdf->font.face, character) == 0) {
            pdf->font.missing = pdf->font.missing == 0 ? character : pdf->font.missing;
            character = BOX;
            code = known_code(&pdf->font, BOX);
        }
        if (code == 0)
            code = new_code(pdf, character);
        tw_buffer_print(out, "%04X", (unsigned)code);
    }
}

/* ------------------------------------------------ the objects, once all text is known */

static uint16_t glyph_of(const tw_pdf_font *font, size_t code) {
    return code == 0 ? 0 : tw_truetype_glyph(&font->face, font->characters[code - 1]);
}

/* Thousandths of the em, as PDF has it. */
static int thousandths(const tw_pdf_font *font, int units) {
    int64_t value = (int64_t)units * 2000 + (units < 0 ? -font->face.units : font->face.units);
    return (int)(value / (2 * (int64_t)font->face.units));
}

/* "ABCDEF+Name" (ISO 32000-1, 9.6.4): the letters from the characters used. */
static const char *subset_name(tw_pdf *pdf) {
    char tag[7] = "", name[64];
    uint64_t hash = 14695981039346656037u; /* FNV-1a, 64 bits */
    for (size_t i = 0; i < pdf->font.count; i++)
        hash = (hash ^ pdf->font.characters[i]) * 1099511628211u;
    for (int i = 0; i < 6; i++, hash /= 26)
        tag[i] = (char)('A' + hash % 26);
    tw_truetype_name(&pdf->font.face, name);
    return tw_arena_print(pdf->arena, "%s+%s", tag, name);
}

/* One line for each code: <code> <UTF-16BE>; at most 100 a block (Adobe Technical Note 5411). */
static void put_unicode(const tw_pdf_font *font, tw_buffer *out) {
    for (size_t i = 0; i < font->count; i++) {
        uint32_t character = font->characters[i];
        if (i % 100 == 0)
            tw_buffer_print(out, "%u beginbfchar\n",
                            (unsigned)(font->count - i < 100 ? font->count - i : 100));
        tw_buffer_print(out, "<%04X> <", (unsigned)(i + 1));
        if (character >= 0x10000)
            tw_buffer_print(out, "%04X%04X", (unsigned)(0xD7C0 + (character >> 10)),
                            (unsigned)(0xDC00 + (character & 0x3FF)));
        else
            tw_buffer_print(out, "%04X", (unsigned)character);
        tw_buffer_string(out, i % 100 == 99 || i + 1 == font->count ? ">\nendbfchar\n" : ">\n");
    }
}

static HPDF_Dict make_unicode_map(tw_pdf *pdf) {
    tw_buffer text;
    tw_buffer_start(&text, pdf->allocator);
    tw_buffer_string(&text, "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
                            "/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) "
                            "/Supplement 0>> def\n/CMapName /Adobe-Identity-UCS def\n"
                            "/CMapType 2 def\n1 begincodespacerange\n<0000> <FFFF>\n"
                            "endcodespacerange\n");
    put_unicode(&pdf->font, &text);
    tw_buffer_string(&text, "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n");
    size_t length = text.length;
    const char *bytes = tw_pdf_keep_text(pdf, &text);
    tw_pdf_stream *stream = bytes == NULL ? NULL : tw_pdf_stream_new(pdf, "");
    if (stream == NULL)
        return NULL;
    stream->bytes = (const unsigned char *)bytes;
    stream->length = length;
    return stream->dict;
}

static HPDF_Dict make_file(tw_pdf *pdf) {
    tw_pdf_font *font = &pdf->font;
    uint16_t *glyphs = tw_arena_array(pdf->arena, font->count + 1, sizeof *glyphs);
    tw_buffer face;
    tw_error failure;
    memset(&failure, 0, sizeof failure);
    tw_buffer_start(&face, pdf->allocator);
    for (size_t i = 0; glyphs != NULL && i <= font->count; i++)
        glyphs[i] = glyph_of(font, i);
    tw_code code = glyphs == NULL ? tw_no_memory(&failure)
                                  : tw_truetype_subset(pdf->arena, &font->face, glyphs,
                                                       font->count + 1, &face, &failure);
    if (code != TW_OK)
        (void)tw_pdf_keep(pdf, &failure);
    size_t length = face.length;
    const char *entries = tw_arena_print(pdf->arena, "/Length1 %zu\n", length);
    const char *bytes = tw_pdf_keep_text(pdf, &face);
    tw_pdf_stream *stream =
        code != TW_OK || bytes == NULL || entries == NULL ? NULL : tw_pdf_stream_new(pdf, entries);
    if (stream == NULL)
        return NULL;
    stream->bytes = (const unsigned char *)bytes;
    stream->length = length;
    return stream->dict;
}

/* Ascent, descent and box from hhea and head; nonsymbolic (32), as its names are Latin ones. The
 * stem's width is not in the file and only guides a substitute that is never needed. */
static HPDF_Dict make_descriptor(tw_pdf *pdf, const char *name, HPDF_Dict file) {
    const tw_pdf_font *font = &pdf->font;
    const unsigned char *head = font->face.bytes + font->face.head.at;
    const unsigned char *hhea = font->face.bytes + font->face.hhea.at;
    int box[4], ascent = thousandths(font, (int16_t)tw_be16(hhea + 4));
    int descent = thousandths(font, (int16_t)tw_be16(hhea + 6));
    for (int i = 0; i < 4; i++)
        box[i] = thousandths(font, (int16_t)tw_be16(head + 36 + 2 * (size_t)i));
    return tw_pdf_dict(pdf, tw_arena_print(pdf->arena,
                                           "/Type /FontDescriptor\n/FontName /%s\n/Flags 32\n"
                                           "/FontBBox [%d %d %d %d]\n/ItalicAngle 0\n/Ascent %d\n"
                                           "/Descent %d\n/CapHeight %d\n/StemV 90\n"
                                           "/FontFile2 %u 0 R\n",
                                           name, box[0], box[1], box[2], box[3], ascent, descent,
                                           thousandths(font, font->face.units * 73 / 100),
                                           tw_pdf_number(file)));
}

static HPDF_Dict make_descendant(tw_pdf *pdf, const char *name, HPDF_Dict descriptor) {
    const tw_pdf_font *font = &pdf->font;
    tw_buffer text;
    tw_buffer_start(&text, pdf->allocator);
    tw_buffer_print(&text,
                    "/Type /Font\n/Subtype /CIDFontType2\n/BaseFont /%s\n/CIDSystemInfo "
                    "<</Registry (Adobe) /Ordering (Identity) /Supplement 0>>\n"
                    "/FontDescriptor %u 0 R\n/CIDToGIDMap /Identity\n/W [0 [",
                    name, tw_pdf_number(descriptor));
    for (size_t i = 0; i <= font->count; i++)
        tw_buffer_print(&text, "%s%d", i == 0 ? "" : " ",
                        thousandths(font, tw_truetype_advance(&font->face, glyph_of(font, i))));
    tw_buffer_string(&text, "]]\n");
    return tw_pdf_dict(pdf, tw_pdf_keep_text(pdf, &text));
}

tw_code tw_pdf_font_finish(tw_pdf *pdf) {
    HPDF_Dict font = pdf->font.dict;
    if (font == NULL)
        return TW_OK;
    const char *name = subset_name(pdf);
    HPDF_Dict file = name == NULL ? NULL : make_file(pdf);
    HPDF_Dict descriptor = file == NULL ? NULL : make_descriptor(pdf, name, file);
    HPDF_Dict descendant = descriptor == NULL ? NULL : make_descendant(pdf, name, descriptor);
    HPDF_Dict unicode = descendant == NULL ? NULL : make_unicode_map(pdf);
    if (unicode == NULL)
        return pdf->failure.code != TW_OK ? pdf->failure.code : tw_pdf_no_memory(pdf);
    font->write_fn = tw_pdf_write_text;
    font->attr = tw_arena_print(pdf->arena,
                                "/Type /Font\n/Subtype /Type0\n/BaseFont /%s\n/Encoding "
                                "/Identity-H\n/DescendantFonts [%u 0 R]\n/ToUnicode %u 0 R\n",
                                name, tw_pdf_number(descendant), tw_pdf_number(unicode));
    return font->attr == NULL ? tw_pdf_no_memory(pdf) : TW_OK;
}
