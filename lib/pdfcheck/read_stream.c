/* A stream's bytes: as they are, or through FlateDecode and its predictors (ISO 32000-1, 7.4.4). */
#include "pdfcheck/reader.h"

#include <string.h>
#include <zlib.h>

enum { PIECE = 16384 };

/* zlib through our allocator. */
static voidpf z_allocate(voidpf context, uInt count, uInt size) {
    const tw_pdfin *pdf = context;
    return tw_block_new(pdf->allocator, (size_t)count * size);
}

static void z_release(voidpf context, voidpf block) {
    const tw_pdfin *pdf = context;
    tw_block_free(pdf->allocator, block);
}

/* Where the stream's bytes end; less than its start when /Length is wrong. */
static int64_t end_of(tw_pdfin *pdf, const tw_pdfin_value *stream) {
    const tw_pdfin_value *length = tw_pdfin_get(pdf, stream, "Length");
    int64_t bytes = length->number / TW_PDFIN_ONE;
    if (length->kind != TW_PDFIN_NUMBER || bytes < 0 || bytes > pdf->size - stream->at)
        return -1;
    return stream->at + bytes;
}

bool tw_pdfin_ends_right(tw_pdfin *pdf, const tw_pdfin_value *stream) {
    int64_t end = end_of(pdf, stream);
    size_t got = 0;
    const char *after = end < 0 ? "" : tw_pdfin_look(pdf, end, 11, &got);
    size_t line = got > 0 && after[0] == '\r' ? 1 : 0;
    line += line < got && after[line] == '\n' ? 1 : 0;
    return got >= line + 9 && memcmp(after + line, "endstream", 9) == 0;
}

/* ------------------------------------------------ inflate */

/* Budgets: one stream's, and of all together. */
static bool over(tw_pdfin *pdf, const tw_buffer *out) {
    return out->length > TW_PDFIN_STREAM_MOST ||
           pdf->unpacked + out->length > TW_PDFIN_UNPACKED_MOST;
}

/* Inflates what is in z; false at the end or at damage. */
static bool inflate_piece(tw_pdfin *pdf, z_stream *z, tw_buffer *out, int *state) {
    unsigned char piece[PIECE];
    do {
        z->next_out = piece;
        z->avail_out = PIECE;
        *state = inflate(z, Z_NO_FLUSH);
        tw_buffer_add(out, (char *)piece, PIECE - z->avail_out);
    } while (*state == Z_OK && z->avail_out == 0 && !over(pdf, out) && !out->failed);
    return *state == Z_OK || (*state == Z_BUF_ERROR && z->avail_in == 0);
}

static const char *run_inflate(tw_pdfin *pdf, z_stream *z, int64_t at, int64_t end,
                               tw_buffer *out) {
    unsigned char bytes[PIECE];
    int state = Z_OK;
    while (at < end && !over(pdf, out) && !out->failed) {
        size_t got = tw_pdfin_bytes(pdf, at, bytes, end - at < PIECE ? (size_t)(end - at) : PIECE);
        if (got == 0)
            break;
        at += (int64_t)got;
        z->next_in = bytes;
        z->avail_in = (uInt)got;
        if (!inflate_piece(pdf, z, out, &state))
            break;
    }
    if (over(pdf, out))
        return "holds more than can be looked through";
    return state == Z_STREAM_END ? NULL : "is damaged (FlateDecode)";
}

static const char *inflate_all(tw_pdfin *pdf, int64_t at, int64_t end, tw_buffer *out) {
    z_stream z = {.zalloc = z_allocate, .zfree = z_release, .opaque = pdf};
    if (inflateInit(&z) != Z_OK) {
        tw_pdfin_stop(pdf, TW_MEMORY, NULL);
        return "needs more memory than there is";
    }
    const char *why = run_inflate(pdf, &z, at, end, out);
    (void)inflateEnd(&z);
    pdf->unpacked += out->length;
    return why;
}

static const char *copy_all(tw_pdfin *pdf, int64_t at, int64_t end, tw_buffer *out) {
    char piece[PIECE];
    while (at < end && !over(pdf, out) && !out->failed) {
        size_t got = tw_pdfin_bytes(pdf, at, piece, end - at < PIECE ? (size_t)(end - at) : PIECE);
        if (got == 0)
            break;
        tw_buffer_add(out, piece, got);
        at += (int64_t)got;
    }
    pdf->unpacked += out->length;
    return over(pdf, out) ? "holds more than can be looked through" : NULL;
}

/* ------------------------------------------------ predictors (7.4.4.4; PNG spec, 9) */

