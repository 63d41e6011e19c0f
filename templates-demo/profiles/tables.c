/*
 * Relative: what the model says, and back the nearest printable colour. Perceptual and
 * saturation fit the picture's black to the paper's by a straight line in L*; perceptual also
 * draws strong colours in: C' = C / sqrt(1 + (C / 160)^2). All of it invented, all of it undone
 * by the tables of the other direction.
 *
 * Version 2 profiles hold lut16Type (ICC.1:2001-04, 6.5.8; a* and b* are 128 at 0x8000, L* 100
 * at 0xFF00), version 4 lutAToBType and lutBToAType (ICC.1:2010, 10.10, 10.11; 0x8080, 0xFFFF).
 */
#include "tables.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

enum {
    GRID_INKS_3 = 21,
    GRID_INKS_4 = 11,
    GRID_LAB = 33,
    GRID_LAB_4 = 35,
    CURVE = 257,
    BENT = 256
};

static const double knee = 160;

void tables_prepare(const ink_model *model, uint32_t version, table_maker *out) {
    double all[INKS_MOST] = {1, 1, 1, 1}, lab[3];
    search_prepare(model, &out->search);
    ink_colour(model, all, lab);
    out->black = lab[0];
    out->version = version;
}

/* ---------------------------------------------------------------- colours */

static double black_wanted(const table_maker *maker, table_intent intent) {
    /* The reference medium of version 4 (ICC.1:2010, 6.3.4.3), which is for the perceptual intent;
       readers expect its black with saturation too. */
    return intent != TO_RELATIVE && maker->version >= ICC_VERSION_4 ? 3.1373 : 0;
}

static void printable(const table_maker *maker, table_intent intent, double lab[3]) {
    double from = black_wanted(maker, intent), chroma = lab[1] * lab[1] + lab[2] * lab[2];
    if (intent == TO_RELATIVE)
        return;
    lab[0] = maker->black + (lab[0] - from) * (100 - maker->black) / (100 - from);
    if (intent == TO_PERCEPTUAL) {
        double draw = 1 / sqrt(1 + chroma / (knee * knee));
        lab[1] *= draw;
        lab[2] *= draw;
    }
}

static void pictured(const table_maker *maker, table_intent intent, double lab[3]) {
    double from = black_wanted(maker, intent), chroma = lab[1] * lab[1] + lab[2] * lab[2];
    if (intent == TO_RELATIVE)
        return;
    lab[0] = from + (lab[0] - maker->black) * (100 - from) / (100 - maker->black);
    if (intent == TO_PERCEPTUAL) {
        double draw = 1 / sqrt(1 - chroma / (knee * knee));
        lab[1] *= draw;
        lab[2] *= draw;
    }
}

static bool is_rgb(const table_maker *maker) {
    return maker->search.model->inks == 3;
}

static void device_to_lab(const table_maker *maker, table_intent intent, const double *device,
                          double lab[3]) {
    double amounts[INKS_MOST];
    for (size_t i = 0; i < maker->search.model->inks; i++)
        amounts[i] = is_rgb(maker) ? 1 - device[i] : device[i];
    ink_colour(maker->search.model, amounts, lab);
    pictured(maker, intent, lab);
}

/* Black ink for the dark and grey; colours get less of it. */
static double black_for(const table_maker *maker, const double lab[3]) {
    double dark = (100 - lab[0]) / (100 - maker->black);
    double chroma = sqrt(lab[1] * lab[1] + lab[2] * lab[2]);
    dark = dark < 0 ? 0 : dark > 1 ? 1 : dark;
    return dark * dark * dark * (chroma < 60 ? 1 - chroma / 60 : 0);
}

/* Returns how far off the nearest is. */
static double lab_to_device(const table_maker *maker, table_intent intent, const double *wanted,
                            double *device) {
    double lab[3] = {wanted[0], wanted[1], wanted[2]};
    printable(maker, intent, lab);
    device[3] = black_for(maker, lab);
    double off = search_nearest(&maker->search, lab, device);
    for (size_t i = 0; i < 3 && is_rgb(maker); i++)
        device[i] = 1 - device[i];
    return off;
}

/* ---------------------------------------------------------------- tables */

