/*
 * The cells of a strip: each is an image of its own, the part of its picture that the detail
 * covers, decoded, resampled, sharpened and converted exactly as the print's.
 */
#include "proof/strip.h"

#include "base/face.h"

#include <string.h>

typedef struct making {
    tw_arena *arena;
    const tw_prints *prints;
    const tw_strip_wish *wish;
    tw_strip *strip;
    tw_strip_images *images;
    const tw_run *run;
    tw_report *report;
    tw_error *error;
} making;

/* What a cell differs in from the print. */
typedef struct variant {
    tw_intent intent;
    int exposure;
} variant;

const char *tw_strip_step_words(tw_arena *arena, int twelfths) {
    static const char *const parts[] = {"",    "1/12", "1/6", "1/4", "1/3", "5/12",
                                        "1/2", "7/12", "2/3", "3/4", "5/6", "11/12"};
    int steps = twelfths < 0 ? -twelfths : twelfths;
    if (twelfths == 0)
        return tw_arena_string(arena, "as exposed");
    return tw_arena_print(arena, "%s%s stop", twelfths < 0 ? "-" : "+",
                          steps % 12 == 0 ? "1" : parts[steps % 12]);
}

/* ------------------------------------------------ which prints */

static bool is_larger(const tw_print *a, const tw_print *b) {
    return a->fit.whole.width > b->fit.whole.width;
}

static bool has_image(const tw_print *a, const tw_print *b) {
    return strcmp(a->image->path, b->image->path) == 0;
}

static void add_subject(tw_strip *strip, const tw_print *print) {
    for (size_t i = 0; i < strip->subject_count; i++) {
        tw_strip_subject *had = &strip->subjects[i];
        if (!has_image(had->print, print))
            continue;
        if (is_larger(print, had->print))
            had->print = print;
        return;
    }
    strip->subjects[strip->subject_count++].print = print;
}

static tw_code list_subjects(const making *m) {
    tw_strip *strip = m->strip;
    strip->subjects = tw_arena_array(m->arena, m->prints->count, sizeof *strip->subjects);
    if (strip->subjects == NULL)
        return tw_no_memory(m->error);
    for (size_t i = 0; i < m->prints->count; i++) {
        const tw_print *print = &m->prints->items[i];
        if (print->paper_index == strip->paper_index && print->copy == 1 && !print->filler)
            add_subject(strip, print);
    }
    return TW_OK;
}

/* ------------------------------------------------ an image's part */

/* Edges at whole 16s: the pattern of the dither repeats there, so the bytes are the print's. */
static void widen(uint32_t *at, uint32_t *length, uint32_t most) {
    uint32_t end = (*at + *length + 15) / 16 * 16;
    *at -= *at % 16;
    *length = (end < most ? end : most) - *at;
}

/* The pixels that `detail` touches, as seen upright. */
static tw_pixel_rect touched(const tw_fitted *fit, tw_rect detail, uint32_t wide, uint32_t high) {
    __extension__ typedef __int128 exact;
    tw_rect whole = fit->whole;
    tw_nm x = detail.x - whole.x, y = detail.y - whole.y;
    uint32_t left = (uint32_t)((exact)x * wide / whole.width);
    uint32_t top = (uint32_t)((exact)y * high / whole.height);
    uint32_t right = (uint32_t)(((exact)(x + detail.width) * wide + whole.width - 1) / whole.width);
    uint32_t low =
        (uint32_t)(((exact)(y + detail.height) * high + whole.height - 1) / whole.height);
    right = right > wide ? wide : right;
    low = low > high ? high : low;
    return (tw_pixel_rect){left, top, right - left, low - top};
}

/* The part as stored into `image`, and where it lies from the corner of the detail. */
static tw_rect cut_out(tw_image *image, const tw_fitted *fit, tw_rect detail) {
    uint32_t across, down;
    bool swaps = image->orientation >= 5;
    tw_image_treated_size(image, &across, &down);
    uint32_t wide = swaps ? down : across, high = swaps ? across : down;
    tw_pixel_rect part =
        tw_pixels_stored(image->orientation, touched(fit, detail, wide, high), wide, high);
    widen(&part.x, &part.width, across);
    widen(&part.y, &part.height, down);
    image->treat.crop_x = part.x;
    image->treat.crop_y = part.y;
    image->treat.crop_width = part.width;
    image->treat.crop_height = part.height;
    part = tw_pixels_upright(image->orientation, part, across, down);
    tw_nm left = tw_scale(part.x, fit->whole.width, wide);
    tw_nm top = tw_scale(part.y, fit->whole.height, high);
    return (tw_rect){fit->whole.x + left - detail.x, fit->whole.y + top - detail.y,
                     tw_scale(part.x + part.width, fit->whole.width, wide) - left,
                     tw_scale(part.y + part.height, fit->whole.height, high) - top};
}

static tw_code add_image(const making *m, const tw_image *image, size_t *index) {
    tw_strip_images *all = m->images;
    tw_image *items =
        tw_arena_grow(m->arena, all->items, all->count, &all->room, sizeof *all->items);
    if (items == NULL)
        return tw_no_memory(m->error);
    all->items = items;
    *index = all->count;
    items[all->count++] = *image;
    return TW_OK;
}

/* ------------------------------------------------ variants */

static bool is_converted(const making *m, const tw_print *print) {
    return m->strip->job->papers[m->strip->paper_index].converts && print->image->source != NULL;
}

