/*
 * An image file held open while its pixels are read: the file whose facts were seen and a window
 * on it. It must stand as it did when its facts were read (tw_file_state): when it is opened, after
 * its last byte, and once more when all sheets are made.
 */
#ifndef TW_IMAGE_IMAGE_FILE_H
#define TW_IMAGE_IMAGE_FILE_H

#include "image/image.h"
#include "image/source.h"

typedef struct tw_image_file {
    const tw_allocator *allocator;
    const tw_image *image;
    int descriptor;
    tw_source source; /* from the file's start */
    unsigned char *window;
} tw_image_file;

/* Open image->path, which must be as it was when its facts were read (else TW_INPUT
 * "image-changed"). Close it also after a failure. `image` must outlive it. */
TW_USE_RESULT tw_code tw_image_file_open(tw_image_file *file, const tw_allocator *allocator,
                                         const tw_image *image, tw_error *error);
/* After the last byte: TW_INPUT "image-changed" when the file is not as it was. */
TW_USE_RESULT tw_code tw_image_file_same(const tw_image_file *file, tw_error *error);
/* Nobody has it open: the file of this name is still the one whose facts were read; else TW_INPUT
 * "image-changed" or "missing-file". */
TW_USE_RESULT tw_code tw_image_file_still(const tw_image *image, tw_error *error);
void tw_image_file_close(tw_image_file *file);

#endif
