/*
 * What the paper will show, before any is spent: a soft proof, a gamut map and figures for each
 * print that is converted here.
 *
 *   proof.c    the prints, their figures, the folder
 *   threads.c  the pictures of all prints, on all cores
 *   picture.c  one print looked at: pixels wanted and printed on an even grid
 *   views.c    what the last proof in the folder saw of the images
 *   paint.c    those as the bytes of the two pictures
 *   text.c     figures as lines and as proof.json
 */
#ifndef TW_PROOF_PROOF_H
#define TW_PROOF_PROOF_H

#include "base/file.h"
#include "base/text.h"
#include "colour/gamut.h"
#include "settle/colour_day.h"

#define TW_PROOF_SIDE 400 /* pixels of the long side of a proof */

typedef struct tw_proof_figures {
    size_t pixels;
    double share;                   /* out of gamut, 0 to 1 */
    double mean, most_below, worst; /* CIEDE2000: mean, 95th percentile, largest */
    bool grey;                      /* an image without colour: */
    double grey_a, grey_b;          /* the largest |a*| and |b*| it is printed with */
    tw_nm white_runs[4]; /* by side: its edge is paper white for so long beside a white border,
                            where that is long; else 0 */
} tw_proof_figures;

/* An image as all its prints are proofed: pixels on an even grid, upright, 16 bits in this
 * machine's order. `white`: which of them print as bare paper, an image's damage; NULL: none. */
typedef struct tw_proof_view {
    const tw_image *image;
    uint32_t across, down;
    size_t pixel_bytes;
    unsigned char *pixels, *white;
    bool again; /* as the last proof saw it, and not decoded */
} tw_proof_view;

typedef struct tw_proof_views tw_proof_views; /* views.h */

/* One print looked at. Pixels are upright, as the picture is cropped. */
typedef struct tw_proof_picture {
    uint32_t width, height;
    tw_lab *wanted, *printed;
    double *difference; /* between the two, CIEDE2000 */
    unsigned char *far; /* out of gamut by relative colorimetric */
    tw_proof_figures figures;
} tw_proof_picture;

/* What is in `out` lies in the arena. `views` NULL: it is decoded at any rate. Errors as
 * tw_sample_image. */
TW_USE_RESULT tw_code tw_proof_see(tw_arena *arena, const tw_image *image,
                                   const tw_proof_views *views, tw_proof_view *out,
                                   tw_error *error);
/* Who looks at prints, one after the other. */
typedef struct tw_proof_looker {
    tw_gamuts gamuts; /* kept from print to print */
    int threads;      /* that compute one print's colours */
} tw_proof_looker;

/* `view` is of the print's image. What is in `out` lies in the arena. */
TW_USE_RESULT tw_code tw_proof_look(tw_arena *arena, const tw_job_data *job, const tw_print *print,
                                    const tw_proof_view *view, tw_proof_looker *looker,
                                    tw_proof_picture *out, tw_error *error);

/* sRGB bytes of the soft proof (`simulate`: on this paper's white with its black, else white and
 * black stretched to the screen's) and of the gamut map; 3 bytes a pixel. TW_MEMORY. */
TW_USE_RESULT tw_code tw_proof_paint(const tw_allocator *allocator, const tw_proof_picture *picture,
                                     const tw_icc_facts *paper, bool simulate, unsigned char *out,
                                     tw_error *error);
void tw_proof_map(const tw_proof_picture *picture, unsigned char *out);

/* One line of figures, ready for both texts. */
typedef struct tw_proof_line {
    const tw_print *print;
    const char *file, *map;
    tw_proof_figures figures;
} tw_proof_line;

typedef struct tw_proof_day {
    const tw_job_data *job;
    const tw_icc_facts *papers; /* by paper */
    bool simulate;
    const tw_run *run;
    tw_files *files;
    int threads;           /* 0: as many as there are cores */
    tw_proof_views *views; /* NULL: none are used or kept; else they go into the files */
} tw_proof_day;

/* Both pictures of each line into the files, and its figures; print, file and map are set. */
TW_USE_RESULT tw_code tw_proof_pictures(tw_arena *arena, const tw_proof_day *day,
                                        tw_proof_line *lines, size_t count, tw_error *error);

void tw_proof_text(const tw_job_data *job, const tw_proof_line *lines, size_t count,
                   const tw_icc_facts *papers, tw_buffer *out);
void tw_proof_json(const tw_job_data *job, const tw_proof_line *lines, size_t count,
                   const tw_icc_facts *papers, tw_buffer *out);

/* Hundredths as a decimal, the same in every locale; `, "key": [L, a, b]`. */
void tw_hundredths(tw_buffer *out, double value);
void tw_lab_member(tw_buffer *out, const char *key, tw_lab lab);

/* The name of a picture of a proof, as this program gives it. */
bool tw_is_proof_name(const char *name);

/* Into `folder`, whole or not at all: proof-NNN-ID.png, gamut-NNN-ID.png of each line's first
 * print, proof.json and .trimwell-views (views.h); the figures as lines into `text`. Pictures
 * that the proof.json of an earlier run names, and this one does not, go. Warnings: "not-proofed"
 * for papers that are not converted to here, "white-edge". */
TW_USE_RESULT tw_code tw_proof_write(tw_arena *arena, const tw_job_data *job,
                                     const tw_prints *prints, const char *folder, bool simulate,
                                     const tw_run *run, tw_buffer *text, tw_report *report,
                                     tw_error *error);

#endif
