/*
 * Draws a scene column by column: one walk from near to far over the land gives what stands in
 * each row and, seen from the mirrored eye under the water, what the lake reflects.
 */
#include <math.h>
#include <stdlib.h>

#include "noise.h"
#include "scene.h"

typedef struct column {
    const scene *s;
    int rows;
    float focal, horizon, right;
    colour *seen, *mirror; /* rows each; mirror: as if the lake were a mirror in the horizon */
    float *water;          /* distance of the water in a row, 0: none */
    float top, mirror_top; /* rows from here down are taken */
    colour last, mirror_last;
} column;

/* Fill rows from `y` down to what is taken, easing from the colour last put there. */
static void fill(const column *c, colour *rows, float y, float *top, colour *last, colour now) {
    int from = (int)ceilf(y < 0 ? 0 : y), to = (int)ceilf(*top) - 1;
    float span = *top - y;
    to = to < c->rows ? to : c->rows - 1;
    for (int row = from; row <= to; row++)
        rows[row] = span > 24 ? now : colour_mix(now, *last, ((float)row - y) / span);
    *top = y;
    *last = now;
}

static void fill_water(column *c, float y, float distance) {
    int from = (int)ceilf(y < 0 ? 0 : y), to = (int)ceilf(c->top) - 1;
    to = to < c->rows ? to : c->rows - 1;
    for (int row = from; row <= to; row++)
        c->water[row] = distance;
    c->top = y;
}

static void step(column *c, float z) {
    const scene *s = c->s;
    float x = c->right * z, h = land_height(s, x, z, z < 9000 ? 9 : 7);
    float y = c->horizon - c->focal * ((h > 0 ? h : 0) - s->eye) / z;
    if (h <= 0) {
        if (y < c->top)
            fill_water(c, y, z);
        return;
    }
    float mirrored = c->horizon - c->focal * (h + s->eye) / z;
    bool visible = y < c->top, reflected = mirrored < c->mirror_top;
    if (!visible && !reflected)
        return;
    colour now = sky_haze(s, c->right, land_colour(s, x, z, h), z, h);
    if (visible)
        fill(c, c->seen, y, &c->top, &c->last, now);
    if (reflected)
        fill(c, c->mirror, mirrored, &c->mirror_top, &c->mirror_last, now);
}

static void walk(column *c) {
    const scene *s = c->s;
    float reach = s->haze_reach * 4 < 60000 ? s->haze_reach * 4 : 60000;
    c->top = (float)c->rows;
    c->mirror_top = c->horizon;
    for (int row = 0; row < c->rows; row++)
        c->water[row] = 0;
    float z = s->shore * 0.12f;
    while (z < reach) {
        step(c, z);
        z *= 1.0030f; /* a step grows as what it covers on the page shrinks */
    }
    int sky = (int)ceilf(c->top), mirror = (int)ceilf(c->mirror_top);
    for (int row = 0; row < c->rows && row < (sky > mirror ? sky : mirror); row++) {
        colour seen = sky_colour(s, c->right, (c->horizon - (float)row) / c->focal);
        if (row < sky)
            c->seen[row] = seen;
        if (row < mirror)
            c->mirror[row] = seen;
    }
}

/* Between land's end and the horizon nothing may stay undrawn: what no step reached is water. */
static float water_distance(const column *c, int row) {
    float down = (float)row - c->horizon;
    return down > 0.5f ? c->focal * c->s->eye / down : 0;
}

