/* The commands: each makes an outcome through trimwell.h and prints nothing itself. */
#include "commands.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "account.h"
#include "help.h"

/* A place in the outcome for the next error; past the last they overwrite it. */
static tw_error *next_error(outcome *out) {
    if (out->error_count < OWN_ERRORS_MOST)
        out->error_count++;
    tw_error *place = &out->errors[out->error_count - 1];
    memset(place, 0, sizeof *place);
    return place;
}

/* Note what a call ended with. Each call writes into a spare error, kept only on failure. */
static bool went_well(outcome *out, tw_code code, const tw_error *error) {
    if (code != TW_OK)
        *next_error(out) = *error;
    return code == TW_OK;
}

static void take_text(outcome *out, char *text) {
    if (text == NULL)
        tw_error_set(next_error(out), TW_MEMORY, "no-memory", "there is not enough memory", NULL);
    free(out->text);
    out->text = text;
}

/* The words are those of the option's row. */
static void set_plan(const request *in, outcome *out) {
    static const struct {
        const char *word;
        tw_plan_kind plan;
    } plans[] = {{"price", TW_PLAN_PRICE},
                 {"paper", TW_PLAN_PAPER},
                 {"cuts", TW_PLAN_CUTS},
                 {"rows", TW_PLAN_ROWS}};
    const char *word = in->value[OPTION_PLAN];
    for (size_t i = 0; word != NULL && out->job != NULL && i < sizeof plans / sizeof *plans; i++)
        if (strcmp(plans[i].word, word) == 0)
            tw_job_set_plan(out->job, plans[i].plan);
}

static void set_wishes(const request *in, outcome *out) {
    set_plan(in, out);
    if (out->job != NULL)
        tw_job_set_accept_damaged(out->job, in->given[OPTION_ACCEPT_DAMAGED]);
    const char *how = in->value[OPTION_EFFORT];
    if (how == NULL || out->job == NULL)
        return;
    tw_job_set_effort(out->job, strcmp(how, "quick") == 0      ? TW_EFFORT_QUICK
                                : strcmp(how, "thorough") == 0 ? TW_EFFORT_THOROUGH
                                                               : TW_EFFORT_NORMAL);
}

static bool open_job(const request *in, outcome *out) {
    tw_error error = {0};
    tw_code code = tw_job_open(in->operands[0], out->run, &out->job, &error);
    set_wishes(in, out);
    return went_well(out, code, &error);
}

/* With --strict any warning is an error of its own. */
static bool is_strict_enough(const request *in, outcome *out) {
    size_t count = tw_job_warning_count(out->job);
    char message[128];
    if (!in->given[OPTION_STRICT] || count == 0 || tw_job_error_count(out->job) > 0)
        return true;
    snprintf(message, sizeof message, "%zu warning%s, and --strict allows none", count,
             count == 1 ? "" : "s");
    tw_error_set(next_error(out), TW_STRICT, "strict", message, NULL);
    return false;
}

static void run_start(const request *in, outcome *out) {
    tw_error error = {0};
    if (!went_well(out, tw_start(in->operands[0], out->run, &error), &error))
        return;
    out->text_in_json = true;
    take_text(out, account_start(in->operands[0]));
}

/* The report comes also when checks failed. */
static void run_check_pdf(const request *in, outcome *out) {
    tw_error error = {0};
    char *text = NULL;
    bool json = in->given[OPTION_JSON];
    tw_code code = json ? tw_pdf_check_json(in->operands[0], NULL, &text, &error)
                        : tw_pdf_check_text(in->operands[0], NULL, &text, &error);
    (void)went_well(out, code, &error);
    if (json)
        out->pdf = text;
    else if (text != NULL)
        take_text(out, text);
}

static void run_check(const request *in, outcome *out) {
    tw_error error = {0};
    if (in->given[OPTION_PDF]) {
        run_check_pdf(in, out);
        return;
    }
    if (!open_job(in, out))
        return;
    tw_code code = in->given[OPTION_PIXELS] ? tw_job_check_pixels(out->job, &error)
                                            : tw_job_check(out->job, &error);
    if (!went_well(out, code, &error))
        return;
    out->listed = true;
    take_text(out, account_check(out->job));
    (void)is_strict_enough(in, out);
}

static void run_plan(const request *in, outcome *out) {
    tw_error error = {0};
    char *text = NULL;
    if (!open_job(in, out) || !went_well(out, tw_job_plan(out->job, &error), &error) ||
        !is_strict_enough(in, out))
        return;
    if (went_well(out, tw_job_plan_text(out->job, &text, &error), &error))
        take_text(out, text);
}

static bool open_quick(const request *in, outcome *out) {
    tw_error error = {0};
    tw_quick quick = {.paper = in->value[OPTION_PAPER],
                      .template_name = in->value[OPTION_TEMPLATE],
                      .copies = in->copies,
                      .images = in->operands,
                      .image_count = (size_t)in->operand_count};
    tw_code code = tw_job_open_quick(&quick, out->run, &out->job, &error);
    set_wishes(in, out);
    return went_well(out, code, &error);
}

static void run_compose(const request *in, outcome *out) {
    tw_error error = {0};
    const char *guide = in->value[OPTION_GUIDE_PAPER], *folder = in->value[OPTION_OUTPUT];
    tw_compose_options how = {.one_file = in->given[OPTION_ONE_FILE],
                              .letter = guide != NULL && strcmp(guide, "letter") == 0,
                              .strict = in->given[OPTION_STRICT]};
    if (!(in->given[OPTION_PAPER] ? open_quick(in, out) : open_job(in, out)))
        return;
    if (!went_well(out, tw_job_compose(out->job, folder, &how, &error), &error))
        return;
    out->written = true;
    if (!in->given[OPTION_QUIET])
        take_text(out, account_compose(out->job, folder));
}

