/*
 * Damped least squares (Levenberg 1944, Marquardt 1963) kept inside the cube of possible
 * amounts: an ink that stands at its end and wants to go on is held for that step.
 */
#include "search.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

static void start_at(size_t index, double amounts[3]) {
    size_t side = SEARCH_STEPS + 1;
    size_t first = index / (side * side), second = index / side % side, third = index % side;
    amounts[0] = (double)first / SEARCH_STEPS;
    amounts[1] = (double)second / SEARCH_STEPS;
    amounts[2] = (double)third / SEARCH_STEPS;
}

void search_prepare(const ink_model *model, ink_search *out) {
    double amounts[INKS_MOST] = {0};
    out->model = model;
    for (size_t i = 0; i < SEARCH_STARTS; i++) {
        start_at(i, amounts);
        ink_colour(model, amounts, out->lab[i]);
    }
}

static double miss(const double lab[3], const double wanted[3], double out[3]) {
    double sum = 0;
    for (size_t k = 0; k < 3; k++) {
        out[k] = lab[k] - wanted[k];
        sum += out[k] * out[k];
    }
    return sum;
}

static void guess(const ink_search *search, const double wanted[3], double *amounts) {
    size_t best = 0;
    double least = 1e30, unused[3];
    for (size_t i = 0; i < SEARCH_STARTS; i++) {
        double now = miss(search->lab[i], wanted, unused);
        if (now < least) {
            least = now;
            best = i;
        }
    }
    start_at(best, amounts);
}

/* Columns of the Jacobian by small differences, towards the middle of the cube. */
static void slopes(const ink_model *model, const double *amounts, const double lab[3],
                   double out[3][3]) {
    double moved[INKS_MOST], there[3];
    for (size_t i = 0; i < 3; i++) {
        double step = amounts[i] > 0.5 ? -1.0 / 4096 : 1.0 / 4096;
        memcpy(moved, amounts, sizeof moved);
        moved[i] += step;
        ink_colour(model, moved, there);
        for (size_t k = 0; k < 3; k++)
            out[k][i] = (there[k] - lab[k]) / step;
    }
}

/* Gauss without pivots: the matrix is symmetric and its diagonal was made larger. */
static void solve(double m[3][4], double out[3]) {
    for (size_t i = 0; i < 3; i++)
        for (size_t row = i + 1; row < 3; row++) {
            double share = m[row][i] / m[i][i];
            for (size_t k = i; k < 4; k++)
                m[row][k] -= share * m[i][k];
        }
    for (size_t i = 3; i-- > 0;) {
        out[i] = m[i][3];
        for (size_t k = i + 1; k < 3; k++)
            out[i] -= m[i][k] * out[k];
        out[i] /= m[i][i];
    }
}

/* The step that makes the miss least as far as the slopes can tell. */
static void step_from(double slope[3][3], const double off[3], const double *amounts,
                      double damping, double out[3]) {
    double m[3][4];
    bool held[3];
    for (size_t i = 0; i < 3; i++) {
        m[i][3] = 0;
        for (size_t k = 0; k < 3; k++)
            m[i][3] -= slope[k][i] * off[k];
        held[i] = (amounts[i] <= 0 && m[i][3] < 0) || (amounts[i] >= 1 && m[i][3] > 0);
    }
    for (size_t i = 0; i < 3; i++) {
        for (size_t j = 0; j < 3; j++) {
            m[i][j] = 0;
            for (size_t k = 0; k < 3; k++)
                m[i][j] += slope[k][i] * slope[k][j];
            if (held[i] || held[j])
                m[i][j] = i == j ? 1 : 0;
        }
        if (held[i])
            m[i][3] = 0;
        m[i][i] += damping;
    }
    solve(m, out);
}

/* Tries a step; keeps it when it comes nearer. */
static bool try_step(const ink_model *model, const double wanted[3], const double step[3],
                     double *amounts, double lab[3], double *least) {
    double moved[INKS_MOST], there[3], off[3];
    memcpy(moved, amounts, sizeof moved);
    for (size_t i = 0; i < 3; i++) {
        moved[i] += step[i];
        moved[i] = moved[i] < 0 ? 0 : moved[i] > 1 ? 1 : moved[i];
    }
    ink_colour(model, moved, there);
    double now = miss(there, wanted, off);
    if (!(now < *least))
        return false;
    *least = now;
    memcpy(amounts, moved, sizeof moved);
    memcpy(lab, there, sizeof there);
    return true;
}

double search_nearest(const ink_search *search, const double wanted[3], double *amounts) {
    const ink_model *model = search->model;
    double all[INKS_MOST] = {0}, lab[3], off[3], slope[3][3], step[3], damping = 1;
    if (model->inks == 4)
        all[3] = amounts[3];
    guess(search, wanted, all);
    ink_colour(model, all, lab);
    double least = miss(lab, wanted, off);
    for (int round = 0; round < 40 && least > 1e-8 && damping < 1e9; round++) {
        double before = least;
        (void)miss(lab, wanted, off);
        slopes(model, all, lab, slope);
        do {
            step_from(slope, off, all, damping, step);
            damping *= 8;
        } while (!try_step(model, wanted, step, all, lab, &least) && damping < 1e9);
        damping = damping / 256 > 1e-3 ? damping / 256 : 1e-3;
        if (before - least < 1e-9 * before)
            break;
    }
    memcpy(amounts, all, 3 * sizeof *amounts);
    return sqrt(least);
}
