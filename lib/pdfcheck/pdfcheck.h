/*
 * Checks of any PDF sheet that a program can make, by clause: those of PDF/X-4 (ISO 15930-7,
 * whose text was not at hand: second-hand, so ISO 32000-1 is named where it says the same) and of
 * PDF/A-2b (ISO 19005-2, clause numbers from memory). Passing them is not conformance: most of
 * either standard (glyphs, every operator, appearance) is not looked at.
 */
#ifndef TW_PDFCHECK_PDFCHECK_H
#define TW_PDFCHECK_PDFCHECK_H

#include "base/error.h"
#include "base/text.h"
#include "pdfcheck/read.h"

typedef enum tw_pdf_check {
    TW_CHECK_HEADER,
    TW_CHECK_VERSION,
    TW_CHECK_IDENTIFIER,
    TW_CHECK_ENCRYPTION,
    TW_CHECK_END,
    TW_CHECK_OBJECTS,
    TW_CHECK_STREAMS,
    TW_CHECK_FILTERS,
    TW_CHECK_PAGE_SIZE,
    TW_CHECK_BOXES,
    TW_CHECK_PRINT_INTENT,
    TW_CHECK_ARCHIVE_INTENT,
    TW_CHECK_PROFILES,
    TW_CHECK_DEVICE_COLOUR,
    TW_CHECK_TRANSFER,
    TW_CHECK_IMAGES,
    TW_CHECK_FORMS,
    TW_CHECK_TRANSPARENCY,
    TW_CHECK_FONTS,
    TW_CHECK_ANNOTATIONS,
    TW_CHECK_ACTIONS,
    TW_CHECK_LAYERS,
    TW_CHECK_METADATA,
    TW_CHECK_AGREEMENT,
    TW_CHECK_PRINT_NAME,
    TW_CHECK_ARCHIVE_NAME,
    TW_CHECK_TRAPPED,
    TW_CHECK_COUNT
} tw_pdf_check;

enum { TW_PDF_X = 1, TW_PDF_A = 2 };

typedef struct tw_pdf_check_row {
    const char *name;   /* stable */
    unsigned standards; /* TW_PDF_X, TW_PDF_A or both */
    const char *clause;
    const char *wants; /* what must hold */
} tw_pdf_check_row;

extern const tw_pdf_check_row tw_pdf_check_rows[TW_CHECK_COUNT];

typedef struct tw_pdf_finding {
    size_t times;  /* 0 = passes */
    char why[200]; /* the first, in words */
} tw_pdf_finding;

typedef struct tw_pdf_report {
    tw_pdf_finding found[TW_CHECK_COUNT];
    int version; /* 16 for 1.6 */
    size_t pages;
    int64_t width, height; /* of the first page's MediaBox, millionths of a point */
} tw_pdf_report;

/* Runs every check. TW_DAMAGED, TW_INPUT when the file cannot be looked into at all. */
TW_USE_RESULT tw_code tw_pdf_check_file(const tw_allocator *allocator, const char *path,
                                        tw_pdf_report *out, tw_error *error);
TW_USE_RESULT tw_code tw_pdf_check_bytes(const tw_allocator *allocator, const void *bytes,
                                         size_t length, tw_pdf_report *out, tw_error *error);
size_t tw_pdf_failed(const tw_pdf_report *report, unsigned standards); /* checks, of these */
/* For people, and one JSON object. `path` is how the file is called. */
void tw_pdf_report_text(const tw_pdf_report *report, const char *path, tw_buffer *out);
void tw_pdf_report_json(const tw_pdf_report *report, const char *path, tw_buffer *out);

#endif
