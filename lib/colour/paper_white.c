/*
 * What is partly transparent, laid on paper white: in light, not in code values, as paper would
 * show through (PNG, W3C, third edition, 13.16; A. R. Smith, Alpha and the History of Digital
 * Compositing, 1995):
 *
 *     printed = curve^-1( alpha x curve(colour) + (1 - alpha) x curve(white) )
 *
 * with the image's own tone curve where it has one, else sRGB's; the road's words say which.
 * Integers all through, see tone.h; a sample that is not transparent stays as it is.
 */
#include "colour/paper_white.h"

uint32_t tw_paper_mix(const tw_tone *tone, int channel, uint32_t colour, uint32_t alpha) {
    const uint32_t *light = tone->light[channel];
    uint64_t most = tone->most;
    if (alpha == most || colour == tone->paper)
        return colour;
    if (alpha == 0)
        return tone->paper;
    uint64_t mix = alpha * (uint64_t)light[colour] + (most - alpha) * light[tone->paper];
    return tw_tone_code(tone, channel, (int64_t)((mix + most / 2) / most));
}

static void row_of_8(const tw_tone *tone, unsigned char *row, uint32_t count, int channels) {
    const unsigned char *from = row;
    unsigned char *to = row;
    for (uint32_t i = 0; i < count; i++, from += channels + 1, to += channels) {
        unsigned char alpha = from[channels];
        for (int c = 0; c < channels; c++)
            to[c] = (unsigned char)tw_paper_mix(tone, c, from[c], alpha);
    }
}

static void row_of_16(const tw_tone *tone, unsigned char *row, uint32_t count, int channels) {
    const unsigned char *from = row;
    unsigned char *to = row;
    for (uint32_t i = 0; i < count; i++, from += 2 * (size_t)(channels + 1)) {
        uint32_t alpha = tw_big16(from + 2 * (size_t)channels);
        for (int c = 0; c < channels; c++, to += 2) {
            uint32_t mix = tw_paper_mix(tone, c, tw_big16(from + 2 * (size_t)c), alpha);
            to[0] = (unsigned char)(mix >> 8);
            to[1] = (unsigned char)mix;
        }
    }
}

void tw_paper_row(const tw_tone *tone, unsigned char *row, uint32_t count, int channels) {
    if (tone->most == 255)
        row_of_8(tone, row, count, channels);
    else
        row_of_16(tone, row, count, channels);
}
