/* Print days made of chance, the same on every machine, for checks that hold on any day. */
#ifndef OUTSIDE_RANDOM_DAY_H
#define OUTSIDE_RANDOM_DAY_H

#include "replay.h"

typedef struct random_day {
    char paper[512], formats[2048], orders[2048], settings[256];
    paper_rules rules;
    int lines;
    struct {
        int order, format, copies;
        const char *image;
    } line[12];
} random_day;

/* wide.png, high.png and even.png, which the days use: one bit a pixel, enough of them. */
void make_day_images(void);
/* Writes the print day `day` of a number and fills `out`; rolls and cut sheets, both cutters. */
void make_random_day(uint64_t seed, random_day *out);

#endif
