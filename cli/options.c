/* The tables themselves. */
#include "options.h"

#define ON(command) (1u << (command))
#define EVERY ((1u << COMMAND_COUNT) - 1u)

const command_row commands[COMMAND_COUNT] = {
    [COMMAND_START] = {"start",
                       {"DIR"},
                       1,
                       1,
                       "make a print-day folder that works as it stands, to edit",
                       "Writes a small print day into DIR: job.json, orders.csv, a few drawn "
                       "photographs and a README.txt that says what to change first. DIR must be "
                       "new or empty."},
    [COMMAND_CHECK] = {"check",
                       {"JOB", "--pdf FILE"},
                       1,
                       1,
                       "every problem, before paper is spent",
                       "Reads everything JOB names and lists every error and every warning with "
                       "its file and line. JOB is a job.json or the folder that holds it. The "
                       "word in square brackets after a warning is its name: an order line whose "
                       "accept column holds that name is not warned about again. "
                       "With --pdf it looks at a PDF instead, any sheet, and says of each check "
                       "of PDF/X-4 and PDF/A-2b that a program can make, by clause, whether the "
                       "file passes it. That is no statement of conformance."},
    [COMMAND_PLAN] =
        {"plan",
         {"JOB"},
         1,
         1,
         "how it will lie: sheets, length, waste, bound, cuts",
         "Lays the prints out and says what each sheet holds, how much paper is "
         "used, the least any plan could use, how many cuts are made by hand, and "
         "what other plans would come to: the one marked * is laid out. Also which roll "
         "or kept offcut each sheet goes on, what other papers would cost, and which "
         "waste is worth keeping."},
    [COMMAND_COMPOSE] = {"compose",
                         {"JOB -o DIR", "--paper P --template T [-n COPIES] IMAGE... -o DIR"},
                         1,
                         -1,
                         "everything to print and cut",
                         "Writes one PDF a sheet (sheet-01.pdf and so on), cut-guide.pdf and "
                         "plan.json into DIR, all of them or none. Sheets of an earlier run that "
                         "are no longer part are removed; nothing else in DIR is touched. The "
                         "second form needs no job file: P is a paper's file or shipped name, T "
                         "a shipped template's name, FILE#NAME, or a size such as 8x10in."},
    [COMMAND_PROOF] = {"proof",
                       {"JOB -o DIR"},
                       1,
                       1,
                       "what the paper will show",
                       "Writes for each print whose colours are converted to its paper's profile "
                       "a soft proof (proof-001-ID.png, sRGB), a map of where the paper shows "
                       "other colours than wanted (gamut-001-ID.png: grey under 1.5 CIEDE2000, "
                       "yellow to 3, orange to 6, red to 10, violet above) and proof.json with "
                       "the figures into DIR, all of them or none. It warns where a picture's "
                       "edge is paper white beside a white border. What it saw of the images "
                       "stays in DIR/.trimwell-views: a proof into DIR again does not decode "
                       "those that stand as they did. "
                       "With --strip it writes a test strip of each paper instead, to be printed "
                       "before the day: strip-01-PAPER.pdf and strip.json. Each image shows its "
                       "template's focus, or the part with most detail, at print scale for "
                       "several intents or exposures. The strip goes into the day's waste where "
                       "it fits (the file is that sheet with the strip in it), else onto a kept "
                       "offcut or a cut sheet, else onto the roll, and its cost is said. "
                       "strip-patches.png is the picture of the patches that --wedge and "
                       "--patches add. Judge a strip after dry-down in the light it will hang in."},
    [COMMAND_SIZES] = {"sizes",
                       {"PAPER [TEMPLATES]"},
                       1,
                       2,
                       "what each format costs on this roll",
                       "Says for each format of TEMPLATES (usually frames-inch) how many lie "
                       "across PAPER either way, how much of its width is lost, what paper one "
                       "print costs alone and in a full row, and which two formats fill a row "
                       "together. PAPER and TEMPLATES are files or shipped names."},
    [COMMAND_INSPECT] = {"inspect",
                         {"FILE..."},
                         1,
                         -1,
                         "what is known of an image or profile",
                         "Says size, depth, colour, orientation, resolution and profile of each "
                         "PNG, JPEG or TIFF image, or what an ICC profile says of itself."},
    [COMMAND_HELP] = {"help",
                      {"[COMMAND]"},
                      0,
                      1,
                      "this help, or that of one command",
                      "The same as COMMAND --help. With --man it prints the manual page in roff, "
                      "with --completion the completion for bash."},
};

