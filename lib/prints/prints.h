/*
 * Orders x templates x image facts -> prints: what is made, for whom, how the picture lies in it.
 * All measures upright, as a viewer sees the print; origin the print's trimmed top left corner.
 */
#ifndef TW_PRINTS_PRINTS_H
#define TW_PRINTS_PRINTS_H

#include "job/model.h"

/* How an image is fitted to one template: exact, in nm and in ppi. */
typedef struct tw_fitted {
    tw_size size;     /* finished (trimmed) size */
    tw_sides border;  /* the template's border as it applies */
    tw_sides bleed;   /* how far the picture runs past the trim on each side, >= 0 */
    tw_sides visible; /* trim to picture on each side; negative = -bleed there */
    tw_rect picture;  /* the rectangle painted, bleed included; may start below 0 */
    tw_rect whole;    /* where the whole uncropped image would lie; contains picture */
    /* pixels per inch as printed, thousandths, of the upright image on both axes, rounded half
     * up; min of the two is the print's ppi */
    int64_t ppi_x, ppi_y;
    bool has_window;
    tw_size window; /* the mat window's opening */
} tw_fitted;

/* An image's pixels as seen upright; across and down: how many stand on equal lengths of the two
 * axes (1 and 1: square ones), at most ten to one. */
typedef struct tw_grid {
    uint32_t wide, high;
    uint32_t across, down;
} tw_grid;

/* Pure: fit an image to a template, by its true shape. TW_INPUT when the border leaves no room
 * for a picture. */
TW_USE_RESULT tw_code tw_fit_grid(const tw_template *format, const tw_grid *grid, tw_fitted *out,
                                  tw_error *error);
/* The same for square pixels. */
TW_USE_RESULT tw_code tw_fit_image(const tw_template *format, uint32_t pixels_wide,
                                   uint32_t pixels_high, tw_fitted *out, tw_error *error);
/* The upright grid of an image. */
tw_grid tw_image_grid(const tw_image *image);

/* Is images[index] a file that stands before it already, treated in another way? */
bool tw_image_again(const tw_image *images, size_t index);

/* Is it said, by the image or by the job, what its colours mean, so that it can be converted? Grey
 * and RGB that say nothing are sRGB. */
bool tw_image_convertible(const tw_image *image);

typedef struct tw_print {
    const char *id;    /* "1001-1", "filler-1", "print-1" */
    const char *order; /* NULL for fillers and the quick form */
    const tw_order *line;
    const tw_template *format;
    const tw_image *image;
    size_t image_index; /* into tw_prints.images */
    size_t paper_index;
    int copy; /* 1 .. copies of the line */
    bool filler;
    tw_fitted fit;
    tw_rect signature;    /* upright; width 0 = none */
    tw_sharpen sharpen;   /* as it holds for this print: TW_YES or TW_NO */
    tw_treat treat;       /* what becomes of the pixels; also in *image */
    tw_intent intent;     /* the line's, else the template's, else the job's */
    int64_t out_of_gamut; /* share of pixels, millionths, where "auto" looked; else -1 */
} tw_print;

typedef struct tw_prints {
    tw_print *items;
    size_t count;
    tw_image *images; /* each file once, then once more for each way it is treated */
    size_t image_count;
} tw_prints;

/* Every image the lines name, each file read once, and which of them each line uses: orders, then
 * fillers; SIZE_MAX = none that is usable (reported). */
typedef struct tw_facts {
    tw_image *images;
    size_t image_count;
    size_t *of_line;
} tw_facts;
TW_USE_RESULT tw_code tw_prints_facts(tw_arena *arena, const tw_job_data *job, const tw_run *run,
                                      tw_report *report, tw_facts *out, tw_error *error);
/* tw_prints_make on facts read before. */
TW_USE_RESULT tw_code tw_prints_of(tw_arena *arena, const tw_job_data *job, const tw_facts *facts,
                                   bool with_fillers, tw_report *report, tw_prints *out,
                                   tw_error *error);

/* Read every image's facts once, fit every line, number the prints: ids are order-n with n
 * counting the order's prints sorted by template, image, title, copy. Problems of single lines
 * (unreadable image, too few pixels, too big for its paper either way) go into the report as
 * errors and the line makes no print. Fillers are validated, and made prints only when
 * `with_fillers`. */
TW_USE_RESULT tw_code tw_prints_make(tw_arena *arena, const tw_job_data *job, bool with_fillers,
                                     const tw_run *run, tw_report *report, tw_prints *out,
                                     tw_error *error);

/* Warnings about finished prints (border against lip, margin and 3/8 in, uneven borders,
 * signature place, ppi, untagged, near-miss sizes, doubled lines...), one each line of the
 * orders; those in the line's `accept` are left out. */
TW_USE_RESULT tw_code tw_prints_check(tw_arena *arena, const tw_job_data *job,
                                      const tw_prints *prints, tw_report *report, tw_error *error);
/* The names `accept` may hold, NULL ended. */
const char *const *tw_acceptable_warnings(void);

/* How far the print's trim must stay from each edge of its paper, upright sides: the larger of
 * edge_trim on the roll's sides and margin - visible border. Index by the side of the print, for
 * a print lying upright (`turned` false) or a quarter turn clockwise; result sides are the
 * sheet's: top = leading edge. */
tw_sides tw_print_keep(const tw_paper *paper, const tw_fitted *fit, bool turned);

#endif
