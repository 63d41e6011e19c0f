/*
 * The display list: what is drawn on one page, in page coordinates (nm, origin top left, y down).
 * Every output reads it, so preview, guide and PDF cannot disagree.
 */
#ifndef TW_SHEET_DISPLAY_H
#define TW_SHEET_DISPLAY_H

#include "base/arena.h"
#include "base/error.h"
#include "base/rect.h"

typedef enum tw_op_kind { TW_OP_IMAGE, TW_OP_LINE, TW_OP_BOX, TW_OP_TEXT } tw_op_kind;
typedef enum tw_align { TW_ALIGN_LEFT, TW_ALIGN_CENTRE, TW_ALIGN_RIGHT } tw_align;

/* What a line or box is for: tests and outputs tell them apart. */
typedef enum tw_role {
    TW_ROLE_PICTURE,
    TW_ROLE_CROP_MARK,
    TW_ROLE_TICK,
    TW_ROLE_SIGNATURE,
    TW_ROLE_SCALE_BAR,
    TW_ROLE_SLUG,
    TW_ROLE_KEYLINE,
    TW_ROLE_GUIDE
} tw_role;

typedef struct tw_op {
    tw_op_kind kind;
    tw_role role;
    /* image: clipped to `rect`; `whole` is where the whole image lies on the page, seen as it
     * lies there. */
    tw_rect rect, whole;
    size_t image;    /* into tw_prints.images */
    int orientation; /* Exif 1..8 of the stored pixels */
    bool turned;     /* then a quarter turn clockwise on the page */
    int intent;      /* tw_intent its colours are converted with; 0: they are not */
    /* line */
    tw_nm x0, y0, x1, y1;
    tw_nm weight; /* line and stroked box; 0 = not stroked */
    int grey;     /* DeviceGray in thousandths: 0 black, 1000 white */
    int fill;     /* box: grey thousandths, -1 = not filled */
    bool dashed;  /* line and stroked box */
    /* text: baseline starts at x0,y0 (per align), em = size, quarter turns clockwise */
    const char *text;
    tw_nm size;
    tw_align align;
    int quarter;
    bool bold;
} tw_op;

typedef struct tw_page {
    tw_size size;
    tw_op *ops;
    size_t count, room;
} tw_page;

/* Each adds one op; TW_MEMORY when there is none. Text is copied into the arena. */
TW_USE_RESULT tw_code tw_page_line(tw_arena *arena, tw_page *page, tw_role role, tw_nm x0, tw_nm y0,
                                   tw_nm x1, tw_nm y1, tw_nm weight, int grey, tw_error *error);
TW_USE_RESULT tw_code tw_page_box(tw_arena *arena, tw_page *page, tw_role role, tw_rect rect,
                                  tw_nm weight, int grey, int fill, tw_error *error);
TW_USE_RESULT tw_code tw_page_text(tw_arena *arena, tw_page *page, tw_role role, tw_nm x, tw_nm y,
                                   tw_nm size, tw_align align, int quarter, const char *text,
                                   tw_error *error);
TW_USE_RESULT tw_code tw_page_image(tw_arena *arena, tw_page *page, tw_rect rect, tw_rect whole,
                                    size_t image, int orientation, bool turned, tw_error *error);

#endif
