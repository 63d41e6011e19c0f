/*
 * The referee on sheets of fillers alone: only where rows may be added, where enough of their
 * paper is used, and where they are worth more than it.
 */
#include "layout/referee.h"

__extension__ typedef __int128 wide;

typedef struct sums {
    wide area, worth;
    bool ordered; /* somebody waits for a print of this sheet */
} sums;

static sums add_up(const tw_judge *j, int sheet) {
    sums s = {0, 0, false};
    for (size_t i = j->first[sheet]; i < j->first[sheet + 1]; i++) {
        const tw_piece *piece = &j->problem->pieces[j->layout->placed[i].piece];
        s.area += (wide)piece->width * (wide)piece->height;
        s.worth += piece->worth;
        s.ordered = s.ordered || !piece->filler || piece->pin_sheet >= 0;
    }
    return s;
}

static tw_code judge_row(const tw_judge *j, int sheet, const sums *s, tw_error *error) {
    const tw_stock *stock = &j->problem->stock;
    int64_t share = j->problem->settings.add_row_at;
    tw_nm length = j->layout->sheet_length[sheet] + (stock->roll ? stock->lost_each_sheet : 0);
    wide paper = (wide)length * stock->width;
    wide whole = stock->roll ? stock->length : (wide)stock->length * stock->count;
    if (share <= 0)
        return tw_fail(error, TW_BUG, TW_WRONG "sheet %d holds fillers only", sheet + 1);
    if (s->area < paper / 1000000 * share)
        return tw_fail(error, TW_BUG, TW_WRONG "sheet %d of fillers is used too little", sheet + 1);
    if (stock->price <= 0 || s->worth * whole <= (wide)stock->price * (length - 1))
        return tw_fail(error, TW_BUG, TW_WRONG "the fillers of sheet %d are not worth its paper",
                       sheet + 1);
    return TW_OK;
}

tw_code tw_judge_fillers(const tw_judge *j, tw_error *error) {
    tw_code code = TW_OK;
    for (int sheet = 0; code == TW_OK && sheet < j->layout->sheet_count; sheet++) {
        sums s = add_up(j, sheet);
        if (!s.ordered)
            code = judge_row(j, sheet, &s, error);
    }
    return code;
}
