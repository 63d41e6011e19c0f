/* Fuzz target: facts and rows of a TIFF, on whichever of its readers takes it. */
#include "fuzz_rows.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    fuzz_read_rows(bytes, length);
    return 0;
}
