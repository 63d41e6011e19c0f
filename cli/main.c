/*
 * The command. Reads the words, runs the command, then tells how it went: messages on standard
 * error, the result on standard output, or with --json one document there; and the exit code.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "commands.h"
#include "terminal.h"

static tw_code code_of(const outcome *result) {
    if (result->error_count > 0)
        return result->errors[0].code;
    const tw_error *first = result->job == NULL ? NULL : tw_job_error(result->job, 0);
    return first == NULL ? TW_OK : first->code;
}

/* What ended the run may be one of the job's errors as well: said once. */
static bool is_of_job(const outcome *result, const tw_error *error) {
    char text[2048], other[2048];
    const tw_error *of_job;
    tw_error_text(error, text, sizeof text);
    for (size_t i = 0; result->job != NULL && (of_job = tw_job_error(result->job, i)) != NULL;
         i++) {
        tw_error_text(of_job, other, sizeof other);
        if (strcmp(text, other) == 0)
            return true;
    }
    return false;
}

static void say_messages(const outcome *result) {
    const tw_error *message;
    for (size_t i = 0; i < result->error_count; i++)
        if (result->listed || !is_of_job(result, &result->errors[i]))
            say_error(&result->errors[i]);
    if (result->job == NULL || result->listed)
        return;
    for (size_t i = 0; (message = tw_job_error(result->job, i)) != NULL; i++)
        say_error(message);
    for (size_t i = 0; (message = tw_job_warning(result->job, i)) != NULL; i++)
        say_warning(message);
}

static tw_code put_document(const outcome *result, tw_error *error) {
    char *text = NULL;
    tw_result told = {.job = result->job,
                      .errors = result->errors,
                      .error_count = result->error_count,
                      .written = result->written,
                      .text = result->text_in_json ? result->text : NULL,
                      .files = result->files,
                      .pdf = result->pdf};
    tw_code code = tw_result_json(&told, NULL, &text, error);
    if (code == TW_OK)
        code = put_result(text, error);
    tw_text_free(NULL, text);
    return code;
}

/* Messages first: what follows may fail because standard output is gone. */
static int tell(const request *asked, const outcome *result) {
    tw_error error = {0};
    tw_code code = TW_OK;
    if (asked->given[OPTION_JSON]) {
        code = put_document(result, &error);
    } else {
        say_messages(result);
        if (result->text != NULL)
            code = put_result(result->text, &error);
    }
    if (code != TW_OK)
        say_error(&error);
    return tw_exit_code(code != TW_OK ? code : code_of(result));
}

int main(int count, char **words) {
    static outcome result;
    progress bar;
    terminal_prepare();
    request asked = {.operands = calloc((size_t)count + 1, sizeof *asked.operands)};
    if (asked.operands == NULL)
        return tw_exit_code(TW_MEMORY);
    tw_code code = parse_words(count - 1, words + 1, &asked, &result.errors[0]);
    result.error_count = code != TW_OK;
    progress_prepare(&bar, asked.given[OPTION_QUIET] || asked.given[OPTION_JSON]);
    tw_run run = {.progress = progress_step, .cancelled = progress_cancelled, .context = &bar};
    result.run = &run;
    if (code == TW_OK)
        run_command(&asked, &result);
    progress_end(&bar);
    int exit_code = tell(&asked, &result);
    outcome_free(&result);
    free((void *)asked.operands);
    return exit_code;
}
