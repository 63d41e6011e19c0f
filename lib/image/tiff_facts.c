/*
 * Facts of a TIFF from its first directory: TIFF 6.0 (Adobe, 1992), classic and big, in either
 * byte order. No pixel is read; that every strip or tile lies in the file is checked.
 */
#include "image/tiff_facts.h"

#include <string.h>

#include "base/length.h"
#include "base/limits.h"

bool tw_tiff_is_deflate(const tw_tiff *tiff) {
    return tiff->compression == TW_TIFF_DEFLATE || tiff->compression == TW_TIFF_DEFLATE_OLD;
}

static tw_code number(tw_tiff_reader *reader, unsigned tag, uint64_t fallback, uint64_t most,
                      unsigned *out, tw_error *error) {
    uint64_t value = 0;
    tw_code code = tw_tiff_number(reader, tag, fallback, &value, error);
    if (code == TW_OK && value > most)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "tag %u of the TIFF is %llu, at most %llu is possible", tag,
                       (unsigned long long)value, (unsigned long long)most);
    *out = (unsigned)value;
    return code;
}

static tw_code read_size(tw_tiff_reader *reader, tw_error *error) {
    unsigned width = 0, height = 0;
    tw_code code = number(reader, TW_TAG_WIDTH, 0, UINT32_MAX, &width, error);
    if (code == TW_OK)
        code = number(reader, TW_TAG_HEIGHT, 0, UINT32_MAX, &height, error);
    return code == TW_OK ? tw_image_set_size(reader->image, width, height, error) : code;
}

/* All channels have as many bits as the first: others are refused. */
static tw_code read_bits(tw_tiff_reader *reader, tw_error *error) {
    tw_tiff_list list;
    uint64_t first = 1, other = 1;
    tw_code code = tw_tiff_find(reader, TW_TAG_BITS, &list, error);
    for (uint64_t i = 0; code == TW_OK && i < list.count && i < reader->image->tiff.samples; i++) {
        code = tw_tiff_value(&reader->source, &reader->image->tiff, &list, i,
                             i == 0 ? &first : &other, error);
        if (code == TW_OK && i > 0 && other != first) {
            (void)tw_fail(error, TW_INPUT, "image-kind",
                          "the TIFF's channels differ in depth: %llu and %llu bits",
                          (unsigned long long)first, (unsigned long long)other);
            tw_fail_hint(error, "export it with 8 or 16 bits a channel");
            return TW_INPUT;
        }
    }
    reader->image->depth = first > 0 && first <= 64 ? (int)first : 64;
    return code;
}

static tw_code read_layout(tw_tiff_reader *reader, tw_error *error) {
    tw_tiff *tiff = &reader->image->tiff;
    unsigned planar = 1;
    tw_code code = number(reader, TW_TAG_SAMPLES, 1, 64, &tiff->samples, error);
    if (code == TW_OK && tiff->samples == 0)
        return tw_fail(error, TW_DAMAGED, "image-damaged", "the TIFF says it has 0 channels");
    if (code == TW_OK)
        code = number(reader, TW_TAG_COMPRESSION, 1, 65535, &tiff->compression, error);
    if (code == TW_OK)
        code = number(reader, TW_TAG_PHOTOMETRIC, 1, 65535, &tiff->photometric, error);
    if (code == TW_OK)
        code = number(reader, TW_TAG_PREDICTOR, 1, 3, &tiff->predictor, error);
    if (code == TW_OK)
        code = number(reader, TW_TAG_PLANAR, 1, 2, &planar, error);
    tiff->separate = planar == 2 && tiff->samples > 1;
    bool predicts = tiff->compression == TW_TIFF_LZW || tw_tiff_is_deflate(tiff);
    if (tiff->predictor == 0 || !predicts)
        tiff->predictor = 1;
    return code == TW_OK ? read_bits(reader, error) : code;
}

/* ------------------------------------------------ strips and tiles */

static tw_code read_strips(tw_tiff_reader *reader, tw_error *error) {
    tw_tiff *tiff = &reader->image->tiff;
    tw_code code =
        number(reader, TW_TAG_STRIP_ROWS, UINT32_MAX, UINT32_MAX, &tiff->block_height, error);
    tiff->block_width = reader->image->width;
    if (tiff->block_height > reader->image->height)
        tiff->block_height = reader->image->height;
    if (code == TW_OK)
        code = tw_tiff_find(reader, TW_TAG_STRIPS, &tiff->blocks, error);
    if (code == TW_OK)
        code = tw_tiff_find(reader, TW_TAG_STRIP_BYTES, &tiff->block_bytes, error);
    return code;
}

