/*
 * Facts of a PNG from its chunks alone. The walk goes from the signature to IEND, so that a file
 * cut short shows at once; every chunk's CRC is checked but IDAT's, whose bytes are verified when
 * they stream into the sheet. PNG (W3C, second edition), clause 5 for the structure, 11 for the
 * chunks; eXIf and cICP as the third edition has them.
 */
#include "image/png_facts.h"

#include <string.h>
#include <zlib.h>

#include "base/length.h"
#include "base/limits.h"

enum { GREY = 0, TRUECOLOUR = 2, PALETTE = 3, GREY_ALPHA = 4, TRUECOLOUR_ALPHA = 6 };
enum { EXIF_MOST = 1 << 20 }; /* a larger block is passed over: what we want lies in its start */

static tw_code damaged(const tw_png_reader *png, tw_error *error, const char *words) {
    return tw_fail(error, TW_DAMAGED, "image-damaged", "the PNG's \"%s\" chunk at byte %lld %s",
                   png->chunk.type, (long long)png->chunk.at, words);
}

static int depth_is_allowed(int type, int depth) {
    static const struct {
        int type, depths;
    } table[] = {{GREY, 1 | 2 | 4 | 8 | 16}, /* clause 11.2.2, Table 11.1; the depths */
                 {TRUECOLOUR, 8 | 16},       /* are powers of two, so a set of them is */
                 {PALETTE, 1 | 2 | 4 | 8},   /* a sum */
                 {GREY_ALPHA, 8 | 16},
                 {TRUECOLOUR_ALPHA, 8 | 16}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        if (table[i].type == type)
            return (depth & (depth - 1)) == 0 && (depth & table[i].depths) != 0;
    return 0;
}

static tw_code read_header(tw_png_reader *png, tw_error *error) {
    unsigned char bytes[13];
    if (png->chunk.length != sizeof bytes)
        return damaged(png, error, "is not 13 bytes long");
    tw_code code = tw_png_bytes(&png->chunk, bytes, sizeof bytes, error);
    if (code == TW_OK)
        code = tw_png_close_chunk(&png->chunk, error); /* before anything in it is believed */
    if (code != TW_OK)
        return code;
    int depth = bytes[8], type = bytes[9];
    if (!depth_is_allowed(type, depth) || bytes[10] != 0 || bytes[11] != 0 || bytes[12] > 1)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the PNG's header asks for colour type %d, depth %d, compression %d, filter "
                       "%d, interlace %d: there is no such kind",
                       type, depth, bytes[10], bytes[11], bytes[12]);
    png->colour_type = type;
    png->image->format = TW_PNG;
    png->image->depth = depth;
    png->image->space = type == GREY || type == GREY_ALPHA ? TW_GREY : TW_RGB;
    png->image->palette = type == PALETTE;
    png->image->alpha = type == GREY_ALPHA || type == TRUECOLOUR_ALPHA;
    png->image->interlaced = bytes[12] == 1;
    return tw_image_set_size(png->image, tw_big32(bytes), tw_big32(bytes + 4), error);
}

static tw_code read_palette(tw_png_reader *png, tw_error *error) {
    size_t most = png->colour_type == PALETTE ? (size_t)3 << png->image->depth : 768;
    if (png->image->palette_size > 0 || png->image->data_bytes > 0)
        return damaged(png, error, "stands where none may be");
    if (png->colour_type == GREY || png->colour_type == GREY_ALPHA)
        return damaged(png, error, "may not be in a grey image");
    if (png->chunk.length == 0 || png->chunk.length % 3 != 0 || png->chunk.length > most)
        return damaged(png, error, "holds a wrong number of colours");
    unsigned char *palette = tw_arena_take(png->arena, png->chunk.length);
    if (palette == NULL)
        return tw_no_memory(error);
    png->image->palette_size = (int)(png->chunk.length / 3);
    png->image->palette_bytes = palette;
    return tw_png_bytes(&png->chunk, palette, png->chunk.length, error);
}

/* Clause 11.3.2.1. With an alpha channel the chunk is forbidden and means nothing. */
static tw_code read_transparency(tw_png_reader *png, tw_error *error) {
    size_t entries = (size_t)png->image->palette_size;
    if (png->colour_type == GREY_ALPHA || png->colour_type == TRUECOLOUR_ALPHA)
        return TW_OK;
    if (png->image->data_bytes > 0 || png->has_transparency)
        return damaged(png, error, "stands where none may be");
    bool fits = png->colour_type == GREY ? png->chunk.length == 2
                : png->colour_type == TRUECOLOUR
                    ? png->chunk.length == 6
                    : png->chunk.length > 0 && png->chunk.length <= entries;
    if (!fits)
        return damaged(png, error, "has a wrong length");
    png->has_transparency = true;
    png->image->alpha = png->colour_type == PALETTE;
    png->image->transparent_key = png->colour_type != PALETTE;
    return TW_OK;
}

/* Clause 11.3.5.3: pixels per unit on each axis, unit 1 = metre, 0 = only the ratio. */
static tw_code read_density(tw_png_reader *png, tw_error *error) {
    unsigned char bytes[9];
    if (png->chunk.length != sizeof bytes || png->image->density_x > 0)
        return TW_OK;
    tw_code code = tw_png_bytes(&png->chunk, bytes, sizeof bytes, error);
    if (code != TW_OK)
        return code;
    uint32_t x = tw_big32(bytes), y = tw_big32(bytes + 4);
    if (x == 0 || y == 0)
        return TW_OK;
    if (bytes[8] == 1) {
        png->image->density_x = x;
        png->image->density_y = y;
    } else if (bytes[8] == 0) {
        png->image->aspect_x = x;
        png->image->aspect_y = y;
    }
    return TW_OK;
}

