/*
 * What an ICC profile says of itself, and whether it can be used at all: header, tag table and
 * description, every offset held against the length before it is followed.
 */
#ifndef TW_IMAGE_ICC_HEAD_H
#define TW_IMAGE_ICC_HEAD_H

#include "base/error.h"

/* What an ICC header says (ICC.1 / ISO 15076-1 clause 7.2). */
typedef struct tw_profile {
    char device_class[5], space[5], connection[5];
    int channels; /* 1 3 4; 0 for a space we do not print */
    int version_major, version_minor;
    int intent;
    const char *description; /* desc/mluc tag as UTF-8, or NULL */
} tw_profile;
/* Cheap validity: length >= 132, the size field, 'acsp' at 36, tag table inside. */
TW_USE_RESULT tw_code tw_profile_read(tw_arena *arena, const unsigned char *bytes, size_t length,
                                      tw_profile *out, tw_error *error);
/* Of ICC version 2 or 4, those that are read (ICC.1:2010, 7.2.4); connected through XYZ or Lab, as
 * all but device links are (7.2.7; both from memory); of a class that may say what the colours of
 * an image mean: input, display, output, colour space (ISO 32000-1, 8.6.5.5). */
bool tw_profile_has_version(const tw_profile *profile);
bool tw_profile_connects(const tw_profile *profile);
bool tw_profile_is_source(const tw_profile *profile);

#endif
