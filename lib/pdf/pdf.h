/*
 * PDF documents out of display lists: started, given page after page, finished. lib/pdf alone
 * includes hpdf.h.
 */
#ifndef TW_PDF_PDF_H
#define TW_PDF_PDF_H

#include "pixels/pixels.h"
#include "sheet/plan.h"

typedef struct tw_pdf tw_pdf;

/* The paper's profile in its document. */
typedef struct tw_pdf_colour {
    const tw_job_data *job; /* black point compensation */
    const tw_paper *paper;  /* its `converts` and icc fields; NULL: a document without a paper */
} tw_pdf_colour;

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
    tw_kept *kept; /* rows of images that are decoded again elsewhere (kept_rows.h); NULL: none */
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

#endif
