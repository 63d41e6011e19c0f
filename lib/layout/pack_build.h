/*
 * A row being made, inside lib/layout only: pack_row.c chooses what goes into it, pack_given.c is
 * told.
 */
#ifndef TW_LAYOUT_PACK_BUILD_H
#define TW_LAYOUT_PACK_BUILD_H

#include "layout/pack.h"

#define TW_COLUMNS_MOST 512

typedef struct tw_build_stack {
    tw_nm width, height;
    tw_nm keep_left, keep_right, keep_top, keep_bottom; /* of the column as a whole */
    tw_nm bleed_left, bleed_right, bleed_top, bleed_bottom;
    size_t first; /* slot */
} tw_build_stack;

typedef struct tw_builder {
    tw_packer *packer;
    tw_nm height, narrowest;
    const tw_row *ends; /* not NULL: it may keep no more from the sheet's ends than this row */
    tw_build_stack columns[TW_COLUMNS_MOST];
    int order[TW_COLUMNS_MOST]; /* from left to right */
    int count;
    tw_nm widths; /* sum */
    tw_slot *slots;
    size_t slot_count, slot_room;
} tw_builder;

const tw_lie *tw_build_lie(const tw_builder *b, size_t kind, int way);
/* One print at the foot of the column. */
void tw_build_take(tw_builder *b, tw_build_stack *c, const tw_option *option, tw_nm y);
/* Back to so many slots. */
void tw_build_untake(tw_builder *b, size_t to);
/* The column just made becomes part of the row where it finds a place. */
bool tw_build_keep(tw_builder *b);
/* Smaller prints under the column's own. */
void tw_build_under(tw_builder *b, tw_build_stack *c);
/* Add a column of this option, with smaller prints under it if `fill`. */
bool tw_build_column(tw_builder *b, const tw_option *option, bool fill);
/* Does the row as it is have a page? */
bool tw_build_has_page(const tw_builder *b);
TW_USE_RESULT tw_code tw_build_finish(tw_builder *b, tw_row *out, tw_error *error);

#endif
