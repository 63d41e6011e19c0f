/*
 * The order of a sheet's cuts: any order in which a piece is cut after it was freed will do, so
 * cuts with the same stop are put one after another. A stop that can now do all its cuts of the
 * sheet is always a good next one (it must be set at least once). Where there is none, the one
 * whose pieces have most changes of the stop still before them is set: the longest chain decides
 * when the work ends. (Against all orders of 2905 random sheets of up to 15 cuts this takes one
 * change more on 18 of them; the stop that does most cuts now would on 244.) Cuts that need no stop
 * (knife or to the mark) are made as soon as their piece is free.
 */
#include "layout/cuts.h"

#include <stdlib.h>
#include <string.h>

enum { NO_STOP = -1 };

/* Cuts ready under one stop, as a chain of cuts sorted by place in the tree. */
typedef struct setting {
    tw_nm stop;
    int ready; /* first of the chain, -1 none */
    int remaining;
} setting;

typedef struct order {
    const tw_sheet_cuts *sheet;
    int *cut_of;     /* node -> its cut, -1 none */
    int *chain_of;   /* node -> most changes of the stop from its cut down to a last one */
    int *setting_of; /* cut -> setting, NO_STOP */
    int *next;       /* chains of ready cuts */
    setting *settings;
    int setting_count;
    int loose; /* ready cuts that need no stop */
    int *done; /* cuts in their new order */
    int done_count;
    int *stack; /* scratch */
} order;

static int by_stop(const void *left, const void *right) {
    tw_nm a = ((const setting *)left)->stop;
    tw_nm b = ((const setting *)right)->stop;
    return (a > b) - (a < b);
}

static int find_setting(const order *o, tw_nm stop) {
    int low = 0;
    int high = o->setting_count - 1;
    while (low <= high) {
        int middle = low + (high - low) / 2;
        if (o->settings[middle].stop == stop)
            return middle;
        if (o->settings[middle].stop < stop)
            low = middle + 1;
        else
            high = middle - 1;
    }
    return NO_STOP;
}

static void list_settings(order *o) {
    int count = 0;
    for (int i = 0; i < o->sheet->cut_count; i++)
        if (!o->sheet->cuts[i].knife && !o->sheet->cuts[i].to_mark)
            o->settings[count++] = (setting){o->sheet->cuts[i].stop, -1, 0};
    if (count > 0)
        qsort(o->settings, (size_t)count, sizeof *o->settings, by_stop);
    for (int i = 0; i < count; i++)
        if (i == 0 || o->settings[i].stop != o->settings[o->setting_count - 1].stop)
            o->settings[o->setting_count++] = o->settings[i];
    for (int i = 0; i < o->sheet->cut_count; i++) {
        const tw_cut *cut = &o->sheet->cuts[i];
        o->setting_of[i] = cut->knife || cut->to_mark ? NO_STOP : find_setting(o, cut->stop);
        if (o->setting_of[i] != NO_STOP)
            o->settings[o->setting_of[i]].remaining++;
    }
}

/* Into a chain, kept in the order of the tree. */
static void chain(order *o, int *head, int cut) {
    while (*head >= 0 && o->sheet->cuts[*head].node < o->sheet->cuts[cut].node)
        head = &o->next[*head];
    o->next[cut] = *head;
    *head = cut;
}

static void make_ready(order *o, int node) {
    int cut = node < 0 ? -1 : o->cut_of[node];
    if (cut < 0)
        return;
    int at = o->setting_of[cut];
    chain(o, at == NO_STOP ? &o->loose : &o->settings[at].ready, cut);
}

static void make_cut(order *o, int *head) {
    int cut = *head;
    const tw_node *node = &o->sheet->nodes[o->sheet->cuts[cut].node];
    *head = o->next[cut];
    o->done[o->done_count++] = cut;
    if (o->setting_of[cut] != NO_STOP)
        o->settings[o->setting_of[cut]].remaining--;
    make_ready(o, node->low);
    make_ready(o, node->high);
}

static void run(order *o, int at) {
    while (o->loose >= 0 || (at != NO_STOP && o->settings[at].ready >= 0))
        make_cut(o, o->loose >= 0 ? &o->loose : &o->settings[at].ready);
}

static int push_child(const order *o, int node, int at, int count) {
    int cut = node < 0 ? -1 : o->cut_of[node];
    if (cut >= 0 && (o->setting_of[cut] == at || o->setting_of[cut] == NO_STOP))
        o->stack[count++] = cut;
    return count;
}

/* How many cuts of this stop can be made in one go, with those they free. */
static int reach(const order *o, int at) {
    int cuts = 0;
    for (int head = o->settings[at].ready; head >= 0; head = o->next[head]) {
        int count = 0;
        o->stack[count++] = head;
        while (count > 0) {
            int cut = o->stack[--count];
            const tw_node *node = &o->sheet->nodes[o->sheet->cuts[cut].node];
            cuts += o->setting_of[cut] == at;
            count = push_child(o, node->low, at, count);
            count = push_child(o, node->high, at, count);
        }
    }
    return cuts;
}

