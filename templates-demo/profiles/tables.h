/* Lookup tables between a printer's numbers and Lab, made from the ink model. */
#ifndef PROFILES_TABLES_H
#define PROFILES_TABLES_H

#include "icc/tags.h"
#include "search.h"

typedef enum table_intent { TO_PERCEPTUAL, TO_RELATIVE, TO_SATURATION } table_intent;

typedef struct table_maker {
    ink_search search;
    double black; /* L* of the darkest there is */
    uint32_t version;
} table_maker;

void tables_prepare(const ink_model *model, uint32_t version, table_maker *out);
/* A2B0, A2B1, A2B2, B2A0, B2A1, B2A2 and gamt. */
void tables_add(const table_maker *maker, icc_writer *w);

#endif
