/* See account.h. */
#include "account.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char *finish(FILE *out, char **text) {
    if (out != NULL && fclose(out) == 0)
        return *text;
    free(*text);
    return NULL;
}

/* A name from the command line, safe to show: through a message, which cleans it. */
static const char *shown(const char *name, tw_error *room) {
    tw_error_set(room, TW_OK, "name", name, NULL);
    return room->message;
}

char *account_start(const char *folder) {
    size_t length = 0;
    char *text = NULL;
    tw_error room;
    const char *name = shown(folder, &room);
    FILE *out = open_memstream(&text, &length);
    if (out != NULL)
        fprintf(out,
                "Made %s: a small print day that works as it stands.\n"
                "README.txt in it says what to change first. Then:\n"
                "  trimwell check %s\n"
                "  trimwell compose %s -o %s/out\n",
                name, name, name, name);
    return finish(out, &text);
}

typedef const tw_error *message_at(const tw_job *job, size_t index);

static void list_messages(FILE *out, const char *head, const tw_job *job, message_at *at,
                          bool named) {
    char text[2048];
    const tw_error *message = at(job, 0);
    if (message == NULL)
        return;
    fprintf(out, "%s:\n", head);
    for (size_t i = 0; (message = at(job, i)) != NULL; i++) {
        tw_error_text(message, text, sizeof text);
        fprintf(out, named ? "  %s [%s]\n" : "  %s\n", text,
                message->name == NULL ? "" : message->name);
    }
    fputc('\n', out);
}

/* What "auto" came to; nothing where it chose nothing or there is no plan. */
static void say_intents(FILE *out, tw_job *job, const char *behind) {
    char *text = NULL;
    if (tw_job_error_count(job) == 0 && tw_job_intents_text(job, &text, NULL) == TW_OK &&
        text[0] != '\0')
        fprintf(out, "%s%s", text, behind);
    tw_text_free(NULL, text);
}

char *account_check(tw_job *job) {
    size_t errors = tw_job_error_count(job), warnings = tw_job_warning_count(job), length = 0;
    char *text = NULL;
    FILE *out = open_memstream(&text, &length);
    if (out == NULL)
        return NULL;
    list_messages(out, "Errors", job, tw_job_error, false);
    list_messages(out, "Warnings", job, tw_job_warning, true);
    if (tw_job_dropped_count(job) > 0)
        fprintf(out, "and %zu more, not listed\n", tw_job_dropped_count(job));
    say_intents(out, job, "\n");
    fprintf(out, "%zu error%s, %zu warning%s\n", errors, errors == 1 ? "" : "s", warnings,
            warnings == 1 ? "" : "s");
    return finish(out, &text);
}

static void say_totals(FILE *out, tw_job *job, const tw_day_totals *totals, const char *folder) {
    char used[96], bound[96];
    tw_error room;
    const char *name = tw_job_name(job);
    tw_length_text(totals->length, used, sizeof used);
    tw_length_text(totals->bound_length, bound, sizeof bound);
    if (name != NULL)
        fprintf(out, "%s: ", shown(name, &room));
    fprintf(out, "%zu print%s on %zu sheet%s, written to %s\n", totals->prints,
            totals->prints == 1 ? "" : "s", totals->sheets, totals->sheets == 1 ? "" : "s",
            shown(folder, &room));
    for (size_t i = 0; i < tw_job_written_count(job); i++)
        fprintf(out, "  %s\n", shown(tw_job_written(job, i), &room));
    fprintf(out, "Paper: %s; no plan of these prints uses less than %s%s.\n", used, bound,
            totals->bound_stages == 0 ? "" : " (cut in three stages and a trim)");
    fprintf(out, "By hand: %lld cut%s with %lld change%s of the stop.\n",
            (long long)totals->hand_cuts, totals->hand_cuts == 1 ? "" : "s",
            (long long)totals->stop_changes, totals->stop_changes == 1 ? "" : "s");
    if (totals->unplaced > 0)
        fprintf(out, "Left out because the paper is used up: %zu (plan.json lists them).\n",
                totals->unplaced);
}

/* Never both, never neither: the operator is told who converts. */
static const char *colour_words(const char *colour) {
    if (strcmp(colour, "convert") == 0)
        return "converted here for the paper; colour management off in the driver.";
    if (strcmp(colour, "both") == 0)
        return "converted here for papers with a profile (colour management off in the driver), "
               "left to the print path for the others: each sheet's setup card says which.";
    return "every image carries its own profile and nothing is converted here; let the print path "
           "convert for the paper.";
}

char *account_compose(tw_job *job, const char *folder) {
    size_t length = 0;
    char *text = NULL;
    tw_day_totals totals;
    FILE *out = open_memstream(&text, &length);
    if (out == NULL)
        return NULL;
    if (tw_job_totals(job, &totals, NULL) == TW_OK)
        say_totals(out, job, &totals, folder);
    if (tw_job_colour(job) != NULL)
        fprintf(out, "Colour: %s\n", colour_words(tw_job_colour(job)));
    say_intents(out, job, "");
    fprintf(out, "Print at 100 %%: how to set up the driver is on the first page of "
                 "cut-guide.pdf.\n");
    return finish(out, &text);
}
