/*
 * Rows of a TIFF through libtiff: packed strips, and tiles of any kind. Only this file includes
 * tiffio.h. Reading and messages go through functions of our own (TIFFClientOpenExt with options,
 * so that nothing global is set); libtiff takes its own memory, no block of it over
 * TW_TIFF_BLOCK_MOST. A warning while rows are decoded counts as damage: pixels were made up.
 *
 * libtiff unpacks strips in order only, so each plane of a separate picture has a handle of its
 * own. Tiles are unpacked a row of them at a time, deflated ones by tiff_tile.c.
 */
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <tiffio.h>

#include "base/limits.h"
#include "image/tiff_rows.h"

typedef struct handle {
    tw_tiff_packed *packed;
    TIFF *tiff;
    int64_t at;
    uint32_t y;    /* the row that comes next */
    uint64_t band; /* the number of the tiles in hand, and one */
} handle;

struct tw_tiff_packed {
    const tw_allocator *allocator;
    const tw_image_file *file;
    size_t count, row_bytes;
    handle *planes;
    unsigned char *band, *tile; /* NULL: strips */
    size_t tile_bytes, tile_row, band_bytes;
    tw_tiff_tile *inflater; /* of deflated tiles */
    bool opened;            /* before that warnings are of no account */
    char words[160];        /* what libtiff said first */
    int failed_read;        /* errno of it */
};

/* ------------------------------------------------ callbacks */

static tmsize_t read_bytes(thandle_t client, void *bytes, tmsize_t count) {
    handle *own = client;
    const tw_image_file *file = own->packed->file;
    tmsize_t got = 0;
    while (got < count) {
        ssize_t some = pread(file->descriptor, (unsigned char *)bytes + got, (size_t)(count - got),
                             (off_t)(own->at + got));
        if (some < 0 && errno == EINTR)
            continue;
        if (some < 0)
            own->packed->failed_read = errno;
        if (some <= 0)
            break;
        got += some;
    }
    own->at += got;
    return got;
}

static tmsize_t write_bytes(thandle_t client, void *bytes, tmsize_t count) {
    (void)client;
    (void)bytes;
    (void)count;
    return -1;
}

static toff_t seek(thandle_t client, toff_t offset, int from) {
    handle *own = client;
    int64_t base = from == SEEK_CUR   ? own->at
                   : from == SEEK_END ? own->packed->file->image->bytes
                                      : 0;
    if (offset > (toff_t)INT64_MAX / 2)
        return (toff_t)-1;
    own->at = base + (int64_t)offset;
    return (toff_t)own->at;
}

static int close_nothing(thandle_t client) {
    (void)client;
    return 0;
}

static toff_t size_of(thandle_t client) {
    const handle *own = client;
    return (toff_t)own->packed->file->image->bytes;
}

static int keep_words(TIFF *tiff, void *context, const char *module, const char *format,
                      va_list values) {
    tw_tiff_packed *packed = context;
    (void)tiff;
    (void)module;
    if (packed->words[0] == '\0')
        (void)vsnprintf(packed->words, sizeof packed->words, format, values);
    return 1; /* said: nothing goes to the standard error */
}

static int keep_warning(TIFF *tiff, void *context, const char *module, const char *format,
                        va_list values) {
    const tw_tiff_packed *packed = context;
    return packed->opened ? keep_words(tiff, context, module, format, values) : 1;
}

/* ------------------------------------------------ opening */

static tw_code say(const tw_tiff_packed *packed, uint32_t y, tw_error *error) {
    const char *words = packed->words[0] == '\0' ? "it cannot be unpacked" : packed->words;
    if (packed->failed_read != 0)
        return tw_fail(error, TW_IO, "read-failed", "the file cannot be read: %s",
                       strerror(packed->failed_read));
    return tw_fail(error, TW_DAMAGED, "image-damaged", "the TIFF is damaged in row %lu: %s",
                   (unsigned long)y, words);
}

static uint32_t field(TIFF *tiff, uint32_t tag) {
    uint16_t value = 0;
    return TIFFGetFieldDefaulted(tiff, tag, &value) == 1 ? value : 0;
}

/* libtiff reads the tags again: both must have understood the same. */
static bool is_same(const tw_tiff_packed *packed, TIFF *tiff) {
    const tw_image *image = packed->file->image;
    const tw_tiff *facts = &image->tiff;
    uint32_t width = 0, height = 0, across = image->width, down = facts->block_height;
    (void)TIFFGetField(tiff, TIFFTAG_IMAGEWIDTH, &width);
    (void)TIFFGetField(tiff, TIFFTAG_IMAGELENGTH, &height);
    if (facts->tiled) {
        (void)TIFFGetField(tiff, TIFFTAG_TILEWIDTH, &across);
        (void)TIFFGetField(tiff, TIFFTAG_TILELENGTH, &down);
    }
    return width == image->width && height == image->height &&
           (across == facts->block_width && down == facts->block_height) &&
           field(tiff, TIFFTAG_BITSPERSAMPLE) == (uint32_t)image->depth &&
           field(tiff, TIFFTAG_SAMPLESPERPIXEL) == facts->samples &&
           field(tiff, TIFFTAG_COMPRESSION) == facts->compression &&
           (facts->samples == 1 || (field(tiff, TIFFTAG_PLANARCONFIG) == 2) == facts->separate) &&
           (TIFFIsTiled(tiff) != 0) == facts->tiled;
}

