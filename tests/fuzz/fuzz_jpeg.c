/* Fuzz target: facts of a JPEG. */
#include "fuzz_image.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    tw_arena *arena = tw_arena_new(NULL, 0);
    tw_image image = {.orientation = 1};
    tw_error error = {0};
    fuzz_write(bytes, length);
    tw_code code = tw_jpeg_read(arena, fuzz_descriptor, (int64_t)length, &image, &error);
    if (code == TW_OK) {
        must_be_facts(&image, length);
        must(image.jpeg_components == 1 || image.jpeg_components == 3 ||
             image.jpeg_components == 4);
    } else {
        must_be_sound(&error, code);
    }
    tw_arena_free(arena);
    return 0;
}
