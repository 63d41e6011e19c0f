/* Fuzz target: facts of a PNG, as it comes and with its check sums put right. */
#include "fuzz_image.h"

static void read_facts(const uint8_t *bytes, size_t length) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_image image = {.orientation = 1};
    tw_error error = {0};
    fuzz_write(bytes, length);
    tw_code code = tw_png_read(arena, fuzz_descriptor, (int64_t)length, &image, &error);
    if (code == TW_OK)
        must_be_facts(&image, length);
    else
        must_be_sound(&error, code);
    tw_arena_free(arena);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    uint8_t *mended = fuzz_mend_png(bytes, length);
    read_facts(bytes, length);
    read_facts(mended, length);
    free(mended);
    return 0;
}
