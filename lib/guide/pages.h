/*
 * The cut guide's own inside: what its files share. guide.c runs the flow, typeset.c sets
 * lines, tables.c sets tables, words.c says measures and names, first_page.c and
 * setup_card.c, intents.c make the first pages, sheet_page.c and labels.c draw a
 * sheet, cut_steps.c lists its cuts and piles.c the piles. Nobody else includes this.
 *
 * A failure sticks in tw_guide.code: after it every call does nothing, and tw_guide_make looks
 * at it once at the end.
 */
#ifndef TW_GUIDE_PAGES_H
#define TW_GUIDE_PAGES_H

#include "sheet/plan.h"

/* No ink nearer to the paper's edge: every office printer can print there (common practice). */
#define GUIDE_MARGIN (12 * TW_MM)
/* Tenths of a point. */
#define GUIDE_PT(tenths) ((tw_nm)(tenths)*TW_IN / 720)
/* Sizes that stay legible at arm's length over a trimmer. */
#define GUIDE_BODY GUIDE_PT(105)
#define GUIDE_CELL GUIDE_PT(95)
#define GUIDE_LABEL GUIDE_PT(70)
/* What of an em lies above and below the baseline: letters with accents and descenders. */
#define GUIDE_ABOVE(size) ((size)*84 / 100)
#define GUIDE_BELOW(size) ((size)*26 / 100)

#define GUIDE_ASCII 128

typedef enum tw_guide_weight { GUIDE_PLAIN, GUIDE_BOLD } tw_guide_weight;

typedef struct tw_guide {
    tw_arena *arena;
    const tw_plan_data *plan;
    tw_size paper;
    tw_page *pages;
    size_t count, room;
    tw_nm left, right, top, bottom; /* where the text lies; the footer is below `bottom` */
    tw_nm y;                        /* top of the next free line */
    const char *running;            /* set again at the top of a page begun midway, or NULL */
    bool close;                     /* less room between lines, rows and parts */
    tw_nm ascii[GUIDE_ASCII];       /* typeset.c: widths measured so far */
    unsigned char *taken;           /* labels.c: what of the page carries a label */
    tw_code code;
    tw_error *error;
} tw_guide;

/* ------------------------------------------------ typeset.c */

void tw_guide_check(tw_guide *g, tw_code code); /* keep the first failure */
void tw_guide_page(tw_guide *g);                /* begin a page */
/* A place to go back to: what was set since is dropped. */
typedef struct tw_guide_spot {
    size_t pages, ops;
    tw_nm y;
} tw_guide_spot;
tw_guide_spot tw_guide_here(const tw_guide *g);
void tw_guide_back(tw_guide *g, tw_guide_spot spot);
/* Whether what was set since `spot` ends on a page of its own that is nearly empty. */
bool tw_guide_ends_short(const tw_guide *g, tw_guide_spot spot);
/* `part` from the cursor on, set closer where that spares a page that is nearly empty. */
void tw_guide_sparing(tw_guide *g, void (*part)(tw_guide *g));
/* Begin a page unless `height` is left on this one; true when one was begun. */
bool tw_guide_need(tw_guide *g, tw_nm height);
tw_page *tw_guide_now(tw_guide *g); /* the page being set; NULL after a failure */
/* One line of text at a baseline. */
void tw_guide_put(tw_guide *g, tw_nm x, tw_nm baseline, tw_nm size, tw_align align,
                  tw_guide_weight weight, const char *text);
void tw_guide_rule(tw_guide *g, tw_nm x0, tw_nm y0, tw_nm x1, tw_nm y1, tw_nm weight, int grey);
void tw_guide_box(tw_guide *g, tw_rect rect, tw_nm weight, int grey, int fill);
void tw_guide_dash_last(tw_guide *g); /* the op added last is dashed */
tw_nm tw_guide_leading(tw_nm size);

/* Break `text` into at most `most` lines of `width`; '\n' forces a break, the last line ends in
 * an ellipsis when text is left over. Gives the number of lines, in the arena. */
size_t tw_guide_wrap(tw_guide *g, const char *text, tw_nm width, tw_nm size, const char **lines,
                     size_t most);
/* `text` cut with an ellipsis to one line of `width`. */
const char *tw_guide_fit(tw_guide *g, const char *text, tw_nm width, tw_nm size);

/* Level 1 to 3, kept with `follow` of what comes after it. */
void tw_guide_heading(tw_guide *g, int level, const char *text, tw_nm follow);
void tw_guide_paragraph(tw_guide *g, const char *text);
void tw_guide_small(tw_guide *g, const char *text); /* a paragraph in the table's size */
void tw_guide_point(tw_guide *g, const char *text); /* a paragraph behind a dash */
void tw_guide_space(tw_guide *g, tw_nm height);

