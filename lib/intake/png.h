/*
 * The PNG facts reader's own state: png.c says what each chunk means, png_profile.c unpacks
 * iCCP; under them lies png_chunk.h.
 */
#ifndef TW_INTAKE_PNG_H
#define TW_INTAKE_PNG_H

#include "intake/image.h"
#include "intake/png_chunk.h"

typedef struct tw_png_reader {
    tw_arena *arena;
    tw_image *image;
    tw_png_chunk chunk;
    unsigned char window[4096];
    /* what was seen so far */
    int colour_type;
    bool data_began, data_ended, ended, has_transparency, code_points, has_profile;
    unsigned char *exif; /* owned, a block of the arena's allocator */
    size_t exif_length;
} tw_png_reader;

/* iCCP: unpack and keep the profile, or say why not in the image's profile_problem. */
TW_USE_RESULT tw_code tw_png_profile(tw_png_reader *png, tw_error *error);

#endif
