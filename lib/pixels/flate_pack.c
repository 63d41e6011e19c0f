/* Filters and deflate of one block (see flate_pack.h). */
#include "pixels/flate_pack.h"

#include <string.h>

enum { FILTERS = 5 };

static inline int16_t distance(int16_t from, int16_t to) {
    return (int16_t)(from > to ? from - to : to - from);
}

/* In 16 bits and without branches, so that a compiler can do many bytes at once. */
static inline unsigned char paeth(unsigned char a, unsigned char b, unsigned char c) {
    int16_t to_a = distance(b, c), to_b = distance(a, c);
    int16_t to_c = distance((int16_t)(a + b), (int16_t)(2 * c));
    unsigned char b_or_c = to_b <= to_c ? b : c;
    return ((to_a <= to_b) & (to_a <= to_c)) ? a : b_or_c;
}

static inline unsigned magnitude(unsigned char byte) {
    return byte < 128 ? byte : 256u - byte;
}

/* Filters 1 and 2: less the byte a pixel before, or above. */
static void subtract(const unsigned char *x, const unsigned char *from, size_t length,
                     unsigned char *restrict out) {
    for (size_t i = 0; i < length; i++)
        out[i] = (unsigned char)(x[i] - from[i]);
}

/* Filter 3: less the mean of the byte before and the one above. */
static void subtract_mean(const unsigned char *x, const unsigned char *a, const unsigned char *b,
                          size_t length, unsigned char *restrict out) {
    for (size_t i = 0; i < length; i++)
        out[i] = (unsigned char)(x[i] - (a[i] + b[i]) / 2);
}

/* Filter 4: less the one of before, above and both that is nearest to their plane. */
static void subtract_paeth(const unsigned char *x, const unsigned char *a, const unsigned char *b,
                           const unsigned char *c, size_t length, unsigned char *restrict out) {
    for (size_t i = 0; i < length; i++)
        out[i] = (unsigned char)(x[i] - paeth(a[i], b[i], c[i]));
}

static void try_filters(const unsigned char *x, const unsigned char *b, size_t row_bytes,
                        size_t step, unsigned char *const out[FILTERS]) {
    size_t length = row_bytes - step;
    subtract(x + step, x, length, out[1] + step);
    subtract(x + step, b + step, length, out[2] + step);
    subtract_mean(x + step, x, b + step, length, out[3] + step);
    subtract_paeth(x + step, x, b + step, b, length, out[4] + step);
}

/* The first pixel has nothing before it: a and c are 0. */
static void try_first(const unsigned char *x, const unsigned char *b, size_t step,
                      unsigned char *const out[FILTERS]) {
    for (size_t i = 0; i < step; i++) {
        out[1][i] = x[i];
        out[2][i] = out[4][i] = (unsigned char)(x[i] - b[i]);
        out[3][i] = (unsigned char)(x[i] - b[i] / 2);
    }
}

static uint64_t sum_of(const unsigned char *bytes, size_t length) {
    uint64_t sum = 0;
    while (length > 0) { /* in pieces whose sums fit into 32 bits */
        size_t piece = length < 1 << 20 ? length : 1 << 20;
        uint32_t part = 0;
        for (size_t i = 0; i < piece; i++)
            part += magnitude(bytes[i]);
        sum += part;
        bytes += piece;
        length -= piece;
    }
    return sum;
}

static void filter_row(const unsigned char *x, const unsigned char *b, size_t row_bytes,
                       size_t step, unsigned char *tries, unsigned char *out) {
    unsigned char *tried[FILTERS];
    size_t best = 0;
    uint64_t least = sum_of(x, row_bytes);
    for (size_t i = 0; i < FILTERS; i++)
        tried[i] = tries + i * tw_flate_line(row_bytes);
    try_first(x, b, step < row_bytes ? step : row_bytes, tried);
    if (step < row_bytes)
        try_filters(x, b, row_bytes, step, tried);
    for (size_t i = 1; i < FILTERS; i++) {
        uint64_t sum = sum_of(tried[i], row_bytes);
        if (sum < least) {
            least = sum;
            best = i;
        }
    }
    out[0] = (unsigned char)best;
    memcpy(out + 1, best == 0 ? x : tried[best], row_bytes);
}

void tw_flate_filter(const unsigned char *rows, size_t row_bytes, size_t count, size_t step,
                     unsigned char *tries, unsigned char *out) {
    for (size_t i = 0; i < count; i++, rows += row_bytes, out += tw_flate_line(row_bytes))
        if (step == 0) {
            out[0] = 0;
            memcpy(out + 1, rows, row_bytes);
        } else {
            filter_row(rows, rows - row_bytes, row_bytes, step, tries, out);
        }
}

/* Deflate's worst case for these settings, as zlib's deflateBound has it, and the block's end. */
size_t tw_flate_room(size_t length) {
    return length + (length >> 12) + (length >> 14) + (length >> 25) + 32;
}

/* From the cheapest to the best. Level 4 is where lazy matching begins: on photographs after
 * filtering it packs as well as 6 in under a third of the time. */
static const tw_flate_way ways[] = {{1, Z_HUFFMAN_ONLY}, {1, Z_RLE}, {4, Z_FILTERED}};
enum { WAYS = sizeof ways / sizeof *ways };

static bool begin(z_stream *zlib, tw_flate_way way) {
    return deflateReset(zlib) == Z_OK && deflateParams(zlib, way.level, way.strategy) == Z_OK;
}

/* Two stretches, at a third and two thirds, packed by this way; SIZE_MAX: it failed. */
static size_t try_way(z_stream *zlib, tw_flate_way way, const unsigned char *bytes, size_t length,
                      unsigned char *scrap) {
    if (!begin(zlib, way))
        return SIZE_MAX;
    zlib->next_out = scrap;
    zlib->avail_out = TW_FLATE_SCRAP;
    for (size_t i = 1; i <= 2; i++) {
        zlib->next_in = bytes + i * (length - TW_FLATE_STRETCH) / 3;
        zlib->avail_in = TW_FLATE_STRETCH;
        if (deflate(zlib, i == 2 ? Z_FINISH : Z_NO_FLUSH) == Z_STREAM_ERROR)
            return SIZE_MAX;
    }
    return TW_FLATE_SCRAP - zlib->avail_out;
}

tw_flate_way tw_flate_choose(z_stream *zlib, const unsigned char *bytes, size_t length,
                             unsigned char *scrap) {
    const tw_flate_way best = ways[WAYS - 1];
    if (length < 8 * (size_t)TW_FLATE_STRETCH)
        return best;
    size_t least = try_way(zlib, best, bytes, length, scrap);
    for (size_t i = 0; i + 1 < WAYS; i++)
        if (try_way(zlib, ways[i], bytes, length, scrap) <= least + least / 100)
            return ways[i];
    return best;
}

bool tw_flate_deflate(z_stream *zlib, tw_flate_way way, const unsigned char *before,
                      size_t before_length, const unsigned char *bytes, size_t length, bool last,
                      unsigned char *out, size_t room, size_t *packed) {
    if (!begin(zlib, way))
        return false;
    if (before_length > 0 && deflateSetDictionary(zlib, before, (uInt)before_length) != Z_OK)
        return false;
    zlib->next_in = bytes;
    zlib->avail_in = (uInt)length;
    zlib->next_out = out;
    zlib->avail_out = (uInt)room;
    int result = deflate(zlib, last ? Z_FINISH : Z_SYNC_FLUSH);
    *packed = room - zlib->avail_out;
    return result == (last ? Z_STREAM_END : Z_OK) && zlib->avail_in == 0 && zlib->avail_out > 0;
}