static void put_share(unsigned char *at, double share) {
    double value = floor(share * 65535 + 0.5);
    icc_put(at, value < 0 ? 0 : value > 65535 ? 65535 : (uint32_t)value, 2);
}

/* Lab as shares of the 16 bits. In version 2 the input curve of L* takes care of 0xFF00. */
static double zero_of(const table_maker *maker) {
    return maker->version >= ICC_VERSION_4 ? 255 : 65535.0 / 256;
}

static void put_lab(const table_maker *maker, unsigned char *at, const double lab[3]) {
    double top = maker->version >= ICC_VERSION_4 ? 100 : 100 * 65535.0 / 65280;
    put_share(at, lab[0] / top);
    put_share(at + 2, (lab[1] + 128) / zero_of(maker));
    put_share(at + 4, (lab[2] + 128) / zero_of(maker));
}

/* Node `index` of a table as shares; the last coordinate runs fastest. */
static void node(size_t index, size_t grid, size_t inputs, double *out) {
    for (size_t i = inputs; i-- > 0; index /= grid)
        out[i] = (double)(index % grid) / (double)(grid - 1);
}

static size_t power(size_t base, size_t exponent) {
    size_t all = 1;
    while (exponent-- > 0)
        all *= base;
    return all;
}

static size_t device_grid(const table_maker *maker) {
    return is_rgb(maker) ? GRID_INKS_3 : GRID_INKS_4;
}

static void fill_a2b(const table_maker *maker, table_intent intent, unsigned char *at) {
    size_t inks = maker->search.model->inks, grid = device_grid(maker), count = power(grid, inks);
    for (size_t i = 0; i < count; i++, at += 6) {
        double device[INKS_MOST], lab[3];
        node(i, grid, inks, device);
        device_to_lab(maker, intent, device, lab);
        put_lab(maker, at, lab);
    }
}

static size_t lab_grid(const table_maker *maker) {
    return maker->version >= ICC_VERSION_4 ? GRID_LAB_4 : GRID_LAB;
}

/* Version 4: the curves before the table put 0, which is 128 of 255 there, on node 18 of 0 to 34
 * (34695, so in 16 bits exactly), and white and greys meet nodes (common practice). */
static const double neutral = 18.0 / (GRID_LAB_4 - 1);

static double bent(double share) {
    return share <= neutral ? (share / neutral - 1) * 128 : (share - neutral) / (1 - neutral) * 127;
}

static double bend(double entry) {
    return entry <= 128 ? entry / 128 * neutral : neutral + (entry - 128) / 127 * (1 - neutral);
}

static void lab_node(const table_maker *maker, size_t index, double lab[3]) {
    node(index, lab_grid(maker), 3, lab);
    lab[0] *= 100;
    if (maker->version >= ICC_VERSION_4) {
        lab[1] = bent(lab[1]);
        lab[2] = bent(lab[2]);
        return;
    }
    lab[1] = lab[1] * zero_of(maker) - 128;
    lab[2] = lab[2] * zero_of(maker) - 128;
}

static void fill_b2a(const table_maker *maker, table_intent intent, unsigned char *at) {
    size_t inks = maker->search.model->inks;
    for (size_t i = 0; i < power(lab_grid(maker), 3); i++, at += 2 * inks) {
        double device[INKS_MOST], lab[3];
        lab_node(maker, i, lab);
        (void)lab_to_device(maker, intent, lab, device);
        for (size_t k = 0; k < inks; k++)
            put_share(at + 2 * k, device[k]);
    }
}

/* 0 where it can be printed, else the share of 100 by which the nearest misses. */
static void fill_gamut(const table_maker *maker, unsigned char *at) {
    for (size_t i = 0; i < power(lab_grid(maker), 3); i++, at += 2) {
        double device[INKS_MOST], lab[3];
        lab_node(maker, i, lab);
        double off = lab_to_device(maker, TO_RELATIVE, lab, device);
        put_share(at, off < 0.5 ? 0 : off / 100);
    }
}

/* ---------------------------------------------------------------- tags */

