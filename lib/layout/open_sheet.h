/*
 * A sheet with free places, inside lib/layout only: prints lie on it already, and more are laid
 * into its waste, one at a time. Every waste rectangle of the sheet's cut tree is tried; a print
 * stays only where the whole sheet can still be cut edge to edge, as deep as the settings allow.
 * Used where prints are pinned (pins_build.c) and for fillers that rows cannot take.
 */
#ifndef TW_LAYOUT_OPEN_SHEET_H
#define TW_LAYOUT_OPEN_SHEET_H

#include "layout/pieces.h"

typedef struct tw_open_sheet {
    const tw_layout_problem *problem;
    tw_placed *placed; /* all with sheet 0 */
    size_t count, room;
    tw_nm length;   /* of the page */
    tw_rect *waste; /* of the cut tree, largest first; room for `waste_room` */
    size_t waste_count, waste_room;
    bool cuttable; /* as it is */
    int64_t tries; /* cut trees that may still be made; below 1 nothing more is laid */
} tw_open_sheet;

/* Room for `most` prints in all, those in `placed` first; looks at its waste. Arrays are taken
 * from the arena. A sheet that cannot be cut has out->cuttable false and no waste. */
TW_USE_RESULT tw_code tw_open_start(tw_arena *arena, const tw_layout_problem *problem,
                                    const tw_placed *placed, size_t count, size_t most,
                                    tw_nm length, tw_open_sheet *out, tw_error *error);
/* The page becomes this long; looks at its waste again. */
TW_USE_RESULT tw_code tw_open_lengthen(tw_open_sheet *open, tw_nm length, tw_error *error);
/* Lay this piece into the waste, lying one of these ways (bits: 1 upright, 2 turned), where the
 * least is left beside it; *put says whether there was a place. */
TW_USE_RESULT tw_code tw_open_put(tw_open_sheet *open, size_t piece, unsigned char ways, bool *put,
                                  tw_error *error);
/* How far down the prints reach. */
tw_nm tw_open_bottom(const tw_open_sheet *open);

#endif
