/* Papers, templates and orders by chance (see random_day.h). */
#include "random_day.h"

#include "make_image.h"

#define MM ((int64_t)1000000)     /* nm */
#define EIGHTH ((int64_t)3175000) /* nm: 1/8 in, ISO 31-1 */

static const char *const images[] = {"wide.png", "high.png", "even.png"};

void make_day_images(void) {
    make_png("wide.png", &(made_png){.width = 2400, .height = 1600, .type = 0, .depth = 1});
    make_png("high.png", &(made_png){.width = 1800, .height = 2400, .type = 0, .depth = 1});
    make_png("even.png", &(made_png){.width = 2000, .height = 2000, .type = 0, .depth = 1});
}

/* The same numbers everywhere: a linear congruence (Knuth, TAOCP 2, 3.3.4). */
static uint32_t next_number(uint64_t *seed, uint32_t below) {
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(*seed >> 33) % below;
}

static void random_paper(random_day *d, uint64_t *seed) {
    unsigned width = 420 + next_number(seed, 700), side = next_number(seed, 9);
    unsigned lead = next_number(seed, 12), tail = next_number(seed, 16);
    unsigned gutter = next_number(seed, 3) * 3;
    unsigned length = 2 + next_number(seed, 8);
    bool roll = next_number(seed, 4) > 0, hand = next_number(seed, 2) == 0;
    d->rules = (paper_rules){side * MM, lead * MM, tail * MM, gutter * MM, EIGHTH};
    (void)snprintf(d->paper, sizeof d->paper,
                   "\"kind\": \"%s\", \"width\": \"%umm\", \"length\": \"%umm\", %s"
                   "\"margins\": {\"side\": \"%umm\", \"lead\": \"%umm\", \"tail\": \"%umm\"}",
                   roll ? "roll" : "sheets", width, roll ? 40000 : 600 + next_number(seed, 400),
                   !roll  ? "\"count\": 60, "
                   : hand ? "\"cutter\": \"hand\", \"edge_trim\": \"4mm\", "
                          : "\"shortest_sheet\": \"8in\", ",
                   side, lead, tail);
    (void)snprintf(d->settings, sizeof d->settings,
                   ", \"layout\": {\"gutter\": \"%umm\"}, "
                   "\"marks\": {\"place\": \"%s\", \"length\": \"%umm\"}",
                   gutter, next_number(seed, 4) == 0 ? "strip" : "waste", length);
}

/* Signed where the border is wide. */
static const char signature[] =
    ", \"signature\": {\"corner\": \"bottom-right\", \"width\": \"30mm\", "
    "\"height\": \"5mm\", \"inset\": \"8mm\"}";

/* Sides up to 350 mm, which lie both ways on every paper above. */
static void random_formats(random_day *d, uint64_t *seed) {
    size_t used = 0;
    for (int i = 0; i < 5; i++) {
        unsigned width = 90 + next_number(seed, 260), height = 90 + next_number(seed, 260);
        unsigned border = next_number(seed, 3) * 11, bleed = next_number(seed, 6);
        used += (size_t)snprintf(
            d->formats + used, sizeof d->formats - used,
            "%s{\"name\": \"t%d\", \"size\": \"%ux%umm\", \"border\": \"%umm\", "
            "\"bleed\": \"%umm\", \"fit\": \"%s\"%s}",
            i == 0 ? "" : ", ", i, width, height, border, bleed,
            next_number(seed, 3) == 0 ? "inside" : "fill", border == 22 ? signature : "");
    }
}

/* No line twice: an order has each template once at most. */
static void random_orders(random_day *d, uint64_t *seed) {
    size_t used = 0;
    d->lines = 4 + (int)next_number(seed, 9);
    for (int i = 0; i < d->lines; i++) {
        int copies = 1 + (int)next_number(seed, 4);
        const char *image = images[next_number(seed, 3)];
        d->line[i].order = 100 + i / 5;
        d->line[i].format = i % 5;
        d->line[i].image = image;
        d->line[i].copies = copies;
        used += (size_t)snprintf(d->orders + used, sizeof d->orders - used, "%d,%s,t%d,%d\n",
                                 100 + i / 5, image, i % 5, copies);
    }
}

void make_random_day(uint64_t seed, random_day *out) {
    memset(out, 0, sizeof *out);
    random_paper(out, &seed);
    random_formats(out, &seed);
    random_orders(out, &seed);
    write_day("day", out->paper, out->formats, out->orders, out->settings);
}
