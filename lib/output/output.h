/*
 * From a plan to files. Each output is a function of the plan (and the images' bytes) alone.
 */
#ifndef TW_OUTPUT_OUTPUT_H
#define TW_OUTPUT_OUTPUT_H

#include "base/file.h"
#include "base/text.h"
#include "output/colour.h"
#include "sheet/plan.h"

/* ------------------------------------------------ PDF (lib/output/pdf*.c alone include hpdf.h) */

typedef struct tw_pdf tw_pdf;

/* The paper's profile in its document. */
typedef struct tw_pdf_colour {
    const tw_job_data *job; /* black point compensation */
    const tw_paper *paper;  /* its `converts` and icc fields; NULL: a document without a paper */
} tw_pdf_colour;

typedef struct tw_kept tw_kept;

typedef struct tw_pdf_facts {
    const char *title;    /* Info /Title */
    const char *identity; /* hashed into the trailer's deterministic ID */
    const char *date;     /* "2027-03-06", the job's; NULL: none is written */
    /* A printer's profile for the output intents (ISO 32000-1, 14.11.5) and what it is called;
     * NULL: none. Bytes are the caller's until the document is freed. */
    const unsigned char *intent;
    size_t intent_length;
    const char *intent_name;
    const tw_image *images; /* what TW_OP_IMAGE indexes; NULL for text-only documents */
    size_t image_count;
    tw_pdf_colour colour;
    tw_kept *kept; /* rows of images that are decoded again elsewhere (rows_kept.h); NULL: none */
    const tw_run *run;
    uint64_t done, total; /* bytes, for progress across several files */
} tw_pdf_facts;

/* A document to be written to `path` (a temporary of a tw_files set). */
TW_USE_RESULT tw_code tw_pdf_start(const tw_allocator *allocator, const tw_pdf_facts *facts,
                                   const char *path, tw_pdf **out, tw_error *error);
TW_USE_RESULT tw_code tw_pdf_page(tw_pdf *pdf, const tw_page *page, tw_error *error);
/* Write it all out and sync; damage found in an image while its bytes stream is TW_DAMAGED.
 * Characters the face lacks are reported once each document as warning "missing-glyph". */
TW_USE_RESULT tw_code tw_pdf_finish(tw_pdf *pdf, tw_report *report, tw_error *error);
void tw_pdf_free(tw_pdf *pdf); /* NULL allowed */

/* ------------------------------------------------ pixels (lib/output/pixels*.c) */

/* How an image's samples go into the PDF, and a pull reader over the encoded bytes. */
typedef struct tw_pixels tw_pixels;

typedef struct tw_pixels_form {
    uint32_t width, height;
    int bits, channels;
    bool dct;             /* else Flate */
    int predictor;        /* of Flate: 15 PNG's, 2 TIFF's, 1 none (ISO 32000-1 Table 10) */
    bool invert;          /* /Decode [1 0 ...] */
    bool untouched;       /* passes through */
    char road[220];       /* why: one phrase for inspect */
    int colour_transform; /* dct: /ColorTransform (ISO 32000-1 Table 13); -1 = leave it out */
    int palette_size;     /* > 0: /Indexed, `palette` holds 3 bytes an entry */
    unsigned char palette[768];
} tw_pixels_form;

TW_USE_RESULT tw_code tw_pixels_open(const tw_allocator *allocator, const tw_image *image,
                                     tw_pixels **out, tw_pixels_form *form, tw_error *error);
/* The same with every pixel converted: decoded, laid on paper white, brought from way->from (as
 * many channels as the image has, colours of its palette counted) to way->to. NULL `way`: as
 * tw_pixels_open. `way` must outlive the pixels. Decoded rows come from `kept`, and stay there for
 * the next time (rows_kept.h); NULL: they do not. */
TW_USE_RESULT tw_code tw_pixels_open_converted(const tw_allocator *allocator, const tw_image *image,
                                               const tw_colour_way *way, tw_kept *kept,
                                               tw_pixels **out, tw_pixels_form *form,
                                               tw_error *error);
/* Up to `room` bytes; *got 0 = end, reached only when every check (CRC, markers, row count)
 * held. */
TW_USE_RESULT tw_code tw_pixels_pull(tw_pixels *pixels, unsigned char *bytes, size_t room,
                                     size_t *got, tw_error *error);
void tw_pixels_close(tw_pixels *pixels);
/* An upper bound of the encoded bytes, for the sheet's byte limit. */
int64_t tw_pixels_bound(const tw_image *image);
int64_t tw_pixels_bound_converted(const tw_image *image, int channels); /* of the paper */

/* Decode every image whole, on all cores; each that is damaged or was changed becomes an error of
 * the report, with its file and row. */
TW_USE_RESULT tw_code tw_check_pixels(tw_arena *arena, const tw_image *images, size_t count,
                                      const tw_run *run, tw_report *report, tw_error *error);

/* For --accept-damaged: decode every image whole and note in its `damage` what is wrong with it and
 * which rows are lost; one of which nothing is intact becomes an error of the report. */
TW_USE_RESULT tw_code tw_find_damage(tw_arena *arena, tw_image *images, size_t count,
                                     const tw_run *run, tw_report *report, tw_error *error);

/* ------------------------------------------------ the other files */

/* plan.json's text, as the design fixes it. */
TW_USE_RESULT tw_code tw_plan_json(const tw_plan_data *plan, tw_buffer *out, tw_error *error);
/* Parts of the text and members of plan.json for what a job asks for beside its sheets. */
void tw_plan_more_text(const tw_plan_data *plan, tw_buffer *out);
void tw_plan_more_json(const tw_plan_data *plan, tw_buffer *out);
/* The table `trimwell plan` prints. */
TW_USE_RESULT tw_code tw_plan_text(const tw_plan_data *plan, tw_buffer *out, tw_error *error);
/* The cut guide's pages. */
TW_USE_RESULT tw_code tw_guide_make(tw_arena *arena, const tw_plan_data *plan, tw_size paper,
                                    tw_page **pages, size_t *count, tw_error *error);

/* Everything into `folder`, whole or not at all; sheets an old plan.json there names and this
 * plan does not are removed. options->strict: when the report holds a warning after all is drawn
 * and before anything has its final name, TW_STRICT and nothing is written. */
TW_USE_RESULT tw_code tw_compose_write(tw_arena *arena, const tw_plan_data *plan,
                                       const char *folder, const tw_compose_options *options,
                                       const tw_run *run, tw_report *report, tw_error *error);

/* What is known of one image or ICC profile file (told apart by its first bytes): lines for
 * people into `text`, one JSON object into `json`; either may be NULL. */
TW_USE_RESULT tw_code tw_inspect_file(tw_arena *arena, const char *path, tw_buffer *text,
                                      tw_buffer *json, tw_error *error);

#endif
