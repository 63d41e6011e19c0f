/*
 * The area bound: paper that no plan of these pieces can do without. Simple on purpose, each part
 * true of any way of cutting; the largest part counts.
 *   area:   all trims over the width that trims can take (edge_trim lost on both sides);
 *   wide:   pieces wider than half of that whichever way they may lie cannot be side by side;
 *   taller: the piece that is longest along the feed however it lies.
 * (Area and half-width bounds are folklore of strip packing; see Martello, Monaci & Vigo,
 * INFORMS Journal on Computing 15, 2003; from memory.)
 */
#include "layout/pieces.h"

typedef struct sums {
    tw_wide area;
    tw_nm wide, tallest;
    size_t count;
} sums;

static tw_nm larger(tw_nm a, tw_nm b) {
    return a > b ? a : b;
}

static tw_nm trim_width(const tw_layout_problem *problem) {
    return problem->stock.width - (problem->stock.roll ? 2 * problem->stock.edge_trim : 0);
}

static void add(const tw_layout_problem *problem, const tw_piece *piece, sums *s) {
    tw_nm least_height = 0;
    tw_nm least_width = 0;
    for (int way = 0; way < 2; way++) {
        tw_lie lie = tw_piece_lie(problem, piece, way == 1);
        if (!lie.may)
            continue;
        least_height = least_height == 0 || lie.height < least_height ? lie.height : least_height;
        least_width = least_width == 0 || lie.width < least_width ? lie.width : least_width;
    }
    s->area += (tw_wide)piece->width * (tw_wide)piece->height;
    s->tallest = larger(s->tallest, least_height);
    if (2 * least_width > trim_width(problem))
        s->wide += least_height;
    s->count++;
}

static tw_nm divided_up(tw_wide area, tw_nm width) {
    return (tw_nm)((area + (tw_wide)width - 1) / (tw_wide)width);
}

/* Sums of listed lengths are multiples of their greatest common divisor. */
static tw_nm rounded_to_list(const tw_stock *stock, tw_nm pages) {
    tw_nm unit = 0;
    for (int i = 0; i < stock->sheet_length_count; i++)
        unit = tw_common_measure(stock->sheet_lengths[i], unit);
    return unit == 0 ? pages : (pages + unit - 1) / unit * unit;
}

/* No fewer sheets than the longest of the list need. */
static tw_nm least_sheets(const tw_stock *stock, tw_nm pages) {
    if (stock->sheet_length_count == 0)
        return 1;
    tw_nm longest = stock->sheet_lengths[stock->sheet_length_count - 1];
    return larger(1, (pages + longest - 1) / longest);
}

/* Pages hold everything; there is at least one sheet, none shorter than shortest_sheet. */
static tw_nm roll_bound(const tw_layout_problem *problem, const sums *s) {
    const tw_stock *stock = &problem->stock;
    tw_nm pages = larger(divided_up(s->area, trim_width(problem)), s->wide);
    pages = larger(larger(pages, s->tallest), stock->shortest_sheet);
    if (stock->sheet_length_count > 0)
        pages = rounded_to_list(stock, larger(pages, stock->sheet_lengths[0]));
    return pages + least_sheets(stock, pages) * stock->lost_each_sheet + stock->lost_each_load +
           stock->lost_core_end;
}

static tw_nm sheets_bound(const tw_layout_problem *problem, const sums *s) {
    tw_nm length = problem->stock.length;
    tw_nm pages = larger(divided_up(s->area, trim_width(problem)), s->wide);
    return larger(1, (pages + length - 1) / length) * length;
}

tw_nm tw_bound_area(const tw_layout_problem *problem, const unsigned char *take) {
    sums s = {0};
    for (size_t i = 0; i < problem->count; i++)
        if (take[i] != 0)
            add(problem, &problem->pieces[i], &s);
    if (s.count == 0)
        return 0;
    return problem->stock.roll ? roll_bound(problem, &s) : sheets_bound(problem, &s);
}
