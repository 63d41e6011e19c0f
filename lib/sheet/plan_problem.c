/*
 * From prints, paper and job to the layout's problem: nothing but sizes and integers from here.
 */
#include "sheet/plan_steps.h"

#include <stdlib.h>
#include <string.h>

#include "base/limits.h"
#include "job/job.h"

/* What a page costs in its file beside the images: marks, text, an embedded face. */
#define PAGE_BYTES (1 << 20)
#define IMAGE_BYTES (64 << 10) /* dictionaries, palette, chunk framing */
#define MARK_OFFSET_LEAST (TW_IN / 16)

/* An upper bound of an image's bytes in the PDF. Files whose bytes pass through cost what they
 * are; those decoded row by row cost at worst stored deflate blocks, five bytes in 32 KiB
 * (RFC 1951 3.2.4), taken as a thousandth. The profile goes in unpacked. Converted pixels have the
 * paper's channels. */
int64_t tw_image_pdf_bytes(const tw_paper *paper, const tw_image *image) {
    int64_t bytes = image->bytes;
    bool made = image->treat.width > 0;
    int64_t width = made ? image->treat.width : image->width;
    int64_t height = made ? image->treat.height : image->height;
    if (paper->converts || !tw_image_passes(image)) {
        int64_t channels = image->space == TW_GREY ? 1 : image->space == TW_CMYK ? 4 : 3;
        if (paper->converts)
            channels = paper->icc_channels;
        int64_t depth = image->depth < 8 || image->palette ? 8 : image->depth;
        int64_t raw = (width * channels * depth / 8 + 1) * height;
        bytes = raw + raw / 1000;
    }
    return bytes + (int64_t)image->profile_length + IMAGE_BYTES;
}

/* "2027-03-06" as 20270306, so that earlier days come first; a print that is not due waits. */
static int64_t priority(const char *due) {
    int64_t number = 0;
    if (due == NULL || due[0] == '\0')
        return INT64_MAX;
    for (const char *at = due; *at != '\0'; at++)
        if (*at != '-')
            number = number * 10 + (*at - '0');
    return number;
}

/* What laying a filler is expected to bring: its price by its chance, less what it costs. */
static int64_t worth_of(const tw_print *print) {
    const tw_order *line = print->line;
    if (!print->filler)
        return 0;
    if (!line->has_sells_for) /* listed without a price: wanted, after all that have one */
        return line->cost.minor > 0 ? -line->cost.minor : 1;
    return tw_scale(line->sells_for.minor, line->chance, 1000000) - line->cost.minor;
}

static tw_piece piece_of(const tw_job_data *job, const tw_print *print) {
    const tw_paper *paper = &job->papers[print->paper_index];
    bool turns = paper->turn == TW_UNSET ? job->turn : paper->turn == TW_YES;
    return (tw_piece){
        .width = print->fit.size.width,
        .height = print->fit.size.height,
        .visible = print->fit.visible,
        .bleed = print->fit.bleed,
        .may_turn = turns && !print->format->lie_upright,
        .group = -1,
        .alike = -1,
        .pin_sheet = -1,
        .priority = print->filler ? -worth_of(print) : priority(print->line->due),
        .filler = print->filler,
        .worth = worth_of(print),
        .bytes = tw_image_pdf_bytes(paper, print->image),
        /* one object an image and intent; images are below TW_CSV_ROWS_MOST */
        .image = (int)print->image_index * (TW_ABSOLUTE + 1) + (int)print->intent,
    };
}

/* Of the lengths a sheet may have those this roll takes; then none is shorter or longer. */
static tw_code add_lengths(tw_arena *arena, const tw_job_data *job, const tw_paper *paper,
                           tw_stock *stock, tw_error *error) {
    tw_nm *lengths = tw_arena_array(arena, job->sheet_length_count, sizeof *lengths);
    int count = 0;
    if (lengths == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < job->sheet_length_count; i++)
        if (tw_paper_takes(paper, job->sheet_lengths[i]))
            lengths[count++] = job->sheet_lengths[i];
    if (count == 0)
        return TW_OK;
    stock->sheet_lengths = lengths;
    stock->sheet_length_count = count;
    stock->shortest_sheet = lengths[0];
    stock->longest_sheet = lengths[count - 1];
    return TW_OK;
}

static tw_stock stock_of(const tw_paper *paper) {
    return (tw_stock){
        .roll = paper->kind == TW_ROLL,
        .width = paper->width,
        .length = paper->length,
        .count = paper->count,
        .side = paper->side,
        .lead = paper->lead,
        .tail = paper->tail,
        .edge_trim = paper->edge_trim,
        .lost_each_sheet = paper->lost_each_sheet,
        .lost_each_load = paper->lost_each_load,
        .lost_core_end = paper->lost_core_end,
        .shortest_sheet = paper->shortest_sheet,
        .longest_sheet = paper->longest_sheet,
        .sheet_most = 5080 * TW_MM, /* 14 400 units of 1/72 in: ISO 32000-1 Annex C */
        .machine_cuts = paper->cutter == TW_CUTTER_PRINTER,
        .price = paper->has_price ? paper->price.minor : 0,
    };
}

/* Wide enough that a mark lies clear of every bleed and off the margin. */
static void add_strips(const tw_job_data *job, tw_paper_work *work, const tw_piece *pieces) {
    const tw_paper *paper = &job->papers[work->paper_index];
    tw_nm offset = job->marks.offset_auto ? MARK_OFFSET_LEAST : job->marks.offset;
    for (size_t i = 0; i < work->count; i++)
        for (int side = 0; side < 4; side++)
            if (pieces[i].bleed.side[side] > offset)
                offset = pieces[i].bleed.side[side];
    work->problem.settings.strip_lead = paper->lead + offset + job->marks.length;
    work->problem.settings.strip_tail = paper->tail + offset + job->marks.length;
}

