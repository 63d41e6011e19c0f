/*
 * A deflated tile of a TIFF unpacked and held to its check sum (RFC 1950), which libtiff does not
 * look at: it is the only sign of most damage.
 */
#include "image/tiff_rows.h"

#include "base/inflate.h"

enum { SCRAP = 4096 };

struct tw_tiff_tile {
    const tw_allocator *allocator;
    tw_inflate *inflate;
    unsigned char *raw;
    size_t room;
};

tw_tiff_tile *tw_tiff_tile_new(const tw_allocator *allocator) {
    tw_tiff_tile *tile = tw_block_new(allocator, sizeof *tile);
    if (tile == NULL)
        return NULL;
    tile->allocator = allocator;
    if (tw_inflate_new(allocator, &tile->inflate, NULL) == TW_OK)
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
static tw_code pass_over(tw_tiff_tile *tile, size_t most, tw_error *error) {
    unsigned char scrap[SCRAP];
    size_t got = SCRAP;
    tw_code code = TW_OK;
    for (size_t passed = 0; code == TW_OK && got == SCRAP && passed <= most; passed += SCRAP)
        code = tw_inflate_some(tile->inflate, scrap, SCRAP, &got, error);
    if (code == TW_OK && !tw_inflate_ended(tile->inflate))
        code = tw_fail(error, TW_DAMAGED, "bad-zlib", "a tile does not end");
    return code;
}

tw_code tw_tiff_tile_unpack(tw_tiff_tile *tile, size_t bytes, unsigned char *out, size_t length,
                            tw_error *error) {
    size_t got = 0;
    tw_inflate_restart(tile->inflate);
    tw_inflate_give(tile->inflate, tile->raw, bytes);
    tw_code code = tw_inflate_some(tile->inflate, out, length, &got, error);
    if (code == TW_OK && got < length)
        code = tw_fail(error, TW_DAMAGED, "bad-zlib", "a tile's packed data is cut short");
    return code == TW_OK ? pass_over(tile, length, error) : code;
}

void tw_tiff_tile_free(tw_tiff_tile *tile) {
    if (tile == NULL)
        return;
    tw_inflate_free(tile->inflate);
    tw_block_free(tile->allocator, tile->raw);
    tw_block_free(tile->allocator, tile);
}
