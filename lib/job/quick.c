/* The quick form: paper, template and images named on the command line instead of in a job. */
#include <string.h>

#include <unistd.h>

#include "base/file.h"
#include "base/limits.h"
#include "base/text.h"
#include "job/job.h"
#include "job/readers.h"

static bool find_template(const tw_template_list *list, const char *name, tw_template *out) {
    for (size_t i = 0; i < list->count; i++) {
        if (strcmp(list->items[i].name, name) != 0)
            continue;
        *out = list->items[i];
        return true;
    }
    return false;
}

static bool unknown_template(tw_reader *r, const char *name, const char *where,
                             const tw_template_list *list) {
    const char **names = tw_got(r, tw_arena_array(r->arena, list->count, sizeof(char *)));
    const char *near;
    tw_error e = {0};
    if (names == NULL)
        return false;
    for (size_t i = 0; i < list->count; i++)
        names[i] = list->items[i].name;
    near = tw_nearest(name, names, list->count);
    tw_fail(&e, TW_INPUT, "unknown-template", "template \"%s\" is not in %s", name, where);
    if (near != NULL)
        tw_fail_hint(&e, "nearest: \"%s\"", near);
    else
        tw_fail_hint(&e, "a size is written \"8x10in\" or \"30x40cm\"");
    return tw_problem(r, &e);
}

/* FILE#NAME, where FILE may be a shipped set. */
static bool template_of_file(tw_reader *r, const char *text, const char *hash, tw_template *out) {
    char *file = tw_got(r, tw_arena_copy(r->arena, text, (size_t)(hash - text)));
    tw_template_list list = {0};
    if (file == NULL || !tw_templates_read(r, ".", file, NULL, &list))
        return false;
    return find_template(&list, hash + 1, out) || unknown_template(r, hash + 1, file, &list);
}

/* A size alone: no border, everything else by default. */
static bool template_of_size(tw_reader *r, const char *text, tw_template *out) {
    tw_template_defaults(out);
    if (tw_size_read(text, &out->size, NULL) != TW_OK || out->size.width > TW_SIDE_MOST ||
        out->size.height > TW_SIDE_MOST)
        return false;
    out->name = tw_got(r, tw_arena_string(r->arena, text));
    out->place.file = "";
    return out->name != NULL;
}

/* Neither a name nor a size that is taken: said as what it looks like. */
static bool no_template(tw_reader *r, const char *text, const tw_template_list *list) {
    char width[TW_LENGTH_TEXT], height[TW_LENGTH_TEXT], most[TW_LENGTH_TEXT];
    tw_size size = {0};
    tw_error e = {0};
    if (tw_size_read(text, &size, NULL) != TW_OK)
        return unknown_template(r, text, "the shipped sets and is no size", list);
    tw_fail(&e, TW_INPUT, "template-size",
            "template \"%s\" is %s x %s; a side may be from over 0 to %s", text,
            tw_length_both(size.width, width), tw_length_both(size.height, height),
            tw_length_both(TW_SIDE_MOST, most));
    return tw_problem(r, &e);
}

static bool template_by_name(tw_reader *r, const char *name, tw_template *out) {
    tw_template_list list = {0};
    for (const char *const *set = tw_shipped_names(); *set != NULL; set++)
        if (tw_shipped_is(*set, TW_SHIPPED_TEMPLATES) &&
            !tw_templates_read(r, ".", *set, NULL, &list))
            return false;
    return find_template(&list, name, out) || template_of_size(r, name, out) ||
           no_template(r, name, &list);
}

static void read_format(tw_reader *r, const char *text, tw_job_data *job) {
    const char *hash = strrchr(text, '#');
    bool good = hash != NULL && hash != text ? template_of_file(r, text, hash, job->templates)
                                             : template_by_name(r, text, job->templates);
    job->template_count = good;
    job->broken_templates.open = !good;
    job->templates_file = "the shipped templates";
}

static void read_image(tw_reader *r, const char *path, int copies, tw_job_data *job) {
    tw_order *line = &job->orders[job->order_count++];
    int descriptor = -1;
    int64_t size = 0;
    tw_error e = {0};
    line->place.file = line->image = tw_got(r, tw_arena_string(r->arena, path));
    line->template_index = job->template_count == 1 ? 0 : SIZE_MAX;
    line->paper_index = job->paper_count == 1 ? 0 : SIZE_MAX;
    line->copies = copies;
    line->chance = 1000000;
    if (tw_file_open(path, &descriptor, &size, &e) != TW_OK) {
        tw_problem(r, &e);
        return;
    }
    close(descriptor);
    line->image_path = line->image;
}

static tw_code check_counts(int copies, size_t image_count, tw_error *error) {
    if (copies < 1 || copies > TW_COPIES_MOST)
        return tw_fail(error, TW_USAGE, "bad-copies", "copies is %d; it may be from 1 to %d",
                       copies, TW_COPIES_MOST);
    if (image_count == 0)
        return tw_fail(error, TW_USAGE, "no-images", "no image is named");
    if (image_count > (size_t)(TW_PRINTS_MOST / copies))
        return tw_fail(error, TW_USAGE, "too-many-prints",
                       "%zu images in %d copies are over %d prints", image_count, copies,
                       TW_PRINTS_MOST);
    return TW_OK;
}

static void read_quick(tw_reader *r, const char *paper, const char *format, tw_job_data *job) {
    job->file = "";
    job->folder = ".";
    job->papers = tw_got(r, tw_arena_array(r->arena, 1, sizeof job->papers[0]));
    job->templates = tw_got(r, tw_arena_array(r->arena, 1, sizeof job->templates[0]));
    job->name = tw_got(r, tw_arena_print(r->arena, "%.40s on %.40s", format, paper));
    if (tw_stopped(r))
        return;
    job->paper_count = tw_paper_read(r, ".", paper, NULL, job->papers);
    job->broken_papers.open = job->paper_count == 0;
    read_format(r, format, job);
}

tw_code tw_job_quick(tw_arena *arena, const char *paper, const char *template_name, int copies,
                     const char *const *images, size_t image_count, tw_report *report,
                     tw_job_data **out, tw_error *error) {
    tw_code code = check_counts(copies, image_count, error);
    tw_job_data *job = tw_arena_take(arena, sizeof *job);
    tw_reader r;
    *out = NULL;
    if (code != TW_OK)
        return code;
    tw_reader_start(&r, arena, report);
    if (tw_got(&r, job) != NULL) {
        tw_job_defaults(job);
        job->orders = tw_got(&r, tw_arena_array(arena, image_count, sizeof job->orders[0]));
    }
    if (!tw_stopped(&r))
        read_quick(&r, paper, template_name, job);
    for (size_t i = 0; i < image_count && !tw_stopped(&r); i++)
        read_image(&r, images[i], copies, job);
    if (tw_stopped(&r))
        return tw_reader_end(&r, error);
    *out = job;
    return TW_OK;
}
