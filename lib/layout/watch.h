/*
 * What is said while a day is laid out: how much of the work is done, and the best length so far
 * against the bound. Inside lib/layout only (pack.c); the engines report their steps to the inner
 * run and need know nothing of it.
 */
#ifndef TW_LAYOUT_WATCH_H
#define TW_LAYOUT_WATCH_H

#include "layout/layout.h"

#define TW_WATCH_TEXT 64

typedef struct tw_watch {
    tw_run inner;        /* for the engines: their (done, total) is of the share in hand */
    const tw_run *outer; /* who is told; NULL allowed */
    const tw_stock *stock;
    int64_t before, share, all; /* steps: done, in hand, of the whole */
    tw_nm best, bound;          /* of paper; 0 = not known yet */
    char text[TW_WATCH_TEXT];
} tw_watch;

/* `all` steps will be done; &out->inner may be used while *out stays where it is. */
void tw_watch_start(tw_watch *out, const tw_run *outer, const tw_stock *stock, int64_t all);
/* Work of `share` steps begins; what was in hand is done. */
void tw_watch_begin(tw_watch *watch, int64_t share);
/* Is anybody told? */
bool tw_watch_told(const tw_watch *watch);
/* The least paper found, and no plan uses less than `bound` (0: not known). Tells. */
void tw_watch_found(tw_watch *watch, tw_nm best, tw_nm bound);

#endif
