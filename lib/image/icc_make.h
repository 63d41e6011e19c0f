/*
 * ICC profiles made here: for images that carry none (colour/srgb_profile.h) and for PNGs that
 * say their colours in other chunks than iCCP. Version 2 display profiles of a curve and, for
 * RGB, three primaries, which every print path reads.
 */
#ifndef TW_IMAGE_ICC_MAKE_H
#define TW_IMAGE_ICC_MAKE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/text.h"

typedef struct tw_icc_recipe {
    const char *name; /* ASCII */
    bool grey;
    /* red, green, blue as X, Y, Z at D50 in s15Fixed16 (ICC.1:2001-04, 5.3.3); not for grey */
    uint32_t columns[3][3];
    /* light = value^(up / down), 1/100 at least; up 0 = the curve of sRGB */
    uint32_t up, down;
} tw_icc_recipe;

void tw_icc_make(const tw_icc_recipe *recipe, tw_buffer *out);

/* Columns for a white and three primaries: x and y of white, red, green, blue in 100 000ths, as
 * PNG's cHRM has them. False when they span no colours. The white is adapted to D50 with the
 * Bradford matrix (ICC.1:2010, Annex E); the columns add up to D50 exactly. */
bool tw_icc_columns(const uint32_t at[8], uint32_t columns[3][3]);

/* Linear light of value i of 0..1023 on sRGB's curve, in 0..65535, rounded to the nearest. */
unsigned tw_srgb_linear(unsigned i);

#endif
