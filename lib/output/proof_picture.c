/*
 * One print looked at: the image's pixels on an even grid, upright, as far as they lie in the
 * picture, each as it is wanted and as the paper will show it.
 */
#include "output/proof.h"

#include "base/crew.h"
#include "output/colour_gamut.h"
#include "output/colour_sample.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NEAR_WHITE 1.5        /* CIEDE2000 from paper white: no edge is seen */
#define WHITE_RUN (TW_IN / 2) /* longer is warned of */

enum { PARTS = 16 };

/* The grid's part that is printed, upright. */
typedef struct window {
    uint32_t across, down; /* of the whole grid, upright */
    uint32_t x, y, width, height;
} window;

typedef struct looking {
    const tw_image *image;
    window window;
    size_t pixel_bytes;
    unsigned char *pixels; /* of the window, upright */
    tw_proof_picture *out;
    tw_gamut *printed, *relative; /* the latter NULL: the print's intent is relative */
} looking;

/* ------------------------------------------------ pixels upright */

/* Exif orientations 1 to 8 (CIPA DC-008, tag 274): where a stored point of the grid is seen. */
static void upright(const looking *l, uint32_t sx, uint32_t sy, uint32_t *x, uint32_t *y) {
    uint32_t right = l->window.across - 1, low = l->window.down - 1;
    bool swaps = l->image->orientation >= 5;
    uint32_t u = swaps ? sy : sx, v = swaps ? sx : sy;
    static const bool mirrors_x[] = {false, true, true, false, false, true, true, false};
    static const bool mirrors_y[] = {false, false, true, true, false, false, true, true};
    int o = l->image->orientation - 1;
    *x = mirrors_x[o] ? right - u : u;
    *y = mirrors_y[o] ? low - v : v;
}

static void keep_pixels(void *context, const unsigned char *pixels, size_t count,
                        const tw_sample_place *places) {
    looking *l = context;
    const window *w = &l->window;
    for (size_t i = 0; i < count; i++) {
        uint32_t x, y;
        upright(l, places[i].x, places[i].y, &x, &y);
        if (x < w->x || y < w->y || x - w->x >= w->width || y - w->y >= w->height)
            continue;
        size_t at = (size_t)(y - w->y) * w->width + (x - w->x);
        memcpy(l->pixels + at * l->pixel_bytes, pixels + i * l->pixel_bytes, l->pixel_bytes);
    }
}

static uint32_t part_of(uint32_t whole, tw_nm part, tw_nm of) {
    return (uint32_t)tw_scale(whole, part, of);
}

static window window_of(const tw_print *print) {
    const tw_image *image = print->image;
    const tw_fitted *fit = &print->fit;
    uint32_t wide = image->upright_width, high = image->upright_height;
    uint32_t longest = wide > high ? wide : high;
    uint32_t side = longest < TW_PROOF_SIDE ? longest : TW_PROOF_SIDE;
    window w = {.across = (uint32_t)((uint64_t)wide * side / longest),
                .down = (uint32_t)((uint64_t)high * side / longest)};
    w.across = w.across == 0 ? 1 : w.across;
    w.down = w.down == 0 ? 1 : w.down;
    w.x = part_of(w.across, fit->picture.x - fit->whole.x, fit->whole.width);
    w.y = part_of(w.down, fit->picture.y - fit->whole.y, fit->whole.height);
    w.width = part_of(w.across, fit->picture.width, fit->whole.width);
    w.height = part_of(w.down, fit->picture.height, fit->whole.height);
    w.width = w.width == 0 ? 1 : w.width > w.across - w.x ? w.across - w.x : w.width;
    w.height = w.height == 0 ? 1 : w.height > w.down - w.y ? w.down - w.y : w.height;
    return w;
}

static tw_code take_pixels(tw_arena *arena, looking *l, tw_error *error) {
    static const size_t channels[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};
    bool swaps = l->image->orientation >= 5;
    uint32_t across = swaps ? l->window.down : l->window.across;
    uint32_t down = swaps ? l->window.across : l->window.down;
    size_t count = (size_t)l->window.width * l->window.height;
    l->pixel_bytes = channels[l->image->space] * (l->image->depth == 16 ? 2 : 1);
    l->pixels = tw_arena_array(arena, count, l->pixel_bytes);
    if (l->pixels == NULL)
        return tw_no_memory(error);
    return tw_sample_image(tw_arena_allocator(arena), l->image, across, down, keep_pixels, l,
                           error);
}

/* ------------------------------------------------ colours */

static void run_part(void *context, size_t part) {
    looking *l = context;
    tw_proof_picture *out = l->out;
    size_t count = (size_t)out->width * out->height;
    size_t from = count * part / PARTS, to = count * (part + 1) / PARTS;
    const unsigned char *pixels = l->pixels + from * l->pixel_bytes;
    const tw_gamut *relative = l->relative != NULL ? l->relative : l->printed;
    tw_gamut_run(relative, pixels, to - from, out->wanted + from, out->printed + from);
    for (size_t i = from; i < to; i++)
        out->far[i] = tw_ciede2000(out->wanted[i], out->printed[i]) > TW_GAMUT_FAR;
    if (relative != l->printed)
        tw_gamut_run(l->printed, pixels, to - from, out->wanted + from, out->printed + from);
}

