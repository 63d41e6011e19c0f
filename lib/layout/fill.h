/*
 * Fillers after the day is laid out, inside lib/layout only: prints that may sell are laid into
 * the waste of its sheets (fill_waste.c), and where that is wanted and pays, on sheets of their
 * own (fill_rows.c). Rows take theirs before, as they are made (pack_fill.c).
 */
#ifndef TW_LAYOUT_FILL_H
#define TW_LAYOUT_FILL_H

#include "layout/open_sheet.h"

typedef struct tw_filling {
    tw_arena *arena; /* scratch */
    const tw_layout_problem *problem;
    unsigned char *fillers; /* bits: the ways a filler may lie that is to be laid yet; 0 none */
    tw_layout *layout;      /* its arrays have room for all pieces */
    tw_kinds kinds;         /* of the fillers */
    size_t *order;          /* kinds, worth most for their area first */
    int64_t tries;          /* cut trees that may still be made */
} tw_filling;

/* Lays fillers (bits: the ways they may lie; 0 those laid already) where the layout has room for
 * them and adds rows as settings.add_row_at says. Sets take[] of those laid; layout->left is not
 * looked at. */
TW_USE_RESULT tw_code tw_fill_free(tw_arena *arena, const tw_layout_problem *problem,
                                   const unsigned char *fillers, unsigned char *take,
                                   tw_layout *layout, tw_error *error);
/* The same for a layout made whole: its fillers worth laying leave layout->left. */
TW_USE_RESULT tw_code tw_fill_after(tw_arena *arena, const tw_layout_problem *problem,
                                    tw_layout *layout, tw_error *error);

/* Inside: as many fillers as the open sheet takes; those laid are no longer in f->fillers. */
TW_USE_RESULT tw_code tw_fill_sheet(tw_filling *f, tw_open_sheet *open, tw_error *error);
/* Inside: one kind only; *put counts. */
TW_USE_RESULT tw_code tw_fill_kind(tw_filling *f, tw_open_sheet *open, size_t kind,
                                   unsigned char ways, size_t *put, tw_error *error);
/* Inside: sheets of fillers alone, while one pays. */
TW_USE_RESULT tw_code tw_fill_rows(tw_filling *f, tw_error *error);

#endif
