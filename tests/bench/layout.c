/*
 * How good and how quick the layout is, run by hand:
 *
 *     bench-layout [photo|strip|free|cut|scale|all] [quick|normal|thorough] [CLASS]
 *
 * Photo days P1 to P4 on a 24 in roll and with 23.5 in usable; strip packing classes of Hopper &
 * Turton (European Journal of Operational Research 128, 2001), gap to the free-packing optimum, in
 * three stages (strip) and to any depth (free), of one CLASS 1 to 7 if asked; full rolls cut apart,
 * whose shortest plan is known; scale from 100 to 100 000 prints. Seconds are the processor's. Data
 * files are looked for in TRIMWELL_DATA (usual
 * ../shared/data); what is not there is skipped. Every plan is judged by the referee.
 *
 * Bands may be as long as the sheet, so the photo days set a long longest_sheet (120 in, the
 * usual is 60 in): with short sheets the bound itself is higher.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include "layout/layout.h"

enum { LINES_MOST = 512 };

typedef struct day {
    tw_nm width, height;
    struct {
        tw_nm width, height;
        int copies;
    } lines[LINES_MOST];
    size_t count;
} day;

typedef struct result {
    tw_layout layout; /* numbers only: its arrays are gone */
    int64_t hand_cuts;
    double seconds; /* of the processor, laying out alone */
} result;

static const char *data_folder(void) {
    const char *folder = getenv("TRIMWELL_DATA");
    return folder == NULL ? "../shared/data" : folder;
}

static FILE *open_data(const char *name) {
    char path[1024];
    snprintf(path, sizeof path, "%s/%s", data_folder(), name);
    return fopen(path, "r");
}

static void add_line(day *d, tw_nm width, tw_nm height, int copies) {
    if (d->count == LINES_MOST)
        return;
    d->lines[d->count].width = width;
    d->lines[d->count].height = height;
    d->lines[d->count++].copies = copies;
}

/* ---------------------------------------------------------------- one day laid out */

static tw_piece *make_pieces(const day *d, size_t *count) {
    size_t total = 0;
    for (size_t i = 0; i < d->count; i++)
        total += (size_t)d->lines[i].copies;
    tw_piece *pieces = calloc(total + 1, sizeof *pieces);
    if (pieces == NULL)
        exit(5);
    *count = 0;
    for (size_t i = 0; i < d->count; i++)
        for (int k = 0; k < d->lines[i].copies; k++)
            pieces[(*count)++] = (tw_piece){.width = d->lines[i].width,
                                            .height = d->lines[i].height,
                                            .visible = {{TW_IN, TW_IN, TW_IN, TW_IN}},
                                            .may_turn = true,
                                            .group = -1,
                                            .alike = -1,
                                            .pin_sheet = -1,
                                            .image = -1};
    return pieces;
}

static result lay(const day *d, tw_layout_settings settings, tw_nm longest) {
    static const tw_trimmer_limits no_limits = {0, 0};
    tw_layout_problem problem = {.settings = settings};
    tw_error error = {0};
    tw_cuts cuts = {0};
    result made = {0};
    tw_piece *pieces = make_pieces(d, &problem.count);
    problem.pieces = pieces;
    problem.stock = (tw_stock){.roll = true,
                               .width = d->width,
                               .length = INT64_MAX / 4,
                               .longest_sheet = longest,
                               .machine_cuts = true};
    tw_arena *arena = tw_arena_new(NULL, 0);
    clock_t start = clock();
    tw_code code = tw_layout_make(arena, &problem, &made.layout, &error);
    made.seconds = (double)(clock() - start) / CLOCKS_PER_SEC;
    if (code == TW_OK)
        code = tw_cuts_make(arena, &problem, &made.layout, &no_limits, &cuts, &error);
    if (code == TW_OK)
        code = tw_referee_check(&problem, &made.layout, &cuts, &error);
    if (code != TW_OK) {
        printf("\n%s\n", error.message);
        exit(1);
    }
    made.hand_cuts = cuts.hand_cuts;
    tw_arena_free(arena);
    free(pieces);
    return made;
}

static tw_layout_settings usual(int64_t steps, int stages) {
    return (tw_layout_settings){
        .turn = true, .narrowest_strip = TW_IN / 8, .stages = stages, .steps = steps};
}

/* ---------------------------------------------------------------- photo days */