static colour water_colour(const column *c, int row, float distance) {
    const scene *s = c->s;
    float x = c->right * distance, wave = 0, share = 1, scale = 0.30f;
    for (int i = 0; i < 4; i++, share *= 0.6f, scale *= 2.3f)
        wave += share * noise_at(x * scale * 0.22f + 7.7f * (float)i, distance * scale);
    /* Far waves are finer than a row: what is left of them is a blur of their slopes. */
    float calm =
        0.25f + 0.75f * smooth(-0.25f, 0.35f, noise_sum(x * 0.004f, distance * 0.0015f, 3));
    float down = (float)row - c->horizon, reach = down / (float)c->rows;
    float pull = s->ripple * calm * wave * (float)c->rows * (0.004f + 0.22f * reach);
    float at = 2 * c->horizon - (float)row - (pull < 0 ? -pull : pull * 0.35f);
    int up = at < 0 ? 0 : at > c->horizon - 1 ? (int)c->horizon - 1 : (int)at;
    colour mirror = c->mirror[up];
    float angle = s->eye / distance, clear = 0.55f * smooth(0.02f, 0.5f, angle);
    colour deep = colour_mix(colour_scale(s->zenith, 0.16f), (colour){0.004f, 0.016f, 0.02f}, 0.5f);
    colour lake = colour_mix(colour_scale(mirror, 0.90f - 0.06f * s->ripple), deep, clear);
    return sky_haze(s, c->right, lake, distance, 0);
}

static void add_water(column *c) {
    for (int row = (int)c->horizon; row < c->rows; row++)
        if (c->water[row] > 0) {
            float distance = water_distance(c, row);
            c->seen[row] = water_colour(c, row, distance > 0 ? distance : c->water[row]);
        }
}

/* A shoulder for the bright parts, and the fine grain of a sensor. */
static uint16_t expose(float light, uint32_t grain) {
    float value = light < 0.55f ? light : 0.55f + 0.45f * (1 - 1 / (1 + (light - 0.55f) / 0.45f));
    float noise = ((float)(grain & 255) + (float)(grain >> 8 & 255) - 255.0f) / 255.0f;
    value += noise * 0.006f * sqrtf(value + 0.0004f);
    return value <= 0 ? 0 : value >= 1 ? 65535 : (uint16_t)lroundf(value * 65535.0f);
}

/* What a photographer does last: a little veil off, a little more colour. */
static colour finish(colour seen) {
    float light = 0.2126f * seen.r + 0.7152f * seen.g + 0.0722f * seen.b;
    float deep = light * (0.62f + 0.9f * smooth(0, 0.55f, light)), more = 1.22f;
    colour out = {deep + (seen.r - light) * more, deep + (seen.g - light) * more,
                  deep + (seen.b - light) * more};
    return out;
}

static void put_column(const column *c, uint32_t x, uint16_t *pixels) {
    uint32_t width = c->s->width;
    for (int row = 0; row < c->rows; row++) {
        uint16_t *out = pixels + ((size_t)row * width + x) * 3;
        uint32_t grain = noise_scatter(c->s->seed + x, (uint32_t)row);
        colour seen = finish(c->seen[row]);
        out[0] = expose(seen.r, grain);
        out[1] = expose(seen.g, grain >> 7 ^ grain << 3);
        out[2] = expose(seen.b, grain >> 15 ^ grain << 5);
    }
}

static void draw(column *c, uint16_t *pixels) {
    const scene *s = c->s;
    for (uint32_t x = 0; x < s->width; x++) {
        c->right = ((float)x + 0.5f - (float)s->width * 0.5f) / c->focal;
        walk(c);
        add_water(c);
        put_column(c, x, pixels);
    }
}

uint16_t *render(const scene *s) {
    size_t rows = s->height;
    column c = {.s = s, .rows = (int)rows, .focal = (float)s->width * s->lens};
    uint16_t *pixels = malloc(rows * s->width * 3 * sizeof *pixels);
    c.seen = calloc(rows, sizeof *c.seen);
    c.mirror = calloc(rows, sizeof *c.mirror);
    c.water = calloc(rows, sizeof *c.water);
    c.horizon = floorf((float)rows * s->horizon);
    noise_prepare(s->seed);
    if (pixels != NULL && c.seen != NULL && c.mirror != NULL && c.water != NULL)
        draw(&c, pixels);
    else {
        free(pixels);
        pixels = NULL;
    }
    free(c.seen);
    free(c.mirror);
    free(c.water);
    return pixels;
}
