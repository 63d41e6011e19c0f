/* Which part of a picture a test strip shows (strip.h). Whole numbers alone decide. */
#include "proof/strip.h"

#include "colour/sample.h"

#include <string.h>

enum { BLOCKS = 200, FINER = 4 }; /* blocks along the long side; samples along a block's */

/* ------------------------------------------------ upright and stored */

/* Where a stored pixel is seen. */
static void turn(int orientation, uint32_t across, uint32_t down, uint32_t *x, uint32_t *y) {
    static const bool mirrors_x[] = {false, true, true, false, false, true, true, false};
    static const bool mirrors_y[] = {false, false, true, true, false, false, true, true};
    bool swaps = orientation >= 5;
    uint32_t right = (swaps ? down : across) - 1, low = (swaps ? across : down) - 1;
    uint32_t u = swaps ? *y : *x, v = swaps ? *x : *y;
    *x = mirrors_x[orientation - 1] ? right - u : u;
    *y = mirrors_y[orientation - 1] ? low - v : v;
}

tw_pixel_rect tw_pixels_upright(int orientation, tw_pixel_rect stored, uint32_t across,
                                uint32_t down) {
    uint32_t x0 = stored.x, y0 = stored.y;
    uint32_t x1 = stored.x + stored.width - 1, y1 = stored.y + stored.height - 1;
    turn(orientation, across, down, &x0, &y0);
    turn(orientation, across, down, &x1, &y1);
    uint32_t left = x0 < x1 ? x0 : x1, top = y0 < y1 ? y0 : y1;
    return (tw_pixel_rect){left, top, (x0 < x1 ? x1 : x0) - left + 1,
                           (y0 < y1 ? y1 : y0) - top + 1};
}

/* A quarter one way is undone by a quarter the other way; all others undo themselves. */
tw_pixel_rect tw_pixels_stored(int orientation, tw_pixel_rect upright, uint32_t across,
                               uint32_t down) {
    int back = orientation == 6 ? 8 : orientation == 8 ? 6 : orientation;
    return tw_pixels_upright(back, upright, across, down);
}

/* ------------------------------------------------ lightness by block */

typedef struct blocks {
    const tw_image *image;
    size_t across, down;                 /* upright */
    uint32_t sampled_wide, sampled_high; /* as stored */
    int64_t *sum;
    int32_t *count; /* samples; -1: some of them are lost to damage */
} blocks;

/* Weights of sRGB's luminance (IEC 61966-2-1) on code values, in 256ths; 16 bits. */
static int64_t lightness(const tw_image *image, const unsigned char *pixel) {
    static const size_t channels[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};
    int64_t v[4] = {0};
    for (size_t c = 0; c < channels[image->space]; c++) {
        uint16_t wide = (uint16_t)(pixel[c] * 257u);
        if (image->depth == 16)
            memcpy(&wide, pixel + 2 * c, 2);
        v[c] = wide;
    }
    if (image->space == TW_GREY)
        return v[0];
    if (image->space == TW_RGB)
        return (54 * v[0] + 183 * v[1] + 19 * v[2]) >> 8;
    int64_t inks = (54 * v[0] + 183 * v[1] + 19 * v[2]) >> 8;
    return (65535 - inks) * (65535 - v[3]) / 65535;
}

static void take(void *context, const unsigned char *pixels, size_t count,
                 const tw_sample_place *places) {
    static const size_t channels[] = {[TW_GREY] = 1, [TW_RGB] = 3, [TW_CMYK] = 4};
    blocks *b = context;
    bool swaps = b->image->orientation >= 5;
    uint32_t wide = swaps ? b->sampled_high : b->sampled_wide;
    uint32_t high = swaps ? b->sampled_wide : b->sampled_high;
    size_t bytes = channels[b->image->space] * (b->image->depth == 16 ? 2 : 1);
    for (size_t i = 0; i < count; i++) {
        uint32_t x = places[i].x, y = places[i].y;
        turn(b->image->orientation, b->sampled_wide, b->sampled_high, &x, &y);
        size_t at = (size_t)y * b->down / high * b->across + (size_t)x * b->across / wide;
        b->sum[at] += lightness(b->image, pixels + i * bytes);
        b->count[at] = places[i].white || b->count[at] < 0 ? -1 : b->count[at] + 1;
    }
}

