/*
 * ICC profiles as ICCBased streams (ISO 32000-1, 8.6.5.5), each distinct one once a document.
 * An image without one is given sRGB, or a grey with sRGB's curve; for untagged CMYK there is
 * nothing that could be right, so it stays in the device's own space.
 */
#include "pdf/document.h"

#include "colour/srgb_profile.h"

#include <string.h>

typedef struct space {
    const char *signature; /* in the profile's header, offset 16 (ICC.1, 7.2.6) */
    int channels;
    const char *alternate;
} space;

static space space_of(tw_image_space kind) {
    if (kind == TW_GREY)
        return (space){"GRAY", 1, "/DeviceGray"};
    if (kind == TW_RGB)
        return (space){"RGB ", 3, "/DeviceRGB"};
    return (space){"CMYK", 4, "/DeviceCMYK"};
}

/* The image's own profile when it can be used; profile_problem says why not. */
static bool has_own(const tw_image *image, space kind) {
    return image->profile != NULL && image->profile_problem == NULL &&
           image->profile_length >= 132 && memcmp(image->profile + 16, kind.signature, 4) == 0;
}

static tw_code stand_in(tw_pdf *pdf, const tw_image *image, const unsigned char **bytes,
                        size_t *length) {
    tw_buffer made;
    tw_buffer_start(&made, pdf->allocator);
    if (image->space == TW_GREY)
        tw_srgb_grey_profile(&made);
    else
        tw_srgb_profile(&made);
    *bytes =
        made.failed ? NULL : (unsigned char *)tw_arena_copy(pdf->arena, made.bytes, made.length);
    *length = made.length;
    tw_buffer_free(&made);
    return *bytes == NULL ? tw_pdf_no_memory(pdf) : TW_OK;
}

static tw_code store(tw_pdf *pdf, const unsigned char *bytes, size_t length, space kind,
                     HPDF_Dict *out) {
    tw_pdf_profile *profiles = tw_arena_grow(pdf->arena, pdf->profiles, pdf->profile_count,
                                             &pdf->profile_room, sizeof *profiles);
    const char *entries =
        tw_arena_print(pdf->arena, "/N %d\n/Alternate %s\n", kind.channels, kind.alternate);
    if (profiles == NULL || entries == NULL)
        return tw_pdf_no_memory(pdf);
    pdf->profiles = profiles;
    tw_pdf_stream *stream = tw_pdf_stream_new(pdf, entries);
    if (stream == NULL)
        return pdf->failure.code;
    stream->bytes = bytes;
    stream->length = length;
    profiles[pdf->profile_count++] = (tw_pdf_profile){bytes, length, stream->dict};
    *out = stream->dict;
    return TW_OK;
}

/* The document's object for these bytes. */
static tw_code find_or_store(tw_pdf *pdf, const unsigned char *bytes, size_t length, space kind,
                             HPDF_Dict *out) {
    for (size_t i = 0; i < pdf->profile_count; i++)
        if (pdf->profiles[i].length == length &&
            memcmp(pdf->profiles[i].bytes, bytes, length) == 0) {
            *out = pdf->profiles[i].dict;
            return TW_OK;
        }
    return store(pdf, bytes, length, kind, out);
}

tw_code tw_pdf_profile_for(tw_pdf *pdf, const tw_image *image, HPDF_Dict *out) {
    space kind = space_of(image->space);
    const unsigned char *bytes = image->profile;
    size_t length = image->profile_length;
    *out = NULL;
    if (!has_own(image, kind) && image->assumed != NULL && image->assumed->bytes != NULL) {
        bytes = image->assumed->bytes;
        length = image->assumed->length;
    } else if (!has_own(image, kind)) {
        pdf->device_cmyk = pdf->device_cmyk || image->space == TW_CMYK;
        if (image->space == TW_CMYK)
            return TW_OK;
        if (stand_in(pdf, image, &bytes, &length) != TW_OK || bytes == NULL)
            return pdf->failure.code;
    }
    return find_or_store(pdf, bytes, length, kind, out);
}

/* A profile that is not an image's own, told by its header. */
static tw_code other_profile(tw_pdf *pdf, const unsigned char *bytes, size_t length,
                             HPDF_Dict *out) {
    tw_image_space kind = memcmp(bytes + 16, "GRAY", 4) == 0   ? TW_GREY
                          : memcmp(bytes + 16, "CMYK", 4) == 0 ? TW_CMYK
                                                               : TW_RGB;
    return find_or_store(pdf, bytes, length, space_of(kind), out);
}

tw_code tw_pdf_intent_profile(tw_pdf *pdf, HPDF_Dict *out) {
    return other_profile(pdf, pdf->facts.intent, pdf->facts.intent_length, out);
}

tw_code tw_pdf_paper_profile(tw_pdf *pdf, HPDF_Dict *out) {
    return other_profile(pdf, pdf->facts.colour.paper->icc, pdf->facts.colour.paper->icc_length,
                         out);
}
