/*
 * The PNG facts reader's own state: png_facts.c says what each chunk means, png_profile.c unpacks
 * iCCP, png_colour.c decides which of the colour chunks is followed; under them lies png_chunk.h.
 */
#ifndef TW_IMAGE_PNG_FACTS_H
#define TW_IMAGE_PNG_FACTS_H

#include "image/facts.h"
#include "image/png_chunk.h"

/* The colour chunks beside iCCP, as they stand. */
typedef struct tw_png_colour {
    bool has_code_points, has_srgb, has_gamma, has_places;
    unsigned char code_points[4]; /* cICP */
    uint32_t gamma;               /* gAMA, 100 000ths */
    uint32_t places[8];           /* cHRM: x and y of white, red, green, blue, 100 000ths */
} tw_png_colour;

typedef struct tw_png_reader {
    tw_arena *arena;
    tw_image *image;
    tw_png_chunk chunk;
    unsigned char window[4096];
    /* what was seen so far */
    int colour_type;
    bool data_began, data_ended, ended, has_transparency, has_profile;
    tw_png_colour colour;
    unsigned char *exif; /* owned, a block of the arena's allocator */
    size_t exif_length;
} tw_png_reader;

/* iCCP: unpack and keep the profile, or say why not in the image's profile_problem. */
TW_USE_RESULT tw_code tw_png_profile(tw_png_reader *png, tw_error *error);
/* One chunk each; a second one and one after the palette or image data means nothing. */
TW_USE_RESULT tw_code tw_png_code_points(tw_png_reader *png, tw_error *error);
TW_USE_RESULT tw_code tw_png_srgb(tw_png_reader *png, tw_error *error);
TW_USE_RESULT tw_code tw_png_gamma(tw_png_reader *png, tw_error *error);
TW_USE_RESULT tw_code tw_png_places(tw_png_reader *png, tw_error *error);
/* After the last chunk: which of them is followed. TW_INPUT for high dynamic range. */
TW_USE_RESULT tw_code tw_png_colours(tw_png_reader *png, tw_error *error);

#endif
