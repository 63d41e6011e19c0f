/*
 * Where on a sheet ink may lie that is not a picture: inside the paper's ink margins, off every
 * print and its bleed, and off what is drawn there already. What is no print is waste, as every
 * cut runs edge to edge, so the cut tree need not be asked.
 */
#ifndef TW_SHEET_ROOM_H
#define TW_SHEET_ROOM_H

#include "sheet/plan.h"

typedef struct tw_stretch {
    tw_nm from, to;
} tw_stretch;

typedef struct tw_room {
    tw_arena *arena;
    tw_rect ink;    /* the page without its margins */
    tw_rect *taken; /* the prints with their bleed first, then ink in the waste */
    size_t count, room;
    size_t prints;
    tw_stretch *scratch; /* as many as taken, and one more */
    size_t scratch_room;
} tw_room;

TW_USE_RESULT tw_code tw_room_start(tw_arena *arena, const tw_paper *paper,
                                    const tw_plan_sheet *sheet, tw_room *out, tw_error *error);
TW_USE_RESULT tw_code tw_room_take(tw_room *room, tw_rect rect, tw_error *error);
/* Inside the ink area and at least `clear` away from all that is taken. */
bool tw_room_free(const tw_room *room, tw_rect rect, tw_nm clear);

/* How free room is looked for. */
typedef struct tw_seek {
    tw_along along;   /* TW_ACROSS: along x; TW_ALONG: along y */
    bool prints_only; /* ink in the waste does not count */
    tw_nm clear;      /* kept from what is taken */
    const bool *pass; /* prints that do not block, by index; NULL = all block */
} tw_seek;

/* The free stretches of a band, in order; `*out` is valid until the next call. A band that is
 * not wholly inside the ink area across its direction has none. */
size_t tw_room_stretches(tw_room *room, tw_rect band, const tw_seek *seek, const tw_stretch **out);
/* The longest free band of this thickness; among equals the one nearest to the lead, then to the
 * left. Its length 0: none. */
TW_USE_RESULT tw_code tw_room_longest(tw_room *room, tw_nm thickness, const tw_seek *seek,
                                      tw_rect *out, tw_error *error);

#endif
