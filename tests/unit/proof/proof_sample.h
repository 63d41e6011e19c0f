/* A small day to proof (three images of three kinds, five prints), and the pictures of it. */
#ifndef TW_PROOF_SAMPLE_H
#define TW_PROOF_SAMPLE_H

#include "testing.h"

#include "make_image.h"

#include <sys/stat.h>

#include "colour/srgb_profile.h"
#include "proof/views.h"

enum { PRINTS = 5, IMAGES = 3 };

typedef struct sample_day {
    tw_arena *arena;
    tw_buffer srgb;
    tw_image images[IMAGES];
    tw_print prints[PRINTS];
    tw_template format;
    tw_paper paper;
    tw_job_data job;
    tw_icc_facts facts;
    tw_proof_views *views; /* NULL: none are kept */
} sample_day;

static const size_t image_of[PRINTS] = {2, 0, 1, 0, 2};
/* The last sees the left half alone. */
static const tw_nm widths[PRINTS] = {TW_IN, TW_IN, TW_IN, TW_IN, TW_IN / 2};

static inline void read_images(sample_day *d) {
    const char *paths[IMAGES] = {scratch("a.tif"), scratch("b.png"), scratch("c.jpg")};
    const made_tiff tiff = {.width = 90, .height = 70, .photometric = 2, .depth = 16};
    const made_png png = {.width = 80, .height = 60, .type = 2, .depth = 8};
    const made_jpeg jpeg = {.width = 70, .height = 90, .components = 3};
    tw_error error = {0};
    make_tiff(paths[0], &tiff);
    make_png(paths[1], &png);
    make_jpeg(paths[2], &jpeg);
    for (size_t i = 0; i < IMAGES; i++) {
        assert_ok(tw_image_read(d->arena, paths[i], &d->images[i], &error), error);
        d->images[i].source = (unsigned char *)d->srgb.bytes;
        d->images[i].source_length = d->srgb.length;
    }
}

static inline void start(sample_day *d) {
    *d = (sample_day){.arena = tw_arena_new(NULL, 0)};
    tw_buffer_start(&d->srgb, NULL);
    tw_srgb_profile(&d->srgb);
    assert_false(d->srgb.failed);
    read_images(d);
    d->paper = (tw_paper){.name = "paper",
                          .icc = (unsigned char *)d->srgb.bytes,
                          .icc_length = d->srgb.length,
                          .converts = true};
    d->job = (tw_job_data){.papers = &d->paper, .paper_count = 1};
    d->facts.white.l = 95;
    for (size_t i = 0; i < PRINTS; i++) {
        tw_print *p = &d->prints[i];
        p->image_index = image_of[i];
        p->image = &d->images[image_of[i]];
        p->format = &d->format;
        p->intent = i == 1 ? TW_PERCEPTUAL : TW_RELATIVE;
        p->fit.whole = (tw_rect){0, 0, TW_IN, TW_IN};
        p->fit.picture = (tw_rect){0, 0, widths[i], TW_IN};
    }
}

static inline void end(sample_day *d) {
    tw_buffer_free(&d->srgb);
    tw_arena_free(d->arena);
}

typedef struct path {
    char text[400];
} path;

static inline path path_in(const char *folder, const char *name) {
    path p;
    snprintf(p.text, sizeof p.text, "%.300s/%s", folder, name);
    return p;
}

static inline path new_folder(const char *name) {
    path p = path_in(scratch(""), name);
    assert_int_equal(mkdir(p.text, 0777), 0);
    return p;
}

typedef struct picture_name {
    char text[40];
} picture_name;

static inline picture_name name_of(const char *what, int threads, size_t print) {
    picture_name n;
    snprintf(n.text, sizeof n.text, "%s-%d-%zu.png", what, threads, print % 100);
    return n;
}

/* Into the folder, named by threads and print. */
static inline tw_code proof(const tw_allocator *allocator, const sample_day *d, const char *folder,
                            int threads, const tw_run *run, tw_proof_line lines[PRINTS],
                            tw_error *error) {
    tw_files *files = NULL;
    tw_arena *arena = tw_arena_new(allocator, 0);
    if (arena == NULL)
        return TW_MEMORY;
    tw_code code = tw_files_start(allocator, folder, &files, error);
    for (size_t i = 0; i < PRINTS && code == TW_OK; i++) {
        lines[i] = (tw_proof_line){
            .print = &d->prints[i],
            .file = tw_arena_string(arena, name_of("proof", threads, i).text),
            .map = tw_arena_string(arena, name_of("gamut", threads, i).text),
        };
        code = lines[i].file == NULL || lines[i].map == NULL ? TW_MEMORY : TW_OK;
    }
    const tw_proof_day day = {&d->job, &d->facts, true, run, files, threads, d->views};
    if (code == TW_OK)
        code = tw_proof_pictures(arena, &day, lines, PRINTS, error);
    if (code == TW_OK)
        code = tw_files_commit(files, error);
    tw_files_abandon(files);
    tw_arena_free(arena);
    return code;
}

static inline unsigned char *read_one(const char *folder, picture_name n, size_t *length) {
    path file = path_in(folder, n.text);
    return read_file(file.text, length);
}

static inline bool same_files(const char *folder, picture_name a, picture_name b) {
    size_t one = 0, other = 0;
    unsigned char *x = read_one(folder, a, &one), *y = read_one(folder, b, &other);
    bool same = one == other && memcmp(x, y, one) == 0;
    free(x);
    free(y);
    return same;
}

#endif
