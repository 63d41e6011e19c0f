/*
 * An ICC profile spread over APP2 segments of a JPEG: "ICC_PROFILE", NUL, the part's number from
 * 1, how many there are, then data (ICC.1:2010 Annex B.4). Numbers rule, not the order in the
 * file. A set that does not fit together costs the profile, not the picture.
 */
#include "image/jpeg_facts.h"

#include <string.h>

enum { PART_HEAD = 14 };

tw_code tw_jpeg_part(tw_jpeg_reader *jpeg, tw_error *error) {
    unsigned char head[PART_HEAD];
    tw_jpeg_parts *parts = &jpeg->parts;
    if (jpeg->length < sizeof head)
        return TW_OK;
    tw_code code = tw_source_read(&jpeg->source, head, sizeof head, error);
    if (code != TW_OK || memcmp(head, "ICC_PROFILE", 12) != 0)
        return code;
    unsigned number = head[12], count = head[13];
    if (parts->count == 0)
        parts->count = count;
    if (number == 0 || number > count || count != parts->count)
        parts->problem = "the parts of its profile are numbered wrongly";
    else if (parts->at[number] != 0)
        parts->problem = "a part of its profile is there twice";
    else {
        parts->at[number] = jpeg->data_at + PART_HEAD;
        parts->length[number] = jpeg->length - PART_HEAD;
    }
    return TW_OK;
}

static size_t whole_length(tw_jpeg_parts *parts) {
    size_t length = 0;
    for (unsigned i = 1; i <= parts->count; i++) {
        if (parts->at[i] == 0)
            parts->problem = "a part of its profile is missing";
        length += parts->length[i];
    }
    return length;
}

static tw_code gather(tw_jpeg_reader *jpeg, unsigned char *bytes, tw_error *error) {
    tw_code code = TW_OK;
    for (unsigned i = 1; code == TW_OK && i <= jpeg->parts.count; i++) {
        jpeg->source.at = jpeg->parts.at[i];
        code = tw_source_read(&jpeg->source, bytes, jpeg->parts.length[i], error);
        bytes += jpeg->parts.length[i];
    }
    return code;
}

tw_code tw_jpeg_profile(tw_jpeg_reader *jpeg, tw_error *error) {
    tw_jpeg_parts *parts = &jpeg->parts;
    const tw_allocator *allocator = tw_arena_allocator(jpeg->arena);
    size_t length = parts->problem == NULL ? whole_length(parts) : 0;
    jpeg->image->profile_problem = parts->problem;
    if (parts->count == 0 || parts->problem != NULL)
        return TW_OK;
    unsigned char *bytes = tw_block_new(allocator, length);
    if (bytes == NULL)
        return tw_no_memory(error);
    tw_code code = gather(jpeg, bytes, error);
    if (code == TW_OK)
        code = tw_image_set_profile(jpeg->arena, jpeg->image, bytes, length, error);
    tw_block_free(allocator, bytes);
    return code;
}
