/* Drawn light to image files. */
#ifndef IMAGES_STORE_H
#define IMAGES_STORE_H

#include "scene.h"

/* Encode the linear pixels for the scene's profile and write PNG or JPEG to `path`, turned as
 * its Exif orientation undoes. False, with the reason on standard error, when it cannot. */
bool store(const scene *s, const uint16_t *pixels, const char *path);

#endif
