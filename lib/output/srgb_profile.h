/*
 * The profiles given to images that carry none: sRGB (IEC 61966-2-1) and a grey with sRGB's
 * curve, as ICC version 2 display profiles, which every print path reads. Made from integers, so
 * they are the same bytes on every machine.
 */
#ifndef TW_OUTPUT_SRGB_PROFILE_H
#define TW_OUTPUT_SRGB_PROFILE_H

#include "base/text.h"

void tw_srgb_profile(tw_buffer *out);
void tw_srgb_grey_profile(tw_buffer *out);
/* Linear light of value i of 0..1023, in 0..65535, rounded to the nearest. */
unsigned tw_srgb_linear(unsigned i);

#endif
