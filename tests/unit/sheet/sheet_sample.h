/*
 * Sheets built by hand for the tests of what is drawn on them: prints where the test says, cuts
 * as the test lists them. Lengths in nm.
 */
#ifndef TW_SHEET_SAMPLE_H
#define TW_SHEET_SAMPLE_H

#include "sheet/draw.h"
#include "testing.h"

#include "base/face.h"

enum { SAMPLE_PRINTS = 400, SAMPLE_CUTS = 1600 };

typedef struct sample {
    test_memory memory;
    tw_allocator allocator;
    tw_arena *arena;
    tw_error error;
    tw_paper paper;
    tw_template format;
    tw_image image;
    tw_print print;
    tw_job_data job;
    tw_plan_data plan;
    tw_plan_sheet sheet;
    tw_lying prints[SAMPLE_PRINTS];
    tw_cut cuts[SAMPLE_CUTS];
    tw_sheet_cuts tree;
} sample;

/* An empty page with these margins; marks as a job has them when it says nothing. */
static inline void sample_start(sample *s, tw_nm width, tw_nm height, tw_nm side, tw_nm ends) {
    memset(s, 0, sizeof *s);
    s->allocator = test_allocator(&s->memory);
    s->arena = tw_arena_new(&s->allocator, 0);
    assert_non_null(s->arena);
    s->paper =
        (tw_paper){.name = "satin-24in", .width = width, .side = side, .lead = ends, .tail = ends};
    s->format = (tw_template){.name = "8x10"};
    s->image = (tw_image){.orientation = 1};
    s->print = (tw_print){.id = "1001-1", .format = &s->format, .image = &s->image};
    s->job = (tw_job_data){.name = "March day",
                           .papers = &s->paper,
                           .paper_count = 1,
                           .marks = {.place = TW_MARKS_WASTE,
                                     .offset_auto = true,
                                     .length = TW_IN / 4,
                                     .weight = TW_IN / 288}};
    s->plan = (tw_plan_data){.job = &s->job, .sheet_count = 3};
    s->sheet = (tw_plan_sheet){
        .number = 1, .size = {width, height}, .prints = s->prints, .cuts = &s->tree};
    s->tree.cuts = s->cuts;
}

/* The same border and bleed on all sides; border 0 with a bleed: the picture runs out. */
static inline tw_lying *sample_print(sample *s, tw_rect trim, tw_nm border, tw_nm bleed) {
    assert_true(s->sheet.print_count < SAMPLE_PRINTS);
    tw_lying *lying = &s->prints[s->sheet.print_count++];
    *lying = (tw_lying){.print = &s->print, .trim = trim};
    lying->picture = lying->whole = tw_rect_spread(trim, bleed > 0 ? bleed : -border);
    for (int side = 0; side < 4; side++) {
        lying->bleed.side[side] = bleed;
        lying->visible.side[side] = bleed > 0 ? -bleed : border;
    }
    return lying;
}

static inline void sample_cut(sample *s, tw_along along, tw_nm at, tw_nm from, tw_nm to) {
    assert_true(s->tree.cut_count < SAMPLE_CUTS);
    tw_cut *cut = &s->cuts[s->tree.cut_count++];
    *cut = (tw_cut){.step = s->tree.cut_count, .along = along, .at = at, .from = from, .to = to};
}

static inline void sample_draw(sample *s) {
    assert_ok(tw_sheet_draw(s->arena, &s->plan, &s->sheet, &s->error), s->error);
}

static inline void sample_end(sample *s) {
    tw_arena_free(s->arena);
    assert_no_leak(s->memory);
}

/* How many ops of this role and kind there are. */
static inline int sample_count(const sample *s, tw_role role, tw_op_kind kind) {
    int count = 0;
    for (size_t i = 0; i < s->sheet.page.count; i++)
        count += s->sheet.page.ops[i].role == role && s->sheet.page.ops[i].kind == kind;
    return count;
}

static inline bool has_line(const sample *s, tw_role role, tw_nm x0, tw_nm y0, tw_nm x1, tw_nm y1) {
    for (size_t i = 0; i < s->sheet.page.count; i++) {
        const tw_op *op = &s->sheet.page.ops[i];
        if (op->role == role && op->kind == TW_OP_LINE && op->x0 == x0 && op->y0 == y0 &&
            op->x1 == x1 && op->y1 == y1)
            return true;
    }
    return false;
}

static inline const tw_op *text_of(const sample *s, tw_role role, const char *words) {
    for (size_t i = 0; i < s->sheet.page.count; i++) {
        const tw_op *op = &s->sheet.page.ops[i];
        if (op->role == role && op->kind == TW_OP_TEXT &&
            (words == NULL || strcmp(op->text, words) == 0))
            return op;
    }
    return NULL;
}

/* What an op covers, by this test's own reckoning: lines with half their weight on each side,
 * texts by the face's widths, from 0.93 of the em above the baseline to 0.24 below. */
static inline tw_rect ink_of(const tw_op *op) {
    tw_nm half = (op->weight + 1) / 2, length = 0;
    if (op->kind == TW_OP_TEXT) {
        tw_nm up = op->size * 93 / 100, down = op->size * 24 / 100;
        length = tw_face_width(op->text, op->size);
        assert_int_equal(op->align, TW_ALIGN_LEFT);
        return op->quarter == 0 ? (tw_rect){op->x0, op->y0 - up, length, up + down}
                                : (tw_rect){op->x0 - down, op->y0, up + down, length};
    }
    assert_int_equal(op->kind, TW_OP_LINE);
    assert_true(op->x0 == op->x1 ? op->y0 < op->y1 : op->y0 == op->y1 && op->x0 < op->x1);
    return op->x0 == op->x1 ? (tw_rect){op->x0 - half, op->y0, 2 * half, op->y1 - op->y0}
                            : (tw_rect){op->x0, op->y0 - half, op->x1 - op->x0, 2 * half};
}

#endif
