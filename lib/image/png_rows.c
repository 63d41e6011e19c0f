/*
 * Rows of a PNG (rows.h): libpng's (png_decode.c), interlaced ones by way of the passes'
 * file (png_interlace.c), opened out to whole samples and colours.
 */
#include <string.h>

#include "image/image_file.h"
#include "image/png_decode.h"
#include "image/rows.h"

typedef struct png_rows {
    tw_rows rows;
    tw_image_file file;
    tw_png_rows *png;
    tw_passes *passes;  /* NULL: not interlaced */
    bool passed;        /* they are all in their file */
    unsigned char *raw; /* a row as libpng gives it; NULL: that is wanted as it is */
} png_rows;

static bool is_clear(const tw_image *image) {
    return image->alpha || image->transparent_key;
}

static void set_form(tw_rows_form *form, const tw_image *image, bool stored) {
    bool numbers = stored && image->palette && !image->alpha;
    *form = (tw_rows_form){.width = image->width,
                           .height = image->height,
                           .space = numbers ? TW_GREY : image->space,
                           .channels = numbers || image->space == TW_GREY ? 1 : 3,
                           .alpha = is_clear(image) ? TW_ALPHA_STRAIGHT : TW_ALPHA_NONE,
                           .bits = image->depth == 16 ? 16 : 8};
    tw_rows_form_finish(form);
}

/* Pixels are numbers into a palette, or greys of few bits, and something else is wanted. */
static bool opens_out(const tw_image *image, bool stored) {
    return !stored && !is_clear(image) && (image->palette || image->depth < 8);
}

static tw_code open_parts(png_rows *own, bool stored, tw_error *error) {
    const tw_allocator *allocator = own->file.allocator;
    const tw_image *image = own->file.image;
    size_t raw_bytes = tw_png_row_bytes(image);
    if (image->damage.words != NULL) {
        tw_code seen = tw_png_believed(own->file.source, &own->file.source.size, error);
        if (seen != TW_OK)
            return seen;
    }
    if (opens_out(image, stored)) {
        own->raw = tw_block_new(allocator, raw_bytes);
        if (own->raw == NULL)
            return tw_no_memory(error);
    }
    tw_code code = tw_png_rows_open(allocator, &own->file.source, image, &own->png, error);
    if (code == TW_OK && image->interlaced)
        code = tw_passes_new(allocator, image->width, image->height, raw_bytes / image->width,
                             &own->passes, error);
    return code;
}

/* All seven passes into their file, before the first whole row can be had. Of a damaged image
 * those that are there do, if there is one. */
static tw_code decode_passes(png_rows *own, unsigned char *row, tw_error *error) {
    bool damaged = own->file.image->damage.words != NULL;
    tw_code code = TW_OK;
    while (code == TW_OK && tw_passes_want(own->passes) > 0) {
        code = tw_png_rows_next(own->png, row, error);
        if (code == TW_OK)
            code = tw_passes_put(own->passes, row, error);
    }
    if (code == TW_DAMAGED && damaged) {
        own->rows.passes = tw_passes_stop(own->passes);
        code = own->rows.passes > 0 ? TW_OK : code;
    }
    own->passed = code == TW_OK;
    return code == TW_OK && !damaged ? tw_png_rows_end(own->png, error) : code;
}

static tw_code raw_row(png_rows *own, unsigned char *row, tw_error *error) {
    tw_code code = TW_OK;
    if (own->passes == NULL)
        return tw_png_rows_next(own->png, row, error);
    if (!own->passed)
        code = decode_passes(own, row, error);
    return code == TW_OK ? tw_passes_row(own->passes, own->rows.y, row, error) : code;
}

static void open_palette(const tw_image *image, const unsigned char *raw, unsigned char *row) {
    for (uint32_t x = 0; x < image->width; x++, row += 3) {
        int number = raw[x] < image->palette_size ? raw[x] : image->palette_size - 1;
        memcpy(row, image->palette_bytes + 3 * (size_t)number, 3);
    }
}

/* 1, 2 or 4 bits to 8: the ends stay black and white (PNG, W3C, 13.12). */
static void open_grey(const tw_image *image, const unsigned char *raw, unsigned char *row) {
    unsigned most = (1u << image->depth) - 1;
    for (uint32_t x = 0; x < image->width; x++)
        row[x] = (unsigned char)(raw[x] * (255 / most));
}

static tw_code next(tw_rows *rows, unsigned char *row, tw_error *error) {
    png_rows *own = (png_rows *)rows;
    const tw_image *image = own->file.image;
    tw_code code = raw_row(own, own->raw == NULL ? row : own->raw, error);
    if (code != TW_OK)
        tw_fail_at(error, image->path, 0, 0);
    else if (own->raw != NULL && image->palette)
        open_palette(image, own->raw, row);
    else if (own->raw != NULL)
        open_grey(image, own->raw, row);
    return code;
}

static tw_code end(tw_rows *rows, tw_error *error) {
    png_rows *own = (png_rows *)rows;
    bool looks = own->passes == NULL && own->file.image->damage.words == NULL;
    tw_code code = looks ? tw_png_rows_end(own->png, error) : TW_OK;
    if (code != TW_OK)
        tw_fail_at(error, own->file.image->path, 0, 0);
    return code == TW_OK ? tw_image_file_same(&own->file, error) : code;
}

static void close_rows(tw_rows *rows) {
    png_rows *own = (png_rows *)rows;
    const tw_allocator *allocator = own->file.allocator;
    tw_png_rows_close(own->png);
    tw_passes_free(own->passes);
    tw_image_file_close(&own->file);
    tw_block_free(allocator, own->raw);
    tw_block_free(allocator, own);
}

tw_code tw_rows_png_open(const tw_allocator *allocator, const tw_image *image, bool stored,
                         tw_rows **out, tw_error *error) {
    static const tw_rows_kind kind = {next, end, close_rows};
    png_rows *own = tw_block_new(allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    own->rows.kind = &kind;
    set_form(&own->rows.form, image, stored);
    own->rows.jumps = image->interlaced;
    tw_code code = tw_image_file_open(&own->file, allocator, image, error);
    if (code == TW_OK)
        code = open_parts(own, stored, error);
    if (code == TW_OK)
        *out = &own->rows;
    else
        close_rows(&own->rows);
    return code;
}
