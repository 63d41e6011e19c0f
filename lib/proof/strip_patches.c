/*
 * The neutral wedge and the patch row: their sRGB values, their picture, and what the paper's
 * profile says a meter will see of them.
 */
#include "proof/strip.h"

#include "colour/srgb_profile.h"
#include "image/png_write.h"

#include <string.h>

/* Neutral sRGB codes nearest to L* 0 to 100 in tens (CIE 15; IEC 61966-2-1). */
static const tw_strip_patch wedge[] = {
    {.name = "L0", .srgb = {0, 0, 0}},        {.name = "L10", .srgb = {27, 27, 27}},
    {.name = "L20", .srgb = {48, 48, 48}},    {.name = "L30", .srgb = {71, 71, 71}},
    {.name = "L40", .srgb = {94, 94, 94}},    {.name = "L50", .srgb = {119, 119, 119}},
    {.name = "L60", .srgb = {145, 145, 145}}, {.name = "L70", .srgb = {171, 171, 171}},
    {.name = "L80", .srgb = {198, 198, 198}}, {.name = "L90", .srgb = {226, 226, 226}},
    {.name = "L100", .srgb = {255, 255, 255}}};

/* The hues in turn, two skins, leaves and sky: our choice, all well inside usual papers. */
static const tw_strip_patch hues[] = {
    {.name = "red", .srgb = {190, 50, 50}},     {.name = "orange", .srgb = {220, 130, 60}},
    {.name = "yellow", .srgb = {225, 200, 75}}, {.name = "green", .srgb = {75, 145, 80}},
    {.name = "cyan", .srgb = {70, 155, 175}},   {.name = "blue", .srgb = {60, 80, 150}},
    {.name = "violet", .srgb = {115, 70, 135}}, {.name = "skin-1", .srgb = {224, 182, 155}},
    {.name = "skin-2", .srgb = {120, 80, 62}},  {.name = "leaves", .srgb = {92, 110, 62}},
    {.name = "sky", .srgb = {125, 165, 205}}};

enum { WEDGE = sizeof wedge / sizeof wedge[0], HUES = sizeof hues / sizeof hues[0] };

static tw_code see_on_paper(const tw_allocator *allocator, const tw_colour_way *there,
                            const tw_colour_way *seen, tw_strip_chart *chart, tw_error *error) {
    tw_colour *to = NULL, *back = NULL;
    tw_code code = tw_colour_open(allocator, there, &to, error);
    if (code == TW_OK)
        code = tw_colour_open(allocator, seen, &back, error);
    for (size_t i = 0; i < chart->count && code == TW_OK; i++) {
        uint16_t ink[4] = {0};
        tw_colour_run(to, chart->patches[i].srgb, ink, 1);
        tw_colour_run(back, ink, &chart->patches[i].intended, 1);
    }
    tw_colour_close(to);
    tw_colour_close(back);
    return code;
}

/* As the day's images go, then what the profile says of the paper itself, its white included. */
static tw_code see(const tw_allocator *allocator, const tw_job_data *job, const tw_paper *paper,
                   tw_strip_chart *chart, tw_error *error) {
    tw_buffer srgb;
    tw_buffer_start(&srgb, allocator);
    tw_srgb_profile(&srgb);
    const tw_icc icc = {paper->icc, paper->icc_length};
    const tw_colour_way there = {.from = {(const unsigned char *)srgb.bytes, srgb.length},
                                 .to = icc,
                                 .intent = TW_RELATIVE,
                                 .black_point = job->black_point,
                                 .bits_in = 8};
    const tw_colour_way seen = {.from = icc, .intent = TW_ABSOLUTE, .bits_in = 0};
    tw_code code =
        srgb.failed ? tw_no_memory(error) : see_on_paper(allocator, &there, &seen, chart, error);
    tw_buffer_free(&srgb);
    return code;
}

tw_code tw_strip_chart_make(tw_arena *arena, const tw_job_data *job, const tw_paper *paper,
                            const tw_strip_wish *wish, tw_strip_chart *out, tw_error *error) {
    *out = (tw_strip_chart){.wedge = wish->wedge ? WEDGE : 0, .known = paper->converts};
    out->count = out->wedge + (wish->patches ? HUES : 0);
    out->patches = tw_arena_array(arena, out->count, sizeof *out->patches);
    if (out->patches == NULL)
        return tw_no_memory(error);
    if (wish->wedge)
        memcpy(out->patches, wedge, sizeof wedge);
    if (wish->patches)
        memcpy(out->patches + out->wedge, hues, sizeof hues);
    if (out->count == 0 || !out->known)
        return TW_OK;
    return see(tw_arena_allocator(arena), job, paper, out, error);
}

void tw_strip_chart_png(const tw_strip_chart *chart, tw_buffer *out) {
    size_t width = chart->count * TW_STRIP_PATCH_PIXELS, pixels = width * TW_STRIP_PATCH_PIXELS;
    unsigned char *rgb = tw_block_new(out->allocator, pixels * 3);
    if (rgb == NULL) {
        out->failed = true;
        return;
    }
    for (size_t i = 0; i < pixels; i++)
        memcpy(rgb + 3 * i, chart->patches[i % width / TW_STRIP_PATCH_PIXELS].srgb, 3);
    tw_png_write(rgb, (uint32_t)width, TW_STRIP_PATCH_PIXELS, out);
    tw_block_free(out->allocator, rgb);
}