static unsigned char *put_curves(unsigned char *at, size_t count, bool first_is_lightness) {
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < CURVE; k++, at += 2) {
            double share = (double)k / (CURVE - 1);
            put_share(at, first_is_lightness && i == 0 ? share * 65535 / 65280 : share);
        }
    return at;
}

static unsigned char *add_lut16(icc_writer *w, const char *name, size_t inputs, size_t outputs,
                                size_t grid, bool from_lab) {
    size_t table = 2 * outputs * power(grid, inputs);
    unsigned char *data = icc_add(w, name, "mft2", 52 + (inputs + outputs) * 2 * CURVE + table);
    data[8] = (unsigned char)inputs;
    data[9] = (unsigned char)outputs;
    data[10] = (unsigned char)grid;
    for (size_t i = 0; i < 3; i++)
        icc_put(data + 12 + 16 * i, 0x10000, 4); /* the unit matrix */
    icc_put(data + 48, CURVE, 2);
    icc_put(data + 50, CURVE, 2);
    unsigned char *at = put_curves(data + 52, inputs, from_lab);
    (void)put_curves(at + table, outputs, false);
    return at;
}

/* Curves of no entries are straight lines, 12 bytes each. */
static void put_straight(unsigned char *at, size_t count) {
    for (size_t i = 0; i < count; i++)
        icc_put(at + 12 * i, 0x63757276, 4); /* "curv" */
}

/* Before a table from Lab: L* straight, a* and b* as `bent` wants them. */
static void put_bent(unsigned char *at) {
    put_straight(at, 1);
    at += 12;
    for (size_t i = 0; i < 2; i++, at += 12 + 2 * BENT) {
        icc_put(at, 0x63757276, 4); /* "curv" */
        icc_put(at + 8, BENT, 4);
        for (size_t k = 0; k < BENT; k++)
            put_share(at + 12 + 2 * k, bend((double)k));
    }
}

/* Lab side curves (B) first, then the table, then the device's (A). */
static unsigned char *add_lut(icc_writer *w, const char *name, size_t inputs, size_t outputs,
                              size_t grid, bool from_lab) {
    size_t lab = from_lab ? inputs : outputs, table = 2 * outputs * power(grid, inputs);
    size_t curves = from_lab ? 12 * lab + (size_t)4 * BENT : 12 * lab;
    size_t at_table = 32 + curves, at_device = at_table + 20 + ((table + 3) & ~(size_t)3);
    size_t device = from_lab ? outputs : inputs;
    unsigned char *data = icc_add(w, name, from_lab ? "mBA " : "mAB ", at_device + 12 * device);
    data[8] = (unsigned char)inputs;
    data[9] = (unsigned char)outputs;
    icc_put(data + 12, 32, 4);
    icc_put(data + 24, (uint32_t)at_table, 4);
    icc_put(data + 28, (uint32_t)at_device, 4);
    if (from_lab)
        put_bent(data + 32);
    else
        put_straight(data + 32, lab);
    for (size_t i = 0; i < inputs; i++)
        data[at_table + i] = (unsigned char)grid;
    data[at_table + 16] = 2; /* bytes a number */
    put_straight(data + at_device, device);
    return data + at_table + 20;
}

static unsigned char *add_table(const table_maker *maker, icc_writer *w, const char *name,
                                size_t inputs, size_t outputs, bool from_lab) {
    size_t grid = from_lab ? lab_grid(maker) : device_grid(maker);
    return maker->version >= ICC_VERSION_4 ? add_lut(w, name, inputs, outputs, grid, from_lab)
                                           : add_lut16(w, name, inputs, outputs, grid, from_lab);
}

void tables_add(const table_maker *maker, icc_writer *w) {
    static const char *const from[3] = {"A2B0", "A2B1", "A2B2"};
    static const char *const to[3] = {"B2A0", "B2A1", "B2A2"};
    size_t inks = maker->search.model->inks;
    for (size_t i = 0; i < 3; i++)
        fill_a2b(maker, (table_intent)i, add_table(maker, w, from[i], inks, 3, false));
    for (size_t i = 0; i < 3; i++)
        fill_b2a(maker, (table_intent)i, add_table(maker, w, to[i], 3, inks, true));
    fill_gamut(maker, add_table(maker, w, "gamt", 3, 1, true));
}
