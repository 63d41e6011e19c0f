/*
 * A JPEG passes through: the file's bytes from SOI to EOI are a DCTDecode stream (ISO 32000-1
 * 7.4.8). Nothing is decoded; the marker structure is watched as the bytes go by. What follows
 * EOI (a phone's film, a second picture) is no part of the image and stays behind.
 */
#include "pixels/paths.h"

#include <stdio.h>
#include <string.h>

#include "image/jpeg_watch.h"

static tw_code open_road(tw_pixels *pixels, tw_pixels_form *form, tw_error *error) {
    const tw_image *image = pixels->image;
    pixels->own = tw_block_new(pixels->allocator, sizeof(tw_jpeg_watch));
    if (pixels->own == NULL)
        return tw_no_memory(error);
    form->dct = true;
    form->untouched = true;
    form->invert = image->inverted_cmyk;
    form->colour_transform = image->colour_transform;
    (void)snprintf(form->road, sizeof form->road, "passes through untouched");
    return tw_image_file_open(&pixels->file, pixels->allocator, image, error);
}

static tw_code check_same(const tw_jpeg_watch *watch, const tw_image *image, tw_error *error) {
    if (!watch->ended || (watch->width == image->width && watch->height == image->height))
        return TW_OK;
    return tw_fail(error, TW_INPUT, "image-changed",
                   "the image was %lu x %lu pixels when it was looked at and is %lu x %lu now",
                   (unsigned long)image->width, (unsigned long)image->height,
                   (unsigned long)watch->width, (unsigned long)watch->height);
}

static tw_code pull(tw_pixels *pixels, unsigned char *bytes, size_t room, size_t *got,
                    tw_error *error) {
    tw_jpeg_watch *watch = pixels->own;
    while (*got < room && !watch->ended) {
        const unsigned char *some;
        size_t count, used;
        if (tw_source_left(&pixels->file.source) == 0)
            return tw_jpeg_watch_end(watch, error);
        tw_code code = tw_source_take(&pixels->file.source, room - *got, &some, &count, error);
        if (code == TW_OK)
            code = tw_jpeg_watch_bytes(watch, some, count, &used, error);
        if (code == TW_OK)
            code = check_same(watch, pixels->image, error);
        if (code != TW_OK)
            return code;
        memcpy(bytes + *got, some, used);
        *got += used;
    }
    return TW_OK;
}

static void close_road(tw_pixels *pixels) {
    tw_block_free(pixels->allocator, pixels->own);
}

const tw_pixels_road tw_pixels_jpeg_road = {open_road, pull, close_road};
