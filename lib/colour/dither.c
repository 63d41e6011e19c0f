/*
 * 16 bits to 8 by ordered dithering (Bayer, "An optimum method for two-level rendition of
 * continuous-tone pictures", IEEE ICC 1973), 256 thresholds. Noise would hide as well, but the
 * pattern is the same on every machine by its nature, and deflate packs it better.
 */
#include "colour/colour.h"

/* 0 .. 255 at (x, y): the bits of x ^ y and y, interleaved from the lowest up. */
static unsigned threshold(unsigned x, unsigned y) {
    unsigned value = 0, both = x ^ y;
    for (unsigned bit = 0; bit < 4; bit++)
        value |= ((both >> bit & 1U) << 1 | (y >> bit & 1U)) << (6 - 2 * bit);
    return value;
}

void tw_dither_row(const uint16_t *samples, unsigned char *out, size_t pixels, int channels,
                   uint32_t x0, uint32_t y) {
    unsigned turn[16][4];
    for (unsigned x = 0; x < 16; x++)
        for (unsigned c = 0; c < 4; c++) /* channels out of step, or all would jump together */
            turn[x][c] = threshold((x0 + x + 5 * c) & 15U, (y + 11 * c) & 15U);
    for (size_t x = 0; x < pixels; x++)
        for (int c = 0; c < channels; c++, samples++)
            *out++ = (unsigned char)((*samples + turn[x & 15U][c]) / 257U);
}
