/* The intent of prints that leave it to the picture. */
#ifndef TW_SETTLE_AUTO_INTENT_H
#define TW_SETTLE_AUTO_INTENT_H

#include "prints/prints.h"

/* Prints of intent "auto" on converting papers get perceptual where more than TW_GAMUT_SHARE of the
 * pixels is out of gamut, else relative; both and the share stand in the print. On other papers
 * intents mean nothing and become unset. */
TW_USE_RESULT tw_code tw_colour_choose(tw_arena *arena, const tw_job_data *job, tw_prints *prints,
                                       const tw_run *run, tw_report *report, tw_error *error);

#endif
