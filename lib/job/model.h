/*
 * What was read: plain data, all of it in the job's arena, nothing of it pixels.
 * Filled by lib/job, read by every layer to the right.
 */
#ifndef TW_JOB_MODEL_H
#define TW_JOB_MODEL_H

#include "base/json.h"
#include "base/rect.h"
#include "colour/intent.h"
#include "image/image.h"

/* Names that were written but cannot be used, their problem already reported; `open`: there may be
 * more of them, in a file or entry that could not be read. */
typedef struct tw_names {
    const char **items;
    size_t count, room;
    bool open;
} tw_names;

typedef enum tw_colour_mode { TW_COLOUR_AUTO, TW_COLOUR_TAG, TW_COLOUR_CONVERT } tw_colour_mode;

typedef enum tw_paper_kind { TW_ROLL, TW_SHEETS } tw_paper_kind;
typedef enum tw_cutter { TW_CUTTER_PRINTER, TW_CUTTER_HAND } tw_cutter;
typedef enum tw_choice { TW_UNSET, TW_NO, TW_YES } tw_choice;

/* ppi limits; 0 = unset here. warn_below auto = TW_PPI_AUTO. */
#define TW_PPI_AUTO (-1)
#define TW_PPI_OFF (-2)
typedef struct tw_resolution {
    int warn_below, refuse_below;
    int limit, enlarge; /* reduce to at most, enlarge to at least; TW_PPI_OFF = not at all */
} tw_resolution;

/* A rectangle of the paper kept from an earlier day, `count` of them; width across the feed. */
#define TW_OFFCUTS_MOST 50 /* of one paper, all together */
typedef struct tw_offcut {
    tw_nm width, length;
    int64_t count;
} tw_offcut;

/* Sharpening for the paper, an unsharp mask; TW_UNSET = not said here. */
typedef struct tw_sharpen {
    tw_choice asked;
    tw_nm radius;  /* standard deviation of its Gaussian, on paper */
    int amount;    /* thousandths */
    int threshold; /* levels of 255 that are left alone */
} tw_sharpen;

typedef struct tw_paper {
    tw_place place;
    const char *name;
    tw_paper_kind kind;
    tw_nm width, length;        /* roll: length = what is left; sheets: as it feeds */
    const tw_nm *further_rolls; /* what is left on other rolls of it; NULL = there are none */
    size_t further_count;
    tw_offcut *offcuts;
    size_t offcut_count;
    int64_t count;          /* sheets only */
    tw_nm side, lead, tail; /* margins: where no ink may be */
    tw_nm lost_each_sheet, lost_each_load, lost_core_end;
    tw_nm edge_trim;
    tw_cutter cutter;
    tw_nm shortest_sheet, longest_sheet;
    bool has_price;
    tw_money price;
    const char *profile;      /* path as found, or NULL */
    tw_place profile_place;   /* of its name in the paper's file */
    const unsigned char *icc; /* its bytes, valid by its header; NULL: none */
    size_t icc_length;
    int icc_channels;            /* 1 3 4 */
    const char *icc_description; /* or NULL */
    bool icc_for_print;          /* a printer's (prtr): it may be an output intent */
    const char *weight, *finish;
    const char *media, *quality, *black; /* setup; each may be NULL */
    int64_t dry, cure;                   /* seconds, 0 = not said */
    tw_resolution resolution;
    tw_sharpen sharpen;
    tw_choice turn;
    /* how colours go onto it: settled by settle/colour_day.c before anything is laid out */
    bool converts;        /* to its profile, here; else the print path does */
    const char *icc_name; /* the profile's description, else its file's name */
} tw_paper;

typedef enum tw_fit { TW_FIT_INSIDE, TW_FIT_FILL } tw_fit;
typedef enum tw_corner {
    TW_NO_CORNER,
    TW_TOP_LEFT,
    TW_TOP_RIGHT,
    TW_BOTTOM_RIGHT,
    TW_BOTTOM_LEFT
} tw_corner;
typedef enum tw_window { TW_NO_WINDOW, TW_WINDOW_OVERLAP, TW_WINDOW_REVEAL } tw_window;