static tw_code read_tiles(tw_tiff_reader *reader, tw_error *error) {
    tw_tiff *tiff = &reader->image->tiff;
    tw_code code = number(reader, TW_TAG_TILE_WIDTH, 0, 1 << 16, &tiff->block_width, error);
    if (code == TW_OK)
        code = number(reader, TW_TAG_TILE_HEIGHT, 0, 1 << 16, &tiff->block_height, error);
    if (code == TW_OK)
        code = tw_tiff_find(reader, TW_TAG_TILES, &tiff->blocks, error);
    if (code == TW_OK)
        code = tw_tiff_find(reader, TW_TAG_TILE_BYTES, &tiff->block_bytes, error);
    return code;
}

/* Where the whole picture lies, should it be one block. */
static tw_code keep_only_block(tw_tiff_reader *reader, tw_error *error) {
    const tw_tiff *tiff = &reader->image->tiff;
    uint64_t at = 0, bytes = 0;
    tw_code code = tw_tiff_value(&reader->source, tiff, &tiff->blocks, 0, &at, error);
    if (code == TW_OK)
        code = tw_tiff_value(&reader->source, tiff, &tiff->block_bytes, 0, &bytes, error);
    bool only = !tiff->tiled && !tiff->separate && tiff->block_height == reader->image->height;
    reader->image->data_at = only ? (int64_t)at : 0;
    reader->image->data_bytes = only ? (int64_t)bytes : 0;
    return code;
}

static tw_code read_blocks(tw_tiff_reader *reader, tw_error *error) {
    tw_tiff *tiff = &reader->image->tiff;
    tw_tiff_list tiles;
    tw_code code = tw_tiff_find(reader, TW_TAG_TILES, &tiles, error);
    if (code != TW_OK)
        return code;
    tiff->tiled = tiles.count > 0;
    code = tiff->tiled ? read_tiles(reader, error) : read_strips(reader, error);
    if (code == TW_OK && (tiff->block_width == 0 || tiff->block_height == 0))
        code = tw_fail(error, TW_DAMAGED, "image-damaged", "the TIFF's %ss are %u x %u pixels",
                       tiff->tiled ? "tile" : "strip", tiff->block_width, tiff->block_height);
    if (code == TW_OK)
        code = tw_tiff_check_data(reader, error);
    return code == TW_OK ? keep_only_block(reader, error) : code;
}

/* ------------------------------------------------ colours */

/* Three rows of 16-bit values, red first (TIFF 6.0 section 5). Writers of old put 8-bit values
 * there: a map without any larger one is taken for such (common practice). */
static tw_code read_map(tw_tiff_reader *reader, tw_error *error) {
    tw_image *image = reader->image;
    size_t count = (size_t)1 << image->depth;
    uint64_t value = 0, highest = 0;
    uint16_t map[3 * 256];
    tw_tiff_list list;
    tw_code code = tw_tiff_find(reader, TW_TAG_COLOUR_MAP, &list, error);
    if (code == TW_OK && list.count < 3 * count)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the TIFF's palette has %llu values, and %zu are needed",
                       (unsigned long long)list.count, 3 * count);
    for (size_t i = 0; code == TW_OK && i < 3 * count; i++) {
        code = tw_tiff_value(&reader->source, &image->tiff, &list, i, &value, error);
        map[i] = (uint16_t)value;
        highest = map[i] > highest ? map[i] : highest;
    }
    unsigned char *bytes = code == TW_OK ? tw_arena_take(reader->arena, 3 * count) : NULL;
    if (bytes == NULL)
        return code == TW_OK ? tw_no_memory(error) : code;
    for (size_t i = 0; i < 3 * count; i++)
        bytes[i] = (unsigned char)(map[i % 3 * count + i / 3] >> (highest > 255 ? 8 : 0));
    image->palette_bytes = bytes;
    image->palette_size = (int)count;
    return TW_OK;
}

/* 1: colours multiplied by it; 2: beside them; 0: unknown, not looked at (TIFF 6.0 section 18). */
static tw_code read_extra(tw_tiff_reader *reader, unsigned colours, tw_error *error) {
    tw_tiff *tiff = &reader->image->tiff;
    uint64_t first = 0;
    if (tiff->samples < colours)
        return tw_fail(error, TW_DAMAGED, "image-damaged",
                       "the TIFF has %u channels, and its colours need %u", tiff->samples, colours);
    tiff->extra = tiff->samples - colours;
    if (tiff->extra == 0 || reader->image->palette)
        return TW_OK;
    tw_code code = tw_tiff_number(reader, TW_TAG_EXTRA_SAMPLES, 0, &first, error);
    reader->image->alpha = first == 1 || first == 2;
    tiff->multiplied = first == 1;
    return code;
}

