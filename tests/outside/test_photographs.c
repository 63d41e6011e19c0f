/*
 * A mixed order of real photographs: the wallpapers of Debian's packages lomiri-wallpapers-16.04
 * and mate-backgrounds (progressive and baseline JPEG, JPEG with thumbnails and profiles, PNG with
 * and without alpha). Composed with --strict, every warning accepted by the lines that know of it;
 * the PDFs pass `qpdf --check`, hold each photograph in its own size, and show a picture in each
 * place. Says "skipped" where a package is not installed.
 */
#include "pdf_page.h"
#include "raster.h"
#include "replay.h"

#include <unistd.h>

#define BACKGROUNDS "/usr/share/backgrounds/"

typedef struct photograph {
    const char *file, *name; /* under BACKGROUNDS; in the day */
    int width, height;       /* as `file` (1) tells */
    const char *format;
    int copies;
} photograph;

static const photograph lomiri[] = {
    {"Dragonfly_by_Bolly.jpg", "dragonfly.jpg", 4224, 3168, "11x14", 1},
    {"Wine_by_Jakkub_Mede.jpg", "wine.jpg", 2560, 3837, "8x12", 2},
    {"seeding_by_Clements_Engelhardt.jpg", "seeding.jpg", 5312, 2988, "panorama", 1},
    {"friends_by_Aitzol_Berasategi.jpg", "friends.jpg", 2056, 3088, "30x40", 1},
    {"free_by_Peter_Nerlich.jpg", "free.jpg", 2880, 2160, "5x7", 3},
    {"picosdeeuropa_by_Aitzol_Berasategi.jpg", "picos.jpg", 3264, 2448, "a4", 2},
    {"sunset_by_Aitzol_Berasategi.jpg", "sunset.jpg", 4272, 2848, "20x30", 1},
};

static const photograph mate[] = {
    {"mate/desktop/Ubuntu-Mate-Cold-no-logo.png", "cold.png", 1920, 1280, "5x7", 2},
    {"mate/desktop/Float-into-MATE.png", "float.png", 1440, 900, "small", 3},
    {"mate/desktop/Stripes.png", "stripes.png", 1920, 1200, "small", 2},
    {"mate/abstract/Elephants_5640x3172.jpg", "elephants.jpg", 5640, 3172, "panorama", 1},
    {"mate/nature/LadyBird.jpg", "ladybird.jpg", 2560, 1600, "small", 2},
    {"mate/desktop/GreenTraditional.jpg", "green.jpg", 1900, 1200, "5x7", 1},
};

static const char paper[] =
    "\"kind\": \"roll\", \"width\": \"24in\", \"length\": \"50ft\", "
    "\"margins\": {\"side\": \"1/4in\", \"lead\": \"1/8in\", \"tail\": \"1/8in\"}";
static const char formats[] =
    "{\"name\": \"5x7\", \"size\": \"5x7in\", \"fit\": \"fill\"}, "
    "{\"name\": \"8x12\", \"size\": \"8x12in\", \"border\": \"1/2in\"}, "
    "{\"name\": \"11x14\", \"size\": \"11x14in\", \"border\": {\"top\": \"3/4in\", "
    "\"right\": \"3/4in\", \"bottom\": \"1in\", \"left\": \"3/4in\"}}, "
    "{\"name\": \"a4\", \"size\": \"A4\", \"border\": \"15mm\", \"fit\": \"fill\"}, "
    "{\"name\": \"30x40\", \"size\": \"30x40cm\", \"border\": \"25mm\", \"fit\": \"inside\"}, "
    "{\"name\": \"20x30\", \"size\": \"20x30cm\", \"fit\": \"fill\", \"focus\": [0.3, 0.6]}, "
    "{\"name\": \"panorama\", \"picture\": \"18in\", \"border\": \"1in\"}, "
    "{\"name\": \"small\", \"picture\": \"6in\", \"border\": \"1/2in\"}";

static bool is_here(const photograph *p, size_t count, const char *package) {
    char path[256];
    for (size_t i = 0; i < count; i++) {
        (void)snprintf(path, sizeof path, BACKGROUNDS "%s", p[i].file);
        if (access(path, R_OK) != 0) {
            print_message("skipped: %s is not installed (no %s)\n", package, path);
            return false;
        }
    }
    return true;
}

/* ------------------------------------------------ the day */

/* Every warning that photographs from elsewhere draw, known and accepted. */
static cJSON *compose_order(const photograph *p, size_t count, const char *folder) {
    FILE *orders;
    for (size_t i = 0; i < count; i++)
        shell("cp '" BACKGROUNDS "%s' %s", p[i].file, p[i].name);
    write_day("day", paper, formats, "", ", \"colour\": {\"mode\": \"tag\"}");
    orders = fopen("day/orders.csv", "w");
    assert_non_null(orders);
    (void)fputs("order,image,template,copies,accept\n", orders);
    for (size_t i = 0; i < count; i++)
        (void)fprintf(orders,
                      "%zu,%s,%s,%d,untagged low-ppi uneven-border crops-much near-miss-size\n",
                      100 + i / 2, p[i].name, p[i].format, p[i].copies);
    (void)fclose(orders);
    return compose("day --strict", folder);
}

