/* A paper: a roll or a box of cut sheets, with its margins, losses, price and handling. */
#include <string.h>

#include "base/file.h"
#include "job/job.h"
#include "job/readers.h"

#define NARROWEST (10 * TW_MM)
#define COUNT(a) (sizeof(a) / sizeof(a)[0])

static const char *const paper_names[] = {
    "trimwell", "name",  "kind",           "width",         "length",  "margins",
    "count",    "lost",  "edge_trim",      "cutter",        "setup",   "resolution",
    "turn",     "price", "shortest_sheet", "longest_sheet", "profile", "weight",
    "finish",   "dry",   "cure",           "further_rolls", "offcuts", "sharpen"};
static const tw_keys paper_keys = {"paper", paper_names, COUNT(paper_names), 6};

static const char *const margin_names[] = {"side", "lead", "tail"};
static const tw_keys margin_keys = {"margins", margin_names, 3, 3};

static const char *const lost_names[] = {"each_sheet", "each_load", "core_end"};
static const tw_keys lost_keys = {"lost", lost_names, 3, 0};

static const char *const setup_names[] = {"media", "quality", "black"};
static const tw_keys setup_keys = {"setup", setup_names, 3, 0};

/* Keys that only one kind of paper has. */
static void check_kind_keys(tw_reader *r, const tw_json_value *root, tw_paper_kind kind) {
    static const char *const rolls[] = {"cutter", "shortest_sheet", "longest_sheet", "edge_trim",
                                        "further_rolls"};
    const tw_json_value *wrong[COUNT(rolls) + 1];
    const char *names[COUNT(rolls) + 1];
    size_t count = 0;
    if (kind == TW_ROLL) {
        names[count] = "count";
        wrong[count++] = tw_json_get(root, "count");
    }
    for (size_t i = 0; kind == TW_SHEETS && i < COUNT(rolls); i++) {
        names[count] = rolls[i];
        wrong[count++] = tw_json_get(root, rolls[i]);
    }
    if (kind == TW_SHEETS) {
        names[count] = "lost.core_end";
        wrong[count++] = tw_json_get(tw_json_get(root, "lost"), "core_end");
    }
    for (size_t i = 0; i < count; i++) {
        tw_error e = {0};
        if (wrong[i] == NULL)
            continue;
        tw_json_fail(wrong[i], &e, TW_INPUT, "wrong-kind-key",
                     "\"%s\" belongs to papers of kind \"%s\"; this one is \"%s\"", names[i],
                     kind == TW_ROLL ? "sheets" : "roll", kind == TW_ROLL ? "roll" : "sheets");
        tw_problem(r, &e);
    }
}

static void take_measures(tw_reader *r, const tw_json_value *root, tw_paper *p) {
    tw_nm longest = p->kind == TW_ROLL ? TW_LENGTH_MOST : TW_SIDE_MOST;
    int64_t count = 0;
    tw_error e = {0};
    tw_take_length(r, root, "width", NARROWEST, TW_SIDE_MOST, &p->width);
    tw_take_length(r, root, "length", p->kind == TW_ROLL ? 1 : NARROWEST, longest, &p->length);
    if (p->kind == TW_ROLL)
        return;
    if (tw_take_integer(r, root, "count", 1, 100000, &count))
        p->count = count;
    if (tw_json_get(root, "count") != NULL)
        return;
    tw_json_fail(root, &e, TW_INPUT, "missing-key",
                 "\"count\" is missing; a paper of kind \"sheets\" must have it");
    tw_problem(r, &e);
}

/* Less than half of the width (of the length for a sheet's ends): something is left to print on.
 * Without a good width there is nothing to hold them against, and that was said already. */
static void take_margins(tw_reader *r, const tw_json_value *root, tw_paper *p) {
    const tw_json_value *value = tw_take_object(r, root, "margins", &margin_keys);
    tw_nm wide = p->width > 0 ? p->width : TW_SIDE_MOST;
    tw_nm deep = p->kind == TW_SHEETS && p->length > 0 ? p->length : wide;
    tw_take_length(r, value, "side", 0, (wide - 1) / 2, &p->side);
    tw_take_length(r, value, "lead", 0, (deep - 1) / 2, &p->lead);
    tw_take_length(r, value, "tail", 0, (deep - 1) / 2, &p->tail);
}

