/*
 * "auto": the share of an image's pixels that the paper cannot show, looked at on a grid of about
 * 256 x 256 pixels (colour_sample.h). Each pair of image and paper is measured once.
 */
#include "output/colour_choose.h"

#include "output/colour_day.h"
#include "output/colour_gamut.h"
#include "output/colour_sample.h"

typedef struct tally {
    tw_gamut *gamut;
    size_t seen, far;
} tally;

enum { AT_ONCE = 256, SIDE = 256 };

static void count_pixels(void *context, const unsigned char *pixels, size_t count,
                         const tw_sample_place *places) {
    tally *t = context;
    tw_lab wanted[AT_ONCE], printed[AT_ONCE];
    (void)places;
    tw_gamut_run(t->gamut, pixels, count, wanted, printed);
    for (size_t i = 0; i < count; i++)
        t->far += tw_ciede2000(wanted[i], printed[i]) > TW_GAMUT_FAR;
    t->seen += count;
}

static tw_code measure(const tw_allocator *allocator, const tw_job_data *job, const tw_paper *paper,
                       const tw_image *image, int64_t *share, tw_error *error) {
    tally t = {NULL, 0, 0};
    const tw_gamut_way way = {{image->source, image->source_length},
                              {paper->icc, paper->icc_length},
                              TW_RELATIVE,
                              job->black_point,
                              image->depth == 16 ? 0 : 8};
    tw_code code = tw_gamut_open(allocator, &way, &t.gamut, error);
    if (code == TW_OK)
        code = tw_sample_image(allocator, image, SIDE, SIDE, count_pixels, &t, error);
    tw_gamut_close(t.gamut);
    if (code == TW_OK)
        *share = t.seen == 0 ? 0 : (int64_t)(t.far * 1000000 / t.seen);
    return code;
}

typedef struct choosing {
    const tw_allocator *allocator;
    const tw_job_data *job;
    tw_prints *prints;
    int64_t *shares; /* of each paper's images, -1 = not measured yet */
    tw_report *report;
    tw_error *error;
} choosing;

static tw_code choose(choosing *c, tw_print *print) {
    int64_t *share = &c->shares[print->paper_index * c->prints->image_count + print->image_index];
    tw_error why = {0};
    tw_code code = TW_OK;
    if (*share < 0) {
        *share = 0; /* of an image that is reported now, too */
        code = measure(c->allocator, c->job, &c->job->papers[print->paper_index],
                       &c->prints->images[print->image_index], share, &why);
    }
    print->out_of_gamut = *share;
    print->intent = *share > TW_GAMUT_SHARE ? TW_PERCEPTUAL : TW_RELATIVE;
    if (code == TW_INPUT || code == TW_DAMAGED)
        return tw_report_error(c->report, &why, c->error);
    if (code != TW_OK && c->error != NULL)
        *c->error = why;
    return code;
}

static tw_code settle(choosing *c, tw_print *print) {
    if (!c->job->papers[print->paper_index].converts)
        print->intent = TW_INTENT_UNSET;
    else if (c->prints->images[print->image_index].source == NULL)
        print->intent = TW_RELATIVE; /* an error, reported already */
    else if (print->intent == TW_INTENT_AUTO)
        return choose(c, print);
    return TW_OK;
}

tw_code tw_colour_choose(tw_arena *arena, const tw_job_data *job, tw_prints *prints,
                         const tw_run *run, tw_report *report, tw_error *error) {
    size_t pairs = job->paper_count * prints->image_count;
    choosing c = {.allocator = tw_arena_allocator(arena),
                  .job = job,
                  .prints = prints,
                  .shares = tw_arena_array(arena, pairs, sizeof *c.shares),
                  .report = report,
                  .error = error};
    tw_code code = c.shares == NULL ? tw_no_memory(error) : TW_OK;
    for (size_t i = 0; i < pairs && code == TW_OK; i++)
        c.shares[i] = -1;
    for (size_t i = 0; i < prints->count && code == TW_OK; i++) {
        if (run != NULL && run->cancelled != NULL && run->cancelled(run->context))
            return tw_fail(error, TW_CANCELLED, "cancelled", "stopped while looking at colours");
        code = settle(&c, &prints->items[i]);
    }
    return code;
}