static tw_code warn_single(const making *m, const tw_print *print, bool intents) {
    tw_error warning = {0};
    if (intents)
        tw_fail(&warning, TW_OK, "strip-one-way",
                "image \"%s\" is not converted here for paper \"%s\", so no intents of it can be "
                "shown: its detail is on the strip once",
                print->line->image, m->strip->job->papers[m->strip->paper_index].name);
    else
        tw_fail(&warning, TW_OK, "strip-one-way",
                "image \"%s\" is CMYK, and ink has no exposure: its detail is on the strip once",
                print->line->image);
    tw_fail_at(&warning, print->line->place.file, print->line->place.line, 0);
    tw_fail_hint(&warning,
                 intents ? "--vary exposure works without a profile" : "--vary intents may help");
    return tw_report_warning(m->report, &warning, m->error);
}

/* Whether the print is on the strip in several ways, and in which. */
static tw_code list_variants(const making *m, const tw_print *print, variant *out, size_t *count) {
    static const tw_intent ways[TW_STRIP_VARIANTS] = {TW_PERCEPTUAL, TW_RELATIVE, TW_SATURATION};
    bool converted = is_converted(m, print);
    bool intents =
        m->wish->vary == TW_STRIP_INTENTS || (m->wish->vary == TW_STRIP_AUTO && converted);
    tw_intent own = converted ? print->intent : TW_INTENT_UNSET;
    *count = TW_STRIP_VARIANTS;
    for (int i = 0; i < TW_STRIP_VARIANTS; i++)
        out[i] = intents ? (variant){ways[i], 0} : (variant){own, (i - 1) * m->wish->step};
    if (intents ? converted : print->image->space != TW_CMYK)
        return TW_OK;
    *count = 1;
    out[0] = (variant){own, 0};
    return warn_single(m, print, intents);
}

/* Cut off at a character with "..." so that it stays in its cell. */
static const char *fitted_text(tw_arena *arena, const char *text, tw_nm width) {
    size_t length = strlen(text);
    const char *shown = tw_arena_string(arena, text);
    while (shown != NULL && length > 0 && tw_face_width(shown, TW_STRIP_EM) > width) {
        do
            length--;
        while (length > 0 && ((unsigned char)text[length] & 0xC0) == 0x80);
        shown = tw_arena_print(arena, "%.*s...", (int)length, text);
    }
    return shown;
}

static tw_code caption(const making *m, const tw_print *print, const variant *v,
                       tw_strip_cell *cell) {
    tw_nm width = m->strip->side - TW_MM / 2;
    bool exposed = m->wish->vary == TW_STRIP_EXPOSURE || v->intent == TW_INTENT_UNSET;
    char *who = tw_arena_print(m->arena, "%s %s", print->id, print->line->image);
    const char *what =
        exposed ? tw_strip_step_words(m->arena, v->exposure) : tw_intent_words(v->intent);
    char *marked =
        what == NULL ? NULL
                     : tw_arena_print(m->arena, "%s%s", what, cell->as_print ? " (the print)" : "");
    if (who == NULL || marked == NULL)
        return tw_no_memory(m->error);
    cell->who = fitted_text(m->arena, who, width);
    cell->what = fitted_text(m->arena, marked, width);
    return cell->who == NULL || cell->what == NULL ? tw_no_memory(m->error) : TW_OK;
}

static tw_code add_cell(const making *m, const tw_strip_subject *subject, const variant *v) {
    const tw_print *print = subject->print;
    tw_strip_cell *cell = &m->strip->cells[m->strip->cell_count];
    tw_image image = *print->image;
    tw_intent own = is_converted(m, print) ? print->intent : TW_INTENT_UNSET;
    *cell = (tw_strip_cell){.orientation = image.orientation,
                            .intent = v->intent,
                            .exposure = v->exposure,
                            .whole = cut_out(&image, &print->fit, subject->detail),
                            .size = {subject->detail.width, subject->detail.height},
                            .as_print = v->intent == own && v->exposure == 0};
    image.treat.exposure = v->exposure;
    tw_code code = add_image(m, &image, &cell->image);
    if (code == TW_OK)
        code = caption(m, print, v, cell);
    m->strip->cell_count++;
    return code;
}

static tw_code look_around(const making *m, size_t done) {
    if (m->run == NULL)
        return TW_OK;
    if (m->run->cancelled != NULL && m->run->cancelled(m->run->context))
        return tw_fail(m->error, TW_CANCELLED, "cancelled", "stopped as asked");
    if (m->run->progress != NULL)
        m->run->progress(m->run->context, "looking for detail", done, m->strip->subject_count);
    return TW_OK;
}

static tw_code make_subject(const making *m, tw_strip_subject *subject) {
    variant variants[TW_STRIP_VARIANTS];
    tw_code code = tw_strip_detail(m->arena, subject->print, m->strip->side, &subject->detail,
                                   &subject->by, m->error);
    if (code != TW_OK)
        return code;
    subject->first = m->strip->cell_count;
    code = list_variants(m, subject->print, variants, &subject->count);
    for (size_t i = 0; i < subject->count && code == TW_OK; i++)
        code = add_cell(m, subject, &variants[i]);
    return code;
}

tw_code tw_strip_cells(tw_arena *arena, const tw_prints *prints, const tw_strip_wish *wish,
                       tw_strip *strip, tw_strip_images *images, const tw_run *run,
                       tw_report *report, tw_error *error) {
    const making m = {arena, prints, wish, strip, images, run, report, error};
    tw_code code = list_subjects(&m);
    strip->side = wish->side;
    if (code != TW_OK)
        return code;
    strip->cells =
        tw_arena_array(arena, strip->subject_count * TW_STRIP_VARIANTS, sizeof *strip->cells);
    if (strip->cells == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < strip->subject_count && code == TW_OK; i++) {
        code = look_around(&m, i);
        if (code == TW_OK)
            code = make_subject(&m, &strip->subjects[i]);
    }
    return code;
}
