/*
 * Pipelines computed here against lcms2's own computation of them: within 16 of 65 535 steps (it
 * rounds to 16 bits between its steps, where a grid may be steep) for 20 000 colours, of 8 and of
 * 16 bits, greys and the ends among them. And that the profiles photographers meet take this way.
 */
#include "testing.h"

#include "colour/lcms.h"

#include <math.h>

enum { COLOURS = 20000, STEPS = 16 };

#define MADE TRIMWELL_BUILD "/profiles/"
#define SYSTEM "/usr/share/color/icc/"

static const struct {
    const char *from, *to;
    bool fast;
} pairs[] = {
    {SYSTEM "sRGB.icc", MADE "satin.icc", true},
    {SYSTEM "compatibleWithAdobeRGB1998.icc", MADE "satin-v4.icc", true},
    {SYSTEM "sRGB.icc", MADE "cmyk.icc", true},
    {SYSTEM "sRGB.icc", MADE "grey.icc", true},
    {SYSTEM "Gray.icc", MADE "matte.icc", true},
    {MADE "matte.icc", MADE "satin.icc", true},
    {MADE "cmyk.icc", MADE "satin-v4.icc", false},
    {SYSTEM "sRGB.icc", SYSTEM "ghostscript/default_cmyk.icc", true},
};

static tw_icc read_profile(const char *path) {
    FILE *file = fopen(path, "rb");
    if (file == NULL)
        fail_msg("%s is not there", path);
    unsigned char *bytes = malloc(4 << 20);
    assert_non_null(bytes);
    size_t length = fread(bytes, 1, 4 << 20, file);
    fclose(file);
    return (tw_icc){bytes, length};
}

static uint16_t colours[COLOURS * 4], here[COLOURS * 4], there[COLOURS * 4];

static void make_colours(void) {
    uint32_t chance = 20270306;
    for (int i = 0; i < COLOURS * 4; i++) {
        chance = chance * 1664525 + 1013904223;
        colours[i] = (uint16_t)(i < 400 ? (uint32_t)i / 4 * 65535 / 99 : chance >> 16);
    }
}

/* As colour.c sets lcms2 up when it computes itself. */
static void run_lcms2(tw_icc from, tw_icc to, cmsUInt32Number intent, int bits, const void *in) {
    cmsHPROFILE a = cmsOpenProfileFromMem(from.bytes, (cmsUInt32Number)from.length);
    cmsHPROFILE b = cmsOpenProfileFromMem(to.bytes, (cmsUInt32Number)to.length);
    cmsUInt32Number out = cmsFormatterForColorspaceOfProfile(b, 2, FALSE);
    cmsHTRANSFORM t = cmsCreateTransform(
        a, cmsFormatterForColorspaceOfProfile(a, bits == 8 ? 1 : 2, FALSE), b, out, intent,
        cmsFLAGS_NOCACHE | cmsFLAGS_NOOPTIMIZE | cmsFLAGS_BLACKPOINTCOMPENSATION);
    cmsDoTransform(t, in, there, COLOURS);
    cmsDeleteTransform(t);
    cmsCloseProfile(a);
    cmsCloseProfile(b);
}

static void compare(size_t pair, tw_icc from, tw_icc to, tw_intent intent, int bits) {
    static const cmsUInt32Number numbers[] = {
        [TW_PERCEPTUAL] = 0, [TW_RELATIVE] = 1, [TW_SATURATION] = 2};
    const tw_colour_way way = {from, to, intent, true, bits};
    tw_colour *colour = NULL;
    tw_error error = {0};
    assert_ok(tw_colour_open(NULL, &way, &colour, &error), error);
    assert_int_equal(tw_colour_fast(colour) != NULL, pairs[pair].fast);
    tw_colour_run(colour, colours, here, COLOURS);
    run_lcms2(from, to, numbers[intent], bits, colours);
    int most = 0;
    for (int i = 0; i < COLOURS * tw_colour_channels(colour); i++) {
        int off = abs((int)here[i] - (int)there[i]);
        most = off > most ? off : most;
    }
    if (most > STEPS)
        fail_msg("%s to %s, intent %d, %d bits: off by %d steps", pairs[pair].from, pairs[pair].to,
                 (int)intent, bits, most);
    tw_colour_close(colour);
}

/* The same pixels to CIE L*a*b*, by both. */
static void lab_is_the_same(void **state) {
    static tw_lab seen[COLOURS], wanted[COLOURS];
    static const char *const profiles[] = {SYSTEM "sRGB.icc", MADE "satin.icc", MADE "satin-v4.icc",
                                           MADE "grey.icc", SYSTEM "Gray.icc"};
    (void)state;
    make_colours();
    for (size_t p = 0; p < sizeof profiles / sizeof *profiles; p++) {
        tw_icc icc = read_profile(profiles[p]);
        const tw_colour_way way = {icc, {NULL, 0}, TW_RELATIVE, false, 0};
        tw_colour *colour = NULL;
        tw_error error = {0};
        assert_ok(tw_colour_open(NULL, &way, &colour, &error), error);
        assert_non_null(tw_colour_fast(colour));
        tw_colour_run(colour, colours, seen, COLOURS);
        cmsHPROFILE from = cmsOpenProfileFromMem(icc.bytes, (cmsUInt32Number)icc.length);
        cmsHPROFILE to = cmsCreateLab4Profile(NULL);
        cmsHTRANSFORM t =
            cmsCreateTransform(from, cmsFormatterForColorspaceOfProfile(from, 2, FALSE), to,
                               TYPE_Lab_DBL, 1, cmsFLAGS_NOCACHE | cmsFLAGS_NOOPTIMIZE);
        cmsDoTransform(t, colours, wanted, COLOURS);
        for (int i = 0; i < COLOURS; i++)
            if (fabs(seen[i].l - wanted[i].l) > 0.03 || fabs(seen[i].a - wanted[i].a) > 0.03 ||
                fabs(seen[i].b - wanted[i].b) > 0.03)
                fail_msg("%s, colour %d: %f %f %f, lcms2 %f %f %f", profiles[p], i, seen[i].l,
                         seen[i].a, seen[i].b, wanted[i].l, wanted[i].a, wanted[i].b);
        cmsDeleteTransform(t);
        cmsCloseProfile(from);
        cmsCloseProfile(to);
        tw_colour_close(colour);
        free((void *)icc.bytes);
    }
}

static void lcms2_computes_the_same(void **state) {
    (void)state;
    make_colours();
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        tw_icc from = read_profile(pairs[i].from), to = read_profile(pairs[i].to);
        for (int intent = TW_PERCEPTUAL; intent <= TW_SATURATION; intent++)
            for (int bits = 0; bits <= 8; bits += 8)
                compare(i, from, to, (tw_intent)intent, bits);
        free((void *)from.bytes);
        free((void *)to.bytes);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(lcms2_computes_the_same),
                                       cmocka_unit_test(lab_is_the_same)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
