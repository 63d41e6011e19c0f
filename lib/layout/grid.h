/*
 * Between kinds in nanometres and the band engine's whole units, inside lib/layout only
 * (grid.c: measures and units; pack_bands.c uses it to lay out, bound_bands.c to prove).
 */
#ifndef TW_LAYOUT_GRID_H
#define TW_LAYOUT_GRID_H

#include "layout/band.h"
#include "layout/pieces.h"

/* What the grid is for: patterns that can be laid (sizes rounded up), or a relaxation that no
 * plan can beat (rounded down, and every distance the least that any print needs). */
typedef enum tw_grid_use { TW_GRID_PATTERNS, TW_GRID_BOUND } tw_grid_use;

typedef struct tw_grid {
    tw_band_set set;
    tw_nm unit_x, unit_y;
    size_t *kinds; /* those of type t: kinds[first[t]] .. kinds[first[t + 1] - 1] */
    size_t *first;
    size_t *tall; /* kinds longer than the longest sheet however they lie; in no type */
    size_t tall_count;
    tw_nm sheet_extra; /* a sheet's lead, tail and loss beside its bands' heights; may be < 0 */
    bool exact;        /* nothing was rounded, and all gaps are equal */
    tw_nm gap, left;   /* then: in every size, right and below; where the first column lies */
} tw_grid;

/* `left` is how many of each kind are to be made. No types at all when the grid would be too
 * large to be worth while; never fails for that. */
TW_USE_RESULT tw_code tw_grid_make(tw_arena *arena, const tw_layout_problem *problem,
                                   const tw_kinds *kinds, const size_t *left, tw_grid_use use,
                                   tw_grid *out, tw_error *error);

#endif
