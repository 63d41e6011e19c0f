/*
 * Pins, inside lib/layout only: prints that must lie on a certain sheet, or at a certain place of
 * it. First the day is laid out as if there were none: where equal prints changing places and
 * sheets changing numbers keep every pin, nothing is lost (pins_match.c). Else the sheets with
 * pins are built first, filled up with prints that fit round the pinned ones, and the rest of the
 * day is laid out as ever (pins_build.c). pins_check.c says which pins nobody could keep.
 */
#ifndef TW_LAYOUT_PINS_H
#define TW_LAYOUT_PINS_H

#include "layout/open_sheet.h"

typedef struct tw_pins {
    tw_arena *arena; /* scratch */
    const tw_layout_problem *problem;
    unsigned char *ways; /* of each piece */
    size_t *list;        /* pinned pieces by sheet; those with a place first, then by area */
    size_t count;
    size_t *first; /* of each pinned sheet's in `list`; sheets + 1 of them */
    int sheets;    /* with pins */
} tw_pins;

/* The sheet number (from 0) of the pinned sheet `at`. */
int tw_pins_number(const tw_pins *pins, int at);
bool tw_has_pins(const tw_layout_problem *problem);
/* A copy of the pieces without their pins; sets that lie alike have their way settled. Pinned
 * fillers are fillers no longer, as they were asked for; unless `fillers`. */
TW_USE_RESULT tw_code tw_pins_strip(const tw_pins *pins, bool fillers, tw_piece **out,
                                    tw_error *error);

/* Pins that cannot be kept whatever lies beside them: out->why TW_PIN_GOOD when there is none. */
void tw_pins_check(const tw_pins *pins, tw_pin_fault *out);
/* The page that the prints pinned to places on this sheet need. */
tw_nm tw_pins_page(const tw_pins *pins, int at, tw_pin_fault *fault);

/* Make the pins of a layout of `plain` (the problem stripped of them) in which all pinned pieces
 * lie true by changing equal prints' places and the sheets' numbers; false (and the layout as it
 * was) where that does not do. */
TW_USE_RESULT tw_code tw_pins_match(const tw_pins *pins, const tw_layout_problem *plain,
                                    tw_layout *layout, bool *matched, tw_error *error);

/* Which prints are tried first round the pinned ones. */
typedef enum tw_pin_fill {
    TW_PIN_BY_AREA,
    TW_PIN_BY_HEIGHT,
    TW_PIN_BY_WIDTH,
    TW_PIN_ALONE
} tw_pin_fill;
/* The whole day with the pinned sheets built first. TW_INPUT with out->pin_fault. */
TW_USE_RESULT tw_code tw_pins_build(const tw_pins *pins, tw_pin_fill fill, int64_t steps,
                                    tw_arena *arena, tw_layout *out, tw_error *error);

/* A problem with pins, laid out. */
TW_USE_RESULT tw_code tw_pins_layout(tw_arena *arena, const tw_layout_problem *problem,
                                     tw_layout *out, tw_error *error);

#endif
