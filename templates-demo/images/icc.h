/* Small ICC profiles, built from primaries; and the way from linear Rec. 709 light into them. */
#ifndef IMAGES_ICC_H
#define IMAGES_ICC_H

#include <stddef.h>

#include "scene.h"

enum { ICC_MOST = 1024 };

/* Writes the profile of this look; returns its length. */
size_t icc_build(look which, unsigned char out[ICC_MOST]);
/* 3 x 3, row by row: linear Rec. 709 to the linear channels of the profile (RGB looks). */
void icc_matrix(look which, double out[9]);
/* One linear channel, 0 .. 1, to its encoded value, 0 .. 1, by the profile's gamma of 2.2. */
double icc_encode(double light);

#endif
