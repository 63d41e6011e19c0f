/*
 * The public texts: a job's plan as a table and as JSON, what inspect knows, and the one JSON
 * document in which a run tells another program how it went.
 */
#include "api/handle.h"
#include "job/job.h"
#include "proof/proof.h"
#include "proof/strip.h"
#include "report/report.h"
#include "report/sizes.h"
#include "settle/auto_intent_words.h"

/* Hands the buffer's text over, or says why there is none. */
static tw_code give_text(tw_code code, tw_buffer *buffer, char **out, tw_error *error) {
    *out = NULL;
    if (code == TW_OK && buffer->bytes == NULL)
        tw_buffer_add(buffer, "", 0);
    if (code == TW_OK && (buffer->failed || buffer->bytes == NULL))
        code = tw_no_memory(error);
    if (code == TW_OK)
        *out = buffer->bytes;
    else
        tw_buffer_free(buffer);
    return code;
}

void tw_text_free(const tw_allocator *allocator, char *text) {
    tw_block_free(allocator, text);
}

typedef tw_code plan_writer(const tw_plan_data *plan, tw_buffer *out, tw_error *error);

static tw_code plan_as(tw_job *job, plan_writer *write, char **out, tw_error *error) {
    tw_buffer buffer;
    tw_buffer_start(&buffer, job->run.allocator);
    tw_code code = tw_job_plan(job, error);
    if (code == TW_OK)
        code = write(job->plan, &buffer, error);
    return give_text(code, &buffer, out, error);
}

tw_code tw_job_plan_text(tw_job *job, char **out, tw_error *error) {
    return plan_as(job, tw_plan_text, out, error);
}

tw_code tw_job_plan_json(tw_job *job, char **out, tw_error *error) {
    return plan_as(job, tw_plan_json, out, error);
}

static tw_code intents_text(const tw_plan_data *plan, tw_buffer *out, tw_error *error) {
    return tw_auto_text(plan->job, plan->prints, out, error);
}

tw_code tw_job_intents_text(tw_job *job, char **out, tw_error *error) {
    return plan_as(job, intents_text, out, error);
}

tw_code tw_job_proof(tw_job *job, const char *folder, bool on_paper, char **out, tw_error *error) {
    tw_buffer buffer;
    tw_buffer_start(&buffer, job->run.allocator);
    tw_code code = tw_job_plan(job, error);
    if (code == TW_OK)
        code = tw_proof_write(job->arena, job->data, &job->prints, folder, on_paper, &job->run,
                              &buffer, &job->report, error);
    return give_text(code, &buffer, out, error);
}

tw_code tw_job_strip(tw_job *job, const char *folder, const tw_strip_options *options, char **out,
                     tw_error *error) {
    static const tw_strip_options usual;
    tw_buffer buffer;
    tw_strip_wish wish;
    tw_buffer_start(&buffer, job->run.allocator);
    tw_code code = tw_strip_wish_read(options == NULL ? &usual : options, &wish, error);
    if (code == TW_OK)
        code = tw_job_plan(job, error);
    if (code == TW_OK)
        code = tw_strip_write(job->arena, job->plan, folder, &wish, &job->run, &buffer,
                              &job->report, error);
    return give_text(code, &buffer, out, error);
}

static tw_code inspect(const char *path, const tw_allocator *allocator, bool json, char **out,
                       tw_error *error) {
    tw_buffer buffer;
    tw_arena *arena = tw_arena_new(allocator, 0);
    tw_buffer_start(&buffer, allocator);
    tw_code code = arena == NULL ? tw_no_memory(error)
                                 : tw_inspect_file(arena, path, json ? NULL : &buffer,
                                                   json ? &buffer : NULL, error);
    code = give_text(code, &buffer, out, error);
    tw_arena_free(arena);
    return code;
}

tw_code tw_inspect_text(const char *path, const tw_allocator *allocator, char **out,
                        tw_error *error) {
    return inspect(path, allocator, false, out, error);
}

tw_code tw_inspect_json(const char *path, const tw_allocator *allocator, char **out,
                        tw_error *error) {
    return inspect(path, allocator, true, out, error);
}

static tw_code sizes(tw_arena *arena, const char *paper_name, const char *templates_name,
                     tw_buffer *buffer, tw_error *error) {
    tw_report report;
    tw_paper paper = {0};
    tw_template *templates = NULL;
    size_t count = 0;
    tw_report_start(&report, arena);
    tw_code code = tw_paper_load(arena, ".", paper_name, &report, &paper, error);
    if (code == TW_OK)
        code = tw_templates_load(arena, ".", templates_name, &report, &templates, &count, error);
    return code == TW_OK ? tw_sizes_write(&paper, templates, count, buffer, error) : code;
}

tw_code tw_sizes_text(const char *paper, const char *templates, const tw_allocator *allocator,
                      char **out, tw_error *error) {
    tw_buffer buffer;
    tw_arena *arena = tw_arena_new(allocator, 0);
    tw_buffer_start(&buffer, allocator);
    tw_code code =
        arena == NULL ? tw_no_memory(error) : sizes(arena, paper, templates, &buffer, error);
    code = give_text(code, &buffer, out, error);
    tw_arena_free(arena);
    return code;
}

