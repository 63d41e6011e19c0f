/*
 * Which files hold their pixels as a PDF may hold them, so that their bytes can pass through
 * (ISO 32000-1 7.4.4 and 7.4.8). All others are decoded and packed again.
 */
#include "image/image.h"

/* PNG's predictors are PDF's; its interlacing and its alpha beside the colours are not. */
static bool png_passes(const tw_image *image) {
    return !image->interlaced && !image->alpha && !image->transparent_key;
}

/* One zlib stream whose predictor is none or TIFF's (Table 10, value 2), colours alone, and 16
 * bits with the high byte first. Fewer than 8 bits fill bytes as PDF wants it. */
static bool tiff_passes(const tw_image *image) {
    const tw_tiff *tiff = &image->tiff;
    bool whole =
        !tiff->tiled && !tiff->separate && tiff->extra == 0 && tiff->block_height == image->height;
    bool order = image->depth <= 8 || !tiff->swapped;
    return tw_tiff_is_deflate(tiff) && whole && order &&
           (tiff->predictor == 1 || image->depth >= 8);
}

bool tw_image_is_treated(const tw_image *image) {
    bool damaged = image->damage.words != NULL;
    return image->treat.width > 0 || image->treat.amount > 0 || image->treat.crop_width > 0 ||
           image->treat.exposure != 0 || damaged;
}

void tw_image_treated_size(const tw_image *image, uint32_t *width, uint32_t *height) {
    const tw_treat *treat = &image->treat;
    bool made = treat->width > 0, cut = treat->crop_width > 0;
    *width = cut ? treat->crop_width : made ? treat->width : image->width;
    *height = cut ? treat->crop_height : made ? treat->height : image->height;
}

bool tw_image_passes(const tw_image *image) {
    if (tw_image_is_treated(image))
        return false;
    if (image->format == TW_TIFF)
        return tiff_passes(image);
    if (image->format == TW_JPEG)
        return !image->arithmetic; /* ISO 32000-1 7.4.8: baseline and progressive Huffman coding */
    return png_passes(image);
}
