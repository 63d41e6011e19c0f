/*
 * The layout: where things lie. Pure integers; no I/O, clock, locale or names.
 *
 *   problem -> tw_layout_make -> layout (sheets, placed pieces) -> tw_cuts_make -> cut trees
 *                                      \________ tw_referee_check sees all of it ________/
 *
 * Coordinates are the sheet's: origin top left on the printed side, x across the roll, y down
 * along the feed from the leading edge.
 */
#ifndef TW_LAYOUT_LAYOUT_H
#define TW_LAYOUT_LAYOUT_H

#include "base/arena.h"
#include "base/error.h"
#include "base/rect.h"

/* One piece to be placed (every copy is a piece of its own; equal pieces are found inside). */
typedef struct tw_piece {
    tw_nm width, height; /* trimmed size, upright */
    tw_sides visible;    /* visible border a side; -bleed where the picture bleeds */
    tw_sides bleed;      /* >= 0 */
    bool may_turn;       /* may lie a quarter turn clockwise */
    bool must_turn;      /* and lies so wherever it lies (a set that lies turned) */
    int group;           /* pieces of one group are wanted on one sheet (an order); -1 none */
    int alike;           /* pieces of one set lie the same way; -1 none */
    int pin_sheet;       /* -1, or the sheet (from 0) it must lie on */
    bool pinned_place;   /* it must lie at pin_x, pin_y of that sheet, turned as pin_turned */
    tw_nm pin_x, pin_y;
    bool pin_turned;
    int64_t priority; /* lower is served first when the paper runs out; ties by index */
    bool filler;      /* may be left out; never adds length */
    int64_t worth;    /* minor money units, fillers */
    int64_t limit;    /* most value a sheet may hold is summed from this; 0 = none */
    int64_t bytes;    /* upper bound of what it adds to its sheet's file */
    int image;        /* pieces with the same image >= 0 share those bytes on one sheet */
    int64_t tie;      /* lower comes first of pieces that are equal in all else */
} tw_piece;

typedef struct tw_stock {
    bool roll;              /* else cut sheets */
    tw_nm width, length;    /* roll: length = what is left; sheets: one sheet */
    int64_t count;          /* sheets at most */
    tw_nm side, lead, tail; /* ink margins */
    tw_nm edge_trim;
    tw_nm lost_each_sheet, lost_each_load, lost_core_end;
    tw_nm shortest_sheet, longest_sheet; /* roll; a single longer piece may exceed longest_sheet */
    tw_nm sheet_most;                    /* absolute limit of a sheet: 5080 mm */
    const tw_nm *sheet_lengths;          /* roll: a sheet has one of these lengths; ascending */
    int sheet_length_count;              /* 0 = any length */
    bool machine_cuts;                   /* the printer frees sheets across the roll at no labour */
    int64_t price;                       /* minor units of the full length or count; 0 = none */
} tw_stock;

/* Efforts: a step is about 1000 simple operations, so normal is some tenths of a second. */
#define TW_STEPS_QUICK 2000
#define TW_STEPS_NORMAL 120000
#define TW_STEPS_THOROUGH 3000000

/* What the trimmer can take; 0 = no limit. */
typedef struct tw_trimmer_limits {
    tw_nm longest_cut, farthest_stop;
} tw_trimmer_limits;

/* What is wanted most of a layout. */
typedef enum tw_want {
    TW_WANT_PRICE, /* cheapest: paper and work together */
    TW_WANT_PAPER, /* least paper, whatever the work */
    TW_WANT_CUTS,  /* fewest hand cuts, whatever the paper; then cheapest */
    TW_WANT_ROWS,  /* equal prints in equal rows: one kind of print a row */
    TW_WANTS
} tw_want;

