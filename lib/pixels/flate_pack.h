/*
 * One block of rows filtered and deflated, for the blocks of flate.c. Any thread may do it:
 * nothing here asks for memory.
 */
#ifndef TW_PIXELS_FLATE_PACK_H
#define TW_PIXELS_FLATE_PACK_H

#define ZLIB_CONST /* next_in is const */
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <zlib.h>

enum { TW_FLATE_STRETCH = 8 << 10, TW_FLATE_SCRAP = 3 * TW_FLATE_STRETCH };
enum { TW_FLATE_WINDOW = 32 << 10 }; /* what deflate looks back, RFC 1951 */

/* Room of a filtered row: its filter's number first. */
static inline size_t tw_flate_line(size_t row_bytes) {
    return row_bytes + 1;
}

/*
 * PNG's filters (PNG, W3C, clause 9) for `count` rows that lie one after the other in `rows`, each
 * `row_bytes` long; the row before the first lies in front of it. `step` = bytes of a pixel; 0 = no
 * filter pays (PNG, 12.7), each row gets filter 0. Of the five, each row gets the one whose bytes,
 * taken as signed, have the least sum of magnitudes. `out` has room for count lines, `tries` for
 * five.
 */
void tw_flate_filter(const unsigned char *rows, size_t row_bytes, size_t count, size_t step,
                     unsigned char *tries, unsigned char *out);

/*
 * Deflate `length` bytes by a raw stream (windowBits -15) that was opened with the level wanted.
 * `before` = up to TW_FLATE_WINDOW bytes that stand before them. Not `last`: the result ends at a
 * byte with an empty stored block (RFC 1951 3.2.4), so that blocks can be joined. False: a bug.
 */
/* A way to deflate: level and strategy as zlib has them. */
typedef struct tw_flate_way {
    int level, strategy;
} tw_flate_way;

/*
 * The cheapest way that packs `bytes` within a hundredth of the best, judged by two stretches of
 * them: on the noise of a photograph looking for repetitions costs most of the time and finds
 * none; on flat or drawn parts it is worth all of it. `scrap` has room for TW_FLATE_SCRAP bytes.
 */
tw_flate_way tw_flate_choose(z_stream *zlib, const unsigned char *bytes, size_t length,
                             unsigned char *scrap);

bool tw_flate_deflate(z_stream *zlib, tw_flate_way way, const unsigned char *before,
                      size_t before_length, const unsigned char *bytes, size_t length, bool last,
                      unsigned char *out, size_t room, size_t *packed);

/* Room that holds any result of `length` bytes. */
size_t tw_flate_room(size_t length);

#endif
