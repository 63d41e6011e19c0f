/* The file around the objects: its first lines, its trailer, its last line. */
#include "pdfcheck/rules.h"

#include <string.h>

/* "%PDF-1.n", a line end, "%" and four bytes above 127 (ISO 19005-2, 6.1.2). */
static void check_header(tw_checkup *c) {
    unsigned char head[32] = {0};
    size_t got = tw_pdfin_bytes(c->pdf, 0, head, sizeof head), at = 8;
    bool named = got > 14 && memcmp(head, "%PDF-1.", 7) == 0 && head[7] >= '0' && head[7] <= '7';
    if (!named) {
        tw_checkup_fail(c, TW_CHECK_HEADER, "its first bytes are not %%PDF-1.0 to %%PDF-1.7");
        return;
    }
    c->report->version = 10 + head[7] - '0';
    at += head[at] == '\r' ? 1 : 0;
    at += head[at] == '\n' ? 1 : 0;
    bool good = at > 8 && head[at] == '%';
    for (size_t i = 1; i <= 4; i++)
        good = good && head[at + i] > 127;
    if (!good)
        tw_checkup_fail(c, TW_CHECK_HEADER, "its second line is not four bytes above 127");
}

/* The catalog's Version beats the header's (ISO 32000-1, 7.5.2). */
static void check_version(tw_checkup *c) {
    const tw_pdfin_value *said = tw_pdfin_get(c->pdf, c->root, "Version");
    int version = c->report->version;
    if (said->kind == TW_PDFIN_NAME && said->length == 3 && said->text[1] == '.') {
        int later = (said->text[0] - '0') * 10 + said->text[2] - '0';
        version = later > version ? later : version;
    }
    c->report->version = version;
    if (version == 0)
        tw_checkup_fail(c, TW_CHECK_VERSION, "its version cannot be read");
    else if (version > 16)
        tw_checkup_fail(c, TW_CHECK_VERSION, "it is PDF %d.%d", version / 10, version % 10);
}

static void check_trailer(tw_checkup *c) {
    const tw_pdfin_value *trailer = tw_pdfin_trailer(c->pdf);
    const tw_pdfin_value *id = tw_pdfin_get(c->pdf, trailer, "ID");
    bool good = tw_pdfin_items(id) == 2;
    for (size_t i = 0; i < 2; i++) {
        const tw_pdfin_value *part = tw_pdfin_item(c->pdf, id, i);
        good = good && part->kind == TW_PDFIN_STRING && part->length > 0;
    }
    if (!good)
        tw_checkup_fail(c, TW_CHECK_IDENTIFIER, "its trailer has no ID of two strings");
    if (tw_pdfin_raw(trailer, "Encrypt")->kind != TW_PDFIN_NULL)
        tw_checkup_fail(c, TW_CHECK_ENCRYPTION, "its trailer has an Encrypt entry");
}

/* A line end may follow, no more (ISO 19005-2, 6.1.3). */
static void check_end(tw_checkup *c) {
    char tail[8];
    int64_t size = tw_pdfin_size(c->pdf), from = size > 7 ? size - 7 : 0;
    size_t got = tw_pdfin_bytes(c->pdf, from, tail, 7);
    if (got > 0 && tail[got - 1] == '\n')
        got--;
    if (got > 0 && tail[got - 1] == '\r')
        got--;
    if (got < 5 || memcmp(tail + got - 5, "%%EOF", 5) != 0)
        tw_checkup_fail(c, TW_CHECK_END, "its last line is not %%%%EOF");
}

void tw_checkup_file(tw_checkup *c) {
    check_header(c);
    check_version(c);
    check_trailer(c);
    check_end(c);
}
