/*
 * Matrix and grey display profiles, version 2.1 (ICC.1:2001-04, clauses 6.1 header, 6.3 tags):
 * colorants adapted to D50 by the linear Bradford transform (ICC.1:2001-04, annex E.3), one
 * curve of gamma 2.2 for all channels. The wide primaries are invented for the demo.
 */
#include "icc.h"

#include <math.h>
#include <string.h>

#include "icc/tags.h"

typedef struct primaries {
    const char *name;
    double xy[8]; /* red, green, blue, white */
} primaries;

static const primaries spaces[] = {
    [LOOK_STANDARD_RGB] = {"demo standard RGB",
                           {0.640, 0.330, 0.300, 0.600, 0.150, 0.060, 0.3127, 0.3290}},
    [LOOK_WIDE_RGB] = {"demo wide RGB", {0.690, 0.305, 0.205, 0.725, 0.148, 0.055, 0.3127, 0.3290}},
    [LOOK_GREY] = {"demo grey", {0.640, 0.330, 0.300, 0.600, 0.150, 0.060, 0.3127, 0.3290}},
};

static void multiply(const double a[9], const double b[9], double out[9]) {
    for (size_t row = 0; row < 3; row++)
        for (size_t column = 0; column < 3; column++)
            out[3 * row + column] = a[3 * row] * b[column] + a[3 * row + 1] * b[3 + column] +
                                    a[3 * row + 2] * b[6 + column];
}

static void invert(const double m[9], double out[9]) {
    double minor[9];
    for (size_t row = 0; row < 3; row++)
        for (size_t column = 0; column < 3; column++) {
            size_t r1 = (row + 1) % 3, r2 = (row + 2) % 3, c1 = (column + 1) % 3,
                   c2 = (column + 2) % 3;
            minor[3 * row + column] =
                m[3 * r1 + c1] * m[3 * r2 + c2] - m[3 * r1 + c2] * m[3 * r2 + c1];
        }
    double whole = m[0] * minor[0] + m[1] * minor[1] + m[2] * minor[2];
    for (size_t row = 0; row < 3; row++)
        for (size_t column = 0; column < 3; column++)
            out[3 * row + column] = minor[3 * column + row] / whole;
}

/* RGB to XYZ so that equal channels give the white. */
static void to_xyz(const primaries *p, double out[9]) {
    double columns[9], inverse[9];
    double white[3] = {p->xy[6] / p->xy[7], 1, (1 - p->xy[6] - p->xy[7]) / p->xy[7]};
    for (size_t i = 0; i < 3; i++) {
        double x = p->xy[2 * i], y = p->xy[2 * i + 1];
        columns[i] = x / y;
        columns[3 + i] = 1;
        columns[6 + i] = (1 - x - y) / y;
    }
    invert(columns, inverse);
    for (size_t i = 0; i < 3; i++) {
        double share = inverse[3 * i] * white[0] + inverse[3 * i + 1] * white[1] +
                       inverse[3 * i + 2] * white[2];
        for (size_t row = 0; row < 3; row++)
            out[3 * row + i] = columns[3 * row + i] * share;
    }
}

/* From the space's white to D50 (ICC.1 clause 6.1.12: 0.9642 1 0.8249). */
static void adapt(const primaries *p, double out[9]) {
    static const double bradford[9] = {0.8951, 0.2664, -0.1614, -0.7502, 1.7135,
                                       0.0367, 0.0389, -0.0685, 1.0296};
    static const double d50[3] = {0.9642, 1, 0.8249};
    double white[3] = {p->xy[6] / p->xy[7], 1, (1 - p->xy[6] - p->xy[7]) / p->xy[7]};
    double scale[9] = {0}, inverse[9], part[9];
    for (size_t i = 0; i < 3; i++) {
        const double *row = &bradford[3 * i];
        scale[4 * i] = (row[0] * d50[0] + row[1] * d50[1] + row[2] * d50[2]) /
                       (row[0] * white[0] + row[1] * white[1] + row[2] * white[2]);
    }
    invert(bradford, inverse);
    multiply(scale, bradford, part);
    multiply(inverse, part, out);
}

void icc_matrix(look which, double out[9]) {
    double from[9], to[9], inverse[9];
    to_xyz(&spaces[LOOK_STANDARD_RGB], from);
    to_xyz(&spaces[which], to);
    invert(to, inverse);
    multiply(inverse, from, out);
}

double icc_encode(double light) {
    return light <= 0 ? 0 : light >= 1 ? 1 : pow(light, 1 / (563 / 256.0)); /* 2.2 in u8Fixed8 */
}

/* ---------------------------------------------------------------- bytes */

static void add_curve(icc_writer *w, const char *name) {
    unsigned char *data = icc_add(w, name, "curv", 14);
    icc_put(data + 8, 1, 4);
    icc_put(data + 12, 563, 2);
}

size_t icc_build(look which, unsigned char out[ICC_MOST]) {
    static const double white[3] = {0.9642, 1, 0.8249};
    static const char *const colorants[3] = {"rXYZ", "gXYZ", "bXYZ"};
    static const char *const curves[3] = {"rTRC", "gTRC", "bTRC"};
    icc_writer w = {.bytes = out};
    double xyz[9], adapted[9], colours[9];
    memset(out, 0, ICC_MOST);
    icc_start(&w, ICC_VERSION_2, "mntr", which == LOOK_GREY ? "GRAY" : "RGB ", "XYZ ", 9);
    icc_add_words(&w, spaces[which].name, "Made for the Trimwell demo; no rights reserved");
    icc_add_xyz(&w, "wtpt", white);
    to_xyz(&spaces[which], xyz);
    adapt(&spaces[which], adapted);
    multiply(adapted, xyz, colours);
    for (size_t i = 0; i < 3 && which != LOOK_GREY; i++) {
        double one[3] = {colours[i], colours[3 + i], colours[6 + i]};
        icc_add_xyz(&w, colorants[i], one);
        add_curve(&w, curves[i]);
    }
    if (which == LOOK_GREY)
        add_curve(&w, "kTRC");
    return icc_end(&w);
}
