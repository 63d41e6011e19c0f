#include "ink.h"

#include <math.h>

static const double d50[3] = {0.9642, 1, 0.8249};

/* Newton's method from above: each step makes the guess smaller until it is right. */
double cube_root(double value) {
    double guess = 2;
    for (int i = 0; i < 60; i++) {
        double next = (2 * guess + value / (guess * guess)) / 3;
        if (next >= guess)
            break;
        guess = next;
    }
    return guess;
}

/* ISO 11664-4: f(t) = t^(1/3) above (6/29)^3, a straight line below. */
static double f_of(double share) {
    return share > 216.0 / 24389 ? cube_root(share) : share * (841.0 / 108) + 4.0 / 29;
}

static double f_back(double f) {
    return f > 6.0 / 29 ? f * f * f : (f - 4.0 / 29) * (108.0 / 841);
}

static void lab_to_shares(const double lab[3], double out[3]) {
    double fy = (lab[0] + 16) / 116;
    out[0] = f_back(fy + lab[1] / 500);
    out[1] = f_back(fy);
    out[2] = f_back(fy - lab[2] / 200);
}

void lab_to_xyz(const double lab[3], double xyz[3]) {
    lab_to_shares(lab, xyz);
    for (size_t i = 0; i < 3; i++)
        xyz[i] *= d50[i];
}

/* Areas 8 to 15 have black ink on top: a little light passes, the rest is the darkest area's. */
void ink_prepare(const ink_paper *paper, size_t inks, ink_model *out) {
    double white[3], area[3], darkest[3];
    out->inks = inks;
    out->gain = paper->gain;
    lab_to_xyz(paper->white, out->white);
    lab_to_shares(paper->white, white);
    lab_to_shares(paper->solid[7], darkest);
    for (size_t i = 0; i < 16; i++) {
        lab_to_shares(i % 8 == 0 ? paper->white : paper->solid[i % 8], area);
        for (size_t k = 0; k < 3; k++) {
            double light = i < 8 ? area[k] : darkest[k] * 0.75 + area[k] * paper->black_passes;
            out->root[i][k] = sqrt(light / white[k]);
        }
    }
}

/* Which bit of an area's number belongs to the model's ink i. */
static size_t bit_of(const ink_model *model, size_t i) {
    return model->inks == 1 ? INK_K : (size_t)1 << i;
}

void ink_colour(const ink_model *model, const double *amounts, double lab[3]) {
    double size[16] = {1}, sum[3] = {0}, f[3];
    for (size_t i = 0; i < model->inks; i++) {
        size_t bit = bit_of(model, i);
        double c = amounts[i], part = c + model->gain * c * (1 - c);
        for (size_t area = 0; area < bit; area++) {
            size[area | bit] = size[area] * part;
            size[area] *= 1 - part;
        }
    }
    for (size_t area = 0; area < 16; area++)
        for (size_t k = 0; k < 3; k++)
            sum[k] += size[area] * model->root[area][k];
    for (size_t k = 0; k < 3; k++)
        f[k] = f_of(sum[k] * sum[k]);
    lab[0] = 116 * f[1] - 16;
    lab[1] = 500 * (f[0] - f[1]);
    lab[2] = 200 * (f[1] - f[2]);
}
