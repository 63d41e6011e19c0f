/*
 * The weights of a separable resampling along one axis: which samples make each new one, and by
 * how much. Lanczos: sinc(x) sinc(x / n) for |x| < n lobes, stretched by the scale where samples
 * become fewer, so that what the new grid cannot hold is filtered out (C. Lanczos, Applied
 * Analysis, 1956; K. Turkowski, Filters for Common Resampling Tasks, Graphics Gems I, 1990). Eight
 * lobes where they become fewer keep what the new grid can hold: the energy of a sine to 1 % up to
 * three quarters of its Nyquist frequency. Where they become more, ripples beside edges are as wide
 * as the old pixels and would be seen: four lobes of sinc under Kaiser's window, beta 6.5 (J. F.
 * Kaiser, Nonrecursive digital filter design using the I0-sinh window function, 1974; from memory).
 * They keep a sine's energy to 1 % up to half the old Nyquist frequency, where three lobes of
 * Lanczos keep it to a quarter, overshoot an edge no more (11.6 against 11.8 %), and ripple hardly
 * further: over 1 % up to 1.8 pixels. More lobes reach higher, but ripple over 1 % up to 2.7 and
 * more. At the ends what lies outside is left out and the rest weighs 1 together.
 */
#ifndef TW_PIXELS_RESAMPLE_WEIGHTS_H
#define TW_PIXELS_RESAMPLE_WEIGHTS_H

#include "base/arena.h"
#include "base/error.h"

/* Sample k of the new axis is the sum over i < count of weights[i] times sample first + i. */
typedef struct tw_tap {
    uint32_t first, count;
    const float *weights;
} tw_tap;

typedef struct tw_taps {
    uint32_t from, to, lobes;
    uint32_t open_most; /* new samples that are begun and not done, at most, going along */
    tw_tap *items;      /* `to` of them; neither first nor last sample ever goes back */
    float *weights;     /* owned, behind the items */
} tw_taps;

uint32_t tw_lanczos_lobes(uint32_t from, uint32_t to);
/* For `from` samples that become `to`, both 1 to 10^6. TW_MEMORY alone is an error. */
TW_USE_RESULT tw_code tw_taps_new(const tw_allocator *allocator, uint32_t from, uint32_t to,
                                  tw_taps **out, tw_error *error);
void tw_taps_free(const tw_allocator *allocator, tw_taps *taps); /* NULL allowed */

#endif