static tw_code see_colours(const tw_allocator *allocator, const tw_job_data *job,
                           const tw_print *print, looking *l, tw_error *error) {
    const tw_paper *paper = &job->papers[print->paper_index];
    tw_gamut_way way = {{l->image->source, l->image->source_length},
                        {paper->icc, paper->icc_length},
                        print->intent,
                        job->black_point,
                        l->image->depth == 16 ? 0 : 8};
    tw_code code = tw_gamut_open(allocator, &way, &l->printed, error);
    way.intent = TW_RELATIVE;
    if (code == TW_OK && print->intent != TW_RELATIVE)
        code = tw_gamut_open(allocator, &way, &l->relative, error);
    if (code == TW_OK)
        tw_crew_each(tw_crew_cores(), PARTS, run_part, l);
    tw_gamut_close(l->printed);
    tw_gamut_close(l->relative);
    return code;
}

/* ------------------------------------------------ figures */

static int by_size(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static tw_code add_up(tw_arena *arena, const tw_image *image, tw_proof_picture *p,
                      tw_error *error) {
    size_t count = (size_t)p->width * p->height, far = 0;
    tw_proof_figures *f = &p->figures;
    double *differences = tw_arena_array(arena, count, sizeof *differences), sum = 0;
    if (differences == NULL)
        return tw_no_memory(error);
    f->pixels = count;
    f->grey = image->space == TW_GREY;
    for (size_t i = 0; i < count; i++) {
        differences[i] = tw_ciede2000(p->wanted[i], p->printed[i]);
        sum += differences[i];
        far += p->far[i];
        f->grey_a = fmax(f->grey_a, fabs(p->printed[i].a));
        f->grey_b = fmax(f->grey_b, fabs(p->printed[i].b));
    }
    qsort(differences, count, sizeof *differences, by_size);
    f->share = (double)far / (double)count;
    f->mean = sum / (double)count;
    f->most_below = differences[(count * 95 + 99) / 100 - 1];
    f->worst = differences[count - 1];
    return TW_OK;
}

static bool is_paper_white(tw_lab lab) {
    const tw_lab white = {100, 0, 0};
    return tw_ciede2000(lab, white) <= NEAR_WHITE;
}

/* The longest stretch of one side's outermost pixels that prints as bare paper, in pixels. */
static uint32_t longest_white(const tw_proof_picture *p, int side) {
    bool level = side == TW_TOP || side == TW_BOTTOM;
    uint32_t count = level ? p->width : p->height, run = 0, longest = 0;
    for (uint32_t i = 0; i < count; i++) {
        uint32_t x = level ? i : side == TW_LEFT ? 0 : p->width - 1;
        uint32_t y = !level ? i : side == TW_TOP ? 0 : p->height - 1;
        run = is_paper_white(p->printed[(size_t)y * p->width + x]) ? run + 1 : 0;
        longest = run > longest ? run : longest;
    }
    return longest;
}

/* Only beside a white border can nobody see where the picture ends. */
static void look_at_edges(const tw_print *print, tw_proof_picture *p) {
    p->figures.white_side = -1;
    for (int side = 0; side < 4 && !print->format->keyline; side++) {
        bool level = side == TW_TOP || side == TW_BOTTOM;
        tw_nm length = level ? print->fit.picture.width : print->fit.picture.height;
        uint32_t count = level ? p->width : p->height;
        tw_nm run = tw_scale(length, longest_white(p, side), count);
        if (print->fit.visible.side[side] <= 0 || run <= WHITE_RUN || run <= p->figures.white_run)
            continue;
        p->figures.white_side = side;
        p->figures.white_run = run;
    }
}

tw_code tw_proof_look(tw_arena *arena, const tw_job_data *job, const tw_print *print,
                      tw_proof_picture *out, tw_error *error) {
    looking l = {.image = print->image, .window = window_of(print), .out = out};
    size_t count = (size_t)l.window.width * l.window.height;
    *out = (tw_proof_picture){.width = l.window.width,
                              .height = l.window.height,
                              .wanted = tw_arena_array(arena, count, sizeof *out->wanted),
                              .printed = tw_arena_array(arena, count, sizeof *out->printed),
                              .far = tw_arena_array(arena, count, 1)};
    if (out->wanted == NULL || out->printed == NULL || out->far == NULL)
        return tw_no_memory(error);
    tw_code code = take_pixels(arena, &l, error);
    if (code == TW_OK)
        code = see_colours(tw_arena_allocator(arena), job, print, &l, error);
    if (code == TW_OK)
        code = add_up(arena, print->image, out, error);
    if (code == TW_OK)
        look_at_edges(print, out);
    return code;
}
