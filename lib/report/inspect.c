/*
 * What the program knows of one file, an image or an ICC profile, for `trimwell inspect`: the
 * same facts, by the same readers, as a job would use.
 */
#include "report/inspect.h"

#include <string.h>
#include <unistd.h>

#include "base/limits.h"
#include "report/report.h"

/* Exif 2.3 (TIFF tag 274): what turns the stored pixels upright. */
static const char *const orientations[] = {
    "upright as stored",
    "shown mirrored left to right",
    "shown turned by 180 degrees",
    "shown mirrored top to bottom",
    "shown mirrored left to right, then turned by 90 degrees counter-clockwise",
    "shown turned by 90 degrees clockwise",
    "shown mirrored left to right, then turned by 90 degrees clockwise",
    "shown turned by 90 degrees counter-clockwise",
};

typedef struct named_word {
    const char *signature, *words;
} named_word;

/* ICC.1:2010, Table 18. */
static const named_word classes[] = {
    {"scnr", "input device"},  {"mntr", "display device"}, {"prtr", "output device"},
    {"link", "device link"},   {"spac", "colour space"},   {"abst", "abstract"},
    {"nmcl", "named colours"},
};

/* ICC.1:2010, Table 23. */
static const char *const intents[] = {"perceptual", "media-relative colorimetric", "saturation",
                                      "absolute colorimetric"};

int64_t tw_inspect_ppi(int64_t per_metre) {
    return tw_scale(per_metre, 254, 10); /* 0.0254 m an inch, thousandths */
}

const char *tw_inspect_space(const tw_image *image) {
    static const char *const names[] = {[TW_GREY] = "grey", [TW_RGB] = "RGB", [TW_CMYK] = "CMYK"};
    return names[image->space];
}

int tw_inspect_channels(const tw_image *image) {
    static const int channels[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};
    if (image->format == TW_TIFF)
        return (int)image->tiff.samples;
    return image->palette ? 1 : channels[image->space] + image->alpha;
}

int64_t tw_inspect_tenths(double value) {
    return (int64_t)(value * 10 + (value < 0 ? -0.5 : 0.5));
}

bool tw_inspect_has_volume(const tw_inspected *seen) {
    return seen->profile.channels > 1;
}

/* Only such a one may stand for a printing condition (ISO 32000-1, 14.11.5). */
static bool is_output(const tw_profile *profile) {
    return strcmp(profile->device_class, "prtr") == 0;
}

static void say_profile(tw_inspected *seen) {
    const tw_profile *profile = &seen->profile;
    seen->has_profile = true;
    seen->profile_class = "unknown class";
    for (size_t i = 0; i < sizeof classes / sizeof *classes; i++)
        if (strcmp(profile->device_class, classes[i].signature) == 0)
            seen->profile_class = classes[i].words;
    bool known = profile->intent >= 0 && profile->intent < 4;
    seen->intent = known ? intents[profile->intent] : "unknown intent";
}

/* ------------------------------------------------ images */

/* As the PDF writer decides it. */
static const char *say_colour(tw_arena *arena, const tw_image *image, bool usable) {
    if (usable && image->profile_made != NULL)
        return tw_arena_print(arena, "a profile built here from %s", image->profile_made);
    if (usable)
        return "its own profile";
    if (image->profile != NULL || image->profile_problem != NULL)
        return tw_arena_print(arena, "%s; its own profile cannot be used: %s",
                              image->space == TW_CMYK   ? "the device's own CMYK"
                              : image->space == TW_GREY ? "grey with sRGB's curve is assumed"
                                                        : "sRGB is assumed",
                              image->profile_problem == NULL ? "it does not fit"
                                                             : image->profile_problem);
    if (image->space == TW_CMYK)
        return "untagged: the device's own CMYK, nothing can be assumed";
    if (image->space == TW_GREY)
        return "untagged: grey with sRGB's curve is assumed";
    return image->says_srgb ? "sRGB, as the file says" : "untagged: sRGB is assumed";
}

/* In its true shape, with the axis of fewer pixels at the ppi. */
static void say_sizes(tw_inspected *seen) {
    static const int ppi[TW_INSPECT_SIZES] = {300, 240, 180};
    tw_grid grid = tw_image_grid(&seen->image);
    int64_t fewer = grid.across < grid.down ? grid.across : grid.down;
    for (int i = 0; i < TW_INSPECT_SIZES; i++) {
        seen->ppi[i] = ppi[i];
        seen->sizes[i] =
            (tw_size){tw_scale(grid.wide * fewer, TW_IN, (int64_t)grid.across * ppi[i]),
                      tw_scale(grid.high * fewer, TW_IN, (int64_t)grid.down * ppi[i])};
    }
}

/* Why a file can go in as it is. */
static const char *why_untouched(const tw_image *image) {
    if (image->format == TW_JPEG)
        return "a JPEG goes in as it is";
    return image->format == TW_TIFF ? "one stream of a kind that a PDF holds, too"
                                    : "neither interlaced nor transparent";
}

/* A road in words, with why it can be so short where it says no more. */
static const char *say_road(tw_arena *arena, const tw_inspected *seen) {
    if (!seen->form.untouched)
        return seen->form.road;
    return tw_arena_print(arena, "%s: %s", seen->form.road, why_untouched(&seen->image));
}

