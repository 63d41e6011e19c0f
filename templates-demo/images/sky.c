/* The sky: a gradient, the glow about the sun, clouds drawn on a flat sheet overhead; the haze
 * between the eye and the land takes its colour from the sky behind it. */
#include <math.h>

#include "noise.h"
#include "scene.h"

colour colour_mix(colour a, colour b, float part) {
    return (colour){mix(a.r, b.r, part), mix(a.g, b.g, part), mix(a.b, b.b, part)};
}

colour colour_scale(colour a, float by) {
    return (colour){a.r * by, a.g * by, a.b * by};
}

colour colour_add(colour a, colour b) {
    return (colour){a.r + b.r, a.g + b.g, a.b + b.b};
}

/* The square of how far from the sun, in half picture heights. */
static float from_sun(const scene *s, float right, float up) {
    float dx = right - (s->sun_x - 0.5f) / s->lens;
    float dy = up - s->sun_y * ((float)s->height / (float)s->width) / s->lens;
    float half = 0.5f * ((float)s->height / (float)s->width) / s->lens;
    return (dx * dx + dy * dy) / (half * half);
}

static colour add_clouds(const scene *s, colour sky, float right, float up, float glow) {
    float flat = 1 / (up + 0.06f), x = right * flat * 2.1f, y = flat * 2.4f;
    float warp = noise_sum(x * 0.7f + 5, y * 0.7f, 3);
    float thick = noise_sum(x + warp * 1.3f, y * 1.6f + warp, 5) + 0.35f * warp;
    float cover = smooth(0.42f - 0.8f * s->clouds, 0.95f - 0.8f * s->clouds, thick);
    cover *= smooth(0.0f, 0.10f, up) * (s->night ? 0.5f : 1);
    float lit = clamp01(
        0.5f + 1.4f * (thick - noise_sum(x + warp * 1.3f + 0.10f, y * 1.6f + warp - 0.14f, 3)));
    colour dark = colour_mix(s->zenith, s->haze, 0.55f);
    colour bright = colour_add(colour_scale(s->sun, 0.55f + 0.9f * glow), colour_scale(dark, 0.5f));
    return colour_mix(sky, colour_mix(colour_scale(dark, 0.9f), bright, lit * 0.8f), cover * 0.85f);
}

static colour add_stars(colour sky, float right, float up) {
    uint32_t cell = noise_scatter((uint32_t)(int)floorf(right * 1900 + 40000),
                                  (uint32_t)(int)floorf(up * 1900));
    if (cell % 997 > 1)
        return sky;
    float bright = 0.03f + (float)(cell >> 16 & 255) / 255 * (float)(cell >> 24 & 255) / 255 * 0.8f;
    return colour_add(sky, (colour){bright, bright, bright * 1.1f});
}

colour sky_colour(const scene *s, float right, float up) {
    float tall = (float)s->height / (float)s->width * s->horizon / s->lens;
    float part = clamp01(up / tall), away = from_sun(s, right, up);
    float ease = 1 - (1 - part) * (1 - part) * (1 - 0.3f * part);
    colour sky = colour_mix(s->low_sky, s->zenith, ease);
    float wide = 1 / (1 + 5 * away), narrow = 1 / (1 + 90 * away);
    sky = colour_add(sky, colour_scale(s->sun, (0.35f * wide * wide + 0.5f * narrow * narrow) *
                                                   (s->night ? 0.12f : 1)));
    if (s->night)
        sky = add_stars(sky, right, up);
    if (s->clouds > 0)
        sky = add_clouds(s, sky, right, up, wide);
    float disc = s->night ? 0.0030f : 0.0009f;
    return colour_add(
        sky, colour_scale(s->sun, (s->night ? 2.2f : 5) * (1 - smooth(disc * 0.85f, disc, away))));
}

colour sky_haze(const scene *s, float right, colour seen, float distance, float height) {
    float thin = 0.35f + 0.65f * fade((height < 0 ? 0 : height) / 1400);
    float haze = 1 - fade(distance / s->haze_reach * thin);
    float low = s->fog * fade((height < 0 ? 0 : height) / s->fog_top) *
                (1 - fade(distance / (s->haze_reach * 0.12f))) *
                (0.65f + 0.35f * noise_sum(right * 9, distance * 0.0006f, 4));
    float glow = 1 / (1 + 4 * from_sun(s, right, 0));
    colour veil = colour_add(colour_mix(s->haze, s->low_sky, 0.35f),
                             colour_scale(s->sun, 0.30f * glow * glow * (s->night ? 0.1f : 1)));
    return colour_mix(seen, veil, 1 - (1 - haze) * (1 - clamp01(low)));
}
