/*
 * The decoding road: rows (rows.h), paper white under what is partly transparent, samples under 8
 * bits put together again, packed. 16 bits stay 16.
 */
#include "output/pixels_rows.h"

#include <string.h>

#include "output/colour_rows.h"

typedef struct rows_road {
    tw_rows *rows;
    tw_tone *tone; /* NULL: no pixels are mixed */
    tw_flate *flate;
    unsigned char *row;
    bool done; /* the end was looked at */
} rows_road;

static const char *say_road(const tw_image *image, const tw_tone *tone) {
    static const char *const words[2][4] = {
        {"partly transparent: laid on paper white in linear light (its own tone curve), packed "
         "again",
         "partly transparent: laid on paper white in linear light (sRGB curve), packed again",
         "partly transparent: laid on paper white in linear light (sRGB curve assumed), packed "
         "again",
         "partly transparent: laid on paper without ink, packed again"},
        {"interlaced and partly transparent: decoded, laid on paper white in linear light (its own "
         "tone curve), packed again",
         "interlaced and partly transparent: decoded, laid on paper white in linear light (sRGB "
         "curve), packed again",
         "interlaced and partly transparent: decoded, laid on paper white in linear light (sRGB "
         "curve assumed), packed again",
         "interlaced and partly transparent: decoded, laid on paper without ink, packed again"}};
    if (tone != NULL)
        return words[image->interlaced][tone->source];
    if (image->interlaced)
        return "interlaced: decoded and packed again";
    if (image->arithmetic)
        return "arithmetic coded, which a PDF cannot hold: decoded and packed again";
    return image->format == TW_TIFF ? tw_tiff_road(image) : "decoded and packed again";
}

static size_t packed_row(const tw_pixels *pixels, const tw_rows *rows) {
    const tw_image *image = pixels->image;
    if (pixels->way != NULL)
        return rows->form.row_bytes;
    size_t bits = (size_t)tw_pixels_channels(image) * (size_t)tw_pixels_bits(image);
    return (image->width * bits + 7) / 8;
}

/* A PNG's numbers and few bits go in as they are; what is transparent lies on paper. */
static tw_code open_rows(tw_pixels *pixels, rows_road *own, tw_error *error) {
    const tw_image *image = pixels->image;
    const tw_allocator *allocator = pixels->allocator;
    tw_rows *stage = NULL;
    tw_code code = pixels->way == NULL ? tw_rows_open_stored(allocator, image, &own->rows, error)
                                       : tw_rows_open(allocator, image, &own->rows, error);
    if (code == TW_OK && own->rows->form.alpha != TW_ALPHA_NONE) {
        code = tw_tone_new(allocator, image, own->rows->form.bits, &own->tone, error);
        if (code == TW_OK)
            code = tw_paper_rows(allocator, own->rows, own->tone, &stage, error);
        if (code == TW_OK)
            own->rows = stage;
    }
    if (code == TW_OK && pixels->way != NULL) {
        code = tw_colour_rows(allocator, own->rows, pixels->way, 0, &stage, error);
        if (code == TW_OK)
            own->rows = stage;
    }
    return code;
}

static tw_code take_parts(tw_pixels *pixels, rows_road *own, tw_error *error) {
    const tw_image *image = pixels->image;
    bool filtered = !image->palette && tw_pixels_bits(image) >= 8;
    filtered |= image->alpha || pixels->way != NULL; /* palettes have become colours */
    tw_code code = open_rows(pixels, own, error);
    if (code != TW_OK)
        return code;
    own->row = tw_block_new(pixels->allocator, own->rows->form.row_bytes);
    if (own->row == NULL)
        return tw_no_memory(error);
    return tw_flate_new(pixels->allocator, packed_row(pixels, own->rows),
                        filtered ? own->rows->form.pixel_bytes : 0, &own->flate, error);
}

static tw_code open_road(tw_pixels *pixels, tw_pixels_form *form, tw_error *error) {
    const tw_image *image = pixels->image;
    rows_road *own = pixels->own = tw_block_new(pixels->allocator, sizeof *own);
    if (own == NULL)
        return tw_no_memory(error);
    if (image->palette && !image->alpha && pixels->way == NULL) {
        form->palette_size = image->palette_size;
        memcpy(form->palette, image->palette_bytes, (size_t)image->palette_size * 3);
    }
    tw_code code = take_parts(pixels, own, error);
    if (pixels->way == NULL) {
        form->road = say_road(image, own->tone);
        return code;
    }
    form->road = "decoded, converted to the paper's profile, packed again";
    if (code == TW_OK) {
        form->bits = own->rows->form.bits;
        form->channels = own->rows->form.channels;
    }
    return code;
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
    tw_code code = tw_rows_next(own->rows, own->row, error);
    if (code != TW_OK)
        return code;
    if (pixels->way == NULL && tw_pixels_bits(image) < 8)
        put_together(own->row, image->width, tw_pixels_bits(image));
    return tw_flate_row(own->flate, own->row, error);
}

static tw_code finish(rows_road *own, tw_error *error) {
    tw_flate_end(own->flate);
    own->done = true;
    return tw_rows_end(own->rows, error);
}

static tw_code pull(tw_pixels *pixels, unsigned char *bytes, size_t room, size_t *got,
                    tw_error *error) {
    rows_road *own = pixels->own;
    for (;;) {
        tw_code code = tw_flate_pull(own->flate, bytes, room, got, error);
        if (code != TW_OK || *got > 0 || own->done)
            return code;
        bool more = own->rows->y < own->rows->form.height;
        code = more ? next_row(pixels, error) : finish(own, error);
        if (code != TW_OK)
            return code;
    }
}

static void close_road(tw_pixels *pixels) {
    rows_road *own = pixels->own;
    if (own == NULL)
        return;
    tw_rows_close(own->rows);
    tw_tone_free(pixels->allocator, own->tone);
    tw_flate_free(own->flate);
    tw_block_free(pixels->allocator, own->row);
    tw_block_free(pixels->allocator, own);
}

const tw_pixels_road tw_pixels_rows_road = {open_road, pull, close_road};
