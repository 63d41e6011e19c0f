/* Free room on a sheet: intervals cut out of bands. */
#include "sheet/room.h"

#include <stdlib.h>

static tw_rect grown(tw_rect r, tw_sides by) {
    return (tw_rect){r.x - by.side[TW_LEFT], r.y - by.side[TW_TOP],
                     r.width + by.side[TW_LEFT] + by.side[TW_RIGHT],
                     r.height + by.side[TW_TOP] + by.side[TW_BOTTOM]};
}

tw_code tw_room_take(tw_room *room, tw_rect rect, tw_error *error) {
    tw_rect *taken =
        tw_arena_grow(room->arena, room->taken, room->count, &room->room, sizeof *taken);
    if (taken == NULL)
        return tw_no_memory(error);
    room->taken = taken;
    taken[room->count++] = rect;
    if (room->scratch_room < room->count + 1) {
        room->scratch_room = 2 * room->room + 1;
        room->scratch = tw_arena_array(room->arena, room->scratch_room, sizeof(tw_stretch));
    }
    return room->scratch == NULL ? tw_no_memory(error) : TW_OK;
}

tw_code tw_room_start(tw_arena *arena, const tw_paper *paper, const tw_plan_sheet *sheet,
                      tw_room *out, tw_error *error) {
    *out = (tw_room){.arena = arena};
    out->ink = (tw_rect){paper->side, paper->lead, sheet->size.width - 2 * paper->side,
                         sheet->size.height - paper->lead - paper->tail};
    out->scratch_room = 1;
    out->scratch = tw_arena_array(arena, 1, sizeof(tw_stretch));
    if (out->scratch == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < sheet->print_count; i++) {
        const tw_lying *print = &sheet->prints[i];
        tw_code code = tw_room_take(out, grown(print->trim, print->bleed), error);
        if (code != TW_OK)
            return code;
    }
    out->prints = out->count;
    return TW_OK;
}

bool tw_room_free(const tw_room *room, tw_rect rect, tw_nm clear) {
    if (!tw_rect_inside(rect, room->ink))
        return false;
    for (size_t i = 0; i < room->count; i++)
        if (tw_rect_overlap(tw_rect_spread(room->taken[i], clear), rect))
            return false;
    return true;
}

/* ------------------------------------------------ stretches */

static tw_stretch part_along(tw_rect r, tw_along along) {
    return along == TW_ACROSS ? (tw_stretch){r.x, r.x + r.width}
                              : (tw_stretch){r.y, r.y + r.height};
}

static tw_stretch part_across(tw_rect r, tw_along along) {
    return part_along(r, along == TW_ACROSS ? TW_ALONG : TW_ACROSS);
}

static int by_start(const void *a, const void *b) {
    const tw_stretch *one = a, *two = b;
    return (one->from > two->from) - (one->from < two->from);
}

/* What blocks the band, as intervals along it, unsorted. */
static size_t blocks(tw_room *room, tw_rect band, const tw_seek *seek) {
    size_t count = 0, most = seek->prints_only ? room->prints : room->count;
    for (size_t i = 0; i < most; i++) {
        tw_rect r = tw_rect_spread(room->taken[i], seek->clear);
        if (seek->pass != NULL && i < room->prints && seek->pass[i])
            continue;
        if (tw_rect_overlap(r, band))
            room->scratch[count++] = part_along(r, seek->along);
    }
    return count;
}

size_t tw_room_stretches(tw_room *room, tw_rect band, const tw_seek *seek, const tw_stretch **out) {
    tw_stretch ink = part_along(room->ink, seek->along), limit = part_along(band, seek->along);
    tw_stretch wide = part_across(room->ink, seek->along), thick = part_across(band, seek->along);
    size_t count, made = 0;
    *out = room->scratch;
    limit.from = limit.from > ink.from ? limit.from : ink.from;
    limit.to = limit.to < ink.to ? limit.to : ink.to;
    if (thick.from < wide.from || thick.to > wide.to || limit.from >= limit.to)
        return 0;
    count = blocks(room, band, seek);
    qsort(room->scratch, count, sizeof(tw_stretch), by_start);
    /* Each block is read before the place it came from can be written, as no more stretches
     * than blocks read so far are made; the last one finds the place behind them all. */
    tw_nm at = limit.from;
    for (size_t i = 0; i < count; i++) {
        tw_stretch block = room->scratch[i];
        if (block.from > at && at < limit.to)
            room->scratch[made++] = (tw_stretch){at, block.from < limit.to ? block.from : limit.to};
        at = block.to > at ? block.to : at;
    }
    if (at < limit.to)
        room->scratch[made++] = (tw_stretch){at, limit.to};
    return made;
}

/* ------------------------------------------------ the longest band */

typedef struct search {
    tw_room *room;
    tw_nm thickness;
    const tw_seek *seek;
    tw_rect best;
    tw_nm length;
} search;

static tw_rect band_at(const search *s, tw_nm at, tw_stretch stretch) {
    tw_nm length = stretch.to - stretch.from;
    return s->seek->along == TW_ACROSS ? (tw_rect){stretch.from, at, length, s->thickness}
                                       : (tw_rect){at, stretch.from, s->thickness, length};
}

static void try_at(search *s, tw_nm at) {
    const tw_stretch *stretches;
    tw_rect band = band_at(s, at, part_along(s->room->ink, s->seek->along));
    size_t count = tw_room_stretches(s->room, band, s->seek, &stretches);
    for (size_t i = 0; i < count; i++)
        if (stretches[i].to - stretches[i].from > s->length) {
            s->length = stretches[i].to - stretches[i].from;
            s->best = band_at(s, at, stretches[i]);
        }
}

static int by_value(const void *a, const void *b) {
    const tw_nm *one = a, *two = b;
    return (*one > *two) - (*one < *two);
}

/* A longest free band can be pushed up or down until it touches something, so only bands that
 * touch an edge are tried, in order. */
tw_code tw_room_longest(tw_room *room, tw_nm thickness, const tw_seek *seek, tw_rect *out,
                        tw_error *error) {
    tw_along other = seek->along == TW_ACROSS ? TW_ALONG : TW_ACROSS;
    size_t count = 0;
    tw_nm *places = tw_arena_array(room->arena, 2 * room->count + 2, sizeof *places);
    search s = {room, thickness, seek, {0, 0, 0, 0}, 0};
    if (places == NULL)
        return tw_no_memory(error);
    tw_stretch ink = part_along(room->ink, other);
    places[count++] = ink.from;
    places[count++] = ink.to - thickness;
    for (size_t i = 0; i < room->count; i++) {
        tw_stretch part = part_along(tw_rect_spread(room->taken[i], seek->clear), other);
        places[count++] = part.from - thickness;
        places[count++] = part.to;
    }
    qsort(places, count, sizeof *places, by_value);
    for (size_t i = 0; i < count; i++)
        if (i == 0 || places[i] != places[i - 1])
            try_at(&s, places[i]);
    *out = s.best;
    return TW_OK;
}
