/* A PDF's first page as pixels, by three renderers that share no code. */
#ifndef OUTSIDE_RASTER_H
#define OUTSIDE_RASTER_H

#include "outside.h"

typedef enum renderer { POPPLER, MUPDF, GHOSTSCRIPT } renderer;
#define RENDERERS 3
extern const char *const renderer_names[RENDERERS];

typedef struct raster {
    int width, height, channels; /* 1 grey, 3 RGB */
    unsigned char *pixels;       /* rows from the top; free it */
} raster;

/* Without smoothing, so that an edge is a pixel's edge. */
raster render(renderer with, const char *file, int dpi, bool colour);

/* One channel; fails the test outside the raster. */
int pixel_at(const raster *r, int x, int y, int channel);

#endif
