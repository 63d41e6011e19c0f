/*
 * What is done to the pixels of each print: reduced to the ppi the printer can lay down, enlarged
 * to a least, sharpened for the paper; a template's word goes before its paper's, a paper's
 * before the job's. Images that are treated in different ways become images of their own in the
 * list, so that each is made once a sheet.
 */
#include "prints/making.h"

#include <string.h>

#include "base/limits.h"

/* Wider masks would want hundreds of rows in memory, and no eye sees one at print size. */
#define RADIUS_MOST ((int64_t)64 * 1000000)

static int first_said(int a, int b, int c) {
    int said = a != 0 ? a : b != 0 ? b : c;
    return said < 0 ? 0 : said;
}

/* limit and enlarge as they hold for a line; 0 = none. */
static tw_resolution targets_of(const tw_job_data *job, const tw_order *line) {
    const tw_resolution *t = &job->templates[line->template_index].resolution;
    const tw_resolution *p = &job->papers[line->paper_index].resolution;
    const tw_resolution *j = &job->resolution;
    tw_resolution out = {.limit = first_said(t->limit, p->limit, j->limit),
                         .enlarge = first_said(t->enlarge, p->enlarge, j->enlarge)};
    if (out.limit > 0 && out.enlarge > out.limit) /* said at different places */
        out.enlarge = out.limit;
    return out;
}

static tw_sharpen sharpen_of(const tw_job_data *job, const tw_order *line) {
    const tw_sharpen *t = &job->templates[line->template_index].sharpen;
    const tw_sharpen *p = &job->papers[line->paper_index].sharpen;
    tw_sharpen said = t->asked != TW_UNSET ? *t : p->asked != TW_UNSET ? *p : job->sharpen;
    return said.asked == TW_YES ? said : (tw_sharpen){.asked = TW_NO};
}

/* Pixels of one axis for `length` of paper. */
static int64_t wanted(int64_t pixels, tw_nm length, const tw_resolution *targets) {
    if (targets->limit > 0) {
        int64_t most = tw_scale(length, targets->limit, TW_IN);
        if (pixels > most)
            return most < 1 ? 1 : most;
    }
    if (targets->enlarge > 0) {
        int64_t least = tw_scale(length, targets->enlarge, TW_IN);
        if (pixels < least)
            return least;
    }
    return pixels;
}

static tw_code refuse_size(const tw_job_data *job, const tw_order *line, int64_t wide, int64_t high,
                           tw_error *error) {
    if (wide <= TW_IMAGE_SIDE_MOST && high <= TW_IMAGE_SIDE_MOST &&
        wide * high <= job->limits.pixels)
        return TW_OK;
    tw_fail(error, TW_INPUT, "image-size",
            "image \"%s\" would be enlarged to %lld x %lld pixels; limits.pixels allows %lld, a "
            "side %u",
            line->image, (long long)wide, (long long)high, (long long)job->limits.pixels,
            TW_IMAGE_SIDE_MOST);
    tw_fail_hint(error, "lower resolution.enlarge_to_ppi");
    return TW_INPUT;
}

static tw_code refuse_radius(const tw_order *line, const tw_sharpen *sharpen, int64_t radius,
                             tw_error *error) {
    char length[TW_LENGTH_TEXT];
    if (radius <= RADIUS_MOST)
        return TW_OK;
    tw_fail(error, TW_INPUT, "sharpen-radius",
            "sharpening image \"%s\" with a radius of %s would reach over %lld pixels; it may be "
            "%lld",
            line->image, tw_length_both(sharpen->radius, length), (long long)(radius / 1000000),
            (long long)(RADIUS_MOST / 1000000));
    tw_fail_hint(error, "give a smaller radius, or resolution.limit_ppi");
    return TW_INPUT;
}

tw_code tw_print_treat(const tw_job_data *job, tw_print *print, tw_error *error) {
    const tw_image *image = print->image;
    const tw_fitted *fit = &print->fit;
    tw_resolution targets = targets_of(job, print->line);
    int64_t wide = wanted(image->upright_width, fit->whole.width, &targets);
    int64_t high = wanted(image->upright_height, fit->whole.height, &targets);
    bool swapped = image->orientation >= 5;
    tw_treat *treat = &print->treat;
    print->sharpen = sharpen_of(job, print->line);
    tw_code code = refuse_size(job, print->line, wide, high, error);
    if (code != TW_OK)
        return code;
    if (wide != image->upright_width || high != image->upright_height) {
        treat->width = (uint32_t)(swapped ? high : wide);
        treat->height = (uint32_t)(swapped ? wide : high);
    }
    if (print->sharpen.asked != TW_YES)
        return TW_OK;
    int64_t across = tw_scale(print->sharpen.radius, 1000000 * wide, fit->whole.width);
    int64_t down = tw_scale(print->sharpen.radius, 1000000 * high, fit->whole.height);
    treat->radius_x = swapped ? down : across;
    treat->radius_y = swapped ? across : down;
    treat->amount = print->sharpen.amount;
    treat->threshold = print->sharpen.threshold;
    return refuse_radius(print->line, &print->sharpen, across > down ? across : down, error);
}

static bool same_treat(const tw_treat *a, const tw_treat *b) {
    return a->width == b->width && a->height == b->height && a->radius_x == b->radius_x &&
           a->radius_y == b->radius_y && a->amount == b->amount && a->threshold == b->threshold;
}

/* The image this print uses, in the list so far; SIZE_MAX when it is a new one. `next` chains the
 * images made of one file, from the file's own. */
static size_t find(const tw_image *images, const size_t *next, const tw_print *print) {
    size_t at = print->image_index;
    while (at != SIZE_MAX && !same_treat(&images[at].treat, &print->treat))
        at = next[at];
    return at;
}

static size_t add(tw_prints *prints, size_t *next, const tw_print *print) {
    size_t made = prints->image_count++;
    prints->images[made] = prints->images[print->image_index];
    prints->images[made].treat = print->treat;
    next[made] = next[print->image_index];
    next[print->image_index] = made;
    return made;
}

static size_t count_treated(const tw_prints *prints) {
    static const tw_treat none = {0};
    size_t count = 0;
    for (size_t i = 0; i < prints->count; i++)
        count += !same_treat(&prints->items[i].treat, &none);
    return count;
}

tw_code tw_prints_treated(tw_arena *arena, tw_prints *prints, tw_error *error) {
    size_t treated = count_treated(prints), most = prints->image_count + treated;
    if (treated == 0)
        return TW_OK;
    tw_image *images = tw_arena_array(arena, most, sizeof *images);
    size_t *next = tw_arena_array(arena, most, sizeof *next);
    if (images == NULL || next == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < prints->image_count; i++) {
        images[i] = prints->images[i];
        next[i] = SIZE_MAX;
    }
    prints->images = images;
    for (size_t i = 0; i < prints->count; i++) {
        tw_print *print = &prints->items[i];
        size_t at = find(images, next, print);
        print->image_index = at != SIZE_MAX ? at : add(prints, next, print);
        print->image = &images[print->image_index];
    }
    return TW_OK;
}
