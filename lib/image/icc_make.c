/* ICC.1:2001-04 (version 2.4): header, tag table, and the few tags a display profile needs. */
#include "image/icc_make.h"

#include <string.h>

#include "base/power.h"
#include "image/source.h"

#define CURVE 1024
#define HEADER 128

__extension__ typedef unsigned __int128 wide;

/* Products of fractions with 60 bits behind the point. */
static wide times(wide a, wide b) {
    return (a * b) >> 60;
}

/* IEC 61966-2-1: v / 12.92 up to 0.04045, else ((v + 0.055) / 1.055)^2.4. No power function is
 * called, as its last bits differ between machines: y = x^(12/5) is found as the largest y with
 * y^5 <= x^12, halfway values between. */
unsigned tw_srgb_linear(unsigned i) {
    unsigned low = 0, high = 65535;
    wide x = (((wide)1000 * i + (wide)55 * 1023) << 60) / ((wide)1055 * 1023);
    if (i * 100000 <= 4045 * 1023)
        return (65535u * 100u * i + 1023u * 646u) / (1023u * 1292u);
    wide x3 = times(times(x, x), x), x6 = times(x3, x3), x12 = times(x6, x6);
    while (low < high) {
        unsigned k = low + (high - low + 1) / 2;
        wide y = ((wide)(2 * k - 1) << 60) / 131070, y2 = times(y, y);
        if (times(times(y2, y2), y) <= x12)
            low = k;
        else
            high = k - 1;
    }
    return low;
}

/* Four letters. */
static void put_name(unsigned char *at, const char *name) {
    for (int i = 0; i < 4; i++)
        at[i] = (unsigned char)name[i];
}

static void add(tw_buffer *out, const void *bytes, size_t length) {
    tw_buffer_add(out, bytes, length);
}

static void add32(tw_buffer *out, uint32_t value) {
    unsigned char bytes[4];
    tw_put_big32(bytes, value);
    add(out, bytes, 4);
}

/* XYZType, s15Fixed16 (ICC.1, 6.5.26). */
static void add_xyz(tw_buffer *out, uint32_t x, uint32_t y, uint32_t z) {
    add(out, "XYZ \0\0\0\0", 8);
    add32(out, x);
    add32(out, y);
    add32(out, z);
}

/* Light of value i of 0..1023 on the recipe's curve, in 0..65535. */
static unsigned light_of(const tw_icc_recipe *recipe, unsigned i) {
    if (recipe->up == 0)
        return tw_srgb_linear(i);
    uint64_t value = (uint64_t)(((wide)i << 60) / (CURVE - 1));
    wide light = (wide)65535 * tw_power(value, recipe->up, recipe->down);
    return (unsigned)((light + TW_POWER_ONE / 2) >> 60);
}

static void add_curve(const tw_icc_recipe *recipe, tw_buffer *out) {
    unsigned char bytes[2];
    bool straight =
        recipe->up > 0 && recipe->up == recipe->down; /* no entry: a straight line, exactly */
    add(out, "curv\0\0\0\0", 8);
    add32(out, straight ? 0 : CURVE);
    if (straight)
        return;
    for (unsigned i = 0; i < CURVE; i++) {
        tw_put_big16(bytes, light_of(recipe, i));
        add(out, bytes, 2);
    }
}

/* textDescriptionType: ASCII, then no Unicode and no ScriptCode (78 zeros). */
static void add_description(tw_buffer *out, const char *text) {
    static const char zeros[78];
    add(out, "desc\0\0\0\0", 8);
    add32(out, (uint32_t)strlen(text) + 1);
    add(out, text, strlen(text) + 1);
    add(out, zeros, sizeof zeros);
}

static void add_text(tw_buffer *out, const char *text) {
    add(out, "text\0\0\0\0", 8);
    add(out, text, strlen(text) + 1);
}

static void pad(tw_buffer *out) {
    add(out, "\0\0\0", (4 - out->length % 4) % 4);
}

