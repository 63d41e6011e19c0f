/*
 * A chart of 216 patches on sheets written in both modes, rendered to the paper's profile by
 * Ghostscript (-sOutputICCProfile) and by poppler (pdftoppm -displayprofile): the numbers that come
 * out, read as that paper's colours, lie within CIEDE2000 1.0 on average and 3.0 at most of those
 * intended. Intended is what lcms2's transicc makes of the chart's numbers: to the paper by
 * relative colorimetric, as the sheets are converted, and to L*a*b*.
 */
#include "outside.h"
#include "raster.h"

#include "colour/ciede2000.h"

#define SIDE 6 /* steps of a channel: 6 x 6 x 6 patches */
#define PATCHES (SIDE * SIDE * SIDE)
#define ACROSS 18
#define DOWN (PATCHES / ACROSS)
#define SIZE 80 /* pixels of a patch in the image */
#define DPI 72
#define PAPER COLOUR_PROFILES "/satin.icc"
#define SRGB "/usr/share/color/icc/sRGB.icc"

static int chart[PATCHES][3];
static tw_lab intended[PATCHES];

static void make_chart(void) {
    for (int i = 0; i < PATCHES; i++) {
        int level[3] = {i % SIDE, i / SIDE % SIDE, i / SIDE / SIDE};
        for (int c = 0; c < 3; c++)
            chart[i][c] = level[c] * 51;
    }
    FILE *file = fopen("chart.ppm", "wb");
    assert_non_null(file);
    fprintf(file, "P6\n%d %d\n255\n", ACROSS * SIZE, DOWN * SIZE);
    for (int y = 0; y < DOWN * SIZE; y++)
        for (int x = 0; x < ACROSS * SIZE; x++)
            for (int c = 0; c < 3; c++)
                fputc(chart[y / SIZE * ACROSS + x / SIZE][c], file);
    fclose(file);
    shell("convert chart.ppm -profile %s PNG24:chart.png", SRGB);
}

/* The L*a*b* that `lines` of a file become through transicc. */
static void read_labs(const char *command, tw_lab *out) {
    FILE *answer = popen(command, "r");
    assert_non_null(answer);
    for (int i = 0; i < PATCHES; i++)
        if (fscanf(answer, "%lf %lf %lf", &out[i].l, &out[i].a, &out[i].b) != 3)
            fail_msg("patch %d: no answer from %s", i, command);
    pclose(answer);
}

static void write_numbers(const char *name, int numbers[PATCHES][3]) {
    FILE *file = fopen(name, "w");
    assert_non_null(file);
    for (int i = 0; i < PATCHES; i++)
        fprintf(file, "%d %d %d\n", numbers[i][0], numbers[i][1], numbers[i][2]);
    fclose(file);
}

static void find_intended(const char *black_point) {
    char command[600];
    write_numbers("numbers", chart);
    (void)snprintf(command, sizeof command,
                   "transicc -n -t1 %s -i %s -o %s <numbers 2>/dev/null | "
                   "transicc -n -t1 -i %s -o '*Lab' 2>/dev/null",
                   black_point, SRGB, PAPER, PAPER);
    read_labs(command, intended);
}

/* The middle of each patch where plan.json says the picture lies. */
static void read_patches(const raster *page, const cJSON *print, int seen[PATCHES][3]) {
    const cJSON *picture = member(print, "picture");
    double x = number_of(picture, "x"), y = number_of(picture, "y");
    double width = number_of(picture, "width"), height = number_of(picture, "height");
    cJSON *turned = cJSON_GetObjectItem(print, "turned");
    assert_false(cJSON_IsTrue(turned));
    for (int i = 0; i < PATCHES; i++)
        for (int c = 0; c < 3; c++) {
            double across = x + width * (i % ACROSS + 0.5) / ACROSS;
            double down = y + height * (i / ACROSS + 0.5) / DOWN;
            seen[i][c] = pixel_at(page, (int)(across / MM_PER_INCH * DPI),
                                  (int)(down / MM_PER_INCH * DPI), c);
        }
}

