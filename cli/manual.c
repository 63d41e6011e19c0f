/* The manual page (roff, man macros) and the completion for bash, from the same tables. */
#include <string.h>

#include "help.h"

/* Text in roff: a dash is \-, a backslash \e, and no line begins with a control character. */
static void roff(FILE *out, const char *text) {
    if (*text == '.' || *text == '\'')
        fputs("\\&", out);
    for (; *text != '\0'; text++)
        if (*text == '-')
            fputs("\\-", out);
        else if (*text == '\\')
            fputs("\\e", out);
        else
            fputc(*text, out);
}

static void man_command(FILE *out, const command_row *row) {
    for (int i = 0; i < 3 && row->forms[i] != NULL; i++) {
        fprintf(out, i == 0 ? ".TP\n" : ".TQ\n");
        fprintf(out, ".B trimwell %s ", row->name);
        roff(out, row->forms[i]);
        fputc('\n', out);
    }
    roff(out, row->about);
    fputc('\n', out);
}

static void man_option(FILE *out, const option_row *row) {
    fprintf(out, ".TP\n.B ");
    if (row->letter != NULL)
        fprintf(out, "\\-%s, ", row->letter);
    fputs("\\-\\-", out);
    roff(out, row->name);
    if (row->value != NULL)
        fprintf(out, " \\fI%s\\fR", row->value);
    fputc('\n', out);
    roff(out, row->help);
    fprintf(out, ". Of: ");
    for (int i = 0, first = 1; i < COMMAND_COUNT; i++) {
        if ((row->commands >> i & 1u) == 0)
            continue;
        fprintf(out, "%s%s", first ? "" : ", ", commands[i].name);
        first = 0;
    }
    fprintf(out, ".\n");
}

static const char json_about[] =
    ".SH JSON\n"
    "With \\-\\-json standard output is one object, also on failure:\n"
    ".BR ok ,\n.BR warnings ,\n.BR error\n(the first, or null),\n.BR errors\nand\n.BR plan\n"
    "(the contents of plan.json, or null). Each message has\n"
    ".BR code ,\n.BR message ,\n.BR file ,\n.BR line ,\n.BR column ,\n.BR pointer\n"
    "and\n.BR hint .\n"
    "compose adds\n.BR written ,\ninspect\n.BR files ,\ncheck with \\-\\-pdf\n.BR pdf ,\nhelp and "
    "start\n"
    ".BR text .\n";

void help_man(FILE *out) {
    fprintf(out, ".TH TRIMWELL 1 \"\" \"trimwell %s\"\n.SH NAME\ntrimwell \\- ", tw_version());
    fprintf(out, "from print orders and images to an economical, cuttable roll layout\n"
                 ".SH SYNOPSIS\n.B trimwell\n.I COMMAND\n[OPTIONS] ...\n.SH COMMANDS\n");
    for (int i = 0; i < COMMAND_COUNT; i++)
        man_command(out, &commands[i]);
    fprintf(out, ".SH OPTIONS\n");
    for (int id = 0; id < OPTION_COUNT; id++)
        man_option(out, &options[id]);
    fputs(json_about, out);
    fprintf(out, ".SH EXIT STATUS\n");
    for (int i = 0; i < exit_count; i++) {
        fprintf(out, ".TP\n.B %d\n", exits[i].code);
        roff(out, exits[i].means);
        fputc('\n', out);
    }
}

static void complete_options(FILE *out, int command) {
    for (int id = 0; id < OPTION_COUNT; id++)
        if (option_belongs((option_id)id, (command_id)command))
            fprintf(out, " --%s", options[id].name);
}

static void complete_values(FILE *out) {
    for (int id = 0; id < OPTION_COUNT; id++)
        if (options[id].choices != NULL)
            fprintf(out, "    --%s) COMPREPLY=($(compgen -W '%s' -- \"$word\")); return ;;\n",
                    options[id].name, options[id].choices);
        else if (options[id].value != NULL)
            fprintf(out, "    --%s) COMPREPLY=($(compgen -f -- \"$word\")); return ;;\n",
                    options[id].name);
}

void help_completion(FILE *out) {
    fprintf(out, "# bash completion for trimwell, made by: trimwell help --completion\n"
                 "_trimwell() {\n"
                 "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}\n"
                 "    local command= i options=\n"
                 "    case $before in\n");
    complete_values(out);
    fprintf(out, "    esac\n"
                 "    for ((i = 1; i < COMP_CWORD; i++)); do\n"
                 "        case ${COMP_WORDS[i]} in -*) ;; *) command=${COMP_WORDS[i]}; break ;; "
                 "esac\n"
                 "    done\n"
                 "    case $command in\n");
    for (int i = 0; i < COMMAND_COUNT; i++) {
        fprintf(out, "    %s) options='", commands[i].name);
        complete_options(out, i);
        fprintf(out, "' ;;\n");
    }
    fprintf(out, "    '') COMPREPLY=($(compgen -W '");
    for (int i = 0; i < COMMAND_COUNT; i++)
        fprintf(out, "%s ", commands[i].name);
    fprintf(out, "--help --version' -- \"$word\")); return ;;\n"
                 "    esac\n"
                 "    case $word in\n"
                 "    -*) COMPREPLY=($(compgen -W \"$options\" -- \"$word\")) ;;\n"
                 "    *) COMPREPLY=($(compgen -f -- \"$word\")) ;;\n"
                 "    esac\n"
                 "}\n"
                 "complete -o filenames -F _trimwell trimwell\n");
}
