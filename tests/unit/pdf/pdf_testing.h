/*
 * For the PDF tests: pages made and written in a few words, and other people's tools asked what
 * is in the file. A tool that is not installed makes its checks "skipped", said aloud.
 */
#ifndef TW_PDF_TESTING_H
#define TW_PDF_TESTING_H

#include "make_image.h"
#include "pdf/pdf.h"
#include "testing.h"

/* The output of a shell command, NUL ended, and its length (may be NULL). Free it. NULL when the
 * command failed. */
static inline char *output_of(const char *command, size_t *length) {
    FILE *pipe = popen(command, "r");
    size_t used = 0, room = 1 << 16, got = 1;
    char *text = malloc(room + 1);
    assert_non_null(pipe);
    while (got > 0) {
        if (used == room)
            text = realloc(text, (room *= 2) + 1);
        assert_non_null(text);
        got = fread(text + used, 1, room - used, pipe);
        used += got;
    }
    text[used] = '\0';
    if (length != NULL)
        *length = used;
    if (pclose(pipe) == 0)
        return text;
    free(text);
    return NULL;
}

/* `format` with the path in it, run; see output_of. */
static inline char *ask(const char *format, const char *path, size_t *length) {
    char command[600];
    snprintf(command, sizeof command, format, path);
    return output_of(command, length);
}

static inline bool has_tool(const char *name) {
    char *found = ask("command -v %s", name, NULL);
    bool has = found != NULL;
    free(found);
    if (!has)
        printf("skipped: %s is not installed\n", name);
    return has;
}

/* A run of the writer: start one, draw on page, write it. */
typedef struct paperwork {
    test_memory memory;
    tw_allocator allocator;
    tw_arena *arena;
    tw_page page;
    tw_pdf_facts facts;
    tw_report report;
    tw_error error;
} paperwork;

static inline void paper_start(paperwork *p, tw_nm width, tw_nm height) {
    memset(p, 0, sizeof *p);
    p->allocator = test_allocator(&p->memory);
    p->arena = tw_arena_new(&p->allocator, 0);
    assert_non_null(p->arena);
    tw_report_start(&p->report, p->arena);
    p->page.size = (tw_size){width, height};
    p->facts = (tw_pdf_facts){.title = "A test", .identity = "test"};
}

static inline tw_code paper_try(paperwork *p, const char *path) {
    tw_pdf *pdf = NULL;
    tw_code code = tw_pdf_start(&p->allocator, &p->facts, path, &pdf, &p->error);
    if (code == TW_OK)
        code = tw_pdf_page(pdf, &p->page, &p->error);
    if (code == TW_OK)
        code = tw_pdf_finish(pdf, &p->report, &p->error);
    tw_pdf_free(pdf);
    return code;
}

static inline void paper_write(paperwork *p, const char *path) {
    assert_ok(paper_try(p, path), p->error);
}

static inline void paper_end(paperwork *p) {
    tw_arena_free(p->arena);
    assert_no_leak(p->memory);
}

/* The facts of an image file. */
static inline tw_image image_facts(paperwork *p, const char *path) {
    tw_image image;
    memset(&image, 0, sizeof image);
    assert_ok(tw_image_read(p->arena, path, &image, &p->error), p->error);
    image.name = path;
    return image;
}

/* The numbers that stand before `operator` on a line of a content stream that holds `mark`. */
static inline size_t numbers_before(const char *content, const char *mark, const char *operator,
                                    double * out, size_t most) {
    const char *line = strstr(content, mark), *end, *at;
    char word[32];
    size_t count = 0;
    assert_non_null(line);
    while (line > content && line[-1] != '\n')
        line--;
    snprintf(word, sizeof word, " %s ", operator);
    end = strstr(line, word);
    assert_non_null(end);
    for (at = end; at > line && strchr("0123456789.- ", at[-1]) != NULL;)
        at--;
    while (at < end && count < most) {
        char *next;
        out[count++] = strtod(at, &next);
        at = next;
    }
    return count;
}

#endif
