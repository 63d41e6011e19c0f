/*
 * Pixels converted here against transicc (Debian's liblcms2-utils), which computes in floating
 * point from files of its own: 10 000 colours for each pair of profiles, each intent, with and
 * without black point compensation, must be the same within 1 step of 255 and 16 of 65 535.
 */
#include "testing.h"

#include "colour/colour.h"

#include <math.h>
#include <sys/wait.h>

enum { COLOURS = 10000, TEXT = 600 };

typedef struct ends {
    const char *from, *to;
    int in, out; /* channels */
} ends;

#define MADE TRIMWELL_BUILD "/profiles/"
#define SYSTEM "/usr/share/color/icc/"

/* Versions 2 and 4; matrices and tables; grey, RGB and CMYK both ways. */
static const ends pairs[] = {{SYSTEM "sRGB.icc", MADE "satin.icc", 3, 3},
                             {SYSTEM "compatibleWithAdobeRGB1998.icc", MADE "satin-v4.icc", 3, 3},
                             {SYSTEM "sRGB.icc", MADE "cmyk.icc", 3, 4},
                             {SYSTEM "sRGB.icc", MADE "grey.icc", 3, 1},
                             {SYSTEM "Gray.icc", MADE "matte.icc", 1, 3},
                             {MADE "cmyk.icc", MADE "satin-v4.icc", 4, 3},
                             {SYSTEM "sRGB.icc", SYSTEM "ghostscript/default_cmyk.icc", 3, 4},
                             {SYSTEM "sRGB.icc", SYSTEM "compatibleWithAdobeRGB1998.icc", 3, 3}};

static uint16_t colours[COLOURS][4];
static double said[COLOURS][4];

/* Even ones are whole steps of 8 bits. */
static void make_colours(void) {
    uint32_t chance = 20270306;
    for (int i = 0; i < COLOURS; i++)
        for (int c = 0; c < 4; c++) {
            chance = chance * 1664525 + 1013904223;
            colours[i][c] = (uint16_t)(i % 2 == 0 ? (chance >> 24) * 257 : chance >> 16);
        }
}

static double scale_of(int channels) {
    return channels == 4 ? 100 : 255; /* transicc has CMYK in percent */
}

static void ask(const ends *pair, const char *folder, int intent, bool black_point) {
    char command[2 * TEXT], path[64];
    snprintf(path, sizeof path, "%s/colours", folder);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    for (int i = 0; i < COLOURS; i++)
        for (int c = 0; c < pair->in; c++)
            fprintf(file, "%.8f%c", colours[i][c] / 65535.0 * scale_of(pair->in),
                    c + 1 == pair->in ? '\n' : ' ');
    fclose(file);
    snprintf(command, sizeof command, "transicc -n -t%d %s -i '%s' -o '%s' <'%s' 2>/dev/null",
             intent, black_point ? "-b" : "", pair->from, pair->to, path);
    FILE *answer = popen(command, "r");
    assert_non_null(answer);
    for (int i = 0; i < COLOURS; i++)
        for (int c = 0; c < pair->out; c++)
            if (fscanf(answer, "%lf", &said[i][c]) != 1)
                fail_msg("transicc did not answer colour %d: %s", i, command);
    pclose(answer);
}

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

static void compare(const ends *pair, const tw_colour *colour, const char *what) {
    for (int i = 0; i < COLOURS; i++) {
        uint16_t wide[4];
        unsigned char byte[4];
        tw_colour_run(colour, colours[i], wide, 1);
        tw_dither_row(wide, byte, 1, pair->out, (uint32_t)i, (uint32_t)i / 7);
        for (int c = 0; c < pair->out; c++) {
            double exact = said[i][c] / scale_of(pair->out);
            if (fabs(wide[c] - exact * 65535) > 16 || fabs(byte[c] - floor(exact * 255 + 0.5)) > 1)
                fail_msg("%s: colour %d channel %d: %u and %u, transicc %.4f", what, i, c, wide[c],
                         byte[c], exact * 255);
        }
    }
}

static void one_pair(const ends *pair, const char *folder) {
    static const tw_intent intents[] = {TW_PERCEPTUAL, TW_RELATIVE, TW_SATURATION, TW_ABSOLUTE};
    tw_icc from = read_profile(pair->from), to = read_profile(pair->to);
    for (int n = 0; n < 7; n++) { /* each intent with and without; absolute has nothing to scale */
        char what[TEXT];
        tw_error error = {0};
        tw_colour *colour = NULL;
        const tw_colour_way way = {from, to, intents[n / 2], n % 2 == 1, 0};
        snprintf(what, sizeof what, "%s to %s, intent %d%s", pair->from, pair->to, n / 2,
                 way.black_point ? ", black point" : "");
        ask(pair, folder, n / 2, way.black_point);
        assert_ok(tw_colour_open(NULL, &way, &colour, &error), error);
        assert_int_equal(tw_colour_channels(colour), pair->out);
        compare(pair, colour, what);
        tw_colour_close(colour);
    }
    free((void *)(uintptr_t)from.bytes);
    free((void *)(uintptr_t)to.bytes);
}

static void transicc_says_the_same(void **state) {
    (void)state;
    char folder[] = "/tmp/transicc.XXXXXX", path[64];
    if (system("command -v transicc >/dev/null") != 0)
        skip();
    assert_non_null(mkdtemp(folder));
    make_colours();
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++)
        one_pair(&pairs[i], folder);
    snprintf(path, sizeof path, "%s/colours", folder);
    remove(path);
    remove(folder);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(transicc_says_the_same)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