static bool read_day(const char *name, day *d) {
    char path[64];
    long width, height, copies, across;
    *d = (day){0};
    snprintf(path, sizeof path, "photo-days/%s.csv", name);
    FILE *file = open_data(path);
    if (file == NULL || fscanf(file, "%ld", &across) != 1)
        return false;
    while (fscanf(file, "%ld,%ld,%ld", &width, &height, &copies) == 3)
        add_line(d, width * (TW_IN / 64), height * (TW_IN / 64), (int)copies);
    fclose(file);
    return true;
}

static void typed_day(const int (*lines)[3], day *d) {
    *d = (day){0};
    for (int i = 0; lines[i][0] != 0; i++)
        add_line(d, lines[i][0] * TW_IN, lines[i][1] * TW_IN, lines[i][2]);
}

static bool take_day(int number, day *d) {
    static const int p1[][3] = {{8, 10, 14}, {11, 14, 6}, {12, 18, 4},
                                {16, 24, 3}, {20, 30, 1}, {0, 0, 0}};
    static const int p2[][3] = {{5, 7, 40},  {8, 10, 30}, {8, 12, 12}, {11, 14, 10},
                                {16, 20, 6}, {18, 24, 4}, {0, 0, 0}};
    if (number <= 2)
        typed_day(number == 1 ? p1 : p2, d);
    return number <= 2 || read_day(number == 3 ? "P3" : "P4", d);
}

static void photo_days(int64_t steps) {
    printf("photo days, longest sheet 120 in, three cut stages and a trim\n");
    printf("%-10s %10s %10s %7s %8s %8s\n", "day", "length in", "bound in", "sheets", "cuts",
           "seconds");
    for (int number = 1; number <= 4; number++)
        for (int half = 0; half < 2; half++) {
            day d;
            if (!take_day(number, &d)) {
                printf("P%d skipped: no data in %s\n", number, data_folder());
                break;
            }
            d.width = 24 * TW_IN - half * (TW_IN / 2);
            result r = lay(&d, usual(steps, 3), 120 * TW_IN);
            printf("P%d %-7s %10.3f %10.3f %7d %8lld %8.2f\n", number, half ? "23.5" : "24",
                   (double)r.layout.used / TW_IN, (double)r.layout.bound / TW_IN,
                   r.layout.sheet_count, (long long)r.hand_cuts, r.seconds);
            fflush(stdout);
        }
}

/* ---------------------------------------------------------------- strip packing */

typedef struct strip {
    char name[16];
    int class_number;
    double optimum;
    day d;
} strip;

/* "name width optimum count AxB AxB ...": one unit is one inch here. */
static bool read_strip(char *line, strip *out) {
    char *rest = NULL;
    const char *name = strtok_r(line, "\t ", &rest);
    const char *fields[3];
    *out = (strip){0};
    for (int i = 0; i < 3; i++)
        fields[i] = strtok_r(NULL, "\t ", &rest);
    if (name == NULL || name[0] != 'C' || fields[2] == NULL)
        return false;
    snprintf(out->name, sizeof out->name, "%s", name);
    out->class_number = name[1] - '0';
    out->d.width = atol(fields[0]) * TW_IN;
    out->optimum = (double)atol(fields[1]);
    for (char *item = strtok_r(NULL, "\t \n", &rest); item != NULL;
         item = strtok_r(NULL, "\t \n", &rest)) {
        long a, b;
        if (sscanf(item, "%ldx%ld", &a, &b) == 2)
            add_line(&out->d, a * TW_IN, b * TW_IN, 1);
    }
    return out->d.count > 0;
}

static void strips(int64_t steps, int stages, int only) {
    char line[8192];
    double gaps[8] = {0}, seconds = 0, slowest = 0;
    int counts[8] = {0};
    FILE *file = open_data("strip-packing-c.tsv");
    if (file == NULL) {
        printf("strip packing skipped: no data in %s\n", data_folder());
        return;
    }
    printf("strip packing, turning allowed, %s\n",
           stages == 0 ? "any cut depth" : "three cut stages and a trim");
    while (fgets(line, sizeof line, file) != NULL) {
        strip s;
        if (!read_strip(line, &s) || (only != 0 && s.class_number != only))
            continue;
        tw_layout_settings settings = usual(steps, stages);
        settings.narrowest_strip = 0;
        result r = lay(&s.d, settings, 0);
        double gap = ((double)r.layout.used / TW_IN / s.optimum - 1) * 100;
        gaps[s.class_number] += gap;
        counts[s.class_number]++;
        seconds += r.seconds;
        slowest = r.seconds > slowest ? r.seconds : slowest;
    }
    fclose(file);
    for (int c = 1; c < 8; c++)
        if (counts[c] > 0)
            printf("   C%d %.1f", c, gaps[c] / counts[c]);
    printf("   (%% over the free optimum; %.1f s in all, at most %.2f s)\n", seconds, slowest);
}

