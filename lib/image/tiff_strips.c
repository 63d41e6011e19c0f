/*
 * Rows of a TIFF whose strips are stored as they are or deflated: read and inflated straight on,
 * in little memory. libtiff would take a whole strip into memory first, many writers make one
 * strip of the whole picture, and it does not look at a deflated strip's check sum (RFC 1950),
 * which is the only sign of most damage.
 */
#include "image/tiff_rows.h"

#include "base/inflate.h"

enum { WINDOW = 128 << 10 };

typedef struct plane {
    tw_source source;    /* each plane reads straight on */
    int64_t end;         /* of the strip in hand */
    uint32_t y;          /* the row that comes next there */
    tw_inflate *inflate; /* NULL: stored */
} plane;

struct tw_tiff_strips {
    const tw_allocator *allocator;
    tw_image_file *file;
    plane *planes;
    unsigned char *windows;
    unsigned char *scrap; /* a row nobody asked for */
    size_t count, row_bytes;
    bool deflated;
    bool cut; /* the last row that failed did because the file ends */
};

bool tw_tiff_is_strips(const tw_image *image) {
    bool known = image->tiff.compression == 1 || tw_tiff_is_deflate(&image->tiff);
    return known && !image->tiff.tiled;
}

/* Of a damaged image every byte before the fault is wanted: zlib stops right there, the quick road
 * a little before. */
static tw_code start_plane(tw_tiff_strips *strips, size_t index, tw_error *error) {
    plane *own = &strips->planes[index];
    tw_source_start(&own->source, strips->file->descriptor, strips->file->image->bytes,
                    strips->windows + index * WINDOW, WINDOW);
    if (!strips->deflated)
        return TW_OK;
    bool damaged = strips->file->image->damage.words != NULL;
    return damaged ? tw_inflate_new_zlib(strips->allocator, &own->inflate, error)
                   : tw_inflate_new(strips->allocator, &own->inflate, error);
}

tw_code tw_tiff_strips_open(const tw_allocator *allocator, tw_image_file *file,
                            tw_tiff_strips **out, tw_error *error) {
    tw_tiff_strips *strips = tw_block_new(allocator, sizeof *strips);
    *out = strips; /* the caller closes, also after a failure */
    if (strips == NULL)
        return tw_no_memory(error);
    strips->allocator = allocator;
    strips->file = file;
    strips->count = tw_tiff_planes(file->image);
    strips->row_bytes = tw_tiff_row_bytes(file->image);
    strips->deflated = tw_tiff_is_deflate(&file->image->tiff);
    strips->planes = tw_block_new(allocator, strips->count * sizeof *strips->planes);
    strips->windows = tw_block_new(allocator, strips->count * WINDOW);
    strips->scrap = tw_block_new(allocator, strips->row_bytes);
    if (strips->planes == NULL || strips->windows == NULL || strips->scrap == NULL)
        return tw_no_memory(error);
    tw_code code = TW_OK;
    for (size_t i = 0; code == TW_OK && i < strips->count; i++)
        code = start_plane(strips, i, error);
    return code;
}

/* ------------------------------------------------ strips */

static uint64_t rows_of_strip(const tw_image *image, uint32_t y) {
    uint32_t left = image->height - y;
    return left < image->tiff.block_height ? left : image->tiff.block_height;
}

/* At a strip's first row: where it lies, and that it holds all its rows. */
static tw_code begin_strip(tw_tiff_strips *strips, size_t index, uint32_t y, tw_error *error) {
    const tw_image *image = strips->file->image;
    const tw_tiff *tiff = &image->tiff;
    plane *own = &strips->planes[index];
    uint64_t down = (image->height + (uint64_t)tiff->block_height - 1) / tiff->block_height;
    uint64_t strip = index * down + y / tiff->block_height, at = 0, bytes = 0;
    uint64_t wanted = rows_of_strip(image, y) * strips->row_bytes;
    tw_source *source = &strips->file->source;
    tw_code code = tw_tiff_value(source, tiff, &tiff->blocks, strip, &at, error);
    if (code == TW_OK)
        code = tw_tiff_value(source, tiff, &tiff->block_bytes, strip, &bytes, error);
    if (code == TW_OK && !strips->deflated && bytes < wanted)
        code = tw_fail(error, TW_DAMAGED, "image-damaged",
                       "strip %llu of the TIFF, from row %lu, is %llu bytes long, and its rows "
                       "need %llu",
                       (unsigned long long)strip, (unsigned long)y, (unsigned long long)bytes,
                       (unsigned long long)wanted);
    own->source.at = (int64_t)at;
    own->end = (int64_t)(at + bytes);
    own->y = y;
    if (strips->deflated)
        tw_inflate_restart(own->inflate);
    return code;
}

static tw_code say(const plane *own, uint32_t y, const char *words, tw_error *error) {
    return tw_fail(error, TW_DAMAGED, "image-damaged",
                   "the TIFF is damaged in row %lu, near byte %lld: %s", (unsigned long)y,
                   (long long)(own->source.at - (int64_t)tw_inflate_left(own->inflate)), words);
}

static tw_code feed(plane *own, uint32_t y, tw_error *error) {
    int64_t left = own->end - own->source.at;
    size_t got = 0;
    if (left <= 0)
        return say(own, y, "its packed data is cut short", error);
    const unsigned char *some = NULL;
    tw_code code = tw_source_take(&own->source, (size_t)left, &some, &got, error);
    if (code == TW_OK)
        tw_inflate_give(own->inflate, some, got);
    return code;
}

