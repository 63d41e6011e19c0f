/*
 * Rows of a TIFF (rows.h): the file's own rows, from strips (tiff_strips.c) or
 * through libtiff (tiff_packed.c), made into pixels: planes woven together, extra channels left
 * out, 16 bits with the high byte first, white-is-zero turned round, palettes and few bits opened
 * out.
 */
#include "image/tiff_rows.h"

#include <string.h>

#include "image/rows.h"

typedef struct tiff_rows {
    tw_rows rows;
    tw_image_file file;
    tw_tiff_strips *strips;
    tw_tiff_packed *packed; /* one of the two */
    unsigned char *raw;     /* a row of each plane */
    bool stored;            /* numbers and few bits stay */
    bool swap;              /* raw 16-bit samples have the low byte first */
    size_t planes, raw_bytes;
} tiff_rows;

size_t tw_tiff_row_bytes(const tw_image *image) {
    size_t samples = image->tiff.separate ? 1 : image->tiff.samples;
    return (image->width * samples * (size_t)image->depth + 7) / 8;
}

static size_t channels_of(const tw_image *image) {
    static const size_t channels[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};
    return image->palette ? 1 : channels[image->space];
}

size_t tw_tiff_planes(const tw_image *image) {
    return image->tiff.separate ? channels_of(image) + image->alpha : 1;
}

static void set_form(tw_rows_form *form, const tw_image *image, bool stored) {
    bool numbers = stored && image->palette;
    *form = (tw_rows_form){.width = image->width,
                           .height = image->height,
                           .space = numbers ? TW_GREY : image->space,
                           .channels = image->palette && !stored ? 3 : (int)channels_of(image),
                           .bits = image->depth == 16 ? 16 : 8};
    if (image->alpha)
        form->alpha = image->tiff.multiplied ? TW_ALPHA_MULTIPLIED : TW_ALPHA_STRAIGHT;
    tw_rows_form_finish(form);
}

/* ------------------------------------------------ one row */

/* 1, 2, 4 or 8 bits, the first in the high ones. */
static unsigned sample_at(const unsigned char *raw, uint32_t x, int depth) {
    unsigned a_byte = 8 / (unsigned)depth;
    unsigned shift = 8 - (unsigned)depth * (x % a_byte + 1);
    return (unsigned)raw[x / a_byte] >> shift & ((1u << depth) - 1);
}

static void open_numbers(const tiff_rows *own, unsigned char *row) {
    const tw_image *image = own->file.image;
    for (uint32_t x = 0; x < image->width; x++) {
        unsigned number = sample_at(own->raw, x, image->depth);
        if (own->stored)
            row[x] = (unsigned char)number;
        else
            memcpy(row + 3 * (size_t)x, image->palette_bytes + 3 * (size_t)number, 3);
    }
}

static void open_grey(const tiff_rows *own, unsigned char *row) {
    int depth = own->file.image->depth;
    unsigned most = (1u << depth) - 1, scale = own->stored ? 1 : 255 / most;
    unsigned turn = own->file.image->tiff.white_is_zero ? most : 0;
    for (uint32_t x = 0; x < own->rows.form.width; x++)
        row[x] = (unsigned char)((sample_at(own->raw, x, depth) ^ turn) * scale);
}

/* `count` samples of `size` bytes out of every pixel's `step` bytes. */
static void take_samples(const unsigned char *raw, size_t step, unsigned char *row,
                         const tw_rows_form *form, size_t count) {
    size_t size = form->bits == 16 ? 2 : 1;
    for (uint32_t x = 0; x < form->width; x++, raw += step, row += form->pixel_bytes)
        memcpy(row, raw, count * size);
}

static void swap_bytes(unsigned char *row, size_t length) {
    for (size_t i = 0; i + 1 < length; i += 2) {
        unsigned char high = row[i + 1];
        row[i + 1] = row[i];
        row[i] = high;
    }
}

/* 0 is white: the greys, and not the alpha beside them, turn round. */
static void turn_round(unsigned char *row, const tw_rows_form *form) {
    size_t size = form->bits == 16 ? 2 : 1;
    for (uint32_t x = 0; x < form->width; x++, row += form->pixel_bytes)
        for (size_t i = 0; i < size; i++)
            row[i] = (unsigned char)(255 - row[i]);
}

