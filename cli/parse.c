/*
 * Words to a request, by the tables. Options may stand anywhere, also before the command and
 * after operands; "--" ends them. Names are never abbreviated: a script must not change its
 * meaning when an option is added.
 */
#include <stdio.h>
#include <string.h>

#include "options.h"

enum { COPIES_MOST = 10000, TEXT = 512 };

typedef struct words {
    char **all;
    int count, at;
    bool ended; /* "--" was seen */
} words;

static tw_code usage(tw_error *error, const char *name, const char *message, const char *hint) {
    return tw_error_set(error, TW_USAGE, name, message, hint);
}

static tw_code unknown_option(const char *seen, const char *name, tw_error *error) {
    const char *names[OPTION_COUNT];
    char message[TEXT], hint[TEXT] = "trimwell --help lists them";
    for (int i = 0; i < OPTION_COUNT; i++)
        names[i] = options[i].name;
    const char *near = tw_nearest_name(name, names, OPTION_COUNT);
    snprintf(message, sizeof message, "unknown option \"%.200s\"", seen);
    if (near != NULL)
        snprintf(hint, sizeof hint, "nearest: --%s", near);
    return usage(error, "unknown-option", message, hint);
}

static tw_code unknown_command(const char *seen, tw_error *error) {
    const char *names[COMMAND_COUNT];
    char message[TEXT], hint[TEXT] = "trimwell --help lists them";
    for (int i = 0; i < COMMAND_COUNT; i++)
        names[i] = commands[i].name;
    const char *near = tw_nearest_name(seen, names, COMMAND_COUNT);
    snprintf(message, sizeof message, "unknown command \"%.200s\"", seen);
    if (near != NULL)
        snprintf(hint, sizeof hint, "nearest: %s", near);
    return usage(error, "unknown-command", message, hint);
}

tw_code find_command(const char *name, const command_row **out, tw_error *error) {
    for (int i = 0; i < COMMAND_COUNT; i++)
        if (strcmp(commands[i].name, name) == 0) {
            *out = &commands[i];
            return TW_OK;
        }
    return unknown_command(name, error);
}

/* Is `word` one of the blank-separated words? */
static bool is_among(const char *word, const char *list) {
    size_t length = strlen(word);
    for (const char *at = list; length > 0 && (at = strstr(at, word)) != NULL; at += length)
        if ((at == list || at[-1] == ' ') && (at[length] == ' ' || at[length] == '\0'))
            return true;
    return false;
}

static tw_code take_value(request *out, int id, const char *value, tw_error *error) {
    char message[TEXT], hint[TEXT];
    const option_row *row = &options[id];
    if (row->choices != NULL && !is_among(value, row->choices)) {
        snprintf(message, sizeof message, "--%s \"%.200s\" is none of its words", row->name, value);
        snprintf(hint, sizeof hint, "one of: %s", row->choices);
        return usage(error, "bad-value", message, hint);
    }
    if (out->given[id] && strcmp(out->value[id], value) != 0) {
        snprintf(message, sizeof message, "--%s is given twice, \"%.150s\" and \"%.150s\"",
                 row->name, out->value[id], value);
        return usage(error, "given-twice", message, NULL);
    }
    out->given[id] = true;
    out->value[id] = value;
    return TW_OK;
}

/* The next word as an option's value. One that begins with a dash is more likely an option
 * after a forgotten value than a folder's name. */
static tw_code next_value(words *in, request *out, int id, tw_error *error) {
    char message[TEXT], hint[TEXT];
    const option_row *row = &options[id];
    const char *next = in->at < in->count ? in->all[in->at] : NULL;
    if (next == NULL || (next[0] == '-' && next[1] != '\0')) {
        snprintf(message, sizeof message, "--%s needs a value: --%s %s", row->name, row->name,
                 row->value);
        snprintf(hint, sizeof hint, "a value that begins with a dash is written --%s=VALUE",
                 row->name);
        return usage(error, "no-value", message, next == NULL ? NULL : hint);
    }
    in->at++;
    return take_value(out, id, next, error);
}

static tw_code read_long(words *in, const char *word, request *out, tw_error *error) {
    const char *name = word + 2, *equals = strchr(name, '=');
    size_t length = equals == NULL ? strlen(name) : (size_t)(equals - name);
    char known[64], message[TEXT];
    snprintf(known, sizeof known, "%.*s", length < 60 ? (int)length : 60, name);
    for (int id = 0; id < OPTION_COUNT; id++) {
        if (strcmp(options[id].name, known) != 0)
            continue;
        if (options[id].value == NULL && equals != NULL) {
            snprintf(message, sizeof message, "--%s takes no value; \"%.200s\" was given", known,
                     equals + 1);
            return usage(error, "no-value-wanted", message, NULL);
        }
        if (options[id].value != NULL)
            return equals != NULL ? take_value(out, id, equals + 1, error)
                                  : next_value(in, out, id, error);
        out->given[id] = true;
        return TW_OK;
    }
    return unknown_option(word, known, error);
}

