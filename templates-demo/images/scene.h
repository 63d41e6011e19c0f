/* What a picture shows and how it is stored; and the parts that draw it. */
#ifndef IMAGES_SCENE_H
#define IMAGES_SCENE_H

#include <stdbool.h>
#include <stdint.h>

typedef struct colour {
    float r, g, b; /* linear light, Rec. 709 primaries, 1 = paper white */
} colour;

typedef enum look { LOOK_STANDARD_RGB, LOOK_WIDE_RGB, LOOK_GREY } look;

typedef struct scene {
    const char *file;
    uint32_t width, height; /* upright */
    uint32_t seed;
    look profile;
    int bits;
    bool jpeg;
    int orientation; /* Exif; 6: stored a quarter turn anticlockwise from upright */
    /* the camera: where the horizon lies (of the height), how wide it sees, metres above water */
    float horizon, lens, eye;
    /* the sun: of the width and of the height above the horizon; how strong */
    float sun_x, sun_y, sun_power;
    colour sun, zenith, low_sky, haze;
    float haze_reach;   /* metres until most is haze */
    float fog, fog_top; /* in the valleys, 0 .. 1, and metres to where it thins out */
    float clouds;       /* 0 .. 1 */
    bool night;         /* stars, and the sun is a moon */
    /* the land: metres */
    float shore;      /* where it begins */
    float tall, wide; /* of the mountains, and of the ground they cover */
    float valley;     /* half width of the valley in the middle */
    float snow_line, tree_line;
    colour rock, trees, grass;
    float ripple; /* of the water */
} scene;

/* land.c */
float land_height(const scene *s, float x, float z, int octaves);
/* The land's light at a point, without haze; `h` is its height there. */
colour land_colour(const scene *s, float x, float z, float h);
void land_sun(const scene *s, float direction[3]); /* towards the sun: right, up, away */

/* sky.c: seen in direction (right, up) of one unit away. */
colour sky_colour(const scene *s, float right, float up);
colour sky_haze(const scene *s, float right, colour seen, float distance, float height);

/* render.c: 16-bit linear RGB, row by row; NULL when there is no memory. Free with free. */
uint16_t *render(const scene *s);

colour colour_mix(colour a, colour b, float part);
colour colour_scale(colour a, float by);
colour colour_add(colour a, colour b);

#endif
