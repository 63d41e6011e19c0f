/*
 * The ICC profile in a PNG's iCCP chunk: a name, a NUL, method 0, then zlib data (PNG, W3C,
 * clause 11.3.3.3). The chunk's CRC says the bytes came through; a profile that cannot be
 * unpacked is the writer's fault and costs the profile, not the picture.
 */
#define ZLIB_CONST /* next_in is const */
#include "intake/png.h"

#include <string.h>
#include <zlib.h>

#include "base/limits.h"

enum { NAME_MOST = 80, FIRST_ROOM = 4096 };

typedef struct unpacking {
    z_stream zlib;
    const tw_allocator *allocator;
    unsigned char *bytes; /* owned */
    size_t length, room;
    const char *problem;
    bool done;
} unpacking;

static void *zlib_take(void *context, uInt count, uInt size) {
    return tw_block_new(context, (size_t)count * size);
}

static void zlib_give(void *context, void *block) {
    tw_block_free(context, block);
}

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
    un->zlib.next_in = bytes;
    un->zlib.avail_in = (uInt)count;
    while (!un->done && un->problem == NULL) {
        tw_code code = make_room(un, error);
        if (code != TW_OK || un->problem != NULL)
            return code;
        uInt room = (uInt)(un->room - un->length);
        un->zlib.next_out = un->bytes + un->length;
        un->zlib.avail_out = room;
        int result = inflate(&un->zlib, Z_NO_FLUSH);
        un->length += room - un->zlib.avail_out;
        if (result == Z_MEM_ERROR)
            return tw_no_memory(error);
        un->done = result == Z_STREAM_END;
        if (result == Z_BUF_ERROR || (result == Z_OK && un->zlib.avail_out > 0))
            return TW_OK; /* it wants more */
        if (result != Z_OK && result != Z_STREAM_END)
            un->problem = "its profile cannot be unpacked";
    }
    return TW_OK;
}

static tw_code unpack(tw_png_reader *png, unpacking *un, tw_error *error) {
    const unsigned char *bytes;
    size_t got = 1;
    tw_code code = TW_OK;
    while (code == TW_OK && un->problem == NULL && !un->done && got > 0) {
        code = tw_png_some(&png->chunk, SIZE_MAX, &bytes, &got, error);
        if (code == TW_OK && got > 0)
            code = unpack_piece(un, bytes, got, error);
    }
    if (code == TW_OK && un->problem == NULL && !un->done)
        un->problem = "its profile is cut short";
    return code;
}

static tw_code unpack_and_keep(tw_png_reader *png, tw_error *error) {
    unpacking un = {.allocator = tw_arena_allocator(png->arena)};
    un.zlib.zalloc = zlib_take;
    un.zlib.zfree = zlib_give;
    un.zlib.opaque = (void *)un.allocator;
    if (inflateInit(&un.zlib) != Z_OK)
        return tw_no_memory(error);
    tw_code code = unpack(png, &un, error);
    if (code == TW_OK && un.problem == NULL)
        code = tw_image_set_profile(png->arena, png->image, un.bytes, un.length, error);
    else if (code == TW_OK)
        png->image->profile_problem = un.problem;
    (void)inflateEnd(&un.zlib);
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
