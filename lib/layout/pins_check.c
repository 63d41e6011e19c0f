/*
 * Pins that cannot be kept whatever else lies on the sheet: off the paper, ink over a margin, two
 * in one place, a sheet too long. Cut edge to edge is looked at when the sheet is built.
 */
#include "layout/pins.h"

static const tw_piece *piece_at(const tw_pins *pins, size_t at) {
    return &pins->problem->pieces[pins->list[at]];
}

static tw_lie lie_at(const tw_pins *pins, size_t at) {
    const tw_piece *piece = piece_at(pins, at);
    return tw_piece_lie(pins->problem, piece, piece->pin_turned);
}

/* ---------------------------------------------------------------- one print */

static void check_way(const tw_pins *pins, size_t at, tw_pin_fault *fault) {
    tw_piece piece = *piece_at(pins, at);
    if (pins->ways[pins->list[at]] != 0)
        return;
    bool fits = false;
    piece.must_turn = false;
    for (int way = 0; way < 2; way++)
        fits = fits || tw_piece_lie(pins->problem, &piece, way == 1).may;
    fault->why = fits ? TW_PIN_WAY : TW_PIN_TOO_BIG;
}

/* The trailing edge of a roll's page is where the sheet ends: it moves. */
static void check_edges(const tw_pins *pins, size_t at, tw_pin_fault *fault) {
    const tw_stock *stock = &pins->problem->stock;
    const tw_piece *piece = piece_at(pins, at);
    tw_nm narrowest = pins->problem->settings.narrowest_strip;
    tw_lie lie = lie_at(pins, at);
    const tw_nm is[4] = {piece->pin_y, stock->width - piece->pin_x - lie.width,
                         stock->length - piece->pin_y - lie.height, piece->pin_x};
    for (int edge = 0; edge < 4 && fault->why == TW_PIN_GOOD; edge++) {
        if (edge == TW_BOTTOM && stock->roll)
            continue;
        fault->edge = edge;
        fault->is = is[edge];
        fault->need = lie.keep.side[edge];
        if (is[edge] < lie.keep.side[edge]) {
            fault->why = TW_PIN_EDGE;
        } else if (!tw_strip_ok(is[edge], narrowest)) {
            fault->why = TW_PIN_STRIP;
            fault->need = narrowest;
        }
    }
}

static void check_one(const tw_pins *pins, size_t at, tw_pin_fault *fault) {
    fault->piece = pins->list[at];
    check_way(pins, at, fault);
    if (fault->why == TW_PIN_GOOD && piece_at(pins, at)->pinned_place)
        check_edges(pins, at, fault);
}

/* ---------------------------------------------------------------- two prints */

static bool is_beside(const tw_layout_settings *settings, tw_nm low_end, tw_nm high_start,
                      tw_nm bleed_low, tw_nm bleed_high, tw_nm *need) {
    *need = tw_gap(settings, bleed_low, bleed_high);
    return high_start - low_end >= *need;
}

static void check_pair(const tw_pins *pins, size_t one, size_t two, tw_pin_fault *fault) {
    const tw_layout_settings *settings = &pins->problem->settings;
    const tw_piece *a = piece_at(pins, one), *b = piece_at(pins, two);
    tw_lie p = lie_at(pins, one), q = lie_at(pins, two);
    tw_nm need[4];
    if (is_beside(settings, a->pin_x + p.width, b->pin_x, p.bleed.side[TW_RIGHT],
                  q.bleed.side[TW_LEFT], &need[0]) ||
        is_beside(settings, b->pin_x + q.width, a->pin_x, q.bleed.side[TW_RIGHT],
                  p.bleed.side[TW_LEFT], &need[1]) ||
        is_beside(settings, a->pin_y + p.height, b->pin_y, p.bleed.side[TW_BOTTOM],
                  q.bleed.side[TW_TOP], &need[2]) ||
        is_beside(settings, b->pin_y + q.height, a->pin_y, q.bleed.side[TW_BOTTOM],
                  p.bleed.side[TW_TOP], &need[3]))
        return;
    *fault = (tw_pin_fault){.why = TW_PIN_CLOSE,
                            .piece = pins->list[two],
                            .other = pins->list[one],
                            .need = need[0] > need[2] ? need[0] : need[2]};
}

/* ---------------------------------------------------------------- a sheet */

typedef struct reach {
    tw_nm bottom, page;
    size_t last; /* the print that asks for the page */
} reach;

