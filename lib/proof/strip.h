/*
 * A test strip: details of the day's pictures at their print's own scale, each several times over
 * for intents or steps of exposure, so that a few inches of paper answer before a full print.
 *
 *   strip.c           the day: a strip for each paper, the files
 *   strip_detail.c    which part of a picture is shown
 *   strip_cells.c     the cells: parts of images, converted so or so
 *   strip_flow.c      cells and patches into rows of a given width
 *   strip_place.c     where it goes: waste, kept offcut, cut sheet, roll
 *   strip_draw.c      as a page's display list
 *   strip_patches.c   the neutral wedge and the patch row: their colours, what the paper shows
 *   strip_measured.c  measured colours given back, compared
 *   strip_colour.c    who converts for the paper, in words
 *   strip_text.c      as lines and as strip.json
 */
#ifndef TW_PROOF_STRIP_H
#define TW_PROOF_STRIP_H

#include "base/text.h"
#include "settle/colour_day.h"
#include "sheet/plan.h"

#define TW_STRIP_VARIANTS 3 /* at most, of a picture */
#define TW_STRIP_ADVICE "Judge after dry-down in the light it will hang in."

/* ------------------------------------------------ details (strip_detail.c) */

typedef enum tw_strip_by { TW_STRIP_FOCUS, TW_STRIP_DETAIL } tw_strip_by;

/* What of a print is shown: `side` square, less where the picture is smaller; upright on the print
 * as its fit. The template's focus where it has one other than the middle; else where the picture
 * holds most detail: the window with the largest mean squared difference between neighbouring
 * blocks (200 along the image's long side, lightness in code values, 4 x 4 samples each); of
 * equals the one nearest to the picture's middle, then the upper, then the left one. */
TW_USE_RESULT tw_code tw_strip_detail(tw_arena *arena, const tw_print *print, tw_nm side,
                                      tw_rect *out, tw_strip_by *by, tw_error *error);

/* The window of `wide` x `high` blocks with the largest sum; `energy` is across x down. */
typedef struct tw_strip_window {
    size_t x, y, wide, high;
} tw_strip_window;
TW_USE_RESULT tw_code tw_strip_busiest(tw_arena *arena, const int64_t *energy, size_t across,
                                       size_t down, size_t wide, size_t high, tw_strip_window *out,
                                       tw_error *error);

/* A rectangle of pixels among `across` x `down`. */
typedef struct tw_pixel_rect {
    uint32_t x, y, width, height;
} tw_pixel_rect;
/* Exif orientations 1 to 8 (CIPA DC-008, tag 274): a part of the stored pixels as seen upright,
 * and back; across and down are those of what is given. */
tw_pixel_rect tw_pixels_upright(int orientation, tw_pixel_rect stored, uint32_t across,
                                uint32_t down);
tw_pixel_rect tw_pixels_stored(int orientation, tw_pixel_rect upright, uint32_t across,
                               uint32_t down);

/* ------------------------------------------------ cells (strip_cells.c) */

/* A picture on the strip. */
typedef struct tw_strip_subject {
    const tw_print *print;
    tw_rect detail; /* upright on the print */
    tw_strip_by by;
    size_t first, count; /* cells */
} tw_strip_subject;

typedef struct tw_strip_cell {
    size_t image;           /* into the strip's images */
    int orientation;        /* of it */
    tw_intent intent;       /* TW_INTENT_UNSET: not converted here */
    int exposure;           /* twelfths of a stop */
    tw_rect whole;          /* where its image lies, from the corner of the detail */
    tw_size size;           /* of the detail */
    bool as_print;          /* as the print itself is made */
    const char *who, *what; /* caption */
} tw_strip_cell;

/* ------------------------------------------------ patches (strip_patches.c) */

typedef struct tw_strip_patch {
    const char *name;
    unsigned char srgb[3];
    tw_lab intended; /* absolute: what the paper's profile says a meter will see */
} tw_strip_patch;

typedef struct tw_strip_chart {
    tw_strip_patch *patches; /* the wedge's first */
    size_t count, wedge;     /* wedge: how many of them */
    size_t image;            /* the picture of all of them side by side; into the images */
    bool known;              /* the paper has a profile that says what it shows */
} tw_strip_chart;

/* ------------------------------------------------ rows (strip_flow.c) */

#define TW_STRIP_CAPTION (6 * TW_MM) /* two lines below each cell */
#define TW_STRIP_PATCH (10 * TW_MM)  /* side of a patch */
#define TW_STRIP_LINE (3 * TW_MM)    /* of text */
#define TW_STRIP_EM (2 * TW_MM)      /* its size */

typedef struct tw_strip_spot {
    size_t column, row;
} tw_strip_spot;

/* Rows of a strip no wider than it was asked for. */
typedef struct tw_strip_flow {
    tw_size size;         /* all of it */
    size_t columns, rows; /* cells */
    size_t patch_columns, patch_rows;
    const char **lines; /* above the cells */
    size_t line_count;
} tw_strip_flow;

struct tw_strip;
/* False: too narrow for one cell. *code is TW_MEMORY when there is none. */
bool tw_strip_flow_make(tw_arena *arena, const struct tw_strip *strip, tw_nm width,
                        tw_strip_flow *out, tw_code *code);
/* Where each cell of the strip stands in so many columns: a picture's cells stay in one row where
 * they fit into one. Returns the rows; `out` may be NULL. */
size_t tw_strip_spots(const tw_strip_subject *subjects, size_t count, size_t columns,
                      tw_strip_spot *out);

/* ------------------------------------------------ places (strip_place.c) */

