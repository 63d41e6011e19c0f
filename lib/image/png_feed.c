/*
 * A PNG as libpng is fed with it (png_feed.h): piece after piece, each from one step below.
 *
 *   HEAD   the next chunk's length and type; at the first IDAT, its data unpacked
 *   DATA   a part of a chunk's data
 *   CRC    its check sum
 *   PACKED a new IDAT chunk that holds one stored block of what the file's IDAT chunks hold packed
 */
#include "image/png_feed.h"

#include <string.h>

#include "base/inflate.h"

enum {
    BLOCK = 32 << 10, /* of pixels: stays in a core's nearest caches */
    CHUNK_HEAD = 8,
    ZLIB_HEAD = 2,
    STORED_HEAD = 5,
    CHECK = 4,
    ROOM = CHUNK_HEAD + ZLIB_HEAD + STORED_HEAD + BLOCK + CHECK + CHECK
};

typedef enum step { SIGNATURE, HEAD, DATA, CRC, PACKED } step;

struct tw_png_feed {
    const tw_allocator *allocator;
    tw_png_chunk chunk;
    tw_inflate *inflate;
    step next;
    bool begun;   /* a block was given */
    tw_error why; /* of the fault behind the blocks given; code TW_OK: none yet */
    const unsigned char *piece;
    size_t left; /* of the piece */
    unsigned char *room;
};

tw_code tw_png_feed_new(const tw_allocator *allocator, const tw_source *source, tw_png_feed **out,
                        tw_error *error) {
    tw_png_feed *feed = *out = tw_block_new(allocator, sizeof *feed);
    if (feed == NULL)
        return tw_no_memory(error);
    feed->allocator = allocator;
    feed->chunk.source = *source;
    feed->room = tw_block_new(allocator, ROOM);
    tw_code code =
        feed->room == NULL ? tw_no_memory(error) : tw_inflate_new(allocator, &feed->inflate, error);
    if (code != TW_OK) {
        tw_png_feed_free(feed);
        *out = NULL;
    }
    return code;
}

void tw_png_feed_free(tw_png_feed *feed) {
    if (feed == NULL)
        return;
    tw_inflate_free(feed->inflate);
    tw_block_free(feed->allocator, feed->room);
    tw_block_free(feed->allocator, feed);
}

/* ------------------------------------------------ the file's own chunks */

static void give(tw_png_feed *feed, size_t length, step next) {
    feed->piece = feed->room;
    feed->left = length;
    feed->next = next;
}

/* The chunk reader's words are for a reader of the whole file. */
static tw_code chunk_code(const tw_png_feed *feed, tw_code code, tw_error *error) {
    if (code != TW_DAMAGED)
        return code;
    return tw_fail(error, code, "image-damaged",
                   "its chunk at byte %lld is cut short or does not match its check sum",
                   (long long)feed->chunk.at);
}

static tw_code give_signature(tw_png_feed *feed, tw_error *error) {
    int64_t at = feed->chunk.source.at;
    tw_code code = tw_png_signature(&feed->chunk, error);
    if (code != TW_OK)
        return code;
    feed->chunk.source.at = at;
    code = tw_source_read(&feed->chunk.source, feed->room, 8, error);
    give(feed, 8, HEAD);
    return code;
}

static tw_code give_head(tw_png_feed *feed, tw_error *error) {
    tw_code code = chunk_code(feed, tw_png_open_chunk(&feed->chunk, error), error);
    if (code == TW_OK && !feed->begun && strcmp(feed->chunk.type, "IDAT") == 0) {
        feed->next = PACKED;
        return TW_OK;
    }
    tw_put_big32(feed->room, feed->chunk.length);
    memcpy(feed->room + 4, feed->chunk.type, 4);
    give(feed, CHUNK_HEAD, DATA);
    return code;
}

static tw_code give_data(tw_png_feed *feed, tw_error *error) {
    size_t got = 0;
    tw_code code = tw_png_some(&feed->chunk, SIZE_MAX, &feed->piece, &got, error);
    feed->left = got;
    if (got == 0)
        feed->next = CRC;
    return chunk_code(feed, code, error);
}

static tw_code give_crc(tw_png_feed *feed, tw_error *error) {
    tw_code code = chunk_code(feed, tw_png_close_chunk(&feed->chunk, error), error);
    tw_put_big32(feed->room, feed->chunk.crc);
    give(feed, CHECK, HEAD);
    return code;
}

/* ------------------------------------------------ the image data */

