/*
 * A zlib stream (RFC 1950) unpacked as it comes, in little memory, and held to its check sum. ISA-L
 * does it where the build has that library (about twice zlib's speed on photographs), zlib
 * otherwise.
 */
#ifndef TW_BASE_INFLATE_H
#define TW_BASE_INFLATE_H

#include "base/error.h"

typedef struct tw_inflate tw_inflate;

/* The caller frees it. TW_MEMORY. */
TW_USE_RESULT tw_code tw_inflate_new(const tw_allocator *allocator, tw_inflate **out,
                                     tw_error *error);
/* The same by zlib in every build: the tests' second opinion. */
TW_USE_RESULT tw_code tw_inflate_new_zlib(const tw_allocator *allocator, tw_inflate **out,
                                          tw_error *error);
/* A new stream begins, whatever was left of the old one. */
void tw_inflate_restart(tw_inflate *inflate);
/* The stream's next bytes; only when those given before are used up. They stay the caller's and
 * must stand until then. At most UINT_MAX. */
void tw_inflate_give(tw_inflate *inflate, const unsigned char *bytes, size_t length);
/* How many of them are not used yet. */
size_t tw_inflate_left(const tw_inflate *inflate);
/* Unpack up to `room` bytes, at most UINT_MAX. *got < room: it wants more, or the stream ended;
 * while *got = room it may have more to give though nothing is left of what it was given.
 * TW_DAMAGED, with what is wrong as the whole message; TW_MEMORY. After a failure only
 * tw_inflate_restart and tw_inflate_free. */
TW_USE_RESULT tw_code tw_inflate_some(tw_inflate *inflate, unsigned char *bytes, size_t room,
                                      size_t *got, tw_error *error);
/* The stream is whole: its last byte came and its check sum (Adler-32) held. */
bool tw_inflate_ended(const tw_inflate *inflate);
/* That check sum, once it has ended. */
uint32_t tw_inflate_check(const tw_inflate *inflate);
void tw_inflate_free(tw_inflate *inflate); /* NULL allowed */

/* CRC-32 as PNG, gzip and zlib have it (PNG, W3C, annex D) of what `crc` is of and then `length`
 * bytes; 0 is of nothing. */
uint32_t tw_crc32(uint32_t crc, const unsigned char *bytes, size_t length);

#endif
