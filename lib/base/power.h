/*
 * Powers in fixed point: the same digits on every machine, which the C library's pow() does not
 * promise. Tone curves are made of them, and tables of curves end up in files.
 */
#ifndef TW_BASE_POWER_H
#define TW_BASE_POWER_H

#include <stdint.h>

/* 1 in the numbers below: 60 bits behind the point, so up to a little under 16 fits. */
#define TW_POWER_ONE (UINT64_C(1) << 60)

/* x to the power up/down; x in 60-bit fixed point, up >= 0, down > 0. 0 to any power above 0 is 0,
 * anything to the power 0 is 1. Good to about 2^-50; what would be 16 or more comes out as
 * UINT64_MAX. Logarithm by repeated squaring, its inverse from the roots of 1/2: D. E. Knuth, The
 * Art of Computer Programming 1.2.2, exercises 25 to 28. */
uint64_t tw_power(uint64_t x, uint32_t up, uint32_t down);

#endif