static int option_with_letter(char letter) {
    for (int id = 0; id < OPTION_COUNT; id++)
        if (options[id].letter != NULL && options[id].letter[0] == letter)
            return id;
    return -1;
}

/* "-q", "-o DIR", "-oDIR", and letters without values together. */
static tw_code read_short(words *in, const char *word, request *out, tw_error *error) {
    for (const char *at = word + 1; *at != '\0'; at++) {
        int id = option_with_letter(*at);
        if (id < 0)
            return unknown_option(word, word + 1, error);
        if (options[id].value != NULL)
            return at[1] != '\0' ? take_value(out, id, at + 1, error)
                                 : next_value(in, out, id, error);
        out->given[id] = true;
    }
    return TW_OK;
}

static tw_code read_word(words *in, request *out, tw_error *error) {
    const char *word = in->all[in->at++];
    if (!in->ended && strcmp(word, "--") == 0) {
        in->ended = true;
        return TW_OK;
    }
    if (!in->ended && strncmp(word, "--", 2) == 0)
        return read_long(in, word, out, error);
    if (!in->ended && word[0] == '-' && word[1] != '\0')
        return read_short(in, word, out, error);
    if (out->command == NULL)
        return find_command(word, &out->command, error);
    out->operands[out->operand_count++] = word;
    return TW_OK;
}

static tw_code check_operands(const request *in, tw_error *error) {
    const command_row *row = in->command;
    char message[TEXT], hint[TEXT];
    int count = in->operand_count;
    if (count >= row->operands_least && (row->operands_most < 0 || count <= row->operands_most))
        return TW_OK;
    bool quick = in->given[OPTION_PAPER] && row->forms[1] != NULL;
    snprintf(hint, sizeof hint, "trimwell %s %s", row->name, row->forms[quick]);
    if (count < row->operands_least)
        snprintf(message, sizeof message, "%s was not told what to work on", row->name);
    else
        snprintf(message, sizeof message, "%s does not know what to do with \"%.200s\"", row->name,
                 in->operands[row->operands_most]);
    return usage(error, "operands", message, hint);
}

static tw_code check_belonging(const request *in, tw_error *error) {
    char message[TEXT];
    for (int id = 0; id < OPTION_COUNT; id++) {
        if (!in->given[id] || option_belongs((option_id)id, command_of(in->command)))
            continue;
        snprintf(message, sizeof message, "--%s is not an option of %s", options[id].name,
                 in->command->name);
        return usage(error, "foreign-option", message, NULL);
    }
    return TW_OK;
}

static tw_code read_copies(request *in, tw_error *error) {
    const char *text = in->value[OPTION_COPIES];
    char message[TEXT];
    in->copies = 1;
    if (text == NULL)
        return TW_OK;
    in->copies = 0;
    for (const char *at = text; *at >= '0' && *at <= '9' && in->copies <= COPIES_MOST; at++)
        in->copies = in->copies * 10 + (*at - '0');
    if (text[strspn(text, "0123456789")] == '\0' && in->copies >= 1 && in->copies <= COPIES_MOST)
        return TW_OK;
    snprintf(message, sizeof message, "--copies \"%.200s\": it must be a whole number, 1 to %d",
             text, COPIES_MOST);
    return usage(error, "bad-copies", message, NULL);
}

/* What is said of a strip means nothing without one, and --show nothing with one. */
static tw_code check_strip(const request *in, tw_error *error) {
    static const option_id of_strips[] = {OPTION_DETAIL, OPTION_VARY,    OPTION_STEP,
                                          OPTION_WEDGE,  OPTION_PATCHES, OPTION_MEASURED};
    char message[TEXT];
    bool chart = in->given[OPTION_WEDGE] || in->given[OPTION_PATCHES];
    const char *vary = in->value[OPTION_VARY];
    for (size_t i = 0; i < sizeof of_strips / sizeof of_strips[0] && !in->given[OPTION_STRIP];
         i++) {
        if (!in->given[of_strips[i]])
            continue;
        snprintf(message, sizeof message, "--%s is for test strips: it needs --strip too",
                 options[of_strips[i]].name);
        return usage(error, "strip-option", message, "trimwell proof --strip JOB -o DIR");
    }
    if (in->given[OPTION_STRIP] && in->given[OPTION_SHOW])
        return usage(error, "show-with-strip", "--show is for proofs on a screen, not for --strip",
                     NULL);
    if (in->given[OPTION_STEP] && vary != NULL && strcmp(vary, "intents") == 0)
        return usage(error, "step-of-intents", "--step is of exposure, not of intents",
                     "--vary exposure");
    if (in->given[OPTION_MEASURED] && !chart)
        return usage(error, "nothing-measured",
                     "--measured compares the neutral wedge or the patch row",
                     "add --wedge, --patches or both, as on the strip that was measured");
    return TW_OK;
}

