/*
 * The two things a print needs from an Exif block: how the picture stands (tag 274) and its
 * resolution (tags 282, 283, 296). Exif 2.32 is TIFF 6.0 in structure: a header that gives the
 * byte order, then a directory of twelve-byte entries. What is odd is left aside: a wrong tag
 * must not keep a picture from being printed.
 */
#include "base/length.h"
#include "image/image.h"

enum { SHORT = 3, LONG = 4, RATIONAL = 5 };
enum { ORIENTATION = 274, X_RESOLUTION = 282, Y_RESOLUTION = 283, RESOLUTION_UNIT = 296 };

typedef struct exif_block {
    const unsigned char *bytes;
    size_t length;
    bool big_endian;
} exif_block;

typedef struct exif_ratio {
    uint32_t over, under;
} exif_ratio;

/* `count` bytes at `at` as a number, 0 where the block ends before. */
static uint32_t number(const exif_block *block, size_t at, size_t count) {
    if (at > block->length || block->length - at < count)
        return 0;
    uint32_t value = 0;
    for (size_t i = 0; i < count; i++) {
        size_t place = block->big_endian ? i : count - 1 - i;
        value = value << 8 | block->bytes[at + place];
    }
    return value;
}

/* A single SHORT or LONG; other types and counts give 0, which no tag here allows. */
static uint32_t whole(const exif_block *block, size_t entry) {
    uint32_t type = number(block, entry + 2, 2);
    if (number(block, entry + 4, 4) != 1 || (type != SHORT && type != LONG))
        return 0;
    return number(block, entry + 8, type == SHORT ? 2 : 4);
}

static exif_ratio ratio(const exif_block *block, size_t entry) {
    if (number(block, entry + 4, 4) != 1 || number(block, entry + 2, 2) != RATIONAL)
        return (exif_ratio){0, 0};
    size_t at = number(block, entry + 8, 4);
    return (exif_ratio){number(block, at, 4), number(block, at + 4, 4)};
}

int64_t tw_per_metre(uint32_t over, uint32_t under, uint64_t unit) {
    if (over == 0 || under == 0)
        return 0;
    if (unit == 2)
        return tw_scale(over, 10000, (int64_t)under * 254);
    return unit == 3 ? tw_scale(over, 100, under) : 0;
}

/* Where the first directory's entries begin and how many it says there are (those past the block
 * read as nothing); 0 entries when it is no Exif. */
static size_t directory(exif_block *block, size_t *entries) {
    *entries = 0;
    if (block->length < 8 || block->bytes[0] != block->bytes[1])
        return 0;
    if (block->bytes[0] != 'I' && block->bytes[0] != 'M')
        return 0;
    block->big_endian = block->bytes[0] == 'M';
    size_t at = number(block, 4, 4);
    if (number(block, 2, 2) != 42 || at < 8 || at > block->length - 2)
        return 0;
    *entries = number(block, at, 2);
    return at + 2;
}

void tw_exif_read(const unsigned char *bytes, size_t length, int *orientation, int64_t *density_x,
                  int64_t *density_y) {
    exif_block block = {bytes, length, false};
    exif_ratio x = {0, 0}, y = {0, 0};
    uint32_t unit = 2; /* the default of tag 296 */
    size_t entries;
    size_t at = directory(&block, &entries);
    for (; entries > 0; entries--, at += 12) {
        uint32_t tag = number(&block, at, 2);
        if (tag == ORIENTATION && whole(&block, at) >= 1 && whole(&block, at) <= 8)
            *orientation = (int)whole(&block, at);
        else if (tag == RESOLUTION_UNIT)
            unit = whole(&block, at);
        else if (tag == X_RESOLUTION)
            x = ratio(&block, at);
        else if (tag == Y_RESOLUTION)
            y = ratio(&block, at);
    }
    int64_t across = tw_per_metre(x.over, x.under, unit);
    int64_t down = tw_per_metre(y.over, y.under, unit);
    if (across > 0 && down > 0) {
        *density_x = across;
        *density_y = down;
    }
}
