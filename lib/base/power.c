/* Powers in fixed point (see power.h). */
#include "base/power.h"

__extension__ typedef unsigned __int128 wide;
__extension__ typedef __int128 wide_signed;

enum { LOG_BITS = 57, ROOTS = 57 };

/* 2^(-1/2), 2^(-1/4), ... with 63 bits behind the point: each is the root of the one before it. */
static const uint64_t roots[ROOTS] = {
    0x5A827999FCEF3242, 0x6BA27E656B4EB57A, 0x75606373EE921C97, 0x7A92BE8A92436616,
    0x7D41D96DB915019D, 0x7E9F06067A4360BA, 0x7F4F08AE3DC7C426, 0x7FA765ACA88F6453,
    0x7FD3AB290E46D769, 0x7FE9D3A8E07BF086, 0x7FF4E9597BED93AB, 0x7FFA748DFF8DC61F,
    0x7FFD3A3F50020332, 0x7FFE9D1DBC0A75AA, 0x7FFF4E8E6306ED59, 0x7FFFA74712C3CDFD,
    0x7FFFD3A381B1FA29, 0x7FFFE9D1BEED018A, 0x7FFFF4E8DEFB81D7, 0x7FFFFA746F5F012F,
    0x7FFFFD3A37A7D0A8, 0x7FFFFE9D1BD1FC58, 0x7FFFFF4E8DE8832D, 0x7FFFFFA746F422D7,
    0x7FFFFFD3A37A09BB, 0x7FFFFFE9D1BD02F2, 0x7FFFFFF4E8DE80FE, 0x7FFFFFFA746F4060,
    0x7FFFFFFD3A37A028, 0x7FFFFFFE9D1BD012, 0x7FFFFFFF4E8DE809, 0x7FFFFFFFA746F404,
    0x7FFFFFFFD3A37A02, 0x7FFFFFFFE9D1BD01, 0x7FFFFFFFF4E8DE81, 0x7FFFFFFFFA746F40,
    0x7FFFFFFFFD3A37A0, 0x7FFFFFFFFE9D1BD0, 0x7FFFFFFFFF4E8DE8, 0x7FFFFFFFFFA746F4,
    0x7FFFFFFFFFD3A37A, 0x7FFFFFFFFFE9D1BD, 0x7FFFFFFFFFF4E8DF, 0x7FFFFFFFFFFA746F,
    0x7FFFFFFFFFFD3A38, 0x7FFFFFFFFFFE9D1C, 0x7FFFFFFFFFFF4E8E, 0x7FFFFFFFFFFFA747,
    0x7FFFFFFFFFFFD3A3, 0x7FFFFFFFFFFFE9D2, 0x7FFFFFFFFFFFF4E9, 0x7FFFFFFFFFFFFA74,
    0x7FFFFFFFFFFFFD3A, 0x7FFFFFFFFFFFFE9D, 0x7FFFFFFFFFFFFF4F, 0x7FFFFFFFFFFFFFA7,
    0x7FFFFFFFFFFFFFD4};

/* The logarithm to base 2 with LOG_BITS bits behind the point; x > 0. */
static int64_t log_of(uint64_t x) {
    int top = 63;
    while ((x >> top) == 0)
        top--;
    uint64_t m = top > 62 ? x >> 1 : x << (62 - top); /* 1 <= m < 2, 62 bits behind the point */
    uint64_t bits = 0;
    for (int i = 0; i < LOG_BITS; i++) {
        wide square = (wide)m * m >> 62;
        bits <<= 1;
        if (square >> 63 != 0) {
            bits |= 1;
            square >>= 1;
        }
        m = (uint64_t)square;
    }
    return (int64_t)(top - 60) * (INT64_C(1) << LOG_BITS) + (int64_t)bits;
}

/* 2^y in 60-bit fixed point. With n the whole number above y, that is 2^n times 2^-(n - y). */
static uint64_t power_of_two(wide_signed y) {
    wide_signed one = (wide_signed)1 << LOG_BITS;
    wide_signed n = y <= 0 ? -(-y / one) : (y + one - 1) / one;
    uint64_t below = (uint64_t)(n * one - y);
    uint64_t result = UINT64_C(1) << 63; /* 1, 63 bits behind the point */
    if (n > 4)
        return UINT64_MAX;
    if (n < -60)
        return 0;
    for (int i = 0; i < ROOTS; i++)
        if ((below >> (LOG_BITS - 1 - i) & 1) != 0)
            result = (uint64_t)((wide)result * roots[i] >> 63);
    if (n == 4)
        return result >> 63 != 0 ? UINT64_MAX : result << 1;
    return result >> (3 - (int)n);
}

uint64_t tw_power(uint64_t x, uint32_t up, uint32_t down) {
    if (up == 0)
        return TW_POWER_ONE;
    return x == 0 ? 0 : power_of_two((wide_signed)log_of(x) * up / down);
}