/* YCbCr comes out as RGB, by libjpeg. */
static bool set_up(const tw_tiff_packed *packed, TIFF *tiff) {
    const tw_tiff *facts = &packed->file->image->tiff;
    if (facts->photometric == PHOTOMETRIC_YCBCR &&
        TIFFSetField(tiff, TIFFTAG_JPEGCOLORMODE, JPEGCOLORMODE_RGB) != 1)
        return false;
    tmsize_t row = facts->tiled ? TIFFTileRowSize(tiff) : TIFFScanlineSize(tiff);
    size_t wanted = facts->tiled ? packed->tile_row : packed->row_bytes;
    return row > 0 && (size_t)row == wanted &&
           (!facts->tiled || (size_t)TIFFTileSize(tiff) == packed->tile_bytes);
}

static tw_code open_handle(tw_tiff_packed *packed, handle *plane, tw_error *error) {
    TIFFOpenOptions *options = TIFFOpenOptionsAlloc();
    plane->packed = packed;
    if (options == NULL)
        return tw_no_memory(error);
    TIFFOpenOptionsSetMaxSingleMemAlloc(options, (tmsize_t)TW_TIFF_BLOCK_MOST + (1 << 20));
    TIFFOpenOptionsSetErrorHandlerExtR(options, keep_words, packed);
    TIFFOpenOptionsSetWarningHandlerExtR(options, keep_warning, packed);
    plane->tiff = TIFFClientOpenExt("image", "rmc", plane, read_bytes, write_bytes, seek,
                                    close_nothing, size_of, NULL, NULL, options);
    TIFFOpenOptionsFree(options);
    if (plane->tiff == NULL)
        return say(packed, 0, error);
    if (is_same(packed, plane->tiff) && set_up(packed, plane->tiff))
        return TW_OK;
    return tw_fail(error, TW_DAMAGED, "image-damaged",
                   "the TIFF's tags contradict each other or its data");
}

/* As check_band of the facts reader foresaw. */
static tw_code take_band(tw_tiff_packed *packed, tw_error *error) {
    const tw_image *image = packed->file->image;
    const tw_tiff *facts = &image->tiff;
    size_t bits = (facts->separate ? 1 : facts->samples) * (size_t)image->depth;
    packed->tile_row = (facts->block_width * bits + 7) / 8;
    packed->tile_bytes = packed->tile_row * facts->block_height;
    size_t across = (image->width + (size_t)facts->block_width - 1) / facts->block_width;
    packed->band_bytes = across * packed->tile_bytes;
    packed->band = tw_block_new(packed->allocator, packed->count * packed->band_bytes);
    packed->tile = tw_block_new(packed->allocator, packed->tile_bytes);
    if (packed->band == NULL || packed->tile == NULL)
        return tw_no_memory(error);
    if (!tw_tiff_is_deflate(facts))
        return TW_OK;
    packed->inflater = tw_tiff_tile_new(packed->allocator);
    return packed->inflater == NULL ? tw_no_memory(error) : TW_OK;
}

tw_code tw_tiff_packed_open(const tw_allocator *allocator, const tw_image_file *file,
                            tw_tiff_packed **out, tw_error *error) {
    tw_tiff_packed *packed = tw_block_new(allocator, sizeof *packed);
    *out = packed;
    if (packed == NULL)
        return tw_no_memory(error);
    packed->allocator = allocator;
    packed->file = file;
    packed->count = tw_tiff_planes(file->image);
    packed->row_bytes = tw_tiff_row_bytes(file->image);
    packed->planes = tw_block_new(allocator, packed->count * sizeof *packed->planes);
    if (packed->planes == NULL)
        return tw_no_memory(error); /* the caller closes */
    tw_code code = file->image->tiff.tiled ? take_band(packed, error) : TW_OK;
    for (size_t i = 0; code == TW_OK && i < packed->count; i++)
        code = open_handle(packed, &packed->planes[i], error);
    packed->opened = true;
    return code;
}

/* ------------------------------------------------ rows */

/* libtiff finds and reads its bytes; check_block of the facts reader bounded them. */
static tw_code inflate_tile(tw_tiff_packed *packed, TIFF *tiff, uint32_t index, uint32_t y,
                            tw_error *error) {
    tw_error why = {.code = TW_OK};
    uint64_t bytes = TIFFGetStrileByteCount(tiff, index);
    if (bytes > TW_TIFF_BLOCK_MOST)
        return say(packed, y, error);
    unsigned char *raw = tw_tiff_tile_room(packed->inflater, (size_t)bytes + 1);
    if (raw == NULL)
        return tw_no_memory(error);
    if (TIFFReadRawTile(tiff, index, raw, (tmsize_t)bytes) != (tmsize_t)bytes)
        return say(packed, y, error);
    tw_code code = tw_tiff_tile_unpack(packed->inflater, (size_t)bytes, packed->tile,
                                       packed->tile_bytes, &why);
    if (code == TW_MEMORY)
        return tw_no_memory(error);
    if (code != TW_OK)
        return tw_fail(error, code, "image-damaged", "the TIFF is damaged in row %lu: %s",
                       (unsigned long)y, why.message);
    if (packed->file->image->tiff.predictor == 2)
        for (size_t at = 0; at < packed->tile_bytes; at += packed->tile_row)
            tw_tiff_undo_predictor(packed->file->image, packed->tile + at, packed->tile_row);
    return TW_OK;
}