typedef struct tw_layout_settings {
    tw_nm gutter;
    bool turn;                     /* false: nothing may turn */
    tw_nm narrowest_strip;         /* waste strips are 0 or at least this */
    int64_t hand_cut, stop_change; /* minor units x 1000 each; 0: they break ties only */
    int stages;                    /* 3 (and a trim) or 0 = any depth */
    int64_t sheet_bytes_most;      /* 0 = no limit */
    int64_t keep_together;         /* x 1000: for each sheet more that an order is spread over */
    int64_t add_row_at;            /* millionths: rows of fillers used at least so far; 0 none */
    int64_t steps;                 /* work budget: TW_STEPS_QUICK ...; 0 = normal */
    tw_nm strip_lead, strip_tail;  /* blank strips added at both ends of each sheet (marks) */
    tw_trimmer_limits trimmer;     /* counts cuts while layouts are compared */
    tw_want want;
    bool choices;      /* also tell what the layouts of the other wants cost */
    const tw_run *run; /* cancel and progress; may be NULL */
} tw_layout_settings;

typedef struct tw_layout_problem {
    const tw_piece *pieces;
    size_t count;
    tw_stock stock;
    tw_layout_settings settings;
} tw_layout_problem;

typedef struct tw_placed {
    size_t piece; /* index into the problem's pieces */
    int sheet;    /* from 0 */
    tw_nm x, y;   /* trimmed top left corner on the sheet */
    bool turned;
} tw_placed;

typedef enum tw_left_why {
    TW_LEFT_PAPER_USED,    /* the roll or box is used up */
    TW_LEFT_TOO_BIG,       /* fits the paper no way round */
    TW_LEFT_TOO_MANY_BYTES /* alone over the sheet's byte limit */
} tw_left_why;

typedef struct tw_left {
    size_t piece;
    tw_left_why why;
} tw_left;

/* What a layout costs (pay.h). Sums in thousandths of a minor money unit: a cent has 1000. */
typedef struct tw_pay {
    bool priced;   /* the paper has a price; else `paper` is 0 and `used` stands for it */
    int64_t paper; /* used / stock length x price, rounded half up once */
    int64_t work;  /* hand cuts x hand_cut + stop changes x stop_change */
    int64_t other; /* sheets that orders are spread over beyond one each x keep_together */
    tw_nm used;    /* as tw_layout.used */
    int64_t hand_cuts, stop_changes;
    int lengths; /* distinct sheet lengths: each is a page size to create by hand */
    int sheets;
} tw_pay;

/* Why a pin cannot be kept. */
typedef enum tw_pin_why {
    TW_PIN_GOOD,
    TW_PIN_WAY,      /* the print may not lie so (turned, or upright) */
    TW_PIN_TOO_BIG,  /* it fits the paper no way round */
    TW_PIN_EDGE,     /* `is` from the sheet's `edge`, and it needs `need` (is < 0: over it) */
    TW_PIN_STRIP,    /* leaves a strip of `is` at the edge, too thin to cut off: under `need` */
    TW_PIN_LONG,     /* its sheet would be `is` long, and may be `need` */
    TW_PIN_CLOSE,    /* overlaps `other` or lies too close to it; `need` is the gap */
    TW_PIN_UNCUT,    /* the prints pinned to its sheet cannot be cut from edge to edge */
    TW_PIN_CROWDED,  /* pinned to a sheet that has no room for it beside the others pinned there */
    TW_PIN_BYTES,    /* the images pinned to its sheet are over sheet_bytes_most */
    TW_PIN_NO_SHEET, /* there are only `sheets` sheets without gaps in their numbers */
    TW_PIN_PAPER     /* the pinned sheets take `is` of paper, and `need` is left */
} tw_pin_why;

typedef struct tw_pin_fault {
    tw_pin_why why;
    size_t piece, other;
    int edge; /* TW_TOP = the leading edge ... */
    tw_nm is, need;
    int sheets;
} tw_pin_fault;

typedef struct tw_layout {
    tw_placed *placed; /* sorted by sheet, then y, x, piece */
    size_t placed_count;
    tw_nm *sheet_length; /* page length of each sheet */
    int sheet_count;
    tw_left *left; /* sorted by piece */
    size_t left_count;
    tw_nm used;             /* pages and lost paper together, of the roll; sheets: pages */
    tw_nm bound;            /* no plan of the placed pieces uses less */
    int bound_stages;       /* the cut depth the bound is proved for: 0 any, 3 = three and a trim */
    bool stopped_early;     /* cancelled with more to try */
    tw_pay pays[TW_WANTS];  /* settings.choices: what each would cost; this one is pays[want] */
    tw_pin_fault pin_fault; /* TW_PIN_GOOD unless the layout failed with TW_INPUT */
} tw_layout;

