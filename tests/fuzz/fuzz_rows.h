/*
 * For the fuzz targets of the row readers: facts and, where they are sound and small, all rows of
 * a file, as colours and as the file stores them; a JPEG also to an eighth.
 */
#ifndef TW_FUZZ_ROWS_H
#define TW_FUZZ_ROWS_H

#include "fuzz_image.h"
#include "image/rows.h"

enum { FUZZ_PIXELS_MOST = 1 << 14 }; /* larger ones only cost time */

typedef tw_code fuzz_opener(const tw_allocator *allocator, const tw_image *image, tw_rows **out,
                            tw_error *error);

static inline tw_code fuzz_pull_rows(tw_rows *rows, tw_error *error) {
    unsigned char *row = malloc(rows->form.row_bytes); /* exactly: a sanitizer sees one too many */
    tw_code code = TW_OK;
    must(row != NULL);
    for (uint32_t y = 0; code == TW_OK && y < rows->form.height; y++)
        code = tw_rows_next(rows, row, error);
    free(row);
    return code == TW_OK ? tw_rows_end(rows, error) : code;
}

/* `eighths` of each side come out. */
static inline void fuzz_rows_by(const tw_image *image, fuzz_opener *open_rows, uint32_t eighths) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_rows *rows = NULL;
    tw_error error = {0};
    tw_code code = open_rows(tw_arena_allocator(arena), image, &rows, &error);
    if (code == TW_OK) {
        must(rows->form.width == (image->width * eighths + 7) / 8);
        must(rows->form.height == (image->height * eighths + 7) / 8);
        code = fuzz_pull_rows(rows, &error);
    }
    if (code != TW_OK)
        must_be_sound(&error, code);
    tw_rows_close(rows);
    tw_arena_free(arena);
}

/* A JPEG for the smallest picture, as proofs read it. */
static inline tw_code fuzz_open_eighth(const tw_allocator *allocator, const tw_image *image,
                                       tw_rows **out, tw_error *error) {
    return tw_rows_open_small(allocator, image, 1, 1, out, error);
}

static inline void fuzz_read_rows(const uint8_t *bytes, size_t length) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_image image;
    tw_error error = {0};
    fuzz_write(bytes, length);
    tw_code code = tw_image_read(arena, fuzz_path, &image, &error);
    if (code != TW_OK) {
        must_be_sound(&error, code);
    } else {
        must_be_facts(&image, length);
        if ((uint64_t)image.width * image.height <= FUZZ_PIXELS_MOST) {
            fuzz_rows_by(&image, tw_rows_open, 8);
            fuzz_rows_by(&image, tw_rows_open_stored, 8);
            if (image.format == TW_JPEG)
                fuzz_rows_by(&image, fuzz_open_eighth, 1);
        }
    }
    tw_arena_free(arena);
}

#endif