static void take_lost(tw_reader *r, const tw_json_value *root, tw_paper *p) {
    const tw_json_value *value = tw_take_object(r, root, "lost", &lost_keys);
    tw_take_length(r, value, "each_sheet", 0, TW_SIDE_MOST, &p->lost_each_sheet);
    tw_take_length(r, value, "each_load", 0, TW_SIDE_MOST, &p->lost_each_load);
    tw_take_length(r, value, "core_end", 0, TW_SIDE_MOST, &p->lost_core_end);
}

static void take_cutting(tw_reader *r, const tw_json_value *root, tw_paper *p) {
    static const char *const cutters[] = {"printer", "hand"};
    tw_nm wide = p->width > 0 ? p->width : TW_SIDE_MOST;
    size_t cutter = 0;
    if (tw_take_choice(r, root, "cutter", cutters, COUNT(cutters), &cutter))
        p->cutter = cutter == 0 ? TW_CUTTER_PRINTER : TW_CUTTER_HAND;
    tw_take_length(r, root, "edge_trim", 0, (wide - 1) / 2, &p->edge_trim);
    tw_take_length(r, root, "shortest_sheet", 0, TW_SIDE_MOST, &p->shortest_sheet);
    if (tw_json_get(root, "longest_sheet") == NULL && p->shortest_sheet > p->longest_sheet)
        p->longest_sheet = p->shortest_sheet; /* the default must not contradict what is said */
    tw_take_length(r, root, "longest_sheet", p->shortest_sheet > 0 ? p->shortest_sheet : NARROWEST,
                   TW_SIDE_MOST, &p->longest_sheet);
}

static void take_setup(tw_reader *r, const tw_json_value *root, tw_paper *p) {
    const tw_json_value *value = tw_take_object(r, root, "setup", &setup_keys);
    tw_take_name(r, value, "media", &p->media);
    tw_take_name(r, value, "quality", &p->quality);
    tw_take_name(r, value, "black", &p->black);
}

static void take_other(tw_reader *r, const tw_json_value *root, tw_paper *p) {
    static const tw_resolution unset = {0};
    bool turn = false;
    p->has_price = tw_take_money(r, root, "price", &p->price);
    tw_take_name(r, root, "weight", &p->weight);
    tw_take_name(r, root, "finish", &p->finish);
    tw_take_duration(r, root, "dry", &p->dry);
    tw_take_duration(r, root, "cure", &p->cure);
    tw_resolution_read(r, root, unset, &p->resolution);
    tw_sharpen_read(r, root, &p->sharpen);
    if (tw_take_bool(r, root, "turn", &turn))
        p->turn = turn ? TW_YES : TW_NO;
}

void tw_paper_take(tw_reader *r, const tw_json_value *root, const char *folder, tw_paper *p) {
    static const char *const kinds[] = {"roll", "sheets"};
    size_t kind = 0;
    p->place = tw_place_of(r, root);
    if (!tw_read_keys(r, root, &paper_keys))
        return;
    tw_take_version(r, root);
    tw_take_name(r, root, "name", &p->name);
    if (tw_take_choice(r, root, "kind", kinds, COUNT(kinds), &kind)) {
        p->kind = kind == 0 ? TW_ROLL : TW_SHEETS;
        check_kind_keys(r, root, p->kind);
    }
    take_measures(r, root, p);
    take_margins(r, root, p);
    take_lost(r, root, p);
    if (p->kind == TW_ROLL) {
        take_cutting(r, root, p);
        tw_further_rolls_take(r, root, p);
    }
    tw_offcuts_take(r, root, p);
    take_setup(r, root, p);
    tw_take_profile(r, root, folder, p);
    take_other(r, root, p);
}

bool tw_paper_read(tw_reader *r, const char *folder, const char *name, const tw_json_value *at,
                   tw_paper *out) {
    size_t before = r->problems;
    tw_named_file source;
    memset(out, 0, sizeof *out);
    out->longest_sheet = 60 * TW_IN;
    if (tw_named_open(r, folder, name, TW_SHIPPED_PAPER, at, &source))
        tw_paper_take(r, tw_json_root(source.document), source.folder, out);
    tw_json_free(source.document);
    return r->problems == before && !tw_stopped(r);
}

tw_code tw_paper_load(tw_arena *arena, const char *folder, const char *name, tw_report *report,
                      tw_paper *out, tw_error *error) {
    tw_reader r;
    tw_reader_start(&r, arena, report);
    (void)tw_paper_read(&r, folder, name, NULL, out);
    return tw_reader_end(&r, error);
}