typedef struct tw_template {
    tw_place place;
    const char *name;
    bool by_picture; /* `picture` instead of `size` */
    tw_size size;
    tw_nm picture; /* the picture's long side */
    tw_sides border;
    tw_fit fit;
    int64_t focus_x, focus_y; /* millionths, 0 .. 1 000 000; 500 000 by default */
    bool has_bleed;
    tw_nm bleed; /* when not has_bleed: 1/8 in on sides whose border is 0, else 0 */
    bool turn_auto;
    bool lie_upright;
    tw_nm lip;
    tw_corner signature; /* TW_NO_CORNER: none */
    tw_nm signature_width, signature_height, signature_inset;
    tw_window window;
    tw_nm window_by;
    bool keyline;
    tw_resolution resolution; /* limit and enlarge alone */
    tw_sharpen sharpen;
    tw_intent intent; /* TW_INTENT_UNSET: the job's */
} tw_template;

/* No paper named: any of tw_job.choose, until one is chosen. */
#define TW_PAPER_ANY (SIZE_MAX - 1)

/* One order line or filler line. For fillers order is NULL. */
typedef struct tw_order {
    tw_place place;
    const char *order, *buyer, *image, *title, *due, *note, *price, *address, *edition;
    const char *image_path; /* resolved; NULL when it was not found (already reported) */
    size_t template_index;  /* into tw_job.templates; SIZE_MAX = unknown (already reported) */
    size_t paper_index;     /* into tw_job.papers; SIZE_MAX likewise; or TW_PAPER_ANY */
    int copies;             /* fillers: at most */
    const char *set;        /* prints of one set lie the same way; NULL none */
    const char **accept;    /* warning names this line may ignore */
    size_t accept_count;
    bool has_sells_for;
    tw_money sells_for, cost; /* fillers */
    int64_t chance;           /* fillers, millionths */
    tw_intent intent;         /* TW_INTENT_UNSET: the template's, then the job's */
} tw_order;

typedef enum tw_marks_place {
    TW_MARKS_WASTE,
    TW_MARKS_LINE,
    TW_MARKS_STRIP,
    TW_MARKS_NONE
} tw_marks_place;

typedef struct tw_marks {
    tw_marks_place place;
    bool offset_auto;
    tw_nm offset, length, weight;
} tw_marks;

/* layout.plan: what is wanted most of the plan. */
typedef enum tw_plan_by { TW_BY_PRICE, TW_BY_PAPER, TW_BY_CUTS, TW_BY_ROWS } tw_plan_by;

/* A print that must lie on a sheet (from 1, of its paper), perhaps at a place of it. */
typedef struct tw_pin {
    tw_place place;
    const char *print; /* its id */
    int sheet;
    bool has_place, turned;
    tw_nm x, y;
} tw_pin;

typedef struct tw_trimmer {
    bool has_longest_cut, has_farthest_stop;
    tw_nm longest_cut, farthest_stop, narrowest_strip;
} tw_trimmer;

typedef struct tw_job_data {
    const char *file, *folder;
    const char *name, *date; /* date NULL when not given */
    tw_paper *papers;
    size_t paper_count;
    tw_template *templates;
    size_t template_count;
    tw_names broken_papers, broken_templates;
    const char *templates_file; /* the name messages use when a template is unknown */
    tw_order *orders;
    size_t order_count;
    tw_order *fillers;
    size_t filler_count;
    const char **image_folders;
    size_t image_folder_count;
    bool chooses;   /* lines without a paper take one of `choose`, indexes into papers */
    size_t *choose; /* none where every name in it was wrong (reported) */
    size_t choose_count;
    tw_nm gutter;
    bool turn;
    int stages;    /* 3 cut stages and a trim, or 0 = any depth */
    int64_t steps; /* work the layout may do; 0 = usual */
    bool has_hand_cut, has_stop_change;
    tw_money hand_cut, stop_change; /* what one of them is worth, in the papers' currency */
    tw_nm *sheet_lengths;           /* the lengths sheets of rolls may have, ascending */
    size_t sheet_length_count;      /* 0 = any */
    tw_plan_by plan;
    tw_pin *pins;
    size_t pin_count;
    tw_money keep_together; /* for each sheet more that an order takes; minor 0: no matter */
    int64_t add_row_at;     /* millionths; 0: no rows of fillers are added */
    tw_money at_risk;       /* most print value on a sheet; currency "": not asked */
    tw_marks marks;
    tw_colour_mode colour;
    tw_intent intent;
    bool black_point;         /* compensate for paper blacker or less black than the image's */
    tw_assumed assume[3];     /* by tw_image_space; name NULL = the usual */
    tw_resolution resolution; /* warn_below TW_PPI_AUTO or ppi; refuse_below ppi */
    tw_sharpen sharpen;
    tw_trimmer trimmer;
    bool accept_damaged; /* print what is intact of damaged images */
    tw_limits limits;
} tw_job_data;

#endif
