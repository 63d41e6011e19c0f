/*
 * The command line in two tables, commands and options. The parser, the help, the manual page
 * and the shell completion all read them, so that none can promise what another lacks.
 */
#ifndef CLI_OPTIONS_H
#define CLI_OPTIONS_H

#include "trimwell.h"

typedef enum command_id {
    COMMAND_START,
    COMMAND_CHECK,
    COMMAND_PLAN,
    COMMAND_COMPOSE,
    COMMAND_PROOF,
    COMMAND_SIZES,
    COMMAND_INSPECT,
    COMMAND_HELP,
    COMMAND_COUNT
} command_id;

typedef struct command_row {
    const char *name;
    const char *forms[3];              /* what follows the name, one line each; NULL ends */
    int operands_least, operands_most; /* most -1: any number */
    const char *summary;               /* one line */
    const char *about;                 /* a paragraph */
} command_row;

typedef enum option_id {
    OPTION_OUTPUT,
    OPTION_ONE_FILE,
    OPTION_GUIDE_PAPER,
    OPTION_PAPER,
    OPTION_TEMPLATE,
    OPTION_COPIES,
    OPTION_PIXELS,
    OPTION_ACCEPT_DAMAGED,
    OPTION_EFFORT,
    OPTION_PLAN,
    OPTION_STRICT,
    OPTION_PDF,
    OPTION_SHOW,
    OPTION_STRIP,
    OPTION_DETAIL,
    OPTION_VARY,
    OPTION_STEP,
    OPTION_WEDGE,
    OPTION_PATCHES,
    OPTION_MEASURED,
    OPTION_MAN,
    OPTION_COMPLETION,
    OPTION_QUIET,
    OPTION_JSON,
    OPTION_HELP,
    OPTION_VERSION,
    OPTION_COUNT
} option_id;

typedef struct option_row {
    const char *name;    /* without the dashes */
    const char *letter;  /* one; NULL: none */
    const char *value;   /* what its value stands for; NULL: it takes none */
    const char *choices; /* the words allowed, a blank between; NULL: any */
    unsigned commands;   /* bit n: belongs to command n */
    const char *help;
} option_row;

typedef struct exit_row {
    int code;
    const char *means;
} exit_row;

extern const command_row commands[COMMAND_COUNT];
extern const option_row options[OPTION_COUNT];
extern const exit_row exits[];
extern const int exit_count;

/* What was asked for. */
typedef struct request {
    const command_row *command; /* NULL: none was named (then --help or --version was) */
    bool given[OPTION_COUNT];
    const char *value[OPTION_COUNT];
    const char **operands; /* room for every word; the caller's */
    int operand_count;
    int copies;
} request;

bool option_belongs(option_id option, command_id command);
command_id command_of(const command_row *command);

/* The row of that name; TW_USAGE with the nearest name. */
TW_USE_RESULT tw_code find_command(const char *name, const command_row **out, tw_error *error);

/* TW_USAGE with a plain sentence and the nearest name. --json found anywhere before "--" is
 * noted first, so that even a usage error is answered in JSON. */
TW_USE_RESULT tw_code parse_words(int count, char **words, request *out, tw_error *error);

#endif