/* ------------------------------------------------ the pages */

static const photograph *photograph_of(const photograph *p, size_t count, const char *name) {
    for (size_t i = 0; i < count; i++)
        if (strcmp(p[i].name, name) == 0)
            return &p[i];
    return NULL;
}

/* A picture is seen: somewhere in its place is neither white nor one flat colour. */
static void assert_seen(const raster *r, const cJSON *print, int dpi) {
    const cJSON *picture = member(print, "picture");
    double by = dpi / MM_PER_INCH;
    int least = 255, most = 0;
    for (int i = 1; i < 40; i++)
        for (int j = 1; j < 40; j++) {
            double x = number_of(picture, "x") + number_of(picture, "width") * i / 40;
            double y = number_of(picture, "y") + number_of(picture, "height") * j / 40;
            int seen = pixel_at(r, (int)(x * by), (int)(y * by), 0);
            least = seen < least ? seen : least;
            most = seen > most ? seen : most;
        }
    if (most - least < 16)
        fail_msg("print %s (%s) shows nothing: %d to %d", text_of(print, "id"),
                 text_of(print, "image"), least, most);
}

/* Stored once a sheet, in the file's own size. */
static void assert_objects(const cJSON *sheet, const char *file, const pdf_page *page,
                           const photograph *p, size_t count) {
    cJSON *json = pdf_json(file);
    const cJSON *prints = member(sheet, "prints");
    assert_int_equal(page->picture_count, cJSON_GetArraySize(prints));
    for (int i = 0; i < cJSON_GetArraySize(prints); i++) {
        const photograph *photo = photograph_of(p, count, text_of(item(prints, i), "image"));
        const cJSON *image = pdf_object(json, page->pictures[i].object);
        assert_non_null(photo);
        assert_int_equal(number_of(image, "/Width"), photo->width);
        assert_int_equal(number_of(image, "/Height"), photo->height);
        for (int j = 0; j < i; j++) {
            bool same =
                strcmp(text_of(item(prints, i), "image"), text_of(item(prints, j), "image")) == 0;
            assert_int_equal(strcmp(page->pictures[i].object, page->pictures[j].object) == 0, same);
        }
    }
    cJSON_Delete(json);
}

static void assert_sheet(const cJSON *sheet, const photograph *p, size_t count) {
    static pdf_page page;
    char file[64];
    const cJSON *print;
    (void)snprintf(file, sizeof file, "out.d/%s", text_of(sheet, "file"));
    read_pdf_page(file, &page); /* qpdf --check */
    assert_objects(sheet, file, &page, p, count);
    raster r = render(MUPDF, file, 50, false);
    cJSON_ArrayForEach(print, member(sheet, "prints")) {
        assert_seen(&r, print, 50);
    }
    free(r.pixels);
}

static void assert_photographs(const photograph *p, size_t count) {
    int copies = 0;
    const cJSON *sheet;
    cJSON *plan = compose_order(p, count, "out.d");
    shell("qpdf --check out.d/cut-guide.pdf");
    cJSON_ArrayForEach(sheet, member(plan, "sheets")) {
        assert_sheet(sheet, p, count);
    }
    for (size_t i = 0; i < count; i++)
        copies += p[i].copies;
    assert_int_equal(prints_in_all(plan), copies);
    replay_plan(plan, &(paper_rules){6350000, 3175000, 3175000, 0, 3175000});
    cJSON_Delete(plan);
}

static void lomiri_wallpapers(void **state) {
    size_t count = sizeof lomiri / sizeof *lomiri;
    (void)state;
    if (is_here(lomiri, count, "lomiri-wallpapers-16.04"))
        assert_photographs(lomiri, count);
    else
        skip();
}

static void mate_backgrounds(void **state) {
    size_t count = sizeof mate / sizeof *mate;
    (void)state;
    if (is_here(mate, count, "mate-backgrounds"))
        assert_photographs(mate, count);
    else
        skip();
}

/* The other way about: one line knows nothing of its warnings, and --strict refuses the day. */
static void unaccepted(void **state) {
    (void)state;
    if (!is_here(lomiri, 1, "lomiri-wallpapers-16.04"))
        skip();
    cJSON_Delete(compose_order(lomiri, 1, "out.d"));
    write_text("day/orders.csv", "order,image,template\n1,dragonfly.jpg,11x14\n");
    assert_int_equal(try_shell("'%s' compose day --strict -o none.d", TRIMWELL_COMMAND), 3);
    assert_int_not_equal(access("none.d", F_OK), 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lomiri_wallpapers),
        cmocka_unit_test(mate_backgrounds),
        cmocka_unit_test(unaccepted),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
