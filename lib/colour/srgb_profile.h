/*
 * The profiles given to images that carry none: sRGB (IEC 61966-2-1) and a grey with sRGB's
 * curve, as ICC version 2 display profiles, which every print path reads. Made from integers, so
 * they are the same bytes on every machine.
 */
#ifndef TW_COLOUR_SRGB_PROFILE_H
#define TW_COLOUR_SRGB_PROFILE_H

#include "image/icc_make.h"

void tw_srgb_profile(tw_buffer *out);
void tw_srgb_grey_profile(tw_buffer *out);

#endif