static void weave(const tiff_rows *own, unsigned char *row) {
    const tw_rows_form *form = &own->rows.form;
    const tw_tiff *tiff = &own->file.image->tiff;
    size_t size = form->bits == 16 ? 2 : 1;
    if (own->planes > 1)
        for (size_t i = 0; i < own->planes; i++)
            take_samples(own->raw + i * own->raw_bytes, size, row + i * size, form, 1);
    else if (own->raw_bytes == form->row_bytes)
        memcpy(row, own->raw, form->row_bytes);
    else
        take_samples(own->raw, tiff->samples * size, row, form, form->pixel_bytes / size);
    if (own->swap)
        swap_bytes(row, form->row_bytes);
}

static void make_pixels(const tiff_rows *own, unsigned char *row) {
    const tw_image *image = own->file.image;
    if (image->palette)
        open_numbers(own, row);
    else if (image->depth < 8)
        open_grey(own, row);
    else
        weave(own, row);
    if (image->tiff.white_is_zero && image->depth >= 8)
        turn_round(row, &own->rows.form);
}

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    tiff_rows *own = (tiff_rows *)rows;
    tw_code code = TW_OK;
    for (size_t i = 0; code == TW_OK && i < own->planes; i++) {
        unsigned char *raw = own->raw + i * own->raw_bytes;
        code = own->strips != NULL ? tw_tiff_strips_row(own->strips, i, rows->y, raw, error)
                                   : tw_tiff_packed_row(own->packed, i, rows->y, raw, error);
    }
    if (code == TW_OK)
        make_pixels(own, row);
    else
        tw_fail_at(error, own->file.image->path, 0, 0);
    return code;
}

/* A strip or row of tiles goes as a whole: where in it packed data went wrong cannot be told, and
 * rows before the place were made of it, too. But what was there before the file's end is right. */
static tw_row_span lost(const tw_rows *rows) {
    const tiff_rows *own = (const tiff_rows *)rows;
    uint32_t block = own->file.image->tiff.block_height, first = rows->y - rows->y % block;
    bool cut = own->strips != NULL && tw_tiff_strips_cut(own->strips);
    uint32_t left = rows->form.height - first;
    return (tw_row_span){cut ? rows->y : first, first + (block < left ? block : left)};
}

/* ------------------------------------------------ opening and closing */

static tw_code end(tw_rows *rows, tw_error *error) {
    return tw_image_file_same(&((tiff_rows *)rows)->file, error);
}

static void close_rows(tw_rows *rows) {
    tiff_rows *own = (tiff_rows *)rows;
    const tw_allocator *allocator = own->file.allocator;
    tw_tiff_strips_close(own->strips);
    tw_tiff_packed_close(own->packed);
    tw_image_file_close(&own->file);
    tw_block_free(allocator, own->raw);
    tw_block_free(allocator, own);
}

static bool little_machine(void) {
    const uint16_t one = 1;
    unsigned char first;
    memcpy(&first, &one, 1);
    return first == 1;
}

static tw_code open_parts(tiff_rows *own, tw_error *error) {
    const tw_allocator *allocator = own->file.allocator;
    const tw_tiff *tiff = &own->file.image->tiff;
    bool strips = tw_tiff_is_strips(own->file.image);
    bool own_order = strips || tw_tiff_is_deflate(tiff); /* the file's */
    own->planes = tw_tiff_planes(own->file.image);
    own->raw_bytes = tw_tiff_row_bytes(own->file.image);
    own->swap = own->rows.form.bits == 16 && (own_order ? tiff->swapped : little_machine());
    own->raw = tw_block_new(allocator, own->planes * own->raw_bytes);
    if (own->raw == NULL)
        return tw_no_memory(error);
    return strips ? tw_tiff_strips_open(allocator, &own->file, &own->strips, error)
                  : tw_tiff_packed_open(allocator, &own->file, &own->packed, error);
}

tw_code tw_rows_tiff_open(const tw_allocator *allocator, const tw_image *image, bool stored,
                          tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, end, close_rows};
    tiff_rows *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    own->rows.kind = &kind;
    own->rows.jumps = true;
    own->rows.strip = image->tiff.tiled ? 0 : image->tiff.block_height;
    own->rows.lost = lost;
    own->stored = stored;
    set_form(&own->rows.form, image, stored);
    tw_code code = tw_image_file_open(&own->file, allocator, image, error);
    if (code == TW_OK)
        code = open_parts(own, error);
    if (code == TW_OK)
        *out = &own->rows;
    else
        close_rows(&own->rows);
    return code;
}
