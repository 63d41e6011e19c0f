/*
 * From a white and three primaries to a profile's columns (see icc_make.h): in doubles, with
 * sums, products and quotients alone and none of them fused, so that IEEE 754 fixes every bit.
 */
#include <math.h>

#include "image/icc_make.h"

typedef struct matrix {
    double at[3][3];
} matrix;

/* Bradford, ICC.1:2010, Annex E.3. */
static const matrix to_cones = {
    {{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}};

static const int32_t d50[3] = {0xF6D6, 0x10000, 0xD32D}; /* ICC.1:2010, 7.2.16 */

static void apply(const matrix *m, const double vector[3], double out[3]) {
    for (int i = 0; i < 3; i++)
        out[i] = m->at[i][0] * vector[0] + m->at[i][1] * vector[1] + m->at[i][2] * vector[2];
}

static double minor_of(const matrix *m, int row, int column) {
    int r = (row + 1) % 3, s = (row + 2) % 3, c = (column + 1) % 3, d = (column + 2) % 3;
    return m->at[r][c] * m->at[s][d] - m->at[r][d] * m->at[s][c];
}

/* False where the columns lie in one plane, or nearly. */
static bool invert(const matrix *m, matrix *out) {
    double whole = m->at[0][0] * minor_of(m, 0, 0) + m->at[0][1] * minor_of(m, 0, 1) +
                   m->at[0][2] * minor_of(m, 0, 2);
    if (!(fabs(whole) > 1e-6))
        return false;
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++)
            out->at[i][k] = minor_of(m, k, i) / whole;
    return true;
}

/* x, y and what is left of 1. A place outside the triangle of all colours is no colour. */
static bool place(const uint32_t at[2], double out[3]) {
    out[0] = at[0] / 100000.0;
    out[1] = at[1] / 100000.0;
    out[2] = 1 - out[0] - out[1];
    return at[0] <= 100000 && at[1] <= 100000 && at[0] + at[1] <= 100000;
}

/* The light of each primary that together makes the white: primaries x parts = white. */
static bool mix_white(const uint32_t at[8], double white[3], matrix *rgb) {
    matrix primaries, inverse;
    double parts[3], column[3];
    if (!place(at, white) || at[1] == 0)
        return false;
    double height = white[1];
    for (int i = 0; i < 3; i++)
        white[i] /= height; /* Y = 1 */
    for (size_t k = 0; k < 3; k++) {
        if (!place(at + 2 + 2 * k, column))
            return false;
        for (size_t i = 0; i < 3; i++)
            primaries.at[i][k] = column[i];
    }
    if (!invert(&primaries, &inverse))
        return false;
    apply(&inverse, white, parts);
    for (int k = 0; k < 3; k++)
        for (int i = 0; i < 3; i++)
            rgb->at[i][k] = primaries.at[i][k] * parts[k];
    return parts[0] > 0 && parts[1] > 0 && parts[2] > 0;
}

/* XYZ under `white` to XYZ under D50. */
static bool adaptation(const double white[3], matrix *out) {
    matrix back;
    double from[3], to[3], paper[3];
    for (int i = 0; i < 3; i++)
        paper[i] = d50[i] / 65536.0;
    apply(&to_cones, white, from);
    apply(&to_cones, paper, to);
    if (!invert(&to_cones, &back) || !(from[0] > 1e-3 && from[1] > 1e-3 && from[2] > 1e-3))
        return false;
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) {
            out->at[i][k] = 0;
            for (int n = 0; n < 3; n++)
                out->at[i][k] += back.at[i][n] * (to[n] / from[n]) * to_cones.at[n][k];
        }
    return true;
}

/* Rounded; what rounding leaves of D50 goes to the largest, where it matters least. */
static bool round_row(const double row[3], int i, uint32_t columns[3][3]) {
    int32_t left = d50[i];
    int largest = 0;
    for (int k = 0; k < 3; k++) {
        if (!(fabs(row[k]) < 4))
            return false;
        int32_t rounded = (int32_t)floor(row[k] * 65536 + 0.5);
        columns[k][i] = (uint32_t)rounded;
        left -= rounded;
        largest = row[k] > row[largest] ? k : largest;
    }
    columns[largest][i] += (uint32_t)left;
    return true;
}

bool tw_icc_columns(const uint32_t at[8], uint32_t columns[3][3]) {
    double white[3];
    matrix rgb, adapt;
    if (!mix_white(at, white, &rgb) || !adaptation(white, &adapt))
        return false;
    for (int i = 0; i < 3; i++) {
        double row[3];
        for (int k = 0; k < 3; k++)
            row[k] = adapt.at[i][0] * rgb.at[0][k] + adapt.at[i][1] * rgb.at[1][k] +
                     adapt.at[i][2] * rgb.at[2][k];
        if (!round_row(row, i, columns))
            return false;
    }
    return true;
}
