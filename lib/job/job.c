/*
 * The job file: its own keys here, its settings in settings.c, and everything it names (papers,
 * templates, image folders, orders, fillers), each in its own file.
 */
#include <string.h>

#include "base/file.h"
#include "base/limits.h"
#include "base/text.h"
#include "job/job.h"
#include "job/readers.h"

#define NAMED_MOST 100 /* papers, template sets or image folders a job may name */

static const char *const job_names[] = {
    "trimwell", "name",  "papers", "templates", "orders",     "date",   "images", "fillers",
    "layout",   "marks", "colour", "trimmer",   "resolution", "limits", "sharpen"};
static const tw_keys job_keys = {"job", job_names, sizeof job_names / sizeof job_names[0], 5};

/* A list of 1 to NAMED_MOST entries; NULL when absent or wrong (reported). */
static const tw_json_value *take_list(tw_reader *r, const tw_json_value *root, const char *key) {
    const tw_json_value *list = tw_json_get(root, key);
    tw_error e = {0};
    char seen[TW_JSON_SEEN];
    if (list == NULL)
        return NULL;
    if (tw_json_kind_of(list) == TW_JSON_ARRAY && tw_json_count(list) >= 1 &&
        tw_json_count(list) <= NAMED_MOST)
        return list;
    tw_json_seen(list, seen);
    tw_json_fail(list, &e, TW_INPUT, "wrong-kind", "\"%s\" must be a list of 1 to %d names, not %s",
                 key, NAMED_MOST, seen);
    if (tw_json_kind_of(list) == TW_JSON_STRING)
        tw_fail_hint(&e, "a list of one name has brackets round it, too");
    tw_problem(r, &e);
    return NULL;
}

static bool is_new_paper(tw_reader *r, const tw_job_data *job, const tw_json_value *at,
                         const tw_paper *paper) {
    for (size_t i = 0; i < job->paper_count; i++) {
        const tw_paper *other = &job->papers[i];
        tw_error e = {0};
        if (!tw_same_name(other->name, paper->name))
            continue;
        tw_json_fail(at, &e, TW_INPUT, "doubled-name",
                     "paper \"%s\" is at %s:%d and also at %s:%d; names must differ", paper->name,
                     paper->place.file, paper->place.line, other->place.file, other->place.line);
        return tw_problem(r, &e);
    }
    return true;
}

/* ppi limits where a paper says one and the job the other. */
static void check_limits(tw_reader *r, const tw_json_value *at, const tw_job_data *job,
                         const tw_paper *paper) {
    tw_resolution limit = paper->resolution;
    tw_error e = {0};
    if (limit.warn_below == 0)
        limit.warn_below = job->resolution.warn_below;
    if (limit.refuse_below == 0)
        limit.refuse_below = job->resolution.refuse_below;
    if (limit.warn_below < 0 || limit.refuse_below <= limit.warn_below ||
        (paper->resolution.warn_below == 0 && paper->resolution.refuse_below == 0))
        return;
    tw_json_fail(at, &e, TW_INPUT, "out-of-range",
                 "with paper \"%s\", \"refuse_below\" is %d and \"warn_below\" %d; it may be at "
                 "most that",
                 paper->name, limit.refuse_below, limit.warn_below);
    tw_problem(r, &e);
}

static void read_paper(tw_reader *r, const tw_json_value *at, tw_job_data *job) {
    const char *name = NULL;
    tw_paper paper;
    memset(&paper, 0, sizeof paper);
    if (tw_read_path(r, at, "papers", &name) && tw_paper_read(r, job->folder, name, at, &paper)) {
        if (!is_new_paper(r, job, at, &paper))
            return;
        check_limits(r, at, job, &paper);
        job->papers[job->paper_count++] = paper;
    } else if (paper.name != NULL) {
        tw_names_add(r, &job->broken_papers, paper.name);
    } else {
        job->broken_papers.open = true;
    }
}

static void read_papers(tw_reader *r, const tw_json_value *root, tw_job_data *job) {
    const tw_json_value *list = take_list(r, root, "papers");
    size_t count = tw_json_count(list);
    job->papers = tw_got(r, tw_arena_array(r->arena, count, sizeof job->papers[0]));
    job->broken_papers.open = list == NULL;
    for (size_t i = 0; i < count && !tw_stopped(r); i++)
        read_paper(r, tw_json_item(list, i), job);
}

/* What an unknown template "is not in": the first set's file, and whether there are others. */
static const char *sets_text(tw_reader *r, const char *first, size_t count) {
    const char *last = tw_path_last(first), *dot = strrchr(last, '.');
    bool bare = dot == NULL || strcmp(dot, ".json") != 0;
    return tw_got(r, tw_arena_print(r->arena, "%s%s%s", last, bare ? ".json" : "",
                                    count > 1 ? " or the others" : ""));
}

static void read_templates(tw_reader *r, const tw_json_value *root, tw_job_data *job) {
    const tw_json_value *list = take_list(r, root, "templates");
    tw_template_list all = {0};
    size_t count = tw_json_count(list);
    all.broken.open = list == NULL;
    job->templates_file = "the job's templates";
    for (size_t i = 0; i < count && !tw_stopped(r); i++) {
        const tw_json_value *at = tw_json_item(list, i);
        const char *name = NULL;
        if (!tw_read_path(r, at, "templates", &name))
            all.broken.open = true;
        else
            (void)tw_templates_read(r, job->folder, name, at, &all);
        if (i == 0 && name != NULL)
            job->templates_file = sets_text(r, name, count);
    }
    job->templates = all.items;
    job->template_count = all.count;
    job->broken_templates = all.broken;
}

