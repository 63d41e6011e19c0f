/*
 * What the files of this layer share among themselves; nothing to the right includes it.
 */
#ifndef TW_PRINTS_MAKING_H
#define TW_PRINTS_MAKING_H

#include "prints/prints.h"

/* The largest page a PDF reader must take: 14 400 units of 1/72 in (ISO 32000-1 Annex C). */
#define TW_PAGE_MOST ((tw_nm)5080 * TW_MM)

/* "8 in (203.2 mm) x 10 in (254 mm)". Returns out. */
#define TW_SIZE_TEXT (2 * TW_LENGTH_TEXT + 8)
char *tw_size_both(tw_size size, char out[TW_SIZE_TEXT]);
/* "top", "right", "bottom", "left". */
const char *tw_side_name(int side);

/* Where `line` was written, put into a message made elsewhere. */
void tw_line_place(const tw_order *line, tw_error *message);

/* Whether a print of this line may lie a quarter turn clockwise on its paper: the template's
 * `lie`, then the paper's `turn`, else the job's. */
bool tw_line_may_turn(const tw_job_data *job, const tw_order *line);
/* The ppi limits that hold for a line: the paper's, else the job's. */
tw_resolution tw_line_resolution(const tw_job_data *job, const tw_order *line);
/* A fitted print's ppi: the smaller axis, thousandths. */
int64_t tw_fit_ppi(const tw_fitted *fit);

/* The signature area, upright, in the trimmed print; width 0 when the template has none.
 * TW_INPUT when it does not lie inside the trim. */
TW_USE_RESULT tw_code tw_signature_place(const tw_template *format, tw_size size, tw_rect *out,
                                         tw_error *error);

/* What makes a line unprintable, the message complete but for its place: a paper that holds the
 * print no way round (TW_INPUT "too-big", "strip-too-thin"); too few pixels (TW_INPUT
 * "too-few-pixels"). */
TW_USE_RESULT tw_code tw_refuse_size(const tw_job_data *job, const tw_order *line,
                                     const tw_fitted *fit, tw_error *error);
TW_USE_RESULT tw_code tw_refuse_pixels(const tw_job_data *job, const tw_order *line,
                                       const tw_fitted *fit, tw_error *error);

/* What is done to the pixels of a fitted print: sets its sharpen and treat. TW_INPUT "image-size"
 * or "sharpen-radius" when it would be too much. */
TW_USE_RESULT tw_code tw_print_treat(const tw_job_data *job, tw_print *print, tw_error *error);
/* Give every treated image an entry of its own in prints->images, and each print the one it uses.
 * The images move: pointers to them are renewed in the prints alone. */
TW_USE_RESULT tw_code tw_prints_treated(tw_arena *arena, tw_prints *prints, tw_error *error);

/* Sort the prints by order, template, image, title, copy and give each its id. */
TW_USE_RESULT tw_code tw_prints_number(tw_arena *arena, tw_prints *prints, tw_error *error);

/* Which sizes were refused on which paper, so that each is said once. */
enum { TW_REFUSED_MOST = 32 }; /* more are said line by line */
typedef struct tw_refused {
    const tw_job_data *job;
    const tw_facts *facts;
    struct {
        size_t template_index, paper_index;
        tw_size size;
    } items[TW_REFUSED_MOST];
    size_t count;
} tw_refused;
/* Whether this line is the first refused so: then `message` also says how many lines after it ask
 * for the same. `index` counts orders, then fillers. */
bool tw_refused_first(tw_refused *refused, size_t index, const tw_print *print, tw_error *message);

/* One line under check, and where its warnings go. */
typedef struct tw_line_check {
    const tw_job_data *job;
    const tw_order *line;
    const tw_print *print; /* the line's first copy */
    tw_report *report;
    tw_error *error;
} tw_line_check;

bool tw_line_accepts(const tw_order *line, const char *name);
/* Report a warning unless the line accepts it. `hint` may be NULL. */
TW_USE_RESULT tw_code tw_line_warn(const tw_line_check *check, const char *name, const char *hint,
                                   const char *format, ...) TW_PRINTF(4, 5);
TW_USE_RESULT tw_code tw_check_borders(const tw_line_check *check);
TW_USE_RESULT tw_code tw_check_signature(const tw_line_check *check);
TW_USE_RESULT tw_code tw_check_image(const tw_line_check *check);
/* Findings that concern more lines than one: sizes that are nearly another's, doubled lines. */
TW_USE_RESULT tw_code tw_check_sizes(tw_arena *arena, const tw_job_data *job, tw_report *report,
                                     tw_error *error);
TW_USE_RESULT tw_code tw_check_doubles(tw_arena *arena, const tw_job_data *job, tw_report *report,
                                       tw_error *error);

#endif
