/* What is left on further rolls of one paper: a list of lengths beside "length". */
#include "job/readers.h"

#define ROLLS_MOST 20

static const tw_json_value *take_list(tw_reader *r, const tw_json_value *root) {
    const tw_json_value *list = tw_json_get(root, "further_rolls");
    tw_error e = {0};
    if (list == NULL ||
        (tw_json_kind_of(list) == TW_JSON_ARRAY && tw_json_count(list) <= ROLLS_MOST))
        return list;
    tw_json_fail(list, &e, TW_INPUT, "wrong-kind",
                 "\"further_rolls\" must be a list of at most %d lengths, what is left on each "
                 "other roll of this paper",
                 ROLLS_MOST);
    tw_fail_hint(&e, "such as [\"31ft\", \"8ft\"]");
    tw_problem(r, &e);
    return NULL;
}

void tw_further_rolls_take(tw_reader *r, const tw_json_value *root, tw_paper *p) {
    const tw_json_value *list = take_list(r, root);
    size_t count = tw_json_count(list);
    tw_nm *lengths = tw_got(r, tw_arena_array(r->arena, count, sizeof *lengths));
    if (tw_stopped(r) || list == NULL)
        return;
    for (size_t i = 0; i < count; i++)
        if (tw_read_length(r, tw_json_item(list, i), "further_rolls", 1, TW_LENGTH_MOST,
                           &lengths[p->further_count]))
            p->further_count++;
    p->further_rolls = lengths;
}
