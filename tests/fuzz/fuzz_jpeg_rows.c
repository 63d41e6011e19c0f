/* Fuzz target: facts and rows of a JPEG. Other kinds are other targets' work. */
#include "fuzz_rows.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    if (length < 2 || memcmp(bytes, "\xFF\xD8", 2) != 0)
        return -1;
    fuzz_read_rows(bytes, length);
    return 0;
}
