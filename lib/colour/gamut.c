/* Wanted and printed colours (gamut.h). L*a*b* to XYZ and back after CIE 15; white is D50.
 */
#include "colour/gamut.h"

#include <math.h>
#include <string.h>

enum { AT_ONCE = 512 };

struct tw_gamut {
    const tw_allocator *allocator;
    tw_colour *to_lab, *to_paper, *back;
    bool scales;
    double factor, addend; /* of Y / Yn, and alike of X / Xn and Z / Zn: blacks are neutral */
};

static double from_root(double t) {
    return t > 6.0 / 29 ? t * t * t : 3 * (6.0 / 29) * (6.0 / 29) * (t - 4.0 / 29);
}

static double to_root(double x) {
    return x > (6.0 / 29) * (6.0 / 29) * (6.0 / 29) ? cbrt(x)
                                                    : x / (3 * (6.0 / 29) * (6.0 / 29)) + 4.0 / 29;
}

/* Black point compensation: a straight line in XYZ that keeps white and brings black to black. */
static tw_lab scale(const tw_gamut *gamut, tw_lab lab) {
    double fy = (lab.l + 16) / 116;
    double x = gamut->factor * from_root(fy + lab.a / 500) + gamut->addend;
    double y = gamut->factor * from_root(fy) + gamut->addend;
    double z = gamut->factor * from_root(fy - lab.b / 200) + gamut->addend;
    fy = to_root(y);
    return (tw_lab){116 * fy - 16, 500 * (to_root(x) - fy), 200 * (fy - to_root(z))};
}

static double light_of(double l) {
    return from_root(((l < 0 ? 0 : l) + 16) / 116);
}

/* The darkest the image's space and the paper have, both against their white. */
static tw_code find_blacks(tw_gamut *gamut, const tw_gamut_way *way, tw_error *error) {
    const tw_colour_way round = {{NULL, 0}, way->source, TW_RELATIVE, false, 0};
    const tw_colour_way there = {{NULL, 0}, way->paper, TW_RELATIVE, false, 0};
    const tw_colour_way dark = {way->source, {NULL, 0}, TW_RELATIVE, false, 0};
    const tw_lab black = {0, 0, 0};
    tw_colour *to_source = NULL, *to_paper = NULL, *from_source = NULL;
    uint16_t samples[4];
    tw_lab image = {0, 0, 0}, paper = {0, 0, 0};
    tw_code code = tw_colour_open(gamut->allocator, &there, &to_paper, error);
    if (code == TW_OK)
        code = tw_colour_open(gamut->allocator, &dark, &from_source, error);
    /* a camera's or scanner's profile may have no way back: its black is then taken for black */
    if (code == TW_OK && tw_colour_open(gamut->allocator, &round, &to_source, NULL) == TW_OK) {
        tw_colour_run(to_source, &black, samples, 1);
        tw_colour_run(from_source, samples, &image, 1);
    }
    if (code == TW_OK) {
        tw_colour_run(to_paper, &black, samples, 1);
        tw_colour_run(gamut->back, samples, &paper, 1);
        double in = light_of(image.l), out = light_of(paper.l);
        gamut->factor = (1 - out) / (1 - in);
        gamut->addend = (out - in) / (1 - in);
    }
    tw_colour_close(to_paper);
    tw_colour_close(from_source);
    tw_colour_close(to_source);
    return code;
}

static tw_code open_all(tw_gamut *gamut, const tw_gamut_way *way, tw_error *error) {
    const tw_colour_way to_lab = {way->source, {NULL, 0}, TW_RELATIVE, false, way->bits};
    const tw_colour_way to_paper = {way->source, way->paper, way->intent, way->black_point,
                                    way->bits};
    const tw_colour_way back = {way->paper, {NULL, 0}, TW_RELATIVE, false, 0};
    tw_code code = tw_colour_open(gamut->allocator, &to_lab, &gamut->to_lab, error);
    if (code == TW_OK)
        code = tw_colour_open(gamut->allocator, &to_paper, &gamut->to_paper, error);
    if (code == TW_OK)
        code = tw_colour_open(gamut->allocator, &back, &gamut->back, error);
    if (code == TW_OK && gamut->scales)
        code = find_blacks(gamut, way, error);
    return code;
}

