/*
 * The plan: prints, their layout and cuts for every paper of the day, and each sheet's page.
 */
#ifndef TW_SHEET_PLAN_H
#define TW_SHEET_PLAN_H

#include "layout/free.h"
#include "layout/layout.h"
#include "prints/prints.h"
#include "sheet/display.h"

/* A print where it lies. Rectangles are on the sheet, as the print lies. */
typedef struct tw_lying {
    const tw_print *print;
    tw_rect trim, picture, whole, signature; /* signature width 0 = none */
    tw_sides visible, bleed;                 /* sides of the sheet: top = towards the lead */
    bool turned;
} tw_lying;

/* Whether a cut frees the page from the roll (hand cutter): node 0 is then "A" on the roll, its
 * low side "A" off it (or the print that is the whole page), its high side the roll. */
bool tw_cut_ends_sheet(const tw_sheet_cuts *cuts, const tw_cut *cut);

typedef struct tw_unmarked {
    int step;
    bool low_end; /* the end at `from` */
} tw_unmarked;

typedef struct tw_plan_sheet {
    int number;         /* over the whole day, from 1 */
    int of_load;        /* from 1 within what is loaded: its roll, or its paper's cut sheets */
    int roll;           /* of the paper's rolls, from 1; 0 where it has only one, or no roll */
    int offcut;         /* of the paper's list of offcuts, from 1; 0 = not a kept piece */
    size_t paper_index; /* into job->papers */
    const char *file;   /* "sheet-01.pdf" */
    tw_size size;
    tw_lying *prints;
    size_t print_count;
    const tw_sheet_cuts *cuts;
    const char **piece_names; /* a node: "A", "B", "1001-1", "waste-1" */
    int marks_drawn, marks_clipped, marks_dropped;
    tw_unmarked *unmarked; /* ends of cuts with no tick */
    size_t unmarked_count;
    tw_page page;
} tw_plan_sheet;

/* Fed singly as a cut sheet: of a box, or a kept piece. */
bool tw_sheet_is_cut(const tw_paper *paper, const tw_plan_sheet *sheet);

typedef struct tw_totals {
    tw_nm length; /* pages and lost paper; offcuts used are not among it */
    tw_nm bound_length;
    int bound_stages; /* the cut depth it is proved for: 0 any, 3 = three stages and a trim */
    /* areas in square millimetres x 10^6 would overflow in nm2: kept as nm x nm in 128 bits is
     * not plain data, so as mm2 millionths rounded half up */
    int64_t paper_area, print_area;
    int64_t hand_cuts, stop_changes;
    int sheets;
} tw_totals;

/* A roll of a paper that has several. */
typedef struct tw_plan_roll {
    int number;   /* from 1: the paper's `length`, then its further_rolls */
    tw_nm length; /* what is left on it before the day */
    tw_nm used;   /* pages and lost paper */
    tw_nm rest;   /* what is left on it after the day, the core's end among it */
    int sheets;   /* 0 = not loaded */
} tw_plan_roll;

typedef struct tw_plan_paper {
    size_t paper_index;
    tw_totals totals;
    tw_plan_roll *rolls; /* by number; none where the paper has only one */
    size_t roll_count;
    tw_free *free;         /* of each of the job's templates */
    tw_nm offcuts_saved;   /* what the offcuts used kept on the rolls, as far as it is known */
    int offcuts;           /* used */
    tw_nm strip_cost;      /* paper that marks.place strip added */
    tw_pay pays[TW_WANTS]; /* what each plan to choose from would cost */
} tw_plan_paper;

/* One of the plans to choose from, over the whole day. */
typedef struct tw_plan_choice {
    const char *word; /* "price", "paper", "cuts", "rows" */
    bool chosen;      /* this is the one laid out */
    tw_nm length;     /* as tw_totals.length */
    bool priced;      /* every paper has a price, in one currency */
    tw_money price;   /* paper and work, rounded half up to the minor unit */
    int64_t hand_cuts, stop_changes, sheets;
    int lengths; /* distinct sheet lengths, each paper's by itself */
} tw_plan_choice;

typedef struct tw_unplaced {
    const tw_print *print;
    const char *why;
} tw_unplaced;

/* An order that lies on several sheets of one paper. */
typedef struct tw_split {
    const char *order;
    size_t paper_index;
    int *sheets; /* tw_plan_sheet.number, rising */
    int sheet_count;
} tw_split;
/* Waste worth keeping as an offcut: its part without ink, on its sheet. */
typedef struct tw_keep {
    size_t sheet; /* into plan->sheets */
    const char *piece;
    tw_rect rect;
} tw_keep;
/* The largest part of a waste piece that no ink of the page reaches, about: width or height 0 or
 * less where there is none. */
tw_rect tw_waste_clean(tw_rect rect, const tw_page *page);
/* From 5 x 7 in up: the smallest usual format (common practice). */
bool tw_worth_keeping(tw_nm width, tw_nm height);

typedef struct tw_plan_data {
    const tw_job_data *job;
    const tw_prints *prints;
    const tw_pin **pins; /* of each print; NULL: not pinned */
    tw_plan_sheet *sheets;
    size_t sheet_count;
    tw_plan_paper *papers; /* those that carry prints */
    size_t paper_count;
    tw_totals totals;
    tw_plan_choice choices[TW_WANTS];
    size_t choice_count;
    tw_unplaced *unplaced;
    size_t unplaced_count;
    tw_keep *keeps; /* the largest first */
    size_t keep_count;
    const struct tw_chosen *choice; /* of papers for lines that name none (choose.h); or NULL */
    tw_split *splits;               /* with layout.keep_together only */
    size_t split_count, orders_kept;
    bool stopped_early; /* asked to stop while looking for less paper; the plan is whole */
    size_t fillers_laid, fillers_left; /* prints that may sell, and found a free place or none */
} tw_plan_data;

/* Lay out every paper's prints, cut, have the referee check it, and draw each sheet. */
TW_USE_RESULT tw_code tw_plan_make(tw_arena *arena, const tw_job_data *job, const tw_prints *prints,
                                   const tw_run *run, tw_report *report, tw_plan_data **out,
                                   tw_error *error);

#endif
