/* One tone curve, out of a profile or sRGB's: from a value to its light (see tone.h). */
#include <string.h>

#include "base/power.h"
#include "colour/tone.h"
#include "image/source.h"

__extension__ typedef __int128 wide;

#define FULL ((int64_t)1 << TW_TONE_BITS)

/* ------------------------------------------------ finding it */

/* The data of a tag (ICC.1:2010, 7.3); the table itself is known to lie inside. */
static const unsigned char *find_tag(const unsigned char *profile, size_t length, const char *name,
                                     size_t *size) {
    size_t count = tw_big32(profile + 128);
    for (size_t i = 0; i < count && 144 + 12 * i <= length; i++) {
        const unsigned char *entry = profile + 132 + 12 * i;
        size_t at = tw_big32(entry + 4), bytes = tw_big32(entry + 8);
        if (memcmp(entry, name, 4) != 0)
            continue;
        if (at > length || bytes > length - at || bytes < 12)
            return NULL;
        *size = bytes;
        return profile + at;
    }
    return NULL;
}

/* curveType: no entry is a straight line, one is a power as u8Fixed8, more are a table. */
static bool read_curve(const unsigned char *data, size_t size, tw_curve *out) {
    uint32_t count = tw_big32(data + 8);
    if (count > 1u << 20 || size < 12 + 2 * (size_t)count)
        return false;
    out->kind = count == 0 ? TW_CURVE_LINE : count == 1 ? TW_CURVE_POWER : TW_CURVE_TABLE;
    if (count == 1)
        out->parts = (tw_curve_parts){.g = (int32_t)tw_big16(data + 12) << 8, .a = 1 << 16};
    out->table = data + 12;
    out->count = count;
    return true;
}

/* parametricCurveType, Table 65: which parts each type has, in their order. The lower part of
 * type 1 is 0 and of type 2 its third number; both begin where a v + b is 0. */
static bool read_parametric(const unsigned char *data, size_t size, tw_curve *out) {
    static const size_t counts[] = {1, 3, 4, 5, 7};
    int32_t numbers[7] = {0, 1 << 16, 0, 0, 0, 0, 0};
    unsigned type = tw_big16(data + 8);
    if (type > 4 || size < 12 + 4 * counts[type])
        return false;
    for (size_t i = 0; i < counts[type]; i++)
        numbers[i] = (int32_t)tw_big32(data + 12 + 4 * i);
    out->kind = TW_CURVE_POWER;
    out->parts = (tw_curve_parts){.g = numbers[0], .a = numbers[1], .b = numbers[2]};
    if (type == 2)
        out->parts.e = out->parts.f = numbers[3];
    if (type >= 3) {
        out->parts.c = numbers[3];
        out->parts.d = numbers[4];
        out->parts.e = numbers[5];
        out->parts.f = numbers[6];
    } else if (out->parts.a != 0 && type > 0) {
        int64_t begins = -((int64_t)out->parts.b * 65536) / out->parts.a;
        out->parts.d = begins < 0 ? 0 : begins > 1 << 17 ? 1 << 17 : (int32_t)begins;
    }
    return numbers[0] > 0;
}

bool tw_curve_find(const unsigned char *profile, size_t length, const char *name, tw_curve *out) {
    size_t size = 0;
    const unsigned char *data = find_tag(profile, length, name, &size);
    *out = (tw_curve){0};
    if (data == NULL)
        return false;
    if (memcmp(data, "curv", 4) == 0)
        return read_curve(data, size, out);
    return memcmp(data, "para", 4) == 0 && read_parametric(data, size, out);
}

/* ------------------------------------------------ its values */

static uint32_t within(wide light) {
    return light < 0 ? 0 : light > FULL ? (uint32_t)FULL : (uint32_t)light;
}

/* 60 bits behind the point to TW_TONE_BITS, half up. */
static wide shorter(uint64_t power) {
    return ((wide)power + ((wide)1 << (59 - TW_TONE_BITS))) >> (60 - TW_TONE_BITS);
}

/* IEC 61966-2-1: v / 12.92 up to 0.04045, else ((v + 0.055) / 1.055)^2.4. */
static uint32_t srgb_light(uint32_t over, uint32_t under) {
    if ((uint64_t)over * 100000 <= (uint64_t)under * 4045)
        return within(((wide)over * FULL * 25 * 2 + (wide)323 * under) / ((wide)under * 323 * 2));
    wide base = ((wide)over * 1000 + (wide)under * 55) * (wide)TW_POWER_ONE / ((wide)under * 1055);
    return within(shorter(tw_power((uint64_t)base, 12, 5)));
}

/* s15Fixed16 times a value, 16 + 44 bits behind the point. */
static wide times(int32_t number, uint32_t over, uint32_t under) {
    return (number * ((wide)1 << 44) * over) / under;
}

static uint32_t power_light(const tw_curve_parts *p, uint32_t over, uint32_t under) {
    wide longer = (wide)1 << (TW_TONE_BITS - 16); /* s15Fixed16 to light */
    if ((int64_t)over * 65536 < (int64_t)p->d * under)
        return within((times(p->c, over, under) >> (60 - TW_TONE_BITS)) + p->f * longer);
    wide base = times(p->a, over, under) + p->b * ((wide)1 << 44);
    if (base < 0)
        base = 0;
    if (base >> 63 != 0)
        base = (wide)INT64_MAX; /* 8: far over full light */
    return within(shorter(tw_power((uint64_t)base, (uint32_t)p->g, 1 << 16)) + p->e * longer);
}

static uint32_t table_light(const tw_curve *curve, uint32_t over, uint32_t under) {
    uint64_t at = (uint64_t)over * (curve->count - 1);
    uint64_t low = at / under, part = at % under;
    uint64_t high = low + 1 < curve->count ? low + 1 : low;
    wide mix = (wide)tw_big16(curve->table + 2 * low) * (under - part) +
               (wide)tw_big16(curve->table + 2 * high) * part;
    wide whole = (wide)65535 * under;
    return within((2 * mix * FULL + whole) / (2 * whole));
}

uint32_t tw_curve_light(const tw_curve *curve, uint32_t over, uint32_t under) {
    switch (curve->kind) {
    case TW_CURVE_SRGB:
        return srgb_light(over, under);
    case TW_CURVE_LINE:
        return within(((wide)over * FULL * 2 + under) / ((wide)under * 2));
    case TW_CURVE_POWER:
        return power_light(&curve->parts, over, under);
    default:
        return table_light(curve, over, under);
    }
}
