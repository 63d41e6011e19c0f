/* Fuzz target: an Exif block gives an orientation of 1 to 8 and two densities or none. */
#include "fuzz.h"
#include "image/image.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length) {
    int orientation = 1;
    int64_t x = 0, y = 0;
    tw_exif_read(bytes, length, &orientation, &x, &y);
    must(orientation >= 1 && orientation <= 8);
    must(x >= 0 && y >= 0 && (x == 0) == (y == 0));
    return 0;
}
