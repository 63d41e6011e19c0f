/*
 * One print looked at: the image's pixels on an even grid, upright, as far as they lie in the
 * picture, each as it is wanted and as the paper will show it.
 */
#include "proof/views.h"

#include "base/crew.h"
#include "colour/sample.h"
#include "image/image_file.h"

#include <math.h>
#include <string.h>

#define NEAR_WHITE 1.5        /* CIEDE2000 from paper white: no edge is seen */
#define WHITE_RUN (TW_IN / 2) /* longer is warned of */

enum { PARTS = 16 };

/* The view's part that is printed. */
typedef struct window {
    uint32_t x, y, width, height;
} window;

typedef struct looking {
    const tw_proof_view *view;
    window window;
    unsigned char *pixels; /* of the window */
    tw_proof_picture *out;
    tw_gamut *printed, *relative; /* the latter NULL: the print's intent is relative */
} looking;

/* ------------------------------------------------ pixels upright */

/* Exif orientations 1 to 8 (CIPA DC-008, tag 274): where a stored point of the grid is seen. */
static void upright(const tw_proof_view *v, uint32_t sx, uint32_t sy, uint32_t *x, uint32_t *y) {
    uint32_t right = v->across - 1, low = v->down - 1;
    bool swaps = v->image->orientation >= 5;
    uint32_t level = swaps ? sy : sx, upper = swaps ? sx : sy;
    static const bool mirrors_x[] = {false, true, true, false, false, true, true, false};
    static const bool mirrors_y[] = {false, false, true, true, false, false, true, true};
    int o = v->image->orientation - 1;
    *x = mirrors_x[o] ? right - level : level;
    *y = mirrors_y[o] ? low - upper : upper;
}

static void keep_pixels(void *context, const unsigned char *pixels, size_t count,
                        const tw_sample_place *places) {
    const tw_proof_view *v = context;
    for (size_t i = 0; i < count; i++) {
        uint32_t x, y;
        upright(v, places[i].x, places[i].y, &x, &y);
        size_t at = (size_t)y * v->across + x;
        memcpy(v->pixels + at * v->pixel_bytes, pixels + i * v->pixel_bytes, v->pixel_bytes);
        if (v->white != NULL)
            v->white[at] = places[i].white;
    }
}

static tw_code start_view(tw_arena *arena, const tw_image *image, tw_proof_view *out,
                          tw_error *error) {
    static const size_t channels[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};
    uint32_t wide = image->upright_width, high = image->upright_height;
    uint32_t longest = wide > high ? wide : high;
    uint32_t side = longest < TW_PROOF_SIDE ? longest : TW_PROOF_SIDE;
    uint32_t across = (uint32_t)((uint64_t)wide * side / longest);
    uint32_t down = (uint32_t)((uint64_t)high * side / longest);
    *out = (tw_proof_view){.image = image,
                           .across = across == 0 ? 1 : across,
                           .down = down == 0 ? 1 : down,
                           .pixel_bytes = channels[image->space] * (image->depth == 16 ? 2 : 1)};
    out->pixels = tw_arena_array(arena, (size_t)out->across * out->down, out->pixel_bytes);
    if (image->damage.white_count > 0)
        out->white = tw_arena_array(arena, (size_t)out->across * out->down, 1);
    if (out->pixels == NULL || (image->damage.white_count > 0 && out->white == NULL))
        return tw_no_memory(error);
    return TW_OK;
}

tw_code tw_proof_see(tw_arena *arena, const tw_image *image, const tw_proof_views *views,
                     tw_proof_view *out, tw_error *error) {
    bool swaps = image->orientation >= 5;
    tw_code code = start_view(arena, image, out, error);
    if (code != TW_OK)
        return code;
    out->again = views != NULL && tw_proof_views_take(views, out);
    if (out->again)
        return tw_image_file_still(image, error);
    return tw_sample_image(tw_arena_allocator(arena), image, swaps ? out->down : out->across,
                           swaps ? out->across : out->down, keep_pixels, out, error);
}

/* ------------------------------------------------ the part that is printed */

static uint32_t part_of(uint32_t whole, tw_nm part, tw_nm of) {
    return (uint32_t)tw_scale(whole, part, of);
}

static uint32_t at_least_one(uint32_t size, uint32_t most) {
    return size == 0 ? 1 : size > most ? most : size;
}

static window window_of(const tw_print *print, const tw_proof_view *view) {
    const tw_fitted *fit = &print->fit;
    window w = {.x = part_of(view->across, fit->picture.x - fit->whole.x, fit->whole.width),
                .y = part_of(view->down, fit->picture.y - fit->whole.y, fit->whole.height),
                .width = part_of(view->across, fit->picture.width, fit->whole.width),
                .height = part_of(view->down, fit->picture.height, fit->whole.height)};
    w.width = at_least_one(w.width, view->across - w.x);
    w.height = at_least_one(w.height, view->down - w.y);
    return w;
}

static void cut_out(const looking *l) {
    const window *w = &l->window;
    size_t pixel = l->view->pixel_bytes;
    for (size_t y = 0; y < w->height; y++)
        memcpy(l->pixels + y * w->width * pixel,
               l->view->pixels + ((w->y + y) * l->view->across + w->x) * pixel, w->width * pixel);
}

/* ------------------------------------------------ colours */

