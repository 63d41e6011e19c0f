/* Offcuts of a paper kept from earlier days: rectangles to be fed singly as cut sheets. */
#include "job/readers.h"

#define NARROWEST (10 * TW_MM)

static const char *const offcut_names[] = {"width", "length", "count"};
static const tw_keys offcut_keys = {"offcuts", offcut_names, 3, 2};

static const tw_json_value *take_list(tw_reader *r, const tw_json_value *root) {
    const tw_json_value *list = tw_json_get(root, "offcuts");
    tw_error e = {0};
    if (list == NULL ||
        (tw_json_kind_of(list) == TW_JSON_ARRAY && tw_json_count(list) <= TW_OFFCUTS_MOST))
        return list;
    tw_json_fail(list, &e, TW_INPUT, "wrong-kind",
                 "\"offcuts\" must be a list of at most %d rectangles", TW_OFFCUTS_MOST);
    tw_fail_hint(&e, "such as [{\"width\": \"24in\", \"length\": \"18in\", \"count\": 1}]");
    tw_problem(r, &e);
    return NULL;
}

/* Width across the feed: no wider than the paper, which the machine is known to take. */
static bool read_one(tw_reader *r, const tw_json_value *value, const tw_paper *p, tw_offcut *out) {
    size_t before = r->problems;
    tw_nm widest = p->width > 0 ? p->width : TW_SIDE_MOST;
    *out = (tw_offcut){.count = 1};
    if (!tw_read_keys(r, value, &offcut_keys))
        return false;
    tw_take_length(r, value, "width", NARROWEST, widest, &out->width);
    tw_take_length(r, value, "length", NARROWEST, TW_SIDE_MOST, &out->length);
    tw_take_integer(r, value, "count", 1, TW_OFFCUTS_MOST, &out->count);
    return r->problems == before;
}

static bool too_many(tw_reader *r, const tw_json_value *value, int64_t pieces) {
    tw_error e = {0};
    if (pieces <= TW_OFFCUTS_MOST)
        return false;
    tw_json_fail(value, &e, TW_INPUT, "out-of-range",
                 "with these there are %lld offcuts; there may be %d of one paper",
                 (long long)pieces, TW_OFFCUTS_MOST);
    tw_problem(r, &e);
    return true;
}

void tw_offcuts_take(tw_reader *r, const tw_json_value *root, tw_paper *p) {
    const tw_json_value *list = take_list(r, root);
    size_t count = tw_json_count(list);
    int64_t pieces = 0;
    p->offcuts = tw_got(r, tw_arena_array(r->arena, count, sizeof *p->offcuts));
    for (size_t i = 0; i < count && !tw_stopped(r); i++) {
        tw_offcut now;
        if (!read_one(r, tw_json_item(list, i), p, &now))
            continue;
        pieces += now.count;
        if (too_many(r, tw_json_item(list, i), pieces))
            return;
        p->offcuts[p->offcut_count++] = now;
    }
}
