/*
 * Order lines written twice: the same order, image, template, paper and title. Two copies are
 * one line with copies 2; a line pasted twice is a print nobody pays for.
 */
#include "prints/making.h"

#include <stdlib.h>
#include <string.h>

static int by_text(const char *a, const char *b) {
    return strcmp(a == NULL ? "" : a, b == NULL ? "" : b);
}

static int by_number(size_t a, size_t b) {
    return (a > b) - (a < b);
}

static int by_what(const tw_order *a, const tw_order *b) {
    int order = by_text(a->order, b->order);
    if (order == 0)
        order = by_text(a->image, b->image);
    if (order == 0)
        order = by_number(a->template_index, b->template_index);
    if (order == 0)
        order = by_number(a->paper_index, b->paper_index);
    return order != 0 ? order : by_text(a->title, b->title);
}

static int by_what_then_place(const void *left, const void *right) {
    const tw_order *a = *(const tw_order *const *)left, *b = *(const tw_order *const *)right;
    int order = by_what(a, b);
    return order != 0 ? order : (a > b) - (a < b); /* one array */
}

static tw_code warn(const tw_job_data *job, const tw_order *line, const tw_order *first,
                    tw_report *report, tw_error *error) {
    tw_line_check check = {job, line, NULL, report, error};
    return tw_line_warn(&check, "doubled-line", "if more copies are meant, use the copies column",
                        "this line asks for the same as line %d: order \"%s\", image \"%s\", "
                        "template \"%s\"",
                        first->place.line, line->order, line->image,
                        job->templates[line->template_index].name);
}

/* Lines that name what is unknown are errors already; the quick form has no order to double. */
static size_t list_lines(const tw_job_data *job, const tw_order **lines) {
    size_t count = 0;
    for (size_t i = 0; i < job->order_count; i++)
        if (job->orders[i].order != NULL && job->orders[i].template_index < job->template_count)
            lines[count++] = &job->orders[i];
    if (count > 1)
        qsort(lines, count, sizeof *lines, by_what_then_place);
    return count;
}

tw_code tw_check_doubles(tw_arena *arena, const tw_job_data *job, tw_report *report,
                         tw_error *error) {
    const tw_order **lines = tw_arena_array(arena, job->order_count, sizeof *lines);
    const tw_order **first = tw_arena_array(arena, job->order_count, sizeof *first);
    if (lines == NULL || first == NULL)
        return tw_no_memory(error);
    size_t count = list_lines(job, lines);
    for (size_t i = 1; i < count; i++) {
        const tw_order *before = lines[i - 1];
        if (by_what(before, lines[i]) != 0)
            continue;
        const tw_order *earliest = first[before - job->orders];
        first[lines[i] - job->orders] = earliest != NULL ? earliest : before;
    }
    /* Said in the order of the file, not of the sorting. */
    for (size_t i = 0; i < job->order_count; i++) {
        if (first[i] == NULL)
            continue;
        tw_code code = warn(job, &job->orders[i], first[i], report, error);
        if (code != TW_OK)
            return code;
    }
    return TW_OK;
}