static tw_trimmer_limits limits_of(const tw_trimmer *trimmer) {
    return (tw_trimmer_limits){
        .longest_cut = trimmer->has_longest_cut ? trimmer->longest_cut : 0,
        .farthest_stop = trimmer->has_farthest_stop ? trimmer->farthest_stop : 0,
    };
}

/* Thousandths of a minor unit. */
static int64_t work_of(bool given, tw_money money) {
    return given ? money.minor * 1000 : 0;
}

static tw_layout_settings settings_of(const tw_job_data *job, const tw_paper *paper,
                                      const tw_run *run) {
    static const tw_want wants[] = {[TW_BY_PRICE] = TW_WANT_PRICE,
                                    [TW_BY_PAPER] = TW_WANT_PAPER,
                                    [TW_BY_CUTS] = TW_WANT_CUTS,
                                    [TW_BY_ROWS] = TW_WANT_ROWS};
    return (tw_layout_settings){
        .gutter = job->gutter,
        .turn = paper->turn == TW_UNSET ? job->turn : paper->turn == TW_YES,
        .narrowest_strip = job->trimmer.narrowest_strip,
        .stages = job->stages,
        .add_row_at = job->add_row_at,
        .keep_together = job->keep_together.minor * 1000,
        .steps = job->steps,
        .sheet_bytes_most = TW_SHEET_BYTES_MOST - PAGE_BYTES - (int64_t)paper->icc_length,
        .trimmer = limits_of(&job->trimmer),
        .hand_cut = work_of(job->has_hand_cut, job->hand_cut),
        .stop_change = work_of(job->has_stop_change, job->stop_change),
        .want = wants[job->plan],
        .choices = true,
        .run = run,
    };
}

typedef struct named {
    const char *name;
    size_t index;
} named;

static int by_name(const void *left, const void *right) {
    const named *a = left, *b = right;
    int order = strcmp(a->name, b->name);
    return order != 0 ? order : (a->index > b->index) - (a->index < b->index);
}

/* Prints of one name get one number: that of their first print. */
static void number_names(named *names, size_t count, const tw_paper_work *work,
                         void (*give)(tw_piece *, int)) {
    if (count > 0)
        qsort(names, count, sizeof *names, by_name);
    for (size_t i = 0, first = 0; i < count; i++) {
        if (strcmp(names[i].name, names[first].name) != 0)
            first = i;
        give(&work->pieces[names[i].index], (int)names[first].index);
    }
}

static void give_set(tw_piece *piece, int number) {
    piece->alike = number;
}

static void give_order(tw_piece *piece, int number) {
    piece->group = number;
}

static const char *set_name(const tw_print *print) {
    return print->line->set;
}

static const char *order_name(const tw_print *print) {
    return print->order;
}

static tw_code number_by(tw_arena *arena, const tw_paper_work *work,
                         const char *(*name_of)(const tw_print *), void (*give)(tw_piece *, int),
                         tw_error *error) {
    size_t count = 0;
    named *names = tw_arena_array(arena, work->count, sizeof *names);
    if (names == NULL)
        return tw_no_memory(error);
    for (size_t i = 0; i < work->count; i++)
        if (name_of(work->prints[i]) != NULL)
            names[count++] = (named){name_of(work->prints[i]), i};
    number_names(names, count, work, give);
    return TW_OK;
}

/* Fillers alone are no reason to load a paper. */
static bool has_orders(const tw_prints *prints, size_t paper_index) {
    for (size_t i = 0; i < prints->count; i++)
        if (prints->items[i].paper_index == paper_index && !prints->items[i].filler)
            return true;
    return false;
}

static size_t pick_prints(const tw_prints *prints, size_t paper_index, const tw_print **out) {
    size_t count = 0;
    for (size_t i = 0; i < prints->count; i++) {
        if (prints->items[i].paper_index != paper_index)
            continue;
        if (out != NULL)
            out[count] = &prints->items[i];
        count++;
    }
    return count;
}

tw_code tw_plan_problem(tw_arena *arena, const tw_job_data *job, const tw_prints *prints,
                        size_t paper_index, const tw_run *run, tw_paper_work *out,
                        tw_error *error) {
    const tw_paper *paper = &job->papers[paper_index];
    *out = (tw_paper_work){.paper_index = paper_index};
    if (!has_orders(prints, paper_index))
        return TW_OK;
    out->count = pick_prints(prints, paper_index, NULL);
    out->prints = tw_arena_array(arena, out->count, sizeof *out->prints);
    tw_piece *pieces = tw_arena_array(arena, out->count, sizeof *pieces);
    if (out->prints == NULL || pieces == NULL)
        return tw_no_memory(error);
    (void)pick_prints(prints, paper_index, out->prints);
    for (size_t i = 0; i < out->count; i++) {
        pieces[i] = piece_of(job, out->prints[i]);
        pieces[i].tie = (int64_t)i; /* prints are sorted by what they are */
    }
    out->pieces = pieces;
    out->problem = (tw_layout_problem){
        .pieces = pieces,
        .count = out->count,
        .stock = stock_of(paper),
        .settings = settings_of(job, paper, run),
    };
    if (job->marks.place == TW_MARKS_STRIP)
        add_strips(job, out, pieces);
    tw_code code = add_lengths(arena, job, paper, &out->problem.stock, error);
    if (code == TW_OK)
        code = number_by(arena, out, set_name, give_set, error);
    if (code != TW_OK || job->keep_together.minor == 0)
        return code;
    return number_by(arena, out, order_name, give_order, error);
}
