/* The setup card's word on rendering intents: where prints of one paper differ in them, and where
 * auto chose them. */
#include "guide/pages.h"
#include "settle/auto_intent_words.h"
#include "settle/colour_day.h"

enum { NAMED_MOST = 24 }; /* prints named for one intent; plan.json has all */

static bool is_on(const tw_print *print, size_t paper_index, tw_intent intent) {
    return print->paper_index == paper_index && print->intent == intent;
}

static size_t count_of(const tw_prints *prints, size_t paper_index, tw_intent intent) {
    size_t count = 0;
    for (size_t i = 0; i < prints->count; i++)
        count += is_on(&prints->items[i], paper_index, intent);
    return count;
}

/* "perceptual for 2-1, 2-2 and 7 more". */
static const char *named(tw_guide *g, size_t paper_index, tw_intent intent, size_t count) {
    const tw_prints *prints = g->plan->prints;
    const char *text = tw_guide_say(g, "%s for ", tw_intent_words(intent));
    size_t named = 0;
    for (size_t i = 0; i < prints->count && named < NAMED_MOST; i++)
        if (is_on(&prints->items[i], paper_index, intent))
            text = tw_guide_say(g, "%s%s%s", text, named++ == 0 ? "" : ", ",
                                tw_guide_name(g, prints->items[i].id));
    if (count > named)
        text = tw_guide_say(g, "%s and %zu more", text, count - named);
    return text;
}

/* Then tw_guide_intents_auto says it all. */
static bool all_by_auto(const tw_prints *prints, size_t paper_index) {
    for (size_t i = 0; i < prints->count; i++)
        if (prints->items[i].paper_index == paper_index && prints->items[i].out_of_gamut < 0)
            return false;
    return true;
}

const char *tw_guide_intents(tw_guide *g, size_t paper_index) {
    size_t counts[TW_ABSOLUTE + 1], kinds = 0;
    int usual = TW_PERCEPTUAL;
    const char *text = "";
    for (int intent = TW_PERCEPTUAL; intent <= TW_ABSOLUTE; intent++) {
        counts[intent] = count_of(g->plan->prints, paper_index, (tw_intent)intent);
        kinds += counts[intent] > 0;
        usual = counts[intent] > counts[usual] ? intent : usual;
    }
    if (kinds < 2 || all_by_auto(g->plan->prints, paper_index))
        return NULL;
    for (int intent = TW_PERCEPTUAL; intent <= TW_ABSOLUTE; intent++)
        if (intent != usual && counts[intent] > 0)
            text = tw_guide_say(g, "%s%s; ", text,
                                named(g, paper_index, (tw_intent)intent, counts[intent]));
    return tw_guide_say(g, "Rendering intent: %s%s for the others.", text,
                        tw_intent_words((tw_intent)usual));
}

const char *tw_guide_intents_auto(tw_guide *g, size_t paper_index) {
    tw_auto_image *items = NULL;
    size_t count = 0;
    tw_buffer out;
    if (g->code == TW_OK)
        g->code = tw_auto_images(g->arena, g->plan->prints, paper_index, &items, &count, g->error);
    if (g->code != TW_OK || count == 0)
        return NULL;
    for (size_t i = 0; i < count; i++)
        items[i].name = tw_guide_short(g, items[i].name);
    tw_buffer_start(&out, tw_arena_allocator(g->arena));
    tw_buffer_string(&out, "Rendering intent chosen by auto, ");
    tw_auto_rule(&out);
    tw_auto_list(&out, ". Perceptual: ", items, count, TW_PERCEPTUAL);
    tw_auto_list(&out, ". Relative colorimetric: ", items, count, TW_RELATIVE);
    const char *text = out.failed ? NULL : tw_guide_say(g, "%s.", out.bytes);
    if (out.failed && g->code == TW_OK)
        g->code = tw_no_memory(g->error);
    tw_buffer_free(&out);
    return text;
}
