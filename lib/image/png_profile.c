/*
 * The ICC profile in a PNG's iCCP chunk: a name, a NUL, method 0, then zlib data (PNG, W3C,
 * clause 11.3.3.3). The chunk's CRC says the bytes came through; a profile that cannot be
 * unpacked is the writer's fault and costs the profile, not the picture.
 */
#include "image/png_facts.h"

#include "base/inflate.h"
#include "base/limits.h"

enum { NAME_MOST = 80, FIRST_ROOM = 4096 };

typedef struct unpacking {
    tw_inflate *inflate;
    const tw_allocator *allocator;
    unsigned char *bytes; /* owned */
    size_t length, room;
    const char *problem;
} unpacking;

/* Name, NUL, method. *problem is set when they are not as they should be. */
static tw_code read_name(tw_png_reader *png, const char **problem, tw_error *error) {
    unsigned char byte = 1;
    int length = 0;
    tw_code code = TW_OK;
    while (code == TW_OK && byte != 0 && png->chunk.left > 0 && length++ < NAME_MOST)
        code = tw_png_bytes(&png->chunk, &byte, 1, error);
    if (code != TW_OK)
        return code;
    if (byte != 0 || length < 2)
        *problem = "the name of its profile is missing or over 79 characters long";
    else if (png->chunk.left == 0)
        *problem = "its profile is empty";
    else
        code = tw_png_bytes(&png->chunk, &byte, 1, error);
    if (code == TW_OK && *problem == NULL && byte != 0)
        *problem = "its profile is packed by an unknown method";
    return code;
}

static tw_code make_room(unpacking *un, tw_error *error) {
    if (un->length < un->room)
        return TW_OK;
    if (un->room >= TW_ICC_BYTES_MOST + 1) {
        un->problem = "its profile is over 32 MiB long";
        return TW_OK;
    }
    size_t room = un->room == 0 ? FIRST_ROOM : un->room * 2;
    if (room > TW_ICC_BYTES_MOST + 1)
        room = TW_ICC_BYTES_MOST + 1;
    unsigned char *bytes = tw_block_resize(un->allocator, un->bytes, un->length, room);
    if (bytes == NULL)
        return tw_no_memory(error);
    un->bytes = bytes;
    un->room = room;
    return TW_OK;
}

static tw_code unpack_piece(unpacking *un, const unsigned char *bytes, size_t count,
                            tw_error *error) {
    tw_inflate_give(un->inflate, bytes, count);
    while (!tw_inflate_ended(un->inflate)) {
        tw_code code = make_room(un, error);
        if (code != TW_OK || un->problem != NULL)
            return code;
        size_t room = un->room - un->length, got = 0;
        code = tw_inflate_some(un->inflate, un->bytes + un->length, room, &got, error);
        un->length += got;
        if (code == TW_DAMAGED)
            un->problem = "its profile cannot be unpacked";
        if (code != TW_OK)
            return code == TW_DAMAGED ? TW_OK : code;
        if (got < room)
            return TW_OK; /* it wants more */
    }
    return TW_OK;
}

static tw_code unpack(tw_png_reader *png, unpacking *un, tw_error *error) {
    const unsigned char *bytes;
    size_t got = 1;
    tw_code code = TW_OK;
    while (code == TW_OK && un->problem == NULL && !tw_inflate_ended(un->inflate) && got > 0) {
        code = tw_png_some(&png->chunk, SIZE_MAX, &bytes, &got, error);
        if (code == TW_OK && got > 0)
            code = unpack_piece(un, bytes, got, error);
    }
    if (code == TW_OK && un->problem == NULL && !tw_inflate_ended(un->inflate))
        un->problem = "its profile is cut short";
    return code;
}

static tw_code unpack_and_keep(tw_png_reader *png, tw_error *error) {
    unpacking un = {.allocator = tw_arena_allocator(png->arena)};
    tw_code code = tw_inflate_new(un.allocator, &un.inflate, error);
    if (code == TW_OK)
        code = unpack(png, &un, error);
    if (code == TW_OK && un.problem == NULL)
        code = tw_image_set_profile(png->arena, png->image, un.bytes, un.length, error);
    else if (code == TW_OK)
        png->image->profile_problem = un.problem;
    tw_inflate_free(un.inflate);
    tw_block_free(un.allocator, un.bytes);
    return code;
}

tw_code tw_png_profile(tw_png_reader *png, tw_error *error) {
    /* A second profile and one after the image data mean nothing. */
    if (png->has_profile || png->data_began)
        return TW_OK;
    png->has_profile = true;
    const char *problem = NULL;
    tw_code code = read_name(png, &problem, error);
    if (code != TW_OK || problem == NULL)
        return code == TW_OK ? unpack_and_keep(png, error) : code;
    png->image->profile_problem = problem;
    return TW_OK;
}