/* The words are those of the options' rows. */
static tw_strip_options strip_options(const request *in) {
    static const struct {
        const char *word;
        int twelfths;
    } steps[] = {{"1/6", 2}, {"1/4", 3}, {"1/3", 4}, {"1/2", 6}};
    const char *vary = in->value[OPTION_VARY], *step = in->value[OPTION_STEP];
    tw_strip_options how = {.detail = in->value[OPTION_DETAIL],
                            .wedge = in->given[OPTION_WEDGE],
                            .patches = in->given[OPTION_PATCHES],
                            .measured = in->value[OPTION_MEASURED]};
    if (vary != NULL)
        how.vary = strcmp(vary, "intents") == 0 ? TW_STRIP_INTENTS : TW_STRIP_EXPOSURE;
    for (size_t i = 0; step != NULL && i < sizeof steps / sizeof steps[0]; i++)
        if (strcmp(steps[i].word, step) == 0)
            how.step = steps[i].twelfths;
    return how;
}

static void run_proof(const request *in, outcome *out) {
    tw_error error = {0};
    char *text = NULL;
    const char *show = in->value[OPTION_SHOW];
    bool on_paper = show == NULL || strcmp(show, "paper") == 0;
    if (!open_job(in, out))
        return;
    tw_strip_options strip = strip_options(in);
    const char *folder = in->value[OPTION_OUTPUT];
    tw_code code = in->given[OPTION_STRIP]
                       ? tw_job_strip(out->job, folder, &strip, &text, &error)
                       : tw_job_proof(out->job, folder, on_paper, &text, &error);
    if (!went_well(out, code, &error) || !is_strict_enough(in, out)) {
        tw_text_free(NULL, text);
        return;
    }
    out->text_in_json = true;
    take_text(out, text);
}

static void run_sizes(const request *in, outcome *out) {
    tw_error error = {0};
    char *text = NULL;
    const char *templates = in->operand_count > 1 ? in->operands[1] : "frames-inch";
    if (!went_well(out, tw_sizes_text(in->operands[0], templates, NULL, &text, &error), &error))
        return;
    out->text_in_json = true;
    take_text(out, text);
}

/* One FILE after the other; one that cannot be read does not hide the next. */
static void run_inspect(const request *in, outcome *out) {
    size_t length = 0, found = 0;
    bool json = in->given[OPTION_JSON];
    char *all = NULL, *text;
    FILE *list = open_memstream(&all, &length);
    for (int i = 0; list != NULL && i < in->operand_count; i++) {
        tw_error error = {0};
        tw_code code = json ? tw_inspect_json(in->operands[i], NULL, &text, &error)
                            : tw_inspect_text(in->operands[i], NULL, &text, &error);
        if (!went_well(out, code, &error))
            continue;
        fprintf(list, "%s%s", found++ == 0 ? "" : json ? ", " : "\n", text);
        tw_text_free(NULL, text);
    }
    if (list != NULL && fclose(list) != 0) {
        free(all);
        all = NULL;
    }
    if (!json || all == NULL) {
        take_text(out, all);
        return;
    }
    out->files = malloc(length + 3);
    if (out->files != NULL)
        snprintf(out->files, length + 3, "[%s]", all);
    free(all);
}

static void run_help(const request *in, outcome *out) {
    size_t length = 0;
    char *text = NULL;
    const command_row *about = in->command;
    tw_error error = {0};
    if (about != NULL && command_of(about) == COMMAND_HELP && !in->given[OPTION_HELP])
        about = NULL;
    if (about == NULL && in->operand_count > 0 &&
        !went_well(out, find_command(in->operands[0], &about, &error), &error))
        return;
    FILE *page = open_memstream(&text, &length);
    if (page != NULL && in->given[OPTION_MAN])
        help_man(page);
    else if (page != NULL && in->given[OPTION_COMPLETION])
        help_completion(page);
    else if (page != NULL && about != NULL)
        help_command(page, about);
    else if (page != NULL)
        help_all(page);
    if (page != NULL)
        fclose(page);
    out->text_in_json = true;
    take_text(out, text);
}

static void run_version(outcome *out) {
    size_t length = 0;
    char *text = NULL;
    FILE *line = open_memstream(&text, &length);
    if (line != NULL) {
        fprintf(line, "trimwell %s\n", tw_version());
        fclose(line);
    }
    out->text_in_json = true;
    take_text(out, text);
}

void run_command(const request *in, outcome *out) {
    static void (*const bodies[COMMAND_COUNT])(const request *, outcome *) = {
        [COMMAND_START] = run_start,     [COMMAND_CHECK] = run_check, [COMMAND_PLAN] = run_plan,
        [COMMAND_COMPOSE] = run_compose, [COMMAND_PROOF] = run_proof, [COMMAND_SIZES] = run_sizes,
        [COMMAND_INSPECT] = run_inspect, [COMMAND_HELP] = run_help,
    };
    if (in->given[OPTION_HELP])
        run_help(in, out);
    else if (in->given[OPTION_VERSION] || in->command == NULL)
        run_version(out);
    else
        bodies[command_of(in->command)](in, out);
}

void outcome_free(outcome *out) {
    free(out->text);
    free(out->files);
    free(out->pdf);
    tw_job_close(out->job);
}
