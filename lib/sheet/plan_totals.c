/*
 * What a paper and the day come to: lengths, areas, cuts.
 */
#include "sheet/plan_steps.h"

/* nm x nm passes 64 bits at 3 m x 3 m. */
__extension__ typedef unsigned __int128 area;

/* Square millimetres in millionths: nm2 / 10^12 * 10^6, rounded half up. */
static int64_t millionths(area nm2) {
    return (int64_t)((nm2 + 500000) / 1000000);
}

void tw_plan_add_totals(const tw_job_data *job, const tw_paper_work *work, tw_totals *out) {
    const tw_layout *layout = &work->layout;
    tw_nm width =
        work->offcut > 0 ? work->problem.stock.width : job->papers[work->paper_index].width;
    area prints = 0;
    for (size_t i = 0; i < layout->placed_count; i++) {
        const tw_piece *piece = &work->problem.pieces[layout->placed[i].piece];
        prints += (area)piece->width * (area)piece->height;
    }
    out->length += work->offcut > 0 ? 0 : layout->used; /* a kept piece is paid for */
    out->paper_area += millionths((area)layout->used * (area)width);
    out->print_area += millionths(prints);
    out->hand_cuts += work->cuts.hand_cuts;
    out->stop_changes += work->cuts.stop_changes;
    out->sheets += layout->sheet_count;
}

void tw_plan_day_totals(tw_plan_data *plan) {
    tw_totals *day = &plan->totals;
    *day = (tw_totals){0};
    for (size_t i = 0; i < plan->paper_count; i++) {
        const tw_totals *one = &plan->papers[i].totals;
        day->length += one->length;
        day->bound_length += one->bound_length;
        day->bound_stages = one->bound_stages > 0 ? one->bound_stages : day->bound_stages;
        day->paper_area += one->paper_area;
        day->print_area += one->print_area;
        day->hand_cuts += one->hand_cuts;
        day->stop_changes += one->stop_changes;
        day->sheets += one->sheets;
    }
}