static uint32_t less(uint32_t a, uint32_t b) {
    return a < b ? a : b;
}

static tw_code see_blocks(tw_arena *arena, const tw_image *image, blocks *b, tw_error *error) {
    uint32_t wide = image->upright_width, high = image->upright_height;
    uint32_t longest = wide > high ? wide : high, side = less(longest, BLOCKS);
    bool swaps = image->orientation >= 5;
    *b = (blocks){.image = image,
                  .across = (size_t)((uint64_t)wide * side / longest),
                  .down = (size_t)((uint64_t)high * side / longest)};
    b->across += b->across == 0;
    b->down += b->down == 0;
    b->sampled_wide = less((uint32_t)(swaps ? b->down : b->across) * FINER, image->width);
    b->sampled_high = less((uint32_t)(swaps ? b->across : b->down) * FINER, image->height);
    b->sum = tw_arena_array(arena, b->across * b->down, sizeof *b->sum);
    b->count = tw_arena_array(arena, b->across * b->down, sizeof *b->count);
    if (b->sum == NULL || b->count == NULL)
        return tw_no_memory(error);
    tw_code code = tw_sample_image(tw_arena_allocator(arena), image, b->sampled_wide,
                                   b->sampled_high, take, b, error);
    for (size_t i = 0; code == TW_OK && i < b->across * b->down; i++)
        b->sum[i] /= b->count[i] > 0 ? b->count[i] : 1;
    return code;
}

/* From block `at` to block `to`. The edge of what is lost to damage is no detail. */
static int64_t difference(const blocks *b, size_t at, size_t to) {
    return b->count[at] < 0 || b->count[to] < 0 ? 0 : b->sum[to] - b->sum[at];
}

/* The squared differences to the right and below, in place of the lightness. */
static void differences(blocks *b) {
    for (size_t y = 0; y < b->down; y++)
        for (size_t x = 0; x < b->across; x++) {
            size_t block = y * b->across + x;
            int64_t *at = &b->sum[block];
            int64_t right = x + 1 < b->across ? difference(b, block, block + 1) : 0;
            int64_t below = y + 1 < b->down ? difference(b, block, block + b->across) : 0;
            *at = right * right + below * below;
        }
}

/* ------------------------------------------------ the window */

/* Twice the distance from the middle, squared. */
static int64_t from_middle(size_t x, size_t y, size_t wide, size_t high, size_t across,
                           size_t down) {
    int64_t right = (int64_t)(2 * x + wide) - (int64_t)across;
    int64_t below = (int64_t)(2 * y + high) - (int64_t)down;
    return right * right + below * below;
}

tw_code tw_strip_busiest(tw_arena *arena, const int64_t *energy, size_t across, size_t down,
                         size_t wide, size_t high, tw_strip_window *out, tw_error *error) {
    size_t line = across + 1;
    int64_t *sums = tw_arena_array(arena, line * (down + 1), sizeof *sums);
    if (sums == NULL)
        return tw_no_memory(error);
    for (size_t y = 0; y < down; y++)
        for (size_t x = 0; x < across; x++)
            sums[(y + 1) * line + x + 1] = energy[y * across + x] + sums[y * line + x + 1] +
                                           sums[(y + 1) * line + x] - sums[y * line + x];
    int64_t most = -1, nearest = 0;
    for (size_t y = 0; y + high <= down; y++)
        for (size_t x = 0; x + wide <= across; x++) {
            int64_t sum = sums[(y + high) * line + x + wide] - sums[y * line + x + wide] -
                          sums[(y + high) * line + x] + sums[y * line + x];
            int64_t far = from_middle(x, y, wide, high, across, down);
            if (sum < most || (sum == most && far >= nearest))
                continue;
            most = sum;
            nearest = far;
            *out = (tw_strip_window){x, y, wide, high};
        }
    return TW_OK;
}

