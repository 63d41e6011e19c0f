/* For the tests of decoded rows: all rows of a file at once, leaks counted. */
#ifndef TW_ROWS_TESTING_H
#define TW_ROWS_TESTING_H

#include "base/arena.h"
#include "image/image.h"
#include "image/rows.h"

typedef struct read_rows {
    tw_rows_form form;
    unsigned char *bytes; /* owned */
    size_t length;
    uint32_t count; /* rows got */
    tw_code code;
    tw_error error;
} read_rows;

static inline tw_code read_them(tw_rows *rows, read_rows *out) {
    tw_code code = TW_OK;
    out->form = rows->form;
    out->length = rows->form.row_bytes * rows->form.height;
    out->bytes = malloc(out->length);
    for (; code == TW_OK && out->count < rows->form.height; out->count += code == TW_OK)
        code = tw_rows_next(rows, out->bytes + out->count * rows->form.row_bytes, &out->error);
    return code == TW_OK ? tw_rows_end(rows, &out->error) : code;
}

static inline read_rows try_rows(const tw_allocator *allocator, const char *path) {
    read_rows out = {.code = TW_MEMORY};
    tw_image image;
    tw_rows *rows = NULL;
    tw_arena *arena = tw_arena_new(allocator, 0);
    if (arena != NULL)
        out.code = tw_image_read(arena, path, &image, &out.error);
    if (out.code == TW_OK)
        out.code = tw_rows_open(tw_arena_allocator(arena), &image, &rows, &out.error);
    if (out.code == TW_OK)
        out.code = read_them(rows, &out);
    tw_rows_close(rows);
    tw_arena_free(arena);
    return out;
}

static inline read_rows all_rows(const char *path) {
    test_memory memory = {0};
    tw_allocator allocator = test_allocator(&memory);
    read_rows out = try_rows(&allocator, path);
    assert_ok(out.code, out.error);
    assert_no_leak(memory);
    return out;
}

static inline void free_rows(read_rows *rows) {
    free(rows->bytes);
    rows->bytes = NULL;
}

#endif