typedef struct tag {
    const char *name;
    size_t at, length;
} tag;

static void put_header(unsigned char *at, size_t size, const char *space) {
    tw_put_big32(at, (uint32_t)size);
    tw_put_big32(at + 8, 0x02400000); /* version 2.4 */
    put_name(at + 12, "mntr");
    put_name(at + 16, space);
    put_name(at + 20, "XYZ ");
    tw_put_big16(at + 24, 1999); /* the standard's month; a date is required */
    tw_put_big16(at + 26, 10);
    tw_put_big16(at + 28, 1);
    put_name(at + 36, "acsp");
    tw_put_big32(at + 68, 0xF6D6); /* D50, as the clause on the header gives it */
    tw_put_big32(at + 72, 0x10000);
    tw_put_big32(at + 76, 0xD32D);
}

static void put_table(unsigned char *at, const tag *tags, size_t count) {
    tw_put_big32(at, (uint32_t)count);
    for (size_t i = 0; i < count; i++) {
        put_name(at + 4 + 12 * i, tags[i].name);
        tw_put_big32(at + 8 + 12 * i, (uint32_t)tags[i].at);
        tw_put_big32(at + 12 + 12 * i, (uint32_t)tags[i].length);
    }
}

static void begin(tag *t, const char *name, const tw_buffer *out) {
    t->name = name;
    t->at = out->length;
}

static void end(tag *t, tw_buffer *out) {
    t->length = out->length - t->at;
    pad(out);
}

/* What both profiles have: whose it is, its name, its white. */
static void add_common(tw_buffer *out, tag *tags, const char *name) {
    begin(&tags[0], "cprt", out);
    add_text(out, "No copyright, use freely");
    end(&tags[0], out);
    begin(&tags[1], "desc", out);
    add_description(out, name);
    end(&tags[1], out);
    begin(&tags[2], "wtpt", out);
    add_xyz(out, 0xF6D6, 0x10000, 0xD32D);
    end(&tags[2], out);
}

static void start(tw_buffer *out, size_t tags) {
    static const char zeros[HEADER + 4 + 12 * 9];
    add(out, zeros, HEADER + 4 + 12 * tags);
}

static void finish(tw_buffer *out, const char *space, const tag *tags, size_t count) {
    if (out->failed)
        return;
    put_header((unsigned char *)out->bytes, out->length, space);
    put_table((unsigned char *)out->bytes + HEADER, tags, count);
}

static void make_rgb(const tw_icc_recipe *recipe, tw_buffer *out) {
    static const char *const colour[3] = {"rXYZ", "gXYZ", "bXYZ"};
    static const char *const curve[3] = {"rTRC", "gTRC", "bTRC"};
    tag tags[9];
    start(out, 9);
    add_common(out, tags, recipe->name);
    for (size_t i = 0; i < 3; i++) {
        const uint32_t *column = recipe->columns[i];
        begin(&tags[3 + i], colour[i], out);
        add_xyz(out, column[0], column[1], column[2]);
        end(&tags[3 + i], out);
    }
    begin(&tags[6], curve[0], out);
    add_curve(recipe, out);
    end(&tags[6], out);
    for (size_t i = 1; i < 3; i++)
        tags[6 + i] = (tag){curve[i], tags[6].at, tags[6].length}; /* shared */
    finish(out, "RGB ", tags, 9);
}

static void make_grey(const tw_icc_recipe *recipe, tw_buffer *out) {
    tag tags[4];
    start(out, 4);
    add_common(out, tags, recipe->name);
    begin(&tags[3], "kTRC", out);
    add_curve(recipe, out);
    end(&tags[3], out);
    finish(out, "GRAY", tags, 4);
}

void tw_icc_make(const tw_icc_recipe *recipe, tw_buffer *out) {
    if (recipe->grey)
        make_grey(recipe, out);
    else
        make_rgb(recipe, out);
}
