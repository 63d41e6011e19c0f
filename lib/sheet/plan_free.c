/*
 * What is still free today, by the job's templates of a fixed size, and what would pay.
 */
#include "sheet/plan_steps.h"

/* As a print of this template at its least: an image of its own shape, the border as written. */
static tw_piece piece_of(const tw_job_data *job, const tw_template *format, const tw_paper *paper) {
    bool turns = paper->turn == TW_UNSET ? job->turn : paper->turn == TW_YES;
    tw_piece piece = {.width = format->size.width,
                      .height = format->size.height,
                      .may_turn = turns && !format->lie_upright,
                      .group = -1,
                      .alike = -1,
                      .pin_sheet = -1,
                      .image = -1};
    for (int side = 0; side < 4; side++) {
        tw_nm border = format->border.side[side];
        tw_nm bleed = format->has_bleed ? format->bleed : border == 0 ? TW_IN / 8 : 0;
        piece.bleed.side[side] = border == 0 ? bleed : 0;
        piece.visible.side[side] = border > 0 ? border : -piece.bleed.side[side];
    }
    return piece;
}

typedef struct formats {
    tw_piece *pieces;
    size_t *templates; /* of each piece: into job->templates */
    size_t count;
    size_t *same; /* of each print of the roll: its format */
} formats;

/* A template by its picture's size is as large as its image asks. */
static tw_code list_formats(tw_arena *arena, const tw_job_data *job, const tw_paper_work *work,
                            formats *out, tw_error *error) {
    *out = (formats){.pieces = tw_arena_array(arena, job->template_count, sizeof *out->pieces)};
    out->templates = tw_arena_array(arena, job->template_count, sizeof *out->templates);
    out->same = tw_arena_array(arena, work->count, sizeof *out->same);
    size_t *format_of = tw_arena_array(arena, job->template_count, sizeof *format_of);
    if (out->pieces == NULL || out->templates == NULL || out->same == NULL || format_of == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < job->template_count; i++) {
        format_of[i] = SIZE_MAX;
        if (job->templates[i].by_picture)
            continue;
        format_of[i] = out->count;
        out->templates[out->count] = i;
        out->pieces[out->count++] =
            piece_of(job, &job->templates[i], &job->papers[work->paper_index]);
    }
    for (size_t i = 0; i < work->count; i++)
        out->same[i] = format_of[work->prints[i]->format - job->templates];
    return TW_OK;
}

tw_code tw_plan_find_free(tw_arena *arena, const tw_plan_data *plan, const tw_paper_work *work,
                          tw_plan_paper *paper, tw_error *error) {
    const tw_job_data *job = plan->job;
    formats f;
    tw_arena *scratch = tw_arena_new(tw_arena_allocator(arena), 0);
    if (scratch == NULL)
        return tw_no_memory(error);
    if (paper->free == NULL)
        paper->free = tw_arena_array(arena, job->template_count, sizeof *paper->free);
    tw_code code =
        paper->free == NULL ? tw_no_memory(error) : list_formats(scratch, job, work, &f, error);
    tw_free *found = code != TW_OK ? NULL : tw_arena_array(scratch, f.count, sizeof *found);
    if (code == TW_OK && found == NULL)
        code = tw_no_memory(error);
    if (code == TW_OK)
        code = tw_free_places(scratch, &work->problem, &work->layout, f.pieces, f.count, f.same,
                              found, error);
    for (size_t i = 0; code == TW_OK && i < f.count; i++) {
        tw_free *sum = &paper->free[f.templates[i]];
        size_t places = sum->places + found[i].places;
        bool cut_short = sum->cut_short || found[i].cut_short;
        if (found[i].saves > sum->saves)
            *sum = found[i];
        sum->places = places;
        sum->cut_short = cut_short;
    }
    tw_arena_free(scratch);
    return code;
}
