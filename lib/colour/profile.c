/*
 * What must hold of a profile before it is used, and what a paper's profile says of its paper.
 * Header and tag table are read first (image/icc_head.c), so that lcms2 only sees profiles whose
 * tags lie inside them; a trial transform then shows whether their contents serve.
 */
#include "colour/lcms.h"
#include "image/icc_head.h"

#include <math.h>
#include <string.h>

static bool is_one_of(const char *word, const char *const *list, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (strcmp(word, list[i]) == 0)
            return true;
    return false;
}

static tw_code refuse_class(const tw_profile *profile, tw_icc_use use, const char *called,
                            tw_error *error) {
    static const char *const papers[] = {"prtr", "mntr", "spac"}; /* some labs give a display's */
    bool source = use == TW_ICC_SOURCE;
    if (source ? tw_profile_is_source(profile) : is_one_of(profile->device_class, papers, 3))
        return TW_OK;
    return tw_fail(error, TW_INPUT, "profile-class",
                   "%s is of class \"%s\"; %s must be of class %s", called, profile->device_class,
                   source ? "an image's profile" : "a paper's profile",
                   source ? "mntr, scnr, prtr or spac" : "prtr (or mntr or spac)");
}

static tw_code refuse_space(const tw_profile *profile, int channels, const char *called,
                            tw_error *error) {
    if (profile->channels == 0)
        return tw_fail(error, TW_INPUT, "profile-space",
                       "%s is for the colour space \"%s\"; GRAY, RGB and CMYK are printed", called,
                       profile->space);
    if (channels != 0 && profile->channels != channels)
        return tw_fail(error, TW_INPUT, "profile-space",
                       "%s is for %d channels (\"%s\"), the image has %d", called,
                       profile->channels, profile->space, channels);
    if (!tw_profile_connects(profile))
        return tw_fail(error, TW_INPUT, "profile-space",
                       "%s connects through \"%s\"; it must be \"XYZ \" or \"Lab \"", called,
                       profile->connection);
    return TW_OK;
}

static tw_code refuse_header(const tw_profile *profile, tw_icc_use use, int channels,
                             const char *called, tw_error *error) {
    if (!tw_profile_has_version(profile))
        return tw_fail(error, TW_INPUT, "profile-version",
                       "%s is of ICC version %d.%d; versions 2 and 4 are read", called,
                       profile->version_major, profile->version_minor);
    tw_code code = refuse_class(profile, use, called, error);
    return code == TW_OK ? refuse_space(profile, channels, called, error) : code;
}

/* The transforms that will be wanted: to L*a*b*, and for a paper back again. */
static tw_code try_out(const tw_allocator *allocator, tw_icc icc, tw_icc_use use,
                       const char *called, tw_error *error) {
    const tw_colour_way out = {icc, {NULL, 0}, TW_RELATIVE, false, 0};
    const tw_colour_way back = {{NULL, 0}, icc, TW_RELATIVE, false, 0};
    tw_error why = {0};
    tw_colour *colour = NULL;
    tw_code code = tw_colour_open(allocator, &out, &colour, &why);
    tw_colour_close(colour);
    if (code == TW_OK && use == TW_ICC_PAPER) {
        code = tw_colour_open(allocator, &back, &colour, &why);
        tw_colour_close(colour);
    }
    if (code == TW_OK || code == TW_MEMORY)
        return code == TW_OK ? TW_OK : tw_no_memory(error);
    return tw_fail(error, TW_INPUT, "profile-damaged",
                   "%s has no usable tables: no transform can be made of it", called);
}

tw_code tw_icc_check(const tw_allocator *allocator, tw_icc icc, tw_icc_use use, int channels,
                     const char *called, tw_error *error) {
    tw_profile profile;
    tw_arena *arena = tw_arena_new(allocator, 0);
    if (arena == NULL)
        return tw_no_memory(error);
    tw_code code = tw_profile_read(arena, icc.bytes, icc.length, &profile, error);
    if (code == TW_OK)
        code = refuse_header(&profile, use, channels, called, error);
    if (code == TW_OK)
        code = try_out(allocator, icc, use, called, error);
    tw_arena_free(arena);
    if (code != TW_OK && code != TW_MEMORY)
        tw_fail_hint(error, use == TW_ICC_SOURCE
                                ? "name a profile to take instead in \"colour.assume\""
                                : "give the paper another profile, or leave it out and let the "
                                  "print path convert");
    return code;
}

/* ------------------------------------------------ facts */

typedef struct paper_ways {
    tw_colour *to_paper, *to_lab, *to_measured;
} paper_ways;

static void close_ways(paper_ways *ways) {
    tw_colour_close(ways->to_paper);
    tw_colour_close(ways->to_lab);
    tw_colour_close(ways->to_measured);
}