/* Never fails for an unplaceable piece: it is listed in `left`. TW_INPUT when pins cannot be kept:
 * out->pin_fault says why. Everything in the arena. */
TW_USE_RESULT tw_code tw_layout_make(tw_arena *arena, const tw_layout_problem *problem,
                                     tw_layout *out, tw_error *error);

/* The least distance from the trim of this piece, so lying, to the sheet's four edges. */
tw_sides tw_piece_keep(const tw_stock *stock, const tw_layout_settings *settings,
                       const tw_piece *piece, bool turned);
/* The least gap between two neighbours' trims given the bleed each has on the facing side:
 * max(gutter, bleed A + bleed B), raised to narrowest_strip when it is above 0 and below it. */
tw_nm tw_gap(const tw_layout_settings *settings, tw_nm bleed_a, tw_nm bleed_b);

/* ------------------------------------------------------------- cuts */

typedef enum tw_along { TW_ACROSS, TW_ALONG } tw_along; /* the roll; across: at is y */

typedef enum tw_node_kind { TW_NODE_CUT, TW_NODE_PRINT, TW_NODE_WASTE } tw_node_kind;

/* A node is a piece of paper: cut in two, or a print, or waste. Node 0 of a sheet is the page. */
typedef struct tw_node {
    tw_node_kind kind;
    tw_rect rect;
    tw_along along;
    tw_nm at;      /* sheet coordinates */
    int low, high; /* nodes: smaller and larger coordinate side */
    size_t placed; /* prints: index into layout->placed */
} tw_node;

typedef struct tw_cut {
    int step; /* from 1 on each sheet, cutting order */
    int node; /* the piece in hand */
    tw_along along;
    tw_nm at, from, to;
    tw_nm stop;   /* at - low edge of the piece in hand */
    bool knife;   /* longer than the trimmer takes */
    bool to_mark; /* the stop is out of the trimmer's reach: cut to the mark */
    bool machine_edge_low, machine_edge_high; /* that edge of the piece in hand, beside `at`, is
                                               * the paper's own or was cut by the machine */
} tw_cut;

typedef struct tw_sheet_cuts {
    tw_node *nodes;
    int node_count;
    tw_cut *cuts; /* in cutting order */
    int cut_count;
} tw_sheet_cuts;

typedef struct tw_cuts {
    tw_sheet_cuts *sheets; /* layout->sheet_count of them */
    int64_t hand_cuts;     /* knife cuts too, and sheet ends where there is no machine cutter */
    /* How often the stop must be set to a value different from the one before, sheet after sheet;
     * the first setting counts. Cuts with the knife or to the mark need no stop. */
    int64_t stop_changes;
} tw_cuts;

/* Cut trees for a layout: edge to edge, across first, waste trimmed off, few cuts, equal stops
 * following one another. With a hand cutter (machine_cuts false) on a roll the sheet's end is
 * cut too: node 0 (the page with the roll behind it) is cut at == page length, listed first, with
 * low = node 1, the page itself (the same rectangle), and high = -1 (the roll). A print is never
 * parted from thin waste: strips are 0 or at least narrowest_strip. TW_BUG when a layout cannot be
 * cut edge to edge. */
TW_USE_RESULT tw_code tw_cuts_make(tw_arena *arena, const tw_layout_problem *problem,
                                   const tw_layout *layout, const tw_trimmer_limits *limits,
                                   tw_cuts *out, tw_error *error);

/* ------------------------------------------------------------- referee */

/* Shares no code with the packers or the cutter. Every copy placed once or left out; inside;
 * no overlap; gaps kept; ink inside margins; every cut edge to edge of the piece in hand; the
 * tree yields the pieces; sheet and roll limits; used at least the bound; totals right.
 * TW_BUG with what is wrong. Runs on every plan, in release builds too. */
TW_USE_RESULT tw_code tw_referee_check(const tw_layout_problem *problem, const tw_layout *layout,
                                       const tw_cuts *cuts, tw_error *error);

#endif
