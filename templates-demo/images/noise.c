/* See noise.h. */
#include "noise.h"

#include <stddef.h>

enum { SIDE = 512, MASK = SIDE - 1 };

static float table[SIDE * SIDE];

uint32_t noise_scatter(uint32_t a, uint32_t b) {
    uint32_t h = a * 0x9E3779B1u ^ (b + 0x7F4A7C15u) * 0x85EBCA6Bu;
    h = (h ^ h >> 15) * 0xC2B2AE35u;
    h = (h ^ h >> 13) * 0x27D4EB2Fu;
    return h ^ h >> 16;
}

void noise_prepare(uint32_t seed) {
    for (uint32_t i = 0; i < SIDE * SIDE; i++)
        table[i] = (float)(noise_scatter(seed, i) >> 8) / 8388608.0f - 1.0f;
}

float noise_slope(float x, float y, float *dx, float *dy) {
    int ix = (int)x, iy = (int)y;
    ix -= x < (float)ix; /* floorf is a call on plain x86-64, and this is the innermost loop */
    iy -= y < (float)iy;
    float u = x - (float)ix, v = y - (float)iy;
    float su = u * u * (3 - 2 * u), sv = v * v * (3 - 2 * v);
    const float *low = table + (size_t)(iy & MASK) * SIDE;
    const float *high = table + (size_t)((iy + 1) & MASK) * SIDE;
    float a = low[ix & MASK], b = low[(ix + 1) & MASK];
    float c = high[ix & MASK], d = high[(ix + 1) & MASK];
    float k1 = b - a, k2 = c - a, k3 = a - b - c + d;
    *dx = 6 * u * (1 - u) * (k1 + k3 * sv);
    *dy = 6 * v * (1 - v) * (k2 + k3 * su);
    return a + k1 * su + k2 * sv + k3 * su * sv;
}

float noise_at(float x, float y) {
    float dx, dy;
    return noise_slope(x, y, &dx, &dy);
}

float noise_sum(float x, float y, int octaves) {
    float sum = 0, share = 0.5f;
    for (int i = 0; i < octaves; i++) {
        sum += share * noise_at(x, y);
        share *= 0.5f;
        /* Turned a little each time, so that the grid never lines up. */
        float turned = 1.6f * x + 1.2f * y;
        y = 1.6f * y - 1.2f * x;
        x = turned;
    }
    return sum;
}

float clamp01(float x) {
    return x < 0 ? 0 : x > 1 ? 1 : x;
}

float smooth(float from, float to, float x) {
    float t = clamp01((x - from) / (to - from));
    return t * t * (3 - 2 * t);
}

float mix(float a, float b, float part) {
    return a + (b - a) * part;
}

float fade(float x) {
    float y = 1 - x / 16; /* (1 - x/16)^16 */
    if (y <= 0)
        return 0;
    y *= y;
    y *= y;
    y *= y;
    return y * y;
}
