/*
 * The photographs of `trimwell start`: small landscapes drawn in whole numbers, so that every
 * machine draws the same. Private to lib/trimwell*.c.
 */
#ifndef TW_API_SCENE_H
#define TW_API_SCENE_H

#include "base/error.h"
#include "base/text.h"

typedef struct tw_scene {
    const char *name; /* of the file */
    uint32_t width, height, seed;
    int water;                     /* where the lake begins, percent of the height */
    int sun_x, sun_y;              /* percent of width and height */
    unsigned char high[3], low[3]; /* the sky above and at the horizon */
    unsigned char far[3], near[3]; /* the farthest ridge and the nearest */
} tw_scene;

/* The scene as an RGB PNG of 8 bits tagged sRGB, added to `out`. */
TW_USE_RESULT tw_code tw_scene_png(const tw_scene *scene, tw_buffer *out, tw_error *error);

#endif