static tw_code read_exif(tw_png_reader *png, tw_error *error) {
    if (png->exif != NULL || png->chunk.length > EXIF_MOST || png->chunk.length == 0)
        return TW_OK;
    png->exif = tw_block_new(tw_arena_allocator(png->arena), png->chunk.length);
    if (png->exif == NULL)
        return tw_no_memory(error);
    png->exif_length = png->chunk.length;
    return tw_png_bytes(&png->chunk, png->exif, png->chunk.length, error);
}

/* Clause 5.6: all IDAT chunks follow one another. Their bytes are only hopped over. */
static tw_code read_data(tw_png_reader *png, tw_error *error) {
    if (png->colour_type == PALETTE && png->image->palette_size == 0)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the PNG's colours are numbered but it has no palette");
    if (png->data_ended)
        return damaged(png, error, "does not follow the image data before it");
    if (!png->data_began)
        png->image->data_at = png->chunk.at;
    png->data_began = true;
    png->image->data_bytes += png->chunk.length;
    tw_png_hop(&png->chunk);
    return TW_OK;
}

static tw_code read_end(tw_png_reader *png, tw_error *error) {
    png->ended = true;
    return png->chunk.length == 0 ? TW_OK : damaged(png, error, "is not empty");
}

static tw_code read_chunk(tw_png_reader *png, tw_error *error) {
    static const struct {
        char type[5];
        tw_code (*read)(tw_png_reader *, tw_error *);
    } readers[] = {
        {"PLTE", read_palette},       {"tRNS", read_transparency}, {"pHYs", read_density},
        {"cICP", tw_png_code_points}, {"iCCP", tw_png_profile},    {"sRGB", tw_png_srgb},
        {"gAMA", tw_png_gamma},       {"cHRM", tw_png_places},     {"eXIf", read_exif},
        {"IDAT", read_data},          {"IEND", read_end}};
    for (size_t i = 0; i < sizeof readers / sizeof *readers; i++)
        if (strcmp(png->chunk.type, readers[i].type) == 0)
            return readers[i].read(png, error);
    /* Clause 5.4: a capital first letter marks what one must understand to show the image. */
    if (strcmp(png->chunk.type, "IHDR") == 0)
        return damaged(png, error, "is a second header");
    if ((png->chunk.type[0] & 0x20) == 0)
        return damaged(png, error, "is of a kind this program does not know and may not pass over");
    return TW_OK;
}

/* Deflate cannot make more than 1032 bytes of one (zlib's technical notes): image data too short
 * for the pixels the header promises shows here, before paper is planned for them. */
static tw_code check_data(tw_png_reader *png, tw_error *error) {
    static const int channels[] = {
        [GREY] = 1, [TRUECOLOUR] = 3, [PALETTE] = 1, [GREY_ALPHA] = 2, [TRUECOLOUR_ALPHA] = 4};
    const tw_image *image = png->image;
    int64_t bits = (int64_t)image->width * channels[png->colour_type] * image->depth;
    int64_t raw = ((bits + 7) / 8) * image->height;
    if (!png->data_began)
        return tw_fail(error, TW_DAMAGED, "image-damaged", "the PNG holds no image data");
    if (image->data_bytes < 2 || image->data_bytes < raw / 1032)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the PNG's image data is %lld bytes, too few for %lu x %lu pixels",
                       (long long)image->data_bytes, (unsigned long)image->width,
                       (unsigned long)image->height);
    return TW_OK;
}

static tw_code walk(tw_png_reader *png, tw_error *error) {
    tw_code code = tw_png_signature(&png->chunk, error);
    if (code == TW_OK)
        code = tw_png_open_chunk(&png->chunk, error);
    if (code == TW_OK && strcmp(png->chunk.type, "IHDR") != 0)
        return damaged(png, error, "stands before the header");
    if (code == TW_OK)
        code = read_header(png, error);
    while (code == TW_OK && !png->ended) {
        code = tw_png_open_chunk(&png->chunk, error);
        if (code == TW_OK && png->data_began && strcmp(png->chunk.type, "IDAT") != 0)
            png->data_ended = true;
        if (code == TW_OK)
            code = read_chunk(png, error);
        if (code == TW_OK)
            code = tw_png_close_chunk(&png->chunk, error);
    }
    return code == TW_OK ? check_data(png, error) : code;
}

/* All that pixels need was read, and some of them are there. */
static bool is_at_pixels(const tw_png_reader *png) {
    bool begun = png->data_began || strcmp(png->chunk.type, "IDAT") == 0;
    return begun && (!png->image->palette || png->image->palette_size > 0);
}

tw_code tw_png_read(tw_arena *arena, int descriptor, int64_t size, tw_image *out, tw_error *error) {
    tw_png_reader png = {.arena = arena, .image = out};
    tw_source_start(&png.chunk.source, descriptor, size, png.window, sizeof png.window);
    tw_code code = walk(&png, error);
    if (code == TW_DAMAGED && is_at_pixels(&png))
        code = tw_image_keep_damage(arena, out, error);
    if (code == TW_OK)
        code = tw_png_colours(&png, error);
    if (code == TW_OK && png.exif != NULL)
        tw_image_set_exif(out, png.exif, png.exif_length);
    tw_block_free(tw_arena_allocator(arena), png.exif);
    return code;
}
