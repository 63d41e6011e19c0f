/*
 * For the fuzz targets that read images: the bytes as a file, a PNG's check sums put right (a
 * fuzzer does not guess CRCs), and what must hold of facts however odd the file.
 */
#ifndef TW_FUZZ_IMAGE_H
#define TW_FUZZ_IMAGE_H

#include <fcntl.h>
#include <unistd.h>
#include <zlib.h>

#include "base/limits.h"
#include "fuzz.h"
#include "image/image.h"

/* One scratch file a process, removed at its end. */
static char fuzz_path[] = "/tmp/trimwell-fuzz-XXXXXX";
static int fuzz_descriptor = -1;

static void fuzz_clean(void) {
    (void)unlink(fuzz_path);
}

static inline void fuzz_write(const uint8_t *bytes, size_t length) {
    if (fuzz_descriptor < 0) {
        fuzz_descriptor = mkstemp(fuzz_path);
        must(fuzz_descriptor >= 0 && atexit(fuzz_clean) == 0);
    }
    must(ftruncate(fuzz_descriptor, 0) == 0);
    must(pwrite(fuzz_descriptor, bytes, length, 0) == (ssize_t)length);
}

/* A copy in which every whole chunk has the CRC it should have. Free it. */
static inline uint8_t *fuzz_mend_png(const uint8_t *bytes, size_t length) {
    uint8_t *copy = malloc(length + 1);
    must(copy != NULL);
    if (length > 0)
        memcpy(copy, bytes, length);
    for (size_t at = 8; at + 12 <= length;) {
        size_t size = (size_t)copy[at] << 24 | (size_t)copy[at + 1] << 16 |
                      (size_t)copy[at + 2] << 8 | copy[at + 3];
        if (size > length - at - 12)
            break;
        uint32_t crc = (uint32_t)crc32(0, copy + at + 4, (uInt)size + 4);
        for (size_t i = 0; i < 4; i++)
            copy[at + 8 + size + i] = (uint8_t)(crc >> (24 - 8 * i));
        at += 12 + size;
    }
    return copy;
}

static inline void must_be_facts(const tw_image *image, size_t length) {
    must(image->width > 0 && image->width <= TW_IMAGE_SIDE_MOST);
    must(image->height > 0 && image->height <= TW_IMAGE_SIDE_MOST);
    must((uint64_t)image->width * image->height <= TW_IMAGE_PIXELS_MOST);
    must(image->depth >= 1 && image->depth <= 16 && (image->depth & (image->depth - 1)) == 0);
    must(image->density_x >= 0 && image->density_y >= 0);
    must((image->density_x == 0) == (image->density_y == 0));
    must(image->palette_size >= 0 && image->palette_size <= 256);
    must(image->data_bytes >= 0 && image->data_bytes <= (int64_t)length);
    must(image->profile == NULL || image->profile_problem == NULL);
    must(image->profile == NULL || image->profile_length >= 132);
}

#endif
