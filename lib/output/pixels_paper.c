/*
 * What is partly transparent, laid on paper white: in light, not in code values, as paper would
 * show through. The curve is sRGB's (IEC 61966-2-1) whatever the image's own profile, and the
 * road's words say so.
 *
 * A table holds the light of every code value and of the borders half way between two, as
 * integers of 27 bits; a mix is found between the borders by integer comparison alone, so equal
 * input gives equal output everywhere. pow() only makes the tables: rounding to 27 bits lies far
 * above what its last bit may differ by, and tests/unit/output/test_pixels_paper.c shows that no
 * entry is near a tie.
 */
#include <math.h>

#include "output/pixels_rows.h"

enum { LIGHT_BITS = 27 };

struct tw_paper_light {
    uint32_t most;     /* 255 or 65535 */
    uint32_t *light;   /* of code 0 .. most */
    uint32_t *borders; /* borders[c]: least light that rounds to code c; half up */
};

/* The light of code / most, times 2^27. */
static uint32_t light_of(double code, uint32_t most) {
    double v = code / most;
    double light = v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
    return (uint32_t)floor(light * (1 << LIGHT_BITS) + 0.5);
}

tw_paper_light *tw_paper_light_new(const tw_allocator *allocator, int bits) {
    uint32_t most = bits == 16 ? 65535 : 255;
    size_t table = ((size_t)most + 1) * sizeof(uint32_t);
    tw_paper_light *light = tw_block_new(allocator, sizeof *light + 2 * table);
    if (light == NULL)
        return NULL;
    light->most = most;
    light->light = (uint32_t *)(light + 1);
    light->borders = light->light + most + 1;
    for (uint32_t code = 0; code <= most; code++) {
        light->light[code] = light_of(code, most);
        light->borders[code] = code == 0 ? 0 : light_of(code - 0.5, most);
    }
    return light;
}

void tw_paper_light_free(const tw_allocator *allocator, tw_paper_light *light) {
    tw_block_free(allocator, light);
}

uint32_t tw_paper_light_mix(const tw_paper_light *light, uint32_t colour, uint32_t alpha) {
    uint64_t most = light->most;
    uint64_t mix = alpha * (uint64_t)light->light[colour] + ((most - alpha) << LIGHT_BITS);
    uint32_t low = colour, high = light->most; /* white can only make it lighter */
    if (alpha == most || colour == most)
        return colour;
    while (low < high) {
        uint32_t middle = high - (high - low) / 2;
        if (most * light->borders[middle] <= mix)
            low = middle;
        else
            high = middle - 1;
    }
    return low;
}

static void row_of_8(const tw_paper_light *light, unsigned char *row, uint32_t count,
                     size_t channels) {
    const unsigned char *from = row;
    unsigned char *to = row;
    for (uint32_t i = 0; i < count; i++, from += channels + 1, to += channels) {
        unsigned char alpha = from[channels];
        for (size_t c = 0; c < channels; c++)
            to[c] = (unsigned char)tw_paper_light_mix(light, from[c], alpha);
    }
}

static void row_of_16(const tw_paper_light *light, unsigned char *row, uint32_t count,
                      size_t channels) {
    const unsigned char *from = row;
    unsigned char *to = row;
    for (uint32_t i = 0; i < count; i++, from += 2 * (channels + 1), to += 2 * channels) {
        uint32_t alpha = tw_big16(from + 2 * channels);
        for (size_t c = 0; c < channels; c++) {
            uint32_t mix = tw_paper_light_mix(light, tw_big16(from + 2 * c), alpha);
            to[2 * c] = (unsigned char)(mix >> 8);
            to[2 * c + 1] = (unsigned char)mix;
        }
    }
}

void tw_paper_light_row(const tw_paper_light *light, unsigned char *row, uint32_t count,
                        int channels) {
    if (light->most == 255)
        row_of_8(light, row, count, (size_t)channels);
    else
        row_of_16(light, row, count, (size_t)channels);
}
