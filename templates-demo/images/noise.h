/*
 * Noise for the demo's landscapes: one table of scattered values, smoothed. Plain IEEE sums and
 * products, no library curves: every machine gets the same picture.
 */
#ifndef IMAGES_NOISE_H
#define IMAGES_NOISE_H

#include <stdint.h>

void noise_prepare(uint32_t seed);
uint32_t noise_scatter(uint32_t a, uint32_t b);
/* Smooth value noise, -1 .. 1; with its slope in both directions. */
float noise_at(float x, float y);
float noise_slope(float x, float y, float *dx, float *dy);
/* `octaves` of it, each half as high and twice as fine: about -1 .. 1. */
float noise_sum(float x, float y, int octaves);

float clamp01(float x);
float smooth(float from, float to, float x); /* 0 below, 1 above, eased between */
float mix(float a, float b, float part);
float fade(float x); /* about exp(-x) for x >= 0, by squaring: 1 down to 0 */

#endif
