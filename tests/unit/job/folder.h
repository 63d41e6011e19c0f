/*
 * A folder for one test: files are written into it, a job in it is loaded with a counting
 * allocator, and the messages are looked through. Everything goes when it is closed.
 */
#ifndef TW_TEST_FOLDER_H
#define TW_TEST_FOLDER_H

#define _XOPEN_SOURCE 700 /* nftw; so this header comes first */

#include "testing.h"

#include <ftw.h>
#include <sys/stat.h>
#include <unistd.h>

#include "job/job.h"
#include "make_image.h"

typedef struct folder {
    char path[64];
    test_memory memory;
    tw_allocator allocator;
    tw_arena *arena;
    tw_report report;
    tw_job_data *job;
    tw_error error;
} folder;

static inline void folder_open(folder *f) {
    memset(f, 0, sizeof *f);
    strcpy(f->path, "/tmp/trimwell-test-XXXXXX");
    assert_non_null(mkdtemp(f->path));
    f->allocator = test_allocator(&f->memory);
    f->arena = tw_arena_new(&f->allocator, 0);
    assert_non_null(f->arena);
    tw_report_start(&f->report, f->arena);
}

static inline const char *folder_at(const folder *f, const char *name) {
    static char paths[4][1200];
    static int next;
    char *path = paths[next++ % 4];
    snprintf(path, sizeof paths[0], "%s/%s", f->path, name);
    return path;
}

static inline void folder_put(const folder *f, const char *name, const char *text, size_t length) {
    FILE *file = fopen(folder_at(f, name), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(text, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

static inline void folder_write(const folder *f, const char *name, const char *text) {
    folder_put(f, name, text, strlen(text));
}

/* A valid profile of a printer. */
static inline void folder_profile(const folder *f, const char *name) {
    size_t length = 0;
    unsigned char *icc = make_icc("prtr", "RGB ", 2, "Satin here", &length);
    write_file(folder_at(f, name), icc, length);
    free(icc);
}

/* JSON with single quotes for double ones: readable in C. */
static inline void folder_json(const folder *f, const char *name, const char *text) {
    size_t length = strlen(text);
    char *copy = malloc(length + 1);
    assert_non_null(copy);
    for (size_t i = 0; i <= length; i++)
        copy[i] = (char)(text[i] == '\'' ? '"' : text[i]);
    folder_write(f, name, copy);
    free(copy);
}

static inline int folder_drop(const char *path, const struct stat *facts, int kind,
                              struct FTW *where) {
    (void)facts, (void)kind, (void)where;
    return remove(path);
}

/* A fresh arena and report for another load in the same folder. */
static inline void folder_again(folder *f) {
    tw_arena_free(f->arena);
    assert_no_leak(f->memory);
    f->arena = tw_arena_new(&f->allocator, 0);
    assert_non_null(f->arena);
    tw_report_start(&f->report, f->arena);
}

static inline void folder_close(folder *f) {
    tw_arena_free(f->arena);
    assert_no_leak(f->memory);
    nftw(f->path, folder_drop, 16, FTW_DEPTH | FTW_PHYS);
}

static inline tw_code folder_load(folder *f) {
    memset(&f->error, 0, sizeof f->error);
    return tw_job_load(f->arena, folder_at(f, "job.json"), &f->report, &f->job, &f->error);
}

static inline const tw_error *find_message(const tw_messages *list, const char *words) {
    for (size_t i = 0; i < list->count; i++) {
        char line[1400];
        tw_error_text(&list->items[i], line, sizeof line);
        if (strstr(line, words) != NULL)
            return &list->items[i];
    }
    return NULL;
}

static inline void print_messages(const tw_messages *list) {
    for (size_t i = 0; i < list->count; i++) {
        char line[1400];
        tw_error_text(&list->items[i], line, sizeof line);
        print_message("  [%s] %s\n", list->items[i].name, line);
    }
}

#define assert_error(f, words)                                                                     \
    do {                                                                                           \
        if (find_message(&(f)->report.errors, words) == NULL) {                                    \
            print_messages(&(f)->report.errors);                                                   \
            fail_msg("no error says \"%s\"", words);                                               \
        }                                                                                          \
    } while (0)
#define assert_warning(f, words)                                                                   \
    do {                                                                                           \
        if (find_message(&(f)->report.warnings, words) == NULL) {                                  \
            print_messages(&(f)->report.warnings);                                                 \
            fail_msg("no warning says \"%s\"", words);                                             \
        }                                                                                          \
    } while (0)
#define assert_clean(f)                                                                            \
    do {                                                                                           \
        if ((f)->report.errors.count + (f)->report.warnings.count > 0) {                           \
            print_messages(&(f)->report.errors);                                                   \
            print_messages(&(f)->report.warnings);                                                 \
            fail_msg("%zu errors and %zu warnings", (f)->report.errors.count,                      \
                     (f)->report.warnings.count);                                                  \
        }                                                                                          \
    } while (0)

/* One thing wrong, and what must be said of it. */
typedef struct bad_case {
    const char *text, *says;
} bad_case;

#endif