/* ---------------------------------------------------------------- the result document */

static void add_text_member(tw_buffer *out, const char *key, const char *value) {
    tw_buffer_print(out, ", \"%s\": ", key);
    if (value[0] == '\0')
        tw_buffer_string(out, "null");
    else
        tw_buffer_json_string(out, value);
}

static void add_number_member(tw_buffer *out, const char *key, int value) {
    if (value > 0)
        tw_buffer_print(out, ", \"%s\": %d", key, value);
    else
        tw_buffer_print(out, ", \"%s\": null", key);
}

static void add_message(tw_buffer *out, const tw_error *message) {
    tw_buffer_string(out, "{\"code\": ");
    tw_buffer_json_string(out, message->name == NULL ? "error" : message->name);
    tw_buffer_string(out, ", \"message\": ");
    tw_buffer_json_string(out, message->message);
    add_text_member(out, "file", message->file);
    add_number_member(out, "line", message->line);
    add_number_member(out, "column", message->column);
    add_text_member(out, "pointer", message->pointer);
    add_text_member(out, "hint", message->hint);
    tw_buffer_string(out, "}");
}

static bool is_same_message(const tw_error *a, const tw_error *b) {
    return a->code == b->code && a->line == b->line && a->column == b->column &&
           tw_same_name(a->file, b->file) && tw_same_name(a->message, b->message);
}

static bool is_listed(const tw_messages *list, const tw_error *error) {
    for (size_t i = 0; list != NULL && i < list->count; i++)
        if (is_same_message(error, &list->items[i]))
            return true;
    return false;
}

/* The caller's own (those the job has not listed), then the job's. */
static void add_messages(tw_buffer *out, const char *key, const tw_error *own, size_t own_count,
                         const tw_messages *list) {
    const char *between = "";
    tw_buffer_print(out, ",\n \"%s\": [", key);
    for (size_t i = 0; i < own_count; i++) {
        if (is_listed(list, &own[i]))
            continue;
        tw_buffer_string(out, between);
        add_message(out, &own[i]);
        between = ",\n  ";
    }
    for (size_t i = 0; list != NULL && i < list->count; i++) {
        tw_buffer_string(out, between);
        add_message(out, &list->items[i]);
        between = ",\n  ";
    }
    tw_buffer_string(out, "]");
}

static void add_written(tw_buffer *out, const tw_job *job) {
    tw_buffer_string(out, ",\n \"written\": [");
    for (size_t i = 0; i < tw_job_written_count(job); i++) {
        tw_buffer_string(out, i > 0 ? ", " : "");
        tw_buffer_json_string(out, tw_job_written(job, i));
    }
    tw_buffer_string(out, "]");
}

static tw_code add_plan(tw_buffer *out, const tw_job *job, tw_error *error) {
    tw_code code = TW_OK;
    tw_buffer_string(out, ",\n \"plan\": ");
    if (job == NULL || job->plan == NULL)
        tw_buffer_string(out, "null");
    else
        code = tw_plan_json(job->plan, out, error);
    return code;
}

static void add_extras(tw_buffer *out, const tw_result *result) {
    if (result->text != NULL) {
        tw_buffer_string(out, ",\n \"text\": ");
        tw_buffer_json_string(out, result->text);
    }
    if (result->files != NULL) {
        tw_buffer_string(out, ",\n \"files\": ");
        tw_buffer_string(out, result->files);
    }
    if (result->pdf != NULL) {
        tw_buffer_string(out, ",\n \"pdf\": ");
        tw_buffer_string(out, result->pdf);
    }
    if (result->written && result->job != NULL)
        add_written(out, result->job);
    if (result->job != NULL && result->job->report.dropped > 0)
        tw_buffer_print(out, ",\n \"dropped\": %zu", result->job->report.dropped);
}

tw_code tw_result_json(const tw_result *result, const tw_allocator *allocator, char **out,
                       tw_error *error) {
    const tw_job *job = result->job;
    const tw_messages *errors = job == NULL ? NULL : &job->report.errors;
    const tw_error *first = result->error_count > 0 ? result->errors : NULL;
    size_t own = first == NULL ? 0 : result->error_count;
    tw_buffer buffer;
    tw_buffer_start(&buffer, allocator);
    if (job != NULL && (first == NULL || is_listed(errors, first)))
        first = tw_job_error(job, 0);
    tw_buffer_print(&buffer, "{\"ok\": %s", first == NULL ? "true" : "false");
    add_messages(&buffer, "warnings", NULL, 0, job == NULL ? NULL : &job->report.warnings);
    tw_buffer_string(&buffer, ",\n \"error\": ");
    if (first == NULL)
        tw_buffer_string(&buffer, "null");
    else
        add_message(&buffer, first);
    add_messages(&buffer, "errors", result->errors, own, errors);
    tw_code code = add_plan(&buffer, job, error);
    add_extras(&buffer, result);
    tw_buffer_string(&buffer, "}\n");
    return give_text(code, &buffer, out, error);
}
