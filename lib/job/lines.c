/* What an order line and a filler line have in common: image, template, paper, copies, texts. */
#include <string.h>

#include "base/file.h"
#include "base/limits.h"
#include "base/text.h"
#include "job/readers.h"

/* Past this many in one table the file is not what it seems, and hints cost time. */
#define PROBLEMS_MOST 1000

bool tw_lines_start(tw_lines *lines, tw_reader *r, tw_job_data *job, const tw_table *table) {
    size_t templates = job->template_count, papers = job->paper_count;
    *lines = (tw_lines){.r = r, .job = job, .table = table};
    lines->template_names = tw_got(r, tw_arena_array(r->arena, templates, sizeof(char *)));
    lines->paper_names = tw_got(r, tw_arena_array(r->arena, papers, sizeof(char *)));
    if (tw_stopped(r))
        return false;
    for (size_t i = 0; i < templates; i++)
        lines->template_names[i] = job->templates[i].name;
    for (size_t i = 0; i < papers; i++)
        lines->paper_names[i] = job->papers[i].name;
    return true;
}

bool tw_lines_enough(tw_lines *lines, const tw_csv_row *row, size_t problems_before) {
    tw_error e = {0};
    if (tw_stopped(lines->r) || lines->prints > TW_PRINTS_MOST)
        return true;
    if (lines->r->problems - problems_before < PROBLEMS_MOST)
        return false;
    tw_table_fail(lines->table, row, &e, "too-many-problems",
                  "over %d problems so far; the rest is not read", PROBLEMS_MOST);
    tw_problem(lines->r, &e);
    return true;
}

const char *tw_line_text(tw_lines *lines, const tw_csv_row *row, tw_column column, size_t most,
                         bool required) {
    const char *text = tw_table_field(lines->table, row, column);
    bool free_text = column == TW_COL_NOTE || column == TW_COL_ADDRESS || column == TW_COL_TITLE;
    const char *fault = tw_text_fault(text, most, free_text);
    tw_error e = {0};
    if (text[0] == '\0' && !required)
        return NULL;
    if (fault == NULL)
        return text;
    tw_table_fail(lines->table, row, &e, text[0] == '\0' ? "field-empty" : "bad-text",
                  "%s \"%.40s\" %s; 1 to %zu bytes are allowed",
                  tw_table_heading(lines->table, column), text, fault, most);
    tw_problem(lines->r, &e);
    return NULL;
}

static size_t index_of(const char *name, const char *const *names, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (strcmp(names[i], name) == 0)
            return i;
    return SIZE_MAX;
}

/* The nearest name; else what there is, begun. */
static void hint_names(tw_error *e, const char *name, const char *const *names, size_t count) {
    const char *near = tw_nearest(name, names, count);
    if (near != NULL)
        tw_fail_hint(e, "nearest: \"%s\"", near);
    else if (count == 1)
        tw_fail_hint(e, "there is \"%s\"", names[0]);
    else if (count > 1)
        tw_fail_hint(e, "there are \"%s\", \"%s\"%s", names[0], names[1],
                     count > 2 ? " and more" : "");
}

static size_t find_template(tw_lines *lines, const tw_csv_row *row) {
    const tw_job_data *job = lines->job;
    const char *name = tw_line_text(lines, row, TW_COL_TEMPLATE, TW_NAME_MOST, true);
    size_t at = SIZE_MAX;
    tw_error e = {0};
    if (name != NULL)
        at = index_of(name, lines->template_names, job->template_count);
    if (name == NULL || at != SIZE_MAX || job->broken_templates.open ||
        tw_names_hold(&job->broken_templates, name))
        return at;
    tw_table_fail(lines->table, row, &e, "unknown-template", "template \"%s\" is not in %s", name,
                  job->templates_file);
    hint_names(&e, name, lines->template_names, job->template_count);
    tw_problem(lines->r, &e);
    return SIZE_MAX;
}

/* A blank paper means any of those to choose from, else the job's only one, usable or not. */
static size_t only_paper(tw_lines *lines, const tw_csv_row *row) {
    const tw_job_data *job = lines->job;
    size_t named = job->paper_count + job->broken_papers.count;
    tw_error e = {0};
    if (job->chooses)
        return job->choose_count > 0 ? TW_PAPER_ANY : SIZE_MAX;
    if (named + job->broken_papers.open <= 1)
        return job->paper_count == 1 ? 0 : SIZE_MAX;
    tw_table_fail(lines->table, row, &e, "paper-missing",
                  "no paper is given, and the job has several");
    if (job->paper_count > 0)
        tw_fail_hint(
            &e, "such as \"%s\" in the column \"%s\"; layout.choose names papers to choose from",
            lines->paper_names[0], tw_table_heading(lines->table, TW_COL_PAPER));
    tw_problem(lines->r, &e);
    return SIZE_MAX;
}

