/*
 * How different two colours look: CIEDE2000 between CIE L*a*b* values. Pure arithmetic; the
 * proof's figures and gamut maps are made of it.
 */
#ifndef TW_COLOUR_CIEDE2000_H
#define TW_COLOUR_CIEDE2000_H

/* CIE 1976 L*a*b* relative to D50; L from 0 to 100, all without unit. */
typedef struct tw_lab {
    double l, a, b;
} tw_lab;

/* The colour difference with kL = kC = kH = 1; symmetric, 0 for equal colours. Formulas and their
 * numbers after Sharma, Wu & Dalal, "The CIEDE2000 color-difference formula: implementation notes,
 * supplementary test data, and mathematical observations", Color Research & Application 30(1),
 * 2005, equations 2 to 22. */
double tw_ciede2000(tw_lab first, tw_lab second);

#endif