static void assert_intended(const char *who, int seen[PATCHES][3]) {
    char command[600];
    tw_lab labs[PATCHES];
    double sum = 0, worst = 0;
    int at = 0;
    write_numbers("seen", seen);
    (void)snprintf(command, sizeof command, "transicc -n -t1 -i %s -o '*Lab' <seen 2>/dev/null",
                   PAPER);
    read_labs(command, labs);
    for (int i = 0; i < PATCHES; i++) {
        double far = tw_ciede2000(labs[i], intended[i]);
        sum += far;
        if (far > worst) {
            worst = far;
            at = i;
        }
    }
    print_message("%s: mean %.3f, largest %.3f of %d patches\n", who, sum / PATCHES, worst,
                  PATCHES);
    if (sum / PATCHES > 1.0 || worst > 3.0)
        fail_msg("%s: CIEDE2000 mean %.3f, largest %.3f at patch %d (%d %d %d), printed %d %d %d",
                 who, sum / PATCHES, worst, at, chart[at][0], chart[at][1], chart[at][2],
                 seen[at][0], seen[at][1], seen[at][2]);
}

static raster read_ppm(const char *name) {
    raster r = {.channels = 3};
    FILE *file = fopen(name, "rb");
    assert_non_null(file);
    char line[200];
    if (fgets(line, sizeof line, file) == NULL || strcmp(line, "P6\n") != 0)
        fail_msg("%s is no PPM", name);
    do /* Ghostscript puts a comment here */
        assert_non_null(fgets(line, sizeof line, file));
    while (line[0] == '#');
    assert_int_equal(sscanf(line, "%d %d", &r.width, &r.height), 2);
    assert_non_null(fgets(line, sizeof line, file)); /* 255 */
    size_t length = (size_t)r.width * (size_t)r.height * 3;
    r.pixels = malloc(length);
    assert_non_null(r.pixels);
    assert_int_equal(fread(r.pixels, 1, length, file), length);
    fclose(file);
    return r;
}

static void check_renderer(const char *who, const cJSON *plan) {
    int seen[PATCHES][3];
    raster page = read_ppm("page.ppm");
    const cJSON *sheet = item(member(plan, "sheets"), 0);
    read_patches(&page, item(member(sheet, "prints"), 0), seen);
    assert_intended(who, seen);
    free(page.pixels);
}

static cJSON *make_sheet(const char *mode) {
    char settings[200], folder[40];
    (void)snprintf(settings, sizeof settings, ", \"colour\": {\"mode\": \"%s\"}", mode);
    (void)snprintf(folder, sizeof folder, "day-%s", mode);
    write_day(
        folder,
        "\"kind\": \"roll\", \"width\": \"24in\", \"length\": \"10m\", \"margins\": {\"side\": "
        "\"5mm\", \"lead\": \"5mm\", \"tail\": \"5mm\"}, \"profile\": \"" PAPER "\"",
        "{\"name\": \"t\", \"size\": \"20x14in\", \"border\": \"1in\", \"lie\": \"upright\"}",
        "1,chart.png,t,1\n", settings);
    return compose(folder, "sheets.d");
}

/* poppler compensates for black in nothing; converted sheets have it in their numbers. */
static void both_renderers(const char *mode) {
    char who[100];
    cJSON *plan = make_sheet(mode);
    find_intended("-b");
    shell("gs -q -dNOPAUSE -dBATCH -dSAFER -sDEVICE=ppmraw -r%d -dRenderIntent=1 -dBlackPtComp=1 "
          "-sOutputICCProfile=%s --permit-file-read=%s -sOutputFile=page.ppm sheets.d/sheet-01.pdf",
          DPI, PAPER, PAPER);
    (void)snprintf(who, sizeof who, "%s, Ghostscript", mode);
    check_renderer(who, plan);
    find_intended(strcmp(mode, "convert") == 0 ? "-b" : "");
    shell("pdftoppm -r %d -displayprofile %s -singlefile sheets.d/sheet-01.pdf page", DPI, PAPER);
    (void)snprintf(who, sizeof who, "%s, poppler", mode);
    check_renderer(who, plan);
    cJSON_Delete(plan);
}

static void converted_colours_arrive(void **state) {
    (void)state;
    both_renderers("convert");
}

static void tagged_colours_arrive(void **state) {
    (void)state;
    both_renderers("tag");
}

static int start(void **state) {
    int code = enter_folder(state);
    if (code == 0)
        make_chart();
    return code;
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(converted_colours_arrive),
                                       cmocka_unit_test(tagged_colours_arrive)};
    if (system("command -v transicc >/dev/null") != 0) {
        puts("skipped: transicc is not here");
        return 77;
    }
    return cmocka_run_group_tests(tests, start, leave_folder);
}
