/*
 * The door to an image's pixels: opens the file, sees that it is still the one whose facts were
 * read, chooses the road and keeps the bound of what comes out of it.
 */
#include "pixels/paths.h"

#include "pixels/flate.h"
#include "pixels/pixels.h"

int tw_pixels_channels(const tw_image *image) {
    static const int channels[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};
    bool numbered = image->palette && !image->alpha && !tw_image_is_treated(image);
    return numbered ? 1 : channels[image->space]; /* numbered: stays /Indexed */
}

/* Transparent palettes become colours, transparent greys of few bits become 8-bit greys: what
 * lies half on white, or between two pixels, has no number and no coarse step any more. */
int tw_pixels_bits(const tw_image *image) {
    bool opened_out = image->alpha || image->transparent_key || tw_image_is_treated(image);
    return opened_out && image->depth < 8 ? 8 : image->depth;
}

tw_code tw_pixels_check_zlib(const unsigned char *start, const char *what, tw_error *error) {
    unsigned method = start[0], flags = start[1];
    if ((method & 15) == 8 && method >> 4 <= 7 && (method * 256 + flags) % 31 == 0 &&
        (flags & 0x20) == 0)
        return TW_OK;
    return tw_fail(error, TW_DAMAGED, "image-damaged",
                   "the %s's image data does not begin as packed data does (bytes %02X %02X)", what,
                   method, flags);
}

static const tw_pixels_road *choose(const tw_image *image, const tw_colour_way *way) {
    if (way != NULL || !tw_image_passes(image))
        return &tw_pixels_rows_road;
    if (image->format == TW_TIFF)
        return &tw_pixels_tiff_road;
    return image->format == TW_JPEG ? &tw_pixels_jpeg_road : &tw_pixels_png_road;
}

tw_code tw_pixels_open(const tw_allocator *allocator, const tw_image *image, tw_pixels **out,
                       tw_pixels_form *form, tw_error *error) {
    return tw_pixels_open_converted(allocator, image, NULL, NULL, out, form, error);
}

tw_code tw_pixels_open_converted(const tw_allocator *allocator, const tw_image *image,
                                 const tw_colour_way *way, tw_kept *kept, tw_pixels **out,
                                 tw_pixels_form *form, tw_error *error) {
    tw_pixels *pixels = tw_block_new(allocator, sizeof *pixels);
    *out = NULL;
    *form = (tw_pixels_form){.bits = tw_pixels_bits(image),
                             .channels = tw_pixels_channels(image),
                             .colour_transform = -1,
                             .predictor = 15};
    tw_image_treated_size(image, &form->width, &form->height);
    if (pixels == NULL)
        return tw_no_memory(error);
    pixels->allocator = allocator;
    pixels->image = image;
    pixels->file.descriptor = -1;
    pixels->way = way;
    pixels->kept = kept;
    pixels->road = choose(image, way);
    tw_code code = pixels->road->open(pixels, form, error);
    if (code == TW_OK) {
        *out = pixels;
        return TW_OK;
    }
    tw_fail_at(error, image->path, 0, 0);
    tw_pixels_close(pixels);
    return code;
}

tw_code tw_pixels_pull(tw_pixels *pixels, unsigned char *bytes, size_t room, size_t *got,
                       tw_error *error) {
    *got = 0;
    if (pixels->failed != TW_OK)
        return tw_fail(error, TW_BUG, "bug", "pixels are asked for after they failed");
    if (pixels->ended || room == 0)
        return TW_OK;
    size_t most = room < (1u << 30) ? room : 1u << 30; /* zlib counts in 32 bits */
    pixels->failed = pixels->road->pull(pixels, bytes, most, got, error);
    if (pixels->failed != TW_OK)
        tw_fail_at(error, pixels->image->path, 0, 0);
    pixels->ended = *got == 0;
    if (pixels->failed == TW_OK && pixels->ended && pixels->file.descriptor >= 0)
        pixels->failed = tw_image_file_same(&pixels->file, error);
    return pixels->failed;
}

void tw_pixels_close(tw_pixels *pixels) {
    if (pixels == NULL)
        return;
    pixels->road->close(pixels);
    tw_image_file_close(&pixels->file);
    tw_block_free(pixels->allocator, pixels);
}

int64_t tw_pixels_bound(const tw_image *image) {
    if (tw_image_passes(image))
        return image->format == TW_JPEG ? image->bytes : image->data_bytes;
    uint32_t width, height;
    tw_image_treated_size(image, &width, &height);
    size_t bits = (size_t)tw_pixels_channels(image) * (size_t)tw_pixels_bits(image);
    return tw_flate_bound(((size_t)width * bits + 7) / 8, height);
}

int64_t tw_pixels_bound_converted(const tw_image *image, int channels) {
    uint32_t width, height;
    tw_image_treated_size(image, &width, &height);
    size_t row = (size_t)width * (size_t)channels * (image->depth == 16 ? 2 : 1);
    return tw_flate_bound(row, height);
}