/* How much depends on a stop: the longest chain below its ready cuts, how many have it. */
typedef struct weight {
    int longest, with_longest, cuts;
} weight;

static weight weigh(const order *o, int at) {
    weight w = {-1, 0, reach(o, at)};
    for (int head = o->settings[at].ready; head >= 0; head = o->next[head]) {
        int chain = o->chain_of[o->sheet->cuts[head].node];
        if (chain > w.longest)
            w = (weight){chain, 0, w.cuts};
        w.with_longest += chain == w.longest;
    }
    if (w.cuts == o->settings[at].remaining)
        w = (weight){o->sheet->cut_count, 0, 0}; /* finished with it: before any chain */
    return w;
}

static bool heavier(const weight *a, const weight *b) {
    if (a->longest != b->longest)
        return a->longest > b->longest;
    if (a->with_longest != b->with_longest)
        return a->with_longest > b->with_longest;
    return a->cuts > b->cuts;
}

static bool earlier(const order *o, int a, int b) {
    return o->sheet->cuts[o->settings[a].ready].node < o->sheet->cuts[o->settings[b].ready].node;
}

static int choose(const order *o) {
    int best = NO_STOP;
    weight most = {-1, 0, 0};
    for (int at = 0; at < o->setting_count; at++) {
        if (o->settings[at].ready < 0)
            continue;
        weight w = weigh(o, at);
        if (best == NO_STOP || heavier(&w, &most) ||
            (!heavier(&most, &w) && earlier(o, at, best))) {
            best = at;
            most = w;
        }
    }
    return best;
}

static int longer_chain(const order *o, int child, int parent, int chain) {
    int cut = child < 0 ? -1 : o->cut_of[child];
    if (cut < 0)
        return chain;
    bool changes = o->setting_of[cut] != NO_STOP && o->setting_of[cut] != parent;
    int below = o->chain_of[child] + changes;
    return below > chain ? below : chain;
}

/* Children have higher numbers than their parents. */
static void measure_chains(order *o) {
    for (int node = o->sheet->node_count; node-- > 0;) {
        if (o->cut_of[node] < 0)
            continue;
        int own = o->setting_of[o->cut_of[node]];
        int chain = longer_chain(o, o->sheet->nodes[node].low, own, 0);
        o->chain_of[node] = longer_chain(o, o->sheet->nodes[node].high, own, chain);
    }
}

static tw_code start(tw_arena *arena, order *o, tw_error *error) {
    size_t cuts = (size_t)o->sheet->cut_count;
    o->cut_of = tw_arena_array(arena, (size_t)o->sheet->node_count, sizeof *o->cut_of);
    o->chain_of = tw_arena_array(arena, (size_t)o->sheet->node_count, sizeof *o->chain_of);
    o->setting_of = tw_arena_array(arena, cuts, sizeof *o->setting_of);
    o->next = tw_arena_array(arena, cuts, sizeof *o->next);
    o->settings = tw_arena_array(arena, cuts, sizeof *o->settings);
    o->done = tw_arena_array(arena, cuts, sizeof *o->done);
    o->stack = tw_arena_array(arena, cuts + 1, sizeof *o->stack);
    if (o->cut_of == NULL || o->chain_of == NULL || o->setting_of == NULL || o->next == NULL ||
        o->settings == NULL || o->done == NULL || o->stack == NULL)
        return tw_no_memory(error);
    for (int i = 0; i < o->sheet->node_count; i++)
        o->cut_of[i] = -1;
    for (int i = 0; i < o->sheet->cut_count; i++)
        o->cut_of[o->sheet->cuts[i].node] = i;
    list_settings(o);
    measure_chains(o);
    return TW_OK;
}

static tw_code renumber(tw_arena *arena, const order *o, tw_sheet_cuts *sheet, tw_error *error) {
    tw_cut *cuts = tw_arena_array(arena, (size_t)sheet->cut_count, sizeof *cuts);
    if (cuts == NULL)
        return tw_no_memory(error);
    for (int i = 0; i < sheet->cut_count; i++) {
        cuts[i] = sheet->cuts[o->done[i]];
        cuts[i].step = i + 1;
    }
    sheet->cuts = cuts;
    return TW_OK;
}

tw_code tw_cuts_order(tw_arena *arena, tw_sheet_cuts *sheet, tw_nm *stop, int64_t *changes,
                      tw_error *error) {
    order o = {.sheet = sheet, .loose = -1};
    tw_code code = start(arena, &o, error);
    if (code != TW_OK)
        return code;
    make_ready(&o, 0);
    run(&o, find_setting(&o, *stop)); /* the trimmer is set already */
    for (int at = choose(&o); at != NO_STOP; at = choose(&o)) {
        run(&o, at);
        *stop = o.settings[at].stop;
        (*changes)++;
    }
    return renumber(arena, &o, sheet, error);
}
