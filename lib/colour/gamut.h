/*
 * What a paper makes of colours: those that are wanted, those that will be printed. The figures of
 * a proof, the gamut map and the choice of "auto" are all differences of these two.
 */
#ifndef TW_COLOUR_GAMUT_H
#define TW_COLOUR_GAMUT_H

#include "colour/colour.h"

/* A pixel counts as out of gamut when relative colorimetric prints it further than this from what
 * is wanted, in CIEDE2000 (common practice: what is seen side by side without looking for it). */
#define TW_GAMUT_FAR 3.0
/* "auto" takes perceptual where more than this share of the pixels is out of gamut, in millionths
 * (5 %; our choice, stated to the person). */
#define TW_GAMUT_SHARE 50000

typedef struct tw_gamut tw_gamut;

typedef struct tw_gamut_way {
    tw_icc source, paper;
    tw_intent intent;
    bool black_point;
    int bits; /* of the pixels: 8, or 0 for 16 in this machine's order */
} tw_gamut_way;

TW_USE_RESULT tw_code tw_gamut_open(const tw_allocator *allocator, const tw_gamut_way *way,
                                    tw_gamut **out, tw_error *error);
void tw_gamut_close(tw_gamut *gamut); /* NULL allowed */
/* Of `count` pixels: what is wanted (the image's colour against paper white; with black point
 * compensation its blacks scaled to the paper's, ISO 18619:2015) and what the paper shows, relative
 * to its white. May be called from several threads. */
void tw_gamut_run(const tw_gamut *gamut, const void *pixels, size_t count, tw_lab *wanted,
                  tw_lab *printed);

/* Some of those opened last stay open: to open one takes as long as a small picture's pixels do,
 * and most prints of a day go the same way. Zeroed but for `allocator` at first; one thread's. */
enum { TW_GAMUTS = 4 };

typedef struct tw_gamuts {
    const tw_allocator *allocator;
    struct {
        tw_gamut_way way;
        tw_gamut *gamut;
        size_t used; /* by the count of askings */
    } kept[TW_GAMUTS];
    size_t asked;
} tw_gamuts;

/* As tw_gamut_open, but *out stays theirs; it stands at least until TW_GAMUTS other ways were
 * asked for. The profiles' bytes must stand until tw_gamuts_close. */
TW_USE_RESULT tw_code tw_gamuts_get(tw_gamuts *gamuts, const tw_gamut_way *way, tw_gamut **out,
                                    tw_error *error);
void tw_gamuts_close(tw_gamuts *gamuts);

#endif
