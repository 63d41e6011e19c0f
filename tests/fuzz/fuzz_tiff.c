/* Fuzz target: facts and rows of a TIFF, on whichever of its readers takes it. */
#include "fuzz_image.h"
#include "output/rows.h"

enum { PIXELS_MOST = 1 << 14 }; /* larger ones only cost time */

static tw_code read_rows(tw_rows *rows, tw_error *error) {
    unsigned char *row = malloc(rows->form.row_bytes);
    tw_code code = TW_OK;
    must(row != NULL);
    for (uint32_t y = 0; code == TW_OK && y < rows->form.height; y++)
        code = tw_rows_next(rows, row, error);
    free(row);
    return code == TW_OK ? tw_rows_end(rows, error) : code;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_image image;
    tw_rows *rows = NULL;
    tw_error error = {0};
    fuzz_write(bytes, length);
    tw_code code = tw_image_read(arena, fuzz_path, &image, &error);
    if (code == TW_OK)
        must_be_facts(&image, length);
    if (code == TW_OK && (uint64_t)image.width * image.height <= PIXELS_MOST) {
        code = tw_rows_open(tw_arena_allocator(arena), &image, &rows, &error);
        if (code == TW_OK)
            code = read_rows(rows, &error);
    }
    if (code != TW_OK)
        must_be_sound(&error, code);
    tw_rows_close(rows);
    tw_arena_free(arena);
    return 0;
}