/* ------------------------------------------------ on the print */

/* `middle` as the middle of a stretch of `side`, inside from .. from + length. */
static tw_nm kept_inside(tw_nm middle, tw_nm side, tw_nm from, tw_nm length) {
    tw_nm at = middle - side / 2, last = from + length - side;
    return at < from ? from : at > last ? last : at;
}

static size_t block_of(tw_nm at, tw_nm of, size_t all, size_t most) {
    size_t block = (size_t)tw_scale(at, (int64_t)all, of);
    return block < most ? block : most;
}

/* Only what is printed is looked at; a part of it without its neighbours' differences. */
static tw_code busiest_of(tw_arena *arena, const tw_fitted *fit, const blocks *b, tw_size side,
                          tw_nm *x, tw_nm *y, tw_error *error) {
    tw_rect whole = fit->whole, seen = fit->picture;
    size_t left = block_of(seen.x - whole.x, whole.width, b->across, b->across - 1);
    size_t top = block_of(seen.y - whole.y, whole.height, b->down, b->down - 1);
    size_t wide = block_of(seen.width, whole.width, b->across, b->across - left);
    size_t high = block_of(seen.height, whole.height, b->down, b->down - top);
    wide += wide == 0;
    high += high == 0;
    int64_t *energy = tw_arena_array(arena, wide * high, sizeof *energy);
    if (energy == NULL)
        return tw_no_memory(error);
    for (size_t row = 0; row < high; row++)
        memcpy(energy + row * wide, b->sum + (top + row) * b->across + left, wide * sizeof *energy);
    size_t across = block_of(side.width, whole.width, b->across, wide);
    size_t down = block_of(side.height, whole.height, b->down, high);
    tw_strip_window window = {0};
    tw_code code = tw_strip_busiest(arena, energy, wide, high, across + (across == 0),
                                    down + (down == 0), &window, error);
    *x = whole.x + tw_scale((int64_t)(2 * (left + window.x) + window.wide), whole.width,
                            (int64_t)(2 * b->across));
    *y = whole.y + tw_scale((int64_t)(2 * (top + window.y) + window.high), whole.height,
                            (int64_t)(2 * b->down));
    return code;
}

static tw_code look(const tw_allocator *allocator, const tw_print *print, tw_size side, tw_nm *x,
                    tw_nm *y, tw_error *error) {
    blocks b;
    tw_arena *scratch = tw_arena_new(allocator, 0);
    if (scratch == NULL)
        return tw_no_memory(error);
    tw_code code = see_blocks(scratch, print->image, &b, error);
    if (code == TW_OK) {
        differences(&b);
        code = busiest_of(scratch, &print->fit, &b, side, x, y, error);
    }
    tw_arena_free(scratch);
    return code;
}

tw_code tw_strip_detail(tw_arena *arena, const tw_print *print, tw_nm side, tw_rect *out,
                        tw_strip_by *by, tw_error *error) {
    const tw_rect whole = print->fit.whole, seen = print->fit.picture;
    const tw_template *format = print->format;
    tw_size size = {side < seen.width ? side : seen.width, side < seen.height ? side : seen.height};
    tw_nm x = whole.x + tw_scale(whole.width, format->focus_x, 1000000);
    tw_nm y = whole.y + tw_scale(whole.height, format->focus_y, 1000000);
    tw_code code = TW_OK;
    bool chosen = format->focus_x != 500000 || format->focus_y != 500000;
    *by = chosen ? TW_STRIP_FOCUS : TW_STRIP_DETAIL;
    if (!chosen)
        code = look(tw_arena_allocator(arena), print, size, &x, &y, error);
    *out = (tw_rect){kept_inside(x, size.width, seen.x, seen.width),
                     kept_inside(y, size.height, seen.y, seen.height), size.width, size.height};
    return code;
}
