/* Papers and images: which profile, usable or not (colour_day.h). */
#include "settle/colour_day.h"

#include "colour/srgb_profile.h"
#include "settle/auto_intent.h"

#include <stdio.h>
#include <string.h>

const char *tw_intent_words(tw_intent intent) {
    static const char *const words[] = {"as it is",   "chosen by the picture",
                                        "perceptual", "relative colorimetric",
                                        "saturation", "absolute colorimetric"};
    return words[intent];
}

tw_colour_way tw_colour_way_of(const tw_job_data *job, const tw_paper *paper, const tw_image *image,
                               tw_intent intent) {
    return (tw_colour_way){.from = {image->source, image->source_length},
                           .to = {paper->icc, paper->icc_length},
                           .intent = intent,
                           .black_point = job->black_point};
}

/* ------------------------------------------------ papers */

static void place_at(const tw_place *place, tw_error *message) {
    tw_fail_at(message, place->file, place->line, place->column);
    tw_fail_pointer(message, place->pointer);
}

/* What is about input goes into the report; anything else ends the run. */
static tw_code report_problem(tw_error *why, tw_report *report, tw_error *error) {
    if (why->code == TW_INPUT || why->code == TW_DAMAGED)
        return tw_report_error(report, why, error);
    if (error != NULL)
        *error = *why;
    return why->code;
}

/* Intake has read its bytes and header. */
static tw_code check_profile(const tw_allocator *allocator, tw_paper *paper, tw_error *error) {
    char called[160];
    const tw_icc icc = {paper->icc, paper->icc_length};
    paper->icc_name =
        paper->icc_description != NULL ? paper->icc_description : tw_path_last(paper->profile);
    snprintf(called, sizeof called, "the profile \"%.60s\" of paper \"%.60s\"",
             tw_path_last(paper->profile), paper->name);
    return tw_icc_check(allocator, icc, TW_ICC_PAPER, 0, called, error);
}

static tw_code say_no_profile(const tw_job_data *job, const tw_paper *paper, tw_report *report,
                              tw_error *error) {
    tw_error message = {0};
    if (job->colour == TW_COLOUR_CONVERT) {
        tw_fail(&message, TW_INPUT, "profile-wanted",
                "colour mode \"convert\" needs a profile, and paper \"%s\" names none",
                paper->name);
        place_at(&paper->place, &message);
        tw_fail_hint(&message, "give the paper a \"profile\", or let the print path convert with "
                               "{\"mode\": \"tag\"}");
        return tw_report_error(report, &message, error);
    }
    tw_fail(&message, TW_OK, "colour-tagged",
            "paper \"%s\" has no profile, so nothing is converted for it here: every image keeps "
            "its own profile, and the driver or print path must convert",
            paper->name);
    tw_fail_at(&message, job->file, 0, 0);
    tw_fail_hint(&message, "colour management ON there; give the paper a \"profile\" to convert "
                           "here; {\"mode\": \"tag\"} says that you know");
    return tw_report_warning(report, &message, error);
}

tw_code tw_colour_papers(tw_arena *arena, tw_job_data *job, tw_report *report, tw_error *error) {
    tw_code code = TW_OK;
    for (size_t i = 0; i < job->paper_count && code == TW_OK; i++) {
        tw_paper *paper = &job->papers[i];
        tw_error why = {0};
        if (paper->profile == NULL && job->colour != TW_COLOUR_TAG)
            code = say_no_profile(job, paper, report, error);
        if (paper->icc == NULL)
            continue;
        if (check_profile(tw_arena_allocator(arena), paper, &why) == TW_OK) {
            paper->converts = job->colour != TW_COLOUR_TAG;
        } else {
            place_at(&paper->profile_place, &why);
            code = report_problem(&why, report, error);
        }
    }
    return code;
}

/* ------------------------------------------------ assumed profiles */

static const int channels_of[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};

static tw_code check_assumed(const tw_allocator *allocator, const tw_assumed *assumed, int channels,
                             tw_error *error) {
    char called[160];
    const tw_icc icc = {assumed->bytes, assumed->length};
    snprintf(called, sizeof called, "the assumed profile \"%.100s\"", assumed->name);
    tw_code code = tw_icc_check(allocator, icc, TW_ICC_SOURCE, channels, called, error);
    if (code != TW_OK) {
        place_at(&assumed->place, error);
        tw_fail_hint(error, "name another one; for RGB images \"srgb\" is built in");
    }
    return code;
}

tw_code tw_colour_assumed(tw_arena *arena, tw_job_data *job, tw_report *report, tw_error *error) {
    tw_code code = TW_OK;
    for (size_t i = 0; i < sizeof job->assume / sizeof *job->assume && code == TW_OK; i++) {
        tw_assumed *assumed = &job->assume[i];
        tw_error why = {0};
        if (assumed->bytes == NULL)
            continue;
        assumed->refused =
            check_assumed(tw_arena_allocator(arena), assumed, channels_of[i], &why) != TW_OK;
        if (assumed->refused)
            code = report_problem(&why, report, error);
    }
    return code;
}

/* ------------------------------------------------ images */

