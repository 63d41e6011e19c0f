/*
 * The decoding road: rows (rows.h), paper white under what is partly transparent, resampling and
 * sharpening where they are asked for, samples under 8 bits put together again, packed. 16 bits
 * stay 16.
 */
#include "colour/converted_rows.h"
#include "colour/paper_white.h"
#include "pixels/flate.h"
#include "pixels/kept_rows.h"
#include "pixels/paths.h"
#include "pixels/resample.h"
#include "pixels/stages.h"

#include <stdio.h>
#include <string.h>

typedef struct rows_road {
    tw_rows *rows;
    tw_tone *tone; /* NULL: no pixels are mixed */
    tw_flate *flate;
    unsigned char *row;
    bool done; /* the end was looked at */
} rows_road;

/* Each kind of work has its words; together they fit into the form. */
static void say_work(const tw_image *image, const tw_tone *tone, bool converts,
                     tw_pixels_form *form) {
    static const char *const curves[] = {" (its own tone curve)", " (sRGB curve)",
                                         " (sRGB curve assumed)", ""};
    bool clear = image->alpha || image->transparent_key, made = image->treat.width > 0;
    bool inks = image->space == TW_CMYK;
    if (image->format == TW_TIFF && !clear && !converts && !tw_image_is_treated(image)) {
        (void)snprintf(form->road, sizeof form->road, "%s", tw_tiff_road(image));
        return;
    }
    const char *curve = tone == NULL ? "" : curves[tone->source];
    bool larger =
        made && image->treat.width >= image->width && image->treat.height >= image->height;
    int length = snprintf(
        form->road, sizeof form->road, "%s%s%s%s%s%s%s", image->interlaced ? "interlaced" : "",
        image->interlaced && clear ? " and " : "", clear ? "partly transparent" : "",
        image->arithmetic            ? "arithmetic coded, which a PDF cannot hold: "
        : image->interlaced || clear ? ": "
                                     : "",
        "decoded",
        !clear ? ""
        : inks ? ", laid on paper without ink"
               : ", laid on paper white in linear light",
        clear ? curve : "");
    if (made)
        length += snprintf(form->road + length, sizeof form->road - (size_t)length,
                           ", %s to %lu x %lu pixels%s%s", larger ? "enlarged" : "reduced",
                           (unsigned long)form->width, (unsigned long)form->height,
                           inks ? "" : " in linear light", clear ? "" : curve);
    (void)snprintf(form->road + length, sizeof form->road - (size_t)length, "%s%s%s",
                   image->treat.amount > 0 ? ", sharpened" : "",
                   converts ? ", converted to the paper's profile" : "",
                   clear || made || converts || image->treat.amount > 0 ? ", packed again"
                                                                        : " and packed again");
}

static void say_road(const tw_image *image, const tw_tone *tone, bool converts,
                     tw_pixels_form *form) {
    static const char damaged[] = "damaged: ";
    say_work(image, tone, converts, form);
    if (image->damage.words == NULL)
        return;
    memmove(form->road + sizeof damaged - 1, form->road, sizeof form->road - sizeof damaged);
    memcpy(form->road, damaged, sizeof damaged - 1);
    form->road[sizeof form->road - 1] = '\0';
}

static size_t packed_row(const tw_pixels *pixels, const tw_rows *rows) {
    const tw_image *image = pixels->image;
    uint32_t width = rows->form.width;
    if (pixels->way != NULL)
        return rows->form.row_bytes;
    size_t bits = (size_t)tw_pixels_channels(image) * (size_t)tw_pixels_bits(image);
    return (width * bits + 7) / 8;
}

/* What is transparent lies on paper; then the pixels the print can use, sharpened,
 * perhaps a part of them in other light, and converted. */
static tw_code add_stages(tw_pixels *pixels, rows_road *own, tw_error *error) {
    const tw_allocator *allocator = pixels->allocator;
    const tw_treat *treat = &pixels->image->treat;
    tw_rows *stage = NULL;
    tw_code code = TW_OK;
    bool clear = own->rows->form.alpha != TW_ALPHA_NONE;
    if (clear || treat->width > 0 || treat->exposure != 0)
        code = tw_tone_new(allocator, pixels->image, own->rows->form.bits, &own->tone, error);
    if (code == TW_OK && clear) {
        code = tw_paper_rows(allocator, own->rows, own->tone, &stage, error);
        own->rows = code == TW_OK ? stage : own->rows;
    }
    if (code == TW_OK && treat->width > 0) {
        code = tw_resample_rows(allocator, own->rows, own->tone, treat->width, treat->height,
                                &stage, error);
        own->rows = code == TW_OK ? stage : own->rows;
    }
    if (code == TW_OK && treat->amount > 0) {
        code = tw_sharpen_rows(allocator, own->rows, treat, &stage, error);
        own->rows = code == TW_OK ? stage : own->rows;
    }
    if (code == TW_OK && treat->crop_width > 0) {
        code = tw_crop_rows(allocator, own->rows, treat, &stage, error);
        own->rows = code == TW_OK ? stage : own->rows;
    }
    if (code == TW_OK && treat->exposure != 0) {
        code = tw_exposed_rows(allocator, own->rows, own->tone, treat->exposure, &stage, error);
        own->rows = code == TW_OK ? stage : own->rows;
    }
    if (code == TW_OK && pixels->way != NULL) {
        code = tw_colour_rows(allocator, own->rows, pixels->way, 0, &stage, error);
        own->rows = code == TW_OK ? stage : own->rows;
    }
    if (code == TW_OK && pixels->way != NULL && pixels->image->damage.white_count > 0) {
        code = tw_white_rows(allocator, own->rows, pixels->image, &stage, error);
        own->rows = code == TW_OK ? stage : own->rows;
    }
    return code;
}

/* A PNG's numbers and few bits go in as they are, unless its pixels are made anew. */
static tw_code open_rows(tw_pixels *pixels, rows_road *own, tw_error *error) {
    const tw_image *image = pixels->image;
    bool anew = pixels->way != NULL || tw_image_is_treated(image);
    tw_code code = tw_kept_rows(pixels->kept, pixels->allocator, image, !anew, &own->rows, error);
    return code == TW_OK ? add_stages(pixels, own, error) : code;
}

static tw_code take_parts(tw_pixels *pixels, rows_road *own, tw_error *error) {
    const tw_image *image = pixels->image;
    bool filtered = !image->palette && tw_pixels_bits(image) >= 8;
    /* palettes have become colours */
    filtered |= image->alpha || tw_image_is_treated(image) || pixels->way != NULL;
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
    if (image->palette && tw_pixels_channels(image) == 1 && pixels->way == NULL) {
        form->palette_size = image->palette_size;
        memcpy(form->palette, image->palette_bytes, (size_t)image->palette_size * 3);
    }
    tw_code code = take_parts(pixels, own, error);
    say_road(image, own->tone, pixels->way != NULL, form);
    if (code == TW_OK && pixels->way != NULL) {
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
        put_together(own->row, own->rows->form.width, tw_pixels_bits(image));
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
