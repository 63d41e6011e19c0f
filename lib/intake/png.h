/*
 * The PNG facts reader's own state and the chunk by chunk reading under it: png.c says what each
 * chunk means, png_chunk.c takes the file apart, png_profile.c unpacks iCCP.
 */
#ifndef TW_INTAKE_PNG_H
#define TW_INTAKE_PNG_H

#include "intake/image.h"
#include "intake/source.h"

typedef struct tw_png_reader {
    tw_arena *arena;
    tw_image *image;
    tw_source source;
    unsigned char window[4096];
    /* the chunk in hand */
    char type[5];
    uint32_t length, left; /* bytes of its data, and how many are still unread */
    int64_t chunk_at;      /* where its length field begins */
    uint32_t crc;
    bool hopped; /* its data was not looked at, so neither is its CRC */
    /* what was seen so far */
    int colour_type;
    bool data_began, data_ended, ended, has_transparency, code_points, has_profile;
    unsigned char *exif; /* owned, a block of the arena's allocator */
    size_t exif_length;
} tw_png_reader;

/* The signature. */
TW_USE_RESULT tw_code tw_png_start(tw_png_reader *png, tw_error *error);
/* The next chunk's length and type; its data and CRC are known to lie inside the file. */
TW_USE_RESULT tw_code tw_png_open_chunk(tw_png_reader *png, tw_error *error);
/* The next `count` bytes of the chunk's data, at most `left`. */
TW_USE_RESULT tw_code tw_png_bytes(tw_png_reader *png, unsigned char *bytes, size_t count,
                                   tw_error *error);
/* Some of the chunk's data in place; *got 0 = all was read. */
TW_USE_RESULT tw_code tw_png_some(tw_png_reader *png, const unsigned char **bytes, size_t *got,
                                  tw_error *error);
/* Go to the end of the data without reading it. */
void tw_png_hop(tw_png_reader *png);
/* The rest of the data and the CRC. */
TW_USE_RESULT tw_code tw_png_close_chunk(tw_png_reader *png, tw_error *error);

/* iCCP: unpack and keep the profile, or say why not in the image's profile_problem. */
TW_USE_RESULT tw_code tw_png_profile(tw_png_reader *png, tw_error *error);

#endif
