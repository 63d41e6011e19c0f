/*
 * The samples of an image in a composed PDF, taken out by other people's tools, and their
 * comparison with those that are right.
 */
#ifndef OUTSIDE_PDF_PIXELS_H
#define OUTSIDE_PDF_PIXELS_H

#include "pdf_page.h"

typedef struct pixels {
    unsigned char *bytes;
    size_t length;
} pixels;

/* The stream's bytes with its filters undone; of a JPEG (which stays one) as libjpeg reads it. */
pixels by_qpdf(const char *file, const char *object, bool jpeg);
pixels by_mupdf(const char *file, const char *object);
/* Fails the test at the first byte that differs; frees `seen`. */
void assert_pixels(const char *what, const char *tool, pixels seen, pixels wanted);
/* The image on a page of its own in out.d/sheet-01.pdf; the object it became is the page's only
 * picture. */
void compose_image(const char *image, pdf_page *page);

#endif