/* Inflate until `row` is full or the stream ends; *got of its bytes were filled. */
static tw_code inflate_bytes(plane *own, uint32_t y, unsigned char *row, size_t length, size_t *got,
                             tw_error *error) {
    tw_error why = {.code = TW_OK};
    *got = 0;
    while (*got < length && !tw_inflate_ended(own->inflate)) {
        size_t some = 0;
        tw_code code = tw_inflate_some(own->inflate, row + *got, length - *got, &some, &why);
        if (code != TW_OK)
            return code == TW_DAMAGED ? say(own, y, why.message, error) : tw_no_memory(error);
        *got += some;
        bool wants = *got < length && tw_inflate_left(own->inflate) == 0;
        if (wants && !tw_inflate_ended(own->inflate))
            code = feed(own, y, error);
        if (code != TW_OK)
            return code;
    }
    return TW_OK;
}

/* After a strip's last row, up to its check sum. Rows nobody asked for may come first: some
 * writers fill the last strip up. */
static tw_code end_strip(tw_tiff_strips *strips, plane *own, uint32_t y, tw_error *error) {
    uint64_t more = strips->file->image->tiff.block_height;
    tw_code code = TW_OK;
    for (size_t got = 1; code == TW_OK && !tw_inflate_ended(own->inflate) && more > 0 && got > 0;
         more--)
        code = inflate_bytes(own, y, strips->scrap, strips->row_bytes, &got, error);
    if (code == TW_OK && !tw_inflate_ended(own->inflate))
        code = say(own, y, "a strip holds more rows than it should", error);
    return code;
}

/* ------------------------------------------------ rows */

void tw_tiff_undo_predictor(const tw_image *image, unsigned char *row, size_t length) {
    size_t step = image->tiff.separate ? 1 : image->tiff.samples;
    size_t high = image->tiff.swapped ? 1 : 0, low = 1 - high;
    if (image->depth == 8)
        for (size_t i = step; i < length; i++)
            row[i] = (unsigned char)(row[i] + row[i - step]);
    else
        for (size_t i = 2 * step; i + 1 < length; i += 2) {
            unsigned char *now = row + i, *before = now - 2 * step;
            unsigned value =
                ((unsigned)now[high] << 8 | now[low]) + ((unsigned)before[high] << 8 | before[low]);
            now[high] = (unsigned char)(value >> 8);
            now[low] = (unsigned char)value;
        }
}

static tw_code inflate_row(tw_tiff_strips *strips, plane *own, uint32_t y, unsigned char *row,
                           tw_error *error) {
    size_t got = 0;
    tw_code code = inflate_bytes(own, y, row, strips->row_bytes, &got, error);
    if (code == TW_OK && got < strips->row_bytes)
        code = say(own, y, "a strip holds fewer rows than it should", error);
    return code;
}

static tw_code deflated_row(tw_tiff_strips *strips, plane *own, uint32_t y, unsigned char *row,
                            tw_error *error) {
    const tw_image *image = strips->file->image;
    tw_code code = inflate_row(strips, own, y, row, error);
    if (code != TW_OK)
        return code;
    if (image->tiff.predictor == 2)
        tw_tiff_undo_predictor(image, row, strips->row_bytes);
    bool last = y + 1 == image->height || (y + 1) % image->tiff.block_height == 0;
    return last ? end_strip(strips, own, y, error) : TW_OK;
}

/* To the row wanted, which may lie in another strip: rows before it are unpacked in vain, but no
 * strip is unpacked of which no row is wanted. */
static tw_code reach(tw_tiff_strips *strips, size_t index, uint32_t y, tw_error *error) {
    plane *own = &strips->planes[index];
    uint32_t first = y - y % strips->file->image->tiff.block_height;
    bool begun = own->y > first && own->y <= y;
    tw_code code = begun ? TW_OK : begin_strip(strips, index, first, error);
    if (code != TW_OK)
        return code;
    if (!strips->deflated) {
        own->source.at += (int64_t)(y - own->y) * (int64_t)strips->row_bytes;
        own->y = y;
    }
    for (; code == TW_OK && own->y < y; own->y++)
        code = inflate_row(strips, own, own->y, strips->scrap, error);
    return code;
}

tw_code tw_tiff_strips_row(tw_tiff_strips *strips, size_t index, uint32_t y, unsigned char *row,
                           tw_error *error) {
    plane *own = &strips->planes[index];
    tw_code code = reach(strips, index, y, error);
    if (code == TW_OK) {
        own->y++;
        code = strips->deflated ? deflated_row(strips, own, y, row, error)
                                : tw_source_read(&own->source, row, strips->row_bytes, error);
    }
    strips->cut = code == TW_DAMAGED && own->source.at >= own->source.size;
    return code;
}

bool tw_tiff_strips_cut(const tw_tiff_strips *strips) {
    return strips->cut;
}

void tw_tiff_strips_close(tw_tiff_strips *strips) {
    if (strips == NULL)
        return;
    for (size_t i = 0; strips->planes != NULL && i < strips->count; i++)
        tw_inflate_free(strips->planes[i].inflate);
    tw_block_free(strips->allocator, strips->planes);
    tw_block_free(strips->allocator, strips->windows);
    tw_block_free(strips->allocator, strips->scrap);
    tw_block_free(strips->allocator, strips);
}
