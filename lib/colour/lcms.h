/* What the files that call lcms2 share: lcms2 with our memory, its complaints kept. */
#ifndef TW_COLOUR_LCMS_H
#define TW_COLOUR_LCMS_H

#include "colour/colour.h"

#include <lcms2.h>

/* What lcms2 may hold at once: a 32 MiB profile becomes tables of twice and four times its size. */
#define TW_CMS_MEMORY_MOST ((size_t)256 << 20)

/* A pipeline of lcms2's computed by ourselves (fast_pipeline.c). */
typedef struct tw_fast tw_fast;

typedef struct tw_cms {
    const tw_allocator *allocator;
    cmsContext context;
    size_t held;            /* bytes lcms2 holds */
    unsigned char *reserve; /* see context.c */
    size_t reserve_used;
    bool out_of_memory;  /* the allocator said no; what came after does not count */
    char complaint[160]; /* lcms2's first, "" = none */
    cmsUInt32Number format_in, format_out; /* of the transform wanted fast; 0: none is */
    int bits_in;
    bool lab_out;
    bool seen;     /* its steps were */
    tw_fast *fast; /* NULL: it is left to lcms2 */
} tw_cms;

/* Start a context of its own; false: no memory. `cms` must stay where it is until the end. */
TW_USE_RESULT bool tw_cms_start(tw_cms *cms, const tw_allocator *allocator);
void tw_cms_end(tw_cms *cms);
/* A handle on the bytes, or on CIE L*a*b* for NULL bytes. NULL: see tw_cms_fail. */
cmsHPROFILE tw_cms_profile(tw_cms *cms, tw_icc icc);
/* Why something of lcms2's is NULL: TW_MEMORY, or "profile-damaged" with its words. */
TW_USE_RESULT tw_code tw_cms_fail(const tw_cms *cms, const char *called, tw_error *error);

/* `bits` as a tw_colour_way has them; `lab`: CIE L*a*b* comes out. *out NULL: the pipeline has a
 * step that is not known here. False: no memory. */
TW_USE_RESULT bool tw_fast_new(const tw_allocator *allocator, const cmsPipeline *pipeline, int bits,
                               bool lab, tw_fast **out);
void tw_fast_free(tw_fast *fast); /* NULL allowed */
/* `count` pixels to 16-bit samples in this machine's order, or to tw_lab. May be called from
 * several threads. */
void tw_fast_run(const tw_fast *fast, const void *in, void *out, size_t count);
/* The one of a transform, NULL: lcms2 computes it. */
const tw_fast *tw_colour_fast(const tw_colour *colour);

#endif
