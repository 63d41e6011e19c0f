/* PNG taken apart into chunks (see png_chunk.h). */
#include "image/png_chunk.h"

#include <string.h>

#include "base/inflate.h"

tw_code tw_png_signature(tw_png_chunk *chunk, tw_error *error) {
    static const unsigned char signature[8] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
    unsigned char bytes[8];
    tw_code code = tw_source_read(&chunk->source, bytes, sizeof bytes, error);
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

static tw_code check_chunk(const tw_png_chunk *chunk, const unsigned char *head, tw_error *error) {
    for (int i = 4; i < 8; i++)
        if (!is_letter(head[i]))
            return tw_fail(error, TW_DAMAGED, "image-damaged",
                           "the PNG is damaged at byte %lld: no chunk begins there",
                           (long long)chunk->at);
    int64_t left = tw_source_left(&chunk->source);
    if ((int64_t)chunk->length + 4 > left)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the PNG is cut short: its \"%s\" chunk at byte %lld wants %lld bytes, the "
                       "file holds %lld more",
                       chunk->type, (long long)chunk->at, (long long)chunk->length + 4,
                       (long long)left);
    return TW_OK;
}

tw_code tw_png_open_chunk(tw_png_chunk *chunk, tw_error *error) {
    unsigned char head[8];
    chunk->at = chunk->source.at;
    if (tw_source_left(&chunk->source) < 12)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the PNG is cut short: it ends at byte %lld without its end chunk",
                       (long long)chunk->source.size);
    tw_code code = tw_source_read(&chunk->source, head, sizeof head, error);
    if (code != TW_OK)
        return code;
    chunk->length = chunk->left = tw_big32(head);
    memcpy(chunk->type, head + 4, 4);
    chunk->type[4] = '\0';
    chunk->crc = tw_crc32(0, head + 4, 4);
    chunk->hopped = false;
    return check_chunk(chunk, head, error);
}

tw_code tw_png_some(tw_png_chunk *chunk, size_t most, const unsigned char **bytes, size_t *got,
                    tw_error *error) {
    *got = 0;
    if (chunk->left == 0)
        return TW_OK;
    tw_code code =
        tw_source_take(&chunk->source, most < chunk->left ? most : chunk->left, bytes, got, error);
    if (code != TW_OK)
        return code;
    chunk->crc = tw_crc32(chunk->crc, *bytes, *got);
    chunk->left -= (uint32_t)*got;
    return TW_OK;
}

tw_code tw_png_bytes(tw_png_chunk *chunk, unsigned char *bytes, size_t count, tw_error *error) {
    if (count > chunk->left)
        return tw_fail(error, TW_BUG, "bug", "more of a PNG chunk is read than it holds");
    tw_code code = tw_source_read(&chunk->source, bytes, count, error);
    if (code != TW_OK)
        return code;
    chunk->crc = tw_crc32(chunk->crc, bytes, count);
    chunk->left -= (uint32_t)count;
    return TW_OK;
}

void tw_png_hop(tw_png_chunk *chunk) {
    chunk->source.at += chunk->left;
    chunk->left = 0;
    chunk->hopped = true;
}

tw_code tw_png_close_chunk(tw_png_chunk *chunk, tw_error *error) {
    const unsigned char *rest;
    unsigned char crc[4];
    size_t got = 1;
    tw_code code = TW_OK;
    while (code == TW_OK && got > 0)
        code = tw_png_some(chunk, SIZE_MAX, &rest, &got, error);
    if (code == TW_OK)
        code = tw_source_read(&chunk->source, crc, sizeof crc, error);
    if (code != TW_OK || chunk->hopped || tw_big32(crc) == chunk->crc)
        return code;
    return tw_fail(error, TW_DAMAGED, "image-damaged",
                   "the PNG is damaged: its \"%s\" chunk at byte %lld does not match its check sum",
                   chunk->type, (long long)chunk->at);
}
