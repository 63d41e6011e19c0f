/* For the hostile tests of each image format: facts and all rows of a file, thrown away. */
#ifndef TW_ROWS_HOSTILE_H
#define TW_ROWS_HOSTILE_H

#include "base/arena.h"
#include "hostile_testing.h"
#include "image/image.h"
#include "image/rows.h"

/* A broken size can make large rows: as many as the usual limits of a job let through would only
 * cost time. */
#define HOSTILE_PIXELS_MOST (1ll << 20)

static inline tw_code hostile_pull(tw_rows *rows, tw_error *error) {
    unsigned char *row = malloc(rows->form.row_bytes);
    tw_code code = TW_OK;
    for (uint32_t y = 0; code == TW_OK && y < rows->form.height; y++)
        code = tw_rows_next(rows, row, error);
    free(row);
    return code == TW_OK ? tw_rows_end(rows, error) : code;
}

typedef tw_code hostile_opener(const tw_allocator *allocator, const tw_image *image, tw_rows **out,
                               tw_error *error);

static inline tw_code hostile_rows_by(hostile_opener *open_rows, const tw_allocator *allocator,
                                      const char *path, tw_error *error) {
    static const tw_limits limits = {HOSTILE_PIXELS_MOST, HOSTILE_PIXELS_MOST * 8};
    tw_image image;
    tw_rows *rows = NULL;
    tw_arena *arena = tw_arena_new(allocator, 0);
    tw_code code = tw_image_read(arena, path, &image, error);
    if (code == TW_OK)
        code = tw_image_within(&image, &limits, error);
    if (code == TW_OK)
        code = open_rows(tw_arena_allocator(arena), &image, &rows, error);
    if (code == TW_OK)
        code = hostile_pull(rows, error);
    tw_rows_close(rows);
    tw_arena_free(arena);
    return code;
}

static inline tw_code hostile_rows(const tw_allocator *allocator, const char *path,
                                   const unsigned char *bytes, size_t length, tw_error *error) {
    (void)bytes, (void)length;
    return hostile_rows_by(tw_rows_open, allocator, path, error);
}

#endif
