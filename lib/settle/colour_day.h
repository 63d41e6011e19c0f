/*
 * How colours go to paper on this day: which papers are converted to here, what each image is
 * converted from, and what "auto" intents come to. Called between reading and laying out, so that
 * every profile is refused, by name, before paper is spent.
 */
#ifndef TW_SETTLE_COLOUR_DAY_H
#define TW_SETTLE_COLOUR_DAY_H

#include "colour/colour.h"
#include "prints/prints.h"

/* Checks the papers' profiles and settles which are converted to. Problems: errors
 * in the report ("convert" without a profile, profiles that cannot be used); a warning where the
 * print path must convert although nobody said "tag". */
TW_USE_RESULT tw_code tw_colour_papers(tw_arena *arena, tw_job_data *job, tw_report *report,
                                       tw_error *error);
/* Checks the profiles that the job assumes: refused where they are named. */
TW_USE_RESULT tw_code tw_colour_assumed(tw_arena *arena, tw_job_data *job, tw_report *report,
                                        tw_error *error);
/* Which images say usably what their colours mean: a profile of its own that no transform can be
 * made of becomes the image's profile_problem, as those do that its facts' reader found; where
 * there is no usable one the job's assumption is taken. */
TW_USE_RESULT tw_code tw_colour_images(tw_arena *arena, const tw_job_data *job, tw_facts *facts,
                                       tw_error *error);
/* Settles what images on those papers are converted from, and intents "auto" by looking at the
 * pixels. */
TW_USE_RESULT tw_code tw_colour_prints(tw_arena *arena, const tw_job_data *job, tw_prints *prints,
                                       const tw_run *run, tw_report *report, tw_error *error);
/* The way an image's pixels go to a converting paper. */
tw_colour_way tw_colour_way_of(const tw_job_data *job, const tw_paper *paper, const tw_image *image,
                               tw_intent intent);
/* "relative colorimetric", in words. */
const char *tw_intent_words(tw_intent intent);

#endif
