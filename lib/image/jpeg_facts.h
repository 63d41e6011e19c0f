/*
 * The JPEG facts reader's own state: jpeg_facts.c says what each segment means, jpeg_profile.c puts
 * an ICC profile together from its parts.
 */
#ifndef TW_IMAGE_JPEG_FACTS_H
#define TW_IMAGE_JPEG_FACTS_H

#include "image/facts.h"
#include "image/source.h"

/* The parts of an ICC profile, by their number in the file; 0 is never used. */
typedef struct tw_jpeg_parts {
    int64_t at[256]; /* 0 = not seen */
    uint32_t length[256];
    unsigned count; /* as the first part says; 0 = no profile */
    const char *problem;
} tw_jpeg_parts;

typedef struct tw_jpeg_reader {
    tw_arena *arena;
    tw_image *image;
    tw_source source;
    unsigned char window[4096];
    /* the segment in hand: data only, without marker and length */
    unsigned marker;
    int64_t marker_at, data_at;
    uint32_t length;
    /* what was seen so far */
    unsigned char ids[4];
    bool has_frame, has_jfif, has_adobe, has_exif, at_scan;
    unsigned adobe_transform;
    tw_jpeg_parts parts;
} tw_jpeg_reader;

/* Note a part: an APP2 segment that begins with "ICC_PROFILE". */
TW_USE_RESULT tw_code tw_jpeg_part(tw_jpeg_reader *jpeg, tw_error *error);
/* Put them together, whatever their order in the file. */
TW_USE_RESULT tw_code tw_jpeg_profile(tw_jpeg_reader *jpeg, tw_error *error);

#endif
