/*
 * Published sizes through the command: a template of each, and the size it has in plan.json.
 * Sources: ISO 216:2007 (A and B series, as listed in PWG 5101.1-2002, Media Standardized Names),
 * and the inch sizes of PWG 5101.1: ANSI, architectural and photographic.
 */
#include "make_image.h"
#include "outside.h"

typedef struct size {
    const char *name, *size; /* template and its "size" */
    double width, height;    /* mm */
} size;

static const size sizes[] = {
    /* ISO 216; A5, B3 and B5 are not what halving and rounding would give */
    {"A0", "A0", 841, 1189},
    {"A1", "A1", 594, 841},
    {"A2", "A2", 420, 594},
    {"A3", "A3", 297, 420},
    {"A4", "A4", 210, 297},
    {"A5", "A5", 148, 210},
    {"A6", "A6", 105, 148},
    {"B0", "B0", 1000, 1414},
    {"B1", "B1", 707, 1000},
    {"B2", "B2", 500, 707},
    {"B3", "B3", 353, 500},
    {"B4", "B4", 250, 353},
    {"B5", "B5", 176, 250},
    {"B6", "B6", 125, 176},
    /* ANSI */
    {"ansi-a", "8.5x11in", 215.9, 279.4},
    {"ansi-b", "11x17in", 279.4, 431.8},
    {"ansi-c", "17x22in", 431.8, 558.8},
    {"ansi-d", "22x34in", 558.8, 863.6},
    {"ansi-e", "34x44in", 863.6, 1117.6},
    /* architectural */
    {"arch-a", "9x12in", 228.6, 304.8},
    {"arch-b", "12x18in", 304.8, 457.2},
    {"arch-c", "18x24in", 457.2, 609.6},
    {"arch-d", "24x36in", 609.6, 914.4},
    {"arch-e", "36x48in", 914.4, 1219.2},
    /* photographic */
    {"photo-4x6", "4x6in", 101.6, 152.4},
    {"photo-5x7", "5x7in", 127, 177.8},
    {"photo-8x10", "8x10in", 203.2, 254},
    {"photo-8x12", "8x12in", 203.2, 304.8},
    {"photo-10x12", "10x12in", 254, 304.8},
    {"photo-11x14", "11x14in", 279.4, 355.6},
    {"photo-12x16", "12x16in", 304.8, 406.4},
    {"photo-13x19", "13x19in", 330.2, 482.6},
    {"photo-16x20", "16x20in", 406.4, 508},
    {"photo-20x24", "20x24in", 508, 609.6},
    {"photo-24x30", "24x30in", 609.6, 762},
    {"photo-30x40", "30x40in", 762, 1016},
};
#define SIZES (sizeof sizes / sizeof *sizes)

static cJSON *day_of_all_sizes(void) {
    static char formats[8192], orders[4096];
    size_t used = 0, ordered = 0;
    make_png("even.png", &(made_png){.width = 4000, .height = 4000, .type = 0, .depth = 1});
    for (size_t i = 0; i < SIZES; i++) {
        used += (size_t)snprintf(formats + used, sizeof formats - used,
                                 "%s{\"name\": \"%s\", \"size\": \"%s\", \"border\": \"1/2in\"}",
                                 i == 0 ? "" : ", ", sizes[i].name, sizes[i].size);
        ordered += (size_t)snprintf(orders + ordered, sizeof orders - ordered, "1,even.png,%s,1\n",
                                    sizes[i].name);
    }
    write_day("day",
              "\"kind\": \"roll\", \"width\": \"44in\", \"length\": \"100m\", "
              "\"margins\": {\"side\": \"1/4in\", \"lead\": \"1/8in\", \"tail\": \"1/8in\"}",
              formats, orders, "");
    return compose("day", "out.d");
}

static const cJSON *print_of(const cJSON *plan, const char *format) {
    const cJSON *sheet, *print;
    cJSON_ArrayForEach(sheet, member(plan, "sheets")) {
        cJSON_ArrayForEach(print, member(sheet, "prints")) {
            if (strcmp(text_of(print, "template"), format) == 0)
                return print;
        }
    }
    fail_msg("no print of template %s", format);
    return NULL;
}

/* Exactly, to the last of six decimals: plan.json has every nanometre. */
static void all_sizes(void **state) {
    cJSON *plan = day_of_all_sizes();
    (void)state;
    for (size_t i = 0; i < SIZES; i++) {
        const cJSON *print = print_of(plan, sizes[i].name);
        bool turned = cJSON_IsTrue(member(print, "turned"));
        assert_near(sizes[i].name, number_of(print, turned ? "height" : "width"), sizes[i].width,
                    1e-9);
        assert_near(sizes[i].name, number_of(print, turned ? "width" : "height"), sizes[i].height,
                    1e-9);
    }
    assert_int_equal(cJSON_GetArraySize(member(plan, "unplaced")), 0);
    cJSON_Delete(plan);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(all_sizes)};
    return cmocka_run_group_tests(tests, enter_folder, leave_folder);
}
