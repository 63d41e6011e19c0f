/*
 * Fuzz target: packed data (RFC 1951, without head and check sum, which are put on here: RFC 1950)
 * in pieces as the first two bytes say. What zlib unpacks, the quick road unpacks to the same
 * bytes; what zlib refuses ends in no whole stream, as its check sum is wrong.
 */
#include <zlib.h>

#include "base/inflate.h"
#include "fuzz.h"

enum { MOST = 1 << 18 };

/* Unpacked by zlib; how many of the bytes the data is, 0: it is none, or too much comes out. */
static size_t unpack_raw(const uint8_t *bytes, size_t length, uint8_t *out, size_t *got) {
    z_stream z = {
        .next_in = (uint8_t *)bytes, .avail_in = (uInt)length, .next_out = out, .avail_out = MOST};
    must(inflateInit2(&z, -15) == Z_OK);
    int result = inflate(&z, Z_FINISH);
    *got = z.total_out;
    size_t used = result == Z_STREAM_END ? z.total_in : 0;
    inflateEnd(&z);
    return used;
}

/* Blocks of their own size: a sanitizer sees a byte too many. */
static bool unpack_quick(const uint8_t *bytes, size_t length, size_t given, size_t room,
                         uint8_t *out, size_t *got) {
    tw_inflate *own = NULL;
    tw_error error = {0};
    must(tw_inflate_new(NULL, &own, &error) == TW_OK);
    uint8_t *piece = malloc(given), *block = malloc(room);
    size_t at = 0, some = room;
    tw_code code = TW_OK;
    for (*got = 0; code == TW_OK && !tw_inflate_ended(own) && *got + room <= MOST; *got += some) {
        code = tw_inflate_some(own, block, room, &some, &error);
        memcpy(out + *got, block, some);
        if (code != TW_OK || some == room || tw_inflate_left(own) > 0 || tw_inflate_ended(own))
            continue;
        size_t more = length - at < given ? length - at : given;
        if (more == 0)
            break;
        memcpy(piece, bytes + at, more);
        tw_inflate_give(own, piece, more);
        at += more;
    }
    if (code != TW_OK)
        must_be_sound(&error, code);
    bool ended = tw_inflate_ended(own);
    tw_inflate_free(own);
    free(piece);
    free(block);
    return ended;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    static uint8_t by_zlib[MOST], by_quick[MOST];
    static const uint8_t head[] = {0x78, 0x9C};
    if (length < 3)
        return -1;
    size_t given = bytes[0] + 1U, room = 16U * bytes[1] + 1, wanted = 0, got = 0, size = length - 2;
    size_t used = unpack_raw(bytes + 2, size, by_zlib, &wanted);
    size_t whole = sizeof head + (used > 0 ? used : size) + 4;
    uint8_t *stream = malloc(whole);
    uLong check = adler32(1, by_zlib, (uInt)wanted);
    must(stream != NULL);
    memcpy(stream, head, sizeof head);
    memcpy(stream + sizeof head, bytes + 2, whole - sizeof head - 4);
    for (int i = 0; i < 4; i++)
        stream[whole - 4 + (size_t)i] = (uint8_t)(check >> (24 - 8 * i));
    bool ended = unpack_quick(stream, whole, given, room, by_quick, &got);
    if (used > 0 && wanted + room <= MOST) {
        must(ended && got == wanted);
        must(memcmp(by_zlib, by_quick, wanted) == 0);
    }
    free(stream);
    return 0;
}
