/*
 * The decoding road: interlaced PNGs and those with anything transparent. Row by row: libpng,
 * paper white, for interlaced images by way of the passes' file, samples under 8 bits put
 * together again, packed. 16 bits stay 16.
 */
#include "output/pixels_rows.h"

#include <string.h>

typedef struct rows_road {
    tw_png_rows *png;
    tw_paper_light *light; /* NULL: nothing is transparent */
    tw_passes *passes;     /* NULL: not interlaced */
    tw_flate *flate;
    unsigned char *row;
    uint32_t y; /* rows given to flate */
} rows_road;

static const char *say_road(const tw_image *image) {
    if (!image->alpha && !image->transparent_key)
        return "interlaced: decoded and packed again";
    if (image->interlaced)
        return "interlaced and partly transparent: decoded, laid on paper white in linear light "
               "(sRGB curve), packed again";
    return "partly transparent: laid on paper white in linear light (sRGB curve), packed again";
}

static size_t sample_bytes(const tw_image *image) {
    return tw_pixels_bits(image) == 16 ? 2 : 1;
}

static size_t packed_row(const tw_image *image) {
    size_t bits = (size_t)tw_pixels_channels(image) * (size_t)tw_pixels_bits(image);
    return (image->width * bits + 7) / 8;
}

static tw_code take_parts(tw_pixels *pixels, rows_road *own, tw_error *error) {
    const tw_image *image = pixels->image;
    size_t unit = (size_t)tw_pixels_channels(image) * sample_bytes(image);
    bool filtered = !image->palette && tw_pixels_bits(image) >= 8;
    filtered |= image->alpha; /* palettes with alpha have become colours */
    own->row = tw_block_new(pixels->allocator, tw_png_row_bytes(image));
    if (own->row == NULL)
        return tw_no_memory(error);
    if (image->alpha || image->transparent_key) {
        own->light = tw_paper_light_new(pixels->allocator, tw_pixels_bits(image));
        if (own->light == NULL)
            return tw_no_memory(error);
    }
    tw_code code = tw_png_rows_open(pixels->allocator, &pixels->source, image, &own->png, error);
    if (code == TW_OK)
        code = tw_flate_new(pixels->allocator, packed_row(image), filtered ? unit : 0, &own->flate,
                            error);
    if (code == TW_OK && image->interlaced)
        code = tw_passes_new(pixels->allocator, image->width, image->height, unit, &own->passes,
                             error);
    return code;
}

static tw_code open_road(tw_pixels *pixels, tw_pixels_form *form, tw_error *error) {
    const tw_image *image = pixels->image;
    rows_road *own = pixels->own = tw_block_new(pixels->allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    form->road = say_road(image);
    if (image->palette && !image->alpha) {
        form->palette_size = image->palette_size;
        memcpy(form->palette, image->palette_bytes, (size_t)image->palette_size * 3);
    }
    return take_parts(pixels, own, error);
}

/* One decoded row of `columns` pixels, transparency laid on paper. */
static tw_code decode_row(tw_pixels *pixels, uint32_t columns, tw_error *error) {
    rows_road *own = pixels->own;
    tw_code code = tw_png_rows_next(own->png, own->row, error);
    if (code == TW_OK && own->light != NULL)
        tw_paper_light_row(own->light, own->row, columns, tw_pixels_channels(pixels->image));
    return code;
}

/* All seven passes into their file, before the first whole row can be had. */
static tw_code decode_passes(tw_pixels *pixels, tw_error *error) {
    rows_road *own = pixels->own;
    tw_code code = TW_OK;
    while (code == TW_OK && tw_passes_want(own->passes) > 0) {
        code = decode_row(pixels, tw_passes_want(own->passes), error);
        if (code == TW_OK)
            code = tw_passes_put(own->passes, own->row, error);
    }
    return code == TW_OK ? tw_png_rows_end(own->png, error) : code;
}

/* Samples of 1, 2 or 4 bits stand a byte each after decoding: put them together, first one in
 * the high bits (PNG, W3C, 7.2; ISO 32000-1 8.9.5.2 wants the same). */
static void put_together(unsigned char *row, uint32_t count, int bits) {
    uint32_t a_byte = bits == 1 ? 8 : bits == 2 ? 4 : 2;
    for (uint32_t i = 0; i < count; i += a_byte) {
        unsigned byte = 0;
        for (uint32_t k = 0; k < a_byte; k++)
            byte = byte << bits | (i + k < count ? row[i + k] : 0u);
        row[i / a_byte] = (unsigned char)byte;
    }
}

static tw_code next_row(tw_pixels *pixels, tw_error *error) {
    rows_road *own = pixels->own;
    const tw_image *image = pixels->image;
    tw_code code = TW_OK;
    if (own->passes != NULL && own->y == 0)
        code = decode_passes(pixels, error);
    if (code == TW_OK && own->passes != NULL)
        code = tw_passes_row(own->passes, own->y, own->row, error);
    else if (code == TW_OK)
        code = decode_row(pixels, image->width, error);
    if (code != TW_OK)
        return code;
    if (tw_pixels_bits(image) < 8)
        put_together(own->row, image->width, tw_pixels_bits(image));
    own->y++;
    return tw_flate_row(own->flate, own->row, error);
}

static tw_code finish(tw_pixels *pixels, tw_error *error) {
    rows_road *own = pixels->own;
    tw_code code = own->passes == NULL ? tw_png_rows_end(own->png, error) : TW_OK;
    tw_flate_end(own->flate);
    own->y++;
    return code;
}

static tw_code pull(tw_pixels *pixels, unsigned char *bytes, size_t room, size_t *got,
                    tw_error *error) {
    rows_road *own = pixels->own;
    uint32_t height = pixels->image->height;
    for (;;) {
        tw_code code = tw_flate_pull(own->flate, bytes, room, got, error);
        if (code != TW_OK || *got > 0 || own->y > height)
            return code;
        code = own->y < height ? next_row(pixels, error) : finish(pixels, error);
        if (code != TW_OK)
            return code;
    }
}

static void close_road(tw_pixels *pixels) {
    rows_road *own = pixels->own;
    if (own == NULL)
        return;
    tw_png_rows_close(own->png);
    tw_paper_light_free(pixels->allocator, own->light);
    tw_passes_free(own->passes);
    tw_flate_free(own->flate);
    tw_block_free(pixels->allocator, own->row);
    tw_block_free(pixels->allocator, own);
}

const tw_pixels_road tw_pixels_rows_road = {open_road, pull, close_road};
