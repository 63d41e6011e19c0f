/*
 * Makes the demo's printer profiles: make-profiles DIR writes them all, make-profiles DIR NAME
 * that one. No such printer and no such papers exist: the colours come from the model in
 * profiles/ink.h. satin.icc and matte.icc are what the demo's two papers use; the others (version
 * 4, grey, four inks) are for tests.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "icc/tags.h"
#include "profiles/tables.h"

enum { PROFILE_MOST = 4 << 20 };

static const ink_paper satin = {.name = "satin",
                                .white = {95.5, 0, -2},
                                .solid = {[INK_C] = {55, -36, -52},
                                          [INK_M] = {48, 76, -6},
                                          [INK_Y] = {89, -6, 96},
                                          [INK_M | INK_Y] = {48, 72, 58},
                                          [INK_C | INK_Y] = {50, -70, 34},
                                          [INK_C | INK_M] = {24, 24, -60},
                                          [INK_C | INK_M | INK_Y] = {4, 0, -0.5}},
                                .gain = 0.2,
                                .black_passes = 0.02};
static const ink_paper matte = {.name = "matte",
                                .white = {96.5, 0.5, 2},
                                .solid = {[INK_C] = {60, -30, -42},
                                          [INK_M] = {53, 62, -4},
                                          [INK_Y] = {87, -4, 78},
                                          [INK_M | INK_Y] = {52, 58, 40},
                                          [INK_C | INK_Y] = {54, -52, 28},
                                          [INK_C | INK_M] = {33, 16, -44},
                                          [INK_C | INK_M | INK_Y] = {17, 0.5, 1}},
                                .gain = 0.35,
                                .black_passes = 0.02};

typedef struct recipe {
    const char *file;
    const ink_paper *paper;
    size_t inks; /* 3: driven by RGB */
    uint32_t version;
    const char *about;
} recipe;

static const recipe recipes[] = {
    {"satin.icc", &satin, 3, ICC_VERSION_2, "Invented printer, invented satin paper"},
    {"matte.icc", &matte, 3, ICC_VERSION_2, "Invented printer, invented matte paper"},
    {"satin-v4.icc", &satin, 3, ICC_VERSION_4, "Invented printer, invented satin paper, v4"},
    {"grey.icc", &matte, 1, ICC_VERSION_2, "Invented printer, black ink, invented matte paper"},
    {"cmyk.icc", &satin, 4, ICC_VERSION_2, "Invented printer, four inks, invented satin paper"},
};
enum { RECIPES = sizeof recipes / sizeof recipes[0] };

static void add_grey(const ink_model *model, icc_writer *w) {
    unsigned char *data = icc_add(w, "kTRC", "curv", 12 + 2 * 256);
    icc_put(data + 8, 256, 4);
    for (size_t i = 0; i < 256; i++) {
        double ink = 1 - (double)i / 255, lab[3], xyz[3];
        ink_colour(model, &ink, lab);
        lab_to_xyz(lab, xyz);
        icc_put(data + 12 + 2 * i, (uint32_t)(xyz[1] * 65535 + 0.5), 2);
    }
}

static size_t build(const recipe *r, table_maker *maker, unsigned char *bytes) {
    icc_writer w = {.bytes = bytes};
    ink_model model;
    ink_prepare(r->paper, r->inks, &model);
    icc_start(&w, r->version, "prtr",
              r->inks == 1   ? "GRAY"
              : r->inks == 3 ? "RGB "
                             : "CMYK",
              r->inks == 1 ? "XYZ " : "Lab ", 10);
    icc_add_words(&w, r->about, "Invented for the Trimwell demo; no rights reserved");
    icc_add_xyz(&w, "wtpt", model.white);
    if (r->inks == 1) {
        add_grey(&model, &w);
        return icc_end(&w);
    }
    tables_prepare(&model, r->version, maker);
    tables_add(maker, &w);
    return icc_end(&w);
}

static int store(const char *folder, const char *name, const unsigned char *bytes, size_t length) {
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "wb");
    if (file == NULL || fwrite(bytes, 1, length, file) != length) {
        perror(path);
        if (file != NULL)
            fclose(file);
        return 1;
    }
    return fclose(file) == 0 ? 0 : 1;
}

int main(int count, char **words) {
    unsigned char *bytes = malloc(PROFILE_MOST);
    table_maker *maker = malloc(sizeof *maker);
    int bad = count == 2 || count == 3 ? 0 : 2, made = 0;
    if (bad != 0)
        fprintf(stderr, "usage: make-profiles DIR [NAME]\n");
    else if (bytes == NULL || maker == NULL)
        bad = 1;
    for (size_t i = 0; i < RECIPES && bad == 0; i++) {
        if (count == 3 && strcmp(recipes[i].file, words[2]) != 0)
            continue;
        memset(bytes, 0, PROFILE_MOST);
        bad = store(words[1], recipes[i].file, bytes, build(&recipes[i], maker, bytes));
        made++;
    }
    if (bad == 0 && made == 0) {
        fprintf(stderr, "make-profiles: no profile is called %s\n", words[2]);
        bad = 2;
    }
    free(maker);
    free(bytes);
    return bad;
}
