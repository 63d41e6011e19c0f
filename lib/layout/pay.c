/*
 * The price of a layout, in whole numbers: nothing is rounded but the price of the paper, once.
 */
#include "layout/pay.h"

#include "layout/spread.h"

#include <stdlib.h>
#include <string.h>

__extension__ typedef __int128 wide;

/* Sums stay within int64 even where somebody asks a fortune for each of a million cuts. */
static int64_t limited(wide value) {
    return value > INT64_MAX / 4 ? INT64_MAX / 4 : (int64_t)value;
}

int64_t tw_pay_paper(const tw_stock *stock, tw_nm used) {
    wide whole = stock->roll ? stock->length : (wide)stock->length * stock->count;
    if (stock->price <= 0 || whole <= 0 || used <= 0)
        return 0;
    wide price = (wide)stock->price * 1000;
    return limited((price * used + whole / 2) / whole);
}

static int by_length(const void *left, const void *right) {
    tw_nm a = *(const tw_nm *)left;
    tw_nm b = *(const tw_nm *)right;
    return (a > b) - (a < b);
}

static tw_code count_lengths(tw_arena *arena, const tw_layout *layout, int *out, tw_error *error) {
    size_t count = (size_t)layout->sheet_count;
    *out = 0;
    if (count == 0)
        return TW_OK;
    tw_nm *sorted = tw_arena_array(arena, count, sizeof *sorted);
    if (sorted == NULL)
        return tw_no_memory(error);
    memcpy(sorted, layout->sheet_length, count * sizeof *sorted);
    qsort(sorted, count, sizeof *sorted, by_length);
    for (size_t i = 0; i < count; i++)
        *out += i == 0 || sorted[i] != sorted[i - 1];
    return TW_OK;
}

tw_code tw_pay_make(tw_arena *arena, const tw_layout_problem *problem, const tw_layout *layout,
                    const tw_cuts *cuts, tw_pay *out, tw_error *error) {
    const tw_layout_settings *settings = &problem->settings;
    *out = (tw_pay){
        .priced = problem->stock.price > 0,
        .paper = tw_pay_paper(&problem->stock, layout->used),
        .work = limited((wide)cuts->hand_cuts * settings->hand_cut +
                        (wide)cuts->stop_changes * settings->stop_change),
        .used = layout->used,
        .hand_cuts = cuts->hand_cuts,
        .stop_changes = cuts->stop_changes,
        .sheets = layout->sheet_count,
    };
    if (settings->keep_together > 0) {
        int64_t spread = 0;
        tw_code code = tw_spread_count(arena, problem, layout, &spread, error);
        if (code != TW_OK)
            return code;
        out->other = limited((wide)spread * settings->keep_together);
    }
    return count_lengths(arena, layout, &out->lengths, error);
}

int64_t tw_pay_sum(const tw_pay *pay) {
    return pay->paper + pay->work + pay->other;
}

int tw_pay_compare(const tw_pay *a, const tw_pay *b) {
    bool priced = a->priced && b->priced;
    const int64_t left[] = {priced ? tw_pay_sum(a) : a->used,
                            a->work + a->other,
                            a->used,
                            a->hand_cuts,
                            a->stop_changes,
                            a->lengths};
    const int64_t right[] = {priced ? tw_pay_sum(b) : b->used,
                             b->work + b->other,
                             b->used,
                             b->hand_cuts,
                             b->stop_changes,
                             b->lengths};
    enum { WORK = 1 }; /* with a price it is in the sum already */
    for (int i = 0; i < (int)(sizeof left / sizeof *left); i++)
        if (left[i] != right[i] && !(priced && i == WORK))
            return left[i] < right[i] ? -1 : 1;
    return 0;
}

int tw_pay_compare_for(tw_want want, const tw_pay *a, const tw_pay *b) {
    tw_pay left = *a, right = *b;
    if (want == TW_WANT_CUTS && a->hand_cuts != b->hand_cuts)
        return a->hand_cuts < b->hand_cuts ? -1 : 1;
    if (want == TW_WANT_PAPER)
        left.work = left.other = right.work = right.other = 0;
    return tw_pay_compare(&left, &right);
}
