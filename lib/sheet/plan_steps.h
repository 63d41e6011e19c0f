/*
 * What the files that make the plan share; nothing to the right includes it.
 */
#ifndef TW_SHEET_PLAN_STEPS_H
#define TW_SHEET_PLAN_STEPS_H

#include "layout/parts.h"
#include "layout/pay.h"
#include "sheet/plan.h"

/* One paper's share of the day while it is being planned, or one roll's share of it. */
typedef struct tw_paper_work {
    size_t paper_index;
    const tw_print **prints; /* in the order of their numbers; piece i is prints[i] */
    size_t count;
    tw_piece *pieces; /* problem.pieces, while they are made */
    tw_layout_problem problem;
    int roll, offcut; /* one roll's or offcut's share: its number, as in tw_plan_sheet */
    tw_layout layout; /* of a whole paper: left, sheet_count, used and bound only */
    tw_cuts cuts;
} tw_paper_work;

/* TW_CANCELLED when asked to stop. */
TW_USE_RESULT tw_code tw_plan_look_up(const tw_run *run, tw_error *error);

/* What there is of a paper beside its first roll, every offcut by itself. */
TW_USE_RESULT tw_code tw_plan_supply(tw_arena *arena, const tw_paper *paper, tw_supply *out,
                                     tw_error *error);

/* The pieces, stock and settings for one paper. */
TW_USE_RESULT tw_code tw_plan_problem(tw_arena *arena, const tw_job_data *job,
                                      const tw_prints *prints, size_t paper_index,
                                      const tw_run *run, tw_paper_work *out, tw_error *error);

/* Over the paper's rolls: laid out, cut and checked by the referee, the sheets added to the plan,
 * the totals to `paper`; work->layout becomes the paper's. */
TW_USE_RESULT tw_code tw_plan_rolls(tw_arena *arena, const tw_run *run, tw_paper_work *work,
                                    tw_plan_data *plan, tw_plan_paper *paper, tw_error *error);

/* Finds plan->pins. Those of no print, and second ones, go into the report as errors. */
TW_USE_RESULT tw_code tw_plan_find_pins(tw_arena *arena, tw_plan_data *plan, tw_report *report,
                                        tw_error *error);
/* The pins of a paper's prints, onto its pieces. */
void tw_plan_pin_pieces(const tw_plan_data *plan, tw_paper_work *work);
/* The layout found that pins cannot be kept: why, into the report. */
TW_USE_RESULT tw_code tw_plan_pin_fault(const tw_plan_data *plan, const tw_paper_work *work,
                                        tw_report *report, tw_error *error);

/* The sheets of a laid out roll, appended to plan->sheets (room is there already). */
TW_USE_RESULT tw_code tw_plan_sheets(tw_arena *arena, const tw_paper_work *work, tw_plan_data *plan,
                                     tw_error *error);

/* A name for every node of a sheet's cut tree: the page "A", pieces "B", "C"... and "waste-1"...
 * in cutting order, prints by id. `ids` is by placed index. */
TW_USE_RESULT tw_code tw_plan_names(tw_arena *arena, const tw_sheet_cuts *cuts,
                                    const tw_print *const *placed, const char ***out,
                                    tw_error *error);

/* Adds what is free on a roll's sheets to paper->free. */
TW_USE_RESULT tw_code tw_plan_find_free(tw_arena *arena, const tw_plan_data *plan,
                                        const tw_paper_work *work, tw_plan_paper *paper,
                                        tw_error *error);
/* With layout.keep_together: the orders it could not keep together. */
TW_USE_RESULT tw_code tw_plan_find_splits(tw_arena *arena, tw_plan_data *plan, tw_error *error);
/* With layout.at_risk: warns of sheets with more print value. */
TW_USE_RESULT tw_code tw_plan_weigh_risk(const tw_plan_data *plan, tw_report *report,
                                         tw_error *error);

/* A roll's share added to its paper's totals; then the day's from all papers'. */
void tw_plan_add_totals(const tw_job_data *job, const tw_paper_work *work, tw_totals *out);
void tw_plan_day_totals(tw_plan_data *plan);
/* What the plans to choose from come to, from all papers' pays. */
void tw_plan_choices(tw_plan_data *plan);

/* Lists what is worth keeping, once the pages are drawn. */
TW_USE_RESULT tw_code tw_plan_keepable(tw_arena *arena, tw_plan_data *plan, tw_error *error);

/* What the plan has to say: prints left over (also listed in plan->unplaced, where there is
 * room), what strips cost, marks on lines that no lip hides, work that no price can be weighed
 * against. */
TW_USE_RESULT tw_code tw_plan_left(const tw_job_data *job, const tw_paper_work *work,
                                   tw_plan_data *plan, tw_report *report, tw_error *error);
TW_USE_RESULT tw_code tw_plan_work(const tw_job_data *job, const tw_paper_work *work,
                                   tw_report *report, tw_error *error);
TW_USE_RESULT tw_code tw_plan_strips(const tw_job_data *job, const tw_paper_work *work,
                                     tw_plan_paper *paper, tw_report *report, tw_error *error);
TW_USE_RESULT tw_code tw_plan_lines(tw_arena *arena, const tw_job_data *job,
                                    const tw_prints *prints, tw_report *report, tw_error *error);

/* An upper bound of what an image adds to the PDF it is in, in bytes. */
int64_t tw_image_pdf_bytes(const tw_paper *paper, const tw_image *image);

#endif
