/*
 * Bars of known length, to be measured on the print: a page that was scaled, or feeds short,
 * shows itself before anything is cut. One across and one along, in whole millimetres, and one
 * each in whole inches where there is room; as long as the waste allows.
 */
#include "sheet/draw.h"

#include "base/face.h"

#define CLEAR TW_MM
#define THICKNESS (4 * TW_MM)
#define LINE_AT (3 * TW_MM) /* of the line, from the block's upper or left side */
#define HALF_TICK TW_MM
#define LABEL_SIZE (TW_IN * 5 / 72)
#define LABEL_AT (TW_MM * 23 / 10)
#define LABEL_IN (2 * TW_MM) /* from the bar's beginning */
#define MM_LEAST (50 * TW_MM)
#define MM_MOST (500 * TW_MM)
#define INCH_LEAST (2 * TW_IN)
#define INCH_MOST (20 * TW_IN)

/* The bar that a stretch of this length takes: 0 = too short. Whole 50 mm from 100 mm on. */
static tw_nm bar_length(tw_nm stretch, bool inches) {
    tw_nm step = inches ? TW_IN : stretch < 100 * TW_MM ? 10 * TW_MM : 50 * TW_MM;
    tw_nm length = stretch / step * step, most = inches ? INCH_MOST : MM_MOST;
    if (length < (inches ? INCH_LEAST : MM_LEAST))
        return 0;
    return length < most ? length : most;
}

/* The block as it lies across; along it is the same seen after a quarter turn clockwise. */
static tw_code draw_block(tw_drawing *d, tw_rect block, tw_along along, tw_nm length,
                          const char *label) {
    bool across = along == TW_ACROSS;
    tw_nm half = (d->marks->weight + 1) / 2;
    tw_nm from = (across ? block.x : block.y) + half;
    tw_nm at = across ? block.y + LINE_AT : tw_rect_right(block) - LINE_AT;
    tw_along other = across ? TW_ALONG : TW_ACROSS;
    tw_code code = tw_draw_line(d, TW_ROLE_SCALE_BAR, along, at, from, from + length, 0);
    for (int i = 0; i < 2 && code == TW_OK; i++)
        code = tw_draw_line(d, TW_ROLE_SCALE_BAR, other, from + i * length, at - HALF_TICK,
                            at + HALF_TICK, 0);
    if (code != TW_OK)
        return code;
    tw_nm x = across ? from + LABEL_IN : tw_rect_right(block) - LABEL_AT;
    tw_nm y = across ? block.y + LABEL_AT : from + LABEL_IN;
    code = tw_draw_text(d, TW_ROLE_SCALE_BAR, x, y, LABEL_SIZE, across ? 0 : 1, label);
    return code == TW_OK ? tw_room_take(&d->room, block, d->error) : code;
}

static tw_code draw_bar(tw_drawing *d, tw_along along, bool inches) {
    tw_seek seek = {.along = along, .clear = CLEAR};
    tw_rect block;
    tw_nm half = (d->marks->weight + 1) / 2;
    tw_code code = tw_room_longest(&d->room, THICKNESS, &seek, &block, d->error);
    if (code != TW_OK)
        return code;
    tw_nm room = along == TW_ACROSS ? block.width : block.height;
    tw_nm length = bar_length(room - 2 * half, inches);
    if (length == 0)
        return TW_OK;
    *(along == TW_ACROSS ? &block.width : &block.height) = length + 2 * half;
    char *label = tw_arena_print(d->arena, inches ? "%d in" : "%d mm",
                                 (int)(length / (inches ? TW_IN : TW_MM)));
    return label == NULL ? tw_no_memory(d->error) : draw_block(d, block, along, length, label);
}

tw_code tw_draw_scale_bars(tw_drawing *d) {
    tw_code code = TW_OK;
    for (int i = 0; i < 4 && code == TW_OK && d->marks->place != TW_MARKS_NONE; i++)
        code = draw_bar(d, i % 2 == 0 ? TW_ACROSS : TW_ALONG, i >= 2);
    return code;
}