static unsigned paeth(int left, int above, int corner) {
    int guess = left + above - corner;
    int a = guess > left ? guess - left : left - guess;
    int b = guess > above ? guess - above : above - guess;
    int c = guess > corner ? guess - corner : corner - guess;
    return (unsigned)(a <= b && a <= c ? left : b <= c ? above : corner);
}

static void undo_row(int filter, unsigned char *row, const unsigned char *before, size_t length,
                     size_t step) {
    for (size_t i = 0; i < length; i++) {
        unsigned left = i >= step ? row[i - step] : 0, above = before == NULL ? 0 : before[i];
        unsigned corner = i >= step && before != NULL ? before[i - step] : 0;
        unsigned add = filter == 1   ? left
                       : filter == 2 ? above
                       : filter == 3 ? (left + above) / 2
                       : filter == 4 ? paeth((int)left, (int)above, (int)corner)
                                     : 0;
        row[i] = (unsigned char)(row[i] + add);
    }
}

static int64_t parameter(tw_pdfin *pdf, const tw_pdfin_value *how, const char *key, int64_t usual) {
    const tw_pdfin_value *value = tw_pdfin_get(pdf, how, key);
    return value->kind == TW_PDFIN_NUMBER ? value->number / TW_PDFIN_ONE : usual;
}

/* Rows lose their filter byte, in place. */
static const char *undo_predictor(tw_pdfin *pdf, const tw_pdfin_value *how, tw_buffer *bytes) {
    int64_t predictor = parameter(pdf, how, "Predictor", 1);
    int64_t colours = parameter(pdf, how, "Colors", 1);
    int64_t bits = parameter(pdf, how, "BitsPerComponent", 8);
    int64_t columns = parameter(pdf, how, "Columns", 1);
    if (predictor == 1)
        return NULL;
    if (predictor < 10 || predictor > 15 || colours < 1 || colours > 32 || bits < 1 || bits > 16 ||
        columns < 1 || columns > INT32_MAX)
        return "has a predictor that is not read here";
    size_t step = (size_t)(colours * bits + 7) / 8,
           length = (size_t)(colours * bits * columns + 7) / 8;
    unsigned char *from = (unsigned char *)bytes->bytes, *to = from, *before = NULL;
    size_t left = bytes->length;
    while (left > 1) {
        size_t width = left - 1 < length ? left - 1 : length;
        int filter = *from;
        memmove(to, from + 1, width);
        undo_row(filter, to, before, width, step);
        before = width == length ? to : NULL;
        to += width;
        from += width + 1;
        left -= width + 1;
    }
    if (bytes->bytes != NULL)
        bytes->length = (size_t)(to - (unsigned char *)bytes->bytes);
    return NULL;
}

/* ------------------------------------------------ the filters */

static const char *unpack(tw_pdfin *pdf, const tw_pdfin_value *stream, tw_buffer *out) {
    const tw_pdfin_value *filter = tw_pdfin_get(pdf, stream, "Filter");
    const tw_pdfin_value *how = tw_pdfin_get(pdf, stream, "DecodeParms");
    int64_t end = end_of(pdf, stream);
    if (end < 0)
        return "has a wrong /Length";
    if (filter->kind == TW_PDFIN_ARRAY && tw_pdfin_items(filter) > 1)
        return "is packed by several filters";
    if (filter->kind == TW_PDFIN_ARRAY)
        filter = tw_pdfin_item(pdf, filter, 0);
    if (how->kind == TW_PDFIN_ARRAY)
        how = tw_pdfin_item(pdf, how, 0);
    if (filter->kind == TW_PDFIN_NULL)
        return copy_all(pdf, stream->at, end, out);
    if (!tw_pdfin_is_name(filter, "FlateDecode"))
        return "is packed by another filter than FlateDecode";
    const char *why = inflate_all(pdf, stream->at, end, out);
    return why != NULL || out->failed ? why : undo_predictor(pdf, how, out);
}

bool tw_pdfin_unpack(tw_pdfin *pdf, const tw_pdfin_value *stream, tw_buffer *out,
                     const char **why) {
    tw_buffer_start(out, pdf->allocator);
    *why = stream->kind == TW_PDFIN_STREAM ? unpack(pdf, stream, out) : "is no stream";
    if (out->failed)
        tw_pdfin_stop(pdf, TW_MEMORY, NULL);
    if (*why == NULL && !out->failed && pdf->failure.code == TW_OK)
        return true;
    if (*why == NULL)
        *why = "cannot be read";
    tw_buffer_free(out);
    return false;
}
