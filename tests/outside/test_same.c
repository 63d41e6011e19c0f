/*
 * Same input, same bytes: a day composed twice into two folders gives the same files, and its
 * orders written in another order of lines give the same sheets. No published source: it is what
 * anybody who prints a sheet again tomorrow counts on (common practice).
 */
#include "make_image.h"
#include "outside.h"

static const char paper[] =
    "\"kind\": \"roll\", \"width\": \"24in\", \"length\": \"50ft\", "
    "\"margins\": {\"side\": \"1/4in\", \"lead\": \"1/8in\", \"tail\": \"1/8in\"}";
static const char formats[] =
    "{\"name\": \"8x10\", \"size\": \"8x10in\", \"border\": \"1/2in\"}, "
    "{\"name\": \"5x7\", \"size\": \"5x7in\", \"fit\": \"fill\"}, "
    "{\"name\": \"30x40\", \"size\": \"30x40cm\", \"border\": \"25mm\", \"fit\": \"fill\"}";

/* The lines of an order keep together or not: neither may matter. */
static const char *const lines[] = {
    "1,wide.png,8x10,3\n", "1,high.jpg,5x7,4\n",  "2,wide.png,30x40,2\n", "3,high.jpg,8x10,1\n",
    "3,deep.png,5x7,2\n",  "4,deep.png,8x10,2\n", "4,wide.png,5x7,1\n",   "5,high.jpg,30x40,1\n",
};
#define LINES (sizeof lines / sizeof *lines)

/* Line number by + step i, round and round: step has no factor in common with their number. */
static void write_orders(const char *day, size_t first, size_t step) {
    char orders[512];
    size_t used = 0;
    for (size_t i = 0; i < LINES; i++)
        used += (size_t)snprintf(orders + used, sizeof orders - used, "%s",
                                 lines[(first + step * i) % LINES]);
    write_day(day, paper, formats, orders, "");
}

static void make_images(void) {
    make_png("wide.png", &(made_png){.width = 1200, .height = 900, .type = 2, .depth = 8});
    make_png("deep.png", &(made_png){.width = 800, .height = 800, .type = 2, .depth = 16});
    make_jpeg("high.jpg", &(made_jpeg){.width = 900, .height = 1200, .components = 3});
}

static void twice_the_same(void **state) {
    (void)state;
    make_images();
    write_orders("day", 0, 1);
    cJSON_Delete(compose("day", "one.d"));
    cJSON_Delete(compose("day", "two.d"));
    shell("diff -r one.d two.d");
    shell("test -s one.d/sheet-01.pdf && test -s one.d/cut-guide.pdf");
}

/* In another folder, on another day, in another part of the world. */
static void elsewhere_the_same(void **state) {
    (void)state;
    make_images();
    write_orders("day", 0, 1);
    cJSON_Delete(compose("day", "one.d"));
    shell("mkdir -p far/away && cp -R day *.png *.jpg far/away && find far -exec touch -d "
          "2001-02-03 {} +");
    shell("cd far/away && TZ=Asia/Tokyo LC_ALL=de_DE.UTF-8 LANG=de_DE.UTF-8 '%s' compose day -o "
          "two.d",
          TRIMWELL_COMMAND);
    shell("diff -r one.d far/away/two.d");
}

static void shuffled_the_same(void **state) {
    static const size_t orders[][2] = {{3, 1}, {7, 7}, {2, 3}, {5, 5}};
    (void)state;
    make_images();
    write_orders("day", 0, 1);
    cJSON_Delete(compose("day", "one.d"));
    for (size_t i = 0; i < sizeof orders / sizeof *orders; i++) {
        write_orders("day", orders[i][0], orders[i][1]);
        cJSON_Delete(compose("day", "two.d"));
        shell("diff -r one.d two.d");
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(twice_the_same),
        cmocka_unit_test(elsewhere_the_same),
        cmocka_unit_test(shuffled_the_same),
    };
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