typedef enum tw_strip_where {
    TW_STRIP_IN_WASTE,
    TW_STRIP_ON_OFFCUT,
    TW_STRIP_ON_SHEET,
    TW_STRIP_ON_ROLL
} tw_strip_where;

typedef struct tw_strip_place {
    tw_strip_where where;
    size_t sheet;       /* in waste: into plan->sheets */
    const char *piece;  /* in waste: its name */
    bool worth_keeping; /* in waste: it was large enough to keep */
    int offcut;         /* of the paper's list, from 1 */
    tw_size page;
    tw_rect rect; /* on the page */
    tw_nm used;   /* of a roll, what the machine loses among it */
    bool priced;
    tw_money cost;
} tw_strip_place;

/* ------------------------------------------------ measured (strip_measured.c) */

typedef struct tw_strip_reading {
    const tw_strip_patch *patch;
    tw_lab seen;
    double difference; /* CIEDE2000 */
} tw_strip_reading;

typedef struct tw_strip_readings {
    tw_strip_reading *items; /* in the chart's order; NULL: none were given, or none compared */
    size_t count;
    double mean, largest;
    const char *why_none; /* given, but none of this strip compared; else NULL */
} tw_strip_readings;

/* ------------------------------------------------ a strip */

typedef struct tw_strip {
    const tw_job_data *job;
    size_t paper_index;
    tw_strip_subject *subjects;
    size_t subject_count;
    tw_strip_cell *cells;
    size_t cell_count;
    tw_nm side; /* of a cell */
    tw_strip_chart chart;
    tw_strip_flow flow;
    tw_strip_place place;
    tw_strip_readings readings;
    const char *file;
} tw_strip;

/* What is asked for, read and checked. */
typedef struct tw_strip_wish {
    tw_nm side;
    tw_strip_vary vary;
    int step;
    bool wedge, patches;
    const char *measured; /* path; NULL: none */
} tw_strip_wish;
TW_USE_RESULT tw_code tw_strip_wish_read(const tw_strip_options *options, tw_strip_wish *out,
                                         tw_error *error);

/* Images of the day and of its strips. */
typedef struct tw_strip_images {
    tw_image *items;
    size_t count, room;
} tw_strip_images;

/* The cells of one paper's pictures: of each image the largest print, its first copy. */
TW_USE_RESULT tw_code tw_strip_cells(tw_arena *arena, const tw_prints *prints,
                                     const tw_strip_wish *wish, tw_strip *strip,
                                     tw_strip_images *images, const tw_run *run, tw_report *report,
                                     tw_error *error);
/* The colours of the chart that is wished for and what the paper shows of them. */
TW_USE_RESULT tw_code tw_strip_chart_make(tw_arena *arena, const tw_job_data *job,
                                          const tw_paper *paper, const tw_strip_wish *wish,
                                          tw_strip_chart *out, tw_error *error);
/* Its picture as a PNG (sRGB): patches of 64 pixels side by side. */
void tw_strip_chart_png(const tw_strip_chart *chart, tw_buffer *out);
#define TW_STRIP_PATCH_PIXELS 64
#define TW_STRIP_CHART_FILE "strip-patches.png"

/* Sets strip->flow and strip->place. TW_INPUT "strip-too-large" where no paper holds it. */
TW_USE_RESULT tw_code tw_strip_place_find(tw_arena *arena, const tw_plan_data *plan,
                                          tw_strip *strip, tw_error *error);
/* Adds the strip to a page, at strip->place.rect. */
TW_USE_RESULT tw_code tw_strip_draw(tw_arena *arena, const tw_strip *strip, tw_page *page,
                                    tw_error *error);

/* What the heading says of who converts for the paper. NULL: no memory. */
const char *tw_strip_print_path(tw_arena *arena, const tw_strip *strip);
/* The rendering intents that no caption names, as a sentence; "": none. NULL: no memory. */
const char *tw_strip_intents(tw_arena *arena, const tw_strip *strip);

/* The measured colours of `path`: patch, L, a, b and, where there are several strips, paper.
 * TW_INPUT with file and line, and where nothing at all can be compared. Patches that are missing
 * are warned of by name, and strips on papers that are not converted to, of whose patches nothing
 * is known. */
TW_USE_RESULT tw_code tw_strip_measured(tw_arena *arena, const char *path, tw_strip *strips,
                                        size_t count, tw_report *report, tw_error *error);

/* Words are made in the arena; out->failed where there is no memory. */
void tw_strip_text(tw_arena *arena, const tw_plan_data *plan, const tw_strip *strips, size_t count,
                   tw_buffer *out);
void tw_strip_json(tw_arena *arena, const tw_plan_data *plan, const tw_strip *strips, size_t count,
                   tw_buffer *out);
/* "+1/3 stop", "as exposed"; of twelfths, in the arena. */
const char *tw_strip_step_words(tw_arena *arena, int twelfths);

/* A name that this program gives a strip or the picture of its patches: "strip-NN-PAPER.pdf", two
 * to nine digits, or "strip-patches.png". */
bool tw_is_strip_name(const char *name);

/* Into `folder`, whole or not at all: a PDF for each paper's strip and strip.json; what they are as
 * lines into `text`. Files that an earlier strip.json there names, and that are not written again,
 * go. */
TW_USE_RESULT tw_code tw_strip_write(tw_arena *arena, const tw_plan_data *plan, const char *folder,
                                     const tw_strip_wish *wish, const tw_run *run, tw_buffer *text,
                                     tw_report *report, tw_error *error);

#endif
