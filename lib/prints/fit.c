/*
 * How an image is fitted to a template: the finished size, the picture in it, and where the
 * whole image lies behind the picture. Pure integers; the first step from order to print.
 *
 *   size (turned to match the image) - border = box
 *   inside: the image scaled into the box, then run past the trim where it meets it (bleed)
 *   fill:   the box, run past the trim where there is no border
 *   then the image is scaled to just cover the picture and moved so that its focus lies as near
 *   the picture's centre as the cover allows.
 */
#include "prints/making.h"

#define DEFAULT_BLEED (TW_IN / 8) /* common practice: 1/8 in or 3 mm */

/* Only the ratio counts. Below 2^52: 10^6 pixels times a 32-bit aspect. */
typedef struct image_shape {
    int64_t wide, high;
} image_shape;

/* a/b against c/d without division: a*d - b*c, all below 2^63, products below 2^96. */
static bool at_least_as_wide(image_shape shape, tw_nm width, tw_nm height) {
    __extension__ typedef unsigned __int128 wide_int;
    return (wide_int)shape.wide * (wide_int)height >= (wide_int)shape.high * (wide_int)width;
}

static tw_nm scaled(tw_nm length, int64_t by, int64_t of) {
    tw_nm result = tw_scale(length, by, of);
    return result < 1 ? 1 : result;
}

/* The largest rectangle of the image's shape in `box`, or the smallest that covers it. The side
 * that decides is the box's own, so only the other one is rounded. */
static tw_size shaped(image_shape shape, tw_nm width, tw_nm height, bool cover) {
    if (at_least_as_wide(shape, width, height) != cover)
        return (tw_size){width, scaled(width, shape.high, shape.wide)};
    return (tw_size){scaled(height, shape.wide, shape.high), height};
}

static tw_size finished_size(const tw_template *format, image_shape shape) {
    if (format->by_picture) {
        tw_nm side = format->picture;
        tw_size picture = shape.wide >= shape.high
                              ? (tw_size){side, scaled(side, shape.high, shape.wide)}
                              : (tw_size){scaled(side, shape.wide, shape.high), side};
        const tw_nm *border = format->border.side;
        return (tw_size){picture.width + border[TW_LEFT] + border[TW_RIGHT],
                         picture.height + border[TW_TOP] + border[TW_BOTTOM]};
    }
    tw_size size = format->size;
    bool crosswise = (shape.wide > shape.high && size.width < size.height) ||
                     (shape.wide < shape.high && size.width > size.height);
    /* Only the size turns: the top border stays at the top as viewed. */
    return format->turn_auto && crosswise ? (tw_size){size.height, size.width} : size;
}

/* Also what keeps every later product inside int64. */
static tw_code refuse_size(const tw_template *format, tw_size size, tw_error *error) {
    char seen[TW_SIZE_TEXT], most[TW_LENGTH_TEXT];
    if (size.width <= TW_PAGE_MOST && size.height <= TW_PAGE_MOST)
        return TW_OK;
    tw_fail(error, TW_INPUT, "too-big",
            "template \"%s\" makes a print of %s; the longest a PDF page may be is %s",
            format->name, tw_size_both(size, seen), tw_length_both(TW_PAGE_MOST, most));
    tw_fail_hint(error, "order a smaller size, or divide the picture into panels");
    return TW_INPUT;
}

static tw_code refuse_border(const tw_template *format, tw_size size, tw_rect box,
                             tw_error *error) {
    char seen[TW_SIZE_TEXT], first[TW_LENGTH_TEXT], second[TW_LENGTH_TEXT];
    if (box.width > 0 && box.height > 0)
        return TW_OK;
    const tw_nm *border = format->border.side;
    tw_fail(error, TW_INPUT, "no-room-for-picture",
            "the border of template \"%s\" leaves no room for a picture: left and right take %s, "
            "top and bottom %s, and the print is %s",
            format->name, tw_length_both(border[TW_LEFT] + border[TW_RIGHT], first),
            tw_length_both(border[TW_TOP] + border[TW_BOTTOM], second), tw_size_both(size, seen));
    tw_fail_hint(error, "make the border narrower than half the print");
    return TW_INPUT;
}

static tw_rect box_of(const tw_template *format, tw_size size) {
    const tw_nm *border = format->border.side;
    return (tw_rect){border[TW_LEFT], border[TW_TOP],
                     size.width - border[TW_LEFT] - border[TW_RIGHT],
                     size.height - border[TW_TOP] - border[TW_BOTTOM]};
}

/* Centred in the box; an odd nanometre is left to the right or below. */
static tw_rect inside_box(const tw_template *format, tw_rect box, image_shape shape) {
    if (format->fit == TW_FIT_FILL || format->by_picture)
        return box; /* by_picture: the box has the image's shape already */
    tw_size size = shaped(shape, box.width, box.height, false);
    return (tw_rect){box.x + (box.width - size.width) / 2, box.y + (box.height - size.height) / 2,
                     size.width, size.height};
}

/* Trim to rectangle on each side. */
static tw_sides distances(tw_size size, tw_rect r) {
    return (tw_sides){{[TW_TOP] = r.y,
                       [TW_RIGHT] = size.width - tw_rect_right(r),
                       [TW_BOTTOM] = size.height - tw_rect_bottom(r),
                       [TW_LEFT] = r.x}};
}

static tw_nm bleed_of(const tw_template *format, int side) {
    if (format->border.side[side] > 0)
        return 0;
    return format->has_bleed ? format->bleed : DEFAULT_BLEED;
}