static void differ(tw_proof_picture *out, size_t from, size_t to) {
    for (size_t i = from; i < to; i++)
        out->difference[i] = tw_ciede2000(out->wanted[i], out->printed[i]);
}

static void run_part(void *context, size_t part) {
    looking *l = context;
    tw_proof_picture *out = l->out;
    size_t count = (size_t)out->width * out->height;
    size_t from = count * part / PARTS, to = count * (part + 1) / PARTS;
    const unsigned char *pixels = l->pixels + from * l->view->pixel_bytes;
    const tw_gamut *relative = l->relative != NULL ? l->relative : l->printed;
    tw_gamut_run(relative, pixels, to - from, out->wanted + from, out->printed + from);
    differ(out, from, to);
    for (size_t i = from; i < to; i++)
        out->far[i] = out->difference[i] > TW_GAMUT_FAR;
    if (relative == l->printed)
        return;
    tw_gamut_run(l->printed, pixels, to - from, out->wanted + from, out->printed + from);
    differ(out, from, to);
}

/* Lost rows of a damaged image go to paper without any ink, whatever its profile makes of white. */
static void make_white(const looking *l) {
    static const tw_lab paper = {100, 0, 0};
    const tw_proof_view *v = l->view;
    const window *w = &l->window;
    tw_proof_picture *out = l->out;
    for (size_t i = 0; v->white != NULL && i < (size_t)w->width * w->height; i++) {
        if (!v->white[(w->y + i / w->width) * v->across + w->x + i % w->width])
            continue;
        out->wanted[i] = out->printed[i] = paper;
        out->difference[i] = 0;
        out->far[i] = 0;
    }
}

static tw_code see_colours(const tw_job_data *job, const tw_print *print, tw_proof_looker *looker,
                           looking *l, tw_error *error) {
    const tw_image *image = l->view->image;
    const tw_paper *paper = &job->papers[print->paper_index];
    tw_gamut_way way = {{image->source, image->source_length},
                        {paper->icc, paper->icc_length},
                        print->intent,
                        job->black_point,
                        image->depth == 16 ? 0 : 8};
    tw_code code = tw_gamuts_get(&looker->gamuts, &way, &l->printed, error);
    way.intent = TW_RELATIVE;
    if (code == TW_OK && print->intent != TW_RELATIVE)
        code = tw_gamuts_get(&looker->gamuts, &way, &l->relative, error);
    if (code == TW_OK)
        tw_crew_each(looker->threads, PARTS, run_part, l);
    make_white(l);
    return code;
}

/* ------------------------------------------------ figures */

/* The value that `before` others do not exceed, in its place (Hoare, "Algorithm 65: Find", CACM 4,
 * 1961): all before it are no larger. */
static double find(double *values, size_t count, size_t before) {
    ptrdiff_t low = 0, high = (ptrdiff_t)count - 1, at = (ptrdiff_t)before;
    while (low < high) {
        double middle = values[at];
        ptrdiff_t i = low, k = high;
        while (i <= k) {
            while (values[i] < middle)
                i++;
            while (middle < values[k])
                k--;
            if (i > k)
                break;
            double other = values[i];
            values[i++] = values[k];
            values[k--] = other;
        }
        low = k < at ? i : low;
        high = at < i ? k : high;
    }
    return values[at];
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
        differences[i] = p->difference[i];
        sum += p->difference[i];
        f->worst = fmax(f->worst, p->difference[i]);
        far += p->far[i];
        f->grey_a = fmax(f->grey_a, fabs(p->printed[i].a));
        f->grey_b = fmax(f->grey_b, fabs(p->printed[i].b));
    }
    f->share = (double)far / (double)count;
    f->mean = sum / (double)count;
    f->most_below = find(differences, count, (count * 95 + 99) / 100 - 1);
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
    for (int side = 0; side < 4 && !print->format->keyline; side++) {
        bool level = side == TW_TOP || side == TW_BOTTOM;
        tw_nm length = level ? print->fit.picture.width : print->fit.picture.height;
        uint32_t count = level ? p->width : p->height;
        tw_nm run = tw_scale(length, longest_white(p, side), count);
        if (print->fit.visible.side[side] > 0 && run > WHITE_RUN)
            p->figures.white_runs[side] = run;
    }
}

tw_code tw_proof_look(tw_arena *arena, const tw_job_data *job, const tw_print *print,
                      const tw_proof_view *view, tw_proof_looker *looker, tw_proof_picture *out,
                      tw_error *error) {
    looking l = {.view = view, .window = window_of(print, view), .out = out};
    size_t count = (size_t)l.window.width * l.window.height;
    *out = (tw_proof_picture){.width = l.window.width,
                              .height = l.window.height,
                              .wanted = tw_arena_array(arena, count, sizeof *out->wanted),
                              .printed = tw_arena_array(arena, count, sizeof *out->printed),
                              .difference = tw_arena_array(arena, count, sizeof(double)),
                              .far = tw_arena_array(arena, count, 1)};
    l.pixels = tw_arena_array(arena, count, view->pixel_bytes);
    if (out->wanted == NULL || out->printed == NULL || out->difference == NULL ||
        out->far == NULL || l.pixels == NULL)
        return tw_no_memory(error);
    cut_out(&l);
    tw_code code = see_colours(job, print, looker, &l, error);
    if (code == TW_OK)
        code = add_up(arena, print->image, out, error);
    if (code == TW_OK)
        look_at_edges(print, out);
    return code;
}
