/*
 * What is still free on a day's sheets: which formats would find a place in the waste without any
 * more paper, and which rows of one format would be cheaper a print if they were completed.
 */
#ifndef TW_LAYOUT_FREE_H
#define TW_LAYOUT_FREE_H

#include "layout/layout.h"

/* Of one format. */
typedef struct tw_free {
    size_t places;    /* beside what is laid, and beside the larger formats' places */
    bool cut_short;   /* there may be more: the work allowed was used up */
    size_t more, had; /* would complete a row of `had` prints of it; 0 none, the best of all rows */
    int64_t saves;    /* on each of them then, thousandths of a minor unit of the row's paper */
} tw_free;

/* Largest formats first into each sheet's waste, one after another. `formats` are pieces as the
 * problem's own; `same` says for each piece of the problem which format it is (SIZE_MAX none).
 * Adds to out[] (one a format). TW_MEMORY. */
TW_USE_RESULT tw_code tw_free_places(tw_arena *arena, const tw_layout_problem *problem,
                                     const tw_layout *layout, const tw_piece *formats, size_t count,
                                     const size_t *same, tw_free *out, tw_error *error);

#endif