/* Where the picture meets the trim it runs past it, so that a cut that is off shows no paper. */
static void add_bleed(const tw_template *format, tw_rect first, tw_fitted *out) {
    tw_sides room = distances(out->size, first);
    for (int side = 0; side < 4; side++) {
        out->bleed.side[side] = room.side[side] == 0 ? bleed_of(format, side) : 0;
        out->visible.side[side] = room.side[side] - out->bleed.side[side];
    }
    const tw_nm *bleed = out->bleed.side;
    out->picture = (tw_rect){first.x - bleed[TW_LEFT], first.y - bleed[TW_TOP],
                             first.width + bleed[TW_LEFT] + bleed[TW_RIGHT],
                             first.height + bleed[TW_TOP] + bleed[TW_BOTTOM]};
}

/* Where a line of `whole` starts so that its focus is at the middle of start..start+part, held
 * where the part stays covered. */
static tw_nm focused(tw_nm start, tw_nm part, tw_nm whole, int64_t focus) {
    tw_nm at = start + part / 2 - tw_scale(whole, focus, 1000000);
    tw_nm first = start + part - whole;
    if (at < first)
        return first;
    return at > start ? start : at;
}

/* The free side is at least the picture's before it is rounded half up, so at least that after:
 * never a sliver. */
static void cover(const tw_template *format, image_shape shape, tw_fitted *out) {
    tw_rect picture = out->picture;
    tw_size size = shaped(shape, picture.width, picture.height, true);
    out->whole = (tw_rect){focused(picture.x, picture.width, size.width, format->focus_x),
                           focused(picture.y, picture.height, size.height, format->focus_y),
                           size.width, size.height};
}

static bool bleeds(const tw_fitted *fit) {
    for (int side = 0; side < 4; side++)
        if (fit->bleed.side[side] > 0)
            return true;
    return false;
}

/* The mat window over the picture's part inside the trim, smaller by the overlap or larger by
 * what it reveals, on every side. */
static tw_code add_window(const tw_template *format, tw_fitted *out, tw_error *error) {
    char seen[TW_SIZE_TEXT], allowed[TW_SIZE_TEXT];
    if (format->window == TW_NO_WINDOW)
        return TW_OK;
    tw_nm by = 2 * (format->window == TW_WINDOW_REVEAL ? format->window_by : -format->window_by);
    const tw_nm *bleed = out->bleed.side;
    tw_size part = {out->picture.width - bleed[TW_LEFT] - bleed[TW_RIGHT],
                    out->picture.height - bleed[TW_TOP] - bleed[TW_BOTTOM]};
    out->has_window = true;
    out->window = (tw_size){part.width + by, part.height + by};
    if (out->window.width <= 0 || out->window.height <= 0)
        return tw_fail(error, TW_INPUT, "window-too-small",
                       "the window of template \"%s\" overlaps the whole picture, which is %s",
                       format->name, tw_size_both(part, seen));
    if (out->window.width > out->size.width || out->window.height > out->size.height)
        return tw_fail(error, TW_INPUT, "window-too-large",
                       "the window of template \"%s\" would open to %s, and the print is only %s",
                       format->name, tw_size_both(out->window, seen),
                       tw_size_both(out->size, allowed));
    return TW_OK;
}

static void add_ppi(const tw_grid *grid, tw_fitted *out) {
    out->ppi_x = tw_scale(grid->wide, 1000 * TW_IN, out->whole.width);
    out->ppi_y = tw_scale(grid->high, 1000 * TW_IN, out->whole.height);
}

tw_grid tw_image_grid(const tw_image *image) {
    bool square = image->aspect_x == 0 || image->aspect_y == 0, swapped = image->orientation >= 5;
    return (tw_grid){.wide = image->upright_width,
                     .high = image->upright_height,
                     .across = square    ? 1
                               : swapped ? image->aspect_y
                                         : image->aspect_x,
                     .down = square    ? 1
                             : swapped ? image->aspect_x
                                       : image->aspect_y};
}

tw_code tw_fit_image(const tw_template *format, uint32_t pixels_wide, uint32_t pixels_high,
                     tw_fitted *out, tw_error *error) {
    tw_grid grid = {pixels_wide, pixels_high, 1, 1};
    return tw_fit_grid(format, &grid, out, error);
}

tw_code tw_fit_grid(const tw_template *format, const tw_grid *grid, tw_fitted *out,
                    tw_error *error) {
    /* wide / across against high / down */
    image_shape shape = {(int64_t)grid->wide * grid->down, (int64_t)grid->high * grid->across};
    *out = (tw_fitted){.border = format->border};
    if (grid->wide == 0 || grid->high == 0)
        return tw_fail(error, TW_INPUT, "empty-image", "the image has no pixels");
    out->size = finished_size(format, shape);
    tw_code code = refuse_size(format, out->size, error);
    if (code != TW_OK)
        return code;
    tw_rect box = box_of(format, out->size);
    code = refuse_border(format, out->size, box, error);
    if (code != TW_OK)
        return code;
    add_bleed(format, inside_box(format, box, shape), out);
    /* Bleed is ink on the same page. */
    code = refuse_size(format, (tw_size){out->picture.width, out->picture.height}, error);
    if (code != TW_OK)
        return code;
    if (format->fit == TW_FIT_FILL || bleeds(out))
        cover(format, shape, out);
    else
        out->whole = out->picture;
    add_ppi(grid, out);
    return add_window(format, out, error);
}
