/* See auto_intent_words.h. */
#include "settle/auto_intent_words.h"

#include "base/number.h"
#include "colour/gamut.h"

#include <stdlib.h>
#include <string.h>

/* An image named by two orders, or treated in two ways, has one share on a paper. */
static bool same(const tw_auto_image *a, const tw_auto_image *b) {
    return a->intent == b->intent && a->share == b->share && strcmp(a->name, b->name) == 0;
}

static int by_share(const void *left, const void *right) {
    const tw_auto_image *a = left, *b = right;
    if (a->intent != b->intent)
        return a->intent == TW_PERCEPTUAL ? -1 : 1;
    if (a->share != b->share)
        return a->share > b->share ? -1 : 1;
    return strcmp(a->name, b->name);
}

static size_t each_once(tw_auto_image *items, size_t count) {
    size_t kept = 0;
    if (count > 0)
        qsort(items, count, sizeof *items, by_share);
    for (size_t i = 0; i < count; i++)
        if (kept == 0 || !same(&items[kept - 1], &items[i]))
            items[kept++] = items[i];
    return kept;
}

tw_code tw_auto_images(tw_arena *arena, const tw_prints *prints, size_t paper_index,
                       tw_auto_image **out, size_t *count, tw_error *error) {
    size_t found = 0;
    *count = 0;
    *out = tw_arena_array(arena, prints->count, sizeof **out);
    if (*out == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < prints->count; i++) {
        const tw_print *print = &prints->items[i];
        if (print->paper_index == paper_index && print->out_of_gamut >= 0)
            (*out)[found++] =
                (tw_auto_image){print->line->image, print->intent, print->out_of_gamut};
    }
    *count = each_once(*out, found);
    return TW_OK;
}

/* ------------------------------------------------ words */

void tw_auto_rule(tw_buffer *out) {
    tw_buffer_print(out, "perceptual where over %d %% of an image's pixels are out of gamut",
                    TW_GAMUT_SHARE / 10000);
}

/* To a tenth of a percent; exact where that would read as the limit itself. */
static void add_share(tw_buffer *out, int64_t share) {
    char text[TW_LENGTH_TEXT];
    int64_t tenths = (share + 500) / 1000;
    bool near = tenths * 1000 == TW_GAMUT_SHARE;
    tw_buffer_print(out, " (%s %%)",
                    tw_decimal_text(near ? share : tenths, near ? 4 : 1, true, text, sizeof text));
}

void tw_auto_list(tw_buffer *out, const char *before, const tw_auto_image *items, size_t count,
                  tw_intent intent) {
    size_t named = 0, all = 0;
    for (size_t i = 0; i < count; i++) {
        if (items[i].intent != intent || ++all > TW_AUTO_NAMED_MOST)
            continue;
        tw_buffer_string(out, named++ == 0 ? before : ", ");
        (void)tw_buffer_name(out, items[i].name);
        add_share(out, items[i].share);
    }
    if (all > named)
        tw_buffer_print(out, " and %zu more, in plan.json", all - named);
}

static void paper_text(const tw_paper *paper, const tw_auto_image *items, size_t count,
                       tw_buffer *out) {
    tw_buffer_string(out, "Intents chosen by auto on ");
    (void)tw_buffer_name(out, paper->name);
    tw_buffer_string(out, ", ");
    tw_auto_rule(out);
    tw_buffer_string(out, ":");
    tw_auto_list(out, "\n  perceptual: ", items, count, TW_PERCEPTUAL);
    tw_auto_list(out, "\n  relative colorimetric: ", items, count, TW_RELATIVE);
    tw_buffer_string(out, "\n");
}

tw_code tw_auto_text(const tw_job_data *job, const tw_prints *prints, tw_buffer *out,
                     tw_error *error) {
    tw_arena *arena = tw_arena_new(out->allocator, 0);
    tw_code code = arena == NULL ? tw_no_memory(error) : TW_OK;
    for (size_t i = 0; i < job->paper_count && code == TW_OK; i++) {
        tw_auto_image *items = NULL;
        size_t count = 0;
        code = tw_auto_images(arena, prints, i, &items, &count, error);
        if (code == TW_OK && count > 0)
            paper_text(&job->papers[i], items, count, out);
    }
    tw_arena_free(arena);
    return code == TW_OK && out->failed ? tw_no_memory(error) : code;
}