/* ------------------------------------------------ tables.c */

#define GUIDE_COLUMNS_MOST 8
#define GUIDE_CELL_LINES 10

typedef struct tw_guide_column {
    const char *title; /* NULL in all columns: a table without a head */
    tw_nm width;       /* 0 in the last column: what is left */
    bool strong;       /* the first line of a cell is bold */
} tw_guide_column;

typedef struct tw_guide_table {
    const tw_guide_column *columns;
    size_t count;
    bool head_due; /* set the head before the next row */
    bool bare;     /* no rule under each row */
} tw_guide_table;

tw_guide_table tw_guide_table_start(const tw_guide_column *columns, size_t count);
/* `cells` are table->count texts, NULL = empty; `note` runs under the row, or NULL. */
void tw_guide_row(tw_guide *g, tw_guide_table *table, const char *const *cells, const char *note);
/* Height of the head and of a row, for keeping things together. */
tw_nm tw_guide_row_height(tw_guide *g, const tw_guide_table *table, const char *const *cells);

/* ------------------------------------------------ words.c */

/* Printf into the arena; "" after a failure, never NULL. */
const char *tw_guide_say(tw_guide *g, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* A text from outside, safe to set: controls and broken UTF-8 replaced, long ones shortened.
 * NULL gives "". */
const char *tw_guide_name(tw_guide *g, const char *text);
/* The same, and over 38 characters its middle left out: ids differ at their ends. */
const char *tw_guide_short(tw_guide *g, const char *text);
/* "24" or "24.016": inches without the unit; "609.6": mm to two decimals, no trailing zeros. */
const char *tw_guide_inches(tw_guide *g, tw_nm value);
const char *tw_guide_mm(tw_guide *g, tw_nm value);
/* "24 x 30 in (609.6 x 762 mm)". */
const char *tw_guide_size_text(tw_guide *g, tw_size size);
const char *tw_guide_both(tw_guide *g, tw_nm value); /* "8 in (203.2 mm)" */
const char *tw_guide_feet(tw_guide *g, tw_nm value); /* "12 ft 6 1/2 in (3.82 m)" */
/* The stop, as two lines: what a ruler shows to 1/32 in and mm; mm first and "near" before the
 * inch where 1/32 in is over 0.1 mm off. */
const char *tw_guide_stop(tw_guide *g, tw_nm value);
/* "1, 3 to 5" from ascending numbers. */
const char *tw_guide_numbers(tw_guide *g, const int *numbers, size_t count);
/* "the pile": an order's number, "fillers" or "prints". */
const char *tw_guide_pile(tw_guide *g, const tw_print *print);
/* Which prints of a paper are converted by another intent than most; NULL: all by one, or each by
 * the one that auto chose. */
const char *tw_guide_intents(tw_guide *g, size_t paper_index);
/* What auto chose for which images of a paper; NULL: it chose for none. */
const char *tw_guide_intents_auto(tw_guide *g, size_t paper_index);
const tw_paper *tw_guide_paper(const tw_guide *g, size_t paper_index);
int tw_guide_count(const tw_guide *g, size_t paper_index); /* sheets of a paper */

/* ------------------------------------------------ the parts, each from the cursor on */

void tw_guide_first(tw_guide *g);
void tw_guide_setup(tw_guide *g);
void tw_guide_cautions(tw_guide *g); /* measuring, drying, blades */
void tw_guide_sheet(tw_guide *g, size_t index);
void tw_guide_steps(tw_guide *g, const tw_plan_sheet *sheet);
void tw_guide_piles(tw_guide *g);

/* ------------------------------------------------ cut_steps.c, labels.c */

/* Which ends of a cut carry no tick. */
typedef struct tw_guide_bare {
    bool low, high;
} tw_guide_bare;
/* One for each cut of the sheet, in the arena; NULL after a failure. */
tw_guide_bare *tw_guide_unmarked(tw_guide *g, const tw_plan_sheet *sheet);

/* Where a sheet is drawn on a page of the guide. */
typedef struct tw_guide_drawing {
    const tw_plan_sheet *sheet;
    tw_rect at;   /* the sheet's outline on the page */
    tw_rect room; /* labels stay inside */
    const tw_guide_bare *bare;
    const char **legend; /* lines for prints and steps that found no room */
    size_t legend_count, legend_room;
    int callouts;
} tw_guide_drawing;

/* Put step numbers and prints' names on the drawing; nothing overlaps. */
void tw_guide_labels(tw_guide *g, tw_guide_drawing *drawing);
/* A length of the sheet on the drawing, and a place. */
tw_nm tw_guide_scaled(const tw_guide_drawing *drawing, tw_nm value);

#endif
