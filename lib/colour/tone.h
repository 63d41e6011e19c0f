/*
 * Tone curves: the light that an image's code values stand for, and back. Whatever mixes pixels
 * (paper white under what is transparent, resampling, sharpening) mixes light, not codes.
 *
 * All in integers, so that the same image gives the same bytes on every machine.
 */
#ifndef TW_COLOUR_TONE_H
#define TW_COLOUR_TONE_H

#include "image/image.h"

/* Light runs from 0 to 1 << TW_TONE_BITS. */
#define TW_TONE_BITS 30
#define TW_TONE_STEP 19

typedef enum tw_tone_source {
    TW_TONE_OWN,     /* of the image's own profile */
    TW_TONE_SRGB,    /* sRGB's, as the image says */
    TW_TONE_ASSUMED, /* sRGB's: the image says nothing, or its profile has no plain curve */
    TW_TONE_INK      /* CMYK: shares of ink are mixed as they are */
} tw_tone_source;

typedef struct tw_tone {
    tw_tone_source source;
    uint32_t most;              /* the highest code: 255 or 65535 */
    const uint32_t *light[4];   /* by channel: of code 0 .. most, never falling */
    const uint32_t *borders[4]; /* borders[c][k]: light half way between codes k - 1 and k */
    const uint32_t *starts[4];  /* starts[c][k]: the code of light k << TW_TONE_STEP */
    uint32_t paper;             /* the code of bare paper */
    uint32_t *tables[3];        /* owned */
} tw_tone;

/* The curves of an image whose samples have 8 or 16 `bits`. TW_MEMORY alone is an error. */
TW_USE_RESULT tw_code tw_tone_new(const tw_allocator *allocator, const tw_image *image, int bits,
                                  tw_tone **out, tw_error *error);
void tw_tone_free(const tw_allocator *allocator, tw_tone *tone); /* NULL allowed */

/* The code nearest to a light; what lies beyond an end is the end. */
uint32_t tw_tone_code(const tw_tone *tone, int channel, int64_t light);

/* ---- the curve of a profile (tone_curve.c) */

typedef enum tw_curve_kind {
    TW_CURVE_SRGB,
    TW_CURVE_LINE,
    TW_CURVE_POWER,
    TW_CURVE_TABLE
} tw_curve_kind;

/* The parts of a parametric curve: (a v + b)^g + e from d on, c v + f below; s15Fixed16. */
typedef struct tw_curve_parts {
    int32_t g, a, b, c, d, e, f;
} tw_curve_parts;

typedef struct tw_curve {
    tw_curve_kind kind;
    tw_curve_parts parts;       /* TW_CURVE_POWER */
    const unsigned char *table; /* TW_CURVE_TABLE: 16-bit entries */
    uint32_t count;
} tw_curve;

/* The curve in tag `name` (such as "rTRC") of a valid profile; false where there is none that can
 * be read. ICC.1:2010, 10.5 (curveType) and 10.15 (parametricCurveType). */
bool tw_curve_find(const unsigned char *profile, size_t length, const char *name, tw_curve *out);
/* Light of the value over / under, 0 .. 1, at most 2^17 each; in 0 .. 1 << TW_TONE_BITS. */
uint32_t tw_curve_light(const tw_curve *curve, uint32_t over, uint32_t under);

#endif