const option_row options[OPTION_COUNT] = {
    [OPTION_OUTPUT] = {"output", "o", "DIR", NULL, ON(COMMAND_COMPOSE) | ON(COMMAND_PROOF),
                       "the folder to write into; made when it is missing"},
    [OPTION_ONE_FILE] = {"one-file", NULL, NULL, NULL, ON(COMMAND_COMPOSE),
                         "one PDF of many pages for each paper, instead of one for each sheet"},
    [OPTION_GUIDE_PAPER] = {"guide-paper", NULL, "SIZE", "a4 letter", ON(COMMAND_COMPOSE),
                            "the paper the cut guide is printed on: a4 (usual) or letter"},
    [OPTION_PAPER] = {"paper", NULL, "P", NULL, ON(COMMAND_COMPOSE),
                      "without a job file: the paper, a file or a shipped name"},
    [OPTION_TEMPLATE] = {"template", NULL, "T", NULL, ON(COMMAND_COMPOSE),
                         "without a job file: the template, a name, FILE#NAME or a size"},
    [OPTION_COPIES] = {"copies", "n", "COPIES", NULL, ON(COMMAND_COMPOSE),
                       "without a job file: how many of each image (usually 1)"},
    [OPTION_PIXELS] = {"pixels", NULL, NULL, NULL, ON(COMMAND_CHECK),
                       "decode every image whole, to find damage that nothing else shows"},
    [OPTION_ACCEPT_DAMAGED] = {"accept-damaged", NULL, NULL, NULL,
                               ON(COMMAND_CHECK) | ON(COMMAND_PLAN) | ON(COMMAND_COMPOSE) |
                                   ON(COMMAND_PROOF),
                               "print damaged images as far as they go: what is intact, and white "
                               "for the rest; each is warned of and said on the plan"},
    [OPTION_EFFORT] = {"effort", NULL, "HOW", "quick normal thorough",
                       ON(COMMAND_CHECK) | ON(COMMAND_PLAN) | ON(COMMAND_COMPOSE),
                       "how long to look for less paper: quick, normal (usual) or thorough"},
    [OPTION_PLAN] = {"plan", NULL, "WHAT", "price paper cuts rows",
                     ON(COMMAND_CHECK) | ON(COMMAND_PLAN) | ON(COMMAND_COMPOSE),
                     "what is wanted most: price (usual; paper, and work where the job gives it a "
                     "price), paper (least of it), cuts (fewest by hand) or rows (equal prints in "
                     "equal rows)"},
    [OPTION_STRICT] = {"strict", NULL, NULL, NULL,
                       ON(COMMAND_CHECK) | ON(COMMAND_PLAN) | ON(COMMAND_COMPOSE),
                       "warnings stop it too: nothing is written, exit code 3"},
    [OPTION_PDF] = {"pdf", NULL, NULL, NULL, ON(COMMAND_CHECK),
                    "look at a PDF sheet instead of a job: the checks of PDF/X-4 and PDF/A-2b"},
    [OPTION_SHOW] = {"show", NULL, "HOW", "paper screen", ON(COMMAND_PROOF),
                     "with the paper's own white and black (paper, usual), or stretched to the "
                     "screen's (screen)"},
    [OPTION_STRIP] = {"strip", NULL, NULL, NULL, ON(COMMAND_PROOF),
                      "a test strip of each paper instead: a detail of each image at print scale, "
                      "several times over"},
    [OPTION_DETAIL] = {"detail", NULL, "SIDE", NULL, ON(COMMAND_PROOF),
                       "with --strip: the side of a detail, 1/2in to 6in (usual: 1 1/2in)"},
    [OPTION_VARY] = {"vary", NULL, "WHAT", "intents exposure", ON(COMMAND_PROOF),
                     "with --strip: repeat each detail for intents (usual where colours are "
                     "converted here) or exposure (usual elsewhere)"},
    [OPTION_STEP] = {"step", NULL, "STOP", "1/6 1/4 1/3 1/2", ON(COMMAND_PROOF),
                     "with --strip: the step of exposure, in stops (usual: 1/3)"},
    [OPTION_WEDGE] = {"wedge", NULL, NULL, NULL, ON(COMMAND_PROOF),
                      "with --strip: add a neutral wedge, L* 0 to 100 in tens"},
    [OPTION_PATCHES] = {"patches", NULL, NULL, NULL, ON(COMMAND_PROOF),
                        "with --strip: add a row of colour patches"},
    [OPTION_MEASURED] = {"measured", NULL, "CSV", NULL, ON(COMMAND_PROOF),
                         "with --strip and --wedge or --patches: what a meter saw of them (columns "
                         "patch,L,a,b), to be compared with what the profile promises"},
    [OPTION_MAN] = {"man", NULL, NULL, NULL, ON(COMMAND_HELP), "the manual page, in roff"},
    [OPTION_COMPLETION] = {"completion", NULL, NULL, NULL, ON(COMMAND_HELP),
                           "the completion for bash"},
    [OPTION_QUIET] = {"quiet", "q", NULL, NULL, EVERY,
                      "no progress and no account of what was written; problems are still said"},
    [OPTION_JSON] = {"json", NULL, NULL, NULL, EVERY,
                     "one JSON document on standard output, also when it fails"},
    [OPTION_HELP] = {"help", "h", NULL, NULL, EVERY, "this help, or that of the command"},
    [OPTION_VERSION] = {"version", NULL, NULL, NULL, EVERY, "the version"},
};

const exit_row exits[] = {
    {0, "done (there may have been warnings)"},
    {2, "the command line is wrong"},
    {3, "--strict, and there were warnings: nothing was written"},
    {4, "something that was named is missing, wrong, damaged or too big, or a checked PDF fails"},
    {5, "the machine failed, or the run was stopped: nothing half-written is left"},
    {70, "a fault of Trimwell itself"},
};
const int exit_count = sizeof exits / sizeof exits[0];

bool option_belongs(option_id option, command_id command) {
    return (options[option].commands & ON(command)) != 0;
}

command_id command_of(const command_row *command) {
    return (command_id)(command - commands);
}
