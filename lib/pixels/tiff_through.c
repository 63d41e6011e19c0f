/*
 * A TIFF whose picture is one zlib stream that PDF can read passes through (image/pass_through.c
 * says which; ISO 32000-1 7.4.4 and Table 10). Nothing is inflated, only its start is looked at.
 */
#include "pixels/paths.h"

#include <stdio.h>
#include <string.h>

#include "pixels/pixels.h"

const char *tw_tiff_road(const tw_image *image) {
    const tw_tiff *tiff = &image->tiff;
    if (tiff->compression == 1)
        return tiff->tiled ? "not packed, in tiles: packed" : "not packed: packed";
    if (tiff->compression == TW_TIFF_LZW)
        return "packed by LZW: unpacked and packed again";
    if (tiff->compression == TW_TIFF_PACKBITS)
        return "packed by PackBits: unpacked and packed again";
    if (tiff->compression == TW_TIFF_JPEG)
        return "JPEG inside TIFF: decoded and packed again";
    if (tiff->tiled || tiff->block_height < image->height)
        return "packed in several strips or tiles: unpacked and packed again";
    if (image->depth == 16 && tiff->swapped)
        return "its 16-bit samples have the low byte first: unpacked and packed again";
    return "its channels do not lie as a PDF has them: unpacked and packed again";
}

static tw_code check_start(const tw_pixels *pixels, tw_error *error) {
    unsigned char start[2];
    tw_source source = pixels->file.source;
    if (pixels->image->data_bytes < 2)
        return tw_fail(error, TW_DAMAGED, "image-damaged", "the TIFF's image data is cut short");
    source.at = pixels->image->data_at;
    tw_code code = tw_source_read(&source, start, sizeof start, error);
    return code == TW_OK ? tw_pixels_check_zlib(start, "TIFF", error) : code;
}

static tw_code open_road(tw_pixels *pixels, tw_pixels_form *form, tw_error *error) {
    const tw_image *image = pixels->image;
    tw_code code = tw_image_file_open(&pixels->file, pixels->allocator, image, error);
    if (code == TW_OK)
        code = check_start(pixels, error);
    pixels->file.source.at = image->data_at;
    form->untouched = true;
    (void)snprintf(form->road, sizeof form->road, "passes through untouched");
    form->predictor = (int)image->tiff.predictor;
    form->invert = image->tiff.white_is_zero;
    if (image->palette) {
        form->palette_size = image->palette_size;
        memcpy(form->palette, image->palette_bytes, (size_t)image->palette_size * 3);
    }
    return code;
}

static tw_code pull(tw_pixels *pixels, unsigned char *bytes, size_t room, size_t *got,
                    tw_error *error) {
    int64_t left = pixels->image->data_at + pixels->image->data_bytes - pixels->file.source.at;
    size_t count = left < (int64_t)room ? (size_t)left : room;
    tw_code code = tw_source_read(&pixels->file.source, bytes, count, error);
    *got = code == TW_OK ? count : 0;
    return code;
}

static void close_road(tw_pixels *pixels) {
    (void)pixels;
}

const tw_pixels_road tw_pixels_tiff_road = {open_road, pull, close_road};
