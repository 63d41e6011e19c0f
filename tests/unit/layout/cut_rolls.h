/*
 * Days made by cutting a full length of roll apart, edge to edge and without waste, so that the
 * shortest plan is known: nothing shorter holds the pieces, and the length they came from does.
 */
#ifndef TW_TEST_CUT_ROLLS_H
#define TW_TEST_CUT_ROLLS_H

#include "random_jobs.h"

enum { PARTS_MOST = 512, LEAST_SIDE = 3 }; /* inches, as everything here */

typedef struct cut_part {
    int width, height;
} cut_part;

typedef struct cut_roll {
    cut_part parts[PARTS_MOST];
    int count;
    int width, length;
} cut_roll;

/* Where a side of this length is cut: both ends long enough. 0: it is too short to be cut. */
static inline int cut_place(uint64_t *s, int side) {
    return side < 2 * LEAST_SIDE ? 0 : LEAST_SIDE + (int)random_below(s, side - 2 * LEAST_SIDE + 1);
}

static inline void cut_part_at(cut_roll *roll, int part, bool across, int at) {
    cut_part *low = &roll->parts[part], *high = &roll->parts[roll->count++];
    *high = *low;
    *(across ? &high->height : &high->width) -= at;
    *(across ? &low->height : &low->width) = at;
}

/* To any depth: a part taken at random is cut at random, as long as there is one to cut. */
static inline void cut_freely(uint64_t *s, int count, cut_roll *roll) {
    roll->count = 1;
    roll->parts[0] = (cut_part){roll->width, roll->length};
    for (int tries = 0; roll->count < count && tries < 20 * count; tries++) {
        int part = (int)random_below(s, roll->count);
        bool across = random_one_in(s, 2);
        int at = cut_place(s, across ? roll->parts[part].height : roll->parts[part].width);
        if (at > 0)
            cut_part_at(roll, part, across, at);
    }
}

/* Every part from `first` on is cut along one axis until chance says stop. */
static inline void cut_stage(uint64_t *s, bool across, int first, int most, cut_roll *roll) {
    int last = roll->count;
    for (int part = first; part < last; part++)
        while (roll->count < most && !random_one_in(s, 3)) {
            int at = cut_place(s, across ? roll->parts[part].height : roll->parts[part].width);
            if (at == 0)
                break;
            cut_part_at(roll, part, across, at);
        }
}

/* Across, along, across. */
static inline void cut_in_stages(uint64_t *s, int count, cut_roll *roll) {
    roll->count = 1;
    roll->parts[0] = (cut_part){roll->width, roll->length};
    for (int bands = 1; bands < 2 + count / 8 && roll->count < count; bands++)
        for (int part = 0, at; part < bands && roll->count <= bands; part++)
            if ((at = cut_place(s, roll->parts[part].height)) > 0)
                cut_part_at(roll, part, true, at);
    cut_stage(s, false, 0, count, roll);
    cut_stage(s, true, 0, count, roll);
}

#endif