tw_code tw_gamut_open(const tw_allocator *allocator, const tw_gamut_way *way, tw_gamut **out,
                      tw_error *error) {
    tw_gamut *gamut = tw_block_new(allocator, sizeof *gamut);
    *out = NULL;
    if (gamut == NULL)
        return tw_no_memory(error);
    gamut->allocator = allocator;
    gamut->scales = way->black_point;
    tw_code code = open_all(gamut, way, error);
    if (code == TW_OK)
        *out = gamut;
    else
        tw_gamut_close(gamut);
    return code;
}

void tw_gamut_close(tw_gamut *gamut) {
    if (gamut == NULL)
        return;
    tw_colour_close(gamut->to_lab);
    tw_colour_close(gamut->to_paper);
    tw_colour_close(gamut->back);
    tw_block_free(gamut->allocator, gamut);
}

void tw_gamut_run(const tw_gamut *gamut, const void *pixels, size_t count, tw_lab *wanted,
                  tw_lab *printed) {
    uint16_t samples[4 * AT_ONCE];
    const unsigned char *from = pixels;
    size_t pixel = tw_colour_pixel_bytes(gamut->to_paper);
    for (size_t done = 0, now; done < count; done += now) {
        now = count - done < AT_ONCE ? count - done : AT_ONCE;
        tw_colour_run(gamut->to_lab, from + done * pixel, wanted + done, now);
        tw_colour_run(gamut->to_paper, from + done * pixel, samples, now);
        tw_colour_run(gamut->back, samples, printed + done, now);
    }
    for (size_t i = 0; i < count && gamut->scales; i++)
        wanted[i] = scale(gamut, wanted[i]);
}

/* ------------------------------------------------ those kept open */

static bool same_icc(tw_icc a, tw_icc b) {
    return a.length == b.length &&
           (a.bytes == b.bytes || (a.length > 0 && memcmp(a.bytes, b.bytes, a.length) == 0));
}

static bool same_way(const tw_gamut_way *a, const tw_gamut_way *b) {
    return a->intent == b->intent && a->black_point == b->black_point && a->bits == b->bits &&
           same_icc(a->source, b->source) && same_icc(a->paper, b->paper);
}

/* Where it is kept; else what was not asked for for longest. */
static size_t place_of(const tw_gamuts *gamuts, const tw_gamut_way *way) {
    size_t oldest = 0;
    for (size_t i = 0; i < TW_GAMUTS; i++) {
        if (gamuts->kept[i].gamut != NULL && same_way(&gamuts->kept[i].way, way))
            return i;
        if (gamuts->kept[i].used < gamuts->kept[oldest].used)
            oldest = i;
    }
    return oldest;
}

tw_code tw_gamuts_get(tw_gamuts *gamuts, const tw_gamut_way *way, tw_gamut **out, tw_error *error) {
    size_t at = place_of(gamuts, way);
    tw_gamut **own = &gamuts->kept[at].gamut;
    tw_code code = TW_OK;
    if (*own == NULL || !same_way(&gamuts->kept[at].way, way)) {
        tw_gamut_close(*own);
        code = tw_gamut_open(gamuts->allocator, way, own, error);
    }
    gamuts->kept[at].way = *way;
    gamuts->kept[at].used = ++gamuts->asked;
    *out = *own;
    return code;
}

void tw_gamuts_close(tw_gamuts *gamuts) {
    for (size_t i = 0; i < TW_GAMUTS; i++)
        tw_gamut_close(gamuts->kept[i].gamut);
    *gamuts = (tw_gamuts){.allocator = gamuts->allocator};
}