/* More packed bytes for the unpacker, from this IDAT chunk or the next. */
static tw_code take_packed(tw_png_feed *feed, tw_error *error) {
    const unsigned char *some = NULL;
    size_t got = 0;
    for (;;) {
        tw_code code = tw_png_some(&feed->chunk, SIZE_MAX, &some, &got, error);
        if (code == TW_OK && got > 0)
            tw_inflate_give(feed->inflate, some, got);
        if (code == TW_OK && got == 0)
            code = tw_png_close_chunk(&feed->chunk, error);
        if (code == TW_OK && got == 0)
            code = tw_png_open_chunk(&feed->chunk, error);
        if (code != TW_OK || got > 0)
            return chunk_code(feed, code, error);
        if (strcmp(feed->chunk.type, "IDAT") != 0)
            return tw_fail(error, TW_DAMAGED, "image-damaged",
                           "its image data breaks off before its end");
    }
}

/* Up to a block of pixels; *got < BLOCK: they are the last. */
static tw_code unpack(tw_png_feed *feed, unsigned char *bytes, size_t *got, tw_error *error) {
    tw_code code = TW_OK;
    *got = 0;
    while (code == TW_OK && *got < BLOCK && !tw_inflate_ended(feed->inflate)) {
        size_t some = 0;
        code = tw_inflate_some(feed->inflate, bytes + *got, BLOCK - *got, &some, error);
        *got += some;
        bool wants = *got < BLOCK && tw_inflate_left(feed->inflate) == 0;
        if (code == TW_OK && wants && !tw_inflate_ended(feed->inflate))
            code = take_packed(feed, error);
    }
    return code;
}

/* Nothing may stand behind the packed data in its chunk. */
static tw_code end_packed(tw_png_feed *feed, tw_error *error) {
    if (tw_inflate_left(feed->inflate) > 0 || feed->chunk.left > 0)
        return tw_fail(error, TW_DAMAGED, "image-damaged", "its image data goes on after its end");
    return chunk_code(feed, tw_png_close_chunk(&feed->chunk, error), error);
}

/* The block's head and, before the first, the stream's: 32 KiB window, no level (RFC 1950, 2.2). */
static unsigned char *put_heads(unsigned char *at, bool first, bool last, size_t length) {
    if (first) {
        *at++ = 0x78;
        *at++ = 0x01;
    }
    *at++ = last ? 1 : 0;
    *at++ = (unsigned char)(length & 0xff);
    *at++ = (unsigned char)(length >> 8);
    *at++ = (unsigned char)(~length & 0xff);
    *at++ = (unsigned char)(~length >> 8 & 0xff);
    return at;
}

static tw_code say_why(const tw_png_feed *feed, tw_error *error) {
    if (error != NULL)
        *error = feed->why;
    return feed->why.code;
}

/* `length` bytes of pixels lie behind where the heads go. */
static void wrap_packed(tw_png_feed *feed, bool last, size_t length) {
    unsigned char *end = put_heads(feed->room + CHUNK_HEAD, !feed->begun, last, length) + length;
    if (last) {
        tw_put_big32(end, tw_inflate_check(feed->inflate));
        end += CHECK;
    }
    size_t data = (size_t)(end - feed->room) - CHUNK_HEAD;
    tw_put_big32(feed->room, (uint32_t)data);
    memcpy(feed->room + 4, "IDAT", 4);
    memset(end, 0, CHECK); /* nobody looks at it */
    feed->begun = true;
    give(feed, CHUNK_HEAD + data + CHECK, last ? HEAD : PACKED);
}

/* What was unpacked before a fault goes first, so that the row it is found in is the right one. */
static tw_code give_packed(tw_png_feed *feed, tw_error *error) {
    size_t heads = CHUNK_HEAD + STORED_HEAD + (feed->begun ? 0 : ZLIB_HEAD), length = 0;
    if (feed->why.code != TW_OK)
        return say_why(feed, error);
    tw_code code = unpack(feed, feed->room + heads, &length, &feed->why);
    bool last = code == TW_OK && tw_inflate_ended(feed->inflate);
    if (last)
        code = end_packed(feed, &feed->why);
    if (code != TW_OK && (code != TW_DAMAGED || length == 0))
        return say_why(feed, error);
    wrap_packed(feed, last && code == TW_OK, length);
    return TW_OK;
}

/* ------------------------------------------------ pieces as they are asked for */

static tw_code next_piece(tw_png_feed *feed, tw_error *error) {
    switch (feed->next) {
    case SIGNATURE:
        return give_signature(feed, error);
    case HEAD:
        return give_head(feed, error);
    case DATA:
        return give_data(feed, error);
    case CRC:
        return give_crc(feed, error);
    case PACKED:
        return give_packed(feed, error);
    }
    return TW_OK;
}

tw_code tw_png_feed_read(tw_png_feed *feed, unsigned char *bytes, size_t length, tw_error *error) {
    while (length > 0) {
        tw_code code = feed->left == 0 ? next_piece(feed, error) : TW_OK;
        if (code != TW_OK)
            return code;
        size_t some = feed->left < length ? feed->left : length;
        memcpy(bytes, feed->piece, some);
        bytes += some;
        length -= some;
        feed->piece += some;
        feed->left -= some;
    }
    return TW_OK;
}
