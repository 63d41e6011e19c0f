/* The profiles for images that carry none (see srgb_profile.h). */
#include "colour/srgb_profile.h"

/* The primaries of IEC 61966-2-1 (ITU-R BT.709, white D65 0.3127 0.3290), adapted to D50 with
 * the Bradford matrix, in s15Fixed16; rounded so that the three add up to D50 exactly and white
 * stays white. */
void tw_srgb_profile(tw_buffer *out) {
    static const tw_icc_recipe recipe = {
        .name = "sRGB IEC61966-2-1",
        .columns = {{0x6FA0, 0x38F5, 0x0390}, {0x6297, 0xB787, 0x18DA}, {0x249F, 0x0F84, 0xB6C3}}};
    tw_icc_make(&recipe, out);
}

void tw_srgb_grey_profile(tw_buffer *out) {
    static const tw_icc_recipe recipe = {.name = "Grey with sRGB curve", .grey = true};
    tw_icc_make(&recipe, out);
}