static reach reach_of(const tw_pins *pins, int at) {
    reach r = {0, 0, pins->first[at]};
    for (size_t i = pins->first[at]; i < pins->first[at + 1]; i++) {
        const tw_piece *piece = piece_at(pins, i);
        if (!piece->pinned_place)
            continue;
        tw_lie lie = lie_at(pins, i);
        tw_nm bottom = piece->pin_y + lie.height;
        tw_nm page = bottom + lie.keep.side[TW_BOTTOM];
        r.bottom = bottom > r.bottom ? bottom : r.bottom;
        if (page > r.page) {
            r.page = page;
            r.last = i;
        }
    }
    return r;
}

/* The first of the prints, in their order, with which the sheet's images are too many bytes. */
static void check_bytes(const tw_pins *pins, int at, tw_pin_fault *fault) {
    int64_t left = pins->problem->settings.sheet_bytes_most;
    for (size_t i = pins->first[at]; left > 0 && i < pins->first[at + 1]; i++) {
        const tw_piece *piece = piece_at(pins, i);
        bool again = false;
        for (size_t k = pins->first[at]; k < i && !again && piece->image >= 0; k++)
            again = piece_at(pins, k)->image == piece->image;
        if (again)
            continue;
        if (piece->bytes > left) {
            *fault = (tw_pin_fault){.why = TW_PIN_BYTES, .piece = pins->list[i]};
            return;
        }
        left -= piece->bytes;
        left += left == 0; /* 0 would mean that there is no limit */
    }
}

/* One print at the very lead of its sheet gets the page that it would have alone. */
static bool lies_as_alone(const tw_pins *pins, int at) {
    size_t first = pins->first[at];
    return pins->first[at + 1] - first == 1 &&
           piece_at(pins, first)->pin_y <= lie_at(pins, first).keep.side[TW_TOP];
}

/* The shortest of the sheet lengths asked for that holds it; any where none are. */
static tw_nm of_given_lengths(const tw_stock *stock, tw_nm bottom, tw_nm page, tw_nm narrowest) {
    for (int i = 0; i < stock->sheet_length_count; i++)
        if (stock->sheet_lengths[i] >= page &&
            tw_strip_ok(stock->sheet_lengths[i] - bottom, narrowest))
            return stock->sheet_lengths[i];
    return page;
}

tw_nm tw_pins_page(const tw_pins *pins, int at, tw_pin_fault *fault) {
    const tw_stock *stock = &pins->problem->stock;
    tw_nm narrowest = pins->problem->settings.narrowest_strip;
    reach r = reach_of(pins, at);
    tw_nm most = stock->sheet_most;
    if (!stock->roll)
        return stock->length;
    tw_nm page = r.page > stock->shortest_sheet ? r.page : stock->shortest_sheet;
    page = r.bottom + tw_raised(page - r.bottom, narrowest);
    page = of_given_lengths(stock, r.bottom, page, narrowest);
    if (!lies_as_alone(pins, at) && stock->longest_sheet > 0 &&
        (most == 0 || stock->longest_sheet < most))
        most = stock->longest_sheet;
    if (stock->sheet_length_count > 0) /* ascending */
        most = stock->sheet_lengths[stock->sheet_length_count - 1];
    if (most > 0 && page > most)
        *fault = (tw_pin_fault){
            .why = TW_PIN_LONG, .piece = pins->list[r.last], .is = page, .need = most};
    return page;
}

static void check_sheet(const tw_pins *pins, int at, tw_pin_fault *fault) {
    for (size_t i = pins->first[at]; i < pins->first[at + 1]; i++) {
        check_one(pins, i, fault);
        for (size_t k = pins->first[at]; k < i && fault->why == TW_PIN_GOOD; k++)
            if (piece_at(pins, i)->pinned_place && piece_at(pins, k)->pinned_place)
                check_pair(pins, k, i, fault);
        if (fault->why != TW_PIN_GOOD)
            return;
    }
    if (piece_at(pins, pins->first[at])->pinned_place) /* those with a place come first */
        (void)tw_pins_page(pins, at, fault);
    if (fault->why == TW_PIN_GOOD)
        check_bytes(pins, at, fault);
}

void tw_pins_check(const tw_pins *pins, tw_pin_fault *out) {
    *out = (tw_pin_fault){.why = TW_PIN_GOOD};
    for (int at = 0; at < pins->sheets && out->why == TW_PIN_GOOD; at++)
        check_sheet(pins, at, out);
    if (out->why == TW_PIN_GOOD)
        *out = (tw_pin_fault){.why = TW_PIN_GOOD};
}
