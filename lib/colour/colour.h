/*
 * Colour from one profile to another, through lcms2 (lib/colour alone includes it):
 *
 *   profile.c         what must hold of a profile before lcms2 sees it, and what inspect says
 *   context.c         lcms2 on our memory, its complaints caught, no global handler
 *   transform.c       one transform: pixels in, pixels or CIE L*a*b* out
 *   fast_pipeline.c   its steps computed here, many pixels at a time
 *   dither.c          16 bits to 8 without banding, by place alone
 *   converted_rows.c  the transform as a stage of rows, on all cores
 *
 * Every transform computes in floating point between 16-bit samples; lcms2's shortcuts through
 * coarser tables are not taken, since they cost up to some hundred of 65 535 steps. Where all steps
 * between two profiles are plain ones, they are computed here, within 16 of lcms2's 65 535 steps.
 */
#ifndef TW_COLOUR_COLOUR_H
#define TW_COLOUR_COLOUR_H

#include "base/error.h"
#include "colour/ciede2000.h"
#include "colour/intent.h"

/* A profile as bytes; bytes NULL: CIE L*a*b*, D50 (ICC.1's connection space). */
typedef struct tw_icc {
    const unsigned char *bytes;
    size_t length;
} tw_icc;

/* ------------------------------------------------ profiles */

typedef enum tw_icc_use { TW_ICC_SOURCE, TW_ICC_PAPER } tw_icc_use;

/* Can this profile be used so? TW_INPUT by the names "profile" (header or tag table broken),
 * "profile-version" (neither 2 nor 4), "profile-class", "profile-space" (not grey, RGB or CMYK, or
 * not `channels` when that is not 0), "profile-damaged" (lcms2 cannot make a transform of it).
 * The hint names the way out. `called` names the profile in messages. */
TW_USE_RESULT tw_code tw_icc_check(const tw_allocator *allocator, tw_icc icc, tw_icc_use use,
                                   int channels, const char *called, tw_error *error);

/* What a printer's profile says of its paper. */
typedef struct tw_icc_facts {
    tw_lab white, black; /* measured (absolute): of the paper; of its darkest colour */
    double gamut_volume; /* cubic L*a*b* units, of relative colorimetric; 0 = not found out */
} tw_icc_facts;
/* White and black alone, which is quick. Errors as tw_icc_check. */
TW_USE_RESULT tw_code tw_icc_ends_read(const tw_allocator *allocator, tw_icc icc, tw_icc_facts *out,
                                       tw_error *error);
/* All of it. */
TW_USE_RESULT tw_code tw_icc_facts_read(const tw_allocator *allocator, tw_icc icc,
                                        tw_icc_facts *out, tw_error *error);

/* ------------------------------------------------ a transform */

typedef struct tw_colour tw_colour;

typedef struct tw_colour_way {
    tw_icc from, to;
    tw_intent intent;
    bool black_point; /* compensate: black to black, in proportion between (ISO 18619) */
    int bits_in;      /* 8; 16 with the high byte first; 0: 16 in this machine's order */
} tw_colour_way;

/* `from` and `to` are checked by the caller (tw_icc_check). TW_INPUT "profile-damaged" when lcms2
 * refuses; TW_MEMORY. */
TW_USE_RESULT tw_code tw_colour_open(const tw_allocator *allocator, const tw_colour_way *way,
                                     tw_colour **out, tw_error *error);
void tw_colour_close(tw_colour *colour);               /* NULL allowed */
int tw_colour_channels(const tw_colour *colour);       /* of what comes out */
size_t tw_colour_pixel_bytes(const tw_colour *colour); /* of what goes in */

/* `count` pixels to 16-bit samples in this machine's order, or to tw_lab when `to` is L*a*b*;
 * from pixels of bits_in, or from tw_lab when `from` is. May be called from several threads. */
void tw_colour_run(const tw_colour *colour, const void *in, void *out, size_t count);

/* ------------------------------------------------ 16 bits to 8 */

/* Samples of one row to bytes; x0, y = place of the first pixel. Each sample rounds up or down by
 * a threshold of its place (Bayer's 16 x 16 pattern), so a smooth ramp stays smooth on average;
 * what is a whole number of 8-bit steps stays that. */
void tw_dither_row(const uint16_t *samples, unsigned char *out, size_t pixels, int channels,
                   uint32_t x0, uint32_t y);

#endif