static tw_code check_proof(const request *in, tw_error *error) {
    tw_code code = check_strip(in, error);
    if (code != TW_OK || (in->given[OPTION_OUTPUT] && in->value[OPTION_OUTPUT][0] != '\0'))
        return code;
    return usage(error, "no-output", "proof needs a folder to write into",
                 "trimwell proof JOB -o DIR");
}

/* compose has two forms, told apart by --paper and --template. */
static tw_code check_compose(const request *in, tw_error *error) {
    bool paper = in->given[OPTION_PAPER], format = in->given[OPTION_TEMPLATE];
    char message[TEXT];
    if (!in->given[OPTION_OUTPUT] || in->value[OPTION_OUTPUT][0] == '\0')
        return usage(error, "no-output", "compose needs a folder to write into",
                     "trimwell compose JOB -o DIR");
    if (paper != format)
        return usage(error, "half-quick",
                     paper ? "--paper needs --template too" : "--template needs --paper too",
                     "trimwell compose --paper P --template T IMAGE... -o DIR");
    if (!paper && in->given[OPTION_COPIES])
        return usage(error, "copies-in-job", "--copies is for images without a job file",
                     "a job's copies are in its orders");
    if (paper || in->operand_count == 1)
        return TW_OK;
    snprintf(message, sizeof message, "compose takes one JOB; \"%.200s\" is one too many",
             in->operands[1]);
    return usage(error, "operands", message,
                 "without a job file, --paper and --template are needed");
}

/* What is said of a job means nothing for a PDF. */
static tw_code check_check(const request *in, tw_error *error) {
    static const option_id of_jobs[] = {OPTION_STRICT, OPTION_EFFORT, OPTION_PIXELS};
    char message[TEXT];
    for (size_t i = 0; i < sizeof of_jobs / sizeof of_jobs[0] && in->given[OPTION_PDF]; i++) {
        if (!in->given[of_jobs[i]])
            continue;
        snprintf(message, sizeof message, "--%s is for jobs: it means nothing with --pdf",
                 options[of_jobs[i]].name);
        return usage(error, "job-option-with-pdf", message, "trimwell check --pdf FILE");
    }
    return TW_OK;
}

static tw_code check_request(request *in, tw_error *error) {
    tw_code code;
    if (in->command == NULL && (in->given[OPTION_HELP] || in->given[OPTION_VERSION]))
        return TW_OK;
    /* The help without a command lists these two, so they must work without one as well. */
    if (in->command == NULL && (in->given[OPTION_MAN] || in->given[OPTION_COMPLETION]))
        in->command = &commands[COMMAND_HELP];
    if (in->command == NULL)
        return usage(error, "no-command", "say what to do", "trimwell --help lists the commands");
    if ((code = check_belonging(in, error)) != TW_OK || in->given[OPTION_HELP] ||
        in->given[OPTION_VERSION])
        return code;
    if ((code = check_operands(in, error)) != TW_OK || (code = read_copies(in, error)) != TW_OK)
        return code;
    if (command_of(in->command) == COMMAND_CHECK)
        return check_check(in, error);
    if (command_of(in->command) == COMMAND_PROOF)
        return check_proof(in, error);
    return command_of(in->command) == COMMAND_COMPOSE ? check_compose(in, error) : TW_OK;
}

static void look_for_json(int count, char **all, request *out) {
    for (int i = 0; i < count && strcmp(all[i], "--") != 0; i++)
        if (strcmp(all[i], "--json") == 0)
            out->given[OPTION_JSON] = true;
}

tw_code parse_words(int count, char **all, request *out, tw_error *error) {
    words in = {.all = all, .count = count};
    look_for_json(count, all, out);
    while (in.at < in.count) {
        tw_code code = read_word(&in, out, error);
        if (code != TW_OK)
            return code;
    }
    return check_request(out, error);
}
