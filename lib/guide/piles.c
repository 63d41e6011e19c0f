/*
 * The piles: what belongs to each order, with the window's opening where a framer cuts one, so
 * that a pile can be counted and handed on.
 */
#include "base/text.h"
#include "guide/pages.h"

#include <stdlib.h>
#include <string.h>

typedef struct piled {
    const tw_print *print;
    int sheet; /* 0 = not printed */
} piled;

/* Numbers inside names count as numbers, so that 999 comes before 1001. */
static int natural(const char *a, const char *b) {
    while (*a != '\0' && *b != '\0') {
        size_t da = strspn(a, "0123456789"), db = strspn(b, "0123456789");
        if (da > 0 && db > 0) {
            size_t za = strspn(a, "0"), zb = strspn(b, "0");
            size_t la = za < da ? da - za : 0, lb = zb < db ? db - zb : 0;
            if (la != lb)
                return la < lb ? -1 : 1;
            int order = strncmp(a + za, b + zb, la);
            if (order != 0)
                return order;
            a += da;
            b += db;
            continue;
        }
        if (*a != *b)
            return (unsigned char)*a < (unsigned char)*b ? -1 : 1;
        a++;
        b++;
    }
    return (*a != '\0') - (*b != '\0');
}

/* Orders first, then prints without one, then fillers; within a pile by id. */
static int by_pile(const void *left, const void *right) {
    const tw_print *a = ((const piled *)left)->print, *b = ((const piled *)right)->print;
    int rank_a = a->order != NULL ? 0 : 1 + a->filler,
        rank_b = b->order != NULL ? 0 : 1 + b->filler;
    if (rank_a != rank_b)
        return rank_a - rank_b;
    int order = rank_a == 0 ? natural(a->order, b->order) : 0;
    if (order == 0 && rank_a == 0)
        order = strcmp(a->order, b->order); /* "01" and "1" are two orders */
    if (order == 0)
        order = natural(a->id, b->id);
    return order != 0 ? order : strcmp(a->id, b->id);
}

static piled *sorted(tw_guide *g, size_t *count) {
    const tw_plan_data *plan = g->plan;
    size_t most = plan->unplaced_count + 1;
    for (size_t i = 0; i < plan->sheet_count; i++)
        most += plan->sheets[i].print_count;
    piled *all = g->code == TW_OK ? tw_arena_array(g->arena, most, sizeof *all) : NULL;
    *count = 0;
    if (all == NULL) {
        tw_guide_check(g, tw_no_memory(g->error));
        return NULL;
    }
    for (size_t i = 0; i < plan->sheet_count; i++)
        for (size_t k = 0; k < plan->sheets[i].print_count; k++)
            all[(*count)++] = (piled){plan->sheets[i].prints[k].print, plan->sheets[i].number};
    for (size_t i = 0; i < plan->unplaced_count; i++)
        if (!plan->unplaced[i].print->filler) /* a filler left out is missed by nobody */
            all[(*count)++] = (piled){plan->unplaced[i].print, 0};
    qsort(all, *count, sizeof *all, by_pile);
    return all;
}

static bool same_pile(const tw_print *a, const tw_print *b) {
    return a->filler == b->filler && tw_same_name(a->order, b->order);
}

static const char *what_text(tw_guide *g, const tw_print *print) {
    const char *title = print->line == NULL ? "" : tw_guide_name(g, print->line->title);
    return tw_guide_say(g, "%s, %s%s%s", tw_guide_short(g, print->format->name),
                        tw_guide_size_text(g, print->fit.size), title[0] == '\0' ? "" : "\n",
                        title);
}

/* Copies of one line on one sheet stand in one row. */
static bool same_row(const piled *a, const piled *b) {
    return a->sheet == b->sheet && a->print->line == b->print->line &&
           a->print->format == b->print->format && a->print->image == b->print->image;
}

static const char *ids_text(tw_guide *g, const piled *items, size_t count) {
    const char *first = tw_guide_short(g, items[0].print->id);
    const char *last = tw_guide_short(g, items[count - 1].print->id);
    if (count == 1)
        return first;
    if (count == 2)
        return tw_guide_say(g, "%s, %s", first, last);
    return tw_guide_say(g, "%s to %s\n%zu prints", first, last, count);
}

static bool has_window(const piled *items, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (items[i].print->fit.has_window)
            return true;
    return false;
}

static void put_prints(tw_guide *g, tw_guide_table *table, const piled *items, size_t count) {
    const tw_print *print = items[0].print;
    const char *sheet = items[0].sheet == 0 ? "not printed" : tw_guide_say(g, "%d", items[0].sheet);
    const char *window =
        print->fit.has_window ? tw_guide_size_text(g, print->fit.window) : "\xE2\x80\x93";
    const char *cells[] = {ids_text(g, items, count), what_text(g, print),
                           table->count == 4 ? window : sheet, sheet};
    tw_guide_row(g, table, cells, NULL);
}

static void put_table(tw_guide *g, const piled *items, size_t count) {
    static const tw_guide_column plain[] = {{"Print", 36 * TW_MM, true},
                                            {"Template, size, title", 124 * TW_MM, false},
                                            {"Sheet", 0, false}};
    static const tw_guide_column windows[] = {{"Print", 36 * TW_MM, true},
                                              {"Template, size, title", 76 * TW_MM, false},
                                              {"Window opening", 48 * TW_MM, false},
                                              {"Sheet", 0, false}};
    tw_guide_table table = has_window(items, count) ? tw_guide_table_start(windows, 4)
                                                    : tw_guide_table_start(plain, 3);
    for (size_t i = 0, end; i < count && g->code == TW_OK; i = end) {
        for (end = i + 1; end < count && same_row(&items[end], &items[i]);)
            end++;
        put_prints(g, &table, &items[i], end - i);
    }
}

static void put_pile(tw_guide *g, const piled *items, size_t count) {
    const tw_print *first = items[0].print;
    const char *buyer = first->line == NULL ? "" : tw_guide_name(g, first->line->buyer);
    tw_guide_heading(g, 3,
                     tw_guide_say(g, "Pile %s%s%s: %zu print%s", tw_guide_pile(g, first),
                                  buyer[0] == '\0' ? "" : ", ", buyer, count,
                                  count == 1 ? "" : "s"),
                     18 * TW_MM);
    put_table(g, items, count);
}

void tw_guide_piles(tw_guide *g) {
    size_t count = 0;
    const piled *all = sorted(g, &count);
    if (all == NULL || count == 0)
        return;
    tw_guide_heading(g, 2, "Piles", 40 * TW_MM);
    g->running = "Piles, continued";
    for (size_t i = 0, end; i < count && g->code == TW_OK; i = end) {
        for (end = i + 1; end < count && same_pile(all[end].print, all[i].print);)
            end++;
        put_pile(g, all + i, end - i);
    }
    g->running = NULL;
}
