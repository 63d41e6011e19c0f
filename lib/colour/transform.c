/*
 * One transform from profile to profile (colour.h). Only pixels and plain L*a*b* values pass this
 * door; lcms2's handles stay behind it.
 */
#include "colour/lcms.h"

#include <string.h>

struct tw_colour {
    const tw_allocator *allocator;
    tw_cms cms;
    cmsHTRANSFORM transform;
    int channels;
    size_t pixel_bytes;
};

static int channels_of(cmsHPROFILE profile) {
    return (int)cmsChannelsOf(cmsGetColorSpace(profile));
}

/* lcms2's word for how pixels of this profile lie in memory. */
static cmsUInt32Number format_of(cmsHPROFILE profile, int bits, bool swapped) {
    cmsColorSpaceSignature space = cmsGetColorSpace(profile);
    if (space == cmsSigLabData)
        return TYPE_Lab_DBL;
    return COLORSPACE_SH((cmsUInt32Number)_cmsLCMScolorSpace(space)) |
           CHANNELS_SH((cmsUInt32Number)channels_of(profile)) | BYTES_SH(bits == 8 ? 1U : 2U) |
           ENDIAN16_SH(swapped ? 1U : 0U);
}

static bool is_little_endian(void) {
    const uint16_t one = 1;
    unsigned char first;
    memcpy(&first, &one, 1);
    return first == 1;
}

/* ICC.1's numbers are the enumeration's. */
static cmsUInt32Number number_of(tw_intent intent) {
    switch (intent) {
    case TW_PERCEPTUAL:
        return INTENT_PERCEPTUAL;
    case TW_SATURATION:
        return INTENT_SATURATION;
    case TW_ABSOLUTE:
        return INTENT_ABSOLUTE_COLORIMETRIC;
    default:
        return INTENT_RELATIVE_COLORIMETRIC;
    }
}

/* No cache, so that threads may share the transform; no optimising: see colour.h. Between pixels
 * its steps are wanted, which lcms2 shows (context.c) where optimising was not ruled out;
 * should it not have asked, it is asked for the plain one again. */
static cmsHTRANSFORM transform_of(tw_colour *colour, const tw_colour_way *way, cmsHPROFILE from,
                                  cmsHPROFILE to) {
    tw_cms *cms = &colour->cms;
    cmsUInt32Number flags = cmsFLAGS_NOCACHE, plain = cmsFLAGS_NOOPTIMIZE;
    cmsUInt32Number intent = number_of(way->intent);
    cmsUInt32Number in =
        format_of(from, way->bits_in == 8 ? 8 : 16, way->bits_in == 16 && is_little_endian());
    cmsUInt32Number out = format_of(to, 16, false);
    cmsHTRANSFORM made = NULL;
    if (way->black_point)
        flags |= cmsFLAGS_BLACKPOINTCOMPENSATION;
    if (way->from.bytes != NULL) {
        cms->format_in = in;
        cms->format_out = out;
        cms->bits_in = way->bits_in;
        cms->lab_out = way->to.bytes == NULL;
        made = cmsCreateTransformTHR(cms->context, from, in, to, out, intent, flags);
        if (made == NULL || cms->seen)
            return made;
        cmsDeleteTransform(made);
    }
    return cmsCreateTransformTHR(cms->context, from, in, to, out, intent, flags | plain);
}

static tw_code make(tw_colour *colour, const tw_colour_way *way, tw_error *error) {
    cmsHPROFILE from = tw_cms_profile(&colour->cms, way->from);
    cmsHPROFILE to = tw_cms_profile(&colour->cms, way->to);
    if (from != NULL && to != NULL) {
        colour->channels = channels_of(to);
        colour->pixel_bytes = way->from.bytes == NULL
                                  ? sizeof(tw_lab)
                                  : (size_t)channels_of(from) * (way->bits_in == 8 ? 1 : 2);
        colour->transform = transform_of(colour, way, from, to);
    }
    if (from != NULL)
        (void)cmsCloseProfile(from);
    if (to != NULL)
        (void)cmsCloseProfile(to);
    return colour->transform != NULL && !colour->cms.out_of_memory
               ? TW_OK
               : tw_cms_fail(&colour->cms, "the profile", error);
}

tw_code tw_colour_open(const tw_allocator *allocator, const tw_colour_way *way, tw_colour **out,
                       tw_error *error) {
    tw_colour *colour = tw_block_new(allocator, sizeof *colour);
    *out = NULL;
    if (colour == NULL)
        return tw_no_memory(error);
    colour->allocator = allocator;
    tw_code code =
        tw_cms_start(&colour->cms, allocator) ? make(colour, way, error) : tw_no_memory(error);
    if (code == TW_OK)
        *out = colour;
    else
        tw_colour_close(colour);
    return code;
}

void tw_colour_close(tw_colour *colour) {
    if (colour == NULL)
        return;
    if (colour->transform != NULL)
        cmsDeleteTransform(colour->transform);
    tw_cms_end(&colour->cms);
    tw_block_free(colour->allocator, colour);
}

int tw_colour_channels(const tw_colour *colour) {
    return colour->channels;
}

size_t tw_colour_pixel_bytes(const tw_colour *colour) {
    return colour->pixel_bytes;
}

const tw_fast *tw_colour_fast(const tw_colour *colour) {
    return colour->cms.fast;
}

void tw_colour_run(const tw_colour *colour, const void *in, void *out, size_t count) {
    const size_t most = (size_t)1 << 30;
    if (colour->cms.fast != NULL) {
        tw_fast_run(colour->cms.fast, in, out, count);
        return;
    }
    cmsDoTransform(colour->transform, in, out, (cmsUInt32Number)(count < most ? count : most));
}
