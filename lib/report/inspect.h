/*
 * What inspect found out about one file, between the part that reads (inspect.c) and the two
 * that write it down (inspect_text.c, inspect_json.c). Nobody else includes this.
 */
#ifndef TW_REPORT_INSPECT_H
#define TW_REPORT_INSPECT_H

#include "base/length.h"
#include "base/text.h"
#include "image/icc_head.h"
#include "pixels/pixels.h"

#define TW_INSPECT_SIZES 3

typedef struct tw_inspected {
    const char *path;
    int64_t bytes;
    bool is_profile; /* a profile file, else an image */
    /* image */
    tw_image image;
    tw_pixels_form form;
    const char *orientation; /* in words */
    const char *colour;      /* whose colour the pixels are taken for, in words */
    const char *road;        /* how its pixels go into the PDF, and why */
    int ppi[TW_INSPECT_SIZES];
    tw_size sizes[TW_INSPECT_SIZES]; /* as printed at ppi, upright */
    /* the file, or the image's own that can be used */
    bool has_profile;
    tw_profile profile;
    const char *profile_class, *intent; /* in words */
    bool output_intent;                 /* it can stand for a printing condition */
    const char *unfit;                  /* of a profile file: why no paper can have it, or NULL */
    tw_icc_facts facts;                 /* then: its white, black and gamut */
} tw_inspected;

/* Pixels per inch, thousandths, of a density in pixels per metre. */
int64_t tw_inspect_ppi(int64_t per_metre);
int64_t tw_inspect_tenths(double value);             /* rounded half away from 0 */
const char *tw_inspect_space(const tw_image *image); /* "RGB" */
int tw_inspect_channels(const tw_image *image);      /* as stored, alpha counted */
/* A line has no volume. */
bool tw_inspect_has_volume(const tw_inspected *seen);

void tw_inspect_add_text(const tw_inspected *seen, tw_buffer *out);
void tw_inspect_add_json(const tw_inspected *seen, tw_buffer *out);

#endif