/* ---------------------------------------------------------------- rolls cut apart */

static uint64_t roll_random(uint64_t *state, int below) {
    *state = *state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (*state >> 33) % (uint64_t)below;
}

/* A part taken at random is cut at random where that leaves no side under 3 in. */
static void cut_roll(int prints, uint64_t seed, day *d) {
    int length = 40 + prints * 3;
    *d = (day){.width = 24 * TW_IN};
    add_line(d, d->width, length * TW_IN, 1);
    for (int tries = 0; (int)d->count < prints && tries < 50 * prints; tries++) {
        size_t part = roll_random(&seed, (int)d->count);
        bool across = roll_random(&seed, 2) == 0;
        tw_nm *side = across ? &d->lines[part].height : &d->lines[part].width;
        int room = (int)(*side / TW_IN) - 6;
        if (room < 0)
            continue;
        tw_nm at = (3 + (tw_nm)roll_random(&seed, room + 1)) * TW_IN;
        add_line(d, across ? d->lines[part].width : *side - at,
                 across ? *side - at : d->lines[part].height, 1);
        *side = at;
    }
}

static void cut_rolls(int64_t steps) {
    printf("24 in rolls cut apart without waste, to any depth: %% over the shortest plan\n");
    for (int prints = 10; prints <= 160; prints *= 2) {
        double gaps = 0, seconds = 0;
        for (uint64_t seed = 1; seed <= 5; seed++) {
            day d;
            cut_roll(prints, seed, &d);
            result r = lay(&d, usual(steps, 0), 0);
            gaps += ((double)r.layout.used / TW_IN / (40 + prints * 3) - 1) * 20;
            seconds += r.seconds / 5;
        }
        printf("%8d prints %8.2f   (%.2f s each)\n", prints, gaps, seconds);
        fflush(stdout);
    }
}

/* ---------------------------------------------------------------- scale */

static void scale_day(int sizes, int prints, day *d) {
    uint64_t random = 12345;
    *d = (day){.width = 24 * TW_IN};
    for (int i = 0; i < sizes; i++) {
        random = random * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
        tw_nm width = (4 + (tw_nm)(random >> 33) % 14) * TW_IN;
        tw_nm height = (5 + (tw_nm)(random >> 48) % 20) * TW_IN;
        add_line(d, width, height, prints / sizes + (i < prints % sizes));
    }
}

/* The most memory the process has held so far (getrusage, kibibytes on Linux). */
static long peak_mebibytes(void) {
    struct rusage usage;
    return getrusage(RUSAGE_SELF, &usage) == 0 ? usage.ru_maxrss / 1024 : -1;
}

static void scale_row(int sizes, int prints, int64_t steps) {
    day d;
    scale_day(sizes, prints, &d);
    result r = lay(&d, usual(steps, 3), 60 * TW_IN);
    printf("%8d %6d %12.1f %12.1f %8.2f %9ld\n", prints, sizes, (double)r.layout.used / TW_FT,
           (double)r.layout.bound / TW_FT, r.seconds, peak_mebibytes());
    fflush(stdout);
}

static void scale(void) {
    printf("scale: 10 000 prints of 40 sizes at normal, then the curve at quick\n");
    printf("%8s %6s %12s %12s %8s %9s\n", "prints", "sizes", "length ft", "bound ft", "seconds",
           "peak MiB");
    scale_row(40, 10000, TW_STEPS_NORMAL);
    for (int prints = 100; prints <= 100000; prints *= 10)
        scale_row(40, prints, TW_STEPS_QUICK);
}

int main(int argc, char **argv) {
    const char *what = argc > 1 ? argv[1] : "all";
    const char *effort = argc > 2 ? argv[2] : "normal";
    bool all = strcmp(what, "all") == 0;
    int only = argc > 3 ? atoi(argv[3]) : 0;
    int64_t steps = strcmp(effort, "quick") == 0      ? TW_STEPS_QUICK
                    : strcmp(effort, "thorough") == 0 ? TW_STEPS_THOROUGH
                                                      : TW_STEPS_NORMAL;
    if (all || strcmp(what, "photo") == 0)
        photo_days(steps);
    if (all || strcmp(what, "strip") == 0)
        strips(steps, 3, only);
    if (all || strcmp(what, "free") == 0)
        strips(steps, 0, only);
    if (all || strcmp(what, "cut") == 0)
        cut_rolls(steps);
    if (all || strcmp(what, "scale") == 0)
        scale();
    return 0;
}
