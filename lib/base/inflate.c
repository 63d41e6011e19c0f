/*
 * Unpacking by one of two libraries (inflate.h). Both take what is given to them whole or until
 * there is no more room, and tell the end of the stream only after its check sum.
 */
#define ZLIB_CONST /* next_in is const */
#include "base/inflate.h"

#include <zlib.h>

#ifdef TW_WITH_ISAL
#include <isa-l/crc.h>
#include <isa-l/igzip_lib.h>
#endif

struct tw_inflate {
    const tw_allocator *allocator;
    bool ended, quick; /* quick: by ISA-L */
    z_stream zlib;
#ifdef TW_WITH_ISAL
    struct inflate_state isal;
#endif
};

/* ------------------------------------------------ by zlib */

static void *zlib_take(void *context, uInt count, uInt size) {
    return tw_block_new(context, (size_t)count * size);
}

static void zlib_give(void *context, void *block) {
    tw_block_free(context, block);
}

tw_code tw_inflate_new_zlib(const tw_allocator *allocator, tw_inflate **out, tw_error *error) {
    tw_inflate *own = *out = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    own->allocator = allocator;
    own->zlib = (z_stream){
        .zalloc = zlib_take, .zfree = zlib_give, .opaque = (void *)allocator, .next_in = NULL};
    if (inflateInit(&own->zlib) == Z_OK)
        return TW_OK;
    tw_block_free(allocator, own);
    *out = NULL;
    return tw_no_memory(error);
}

static tw_code some_by_zlib(tw_inflate *own, unsigned char *bytes, size_t room, size_t *got,
                            tw_error *error) {
    own->zlib.next_out = bytes;
    own->zlib.avail_out = (uInt)room;
    int result = inflate(&own->zlib, Z_NO_FLUSH);
    *got = room - own->zlib.avail_out;
    own->ended = result == Z_STREAM_END;
    if (result == Z_MEM_ERROR)
        return tw_no_memory(error);
    if (result == Z_OK || result == Z_STREAM_END || result == Z_BUF_ERROR)
        return TW_OK;
    return tw_fail(error, TW_DAMAGED, "bad-zlib", "%s",
                   own->zlib.msg == NULL ? "it cannot be unpacked" : own->zlib.msg);
}

#ifdef TW_WITH_ISAL

/* ------------------------------------------------ by ISA-L */

tw_code tw_inflate_new(const tw_allocator *allocator, tw_inflate **out, tw_error *error) {
    tw_inflate *own = *out = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    own->allocator = allocator;
    own->quick = true;
    tw_inflate_restart(own);
    return TW_OK;
}

static const char *words_of(int result) {
    switch (result) {
    case ISAL_INVALID_BLOCK:
        return "a block of packed data is wrong";
    case ISAL_INVALID_SYMBOL:
        return "a code in the packed data is wrong";
    case ISAL_INVALID_LOOKBACK:
        return "the packed data points back to before its start";
    case ISAL_INCORRECT_CHECKSUM:
        return "the packed data does not match its check sum";
    case ISAL_NEED_DICT:
        return "it wants a dictionary, which the format does not have";
    default:
        return "no packed data begins there";
    }
}

static tw_code some_by_isal(tw_inflate *own, unsigned char *bytes, size_t room, size_t *got,
                            tw_error *error) {
    own->isal.next_out = bytes;
    own->isal.avail_out = (uint32_t)room;
    uint32_t left = own->isal.avail_in;
    int result = isal_inflate(&own->isal);
    *got = room - own->isal.avail_out;
    bool fine = result == ISAL_DECOMP_OK || result == ISAL_END_INPUT || result == ISAL_OUT_OVERFLOW;
    own->ended = fine && own->isal.block_state == ISAL_BLOCK_FINISH;
    bool stands = *got == 0 && left > 0 && own->isal.avail_in == left;
    if (fine && (own->ended || !stands)) /* else a caller would ask for ever */
        return TW_OK;
    return tw_fail(error, TW_DAMAGED, "bad-zlib", "%s", words_of(result));
}

#else

tw_code tw_inflate_new(const tw_allocator *allocator, tw_inflate **out, tw_error *error) {
    return tw_inflate_new_zlib(allocator, out, error);
}

#endif

/* ------------------------------------------------ by either */

void tw_inflate_restart(tw_inflate *own) {
    own->ended = false;
#ifdef TW_WITH_ISAL
    if (own->quick) {
        isal_inflate_init(&own->isal);
        own->isal.crc_flag = ISAL_ZLIB;
        return;
    }
#endif
    own->zlib.avail_in = 0;
    (void)inflateReset(&own->zlib);
}

void tw_inflate_give(tw_inflate *own, const unsigned char *bytes, size_t length) {
#ifdef TW_WITH_ISAL
    own->isal.next_in = (uint8_t *)bytes; /* it reads them only */
    own->isal.avail_in = (uint32_t)length;
#endif
    own->zlib.next_in = bytes;
    own->zlib.avail_in = (uInt)length;
}

size_t tw_inflate_left(const tw_inflate *own) {
#ifdef TW_WITH_ISAL
    if (own->quick) /* behind the end it has taken up to eight bytes it did not want */
        return own->isal.avail_in + (own->ended ? (size_t)own->isal.read_in_length / 8 : 0);
#endif
    return own->zlib.avail_in;
}

tw_code tw_inflate_some(tw_inflate *own, unsigned char *bytes, size_t room, size_t *got,
                        tw_error *error) {
    *got = 0;
    if (own->ended || room == 0)
        return TW_OK;
#ifdef TW_WITH_ISAL
    if (own->quick)
        return some_by_isal(own, bytes, room, got, error);
#endif
    return some_by_zlib(own, bytes, room, got, error);
}

bool tw_inflate_ended(const tw_inflate *own) {
    return own->ended;
}

uint32_t tw_inflate_check(const tw_inflate *own) {
#ifdef TW_WITH_ISAL
    if (own->quick)
        return own->isal.crc;
#endif
    return (uint32_t)own->zlib.adler;
}

void tw_inflate_free(tw_inflate *own) {
    if (own == NULL)
        return;
    if (!own->quick)
        (void)inflateEnd(&own->zlib);
    tw_block_free(own->allocator, own);
}

uint32_t tw_crc32(uint32_t crc, const unsigned char *bytes, size_t length) {
#ifdef TW_WITH_ISAL
    return crc32_gzip_refl(crc, bytes, length);
#else
    return (uint32_t)crc32_z(crc, bytes, length);
#endif
}
