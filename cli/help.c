/* Help for people, from the tables: of everything, or of one command. */
#include "help.h"

#include <string.h>

enum { LINE = 79, OPTION_COLUMN = 26 };

/* `text` wrapped to the line, every line but the first indented. `at` is the column now. */
static void wrap(FILE *out, const char *text, int at, int indent) {
    while (*text != '\0') {
        int length = (int)strcspn(text, " ");
        if (at + length > LINE && at > indent) {
            fprintf(out, "\n%*s", indent, "");
            at = indent;
        }
        fprintf(out, "%.*s", length, text);
        text += length;
        at += length;
        if (*text == ' ') {
            text++;
            if (at + 1 + (int)strcspn(text, " ") <= LINE) {
                fputc(' ', out);
                at++;
            } else {
                fprintf(out, "\n%*s", indent, "");
                at = indent;
            }
        }
    }
    fputc('\n', out);
}

static void help_option(FILE *out, const option_row *row) {
    char left[64], letter[8] = "    ";
    if (row->letter != NULL)
        snprintf(letter, sizeof letter, "-%s, ", row->letter);
    snprintf(left, sizeof left, "  %s--%s%s%s", letter, row->name, row->value != NULL ? " " : "",
             row->value != NULL ? row->value : "");
    fprintf(out, "%-*s", OPTION_COLUMN, left);
    wrap(out, row->help, OPTION_COLUMN, OPTION_COLUMN);
}

static void help_forms(FILE *out, const command_row *row, const char *before) {
    for (int i = 0; i < 3 && row->forms[i] != NULL; i++)
        fprintf(out, "%strimwell %s %s\n", i == 0 ? before : "       ", row->name, row->forms[i]);
}

static void help_exits(FILE *out) {
    fprintf(out, "\nExit codes:\n");
    for (int i = 0; i < exit_count; i++) {
        fprintf(out, "  %2d  ", exits[i].code);
        wrap(out, exits[i].means, 6, 6);
    }
}

void help_command(FILE *out, const command_row *row) {
    help_forms(out, row, "Usage: ");
    fputc('\n', out);
    wrap(out, row->about, 0, 0);
    fprintf(out, "\nOptions:\n");
    for (int id = 0; id < OPTION_COUNT; id++)
        if (option_belongs((option_id)id, command_of(row)))
            help_option(out, &options[id]);
    help_exits(out);
}

void help_all(FILE *out) {
    fprintf(out, "Usage: trimwell COMMAND [OPTIONS] ...\n\n"
                 "From print orders and images to an economical, cuttable roll layout.\n\n"
                 "Commands:\n");
    for (int i = 0; i < COMMAND_COUNT; i++) {
        help_forms(out, &commands[i], "       ");
        fprintf(out, "%10s", "");
        wrap(out, commands[i].summary, 10, 10);
    }
    fprintf(out, "\nOptions:\n");
    for (int id = 0; id < OPTION_COUNT; id++)
        help_option(out, &options[id]);
    help_exits(out);
    fprintf(out, "\nEach command says more: trimwell COMMAND --help\n");
}
