/*
 * The numbers prints go by: order-n, n counting an order's prints by template, image, title and
 * copy, so that the same orders give the same numbers however their lines are arranged.
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

/* Prints of one order together: orders first, then fillers. */
static int by_order(const tw_print *a, const tw_print *b) {
    return a->filler != b->filler ? a->filler - b->filler : by_text(a->order, b->order);
}

/* The paper is asked before the line's place, so that two lines that differ in paper alone also
 * keep their numbers when they change places. */
static int by_canon(const void *left, const void *right) {
    const tw_print *a = left, *b = right;
    int order = by_order(a, b);
    if (order == 0)
        order = by_text(a->format->name, b->format->name);
    if (order == 0)
        order = by_text(a->line->image, b->line->image);
    if (order == 0)
        order = by_text(a->line->title, b->line->title);
    if (order == 0)
        order = a->copy - b->copy;
    if (order == 0)
        order = by_number(a->paper_index, b->paper_index);
    if (order == 0)
        order = a->line->place.line - b->line->place.line;
    /* Lines of the quick form have no line number; they lie in one array. */
    return order != 0 ? order : (a->line > b->line) - (a->line < b->line);
}

static const char *stem(const tw_print *print) {
    if (print->filler)
        return "filler";
    return print->order == NULL ? "print" : print->order;
}

tw_code tw_prints_number(tw_arena *arena, tw_prints *prints, tw_error *error) {
    size_t number = 0;
    if (prints->count > 1)
        qsort(prints->items, prints->count, sizeof *prints->items, by_canon);
    for (size_t i = 0; i < prints->count; i++) {
        tw_print *print = &prints->items[i];
        number = i > 0 && by_order(print - 1, print) == 0 ? number + 1 : 1;
        print->id = tw_arena_print(arena, "%s-%zu", stem(print), number);
        if (print->id == NULL)
            return tw_no_memory(error);
    }
    return TW_OK;
}
