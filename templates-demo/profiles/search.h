/* The other way round: which amounts of ink come nearest to a wanted colour. */
#ifndef PROFILES_SEARCH_H
#define PROFILES_SEARCH_H

#include "ink.h"

enum {
    SEARCH_STEPS = 8,
    SEARCH_STARTS = (SEARCH_STEPS + 1) * (SEARCH_STEPS + 1) * (SEARCH_STEPS + 1)
};

/* The model's colours on a coarse grid of its first three inks, for good first guesses. */
typedef struct ink_search {
    const ink_model *model;
    double lab[SEARCH_STARTS][3];
} ink_search;

void search_prepare(const ink_model *model, ink_search *out);
/* amounts[0..2] so that the model's colour is nearest to `wanted` (CIE 1976 difference, returned).
 * With four inks amounts[3], black, is given. */
double search_nearest(const ink_search *search, const double wanted[3], double *amounts);

#endif