static tw_code read_colours(tw_tiff_reader *reader, tw_error *error) {
    static const unsigned channels[] = {1, 1, 3, 1, 0, 4, 3};
    static const tw_image_space spaces[] = {TW_GREY, TW_GREY, TW_RGB, TW_RGB,
                                            TW_RGB,  TW_CMYK, TW_RGB};
    tw_image *image = reader->image;
    image->space = spaces[image->tiff.photometric];
    image->palette = image->tiff.photometric == 3;
    image->tiff.white_is_zero = image->tiff.photometric == 0;
    if (image->palette && image->depth > 8) {
        (void)tw_fail(error, TW_INPUT, "image-kind", "the TIFF's palette is numbered by %d bits",
                      image->depth);
        tw_fail_hint(error, "export it in RGB");
        return TW_INPUT;
    }
    tw_code code = image->palette ? read_map(reader, error) : TW_OK;
    return code == TW_OK ? read_extra(reader, channels[image->tiff.photometric], error) : code;
}

static tw_code read_profile(tw_tiff_reader *reader, tw_error *error) {
    const tw_allocator *allocator = tw_arena_allocator(reader->arena);
    tw_tiff_list list;
    tw_code code = tw_tiff_find(reader, TW_TAG_ICC, &list, error);
    if (code != TW_OK || list.count == 0)
        return code;
    if (list.count > TW_ICC_BYTES_MOST) {
        reader->image->profile_problem = "its profile is over 32 MiB long";
        return TW_OK;
    }
    unsigned char *bytes = tw_block_new(allocator, (size_t)list.count);
    if (bytes == NULL)
        return tw_no_memory(error);
    reader->source.at = list.at;
    code = tw_source_read(&reader->source, bytes, (size_t)list.count, error);
    if (code == TW_OK)
        code = tw_image_set_profile(reader->arena, reader->image, bytes, (size_t)list.count, error);
    tw_block_free(allocator, bytes);
    return code;
}

/* ------------------------------------------------ the rest */

static tw_code read_density(tw_tiff_reader *reader, tw_error *error) {
    tw_image *image = reader->image;
    uint32_t over[2] = {0}, under[2] = {0};
    uint64_t unit = 2;
    tw_code code = tw_tiff_number(reader, TW_TAG_RESOLUTION_UNIT, 2, &unit, error);
    if (code == TW_OK)
        code = tw_tiff_ratio(reader, TW_TAG_X_RESOLUTION, &over[0], &under[0], error);
    if (code == TW_OK)
        code = tw_tiff_ratio(reader, TW_TAG_Y_RESOLUTION, &over[1], &under[1], error);
    if (code != TW_OK)
        return code;
    int64_t x = tw_per_metre(over[0], under[0], unit), y = tw_per_metre(over[1], under[1], unit);
    if (x > 0 && y > 0) {
        image->density_x = x;
        image->density_y = y;
    }
    return TW_OK;
}

static tw_code read_orientation(tw_tiff_reader *reader, tw_error *error) {
    uint64_t value = 1;
    tw_code code = tw_tiff_number(reader, TW_TAG_ORIENTATION, 1, &value, error);
    reader->image->orientation = value >= 1 && value <= 8 ? (int)value : 1;
    return code;
}

tw_code tw_tiff_read(tw_arena *arena, int descriptor, int64_t size, tw_image *out,
                     tw_error *error) {
    typedef tw_code (*step)(tw_tiff_reader *, tw_error *);
    static const step steps[] = {tw_tiff_open, read_layout,  tw_tiff_check_kind,
                                 read_size,    read_colours, read_blocks,
                                 read_profile, read_density, read_orientation};
    tw_tiff_reader reader = {.arena = arena, .image = out};
    tw_code code = TW_OK;
    tw_source_start(&reader.source, descriptor, size, reader.window, sizeof reader.window);
    out->format = TW_TIFF;
    for (size_t i = 0; code == TW_OK && i < sizeof steps / sizeof *steps; i++)
        code = steps[i](&reader, error);
    return code == TW_OK ? tw_tiff_pages(&reader, &out->pages, error) : code;
}
