/*
 * A deflated tile of a TIFF unpacked and held to its check sum (RFC 1950), which libtiff does not
 * look at: it is the only sign of most damage.
 */
#define ZLIB_CONST /* next_in is const */
#include "output/rows_tiff.h"

#include <zlib.h>

enum { SCRAP = 4096 };

struct tw_tiff_tile {
    const tw_allocator *allocator;
    z_stream zlib;
    bool started;
    unsigned char *raw;
    size_t room;
};

static void *zlib_take(void *context, uInt count, uInt size) {
    return tw_block_new(context, (size_t)count * size);
}

static void zlib_give(void *context, void *block) {
    tw_block_free(context, block);
}

tw_tiff_tile *tw_tiff_tile_new(const tw_allocator *allocator) {
    tw_tiff_tile *tile = tw_block_new(allocator, sizeof *tile);
    if (tile == NULL)
        return NULL;
    tile->allocator = allocator;
    tile->zlib.zalloc = zlib_take;
    tile->zlib.zfree = zlib_give;
    tile->zlib.opaque = (void *)allocator;
    tile->started = inflateInit(&tile->zlib) == Z_OK;
    if (tile->started)
        return tile;
    tw_tiff_tile_free(tile);
    return NULL;
}

unsigned char *tw_tiff_tile_room(tw_tiff_tile *tile, size_t bytes) {
    if (bytes <= tile->room)
        return tile->raw;
    tw_block_free(tile->allocator, tile->raw);
    tile->raw = tw_block_new(tile->allocator, bytes);
    tile->room = tile->raw == NULL ? 0 : bytes;
    return tile->raw;
}

/* Rows nobody asked for may follow, as in strips: up to as many again. */
static int pass_over(tw_tiff_tile *tile, size_t most) {
    unsigned char scrap[SCRAP];
    int result = Z_BUF_ERROR;
    for (size_t passed = 0; result == Z_BUF_ERROR && passed <= most; passed += SCRAP) {
        tile->zlib.next_out = scrap;
        tile->zlib.avail_out = SCRAP;
        result = inflate(&tile->zlib, Z_FINISH);
        if (tile->zlib.avail_out > 0)
            break; /* it wants more than there is, or has ended */
    }
    return result;
}

tw_code tw_tiff_tile_unpack(tw_tiff_tile *tile, size_t bytes, unsigned char *out, size_t length,
                            const char **words) {
    *words = NULL;
    (void)inflateReset(&tile->zlib);
    tile->zlib.next_in = tile->raw;
    tile->zlib.avail_in = (uInt)bytes;
    tile->zlib.next_out = out;
    tile->zlib.avail_out = (uInt)length;
    int result = inflate(&tile->zlib, Z_FINISH);
    bool filled = tile->zlib.avail_out == 0;
    if (result == Z_BUF_ERROR && filled)
        result = pass_over(tile, length);
    if (result == Z_STREAM_END && filled)
        return TW_OK;
    if (result == Z_MEM_ERROR)
        return TW_MEMORY;
    *words = result == Z_DATA_ERROR && tile->zlib.msg != NULL ? tile->zlib.msg
             : filled                                         ? "a tile does not end"
                                                              : "a tile's packed data is cut short";
    return TW_DAMAGED;
}

void tw_tiff_tile_free(tw_tiff_tile *tile) {
    if (tile == NULL)
        return;
    if (tile->started)
        (void)inflateEnd(&tile->zlib);
    tw_block_free(tile->allocator, tile->raw);
    tw_block_free(tile->allocator, tile);
}
