/*
 * Warnings about the image behind a print: sharpness, colour tag, and how much is cut away.
 */
#include "prints/making.h"

#include <stdio.h>

/* ppi that a print of this long side should have (common practice: the larger the print, the
 * further away it is looked at). */
static int wanted_ppi(const tw_job_data *job, const tw_order *line, const tw_fitted *fit) {
    int below = tw_line_resolution(job, line).warn_below;
    if (below != TW_PPI_AUTO)
        return below;
    tw_nm side = fit->size.width > fit->size.height ? fit->size.width : fit->size.height;
    if (side <= 12 * TW_IN)
        return 240;
    if (side <= 18 * TW_IN)
        return 200;
    return side <= 30 * TW_IN ? 180 : 150;
}

static tw_code check_ppi(const tw_line_check *check) {
    const tw_fitted *fit = &check->print->fit;
    int wanted = wanted_ppi(check->job, check->line, fit);
    int64_t ppi = tw_fit_ppi(fit);
    char size[TW_SIZE_TEXT];
    if (ppi >= (int64_t)wanted * 1000)
        return TW_OK;
    return tw_line_warn(check, "low-ppi", "use a larger file or a smaller print",
                        "image \"%s\" has %lld.%lld ppi as a print of %s; %d ppi are wanted",
                        check->line->image, (long long)(ppi / 1000), (long long)(ppi % 1000 / 100),
                        tw_size_both(fit->size, size), wanted);
}

/* What stands in for the profile, in `text` where it has a name. */
static const char *assumed(const tw_image *image, char text[160]) {
    if (image->assumed != NULL) {
        snprintf(text, 160, "\"%.100s\" is taken, as colour.assume says", image->assumed->name);
        return text;
    }
    switch (image->space) {
    case TW_CMYK:
        return "its colours are printed as the print path takes untagged CMYK";
    case TW_GREY:
        return "its greys are printed with the tone curve of sRGB";
    default:
        return "sRGB is assumed";
    }
}

static tw_code check_tag(const tw_line_check *check) {
    const tw_image *image = check->print->image;
    char text[160];
    if (check->job->papers[check->print->paper_index].converts && !tw_image_convertible(image))
        return TW_OK; /* an error, which says why (settle/colour_day.c) */
    if (image->profile_problem != NULL)
        return tw_line_warn(check, "profile-problem", "save the image again with a valid profile",
                            "the colour profile in image \"%s\" is not usable: %s; %s",
                            check->line->image, image->profile_problem, assumed(image, text));
    if (image->colour_note != NULL)
        return tw_line_warn(check, "colour-doubt", "save the image again with one colour profile",
                            "what image \"%s\" says of its colours is in doubt: %s",
                            check->line->image, image->colour_note);
    if (image->profile != NULL || image->says_srgb)
        return TW_OK;
    return tw_line_warn(check, "untagged", "save the image with its colour profile embedded",
                        "image \"%s\" does not say what its colours mean: %s", check->line->image,
                        assumed(image, text));
}

/* The part of the image that the picture leaves out, in millionths. Each axis is cut by itself,
 * so the two remaining shares multiply. */
static int64_t cropped(const tw_fitted *fit) {
    int64_t across = tw_scale(fit->picture.width, 1000000, fit->whole.width);
    int64_t down = tw_scale(fit->picture.height, 1000000, fit->whole.height);
    return 1000000 - tw_scale(across, down, 1000000);
}

static tw_code check_crop(const tw_line_check *check) {
    int64_t gone = cropped(&check->print->fit);
    if (gone <= 150000)
        return TW_OK;
    return tw_line_warn(check, "crops-much", "choose a template nearer to the image's shape",
                        "%lld.%lld %% of image \"%s\" is cropped away; over 15 %% is worth a look",
                        (long long)(gone / 10000), (long long)(gone % 10000 / 1000),
                        check->line->image);
}

/* What of a TIFF does not reach the paper. */
static tw_code check_tiff(const tw_line_check *check) {
    const tw_image *image = check->print->image;
    unsigned left_out = image->tiff.extra - (image->alpha ? 1 : 0);
    tw_code code = TW_OK;
    if (image->format != TW_TIFF)
        return TW_OK;
    if (image->pages > 1)
        code =
            tw_line_warn(check, "several-pages", "save the one to be printed as a file of its own",
                         "image \"%s\" holds %d pictures; the first is printed", check->line->image,
                         image->pages);
    if (code != TW_OK || left_out == 0)
        return code;
    return tw_line_warn(check, "extra-channels", "save the image without them to be sure",
                        "image \"%s\" has %u more channel%s than its colours need; %s not printed",
                        check->line->image, left_out, left_out == 1 ? "" : "s",
                        left_out == 1 ? "it is" : "they are");
}

/* A writer's slip more often than a scanner's habit, so it is said. */
static tw_code check_shape(const tw_line_check *check) {
    const tw_image *image = check->print->image;
    const tw_fitted *fit = &check->print->fit;
    if (image->aspect_x == image->aspect_y)
        return TW_OK;
    return tw_line_warn(
        check, "uneven-pixels", "save the image with square pixels if this is not meant",
        "the pixels of image \"%s\" are not square: it is printed in its true "
        "shape, with %lld.%lld ppi across and %lld.%lld down",
        check->line->image, (long long)(fit->ppi_x / 1000), (long long)(fit->ppi_x % 1000 / 100),
        (long long)(fit->ppi_y / 1000), (long long)(fit->ppi_y % 1000 / 100));
}

static tw_code check_damage(const tw_line_check *check) {
    const tw_image *image = check->print->image;
    char text[TW_DAMAGE_TEXT];
    if (image->damage.words == NULL)
        return TW_OK;
    return tw_line_warn(check, "damaged-image",
                        image->format == TW_JPEG
                            ? "look at the picture: a JPEG has no check sums, so rows before the "
                              "fault may be wrong, too"
                            : "get the file again if there is another copy of it",
                        "image \"%s\" is printed though it is damaged: %s; %s", check->line->image,
                        image->damage.words, tw_damage_text(image, text));
}

tw_code tw_check_image(const tw_line_check *check) {
    tw_code code = check_damage(check);
    if (code == TW_OK)
        code = check_ppi(check);
    if (code == TW_OK)
        code = check_shape(check);
    if (code == TW_OK)
        code = check_tag(check);
    if (code == TW_OK)
        code = check_tiff(check);
    return code == TW_OK ? check_crop(check) : code;
}
