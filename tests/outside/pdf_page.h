/*
 * A page of a PDF as qpdf tells it: its boxes from the JSON form, and its content stream, filters
 * undone by qpdf, read here operator by operator (ISO 32000-1, 8.2 to 8.6). In PDF points, y up.
 */
#ifndef OUTSIDE_PDF_PAGE_H
#define OUTSIDE_PDF_PAGE_H

#include "outside.h"

typedef struct pdf_box {
    double left, bottom, right, top;
} pdf_box;

typedef struct pdf_line {
    double x0, y0, x1, y1;
    double weight, grey;
} pdf_line;

typedef struct pdf_picture {
    double matrix[6]; /* unit square to page */
    bool clipped;
    pdf_box clip;
    char name[64];
    char object[64]; /* "12 0 R" */
} pdf_picture;

#define PAGE_MOST 512

typedef struct pdf_page {
    pdf_box media, crop, bleed, trim;
    pdf_line lines[PAGE_MOST];
    size_t line_count;
    pdf_picture pictures[PAGE_MOST];
    size_t picture_count;
} pdf_page;

/* The first page. Fails the test when qpdf finds a fault in the file. */
void read_pdf_page(const char *file, pdf_page *out);

/* qpdf's own JSON of a file (version 2), and an object of it by its reference "12 0 R": the value,
 * or a stream's dictionary. */
cJSON *pdf_json(const char *file);
const cJSON *pdf_object(const cJSON *json, const char *reference);

void assert_box(const char *what, pdf_box seen, double left, double bottom, double right,
                double top);
/* How many lines run between these points, either way, within POINT_ERROR. */
int lines_between(const pdf_page *page, double x0, double y0, double x1, double y1);

#endif
