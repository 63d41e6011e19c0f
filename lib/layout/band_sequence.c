/*
 * Bands one after another: each time the band worth most for its height among what is left to
 * make, with every size valued by its area and a little chance. Cheap, and it finds mixtures the
 * relaxation's duals never ask for (after the sequential value correction of Belov & Scheithauer,
 * European Journal of Operational Research 178, 2007).
 */
#include "layout/band.h"

/* One more band in *out within left[]; the best height first. */
static tw_code next_band(tw_arena *arena, tw_band_tools *tools, const int64_t *value,
                         const int32_t *left, tw_band **out, tw_error *error) {
    tw_band_rank(tools, value, left);
    int best = 0;
    for (int i = 0; i < tools->offer_count; i++) {
        if (i > 0 && (!tw_band_more(&tools->offers[i], &tools->offers[best]) ||
                      tw_band_spent(tools->budget)))
            break;
        tw_band_price(tools, &tools->offers[i]);
        if (tw_band_more(&tools->offers[i], &tools->offers[best]))
            best = i;
    }
    *out = NULL;
    if (tools->offer_count == 0)
        return TW_OK;
    tw_code code =
        tw_price_band(arena, &tools->tight, value, left, tools->offers[best].height, out, error);
    tw_band_charge(tools);
    return code;
}

tw_code tw_band_sequence(tw_arena *arena, tw_band_tools *tools, int32_t *left, uint64_t *random,
                         tw_bands *out, tw_error *error) {
    const tw_band_set *set = tools->wide.columns.set;
    int64_t *value = tw_arena_array(arena, (size_t)set->count, sizeof(int64_t));
    tw_code code = value == NULL ? tw_no_memory(error) : TW_OK;
    /* thousandths: days differ in how much chance does them good */
    uint64_t spread = (uint64_t)50 << (tw_band_random(random) % 4);
    for (int t = 0; code == TW_OK && t < set->count; t++) {
        int way = set->types[t].width[0] == 0;
        int64_t area = (int64_t)set->types[t].width[way] * set->types[t].height[way];
        value[t] = area * (int64_t)(1000 - spread + tw_band_random(random) % (2 * spread));
    }
    for (;;) {
        tw_band *band = NULL;
        int64_t rest = 0;
        for (int t = 0; code == TW_OK && t < set->count; t++)
            rest += left[t];
        if (code != TW_OK || rest == 0)
            return code;
        code = next_band(arena, tools, value, left, &band, error);
        if (code == TW_OK && band == NULL)
            return tw_fail(error, TW_BUG, "layout-sequence", "no band holds what is left");
        if (code == TW_OK)
            code = tw_bands_add(arena, out, band, error);
        for (int t = 0; code == TW_OK && t < set->count; t++)
            left[t] -= band->makes[t];
    }
}
