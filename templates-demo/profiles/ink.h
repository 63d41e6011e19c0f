/*
 * Ink on paper, simply: what colour a mixture of inks gives. The papers are invented.
 *
 * A mixture covers part of the paper with each ink; the parts overlap by chance, so that sixteen
 * areas (bare paper, each ink, each pair, ...) have the sizes of Demichel's equations, and light
 * spreads between them as Yule and Nielsen describe with n = 2 (both from memory: the model need
 * not be right, only printer-like: curved, lop-sided, with a dark end short of black and a gamut
 * that has corners). The area an ink takes is larger than asked for by gain * c * (1 - c).
 *
 * Arithmetic: + - * / and sqrt of IEEE 754 doubles only, which every machine rounds alike, with
 * products and sums not fused (images.cmake); the cube root is made from those.
 */
#ifndef PROFILES_INK_H
#define PROFILES_INK_H

#include <stddef.h>

enum { INKS_MOST = 4, INK_C = 1, INK_M = 2, INK_Y = 4, INK_K = 8 }; /* bits of an area's number */

typedef struct ink_paper {
    const char *name;
    double white[3];    /* Lab of the bare paper, D50, measured against a perfect white */
    double solid[8][3]; /* Lab of C, M, Y solids and their overlaps, by the bits above;
                           0 = white; all three = the darkest the paper holds */
    double gain;
    double black_passes; /* the share of light that a solid of black ink lets through */
} ink_paper;

/* A paper made ready: square roots of X, Y, Z of each area as shares of the paper's white. */
typedef struct ink_model {
    size_t inks; /* 1 = black alone, 3 = cyan, magenta, yellow, 4 = with black */
    double gain;
    double white[3]; /* XYZ, Y of the perfect white = 1 */
    double root[16][3];
} ink_model;

void ink_prepare(const ink_paper *paper, size_t inks, ink_model *out);
/* Amounts 0..1 of each ink -> Lab with the paper's white as 100 0 0. */
void ink_colour(const ink_model *model, const double *amounts, double lab[3]);

/* ISO 11664-4; each exact to the last bits. */
void lab_to_xyz(const double lab[3], double xyz[3]); /* D50, Y of white = 1 */
double cube_root(double value);                      /* of 0..8 */

#endif
