/*
 * What the rules of the sheet check share:
 *
 *   pdfcheck.c       the table of checks, their order
 *   check_file.c     header, trailer, end
 *   check_walk.c     rules for every dictionary and stream, wherever it is
 *   check_page.c     the page tree, boxes
 *   check_profile.c  output intents and ICC profiles
 *   check_colour.c   device colours in content and images
 *   check_meta.c     Info and XMP (xmp.c)
 *   check_text.c     the report in words and JSON
 */
#ifndef TW_PDFCHECK_RULES_H
#define TW_PDFCHECK_RULES_H

#include "pdfcheck/pdfcheck.h"

typedef struct tw_checkup {
    tw_pdfin *pdf;
    tw_arena *arena;
    tw_pdf_report *report;
    const tw_pdfin_value *root;
    bool transparency;    /* something in it is transparent */
    bool archive_intent;  /* there is one of PDF/A */
    int archive_channels; /* of its profile; 0 = none that can be read */
    unsigned char *seen;  /* by object number: bits below */
    size_t steps;         /* taken through resources */
    bool no_memory;
} tw_checkup;

enum { TW_SEEN_TREE = 1, TW_SEEN_FORM = 2, TW_SEEN_PROFILE = 4 };

typedef struct tw_pdf_leaf {
    const tw_pdfin_value *dict, *media, *crop, *resources; /* inherited ones too */
} tw_pdf_leaf;

/* One more fault; the first is kept in words. */
void tw_checkup_fail(tw_checkup *c, tw_pdf_check check, const char *format, ...) TW_PRINTF(3, 4);
/* Marks an object; true when it was marked already. Direct values are never. */
bool tw_checkup_seen(tw_checkup *c, const tw_pdfin_value *raw, unsigned bit);
/* A PDF name or text for a message: short, printable. */
const char *tw_checkup_word(const tw_pdfin_value *value, char room[64]);

void tw_checkup_file(tw_checkup *c);
void tw_checkup_walk(tw_checkup *c);
void tw_checkup_intents(tw_checkup *c);
void tw_checkup_pages(tw_checkup *c);
/* An ICCBased array met anywhere. */
void tw_checkup_icc_based(tw_checkup *c, const tw_pdfin_value *array);
void tw_checkup_page_colour(tw_checkup *c, const tw_pdf_leaf *page, size_t number);
void tw_checkup_meta(tw_checkup *c);

#endif
