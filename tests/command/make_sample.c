/*
 * An image file for the command tests that shells cannot write: make_sample KIND PATH, 60 x 60
 * pixels; make_sample KIND PATH PROFILE for "rgb.jpg" and "cmyk.jpg", which carry that file's bytes
 * as their profile.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "make_image.h"

static const struct {
    const char *kind;
    int compression, tile;
    uint32_t strip;
} tiffs[] = {{"deflated.tif", 8, 0, 10},
             {"tiles.tif", 8, 32, 0},
             {"lzw.tif", 5, 0, 10},
             {"jpeg.tif", 7, 0, 16}};

static int profiled(const char *kind, const char *path, const char *profile) {
    made_jpeg jpeg = {.width = 60, .height = 60, .lossless_like = true};
    jpeg.components = strcmp(kind, "cmyk.jpg") == 0 ? 4 : 3;
    unsigned char *bytes = read_file(profile, &jpeg.profile_length);
    jpeg.profile = bytes;
    jpeg.profile_parts = (unsigned)(jpeg.profile_length / 60000 + 1);
    make_jpeg(path, &jpeg);
    free(bytes);
    return 0;
}

int main(int count, char **words) {
    if (count == 4)
        return profiled(words[1], words[2], words[3]);
    made_png png = {.width = 60, .height = 60, .type = 2, .depth = 8, .data_size = 200};
    made_jpeg jpeg = {.width = 60, .height = 60, .components = 3, .lossless_like = true};
    const char *kind = count == 3 ? words[1] : "";
    png.interlaced = strcmp(kind, "interlaced.png") == 0;
    jpeg.progressive = strcmp(kind, "progressive.jpg") == 0;
    if (strcmp(kind, "plain.png") == 0 || png.interlaced) {
        make_png(words[2], &png);
        return 0;
    }
    if (strcmp(kind, "baseline.jpg") == 0 || jpeg.progressive) {
        make_jpeg(words[2], &jpeg);
        return 0;
    }
    for (size_t i = 0; i < sizeof tiffs / sizeof *tiffs; i++)
        if (strcmp(kind, tiffs[i].kind) == 0) {
            made_tiff tiff = {.width = 60, .height = 60, .photometric = 2, .depth = 8};
            tiff.compression = tiffs[i].compression;
            tiff.tile = tiffs[i].tile;
            tiff.strip = tiffs[i].strip;
            make_tiff(words[2], &tiff);
            return 0;
        }
    fprintf(stderr, "make_sample: no such kind: %s\n", kind);
    return 1;
}