static tw_code open_ways(const tw_allocator *allocator, tw_icc icc, paper_ways *ways,
                         tw_error *error) {
    const tw_icc lab = {NULL, 0};
    const tw_colour_way there = {lab, icc, TW_RELATIVE, false, 0};
    const tw_colour_way back = {icc, lab, TW_RELATIVE, false, 0};
    const tw_colour_way measured = {icc, lab, TW_ABSOLUTE, false, 0};
    tw_code code = tw_colour_open(allocator, &there, &ways->to_paper, error);
    if (code == TW_OK)
        code = tw_colour_open(allocator, &back, &ways->to_lab, error);
    if (code == TW_OK)
        code = tw_colour_open(allocator, &measured, &ways->to_measured, error);
    return code;
}

static tw_lab there_and_back(const paper_ways *ways, tw_lab lab, const tw_colour *back) {
    uint16_t samples[4];
    tw_lab seen;
    tw_colour_run(ways->to_paper, &lab, samples, 1);
    tw_colour_run(back, samples, &seen, 1);
    return seen;
}

/* The device's own white: no ink, all light. What L* 100 is printed with may have some ink in it,
 * where the profile's tables have no node at white. */
static tw_lab white_measured(tw_icc icc, const paper_ways *ways) {
    bool inks = memcmp(icc.bytes + 16, "CMYK", 4) == 0; /* colour space: ICC.1:2010, 7.2.8 */
    uint16_t samples[4];
    tw_lab seen;
    memset(samples, inks ? 0 : 0xFF, sizeof samples);
    tw_colour_run(ways->to_measured, samples, &seen, 1);
    return seen;
}

enum {
    GRID = 4,
    HALF = 32,
    ACROSS = 2 * HALF
};               /* of L*a*b*: a step of the grid, points along a* and b* */
#define NEAR 1.0 /* units a colour of the gamut may come back astray */

/* Points of one level of lightness that come back as they went. */
static size_t count_level(const paper_ways *ways, double l, tw_lab *points, tw_lab *seen,
                          uint16_t *samples) {
    size_t count = 0, inside = 0;
    for (int a = 0; a < ACROSS; a++)
        for (int b = 0; b < ACROSS; b++)
            points[count++] = (tw_lab){l, (a - HALF) * (double)GRID, (b - HALF) * (double)GRID};
    tw_colour_run(ways->to_paper, points, samples, count);
    tw_colour_run(ways->to_lab, samples, seen, count);
    for (size_t i = 0; i < count; i++) {
        double dl = points[i].l - seen[i].l, da = points[i].a - seen[i].a;
        double db = points[i].b - seen[i].b;
        inside += dl * dl + da * da + db * db <= NEAR * NEAR;
    }
    return inside;
}

static tw_code measure_volume(const tw_allocator *allocator, const paper_ways *ways, double *out,
                              tw_error *error) {
    const size_t count = (size_t)ACROSS * ACROSS;
    unsigned char *block =
        tw_block_new(allocator, count * (2 * sizeof(tw_lab) + 4 * sizeof(uint16_t)));
    size_t inside = 0;
    if (block == NULL)
        return tw_no_memory(error);
    tw_lab *points = (tw_lab *)(void *)block, *seen = points + count;
    for (int l = GRID / 2; l < 100; l += GRID)
        inside += count_level(ways, l, points, seen, (uint16_t *)(void *)(seen + count));
    *out = (double)inside * GRID * GRID * GRID;
    tw_block_free(allocator, block);
    return TW_OK;
}

static tw_code read_facts(const tw_allocator *allocator, tw_icc icc, bool volume, tw_icc_facts *out,
                          tw_error *error) {
    const tw_lab black = {0, 0, 0};
    paper_ways ways = {NULL, NULL, NULL};
    *out = (tw_icc_facts){0};
    tw_code code = tw_icc_check(allocator, icc, TW_ICC_PAPER, 0, "the profile", error);
    if (code == TW_OK)
        code = open_ways(allocator, icc, &ways, error);
    if (code == TW_OK) {
        out->white = white_measured(icc, &ways);
        out->black = there_and_back(&ways, black, ways.to_measured);
        if (volume)
            code = measure_volume(allocator, &ways, &out->gamut_volume, error);
    }
    close_ways(&ways);
    return code;
}

tw_code tw_icc_ends_read(const tw_allocator *allocator, tw_icc icc, tw_icc_facts *out,
                         tw_error *error) {
    return read_facts(allocator, icc, false, out, error);
}

tw_code tw_icc_facts_read(const tw_allocator *allocator, tw_icc icc, tw_icc_facts *out,
                          tw_error *error) {
    return read_facts(allocator, icc, true, out, error);
}
