/*
 * For the layout's tests: problems in a few words, laid out, cut and judged in one go.
 */
#ifndef TW_TEST_LAYING_H
#define TW_TEST_LAYING_H

#include "testing.h"

#include "layout/layout.h"

#define HALF_IN (TW_IN / 2)
#define QUARTER_IN (TW_IN / 4)
#define EIGHTH_IN (TW_IN / 8)

typedef struct laying {
    tw_layout_problem problem;
    tw_piece *pieces;
    size_t room;
    test_memory memory;
    tw_allocator allocator;
    tw_run run;
    tw_arena *arena;
    tw_trimmer_limits limits;
    tw_nm lengths[4]; /* where the stock's sheet_lengths are */
    tw_layout layout;
    tw_cuts cuts;
    tw_error error;
} laying;

static inline tw_sides all_sides(tw_nm value) {
    return (tw_sides){{value, value, value, value}};
}

/* A 24 in roll of 50 ft, 1/4 in side margins, nothing lost, the printer's own cutter. */
static inline void laying_start(laying *l) {
    memset(l, 0, sizeof *l);
    l->problem.stock = (tw_stock){.roll = true,
                                  .width = 24 * TW_IN,
                                  .length = 50 * TW_FT,
                                  .side = QUARTER_IN,
                                  .longest_sheet = 60 * TW_IN,
                                  .sheet_most = 5080 * TW_MM,
                                  .machine_cuts = true};
    l->problem.settings = (tw_layout_settings){
        .turn = true, .narrowest_strip = EIGHTH_IN, .stages = 3, .steps = 2000};
    l->allocator = test_allocator(&l->memory);
    l->run.allocator = &l->allocator;
    l->problem.settings.run = &l->run;
}

static inline tw_piece *laying_add(laying *l, size_t copies, tw_nm width, tw_nm height,
                                   tw_nm border) {
    size_t first = l->problem.count;
    while (l->room < first + copies) {
        l->room = l->room == 0 ? 64 : 2 * l->room;
        l->pieces = realloc(l->pieces, l->room * sizeof *l->pieces);
        assert_non_null(l->pieces);
    }
    l->problem.pieces = l->pieces;
    for (size_t i = 0; i < copies; i++)
        l->pieces[l->problem.count++] = (tw_piece){.width = width,
                                                   .height = height,
                                                   .visible = all_sides(border),
                                                   .may_turn = true,
                                                   .group = -1,
                                                   .alike = -1,
                                                   .pin_sheet = -1,
                                                   .image = -1};
    return &l->pieces[first];
}

/* A picture that bleeds by `bleed` on all sides. */
static inline tw_piece *laying_bleed(laying *l, size_t copies, tw_nm width, tw_nm height,
                                     tw_nm bleed) {
    tw_piece *first = laying_add(l, copies, width, height, -bleed);
    for (size_t i = 0; i < copies; i++)
        first[i].bleed = all_sides(bleed);
    return first;
}

static inline void laying_clear(laying *l) {
    tw_arena_free(l->arena);
    l->arena = NULL;
}

/* Lay out, cut, judge: the first failure is the answer. */
static inline tw_code laying_try(laying *l) {
    laying_clear(l);
    l->arena = tw_arena_new(&l->allocator, 0);
    if (l->arena == NULL)
        return TW_MEMORY;
    l->problem.settings.trimmer = l->limits;
    tw_code code = tw_layout_make(l->arena, &l->problem, &l->layout, &l->error);
    if (code == TW_OK)
        code = tw_cuts_make(l->arena, &l->problem, &l->layout, &l->limits, &l->cuts, &l->error);
    if (code == TW_OK)
        code = tw_referee_check(&l->problem, &l->layout, &l->cuts, &l->error);
    return code;
}

static inline void laying_run(laying *l) {
    assert_ok(laying_try(l), l->error);
}

/* Instead of the packer's: a layout made by hand. `sheet_length` 0 ends the list. */
static inline void laying_by_hand(laying *l, const tw_placed *placed, size_t count,
                                  const tw_nm *sheet_length) {
    laying_clear(l);
    l->arena = tw_arena_new(&l->allocator, 0);
    assert_non_null(l->arena);
    memset(&l->layout, 0, sizeof l->layout);
    l->layout.placed = tw_arena_array(l->arena, count, sizeof *placed);
    memcpy(l->layout.placed, placed, count * sizeof *placed);
    l->layout.placed_count = count;
    int sheets = 0;
    while (sheet_length[sheets] > 0)
        l->layout.used += sheet_length[sheets++];
    l->layout.sheet_count = sheets;
    l->layout.sheet_length = tw_arena_array(l->arena, (size_t)sheets, sizeof *sheet_length);
    memcpy(l->layout.sheet_length, sheet_length, (size_t)sheets * sizeof *sheet_length);
}

static inline void laying_end(laying *l) {
    laying_clear(l);
    free(l->pieces);
    assert_no_leak(l->memory);
}

#endif
