/*
 * "auto": the share of an image's pixels that the paper cannot show, looked at on a grid of about
 * 256 x 256 pixels (sample.h). Each image is decoded once for all papers it is asked for, on
 * all cores; what was found is told in the prints' order.
 */
#include "settle/auto_intent.h"

#include "colour/gamut.h"
#include "colour/sample.h"
#include "image/each_image.h"
#include "settle/colour_day.h"

enum { AT_ONCE = 256, SIDE = 256 };

/* An image on a paper. */
typedef struct pair {
    bool asked;
    tw_gamut *gamut; /* while it is measured */
    size_t seen, far;
} pair;

typedef struct choosing {
    const tw_job_data *job;
    const tw_prints *prints;
    pair *pairs;     /* of each image, all papers */
    tw_error *found; /* one an image; code TW_OK: measured, or not asked for */
} choosing;

static pair *pair_of(const choosing *c, size_t image, size_t paper) {
    return &c->pairs[image * c->job->paper_count + paper];
}

/* ------------------------------------------------ one image */

typedef struct looking {
    const choosing *choosing;
    size_t image;
} looking;

static void count_pixels(void *context, const unsigned char *pixels, size_t count,
                         const tw_sample_place *places) {
    const looking *l = context;
    tw_lab wanted[AT_ONCE], printed[AT_ONCE];
    (void)places;
    for (size_t paper = 0; paper < l->choosing->job->paper_count; paper++) {
        pair *own = pair_of(l->choosing, l->image, paper);
        if (!own->asked)
            continue;
        tw_gamut_run(own->gamut, pixels, count, wanted, printed);
        for (size_t i = 0; i < count; i++)
            own->far += tw_ciede2000(wanted[i], printed[i]) > TW_GAMUT_FAR;
        own->seen += count;
    }
}

/* *any: is it asked for? */
static tw_code open_gamuts(const choosing *c, const tw_allocator *allocator, size_t index,
                           bool *any, tw_error *error) {
    const tw_image *image = &c->prints->images[index];
    tw_code code = TW_OK;
    *any = false;
    for (size_t i = 0; i < c->job->paper_count && code == TW_OK; i++) {
        const tw_paper *paper = &c->job->papers[i];
        const tw_gamut_way way = {{image->source, image->source_length},
                                  {paper->icc, paper->icc_length},
                                  TW_RELATIVE,
                                  c->job->black_point,
                                  image->depth == 16 ? 0 : 8};
        pair *own = pair_of(c, index, i);
        *any |= own->asked;
        if (own->asked)
            code = tw_gamut_open(allocator, &way, &own->gamut, error);
    }
    return code;
}

static void measure(void *context, const tw_allocator *shared, size_t index) {
    const choosing *c = context;
    looking l = {c, index};
    bool any = false;
    tw_error *error = &c->found[index];
    tw_code code = open_gamuts(c, shared, index, &any, error);
    if (code == TW_OK && any)
        code =
            tw_sample_image(shared, &c->prints->images[index], SIDE, SIDE, count_pixels, &l, error);
    error->code = code;
    for (size_t i = 0; i < c->job->paper_count; i++)
        tw_gamut_close(pair_of(c, index, i)->gamut);
}

/* ------------------------------------------------ the prints */

/* What need not be measured is settled. How many are left? */
static size_t ask(const choosing *c, tw_prints *prints) {
    size_t asked = 0;
    for (size_t i = 0; i < prints->count; i++) {
        tw_print *print = &prints->items[i];
        if (!c->job->papers[print->paper_index].converts)
            print->intent = TW_INTENT_UNSET;
        else if (prints->images[print->image_index].source == NULL)
            print->intent = TW_RELATIVE; /* an error, reported already */
        if (print->intent != TW_INTENT_AUTO)
            continue;
        pair_of(c, print->image_index, print->paper_index)->asked = true;
        asked++;
    }
    return asked;
}

static void take(const choosing *c, tw_print *print) {
    const pair *own = pair_of(c, print->image_index, print->paper_index);
    print->out_of_gamut = own->seen == 0 ? 0 : (int64_t)(own->far * 1000000 / own->seen);
    print->intent = print->out_of_gamut > TW_GAMUT_SHARE ? TW_PERCEPTUAL : TW_RELATIVE;
}

/* An image that cannot be read is told once. */
static tw_code tell(tw_error *found, tw_report *report, tw_error *error) {
    tw_error why = *found;
    found->code = TW_OK;
    if (why.code == TW_INPUT || why.code == TW_DAMAGED)
        return tw_report_error(report, &why, error);
    if (why.code != TW_OK && error != NULL)
        *error = why;
    return why.code;
}

static tw_code take_all(const choosing *c, tw_prints *prints, tw_report *report, tw_error *error) {
    tw_code code = TW_OK;
    for (size_t i = 0; i < prints->count && code == TW_OK; i++) {
        tw_print *print = &prints->items[i];
        if (print->intent != TW_INTENT_AUTO)
            continue;
        take(c, print);
        code = tell(&c->found[print->image_index], report, error);
    }
    return code;
}

tw_code tw_colour_choose(tw_arena *arena, const tw_job_data *job, tw_prints *prints,
                         const tw_run *run, tw_report *report, tw_error *error) {
    size_t pairs = job->paper_count * prints->image_count;
    choosing c = {.job = job,
                  .prints = prints,
                  .pairs = tw_arena_array(arena, pairs, sizeof *c.pairs),
                  .found = tw_arena_array(arena, prints->image_count, sizeof *c.found)};
    if (c.pairs == NULL || c.found == NULL)
        return tw_no_memory(error);
    if (ask(&c, prints) == 0)
        return TW_OK;
    tw_code code =
        tw_each_image(tw_arena_allocator(arena), prints->image_count, run, measure, &c, error);
    return code == TW_OK ? take_all(&c, prints, report, error) : code;
}