/* A day's images mostly carry one and the same. */
static bool same_profile(const tw_image *a, const tw_image *b) {
    return a->space == b->space && a->profile_length == b->profile_length &&
           memcmp(a->profile, b->profile, a->profile_length) == 0;
}

/* Intake has seen header and tag table; whether the tags serve only a transform can tell. */
static tw_code check_own(tw_arena *arena, tw_image *image, tw_error *error) {
    tw_error why = {0};
    const tw_icc icc = {image->profile, image->profile_length};
    tw_code code = tw_icc_check(tw_arena_allocator(arena), icc, TW_ICC_SOURCE,
                                channels_of[image->space], "its profile", &why);
    if (code == TW_OK)
        return TW_OK;
    image->profile_problem = code == TW_MEMORY ? NULL : tw_arena_string(arena, why.message);
    image->profile = NULL;
    image->profile_length = 0;
    image->profile_description = image->profile_made = NULL;
    return image->profile_problem == NULL ? tw_no_memory(error) : TW_OK;
}

tw_code tw_colour_images(tw_arena *arena, const tw_job_data *job, tw_facts *facts,
                         tw_error *error) {
    tw_code code = TW_OK;
    const tw_image *good = NULL;
    for (size_t i = 0; i < facts->image_count && code == TW_OK; i++) {
        tw_image *image = &facts->images[i];
        if (image->profile != NULL && (good == NULL || !same_profile(image, good)))
            code = check_own(arena, image, error);
        if (image->profile != NULL)
            good = image;
        if (image->profile == NULL && !image->says_srgb && job->assume[image->space].name != NULL)
            image->assumed = &job->assume[image->space];
    }
    return code;
}

static tw_code use_built_in(tw_arena *arena, tw_image *image, tw_error *error) {
    tw_buffer made;
    tw_buffer_start(&made, tw_arena_allocator(arena));
    if (image->space == TW_GREY)
        tw_srgb_grey_profile(&made);
    else
        tw_srgb_profile(&made);
    if (!made.failed)
        image->source = (unsigned char *)tw_arena_copy(arena, made.bytes, made.length);
    image->source_length = made.length;
    tw_buffer_free(&made);
    return image->source == NULL ? tw_no_memory(error) : TW_OK;
}

/* The quick form has no place for "assume". */
static tw_code refuse_image(const tw_job_data *job, const tw_image *image, tw_error *error) {
    bool quick = job->file[0] == '\0';
    if (image->profile_problem != NULL)
        tw_fail(error, TW_INPUT, "profile-problem",
                "the colour profile of image \"%.100s\" cannot be used to convert it: %s",
                image->name, image->profile_problem);
    else
        tw_fail(error, TW_INPUT, "cmyk-untagged",
                "image \"%.100s\" has no colour profile: nobody can say what its CMYK means, so it "
                "cannot be converted",
                image->name);
    if (quick)
        tw_fail_hint(error, "save the image again with a valid profile, or print it from a job, "
                            "where \"colour.assume\" can name one to take instead");
    else
        tw_fail_hint(error, "name a profile to take instead in \"colour.assume\"");
    return TW_INPUT;
}

/* Its own profile, the assumed one, or what is built in; all of them checked before. */
static tw_code choose_source(tw_arena *arena, const tw_job_data *job, tw_image *image,
                             tw_error *error) {
    const tw_assumed *assumed = image->assumed;
    if (!tw_image_convertible(image))
        return refuse_image(job, image, error);
    if (assumed != NULL && assumed->refused)
        return TW_OK; /* said where it is named */
    if (assumed != NULL && assumed->bytes != NULL) {
        image->source = assumed->bytes;
        image->source_length = assumed->length;
        return TW_OK;
    }
    if (assumed != NULL || image->profile == NULL)
        return use_built_in(arena, image, error);
    image->source = image->profile;
    image->source_length = image->profile_length;
    return TW_OK;
}

/* Once an image, at the first print that needs it. */
static tw_code settle_image(tw_arena *arena, const tw_job_data *job, const tw_print *print,
                            tw_image *image, bool *seen, tw_report *report, tw_error *error) {
    tw_error why = {0};
    if (*seen)
        return TW_OK;
    *seen = true;
    if (choose_source(arena, job, image, &why) == TW_OK)
        return TW_OK;
    image->source = NULL;
    tw_fail_at(&why, print->line->place.file, print->line->place.line, 0);
    return report_problem(&why, report, error);
}

tw_code tw_colour_prints(tw_arena *arena, const tw_job_data *job, tw_prints *prints,
                         const tw_run *run, tw_report *report, tw_error *error) {
    bool *seen = tw_arena_array(arena, prints->image_count, sizeof *seen);
    tw_code code = seen == NULL ? tw_no_memory(error) : TW_OK;
    for (size_t i = 0; i < prints->count && code == TW_OK; i++) {
        tw_print *print = &prints->items[i];
        size_t image = print->image_index;
        if (job->papers[print->paper_index].converts)
            code = settle_image(arena, job, print, &prints->images[image], &seen[image], report,
                                error);
    }
    return code == TW_OK ? tw_colour_choose(arena, job, prints, run, report, error) : code;
}
