/* The setup card's word on rendering intents, where prints of one paper differ in them. */
#include "output/colour_day.h"
#include "output/guide.h"

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

const char *tw_guide_intents(tw_guide *g, size_t paper_index) {
    size_t counts[TW_ABSOLUTE + 1], kinds = 0;
    int usual = TW_PERCEPTUAL;
    const char *text = "";
    for (int intent = TW_PERCEPTUAL; intent <= TW_ABSOLUTE; intent++) {
        counts[intent] = count_of(g->plan->prints, paper_index, (tw_intent)intent);
        kinds += counts[intent] > 0;
        usual = counts[intent] > counts[usual] ? intent : usual;
    }
    if (kinds < 2)
        return NULL;
    for (int intent = TW_PERCEPTUAL; intent <= TW_ABSOLUTE; intent++)
        if (intent != usual && counts[intent] > 0)
            text = tw_guide_say(g, "%s%s; ", text,
                                named(g, paper_index, (tw_intent)intent, counts[intent]));
    return tw_guide_say(g, "Rendering intent: %s%s for the others.", text,
                        tw_intent_words((tw_intent)usual));
}
