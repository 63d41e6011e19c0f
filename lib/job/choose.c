/* "layout": {"choose": [...]}: the papers among which order lines without one find theirs. */
#include <string.h>

#include "base/text.h"
#include "job/readers.h"

#define CHOICES_MOST 8

static const tw_json_value *take_list(tw_reader *r, const tw_json_value *root) {
    const tw_json_value *list = tw_json_get(tw_json_get(root, "layout"), "choose");
    tw_error e = {0};
    if (list == NULL || (tw_json_kind_of(list) == TW_JSON_ARRAY && tw_json_count(list) >= 1 &&
                         tw_json_count(list) <= CHOICES_MOST))
        return list;
    tw_json_fail(list, &e, TW_INPUT, "wrong-kind",
                 "\"choose\" must be a list of 1 to %d names of the job's papers", CHOICES_MOST);
    tw_problem(r, &e);
    return NULL;
}

static bool unknown(tw_reader *r, const tw_json_value *value, const char *name,
                    const tw_job_data *job) {
    const char **names = tw_got(r, tw_arena_array(r->arena, job->paper_count, sizeof *names));
    tw_error e = {0};
    if (names == NULL || job->broken_papers.open || tw_names_hold(&job->broken_papers, name))
        return false;
    for (size_t i = 0; i < job->paper_count; i++)
        names[i] = job->papers[i].name;
    const char *near = tw_nearest(name, names, job->paper_count);
    tw_json_fail(value, &e, TW_INPUT, "unknown-paper",
                 "\"choose\": paper \"%s\" is not one of the job's", name);
    if (near != NULL)
        tw_fail_hint(&e, "nearest: \"%s\"", near);
    return tw_problem(r, &e);
}

static bool is_new(tw_reader *r, const tw_json_value *value, size_t paper, const tw_job_data *job) {
    tw_error e = {0};
    for (size_t i = 0; i < job->choose_count; i++)
        if (job->choose[i] == paper) {
            tw_json_fail(value, &e, TW_INPUT, "doubled-name", "\"choose\" names paper \"%s\" twice",
                         job->papers[paper].name);
            return tw_problem(r, &e);
        }
    return true;
}

static bool find(tw_reader *r, const tw_json_value *value, const tw_job_data *job, size_t *out) {
    const char *name = NULL;
    if (!tw_read_name(r, value, "choose", &name))
        return false;
    for (size_t i = 0; i < job->paper_count; i++)
        if (strcmp(job->papers[i].name, name) == 0) {
            *out = i;
            return is_new(r, value, i, job);
        }
    return unknown(r, value, name, job);
}

void tw_choose_read(tw_reader *r, const tw_json_value *root, tw_job_data *job) {
    const tw_json_value *list = take_list(r, root);
    size_t count = tw_json_count(list);
    job->choose = tw_got(r, tw_arena_array(r->arena, count, sizeof *job->choose));
    job->chooses = list != NULL;
    for (size_t i = 0; i < count && !tw_stopped(r); i++) {
        size_t paper = 0;
        if (find(r, tw_json_item(list, i), job, &paper))
            job->choose[job->choose_count++] = paper;
    }
}