static void read_image_folder(tw_reader *r, const tw_json_value *at, tw_job_data *job) {
    const char *name = NULL, *path;
    tw_error e = {0};
    if (!tw_read_path(r, at, "images", &name))
        return;
    path = tw_got(r, tw_path_join(r->arena, job->folder, name));
    if (path == NULL)
        return;
    if (tw_path_is_folder(path)) {
        job->image_folders[job->image_folder_count++] = path;
        return;
    }
    tw_json_fail(at, &e, TW_INPUT, "folder-missing",
                 tw_path_exists(path) ? "images: \"%s\" is not a folder"
                                      : "images: there is no folder \"%s\"",
                 name);
    tw_fail_hint(&e, "its path starts at the job's folder");
    tw_problem(r, &e);
}

static void read_images(tw_reader *r, const tw_json_value *root, tw_job_data *job) {
    const tw_json_value *list = take_list(r, root, "images");
    size_t count = list != NULL ? tw_json_count(list) : 1;
    job->image_folders = tw_got(r, tw_arena_array(r->arena, count, sizeof job->image_folders[0]));
    if (tw_stopped(r))
        return;
    if (tw_json_get(root, "images") == NULL)
        job->image_folders[job->image_folder_count++] = job->folder;
    for (size_t i = 0; list != NULL && i < count && !tw_stopped(r); i++)
        read_image_folder(r, tw_json_item(list, i), job);
}

static void read_date(tw_reader *r, const tw_json_value *root, tw_job_data *job) {
    const char *text = NULL;
    tw_error e = {0};
    if (!tw_take_name(r, root, "date", &text))
        return;
    if (tw_date_valid(text)) {
        job->date = text;
        return;
    }
    tw_json_fail(tw_json_get(root, "date"), &e, TW_INPUT, "bad-date",
                 "\"%s\" is not a day of the calendar; write it as 2027-03-06", text);
    tw_problem(r, &e);
}

static void read_lines(tw_reader *r, const tw_json_value *root, tw_job_data *job) {
    const tw_json_value *orders = tw_json_get(root, "orders");
    const tw_json_value *fillers = tw_json_get(root, "fillers");
    tw_table *table = tw_got(r, tw_arena_take(r->arena, sizeof *table));
    if (tw_stopped(r))
        return;
    if (orders != NULL && tw_table_load(r, orders, job->folder, &tw_order_columns, table))
        tw_orders_read(r, table, job);
    if (fillers != NULL && tw_table_load(r, fillers, job->folder, &tw_filler_columns, table))
        tw_fillers_read(r, table, job);
}

static void read_job(tw_reader *r, const tw_json_value *root, tw_job_data *job) {
    if (!tw_read_keys(r, root, &job_keys))
        return;
    tw_take_version(r, root);
    tw_take_name(r, root, "name", &job->name);
    read_date(r, root, job);
    tw_settings_read(r, root, job);
    read_papers(r, root, job);
    tw_steer_check(r, root, job);
    if (!tw_stopped(r))
        tw_choose_read(r, root, job);
    if (!tw_stopped(r))
        tw_work_check(r, root, job);
    if (!tw_stopped(r))
        read_templates(r, root, job);
    if (!tw_stopped(r))
        read_images(r, root, job);
    if (!tw_stopped(r))
        read_lines(r, root, job);
}

tw_code tw_job_parse(tw_arena *arena, const char *file, const char *folder, const char *text,
                     size_t length, tw_report *report, tw_job_data **out, tw_error *error) {
    tw_reader r;
    tw_json *document = NULL;
    tw_job_data *job;
    tw_reader_start(&r, arena, report);
    *out = NULL;
    job = tw_got(&r, tw_arena_take(arena, sizeof *job));
    if (job == NULL)
        return tw_no_memory(error);
    tw_job_defaults(job);
    job->file = tw_got(&r, tw_arena_string(arena, file));
    job->folder = tw_got(&r, tw_arena_string(arena, folder));
    if (tw_stopped(&r))
        return tw_no_memory(error);
    r.home = job->folder;
    if (tw_json_parse(tw_arena_allocator(arena), file, text, length, &document, error) != TW_OK)
        return error != NULL ? error->code : TW_INPUT;
    read_job(&r, tw_json_root(document), job);
    tw_json_free(document);
    if (tw_stopped(&r))
        return tw_reader_end(&r, error);
    *out = job;
    return TW_OK;
}

tw_code tw_job_load(tw_arena *arena, const char *path, tw_report *report, tw_job_data **out,
                    tw_error *error) {
    const char *file = path, *folder;
    char *text = NULL;
    size_t length = 0;
    tw_code code;
    *out = NULL;
    if (tw_path_is_folder(path))
        file = tw_path_join(arena, path, "job.json");
    folder = file == NULL ? NULL : tw_path_folder(arena, file);
    if (folder == NULL)
        return tw_no_memory(error);
    code = tw_file_read(arena, file, TW_JSON_BYTES_MOST, &text, &length, error);
    if (code != TW_OK)
        return code;
    return tw_job_parse(arena, file, folder, text, length, report, out, error);
}
