/* The inside of lib/output/colour*.c: lcms2 with our memory, its complaints kept. */
#ifndef TW_OUTPUT_COLOUR_INSIDE_H
#define TW_OUTPUT_COLOUR_INSIDE_H

#include "output/colour.h"

#include <lcms2.h>

/* What lcms2 may hold at once: a 32 MiB profile becomes tables of twice and four times its size. */
#define TW_CMS_MEMORY_MOST ((size_t)256 << 20)

typedef struct tw_cms {
    const tw_allocator *allocator;
    cmsContext context;
    size_t held;            /* bytes lcms2 holds */
    unsigned char *reserve; /* see colour_context.c */
    size_t reserve_used;
    bool out_of_memory;  /* the allocator said no; what came after does not count */
    char complaint[160]; /* lcms2's first, "" = none */
} tw_cms;

/* Start a context of its own; false: no memory. `cms` must stay where it is until the end. */
TW_USE_RESULT bool tw_cms_start(tw_cms *cms, const tw_allocator *allocator);
void tw_cms_end(tw_cms *cms);
/* A handle on the bytes, or on CIE L*a*b* for NULL bytes. NULL: see tw_cms_fail. */
cmsHPROFILE tw_cms_profile(tw_cms *cms, tw_icc icc);
/* Why something of lcms2's is NULL: TW_MEMORY, or "profile-damaged" with its words. */
TW_USE_RESULT tw_code tw_cms_fail(const tw_cms *cms, const char *called, tw_error *error);

#endif
