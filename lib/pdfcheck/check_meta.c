/* The document's Info dictionary and its XMP metadata, and whether they say the same. */
#include "pdfcheck/rules.h"

#include "pdf/xmp.h"

#include <string.h>

enum { TEXT_MOST = 1024 };

/* A text string (ISO 32000-1, 7.9.2.2) as UTF-8: UTF-16BE with its mark, else PDFDocEncoding,
 * which is Latin-1 but for 0x80 to 0xA0. */
static void text_of(const tw_pdfin_value *value, char *out) {
    const unsigned char *at = (const unsigned char *)value->text;
    size_t length = 0, i = 0;
    bool wide = value->length >= 2 && at[0] == 0xFE && at[1] == 0xFF;
    for (i = wide ? 2 : 0; i < value->length && length + 5 < TEXT_MOST; i++) {
        uint32_t character = at[i];
        if (wide) {
            character = i + 1 < value->length ? character << 8 | at[i + 1] : 0xFFFD;
            i++;
            if (character >= 0xD800 && character < 0xDC00 && i + 2 < value->length) {
                uint32_t low = (uint32_t)at[i + 1] << 8 | at[i + 2];
                character = 0x10000 + ((character & 0x3FF) << 10) + (low & 0x3FF);
                i += 2;
            }
        } else if (character >= 0x80 && character <= 0xA0) {
            character = 0xFFFD;
        }
        if (character != 0)
            length += tw_utf8_put(character, out + length);
    }
    out[length] = '\0';
}

/* "D:20270306120000+01'00'" and "2027-03-06T12:00:00+01:00" as "20270306120000+0100": what is
 * left out is the least there is, Z is +0000. */
static void plain_date(const char *text, char *out) {
    static const char least[] = "00000101000000";
    size_t length = 0;
    if (strncmp(text, "D:", 2) == 0)
        text += 2;
    for (; *text != '\0' && length < 14 && strchr("+Zz", *text) == NULL; text++) {
        if (*text == '-' && length != 4 && length != 6) /* there it parts year, month and day */
            break;
        if (*text >= '0' && *text <= '9')
            out[length++] = *text;
    }
    for (; length < 14; length++)
        out[length] = least[length];
    text += *text == '.' ? strspn(text, ".0123456789") : 0;
    out[length++] = *text == '-' ? '-' : '+';
    for (; *text != '\0' && length < 19; text++)
        if (*text >= '0' && *text <= '9')
            out[length++] = *text;
    while (length < 19)
        out[length++] = '0';
    out[length] = '\0';
}

static void compare(tw_checkup *c, const tw_pdfin_value *info, const char *xmp, const char *key,
                    const char *space, const char *property, bool is_date) {
    char said[TEXT_MOST] = "", other[TEXT_MOST] = "";
    const tw_pdfin_value *value = tw_pdfin_get(c->pdf, info, key);
    if (value->kind != TW_PDFIN_STRING || value->length == 0)
        return;
    text_of(value, said);
    if (!tw_xmp_get(xmp, space, property, other, sizeof other)) {
        tw_checkup_fail(c, TW_CHECK_AGREEMENT, "Info has %s and XMP has no %s", key, property);
        return;
    }
    if (is_date) {
        char date[TEXT_MOST];
        memcpy(date, said, sizeof date);
        plain_date(date, said);
        memcpy(date, other, sizeof date);
        plain_date(date, other);
    }
    if (strcmp(said, other) != 0)
        tw_checkup_fail(c, TW_CHECK_AGREEMENT, "%s in Info is not %s in XMP", key, property);
}

static void check_info(tw_checkup *c, const tw_pdfin_value *info, const char *xmp) {
    const tw_pdfin_value *trapped = tw_pdfin_get(c->pdf, info, "Trapped");
    if (!tw_pdfin_is_name(trapped, "True") && !tw_pdfin_is_name(trapped, "False"))
        tw_checkup_fail(c, TW_CHECK_TRAPPED, "Info does not say whether it is trapped");
    if (xmp == NULL)
        return;
    compare(c, info, xmp, "Title", TW_XMP_DC, "title", false);
    compare(c, info, xmp, "CreationDate", TW_XMP_BASIC, "CreateDate", true);
    compare(c, info, xmp, "ModDate", TW_XMP_BASIC, "ModifyDate", true);
    compare(c, info, xmp, "Creator", TW_XMP_BASIC, "CreatorTool", false);
    compare(c, info, xmp, "Producer", TW_XMP_PDF, "Producer", false);
}

static void check_names(tw_checkup *c, const char *xmp) {
    char part[16] = "", level[16] = "", print[32] = "";
    (void)tw_xmp_get(xmp, TW_XMP_ARCHIVE, "part", part, sizeof part);
    (void)tw_xmp_get(xmp, TW_XMP_ARCHIVE, "conformance", level, sizeof level);
    (void)tw_xmp_get(xmp, TW_XMP_PRINT, "GTS_PDFXVersion", print, sizeof print);
    if (strcmp(part, "2") != 0 || level[0] == '\0' || strchr("ABU", level[0]) == NULL ||
        level[1] != '\0')
        tw_checkup_fail(c, TW_CHECK_ARCHIVE_NAME, "XMP names part \"%s\" and level \"%s\"", part,
                        level);
    if (strcmp(print, "PDF/X-4") != 0)
        tw_checkup_fail(c, TW_CHECK_PRINT_NAME, "XMP names GTS_PDFXVersion \"%s\"", print);
}

/* The stream's text, NUL ended, even if something is wrong with it; NULL when there is none. */
static const char *metadata(tw_checkup *c, tw_buffer *bytes) {
    const tw_pdfin_value *stream = tw_pdfin_get(c->pdf, c->root, "Metadata");
    const char *why;
    if (stream->kind != TW_PDFIN_STREAM) {
        tw_checkup_fail(c, TW_CHECK_METADATA, "its catalog has no metadata stream");
        return NULL;
    }
    if (!tw_pdfin_is_name(tw_pdfin_get(c->pdf, stream, "Type"), "Metadata") ||
        !tw_pdfin_is_name(tw_pdfin_get(c->pdf, stream, "Subtype"), "XML"))
        tw_checkup_fail(c, TW_CHECK_METADATA, "its metadata is not of Type Metadata, Subtype XML");
    if (!tw_pdfin_unpack(c->pdf, stream, bytes, &why)) {
        tw_checkup_fail(c, TW_CHECK_METADATA, "its metadata %s", why);
        return NULL;
    }
    if (bytes->bytes == NULL || !tw_xmp_valid(bytes->bytes, bytes->length))
        tw_checkup_fail(c, TW_CHECK_METADATA, "its metadata is no XMP");
    return bytes->bytes;
}

void tw_checkup_meta(tw_checkup *c) {
    tw_buffer bytes = {.bytes = NULL};
    const tw_pdfin_value *info = tw_pdfin_get(c->pdf, tw_pdfin_trailer(c->pdf), "Info");
    tw_buffer_start(&bytes, tw_arena_allocator(c->arena));
    const char *xmp = metadata(c, &bytes);
    check_info(c, info, xmp);
    check_names(c, xmp == NULL ? "" : xmp);
    tw_buffer_free(&bytes);
}