/* The road its pixels take into the PDF; opening it checks the file's start as compose would. */
static tw_code see_road(tw_arena *arena, tw_inspected *seen, tw_error *error) {
    tw_pixels *pixels = NULL;
    tw_code code =
        tw_pixels_open(tw_arena_allocator(arena), &seen->image, &pixels, &seen->form, error);
    tw_pixels_close(pixels);
    return code;
}

/* Of an image's own profile: could a paper have it? */
static tw_code see_output(tw_arena *arena, tw_inspected *seen, tw_error *error) {
    const tw_icc icc = {seen->image.profile, seen->image.profile_length};
    tw_error why = {0};
    tw_code code =
        tw_icc_check(tw_arena_allocator(arena), icc, TW_ICC_PAPER, 0, "the profile", &why);
    seen->output_intent = code == TW_OK;
    return code == TW_MEMORY ? tw_no_memory(error) : TW_OK;
}

static tw_code see_own_profile(tw_arena *arena, tw_inspected *seen, tw_error *error) {
    const tw_image *image = &seen->image;
    if (image->profile == NULL || image->profile_problem != NULL)
        return TW_OK;
    tw_code code =
        tw_profile_read(arena, image->profile, image->profile_length, &seen->profile, error);
    if (code != TW_OK)
        return code;
    say_profile(seen);
    return is_output(&seen->profile) ? see_output(arena, seen, error) : TW_OK;
}

static tw_code see_image(tw_arena *arena, const char *path, tw_inspected *seen, tw_error *error) {
    tw_code code = tw_image_read(arena, path, &seen->image, error);
    if (code == TW_OK)
        code = see_own_profile(arena, seen, error);
    if (code == TW_OK)
        code = see_road(arena, seen, error);
    if (code != TW_OK)
        return code;
    seen->bytes = seen->image.bytes;
    seen->orientation = orientations[seen->image.orientation - 1];
    seen->colour = say_colour(arena, &seen->image, seen->has_profile);
    say_sizes(seen);
    seen->road = say_road(arena, seen);
    return seen->colour == NULL || seen->road == NULL ? tw_no_memory(error) : TW_OK;
}

/* ------------------------------------------------ profiles */

/* 'acsp' at byte 36 (ICC.1:2010, 7.2.11), and no image's first bytes. */
static tw_code sniff(const char *path, bool *is_profile, tw_error *error) {
    unsigned char head[40] = {0};
    int descriptor = -1;
    int64_t size = 0;
    tw_code code = tw_file_open(path, &descriptor, &size, error);
    if (code != TW_OK)
        return code;
    ssize_t got = pread(descriptor, head, sizeof head, 0);
    (void)close(descriptor);
    *is_profile = got == (ssize_t)sizeof head && memcmp(head + 36, "acsp", 4) == 0 &&
                  memcmp(head, "\x89PNG", 4) != 0 && memcmp(head, "\xFF\xD8", 2) != 0;
    return TW_OK; /* a read error shows again, with its message, when the file is read */
}

/* A profile that only images can have, or whose tables are damaged, has none of these: why not. */
static tw_code see_facts(tw_arena *arena, tw_icc icc, tw_inspected *seen, tw_error *error) {
    tw_error why = {0};
    tw_code code = tw_icc_facts_read(tw_arena_allocator(arena), icc, &seen->facts, &why);
    if (code == TW_OK || code == TW_MEMORY) {
        seen->output_intent = code == TW_OK && is_output(&seen->profile);
        return code == TW_OK ? TW_OK : tw_no_memory(error);
    }
    seen->unfit = tw_arena_string(arena, why.message);
    return seen->unfit == NULL ? tw_no_memory(error) : TW_OK;
}

static tw_code see_profile(tw_arena *arena, const char *path, tw_inspected *seen, tw_error *error) {
    char *bytes = NULL;
    size_t length = 0;
    tw_code code = tw_file_read(arena, path, TW_ICC_BYTES_MOST, &bytes, &length, error);
    if (code == TW_OK) {
        code = tw_profile_read(arena, (const unsigned char *)bytes, length, &seen->profile, error);
        if (code != TW_OK)
            tw_fail_at(error, path, 0, 0);
    }
    if (code != TW_OK)
        return code;
    seen->bytes = (int64_t)length;
    say_profile(seen);
    return see_facts(arena, (tw_icc){(const unsigned char *)bytes, length}, seen, error);
}

tw_code tw_inspect_file(tw_arena *arena, const char *path, tw_buffer *text, tw_buffer *json,
                        tw_error *error) {
    tw_inspected seen = {.path = path};
    tw_code code = sniff(path, &seen.is_profile, error);
    if (code == TW_OK)
        code = seen.is_profile ? see_profile(arena, path, &seen, error)
                               : see_image(arena, path, &seen, error);
    if (code != TW_OK)
        return code;
    if (text != NULL)
        tw_inspect_add_text(&seen, text);
    if (json != NULL)
        tw_inspect_add_json(&seen, json);
    bool lost = (text != NULL && text->failed) || (json != NULL && json->failed);
    return lost ? tw_no_memory(error) : TW_OK;
}
