/*
 * Who converts for the paper, as a strip says it: printed with the driver's colour management on, a
 * strip whose colours are converted already answers nothing. The words are the slug's and the setup
 * card's.
 */
#include "proof/strip.h"

#include "base/file.h"

#define OF_PATCHES TW_RELATIVE /* always */
enum { NAMED_MOST = 6 };       /* prints named for one intent; strip.json has all */

static const tw_paper *paper_of(const tw_strip *strip) {
    return &strip->job->papers[strip->paper_index];
}

const char *tw_strip_print_path(tw_arena *arena, const tw_strip *strip) {
    const tw_paper *paper = paper_of(strip);
    if (paper->converts)
        return "Colour management off in the driver.";
    if (paper->profile == NULL)
        return "The driver or print path must convert with the profile of this paper: colour "
               "management on there.";
    return tw_arena_print(arena,
                          "The driver or print path must convert with the paper's profile %s: "
                          "colour management on there.",
                          tw_path_last(paper->profile));
}

/* ------------------------------------------------ intents no caption names */

/* Of a picture that is repeated for exposures, or stands there once; else unset. */
static tw_intent unsaid(const tw_strip *strip, size_t subject) {
    const tw_strip_subject *s = &strip->subjects[subject];
    const tw_strip_cell *cells = &strip->cells[s->first];
    return s->count > 1 && cells[0].intent != cells[1].intent ? TW_INTENT_UNSET : cells[0].intent;
}

static size_t count_of(const tw_strip *strip, tw_intent intent) {
    size_t count = 0;
    for (size_t i = 0; i < strip->subject_count; i++)
        count += unsaid(strip, i) == intent;
    return count;
}

/* "perceptual for 1-1, 2-1 and 7 more; ". */
static void name_prints(const tw_strip *strip, tw_intent intent, size_t count, tw_buffer *out) {
    size_t named = 0;
    tw_buffer_print(out, "%s for ", tw_intent_words(intent));
    for (size_t i = 0; i < strip->subject_count && named < NAMED_MOST; i++) {
        if (unsaid(strip, i) != intent)
            continue;
        tw_buffer_string(out, named++ == 0 ? "" : ", ");
        tw_buffer_string(out, strip->subjects[i].print->id);
    }
    if (count > named)
        tw_buffer_print(out, " and %zu more", count - named);
    tw_buffer_string(out, "; ");
}

/* The one that most prints have; of equals the patches'. */
static tw_intent usual_of(const tw_strip *strip, const size_t *counts) {
    tw_intent usual = strip->chart.count > 0 ? OF_PATCHES : TW_PERCEPTUAL;
    for (int i = TW_PERCEPTUAL; i <= TW_ABSOLUTE; i++)
        usual = counts[i] > counts[usual] ? (tw_intent)i : usual;
    return usual;
}

/* The prints', the usual one last. Returns how many there are. */
static size_t list_intents(const tw_strip *strip, tw_intent *usual, tw_buffer *out) {
    size_t counts[TW_ABSOLUTE + 1], kinds = 0;
    for (int i = TW_PERCEPTUAL; i <= TW_ABSOLUTE; i++) {
        counts[i] = count_of(strip, (tw_intent)i);
        kinds += counts[i] > 0;
    }
    *usual = usual_of(strip, counts);
    for (int i = TW_PERCEPTUAL; i <= TW_ABSOLUTE; i++)
        if (i != (int)*usual && counts[i] > 0)
            name_prints(strip, (tw_intent)i, counts[i], out);
    if (kinds > 0)
        tw_buffer_string(out, tw_intent_words(*usual));
    tw_buffer_string(out, kinds > 1 ? " for the others" : "");
    return kinds;
}

const char *tw_strip_intents(tw_arena *arena, const tw_strip *strip) {
    tw_buffer out;
    tw_intent usual;
    if (!paper_of(strip)->converts)
        return "";
    tw_buffer_start(&out, tw_arena_allocator(arena));
    size_t kinds = list_intents(strip, &usual, &out);
    if (strip->chart.count > 0 && (kinds == 0 || usual != OF_PATCHES))
        tw_buffer_print(&out, "%s%s for the patches", kinds > 0 ? "; " : "",
                        tw_intent_words(OF_PATCHES));
    const char *text = out.failed ? NULL
                       : out.length == 0
                           ? ""
                           : tw_arena_print(arena, "Rendering intent: %s.", out.bytes);
    tw_buffer_free(&out);
    return text;
}
