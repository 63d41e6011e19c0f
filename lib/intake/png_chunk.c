/*
 * PNG taken apart into chunks: length, type, data, CRC (PNG, W3C, clause 5.3), the data in pieces
 * so that memory does not follow the file.
 */
#include "intake/png.h"

#include <string.h>
#include <zlib.h>

tw_code tw_png_start(tw_png_reader *png, tw_error *error) {
    static const unsigned char signature[8] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
    unsigned char bytes[8];
    tw_code code = tw_source_read(&png->source, bytes, sizeof bytes, error);
    if (code != TW_OK)
        return code;
    if (memcmp(bytes, signature, sizeof bytes) == 0)
        return TW_OK;
    /* Clause 5.2: the signature holds both line ends so that this very mishap shows. */
    (void)tw_fail(error, TW_DAMAGED, "image-damaged",
                  "the PNG's first eight bytes are wrong, as after a transfer in text mode");
    tw_fail_hint(error, "copy the file again in binary mode");
    return TW_DAMAGED;
}

static bool is_letter(unsigned char byte) {
    return (byte >= 'A' && byte <= 'Z') || (byte >= 'a' && byte <= 'z');
}

static tw_code check_chunk(const tw_png_reader *png, const unsigned char *head, tw_error *error) {
    for (int i = 4; i < 8; i++)
        if (!is_letter(head[i]))
            return tw_fail(error, TW_DAMAGED, "image-damaged",
                           "the PNG is damaged at byte %lld: no chunk begins there",
                           (long long)png->chunk_at);
    int64_t left = tw_source_left(&png->source);
    if ((int64_t)png->length + 4 > left)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the PNG is cut short: its \"%s\" chunk at byte %lld wants %lld bytes, the "
                       "file holds %lld more",
                       png->type, (long long)png->chunk_at, (long long)png->length + 4,
                       (long long)left);
    return TW_OK;
}

tw_code tw_png_open_chunk(tw_png_reader *png, tw_error *error) {
    unsigned char head[8];
    png->chunk_at = png->source.at;
    if (tw_source_left(&png->source) < 12)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the PNG is cut short: it ends at byte %lld without its end chunk",
                       (long long)png->source.size);
    tw_code code = tw_source_read(&png->source, head, sizeof head, error);
    if (code != TW_OK)
        return code;
    png->length = png->left = tw_be32(head);
    memcpy(png->type, head + 4, 4);
    png->type[4] = '\0';
    png->crc = (uint32_t)crc32(crc32(0, NULL, 0), head + 4, 4);
    png->hopped = false;
    return check_chunk(png, head, error);
}

tw_code tw_png_some(tw_png_reader *png, const unsigned char **bytes, size_t *got, tw_error *error) {
    *got = 0;
    if (png->left == 0)
        return TW_OK;
    tw_code code = tw_source_take(&png->source, png->left, bytes, got, error);
    if (code != TW_OK)
        return code;
    png->crc = (uint32_t)crc32(png->crc, *bytes, (uInt)*got);
    png->left -= (uint32_t)*got;
    return TW_OK;
}

tw_code tw_png_bytes(tw_png_reader *png, unsigned char *bytes, size_t count, tw_error *error) {
    if (count > png->left)
        return tw_fail(error, TW_BUG, "bug", "more of a PNG chunk is read than it holds");
    tw_code code = tw_source_read(&png->source, bytes, count, error);
    if (code != TW_OK)
        return code;
    png->crc = (uint32_t)crc32(png->crc, bytes, (uInt)count);
    png->left -= (uint32_t)count;
    return TW_OK;
}

void tw_png_hop(tw_png_reader *png) {
    png->source.at += png->left;
    png->left = 0;
    png->hopped = true;
}

tw_code tw_png_close_chunk(tw_png_reader *png, tw_error *error) {
    const unsigned char *rest;
    unsigned char crc[4];
    size_t got = 1;
    tw_code code = TW_OK;
    while (code == TW_OK && got > 0)
        code = tw_png_some(png, &rest, &got, error);
    if (code == TW_OK)
        code = tw_source_read(&png->source, crc, sizeof crc, error);
    if (code != TW_OK || png->hopped || tw_be32(crc) == png->crc)
        return code;
    return tw_fail(error, TW_DAMAGED, "image-damaged",
                   "the PNG is damaged: its \"%s\" chunk at byte %lld does not match its check sum",
                   png->type, (long long)png->chunk_at);
}
