/*
 * The land: mountains around a valley and its lake. Height is noise whose fine octaves are damped
 * where the coarse ones are steep, which leaves ridges sharp and valleys smooth as if water had
 * worked on them.
 */
#include <math.h>

#include "noise.h"
#include "scene.h"

static float mountains(float x, float y, int octaves) {
    float sum = 0, share = 1, slope_x = 0, slope_y = 0, dx, dy;
    for (int i = 0; i < octaves; i++) {
        float n = noise_slope(x, y, &dx, &dy);
        slope_x += dx;
        slope_y += dy;
        sum += share * n / (1 + slope_x * slope_x + slope_y * slope_y);
        share *= 0.5f;
        float turned = 1.6f * x + 1.2f * y;
        y = 1.6f * y - 1.2f * x;
        x = turned;
    }
    return sum;
}

float land_height(const scene *s, float x, float z, int octaves) {
    float bend = s->valley * noise_at(z / s->wide * 0.8f + 11, 3.1f);
    float side = fabsf(x - bend) / s->valley;
    float open = smooth(0.3f, 2.2f, side);
    float back = smooth(s->shore * 2.5f, s->shore * 9, z);
    float rise = mix(open, 1, back * 0.85f);
    float shape = 0.62f + 0.55f * mountains(x / s->wide, z / s->wide, octaves);
    float h = s->tall * shape * (0.12f + 0.88f * rise);
    /* The lake: the ground sinks below the water nearer than the shore, shore line uneven. */
    float uneven = noise_sum(x / (s->shore * 0.6f), z / (s->shore * 0.6f), 4);
    float near = s->shore * (1 - 0.55f * smooth(0.8f, 3, side)) * (1 + 0.35f * uneven);
    float land = smooth(0.75f, 2.6f, z / near);
    h = h * land - s->tall * 0.05f * (1 - land) + s->tall * 0.02f * (z / near - 1);
    if (h > 0 && h < s->tree_line && octaves > 5) /* the crowns of trees */
        h += 14 *
             smooth(0.05f, 0.4f,
                    noise_at(x * 0.06f, z * 0.02f) * 0.6f +
                        noise_at(x * 0.16f + 9, z * 0.05f) * 0.5f) *
             smooth(0, 12, h) * (1 - smooth(0.7f, 1, h / s->tree_line));
    return h;
}

void land_sun(const scene *s, float direction[3]) {
    float right = (s->sun_x - 0.5f) / s->lens, up = s->sun_y * 0.6f / s->lens;
    /* A sun in the picture lights from behind; turned towards the side it models the slopes. */
    float away = 0.25f;
    if (right > -0.25f && right < 0.25f)
        right = right < 0 ? -0.6f : 0.6f;
    if (up < 0.28f)
        up = 0.28f;
    float length = sqrtf(right * right + up * up + away * away);
    direction[0] = right / length;
    direction[1] = up / length;
    direction[2] = away / length;
}

/* How much sun reaches a point: 1, down to 0 behind a mountain. */
static float sunlit(const scene *s, const float sun[3], float x, float z, float h) {
    float light = 1, step = s->wide * 0.02f;
    for (int i = 1; i <= 7; i++, step *= 1.6f) {
        float over = h + sun[1] * step - land_height(s, x + sun[0] * step, z + sun[2] * step, 3);
        float open = 0.5f + over / (step * 0.10f);
        light = open < light ? open : light;
        if (light <= 0)
            return 0;
    }
    return light;
}

static colour ground(const scene *s, float x, float z, float h, float up) {
    float patch = noise_sum(x * 0.004f, z * 0.004f, 5);
    float fine = noise_sum(x * 0.07f, z * 0.03f, 4);
    colour rock = colour_scale(s->rock, 0.75f + 0.45f * patch + 0.35f * fine);
    colour trees = colour_scale(s->trees, 0.75f + 0.5f * patch + 0.7f * fine);
    colour grass = colour_scale(s->grass, 0.85f + 0.4f * patch + 0.3f * fine);
    float flat = smooth(0.55f, 0.85f, up + 0.12f * patch);
    float high = smooth(0.75f, 1.1f, h / s->tree_line + 0.25f * patch);
    colour green = colour_mix(colour_mix(trees, grass, smooth(0.1f, 0.5f, patch)), grass, high);
    colour bare = colour_mix(rock, grass, flat * 0.5f * (1 - smooth(0.9f, 1.6f, h / s->tree_line)));
    colour seen = colour_mix(bare, green, flat * (1 - high) + (1 - high) * 0.35f);
    float snow = smooth(-0.12f, 0.12f, h / s->snow_line - 1 + 0.35f * patch + 0.1f * fine) *
                 smooth(0.40f, 0.68f, up + 0.15f * fine);
    colour white = {0.86f, 0.89f, 0.95f};
    return colour_mix(seen, white, snow);
}

colour land_colour(const scene *s, float x, float z, float h) {
    float sun[3], reach = 3 + z * 0.0008f;
    land_sun(s, sun);
    float detailed = land_height(s, x, z, 10);
    float nx = (detailed - land_height(s, x + reach, z, 10)) / reach;
    float nz = (detailed - land_height(s, x, z + reach, 10)) / reach;
    float length = sqrtf(nx * nx + 1 + nz * nz);
    float facing = (nx * sun[0] + sun[1] + nz * sun[2]) / length;
    float direct = facing <= 0 ? 0 : facing * sunlit(s, sun, x, z, h + 4) * s->sun_power;
    colour light =
        colour_add(colour_scale(s->sun, direct), colour_scale(s->zenith, 0.30f + 0.30f / length));
    light = colour_add(light, colour_scale(s->low_sky, 0.16f));
    colour base = ground(s, x, z, h, 1 / length);
    return (colour){base.r * light.r, base.g * light.g, base.b * light.b};
}
