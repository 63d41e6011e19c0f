/* Images of four flat quarters, whose places can be told in any rendering. */
#ifndef OUTSIDE_FLAT_IMAGE_H
#define OUTSIDE_FLAT_IMAGE_H

#include <stddef.h>
#include <stdint.h>

typedef struct flat_image {
    uint32_t width, height;
    unsigned char corner[4][3]; /* RGB: top left, top right, bottom left, bottom right */
    int orientation;            /* Exif, CIPA DC-008 tag 274; 0 = no Exif */
} flat_image;

/* sRGB, 8 bits. Any failure ends the program: it is the test's own. */
void flat_png(const char *path, const flat_image *what);
/* Quality 95, colours not subsampled. */
void flat_jpeg(const char *path, const flat_image *what);
/* LZW in strips, the orientation in the TIFF's own tag 274. */
void flat_tiff(const char *path, const flat_image *what);

#endif