static size_t find_paper(tw_lines *lines, const tw_csv_row *row) {
    const tw_job_data *job = lines->job;
    const char *name = tw_table_field(lines->table, row, TW_COL_PAPER);
    size_t at;
    tw_error e = {0};
    if (name[0] == '\0')
        return only_paper(lines, row);
    name = tw_line_text(lines, row, TW_COL_PAPER, TW_NAME_MOST, true);
    at = name == NULL ? SIZE_MAX : index_of(name, lines->paper_names, job->paper_count);
    if (name == NULL || at != SIZE_MAX || job->broken_papers.open ||
        tw_names_hold(&job->broken_papers, name))
        return at;
    tw_table_fail(lines->table, row, &e, "unknown-paper", "paper \"%s\" is not one of the job's",
                  name);
    hint_names(&e, name, lines->paper_names, job->paper_count);
    tw_problem(lines->r, &e);
    return SIZE_MAX;
}

/* All lines together: past the cap it is said once, and nothing more is read. */
static int add_copies(tw_lines *lines, const tw_csv_row *row, int64_t copies) {
    tw_error e = {0};
    lines->prints += copies;
    if (lines->prints <= TW_PRINTS_MOST)
        return (int)copies;
    tw_table_fail(lines->table, row, &e, "too-many-prints",
                  "with this line the copies add up to over %d prints; the rest is not read",
                  TW_PRINTS_MOST);
    tw_problem(lines->r, &e);
    return 1;
}

static int read_copies(tw_lines *lines, const tw_csv_row *row) {
    const char *text = tw_table_field(lines->table, row, TW_COL_COPIES);
    int64_t copies = 1;
    tw_error e = {0};
    if (text[0] == '\0' || (tw_decimal_read(text, 0, TW_COPIES_MOST, &copies) && copies >= 1))
        return add_copies(lines, row, copies);
    tw_table_fail(lines->table, row, &e, "bad-copies",
                  "%s is \"%.40s\"; it may be a whole number from 1 to %d",
                  tw_table_heading(lines->table, TW_COL_COPIES), text, TW_COPIES_MOST);
    tw_problem(lines->r, &e);
    return 1;
}

/* In words that do not show where on this machine the folders lie. */
static void image_problem(tw_lines *lines, const tw_csv_row *row, const char *name,
                          const tw_error *why) {
    bool several = lines->job->image_folder_count > 1;
    tw_error e = *why;
    if (why->code == TW_INPUT && strcmp(why->name, "missing-file") == 0)
        tw_table_fail(lines->table, row, &e, "image-missing",
                      "image \"%s\" is not in the image folder%s", name, several ? "s" : "");
    else if (why->code == TW_INPUT && strcmp(why->name, "outside-folder") == 0)
        tw_table_fail(lines->table, row, &e, why->name,
                      "image \"%s\" lies outside its image folder", name);
    else
        tw_table_fail(lines->table, row, &e, why->name, "image \"%s\": %s", name, why->message);
    e.code = why->code;
    tw_fail_at(&e, lines->table->file, row->line, 0);
    tw_fail_hint(&e, "%s", why->hint);
    tw_problem(lines->r, &e);
}

/* Of two folders' answers: a machine's fault before the person's, "it leads outside" before "it is
 * not there", and that with a hint before one without. */
static bool tells_more(const tw_error *a, const tw_error *b) {
    if (b->code != TW_INPUT || a->code != TW_INPUT)
        return b->code == TW_OK || b->code == TW_INPUT;
    if (!tw_same_name(b->name, "missing-file"))
        return false;
    return !tw_same_name(a->name, "missing-file") || b->hint[0] == '\0';
}

/* In the job's folders in their order. */
static const char *find_image(tw_lines *lines, const tw_csv_row *row, const char *name) {
    const tw_job_data *job = lines->job;
    tw_error first = {0};
    char *path = NULL;
    for (size_t i = 0; i < job->image_folder_count; i++) {
        tw_error e = {0};
        if (tw_path_find_inside(lines->r->arena, job->image_folders[i], name, &path, &e) == TW_OK)
            return path;
        if (tells_more(&e, &first))
            first = e;
    }
    if (first.code == TW_OK)
        return NULL; /* no folder is there: reported with the job */
    image_problem(lines, row, name, &first);
    return NULL;
}

static tw_intent read_intent(tw_lines *lines, const tw_csv_row *row) {
    const char *word = tw_table_field(lines->table, row, TW_COL_INTENT);
    tw_intent intent = TW_INTENT_UNSET;
    tw_error why = {0}, e = {0};
    if (word[0] == '\0' || tw_intent_of(word, &intent, &why))
        return intent;
    tw_table_fail(lines->table, row, &e, why.name, "%s %s",
                  tw_table_heading(lines->table, TW_COL_INTENT), why.message);
    tw_problem(lines->r, &e);
    return TW_INTENT_UNSET;
}

void tw_line_read(tw_lines *lines, const tw_csv_row *row, tw_order *out) {
    memset(out, 0, sizeof *out);
    tw_table_warn_short(lines->r, lines->table, row);
    out->place.file = lines->table->file;
    out->place.line = row->line;
    out->chance = 1000000;
    out->image = tw_line_text(lines, row, TW_COL_IMAGE, TW_PATH_MOST, true);
    if (out->image != NULL)
        out->image_path = find_image(lines, row, out->image);
    out->template_index = find_template(lines, row);
    out->paper_index = find_paper(lines, row);
    out->copies = read_copies(lines, row);
    out->intent = read_intent(lines, row);
    out->title = tw_line_text(lines, row, TW_COL_TITLE, TW_PATH_MOST, false);
}
