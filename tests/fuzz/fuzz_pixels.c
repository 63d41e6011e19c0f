/* Fuzz target: an image's pixels on whichever road it takes; never more bytes than the bound. */
#include "fuzz_image.h"
#include "pixels/pixels.h"

enum { PIXELS_MOST = 1 << 14 }; /* larger ones only cost time */

static tw_code pull_all(tw_pixels *pixels, int64_t bound, tw_error *error) {
    unsigned char buffer[4096];
    size_t got = 1;
    int64_t total = 0;
    while (got > 0) {
        tw_code code = tw_pixels_pull(pixels, buffer, sizeof buffer, &got, error);
        if (code != TW_OK)
            return code;
        total += (int64_t)got;
        must(total <= bound);
    }
    return TW_OK;
}

static void read_pixels(const uint8_t *bytes, size_t length) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_image image;
    tw_pixels *pixels = NULL;
    tw_pixels_form form;
    tw_error error = {0};
    fuzz_write(bytes, length);
    tw_code code = tw_image_read(arena, fuzz_path, &image, &error);
    if (code == TW_OK && (uint64_t)image.width * image.height <= PIXELS_MOST) {
        code = tw_pixels_open(tw_arena_allocator(arena), &image, &pixels, &form, &error);
        if (code == TW_OK)
            code = pull_all(pixels, tw_pixels_bound(&image), &error);
    }
    if (code != TW_OK)
        must_be_sound(&error, code);
    tw_pixels_close(pixels);
    tw_arena_free(arena);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    uint8_t *mended = fuzz_mend_png(bytes, length);
    read_pixels(bytes, length);
    read_pixels(mended, length);
    free(mended);
    return 0;
}