static tw_code read_tile(tw_tiff_packed *packed, size_t plane, uint32_t x, uint32_t y,
                         tw_error *error) {
    TIFF *tiff = packed->planes[plane].tiff;
    if (packed->inflater != NULL)
        return inflate_tile(packed, tiff, TIFFComputeTile(tiff, x, y, 0, (uint16_t)plane), y,
                            error);
    if (TIFFReadTile(tiff, packed->tile, x, y, 0, (uint16_t)plane) < 0 || packed->words[0] != '\0')
        return say(packed, y, error);
    return TW_OK;
}

/* Tiles side by side, `band` holds whole tiles; a tile that is numbered by few bits has a width
 * of a multiple of 16 (TIFF 6.0 section 15), so that it begins at a byte. */
static tw_code fill_band(tw_tiff_packed *packed, size_t plane, uint32_t y, tw_error *error) {
    const tw_image *image = packed->file->image;
    size_t across = packed->band_bytes / packed->tile_bytes;
    size_t band_row = across * packed->tile_row;
    unsigned char *band = packed->band + plane * packed->band_bytes;
    for (size_t i = 0; i < across; i++) {
        uint32_t x = (uint32_t)i * image->tiff.block_width;
        tw_code code = read_tile(packed, plane, x, y, error);
        if (code != TW_OK)
            return code;
        for (uint32_t k = 0; k < image->tiff.block_height; k++)
            memcpy(band + k * band_row + i * packed->tile_row, packed->tile + k * packed->tile_row,
                   packed->tile_row);
    }
    return TW_OK;
}

static tw_code tile_row(tw_tiff_packed *packed, size_t plane, uint32_t y, unsigned char *row,
                        tw_error *error) {
    uint32_t inside = y % packed->file->image->tiff.block_height;
    size_t band_row = packed->band_bytes / packed->tile_bytes * packed->tile_row;
    uint64_t band = y / packed->file->image->tiff.block_height + (uint64_t)1;
    tw_code code = TW_OK;
    if (packed->planes[plane].band != band)
        code = fill_band(packed, plane, y - inside, error);
    packed->planes[plane].band = code == TW_OK ? band : 0;
    if (code == TW_OK)
        memcpy(row, packed->band + plane * packed->band_bytes + inside * band_row,
               packed->row_bytes);
    return code;
}

/* Reading goes on behind a block that failed. What libtiff and libjpeg remember of it changes what
 * they say of the next one, which must be the same as when the block is passed over. */
static tw_code open_anew(tw_tiff_packed *packed, tw_error *error) {
    tw_code code = TW_OK;
    packed->words[0] = '\0';
    packed->opened = false;
    for (size_t i = 0; code == TW_OK && i < packed->count; i++) {
        if (packed->planes[i].tiff != NULL)
            TIFFClose(packed->planes[i].tiff);
        packed->planes[i] = (handle){0};
        code = open_handle(packed, &packed->planes[i], error);
    }
    packed->opened = true;
    return code;
}

tw_code tw_tiff_packed_row(tw_tiff_packed *packed, size_t plane, uint32_t y, unsigned char *row,
                           tw_error *error) {
    handle *own = &packed->planes[plane];
    if (packed->words[0] != '\0' && y > 0 && y % packed->file->image->tiff.block_height == 0) {
        tw_code code = open_anew(packed, error);
        if (code != TW_OK)
            return code;
    }
    if (packed->band != NULL)
        return tile_row(packed, plane, y, row, error);
    uint32_t first = y - y % packed->file->image->tiff.block_height;
    for (own->y = own->y > first ? own->y : first; own->y <= y; own->y++)
        if (TIFFReadScanline(own->tiff, row, own->y, (uint16_t)plane) < 0 ||
            packed->words[0] != '\0')
            return say(packed, own->y, error);
    return TW_OK;
}

void tw_tiff_packed_close(tw_tiff_packed *packed) {
    if (packed == NULL)
        return;
    for (size_t i = 0; packed->planes != NULL && i < packed->count; i++)
        if (packed->planes[i].tiff != NULL)
            TIFFClose(packed->planes[i].tiff);
    tw_block_free(packed->allocator, packed->planes);
    tw_block_free(packed->allocator, packed->band);
    tw_block_free(packed->allocator, packed->tile);
    tw_tiff_tile_free(packed->inflater);
    tw_block_free(packed->allocator, packed);
}
